//! What the engine weighs beside its plates, and what drives it.

use super::{CHOSEN, TRADE, each, table};
use crate::Scale;
use crate::model::reader::Reader;

/// Something heavy that is neither plate nor fitting: `[[weights]]` (g, mm).
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// What it is.
    pub name: String,
    /// Its mass.
    pub grams: f64,
    /// Where its middle is along the engine.
    pub x: f64,
    /// Height of its middle above rail.
    pub z: f64,
}

/// Motor and gearbox as a box between the frames: `[motor]` (mm).
#[derive(Clone, Debug, PartialEq)]
pub struct Motor {
    /// Number of the axle that it drives, from the front.
    pub axle: u32,
    /// Along the engine.
    pub length: f64,
    /// Across.
    pub width: f64,
    /// Upwards.
    pub height: f64,
    /// How far the middle of the box is behind the axle; negative in front of it.
    pub behind: f64,
    /// How far the middle of the box is above the axle.
    pub above: f64,
    /// Air wanted all round.
    pub margin: f64,
    /// Its mass (g).
    pub grams: f64,
}

/// `[weight]`, `[[weights]]` and `[motor]`.
#[derive(Clone, Debug, PartialEq)]
pub struct WeightSpec {
    /// Weight of the full-size engine in working order (long tons of 2240 lb), if the file says.
    pub full_size_tons: Option<f64>,
    /// Density of what is cast or turned (g/cm³).
    pub castings: f64,
    /// Density of wheels and axles (g/cm³), spokes and all.
    pub wheels: f64,
    /// Density of ballast (g/cm³).
    pub ballast: f64,
    /// Share of an open space that ballast fills.
    pub filling: f64,
    /// Share of the weight on an axle in the frames that springs or pivots put on an axle of a truck.
    pub truck_share: f64,
    /// What else there is.
    pub loads: Vec<Load>,
    /// What drives it.
    pub motor: Option<Motor>,
}

/// Densities: general handbooks, from memory.
const HANDBOOK: &str = "handbook value, from memory";

impl WeightSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let number = |key: &str, limits, usual, source| {
            reader.number_or(&format!("weight.{key}"), limits, usual, source)
        };
        let tons = "weight.full_size_tons";
        Self {
            full_size_tons: reader
                .has(tons)
                .then(|| reader.number_or(tons, 1.0..=500.0, 40.0, CHOSEN)),
            castings: number("castings", 1.0..=12.0, 8.4, HANDBOOK),
            wheels: number("wheels", 1.0..=12.0, 5.0, TRADE),
            ballast: number("ballast", 1.0..=20.0, 11.3, HANDBOOK),
            filling: number("filling", 0.1..=1.0, 0.6, TRADE),
            truck_share: number("truck_share", 0.0..=1.0, 0.3, TRADE),
            loads: each(reader, "weights", |reader, name| {
                let t = table(reader, name);
                Load {
                    name: reader.text_or(&format!("{name}.name"), "weight", CHOSEN),
                    grams: reader.number_or(&format!("{name}.grams"), 0.0..=10_000.0, 10.0, CHOSEN),
                    x: t.place("x"),
                    z: t.place("z"),
                }
            }),
            motor: reader.has("motor").then(|| Motor::read(reader)),
        }
    }
}

impl Motor {
    fn read(reader: &Reader<'_>) -> Self {
        let pick = |four: f64, seven: f64| match reader.scale {
            Scale::Four => four,
            Scale::Seven => seven,
        };
        let t = table(reader, "motor");
        let axle = t.whole("axle", 1..=20, 1, CHOSEN);
        let axles = reader.count("axles");
        if axle as usize > axles {
            reader.problem(
                "motor.axle",
                format!("there is no axle {axle}"),
                format!("axles are counted from the front, from 1 to {axles}"),
            );
        }
        let mm =
            |key: &str, limits, usual: f64| reader.model_mm_or(&t.path(key), limits, usual, TRADE);
        Self {
            axle,
            length: mm("length", 5.0..=200.0, pick(32.0, 60.0)),
            width: mm("width", 3.0..=100.0, pick(10.0, 18.0)),
            height: mm("height", 3.0..=100.0, pick(14.0, 25.0)),
            behind: mm("behind", -200.0..=200.0, pick(12.0, 22.0)),
            above: mm("above", -50.0..=100.0, pick(8.0, 14.0)),
            margin: mm("margin", 0.0..=5.0, pick(0.3, 0.5)),
            grams: reader.number_or("motor.grams", 0.0..=2000.0, pick(35.0, 120.0), TRADE),
        }
    }
}
