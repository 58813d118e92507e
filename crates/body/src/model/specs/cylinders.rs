//! Outside cylinders.

use super::{CHOSEN, table};
use crate::model::reader::Reader;

/// `[cylinders]`, a pair.
#[derive(Clone, Debug)]
pub(crate) struct CylinderSpec {
    /// Distance between the axes.
    pub(crate) centres: f64,
    /// Over cleading.
    pub(crate) diameter: f64,
    pub(crate) from: f64,
    pub(crate) to: f64,
    /// Height of the axes above rail.
    pub(crate) height: f64,
    /// Length of the slide bars behind the cylinders.
    pub(crate) slide_bars: f64,
}

impl CylinderSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "cylinders");
        Self {
            centres: t.need("centres"),
            diameter: t.need("diameter"),
            from: t.place("from"),
            to: t.need("to"),
            height: t.need("height"),
            slide_bars: t.inches("slide_bars", 42.0, CHOSEN),
        }
    }
}
