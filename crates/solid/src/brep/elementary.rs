//! Circles, and the cylinders and cones between them: what other programs know a hole by.

use super::space_curve::SpaceCurve;
use geom::{Point3, Vector3};

/// Curves and surfaces further than this from a circle, a cylinder or a cone are none (mm).
const SAME_MM: f64 = 1e-9;

/// Arcs of less than twice this rise too little over their chord to tell their radius (rad).
const LEAST_RAD: f64 = 1e-3;

/// The circle that an arc is part of.
#[derive(Clone, Copy, Debug)]
pub(super) struct Circle {
    pub(super) centre: Point3,
    /// Unit vector about which the arc runs anticlockwise.
    pub(super) axis: Vector3,
    /// Unit vector from the centre to the middle of the arc.
    pub(super) middle: Vector3,
    /// Radius (mm).
    pub(super) radius: f64,
}

impl Circle {
    /// The circle of a rational curve of degree two by its poles and the middle one's weight; `None` for another conic, and
    /// where the arc is too flat to tell.
    pub(super) fn of(poles: &[Point3; 3], weight: f64) -> Option<Self> {
        let [start, crossing, end] = poles;
        let half_chord = (end - start) / 2.0;
        let foot = start + half_chord;
        let rise = crossing - foot;
        let [tangent, other] = [start, end].map(|own| (crossing - own).norm());
        let sine = rise.norm() / tangent;
        let is_circle = (tangent - other).abs() < SAME_MM
            && (half_chord.norm() - weight * tangent).abs() < SAME_MM * sine;
        if sine < LEAST_RAD || weight <= 0.0 || !is_circle {
            return None;
        }
        let radius = half_chord.norm() / sine;
        let middle = rise.normalize();
        let centre = foot - middle * (radius * weight);
        Some(Self {
            centre,
            axis: middle.cross(&half_chord).normalize(),
            middle,
            radius,
        })
    }
}

/// A part of a cylinder or of a cone.
#[derive(Clone, Copy, Debug)]
pub(super) struct Turned {
    /// Centre of the circle that it is told by: a cone's smaller one.
    pub(super) centre: Point3,
    /// Unit vector along the axis, towards a cone's greater end.
    pub(super) axis: Vector3,
    /// Unit vector from the axis to the middle of the part.
    pub(super) middle: Vector3,
    /// Radius of that circle (mm).
    pub(super) radius: f64,
    /// Angle between the axis and a cone's rulings (rad); zero for a cylinder.
    pub(super) half_angle: f64,
    /// Whether curve × across of the rows looks away from the axis.
    pub(super) looks_out: bool,
}

impl Turned {
    /// The cylinder or cone that is ruled between two arcs; `None` where they are not like ones about one axis.
    pub(super) fn between(first: &SpaceCurve, last: &SpaceCurve) -> Option<Self> {
        let (
            SpaceCurve::Arc { poles, weight },
            SpaceCurve::Arc {
                poles: others,
                weight: other,
            },
        ) = (first, last)
        else {
            return None;
        };
        let (near, far) = (Circle::of(poles, *weight)?, Circle::of(others, *other)?);
        let between = far.centre - near.centre;
        let along = between.dot(&near.axis);
        let greatest = near.radius.max(far.radius);
        let is_turned = (between - near.axis * along).norm() < SAME_MM
            && (near.axis - far.axis).norm() * greatest < SAME_MM
            && (near.middle - far.middle).norm() * greatest < SAME_MM
            && (weight - other).abs() < 1e-12;
        // Rings in one plane are not told by a half angle.
        if !is_turned || along.abs() < 1e-3 * (near.radius - far.radius).abs().max(SAME_MM) {
            return None;
        }
        let wider = far.radius - near.radius;
        let towards_far = near.axis * along.signum();
        let (foot, axis, half_angle) = if wider.abs() < SAME_MM {
            (near, near.axis, 0.0)
        } else {
            let half_angle = geom::math::atan2(wider.abs(), along.abs());
            if wider > 0.0 {
                (near, towards_far, half_angle)
            } else {
                (far, -towards_far, half_angle)
            }
        };
        Some(Self {
            centre: foot.centre,
            axis,
            middle: foot.middle,
            radius: foot.radius,
            half_angle,
            looks_out: along > 0.0,
        })
    }
}

/// The plane that two curves lie in by their poles: the unit vector square to it, curve × across, and one along it. `None` where
/// they lie in none.
pub(super) fn plane_between(first: &[Point3], last: &[Point3]) -> Option<(Vector3, Vector3)> {
    let (corner, beside) = (first.first()?, last.first()?);
    let along = (first.get(1)? - corner).try_normalize(SAME_MM)?;
    let normal = along.cross(&(beside - corner)).try_normalize(SAME_MM)?;
    let in_plane = |pole: &Point3| (pole - corner).dot(&normal).abs() < SAME_MM;
    first
        .iter()
        .chain(last)
        .all(in_plane)
        .then_some((normal, along))
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::math::{atan2, sin_cos};

    /// An arc of 1.2 rad about an axis along x through (0, 3, 4).
    fn arc(x: f64, radius: f64, from: f64) -> SpaceCurve {
        let at = |angle: f64| {
            let (s, c) = sin_cos(angle);
            Point3::new(x, 3.0 + radius * c, 4.0 + radius * s)
        };
        SpaceCurve::arc(at(from), at(from + 0.6), at(from + 1.2), 1.2)
    }

    fn poles(curve: &SpaceCurve) -> (&[Point3; 3], f64) {
        match curve {
            SpaceCurve::Arc { poles, weight } => (poles, *weight),
            _ => unreachable!("arcs only"),
        }
    }

    #[test]
    fn an_arc_tells_its_circle_and_another_conic_does_not() {
        let own = arc(2.0, 5.0, 0.4);
        let (points, weight) = poles(&own);
        let circle = Circle::of(points, weight).unwrap();
        assert!((circle.radius - 5.0).abs() < 1e-12);
        assert!((circle.centre - Point3::new(2.0, 3.0, 4.0)).norm() < 1e-12);
        assert!((circle.axis - Vector3::x()).norm() < 1e-12);
        assert!((circle.middle - Vector3::new(0.0, sin_cos(1.0).1, sin_cos(1.0).0)).norm() < 1e-12);
        assert!(Circle::of(points, weight * 1.001).is_none());
        let [start, crossing, end] = *points;
        assert!(Circle::of(&[start, crossing + (end - start) * 0.1, end], weight).is_none());
        let straight = [start, start + (end - start) / 2.0, end];
        assert!(Circle::of(&straight, 1.0).is_none());
    }

    #[test]
    fn arcs_about_one_axis_tell_a_cylinder_or_a_cone() {
        let cylinder = Turned::between(&arc(0.0, 5.0, 0.4), &arc(7.0, 5.0, 0.4)).unwrap();
        assert_eq!(cylinder.half_angle, 0.0);
        assert!(cylinder.looks_out);
        let cylinder = Turned::between(&arc(7.0, 5.0, 0.4), &arc(0.0, 5.0, 0.4)).unwrap();
        assert!(!cylinder.looks_out);
        for (first, last, looks_out) in [(0.0, 7.0, true), (7.0, 0.0, false)] {
            let radius = |x: f64| 2.0 + x / 7.0;
            let (own, other) = (arc(first, radius(first), 0.4), arc(last, radius(last), 0.4));
            let cone = Turned::between(&own, &other).unwrap();
            assert!((cone.half_angle - atan2(1.0, 7.0)).abs() < 1e-12);
            assert!((cone.radius - 2.0).abs() < 1e-12 && cone.centre.x.abs() < 1e-12);
            assert!((cone.axis - Vector3::x()).norm() < 1e-12);
            assert_eq!(cone.looks_out, looks_out);
        }
        for other in [arc(7.0, 5.0, 0.5), arc(0.0, 4.0, 0.4)] {
            assert!(Turned::between(&arc(0.0, 5.0, 0.4), &other).is_none());
        }
    }
}
