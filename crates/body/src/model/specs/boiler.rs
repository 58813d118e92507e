//! The barrel and what is set in it.

use super::{CHOSEN, TRADE, each, table};
use crate::model::reader::{Reader, Sign};

/// `[boiler]`: a barrel of one ring or several.
#[derive(Clone, Debug)]
pub(crate) struct BoilerSpec {
    /// Height of the axis at the smokebox joint.
    pub(crate) pitch: f64,
    pub(crate) from: f64,
    /// One at least, front to rear.
    pub(crate) rings: Vec<BoilerRing>,
    pub(crate) band_width: f64,
    pub(crate) band_inset: f64,
    pub(crate) band_pitch: f64,
    pub(crate) strip_width: f64,
    pub(crate) washouts: Vec<WashoutSpec>,
}

/// A ring of the barrel, rolled from one plate.
#[derive(Clone, Debug)]
pub(crate) struct BoilerRing {
    /// Key of the ring in the model file: `boiler` or `boiler.rings[1]`.
    pub(crate) key: String,
    pub(crate) from: f64,
    pub(crate) length: f64,
    pub(crate) front: RingEnd,
    pub(crate) rear: RingEnd,
}

/// Circle over the cladding at one end of a ring.
#[derive(Clone, Copy, Debug)]
pub(crate) struct RingEnd {
    pub(crate) radius: f64,
    /// Height of its centre above rail.
    pub(crate) axis: f64,
}

/// How a ring's ends lie to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Taper {
    /// About a level axis: a right cone, or a cylinder.
    Symmetric,
    /// Over a level bottom line: an oblique cone whose axis rises.
    FlatBottom,
}

const TAPERS: [(&str, Taper); 2] = [
    ("symmetric", Taper::Symmetric),
    ("flat-bottom", Taper::FlatBottom),
];

/// `[[boiler.washouts]]`: a pair of holes, left and right.
#[derive(Clone, Debug)]
pub(crate) struct WashoutSpec {
    pub(crate) x: f64,
    pub(crate) height: f64,
    pub(crate) diameter: f64,
}

impl BoilerRing {
    pub(crate) fn end(&self) -> f64 {
        self.from + self.length
    }

    /// Between the values at both ends, carried on beyond them.
    fn between(&self, x: f64, value: impl Fn(&RingEnd) -> f64) -> f64 {
        let share = (x - self.from) / self.length;
        value(&self.front) + (value(&self.rear) - value(&self.front)) * share
    }

    /// Radius over the cladding at `x`.
    pub(crate) fn radius(&self, x: f64) -> f64 {
        self.between(x, |end| end.radius)
    }

    /// Height of the ring's centre at `x`.
    pub(crate) fn axis_height(&self, x: f64) -> f64 {
        self.between(x, |end| end.axis)
    }
}

impl BoilerSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "boiler");
        let (pitch, from) = (t.need("pitch"), t.place("from"));
        let rings = if reader.count("boiler.rings") > 0 {
            read_chain(reader, pitch, from)
        } else {
            vec![read_ring(reader, "boiler", (pitch, from), None)]
        };
        let washouts = each(reader, "boiler.washouts", |reader, name| {
            let t = table(reader, name);
            WashoutSpec {
                x: t.place("x"),
                height: t.need("height"),
                diameter: t.inches("diameter", 2.0, CHOSEN),
            }
        });
        Self {
            pitch,
            from,
            rings,
            band_width: t.inches("band_width", 2.0, TRADE),
            band_inset: t.inches("band_inset", 2.0, CHOSEN),
            band_pitch: t.inches("band_pitch", 36.0, TRADE),
            strip_width: t.model("joint_strip_width", reader.scale.pick(4.5, 7.0), TRADE),
            washouts,
        }
    }

    /// x of the throat.
    pub(crate) fn end(&self) -> f64 {
        self.rings.last().map_or(self.from, BoilerRing::end)
    }

    /// Smokebox joint to throat.
    pub(crate) fn length(&self) -> f64 {
        self.end() - self.from
    }

    /// The ring that reaches over `x`; the first or the last beyond the ends of the barrel.
    pub(crate) fn ring_at(&self, x: f64) -> &BoilerRing {
        let last = self.rings.len() - 1;
        self.rings[..last]
            .iter()
            .find(|ring| x < ring.end())
            .unwrap_or(&self.rings[last])
    }

    /// Radius over the cladding at `x`, carried on beyond the ends of the barrel.
    pub(crate) fn radius(&self, x: f64) -> f64 {
        self.ring_at(x).radius(x)
    }

    /// Height of the barrel's centre at `x`, carried on beyond the ends of the barrel.
    pub(crate) fn axis_height(&self, x: f64) -> f64 {
        self.ring_at(x).axis_height(x)
    }
}

/// `[[boiler.rings]]`, front to rear, each centred where the one before it ends.
fn read_chain(reader: &Reader<'_>, pitch: f64, from: f64) -> Vec<BoilerRing> {
    let mut rings: Vec<BoilerRing> = Vec::new();
    for i in 0..reader.count("boiler.rings") {
        let start = rings
            .last()
            .map_or((pitch, from), |ring| (ring.rear.axis, ring.end()));
        let before = rings.last().map(|ring| 2.0 * ring.rear.radius);
        rings.push(read_ring(
            reader,
            &format!("boiler.rings[{i}]"),
            start,
            before,
        ));
    }
    rings
}

/// One ring whose axis starts at a height and an x; `before` is the diameter that it carries on.
fn read_ring(
    reader: &Reader<'_>,
    key: &str,
    (axis, from): (f64, f64),
    before: Option<f64>,
) -> BoilerRing {
    let t = table(reader, key);
    let or = |name: &str, default: f64, source: &str| {
        // A default taken from a dimension that could not be read has been complained of there.
        if default.is_nan() && !t.has(name) {
            return default;
        }
        reader.length_or(&t.path(name), Sign::Positive, default, source)
    };
    let length = t.need("length");
    let front = match before {
        Some(diameter) => or("front_diameter", diameter, "the ring before it"),
        None => t.need("front_diameter"),
    };
    let rear = or("rear_diameter", front, "the front: parallel");
    let taper = t.one_of("taper", &TAPERS, Taper::Symmetric, CHOSEN);
    let rise = match taper {
        Taper::Symmetric => 0.0,
        Taper::FlatBottom => (rear - front) / 2.0,
    };
    BoilerRing {
        key: key.to_owned(),
        from,
        length,
        front: RingEnd {
            radius: front / 2.0,
            axis,
        },
        rear: RingEnd {
            radius: rear / 2.0,
            axis: axis + rise,
        },
    }
}
