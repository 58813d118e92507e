//! The cab with its roof and openings.

use super::{CHOSEN, TRADE, table};
use crate::model::reader::Reader;

/// `[cab]`.
#[derive(Clone, Debug)]
pub(crate) struct CabSpec {
    pub(crate) front: f64,
    pub(crate) back: f64,
    pub(crate) over: f64,
    pub(crate) roof_top: f64,
    pub(crate) roof_centre_radius: f64,
    pub(crate) roof_corner_radius: f64,
    pub(crate) roof_half_width: f64,
    pub(crate) roof_overhang: f64,
    pub(crate) cut_out: CutOutSpec,
    pub(crate) window_diameter: f64,
    pub(crate) window_height: f64,
    pub(crate) window_offset: f64,
    pub(crate) box_clearance: f64,
}

/// `[cab.cut_out]`: the opening in a cab side.
#[derive(Clone, Debug)]
pub(crate) struct CutOutSpec {
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) bottom: f64,
    pub(crate) top: f64,
    pub(crate) radius: f64,
}

impl CabSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "cab");
        let roof = table(reader, "cab.roof");
        let cut = table(reader, "cab.cut_out");
        let window = table(reader, "cab.windows");
        Self {
            front: t.place("front"),
            back: t.need("back"),
            over: t.need("over"),
            roof_top: roof.need("top"),
            roof_centre_radius: roof.need("centre_radius"),
            roof_corner_radius: roof.need("corner_radius"),
            roof_half_width: roof.need("half_width"),
            roof_overhang: roof.inches("overhang", 3.0, CHOSEN),
            cut_out: CutOutSpec {
                from: cut.place("from"),
                to: cut.need("to"),
                bottom: cut.need("bottom"),
                top: cut.need("top"),
                radius: cut.need("radius"),
            },
            window_diameter: window.need("diameter"),
            window_height: window.need("height"),
            window_offset: window.need("offset"),
            box_clearance: t.model("firebox_clearance", reader.scale.pick(0.05, 0.1), TRADE),
        }
    }
}
