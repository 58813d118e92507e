//! Turned fittings on upright faces, for looking at: smokebox door, buffers.

use crate::model::specs::End;
use super::mounts::closed_to_axis;
use crate::{Body, BodyError, Fitting, FittingShape, Look, Model};
use geom::math::{FRAC_PI_2, asin, cos};
use geom::{Chain, Outline, Point2, Point3, Vector3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    if model.smokebox.is_some() {
        body.fittings.push(smokebox_door(model)?);
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
        closed_to_axis(&run, "smokebox.door_diameter")?,
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
