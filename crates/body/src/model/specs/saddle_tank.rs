//! The saddle tank.

use super::tank_parts::{FillerSpec, gallons};
use super::{TRADE, table};
use crate::model::reader::Reader;

/// `[saddle_tank]`.
#[derive(Clone, Debug)]
pub(crate) struct SaddleTankSpec {
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) top: f64,
    pub(crate) top_radius: f64,
    pub(crate) shoulder_radius: f64,
    pub(crate) half_width: f64,
    pub(crate) bottom: f64,
    pub(crate) bottom_corner_radius: f64,
    pub(crate) opening_radius: f64,
    pub(crate) rivet_pitch: f64,
    pub(crate) gallons: Option<f64>,
    pub(crate) filler: Option<FillerSpec>,
}

impl SaddleTankSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "saddle_tank");
        Self {
            from: t.place("from"),
            to: t.need("to"),
            top: t.need("top"),
            top_radius: t.need("top_radius"),
            shoulder_radius: t.need("shoulder_radius"),
            half_width: t.need("half_width"),
            bottom: t.need("bottom"),
            bottom_corner_radius: t.need("bottom_corner_radius"),
            opening_radius: t.need("opening_radius"),
            rivet_pitch: t.rivet_pitch("rivet_pitch", 1.75, TRADE),
            gallons: gallons(&t),
            filler: FillerSpec::read(reader, "saddle_tank"),
        }
    }
}
