//! Axles and frames.

use super::{CHOSEN, TRADE, table};
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

/// `[[axles]]`.
#[derive(Clone, Debug)]
pub(crate) struct AxleSpec {
    pub(crate) x: f64,
    pub(crate) diameter: f64,
    pub(crate) kind: AxleKind,
}

const KINDS: [(&str, AxleKind); 5] = [
    ("coupled", AxleKind::Coupled),
    ("carrying", AxleKind::Carrying),
    ("bogie", AxleKind::Bogie),
    ("pony", AxleKind::Pony),
    ("radial", AxleKind::Radial),
];

/// `[[axles]]` and `[frames]`.
#[derive(Clone, Debug)]
pub(crate) struct RunningSpec {
    pub(crate) axles: Vec<AxleSpec>,
    pub(crate) frame_thickness: f64,
    pub(crate) frame_top: f64,
    pub(crate) frame_bottom: f64,
}

impl RunningSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let axles: Vec<AxleSpec> = (0..reader.count("axles"))
            .map(|i| {
                let name = format!("axles[{i}]");
                let t = table(reader, &name);
                AxleSpec {
                    x: t.place("x"),
                    diameter: t.need("diameter"),
                    kind: t.one_of("kind", &KINDS, AxleKind::Coupled, TRADE),
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
        Self {
            axles,
            frame_thickness: t.inches("thickness", 1.0, TRADE),
            frame_top: t.inches("top", 48.0, CHOSEN),
            frame_bottom: t.inches("bottom", 15.0, CHOSEN),
        }
    }
}
