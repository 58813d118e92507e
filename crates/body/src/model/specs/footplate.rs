//! Footplate, valances and beams.

use super::{TRADE, table};
use crate::model::reader::Reader;

/// `[footplate]`, its valances and beams.
#[derive(Clone, Debug)]
pub(crate) struct FootplateSpec {
    pub(crate) length: f64,
    pub(crate) top: f64,
    pub(crate) width: f64,
    pub(crate) valance_depth: f64,
    pub(crate) valance_inset: f64,
    pub(crate) beam_bottom: f64,
    pub(crate) beam_width: f64,
}

impl FootplateSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "footplate");
        let valance = table(reader, "footplate.valances");
        let beam = table(reader, "buffer_beams");
        Self {
            length: t.need("length"),
            top: t.need("top"),
            width: t.need("width"),
            valance_depth: valance.inches("depth", 8.0, TRADE),
            valance_inset: valance.inches("set_in", 2.0, TRADE),
            beam_bottom: beam.need("bottom"),
            beam_width: beam.need("width"),
        }
    }
}
