//! The surfaces of a plate's faces: skins and walls, all ruled by straight lines.

use super::edges::EDGE_MM;
use super::skins::{Skins, StripKind};
use super::space_curve::SpaceCurve;
use super::spline::fit;
use geom::Point3;

/// Four points further than this from one plane make a ruled surface (mm).
const PLANE_MM: f64 = 1e-9;

/// A face's surface: a plane, or the lines that join two curves at equal parameters.
pub(super) enum RuledSurface {
    /// Through a point, along two directions whose cross product points outward.
    Plane([Point3; 3]),
    /// From the first curve, parameter first, to the second; the normal is curve × ruling.
    Between(SpaceCurve, SpaceCurve),
}

impl RuledSurface {
    /// The surface of a skin at a height over mid-sheet; `None` where it cannot be followed.
    ///
    /// The curves run against y, so that the normal points out of the sheet.
    pub(super) fn skin(skins: &Skins<'_>, index: usize, height: f64) -> Option<Self> {
        let strip = &skins.strips[index];
        if !skins.is_rolled() {
            let at = |x, y| skins.point(index, geom::Point2::new(x, y), height);
            return Some(Self::Plane([at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0)]));
        }
        let ends = |t: f64| {
            let ruling = skins.ruling(index, strip.to + (strip.from - strip.to) * t, height);
            [ruling.front, ruling.rear]
        };
        let ([front_start, rear_start], [front_end, rear_end]) = (ends(0.0), ends(1.0));
        match strip.kind {
            StripKind::Plane | StripKind::NearPlane => Some(Self::between_lines(
                [front_start, front_end],
                [rear_start, rear_end],
            )),
            StripKind::RightCone => {
                let [front, rear] = ends(0.5);
                Some(Self::Between(
                    SpaceCurve::arc(front_start, front, front_end, strip.turn),
                    SpaceCurve::arc(rear_start, rear, rear_end, strip.turn),
                ))
            }
            StripKind::Cone => {
                let [front, rear] = fit(ends, EDGE_MM)?;
                Some(Self::Between(
                    SpaceCurve::Spline(front),
                    SpaceCurve::Spline(rear),
                ))
            }
        }
    }

    /// The wall between an edge of the inner and of the outer skin.
    pub(super) fn wall(low: &SpaceCurve, high: &SpaceCurve) -> Self {
        match (low, high) {
            (SpaceCurve::Line(a, b), SpaceCurve::Line(c, d)) => Self::between_lines([*a, *b], [*c, *d]),
            _ => Self::Between(low.clone(), high.clone()),
        }
    }

    fn between_lines(first: [Point3; 2], second: [Point3; 2]) -> Self {
        // The longer line and the ruling that is further from it span the plane.
        let (a, b) = if (first[1] - first[0]).norm() >= (second[1] - second[0]).norm() {
            (first, second)
        } else {
            (second, first)
        };
        let along = a[1] - a[0];
        let rise = b[0] - a[0];
        let normal = along.cross(&rise).normalize();
        if (b[1] - a[0]).dot(&normal).abs() > PLANE_MM {
            return Self::Between(
                SpaceCurve::Line(first[0], first[1]),
                SpaceCurve::Line(second[0], second[1]),
            );
        }
        let across = normal.cross(&along.normalize());
        let corner = a[0];
        let is_first = a == first;
        let tip = if is_first { across } else { -across };
        Self::Plane([corner, corner + along.normalize(), corner + tip])
    }
}
