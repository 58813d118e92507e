//! The cab with its roof and openings.

use super::{CHOSEN, TRADE, each, table};
use crate::model::reader::Reader;

/// `[cab]`.
#[derive(Clone, Debug)]
pub(crate) struct CabSpec {
    pub(crate) front: f64,
    pub(crate) back: f64,
    pub(crate) over: f64,
    /// No back plate; the sides' cut-outs may be open to the rear.
    pub(crate) rear_open: bool,
    pub(crate) roof_top: f64,
    pub(crate) roof_half_width: f64,
    pub(crate) roof: RoofSpec,
    pub(crate) cut_out: Option<CutOutSpec>,
    pub(crate) windows: Option<WindowSpec>,
    pub(crate) box_clearance: f64,
    /// Height of the floor's upper face above rail.
    pub(crate) floor: f64,
    pub(crate) beading: BeadingSpec,
}

/// `[cab.roof]`.
#[derive(Clone, Debug)]
pub(crate) struct RoofSpec {
    /// Infinite where the roof is flat on top.
    pub(crate) centre_radius: f64,
    /// Radius of the arc between centre and corner, and the half width where it begins.
    pub(crate) intermediate: Option<(f64, f64)>,
    /// `None` for a roof of one arc.
    pub(crate) corner_radius: Option<f64>,
    /// Slope at the eaves (rad).
    pub(crate) eaves: f64,
    /// Beyond the front and beyond the back.
    pub(crate) overhang: (f64, f64),
    pub(crate) ribs: u32,
    pub(crate) rib_depth: f64,
    /// Width of the strips along the eaves; zero for none.
    pub(crate) gutter: f64,
    pub(crate) strips: Vec<StripSpec>,
}

/// `[[cab.roof.strips]]`: a rain strip along the roof, one on each side.
#[derive(Clone, Debug)]
pub(crate) struct StripSpec {
    /// Half width at its lower edge.
    pub(crate) half_width: f64,
    pub(crate) width: f64,
}

/// `[cab.cut_out]`: the opening in a cab side.
#[derive(Clone, Debug)]
pub(crate) struct CutOutSpec {
    pub(crate) from: f64,
    /// `None` where it is open to the rear.
    pub(crate) to: Option<f64>,
    pub(crate) bottom: f64,
    pub(crate) top: f64,
    pub(crate) radius: f64,
}

/// `[cab.windows]`.
#[derive(Clone, Debug)]
pub(crate) struct WindowSpec {
    pub(crate) diameter: f64,
    pub(crate) height: f64,
    pub(crate) offset: f64,
}

/// Beading round windows and cut-outs.
#[derive(Clone, Debug)]
pub(crate) struct BeadingSpec {
    pub(crate) width: f64,
    /// How far it stands into the opening, to be filed back.
    pub(crate) spare: f64,
}

impl CabSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "cab");
        let roof = table(reader, "cab.roof");
        let cut = table(reader, "cab.cut_out");
        let window = table(reader, "cab.windows");
        let rears = [("plate", false), ("open", true)];
        let footplate = table(reader, "footplate");
        let floor_rise = 4.0 / 12.0 * reader.scale.mm_per_foot();
        let floor = if t.has("floor") {
            t.need("floor")
        } else if footplate.has("top") {
            t.model("floor", footplate.need("top") + floor_rise, CHOSEN)
        } else {
            f64::NAN
        };
        Self {
            front: t.place("front"),
            back: t.need("back"),
            over: t.need("over"),
            rear_open: t.one_of("rear", &rears, false, CHOSEN),
            roof_top: roof.need("top"),
            roof_half_width: roof.need("half_width"),
            roof: RoofSpec::read(reader),
            cut_out: t.has("cut_out").then(|| CutOutSpec {
                from: cut.place("from"),
                to: cut.maybe("to"),
                bottom: cut.need("bottom"),
                top: cut.need("top"),
                radius: cut.need("radius"),
            }),
            windows: t.has("windows").then(|| WindowSpec {
                diameter: window.need("diameter"),
                height: window.need("height"),
                offset: window.need("offset"),
            }),
            box_clearance: t.model("firebox_clearance", reader.scale.pick(0.05, 0.1), TRADE),
            floor,
            beading: BeadingSpec {
                width: t.inches("beading", 1.25, TRADE),
                spare: t.model("beading_spare", reader.scale.pick(0.1, 0.15), TRADE),
            },
        }
    }
}

impl RoofSpec {
    fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "cab.roof");
        let intermediate = t.maybe("intermediate_radius");
        let overhang = t.inches("overhang", 3.0, CHOSEN);
        let beyond = |key: &str| t.maybe(key).unwrap_or(overhang);
        Self {
            centre_radius: t.maybe("centre_radius").unwrap_or(f64::INFINITY),
            intermediate: intermediate.map(|radius| (radius, t.need("intermediate_from"))),
            corner_radius: match intermediate {
                Some(_) => Some(t.need("corner_radius")),
                None => t.maybe("corner_radius"),
            },
            eaves: t.degrees("eaves_deg", 5.0..=90.0, 90.0, TRADE),
            overhang: (beyond("overhang_front"), beyond("overhang_rear")),
            ribs: t.whole("ribs", 0..=8, 2, TRADE),
            rib_depth: t.inches("rib_depth", 3.0, CHOSEN),
            gutter: t.maybe("gutter").unwrap_or(0.0),
            strips: each(reader, "cab.roof.strips", |reader, name| {
                let t = table(reader, name);
                StripSpec {
                    half_width: t.need("half_width"),
                    width: t.inches("width", 1.0, CHOSEN),
                }
            }),
        }
    }
}
