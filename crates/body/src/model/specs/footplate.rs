//! Footplate, valances and beams.

use super::{CHOSEN, TRADE, table};
use crate::BodyError;
use crate::error::AtKey;
use crate::model::reader::Reader;
use geom::math::{FRAC_PI_2, sin};
use geom::{Chain, Point2};

/// An end of the engine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum End {
    /// Where x is zero.
    Front,
    /// Where x is the footplate's length.
    Rear,
}

impl End {
    /// Both ends, front first.
    pub(crate) const BOTH: [Self; 2] = [Self::Front, Self::Rear];

    /// The word used in model files and in names.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Rear => "rear",
        }
    }

    fn read(t: &super::Table<'_, '_>) -> Self {
        let words = [("front", Self::Front), ("rear", Self::Rear)];
        t.one_of("end", &words, Self::Front, "the usual end")
    }
}

/// How a footplate changes its level.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum DropShape {
    /// Two arcs bent opposite ways.
    Ogee,
    /// Down at a right angle, rounded by a quarter arc above and below.
    Quarter,
}

/// `[[footplate.drops]]`: towards one end the footplate lies at another level.
#[derive(Clone, Debug)]
pub(crate) struct DropSpec {
    pub(crate) end: End,
    pub(crate) shape: DropShape,
    /// Where the curve begins, measured from that end.
    pub(crate) from: f64,
    /// Height of the top between that end and the curve.
    pub(crate) level: f64,
    /// Radius of the convex arc, to the top surface.
    pub(crate) upper_radius: f64,
    /// Radius of the concave arc, to the top surface.
    pub(crate) lower_radius: f64,
}

/// The curve of a drop, from the end of the engine inwards.
#[derive(Clone, Copy, Debug)]
pub(crate) struct DropCurve {
    /// Angle of each arc (rad).
    pub(crate) angle: f64,
    /// Length in plan (mm).
    pub(crate) run: f64,
    /// Upright line between the arcs (mm).
    pub(crate) upright: f64,
    /// Radii of the arc next to the end and of the one next to the main level.
    radii: (f64, f64),
    /// 1 where the footplate rises from the end inwards, −1 where it falls.
    rise: f64,
}

impl DropCurve {
    /// Length over the arcs (mm), on any line parallel to them: with both radii given to one surface
    /// the thickness cancels.
    pub(crate) fn developed(&self) -> f64 {
        (self.radii.0 + self.radii.1) * self.angle + self.upright
    }
}

impl DropSpec {
    fn read(reader: &Reader<'_>, name: &str) -> Self {
        let t = table(reader, name);
        let shapes = [("ogee", DropShape::Ogee), ("quarter", DropShape::Quarter)];
        let (upper, lower) = (t.maybe("upper_radius"), t.maybe("lower_radius"));
        // One radius for both arcs, unless each has its own.
        let both = match (upper, lower) {
            (Some(upper), Some(_)) => upper,
            _ => t.need("radius"),
        };
        Self {
            end: End::read(&t),
            shape: t.one_of("shape", &shapes, DropShape::Ogee, TRADE),
            from: t.need("from"),
            level: t.need("level"),
            upper_radius: upper.unwrap_or(both),
            lower_radius: lower.unwrap_or(both),
        }
    }

    /// Solves the curve between this level and the main one.
    pub(crate) fn curve(&self, top: f64) -> Result<DropCurve, geom::GeomError> {
        let fall = top - self.level;
        let rise = if fall < 0.0 { -1.0 } else { 1.0 };
        let radii = if fall < 0.0 {
            (self.upper_radius, self.lower_radius)
        } else {
            (self.lower_radius, self.upper_radius)
        };
        let (angle, run, upright) = match self.shape {
            DropShape::Ogee => {
                let s = geom::tangency::reverse_curve(fall.abs(), radii.0, radii.1)?;
                (s.angle, s.run, 0.0)
            }
            DropShape::Quarter => {
                let sum = radii.0 + radii.1;
                // Written so that a radius that is not a number is refused too.
                let fits = sum <= fall.abs();
                if !fits {
                    return Err(geom::GeomError::NoTangency {
                        what: "sum of the radii of a quarter drop against its height",
                        found_mm: sum,
                        low_mm: 0.0,
                        high_mm: fall.abs(),
                    });
                }
                (FRAC_PI_2, sum, fall.abs() - sum)
            }
        };
        Ok(DropCurve {
            angle,
            run,
            upright,
            radii,
            rise,
        })
    }

    /// Height of the top at a distance from the end.
    fn top_at(&self, from_end: f64, top: f64) -> f64 {
        let Ok(curve) = self.curve(top) else {
            return top;
        };
        let along = from_end - self.from;
        if along <= 0.0 {
            return self.level;
        }
        if along >= curve.run {
            return top;
        }
        let bow = |radius: f64, x: f64| radius - (radius * radius - x * x).max(0.0).sqrt();
        let near = curve.radii.0 * sin(curve.angle);
        if along <= near {
            self.level + curve.rise * bow(curve.radii.0, along)
        } else {
            top - curve.rise * bow(curve.radii.1, curve.run - along)
        }
    }
}

/// `[drag_beam]`: a plain beam with a slot for the drawbar, where engine and tender are coupled.
#[derive(Clone, Debug)]
pub(crate) struct DragBeamSpec {
    pub(crate) end: End,
    pub(crate) bottom: f64,
    pub(crate) width: f64,
    /// How far the pin of the drawbar stands inside the beam's face.
    pub(crate) pin: f64,
    /// Gap to the beam of the vehicle that is coupled on.
    pub(crate) gap: f64,
}

/// A level part of the footplate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Level {
    /// `""` for the main level, else `-front` or `-rear`.
    pub(crate) suffix: &'static str,
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) top: f64,
}

/// `[footplate]`, its valances and beams.
#[derive(Clone, Debug)]
pub(crate) struct FootplateSpec {
    pub(crate) length: f64,
    /// Height of the main level's top; [`FootplateSpec::top_at`] gives it at any place.
    pub(crate) top: f64,
    pub(crate) width: f64,
    pub(crate) drops: Vec<DropSpec>,
    pub(crate) valance_depth: f64,
    pub(crate) valance_inset: f64,
    pub(crate) beading: f64,
    pub(crate) beam_bottom: f64,
    pub(crate) beam_width: f64,
    pub(crate) drag_beam: Option<DragBeamSpec>,
}

impl FootplateSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "footplate");
        let valance = table(reader, "footplate.valances");
        let beam = table(reader, "buffer_beams");
        let drops = super::each(reader, "footplate.drops", DropSpec::read);
        for end in End::BOTH {
            let mut at_end = (0..drops.len()).filter(|i| drops[*i].end == end);
            if let (Some(_), Some(second)) = (at_end.next(), at_end.next()) {
                reader.problem(
                    &format!("footplate.drops[{second}].end"),
                    format!("the footplate has two drops at its {} end", end.word()),
                    "one drop an end is made",
                );
            }
        }
        Self {
            length: t.need("length"),
            top: t.need("top"),
            width: t.need("width"),
            drops,
            valance_depth: valance.inches("depth", 8.0, TRADE),
            valance_inset: valance.inches("set_in", 2.0, TRADE),
            beading: valance.inches("beading", 1.0, TRADE),
            beam_bottom: beam.need("bottom"),
            beam_width: beam.need("width"),
            drag_beam: reader.has("drag_beam").then(|| {
                let t = table(reader, "drag_beam");
                DragBeamSpec {
                    end: End::read(&t),
                    bottom: t.need("bottom"),
                    width: t.need("width"),
                    pin: t.inches("pin", 9.0, CHOSEN),
                    gap: t.inches("gap", 15.0, CHOSEN),
                }
            }),
        }
    }

    /// The drag beam, if it is at this end.
    pub(crate) fn drag_beam_at(&self, end: End) -> Option<&DragBeamSpec> {
        self.drag_beam.as_ref().filter(|beam| beam.end == end)
    }

    fn drop_at(&self, end: End) -> Option<(usize, &DropSpec)> {
        let mut drops = self.drops.iter().enumerate();
        drops.find(|(_, drop)| drop.end == end)
    }

    /// Height of the footplate's top surface at `x` (mm); beyond the ends that of the ends.
    pub(crate) fn top_at(&self, x: f64) -> f64 {
        for (end, from_end) in [(End::Front, x), (End::Rear, self.length - x)] {
            if let Some((_, drop)) = self.drop_at(end) {
                let height = drop.top_at(from_end, self.top);
                if height != self.top {
                    return height;
                }
            }
        }
        self.top
    }

    /// The level parts, front to rear.
    pub(crate) fn levels(&self) -> Vec<Level> {
        let reach = |end: End| {
            self.drop_at(end).and_then(|(_, drop)| {
                let curve = drop.curve(self.top).ok()?;
                Some((drop.from, drop.from + curve.run, drop.level))
            })
        };
        let (front, rear) = (reach(End::Front), reach(End::Rear));
        let mut levels = Vec::new();
        if let Some((to, _, top)) = front {
            levels.push(Level {
                suffix: "-front",
                from: 0.0,
                to,
                top,
            });
        }
        levels.push(Level {
            suffix: "",
            from: front.map_or(0.0, |(_, inner, _)| inner),
            to: self.length - rear.map_or(0.0, |(_, inner, _)| inner),
            top: self.top,
        });
        if let Some((from, _, top)) = rear {
            levels.push(Level {
                suffix: "-rear",
                from: self.length - from,
                to: self.length,
                top,
            });
        }
        levels
    }

    /// The top surface seen from the side, x and height, from the front end to the rear.
    ///
    /// # Errors
    ///
    /// [`BodyError::Shape`] where a drop's radii do not join its levels, or the drops meet.
    pub(crate) fn profile(&self) -> Result<Chain, BodyError> {
        let solved = |end: End| {
            self.drop_at(end)
                .map(|(i, drop)| {
                    drop.curve(self.top)
                        .at_key(&format!("footplate.drops[{i}].radius"))
                        .map(|curve| (drop, curve))
                })
                .transpose()
        };
        let (front, rear) = (solved(End::Front)?, solved(End::Rear)?);
        let taken = |own: &Option<(&DropSpec, DropCurve)>| {
            own.as_ref()
                .map_or(0.0, |(drop, curve)| drop.from + curve.run)
        };
        let middle = self.length - taken(&front) - taken(&rear);
        let is_left = middle > 0.0;
        if !is_left {
            return Err(BodyError::Shape {
                path: "footplate.drops".to_owned(),
                sentence: "the drops leave no footplate between them".to_owned(),
                help: "`from` is measured from the end of the engine to where the curve begins"
                    .to_owned(),
            });
        }
        let start = front.as_ref().map_or(self.top, |(drop, _)| drop.level);
        let mut chain = Chain::starting(Point2::new(0.0, start), 0.0);
        if let Some((drop, c)) = &front {
            chain = chain
                .line(drop.from)
                .arc(c.radii.0, c.rise * c.angle)
                .line(c.upright)
                .arc(c.radii.1, -c.rise * c.angle);
        }
        chain = chain.line(middle);
        if let Some((drop, c)) = &rear {
            chain = chain
                .arc(c.radii.1, -c.rise * c.angle)
                .line(c.upright)
                .arc(c.radii.0, c.rise * c.angle)
                .line(drop.from);
        }
        Ok(chain.finish())
    }
}
