//! The bunker.

use super::{CHOSEN, table};
use crate::model::reader::Reader;

/// `[bunker]`.
#[derive(Clone, Debug)]
pub(crate) struct BunkerSpec {
    pub(crate) back: f64,
    pub(crate) top: f64,
    pub(crate) corner_radius: f64,
    pub(crate) flare_radius: f64,
    pub(crate) flare_angle: f64,
}

impl BunkerSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "bunker");
        Self {
            back: t.need("back"),
            top: t.need("top"),
            corner_radius: t.need("corner_radius"),
            flare_radius: t.need("flare_radius"),
            flare_angle: reader
                .number_or("bunker.flare_angle_deg", 5.0..=90.0, 45.0, CHOSEN)
                .to_radians(),
        }
    }
}
