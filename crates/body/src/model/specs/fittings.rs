//! Chimney, dome, safety valves, handrails and buffers.

use super::{CHOSEN, TRADE, table};
use crate::model::reader::{Reader, Sign};

/// `[chimney]`.
#[derive(Clone, Debug)]
pub(crate) struct ChimneySpec {
    pub(crate) x: f64,
    pub(crate) top: f64,
    pub(crate) waist_diameter: f64,
    pub(crate) cap_diameter: f64,
    pub(crate) base_diameter: f64,
    pub(crate) flare: f64,
    pub(crate) spigot: f64,
}

impl ChimneySpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "chimney");
        Self {
            x: t.place("x"),
            top: t.need("top"),
            waist_diameter: t.need("waist_diameter"),
            cap_diameter: t.need("cap_diameter"),
            base_diameter: t.need("base_diameter"),
            flare: t.inches("flare_radius", 5.0, CHOSEN),
            spigot: t.model("spigot", reader.scale.pick(3.0, 5.0), TRADE),
        }
    }
}

/// `[dome]`.
#[derive(Clone, Debug)]
pub(crate) struct DomeSpec {
    pub(crate) x: f64,
    pub(crate) top: f64,
    pub(crate) diameter: f64,
    pub(crate) skirt_diameter: f64,
    pub(crate) flare: f64,
    pub(crate) spigot: f64,
}

impl DomeSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "dome");
        Self {
            x: t.place("x"),
            top: t.need("top"),
            diameter: t.need("diameter"),
            skirt_diameter: t.need("skirt_diameter"),
            flare: t.inches("flare_radius", 4.0, CHOSEN),
            spigot: t.model("spigot", reader.scale.pick(3.0, 5.0), TRADE),
        }
    }
}

/// `[safety_valves]`.
#[derive(Clone, Debug)]
pub(crate) struct SafetyValveSpec {
    pub(crate) x: f64,
    pub(crate) top: f64,
    pub(crate) diameter: f64,
    pub(crate) spigot: f64,
}

impl SafetyValveSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "safety_valves");
        Self {
            x: t.place("x"),
            top: t.need("top"),
            diameter: t.inches("diameter", 14.0, CHOSEN),
            spigot: t.model("spigot", reader.scale.pick(3.0, 5.0), TRADE),
        }
    }
}

/// `[handrails]`: rails along smokebox and boiler, level, one each side.
#[derive(Clone, Debug)]
pub(crate) struct HandrailSpec {
    pub(crate) height: f64,
    pub(crate) pillars: Vec<f64>,
    pub(crate) pillar_hole: f64,
    pub(crate) rail_diameter: f64,
    /// Middle of the rail from the plate where it stands farthest out.
    pub(crate) stand_off: f64,
}

impl HandrailSpec {
    /// Pillars between two places along the engine, each with its number in the model file.
    pub(crate) fn between(&self, from: f64, to: f64) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.pillars
            .iter()
            .copied()
            .enumerate()
            .filter(move |(_, x)| *x >= from && *x < to)
    }

    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "handrails");
        let pillars = (0..reader.count("handrails.pillars"))
            .map(|i| reader.length(&format!("handrails.pillars[{i}]"), Sign::NotNegative))
            .collect();
        Self {
            height: t.need("height"),
            pillars,
            pillar_hole: t.model("pillar_hole", reader.scale.pick(0.5, 0.9), TRADE),
            rail_diameter: t.inches("rail_diameter", 1.25, TRADE),
            stand_off: t.inches("stand_off", 3.0, CHOSEN),
        }
    }
}

/// `[buffers]`.
#[derive(Clone, Debug)]
pub(crate) struct BufferSpec {
    pub(crate) height: f64,
    pub(crate) centres: f64,
    pub(crate) projection: f64,
    pub(crate) head: f64,
}

impl BufferSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "buffers");
        const MEMORY: &str = "British practice of the 20th century, from memory";
        Self {
            height: t.inches("height", 41.0, MEMORY),
            centres: t.inches("centres", 68.5, MEMORY),
            projection: t.inches("projection", 21.0, CHOSEN),
            head: t.inches("head", 15.0, MEMORY),
        }
    }
}
