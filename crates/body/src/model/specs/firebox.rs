//! The firebox.

use super::{CHOSEN, TRADE, Table, each, table};
use crate::model::reader::Reader;

/// How a firebox is shaped over its sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum FireboxShape {
    /// Crown and shoulders above flat sides.
    Belpaire,
    /// A circle about the boiler's axis.
    RoundTop,
}

/// One end of a firebox.
#[derive(Clone, Debug)]
pub(crate) struct FireboxEnd {
    /// Height of the crown; not of a round top, which stands about the boiler's axis.
    pub(crate) crown: f64,
    /// Half width where the sides end: at the waist, or at the footplate.
    pub(crate) half_width: f64,
    /// Infinite for a flat crown.
    pub(crate) crown_radius: f64,
    pub(crate) shoulder_radius: f64,
    /// Angle of the sides from the vertical (rad), positive where the box widens going down.
    pub(crate) lean: f64,
    /// Of a round top.
    pub(crate) radius: f64,
    pub(crate) waist: Option<FireboxWaist>,
}

/// How an end comes in to its foot.
#[derive(Clone, Debug)]
pub(crate) struct FireboxWaist {
    /// Where it begins; `None` where the circle of a round top runs straight into it.
    pub(crate) from: Option<f64>,
    /// Upper radius; not a number where the circle of a round top runs straight into the waist.
    pub(crate) convex_radius: f64,
    pub(crate) concave_radius: f64,
    pub(crate) bottom_half_width: f64,
}

/// `[[firebox.washouts]]`: a pair of rings, left and right.
#[derive(Clone, Debug)]
pub(crate) struct FireboxWashout {
    pub(crate) x: f64,
    pub(crate) height: f64,
    pub(crate) diameter: f64,
}

/// `[firebox]`.
#[derive(Clone, Debug)]
pub(crate) struct FireboxSpec {
    pub(crate) shape: FireboxShape,
    pub(crate) length: f64,
    pub(crate) front: FireboxEnd,
    pub(crate) rear: FireboxEnd,
    /// By how much a round top stands over the cladding where the file gives no radius.
    over_cladding: f64,
    /// Half width at the foot of the narrower end.
    pub(crate) bottom_half_width: f64,
    /// From the vertical (rad), the top nearer the front.
    pub(crate) backhead_slope: f64,
    /// From the vertical (rad), below the barrel, the foot further back.
    pub(crate) throat_slope: f64,
    pub(crate) washouts: Vec<FireboxWashout>,
    pub(crate) firehole_diameter: f64,
    pub(crate) firehole_height: f64,
    pub(crate) studding: f64,
}

impl FireboxSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "firebox");
        let shapes = [
            ("belpaire", FireboxShape::Belpaire),
            ("round-top", FireboxShape::RoundTop),
        ];
        let shape = t.one_of("shape", &shapes, FireboxShape::Belpaire, CHOSEN);
        let end = |name: &str| {
            let own = table(reader, name);
            let ends = Ends {
                own: &own,
                common: &t,
            };
            match shape {
                FireboxShape::Belpaire => ends.belpaire(),
                FireboxShape::RoundTop => ends.round_top(),
            }
        };
        Self {
            shape,
            length: t.need("length"),
            front: end("firebox.front"),
            rear: end("firebox.rear"),
            over_cladding: match shape {
                FireboxShape::Belpaire => 0.0,
                FireboxShape::RoundTop => t.inches("over_cladding", 1.0, TRADE),
            },
            bottom_half_width: f64::NAN,
            backhead_slope: t.degrees("backhead_slope_deg", 0.0..=20.0, 0.0, CHOSEN),
            throat_slope: t.degrees("throat_slope_deg", 0.0..=30.0, 0.0, CHOSEN),
            washouts: each(reader, "firebox.washouts", |reader, name| {
                let t = table(reader, name);
                FireboxWashout {
                    x: t.place("x"),
                    height: t.need("height"),
                    diameter: t.inches("diameter", 3.0, CHOSEN),
                }
            }),
            firehole_diameter: t.inches("firehole_diameter", 15.0, CHOSEN),
            firehole_height: t.inches("firehole_height", 27.0, CHOSEN),
            studding: t.model("studding_hole", reader.scale.pick(2.1, 3.5), TRADE),
        }
    }

    /// The firebox behind a barrel of a radius and a height of its axis at the throat (mm): a round top's
    /// radius follows where the file gives none, the rear's from the front's.
    pub(crate) fn behind(mut self, barrel_radius: f64, axis: f64) -> Self {
        if self.shape == FireboxShape::RoundTop {
            let or = |radius: f64, other: f64| if radius.is_nan() { other } else { radius };
            self.front.radius = or(self.front.radius, barrel_radius + self.over_cladding);
            self.rear.radius = or(self.rear.radius, self.front.radius);
            for end in [&mut self.front, &mut self.rear] {
                end.half_width = end.radius;
                end.crown = axis + end.radius;
            }
        }
        let at = |end: &FireboxEnd| match &end.waist {
            Some(waist) => waist.bottom_half_width,
            None => end.half_width,
        };
        self.bottom_half_width = at(&self.front).min(at(&self.rear));
        self
    }
}

/// The table of one end, and the one of both, whose values hold where the end has none of its own.
struct Ends<'a, 'r, 't> {
    own: &'a Table<'r, 't>,
    common: &'a Table<'r, 't>,
}

impl<'a, 'r, 't> Ends<'a, 'r, 't> {
    /// A dimension of the end, or else of both.
    fn need(&self, key: &str) -> f64 {
        self.maybe(key).unwrap_or_else(|| self.common.need(key))
    }

    fn maybe(&self, key: &str) -> Option<f64> {
        // Asked for either way, so that a value which both ends override is no unknown key.
        let common = self.common.maybe(key);
        self.own.maybe(key).or(common)
    }

    fn has(&self, key: &str) -> bool {
        self.own.has(key) || self.common.has(key)
    }

    fn lean(&self) -> f64 {
        let read = |t: &Table<'r, 't>| t.degrees("side_lean_deg", -10.0..=10.0, 0.0, CHOSEN);
        if self.own.has("side_lean_deg") {
            read(self.own)
        } else {
            read(self.common)
        }
    }

    fn belpaire(&self) -> FireboxEnd {
        // These usually differ from end to end, and are missed there.
        let own = |key: &str| self.maybe(key).unwrap_or_else(|| self.own.need(key));
        FireboxEnd {
            crown: own("crown"),
            half_width: own("half_width"),
            crown_radius: self.maybe("crown_radius").unwrap_or(f64::INFINITY),
            shoulder_radius: self.need("shoulder_radius"),
            lean: self.lean(),
            radius: f64::NAN,
            waist: self.has("waist_from").then(|| FireboxWaist {
                from: Some(self.need("waist_from")),
                convex_radius: self.need("waist_convex_radius"),
                concave_radius: self.need("waist_concave_radius"),
                bottom_half_width: self.need("bottom_half_width"),
            }),
        }
    }

    fn round_top(&self) -> FireboxEnd {
        let from = self.maybe("waist_from");
        FireboxEnd {
            crown: f64::NAN,
            half_width: f64::NAN,
            crown_radius: f64::NAN,
            shoulder_radius: f64::NAN,
            lean: 0.0,
            radius: self.maybe("radius").unwrap_or(f64::NAN),
            waist: (from.is_some() || self.has("waist_concave_radius")).then(|| FireboxWaist {
                from,
                convex_radius: match from {
                    Some(_) => self.need("waist_convex_radius"),
                    None => f64::NAN,
                },
                concave_radius: self.need("waist_concave_radius"),
                bottom_half_width: self.need("bottom_half_width"),
            }),
        }
    }
}
