//! The barrel and what is set in it.

use super::{CHOSEN, TRADE, table};
use crate::model::reader::Reader;

/// `[boiler]`: a barrel tapering about a level axis.
#[derive(Clone, Debug)]
pub(crate) struct BoilerSpec {
    pub(crate) pitch: f64,
    pub(crate) from: f64,
    pub(crate) length: f64,
    pub(crate) front_diameter: f64,
    pub(crate) rear_diameter: f64,
    pub(crate) band_width: f64,
    pub(crate) band_inset: f64,
    pub(crate) band_pitch: f64,
    pub(crate) strip_width: f64,
    pub(crate) washouts: Vec<WashoutSpec>,
}

/// `[[boiler.washouts]]`: a pair of holes, left and right.
#[derive(Clone, Debug)]
pub(crate) struct WashoutSpec {
    pub(crate) x: f64,
    pub(crate) height: f64,
    pub(crate) diameter: f64,
}

impl BoilerSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "boiler");
        let washouts = (0..reader.count("boiler.washouts"))
            .map(|i| {
                let name = format!("boiler.washouts[{i}]");
                let t = table(reader, &name);
                WashoutSpec {
                    x: t.place("x"),
                    height: t.need("height"),
                    diameter: t.inches("diameter", 2.0, CHOSEN),
                }
            })
            .collect();
        Self {
            pitch: t.need("pitch"),
            from: t.place("from"),
            length: t.need("length"),
            front_diameter: t.need("front_diameter"),
            rear_diameter: t.maybe("rear_diameter").unwrap_or_else(|| t.need("front_diameter")),
            band_width: t.inches("band_width", 2.0, TRADE),
            band_inset: t.inches("band_inset", 2.0, CHOSEN),
            band_pitch: t.inches("band_pitch", 36.0, TRADE),
            strip_width: t.model("joint_strip_width", reader.scale.pick(4.5, 7.0), TRADE),
            washouts,
        }
    }

    /// x of the throat.
    pub(crate) fn end(&self) -> f64 {
        self.from + self.length
    }

    /// Radius over the cladding at `x`, carried on beyond the ends of the barrel.
    pub(crate) fn radius(&self, x: f64) -> f64 {
        let share = (x - self.from) / self.length;
        (self.front_diameter + (self.rear_diameter - self.front_diameter) * share) / 2.0
    }

    /// Height of the barrel's centre at `x`.
    pub(crate) fn axis_height(&self, _x: f64) -> f64 {
        self.pitch
    }
}
