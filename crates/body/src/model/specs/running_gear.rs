//! Axles, frames, rods and trucks.

use super::{CHOSEN, TRADE, table};
use crate::WheelStandard;
use crate::model::reader::Reader;

/// What an axle is held in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum AxleKind {
    /// In the frames, driven by rods.
    Coupled,
    /// In the frames, running free.
    Carrying,
    /// One of two in a bogie.
    Bogie,
    /// In a pony truck.
    Pony,
    /// In a radial truck.
    Radial,
}

impl AxleKind {
    /// True if the frames of the engine hold it, false if a truck does.
    pub(crate) fn in_frames(self) -> bool {
        matches!(self, Self::Coupled | Self::Carrying)
    }
}

/// `[[axles]]`.
#[derive(Clone, Debug)]
pub(crate) struct AxleSpec {
    pub(crate) x: f64,
    pub(crate) diameter: f64,
    pub(crate) kind: AxleKind,
    /// Where a truck turns, if the file says.
    pub(crate) pivot: Option<f64>,
    /// Side play each way in the bearings, if the file says.
    pub(crate) side_play: Option<f64>,
}

const KINDS: [(&str, AxleKind); 5] = [
    ("coupled", AxleKind::Coupled),
    ("carrying", AxleKind::Carrying),
    ("bogie", AxleKind::Bogie),
    ("pony", AxleKind::Pony),
    ("radial", AxleKind::Radial),
];

/// `[outside_frames]` of a tender.
#[derive(Clone, Debug)]
pub(crate) struct OutsideFrameSpec {
    pub(crate) over: f64,
    pub(crate) bottom: f64,
    pub(crate) axlebox_width: f64,
    pub(crate) axlebox_height: f64,
}

/// `[[axles]]`, `[frames]`, `[outside_frames]` and `[coupling_rods]`.
#[derive(Clone, Debug)]
pub(crate) struct RunningSpec {
    pub(crate) axles: Vec<AxleSpec>,
    /// Height of the frames' upper edge, if lower than the footplate.
    pub(crate) frame_top: Option<f64>,
    pub(crate) frame_bottom: f64,
    /// True for horn slots open below, false for round holes.
    pub(crate) horns: bool,
    pub(crate) horn_width: f64,
    pub(crate) outside: Option<OutsideFrameSpec>,
    pub(crate) throw: f64,
    pub(crate) rod_depth: f64,
    /// The sharpest curve that the model is meant for: radius of the centre line.
    pub(crate) least_radius: f64,
}

impl RunningSpec {
    pub(crate) fn read(reader: &Reader<'_>, wheels: WheelStandard) -> Self {
        let axles: Vec<AxleSpec> = (0..reader.count("axles"))
            .map(|i| {
                let name = format!("axles[{i}]");
                let t = table(reader, &name);
                AxleSpec {
                    x: t.place("x"),
                    diameter: t.need("diameter"),
                    kind: t.one_of("kind", &KINDS, AxleKind::Coupled, TRADE),
                    pivot: t.maybe("pivot"),
                    side_play: t.maybe("side_play"),
                }
            })
            .collect();
        if axles.is_empty() {
            reader.problem(
                "axles",
                "the engine has no axles",
                "add  [[axles]]  with  x  and  diameter  for each, from the front",
            );
        }
        let t = table(reader, "frames");
        let rods = table(reader, "coupling_rods");
        let openings = [("holes", false), ("horns", true)];
        Self {
            axles,
            frame_top: t.maybe("top"),
            frame_bottom: t.inches("bottom", 15.0, CHOSEN),
            horns: t.one_of("axle_openings", &openings, false, TRADE),
            horn_width: t.model("horn_width", reader.scale.pick(5.8, 9.3), TRADE),
            outside: reader.has("outside_frames").then(|| {
                let t = table(reader, "outside_frames");
                OutsideFrameSpec {
                    over: t.need("over"),
                    bottom: t.inches("bottom", 14.0, CHOSEN),
                    axlebox_width: t.inches("axlebox_width", 11.0, CHOSEN),
                    axlebox_height: t.inches("axlebox_height", 13.0, CHOSEN),
                }
            }),
            throw: rods.inches("throw", 12.0, CHOSEN),
            rod_depth: rods.inches("depth", 4.0, CHOSEN),
            least_radius: table(reader, "curves").model(
                "least_radius",
                wheels.least_radius(),
                TRADE,
            ),
        }
    }
}
