//! The pannier tanks.

use super::tank_parts::{FillerSpec, gallons};
use super::{CHOSEN, TRADE, table};
use crate::model::reader::Reader;

/// `[pannier_tanks]`.
#[derive(Clone, Debug)]
pub(crate) struct PannierTankSpec {
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) top: f64,
    pub(crate) over: f64,
    pub(crate) bottom: f64,
    pub(crate) shoulder_radius: f64,
    /// Between the tank's inner side and the widest cladding beside it.
    pub(crate) gap: f64,
    /// Half the gap between both tanks, where they come over the boiler.
    pub(crate) inner: f64,
    pub(crate) gallons: Option<f64>,
    pub(crate) filler: Option<FillerSpec>,
}

impl PannierTankSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "pannier_tanks");
        Self {
            from: t.place("from"),
            to: t.need("to"),
            top: t.need("top"),
            over: t.need("over"),
            bottom: t.need("bottom"),
            // A quarter arc of 9 to 12 in: common practice, no source.
            shoulder_radius: t.inches("shoulder_radius", 10.0, TRADE),
            gap: t.model("gap", reader.scale.pick(0.3, 0.5), TRADE),
            inner: t.inches("inner", 1.0, CHOSEN),
            gallons: gallons(&t),
            filler: FillerSpec::read(reader, "pannier_tanks"),
        }
    }
}
