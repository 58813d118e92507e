//! Splashers.

use super::{TRADE, each, table};
use crate::model::reader::Reader;

/// What a splasher covers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum SplasherKind {
    /// A wheel.
    Wheel,
    /// A crank pin and the rods on it.
    Rods,
}

/// `[[splashers]]`, one table a pair.
#[derive(Clone, Debug)]
pub(crate) struct SplasherSpec {
    /// Number of the axle, from the front and from 1.
    pub(crate) axle: usize,
    pub(crate) kind: SplasherKind,
    /// Outside radius about the axle.
    pub(crate) radius: Option<f64>,
    /// Distance of the face from the centre line.
    pub(crate) outer: f64,
    /// How far in the top strip runs.
    pub(crate) inner: f64,
    /// Where it is cut off by what stands before or behind it.
    pub(crate) from: Option<f64>,
    pub(crate) to: Option<f64>,
}

impl SplasherSpec {
    pub(crate) fn read_all(reader: &Reader<'_>) -> Vec<Self> {
        each(reader, "splashers", |reader, name| {
            let t = table(reader, name);
            let kinds = [("wheel", SplasherKind::Wheel), ("rods", SplasherKind::Rods)];
            let kind = t.one_of("kind", &kinds, SplasherKind::Wheel, TRADE);
            Self {
                axle: t.whole("axle", 1..=40, 1, "the leading axle") as usize,
                kind,
                // A small splasher follows from the throw of the crank.
                radius: match kind {
                    SplasherKind::Wheel => Some(t.need("radius")),
                    SplasherKind::Rods => t.maybe("radius"),
                },
                outer: t.need("outer"),
                inner: t.need("inner"),
                from: t.maybe("from"),
                to: t.maybe("to"),
            }
        })
    }
}
