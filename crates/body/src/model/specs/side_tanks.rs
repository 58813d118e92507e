//! The side tanks.

use super::{CHOSEN, TRADE, table};
use crate::model::reader::Reader;

/// `[side_tanks]`.
#[derive(Clone, Debug)]
pub(crate) struct TankSpec {
    pub(crate) from: f64,
    pub(crate) top: f64,
    pub(crate) over: f64,
    pub(crate) inner: f64,
    pub(crate) top_recess: f64,
    pub(crate) baffles: f64,
}

impl TankSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "side_tanks");
        Self {
            from: t.place("from"),
            top: t.need("top"),
            over: t.need("over"),
            inner: t.need("inner"),
            top_recess: t.inches("top_recess", 1.0, CHOSEN),
            baffles: t.inches("baffle_pitch", 42.0, TRADE),
        }
    }
}
