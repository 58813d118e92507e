//! Distances from turned fittings and slabs in closed form, or by a few steps down to a sheared one.

use body::Seated;
use geom::math::{atan2, hypot};
use geom::{Outline, Placement, Point2, Point3, Vector3};

/// Steps to a sheared surface; the second already leaves less than a micron.
const STEPS: usize = 3;

/// Step of differences (mm).
const STEP_MM: f64 = 1e-4;

/// Distance from a turned solid, positive outside.
pub(super) fn turned_distance(
    point: &Point3,
    foot: &Point3,
    axis: &Vector3,
    profile: &Outline,
) -> f64 {
    let arm = point - foot;
    let along = arm.dot(axis);
    off_profile(profile, (arm - axis * along).norm(), along)
}

fn off_profile(profile: &Outline, radius: f64, along: f64) -> f64 {
    let at = Point2::new(radius, along);
    let (_, distance) = profile.nearest(at);
    if profile.contains(at) {
        -distance
    } else {
        distance
    }
}

/// Distance from a fitting whose foot follows its seat, positive outside; `None` where there is no seat.
///
/// Where the shape is sheared its own distance is no true one: the point is led down its slope to the surface.
pub(super) fn seated_distance(point: &Point3, seated: &Seated) -> Option<f64> {
    let level = level(seated, point)?;
    let mut foot = *point;
    let mut own = level;
    for _ in 0..STEPS {
        let mut slope = Vector3::zeros();
        for axis in 0..3 {
            let mut by = Vector3::zeros();
            by[axis] = STEP_MM;
            let rise = self::level(seated, &(foot + by))? - self::level(seated, &(foot - by))?;
            slope[axis] = rise / (2.0 * STEP_MM);
        }
        let square = slope.norm_squared();
        if square < 0.01 {
            return None;
        }
        foot -= slope * (own / square);
        own = self::level(seated, &foot)?;
    }
    let distance = (point - foot).norm();
    Some(if level < 0.0 { -distance } else { distance })
}

/// How far a point lies off the turned shape once the shear is taken back: zero on the surface.
fn level(seated: &Seated, point: &Point3) -> Option<f64> {
    let (x, y) = (point.x - seated.foot.x, point.y - seated.foot.y);
    let radius = hypot(x, y);
    let angle = atan2(y, x);
    let mut height = point.z - seated.foot.z;
    for _ in 0..20 {
        let place = seated.place(radius, angle, height)?;
        let off = point.z - place.point.z;
        height += off / place.stretch;
        if off.abs() < 1e-10 {
            break;
        }
    }
    Some(off_profile(&seated.profile, radius, height))
}

/// Distance from the side of a slab, positive outside; `None` where a face is nearer, whose facets lie in it.
pub(super) fn slab_distance(
    point: &Point3,
    placement: &Placement,
    outline: &Outline,
    holes: &[Outline],
    (low, high): (f64, f64),
) -> Option<f64> {
    let at = placement.project(*point);
    let height = (point - placement.origin).dot(&placement.normal());
    if height < low || height > high {
        return None;
    }
    let all = std::iter::once(outline).chain(holes);
    let distance = all
        .map(|own| own.nearest(at).1)
        .fold(f64::INFINITY, f64::min);
    let in_metal = outline.contains(at) && !holes.iter().any(|hole| hole.contains(at));
    if !in_metal {
        return Some(distance);
    }
    let to_face = (height - low).min(high - height);
    (distance < to_face).then_some(-distance)
}
