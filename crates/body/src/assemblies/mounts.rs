//! Turned fittings on top of the engine, for looking at: chimney, dome, safety-valve cover.
//!
//! Their skirts fit what they stand on.

use super::seat::{SEAT_CLEARANCE, Seats};
use crate::error::AtKey;
use crate::laminations::witness_ring_in_plan;
use crate::{Body, BodyError, Fitting, FittingShape, Look, Model, Plate, Seated};
use geom::math::{FRAC_PI_2, sin};
use geom::{BodyPoint, Chain, ChainBuilder, Outline, Point2, Segment};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let seats = Seats::of(model, SEAT_CLEARANCE)?;
    let edge = edge_thickness(model);
    if let Some(c) = &model.chimney {
        let mount = Mount::on(&seats, "chimney", c.x, c.top)?;
        let foot = Foot {
            radius: c.base_diameter / 2.0,
            stem: c.waist_diameter / 2.0,
            flare: c.flare,
            edge,
        };
        ring_under(model, body, "chimney", c.x, c.base_diameter);
        let cap = c.cap_diameter / 2.0;
        body.fittings.push(
            mount.fitting(("chimney", "smokebox"), &foot, |start, rest| {
                chimney_top(start, rest, mount.height, cap - foot.stem)
            })?,
        );
    }
    if let Some(d) = &model.dome {
        let mount = Mount::on(&seats, "dome", d.x, d.top)?;
        let foot = Foot {
            radius: d.skirt_diameter / 2.0,
            stem: d.diameter / 2.0,
            flare: d.flare,
            edge,
        };
        ring_under(model, body, "dome", d.x, d.skirt_diameter);
        body.fittings
            .push(mount.fitting(("dome", "boiler"), &foot, |start, rest| {
                let stem = rest - foot.stem;
                (stem > 0.0).then(|| start.line(stem).arc(foot.stem, FRAC_PI_2).finish())
            })?);
    }
    if let Some(s) = &model.safety_valves {
        let mount = Mount::on(&seats, "safety_valves", s.x, s.top)?;
        ring_under(model, body, "safety-valves", s.x, s.diameter);
        let radius = s.diameter / 2.0;
        let stem = 0.72 * radius;
        let foot = Foot {
            radius,
            stem,
            flare: (radius - stem).min(0.4 * mount.height),
            edge: edge.min(0.2 * mount.height),
        };
        body.fittings.push(mount.fitting(
            ("safety-valve-cover", "firebox"),
            &foot,
            |start, rest| {
                let run = start
                    .line(0.85 * rest)
                    .corner(FRAC_PI_2 / 2.0)
                    .line(0.15 * rest / sin(FRAC_PI_2 / 2.0))
                    .finish();
                (run.end().x > 0.0).then_some(run)
            },
        )?);
    }
    Ok(())
}

/// Half-etches a ring just inside the foot of a fitting on the outermost wrapper that is bored for it.
fn ring_under(model: &Model, body: &mut Body, feature: &str, x: f64, foot: f64) {
    let bored =
        |plate: &&mut Plate| plate.hole(feature).is_some() && plate.forming.loft().is_some();
    // Overlays are listed after their bases.
    if let Some(plate) = body.plates.iter_mut().rfind(bored) {
        // Hidden once the fitting stands on it: common practice, no source.
        witness_ring_in_plan(model, plate, feature, (x, 0.0), 0.92 * foot);
    }
}

/// Thickness of a skirt's edge: half an inch on the engine, and no less than can be cast (mm): common
/// practice, no source.
fn edge_thickness(model: &Model) -> f64 {
    (0.5 / 12.0 * model.scale.mm_per_foot()).max(model.scale.pick(0.25, 0.4))
}

/// Where a fitting stands, and how high it is over its seat (mm).
struct Mount<'a> {
    key: &'static str,
    foot: BodyPoint,
    height: f64,
    seats: &'a Seats,
}

/// The lower part of a fitting (mm): radius of its foot and of the stem, radius of the flare between
/// them, thickness of the foot's edge.
struct Foot {
    radius: f64,
    stem: f64,
    flare: f64,
    edge: f64,
}

impl<'a> Mount<'a> {
    fn on(seats: &'a Seats, key: &'static str, x: f64, top: f64) -> Result<Self, BodyError> {
        let Some((_, seat)) = seats.top(x) else {
            return Err(BodyError::Shape {
                path: format!("{key}.x"),
                sentence: format!("there is nothing at {x:.2} mm for it to stand on"),
                help: "it stands on the smokebox, the boiler or the firebox".to_owned(),
            });
        };
        let height = top - seat;
        let holds = height > 0.0;
        if !holds {
            return Err(too_low(key));
        }
        Ok(Self {
            key,
            foot: BodyPoint::new(x, 0.0, seat),
            height,
            seats,
        })
    }

    /// The fitting whose upper part `top` lays from the end of the flare with a height that is left (mm).
    fn fitting(
        &self,
        (id, assembly): (&str, &'static str),
        foot: &Foot,
        top: impl Fn(ChainBuilder, f64) -> Option<Chain>,
    ) -> Result<Fitting, BodyError> {
        let key = self.key;
        let flared = flared_foot(foot);
        let flare_top = flared.position().y;
        let rest = self.height - flare_top;
        let run = (rest > 0.0)
            .then(|| top(flared, rest))
            .flatten()
            .ok_or_else(|| too_low(key))?;
        let (seat, _) = self
            .seats
            .top(self.foot.x)
            .expect("a mount stands on a seat");
        let seated = Seated {
            foot: self.foot,
            profile: closed_to_axis(&run, key)?,
            seat: seat.clone(),
            // A little way up the stem, so that a flare on steep ground is not turned over.
            blend: (foot.edge, flare_top + 0.25 * rest),
        };
        if !seated.stands() {
            return Err(BodyError::Shape {
                path: key.to_owned(),
                sentence:
                    "its foot is wider than what it stands on, or the ground under it is too steep"
                        .to_owned(),
                help: "make the foot smaller, or check where it stands".to_owned(),
            });
        }
        Ok(Fitting {
            id: id.to_owned(),
            assembly,
            shape: FittingShape::Seated(Box::new(seated)),
            look: Look::Turned,
        })
    }
}

fn too_low(key: &str) -> BodyError {
    BodyError::Shape {
        path: format!("{key}.top"),
        sentence: "it is too low for what it stands on".to_owned(),
        help: "its top is measured above rail; check it against the height of what it stands on, and the radius of its flare".to_owned(),
    }
}

/// From the rim of the foot up its edge and by the flare into the stem.
///
/// The flare is a quarter arc, or less if the foot is not wide enough for one.
fn flared_foot(foot: &Foot) -> ChainBuilder {
    let spread = (foot.radius - foot.stem).max(0.01);
    let radius = foot.flare.min(spread);
    Chain::starting(Point2::new(foot.stem + spread, 0.0), FRAC_PI_2)
        .line(foot.edge)
        .corner(FRAC_PI_2)
        .line(spread - radius)
        .arc(radius, -FRAC_PI_2)
}

/// Stem, cap and rim of a chimney `height` high whose cap stands `lip` out of the stem (mm).
fn chimney_top(start: ChainBuilder, rest: f64, height: f64, lip: f64) -> Option<Chain> {
    let cap = 0.16 * height;
    let stem = rest - cap;
    (stem > 0.0 && lip > 0.0).then(|| {
        start
            .line(stem)
            .corner(-FRAC_PI_2)
            .line(lip)
            .corner(FRAC_PI_2)
            .line(0.55 * cap)
            .corner(FRAC_PI_2)
            .line(0.6 * lip)
            .corner(-FRAC_PI_2)
            .line(0.45 * cap)
            .finish()
    })
}

/// A profile from the foot on the axis outwards, up the outside and back to the axis at the top.
pub(super) fn closed_to_axis(outside: &Chain, path: &str) -> Result<Outline, BodyError> {
    let (start, end) = (outside.start(), outside.end());
    let (foot, top) = (Point2::new(0.0, start.y), Point2::new(0.0, end.y));
    let run = [Segment::line(foot, start)]
        .into_iter()
        .chain(outside.segments().iter().copied())
        .chain([Segment::line(end, top), Segment::line(top, foot)]);
    Outline::from_chain(&Chain::from_segments(run)).at_key(path)
}
