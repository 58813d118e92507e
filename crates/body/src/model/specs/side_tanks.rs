//! The side tanks.

use super::tank_parts::{FillerSpec, gallons};
use super::{CHOSEN, TRADE, table};
use crate::model::reader::Reader;

/// `[side_tanks]`.
#[derive(Clone, Debug)]
pub(crate) struct TankSpec {
    pub(crate) from: f64,
    /// Where they end; `None` for the cab front.
    pub(crate) to: Option<f64>,
    pub(crate) top: f64,
    pub(crate) over: f64,
    pub(crate) inner: f64,
    pub(crate) top_recess: f64,
    pub(crate) baffles: f64,
    /// Radius of a front rolled in one with the side; `None` for a square one.
    pub(crate) front_radius: Option<f64>,
    pub(crate) gallons: Option<f64>,
    pub(crate) filler: Option<FillerSpec>,
}

impl TankSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "side_tanks");
        let fronts = [("square", false), ("rolled", true)];
        let rolled = t.one_of("front", &fronts, false, CHOSEN);
        if !rolled && t.has("front_radius") {
            reader.problem(
                "side_tanks.front_radius",
                "a square front has no radius",
                "write  front = \"rolled\"  beside it, or leave it out",
            );
        }
        // Rolled fronts of 3 to 6 in: common practice, no source.
        let front_radius = (rolled || t.has("front_radius"))
            .then(|| t.inches("front_radius", 4.5, TRADE))
            .filter(|_| rolled);
        Self {
            from: t.place("from"),
            to: (t.has("to") || !reader.has("cab")).then(|| t.need("to")),
            top: t.need("top"),
            over: t.need("over"),
            inner: t.need("inner"),
            // Metal enough over the slots of the top's tabs.
            top_recess: t.inches("top_recess", 2.0, CHOSEN),
            baffles: t.inches("baffle_pitch", 42.0, TRADE),
            front_radius,
            gallons: gallons(&t),
            filler: FillerSpec::read(reader, "side_tanks"),
        }
    }
}
