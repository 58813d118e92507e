//! The bunker.

use super::coping::CopingSpec;
use super::{CHOSEN, table};
use crate::model::reader::Reader;

/// `[bunker]`.
#[derive(Clone, Debug)]
pub(crate) struct BunkerSpec {
    /// Where it begins; `None` for the cab's back.
    pub(crate) from: Option<f64>,
    pub(crate) back: f64,
    /// Width over the sides; `None` for the cab's.
    pub(crate) over: Option<f64>,
    pub(crate) top: f64,
    /// Height of the coal floor; `None` for half way up.
    pub(crate) floor: Option<f64>,
    pub(crate) top_recess: f64,
    pub(crate) coping: CopingSpec,
}

impl BunkerSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "bunker");
        let alone = !reader.has("cab");
        Self {
            from: (t.has("from") || alone).then(|| t.place("from")),
            back: t.need("back"),
            over: (t.has("over") || alone).then(|| t.need("over")),
            top: t.need("top"),
            floor: t.maybe("floor"),
            top_recess: t.inches("top_recess", 2.0, CHOSEN),
            coping: CopingSpec::read(&t),
        }
    }
}
