//! Turned fittings, for looking at: chimney, dome, safety-valve cover, smokebox door, buffers.
//!
//! Their feet stand a little inside the plate that they sit on; skirts that fit are another matter.

use crate::model::specs::End;
use crate::{Body, BodyError, Fitting, FittingShape, Look, Model};
use geom::math::{FRAC_PI_2, asin, cos, sin};
use geom::{Chain, Outline, Point2, Point3, Segment, Vector3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let turned: [(bool, fn(&Model) -> Result<Fitting, BodyError>); 4] = [
        (model.chimney.is_some(), chimney),
        (model.dome.is_some(), dome),
        (model.safety_valves.is_some(), safety_valves),
        (model.smokebox.is_some(), smokebox_door),
    ];
    for (_, make) in turned.iter().filter(|(present, _)| *present) {
        body.fittings.push(make(model)?);
    }
    for front in [true, false] {
        let end = if front { End::Front } else { End::Rear };
        if model.footplate.drag_beam_at(end).is_some() {
            continue;
        }
        for left in [true, false] {
            body.fittings.push(buffer(model, front, left));
        }
    }
    Ok(())
}

fn turned(
    id: &str,
    assembly: &'static str,
    foot: Point3,
    axis: Vector3,
    profile: Outline,
    look: Look,
) -> Fitting {
    Fitting {
        id: id.to_owned(),
        assembly,
        shape: FittingShape::Turned {
            foot,
            axis,
            profile,
        },
        look,
    }
}

/// A profile from the foot on the axis outwards, up the outside and back to the axis at the top.
fn closed_to_axis(outside: Chain, path: &str) -> Result<Outline, BodyError> {
    use crate::error::AtKey;
    let (start, end) = (outside.start(), outside.end());
    let (foot, top) = (Point2::new(0.0, start.y), Point2::new(0.0, end.y));
    let run = [Segment::line(foot, start)]
        .into_iter()
        .chain(outside.segments().iter().copied())
        .chain([Segment::line(end, top), Segment::line(top, foot)]);
    Outline::from_chain(&Chain::from_segments(run)).at_key(path)
}

fn too_low(path: &str, what: &str) -> BodyError {
    BodyError::Shape {
        path: path.to_owned(),
        sentence: format!("the {what} ends below the plate that it stands on"),
        help: "its top is measured above rail".to_owned(),
    }
}

/// A flared foot of `foot` radius running by an arc of `flare` up into a stem of `stem` radius.
fn flared_foot(foot: f64, stem: f64, flare: f64, bottom: f64, skirt: f64) -> geom::ChainBuilder {
    // The flare is a quarter arc, or less if the foot is not wide enough for one.
    let radius = flare.min((foot - stem).max(0.01));
    let flat = foot - stem - radius;
    let start = Point2::new(foot, bottom);
    Chain::starting(start, FRAC_PI_2)
        .line(skirt)
        .corner(FRAC_PI_2)
        .line(flat)
        .arc(radius, -FRAC_PI_2)
}

fn chimney(model: &Model) -> Result<Fitting, BodyError> {
    let c = model.chimney();
    let seat = model.boiler().pitch + model.smokebox().diameter / 2.0;
    let (waist, cap, base) = (
        c.waist_diameter / 2.0,
        c.cap_diameter / 2.0,
        c.base_diameter / 2.0,
    );
    let big = model.smokebox().diameter / 2.0;
    let sink = big - (big * big - base.min(big) * base.min(big)).max(0.0).sqrt();
    let height = c.top - seat;
    let cap_height = 0.16 * height;
    let skirt = 0.06 * height;
    let flared = flared_foot(base, waist, c.flare, -sink, sink + skirt);
    let stem = height - cap_height - flared.position().y;
    if height <= 0.0 || stem <= 0.0 {
        return Err(too_low("chimney.top", "chimney"));
    }
    let lip = cap - waist;
    let run = flared
        .line(stem)
        .corner(-FRAC_PI_2)
        .line(lip)
        .corner(FRAC_PI_2)
        .line(0.55 * cap_height)
        .corner(FRAC_PI_2)
        .line(0.6 * lip)
        .corner(-FRAC_PI_2)
        .line(0.45 * cap_height)
        .finish();
    let foot = Point3::new(c.x, 0.0, seat);
    Ok(turned(
        "chimney",
        "smokebox",
        foot,
        Vector3::z(),
        closed_to_axis(run, "chimney")?,
        Look::Turned,
    ))
}

fn dome(model: &Model) -> Result<Fitting, BodyError> {
    let d = model.dome();
    let radius = model.boiler().radius(d.x);
    let seat = model.boiler().axis_height(d.x) + radius;
    let (body_radius, skirt) = (d.diameter / 2.0, d.skirt_diameter / 2.0);
    let sink = radius
        - (radius * radius - skirt.min(radius) * skirt.min(radius))
            .max(0.0)
            .sqrt();
    let height = d.top - seat;
    let flared = flared_foot(skirt, body_radius, d.flare, -sink, sink + 0.03 * height);
    let stem = height - body_radius - flared.position().y;
    if height <= 0.0 || stem <= 0.0 {
        return Err(too_low("dome.top", "dome"));
    }
    let run = flared.line(stem).arc(body_radius, FRAC_PI_2).finish();
    let foot = Point3::new(d.x, 0.0, seat);
    Ok(turned(
        "dome",
        "boiler",
        foot,
        Vector3::z(),
        closed_to_axis(run, "dome")?,
        Look::Turned,
    ))
}

fn safety_valves(model: &Model) -> Result<Fitting, BodyError> {
    let s = model.safety_valves();
    let f = model.firebox();
    let share = (s.x - super::firebox::front_x(model)) / f.length;
    let seat = f.front.crown + (f.rear.crown - f.front.crown) * share;
    let height = s.top - seat;
    if height <= 0.0 {
        return Err(too_low("safety_valves.top", "safety-valve cover"));
    }
    let foot_radius = s.diameter / 2.0;
    let stem = 0.72 * foot_radius;
    let flare = (foot_radius - stem).min(0.4 * height);
    // A little below the crown, which is cambered and slopes.
    let sink = 0.05 * height;
    let flared = flared_foot(foot_radius, stem, flare, -sink, sink + 0.05 * height);
    let rest = height - flared.position().y;
    let run = flared
        .line(0.85 * rest)
        .corner(FRAC_PI_2 / 2.0)
        .line(0.15 * rest / sin(FRAC_PI_2 / 2.0))
        .finish();
    let foot = Point3::new(s.x, 0.0, seat);
    Ok(turned(
        "safety-valve-cover",
        "firebox",
        foot,
        Vector3::z(),
        closed_to_axis(run, "safety_valves")?,
        Look::Turned,
    ))
}

/// A dished door on its ring, seen from the front.
fn smokebox_door(model: &Model) -> Result<Fitting, BodyError> {
    let s = model.smokebox();
    let ring = s.door_diameter / 2.0;
    let door = 0.92 * ring;
    let thick = 0.04 * s.door_diameter;
    // A dish of a tenth of the door's diameter.
    let dish = 0.1 * s.door_diameter;
    let dish_radius = (door * door + dish * dish) / (2.0 * dish);
    let half = asin(door / dish_radius);
    let run = Chain::starting(Point2::new(ring, 0.0), FRAC_PI_2)
        .line(thick)
        .corner(FRAC_PI_2)
        .line(ring - door)
        // The dish leaves the ring at the slope of its sphere.
        .corner(-half)
        .arc(dish_radius, half)
        .finish();
    debug_assert!((run.end().x).abs() < 1e-6 && cos(half) > 0.0);
    let foot = Point3::new(s.front, 0.0, model.boiler().pitch);
    Ok(turned(
        "smokebox-door",
        "smokebox",
        foot,
        -Vector3::x(),
        closed_to_axis(run, "smokebox.door_diameter")?,
        Look::Turned,
    ))
}

fn buffer(model: &Model, front: bool, left: bool) -> Fitting {
    let b = &model.buffers;
    let (end, x, axis) = if front {
        ("front", 0.0, -Vector3::x())
    } else {
        ("rear", model.footplate.length, Vector3::x())
    };
    let (hand, y) = if left {
        ("left", b.centres / 2.0)
    } else {
        ("right", -b.centres / 2.0)
    };
    let p = b.projection;
    let head = b.head / 2.0;
    let (base, stock, ram) = (0.75 * head, 0.45 * head, 0.28 * head);
    let profile = Outline::polygon(&[
        Point2::new(0.0, 0.0),
        Point2::new(base, 0.0),
        Point2::new(base, 0.08 * p),
        Point2::new(stock, 0.14 * p),
        Point2::new(stock * 0.9, 0.6 * p),
        Point2::new(ram, 0.6 * p),
        Point2::new(ram, 0.92 * p),
        Point2::new(head, 0.95 * p),
        Point2::new(head * 0.97, 0.98 * p),
        Point2::new(0.0, p),
    ]);
    turned(
        &format!("buffer-{end}-{hand}"),
        "footplate",
        Point3::new(x, y, b.height),
        axis,
        profile,
        Look::Steel,
    )
}
