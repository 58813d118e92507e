//! The surfaces of a plate's faces: skins and walls.

use super::edges::EDGE_MM;
use super::skins::{Skins, StripKind};
use super::space_curve::SpaceCurve;
use super::spline::fit;
use geom::Point3;

/// Four points further than this from one plane make a ruled surface (mm).
const PLANE_MM: f64 = 1e-9;

/// A face's surface.
#[derive(Clone)]
pub(super) enum FaceSurface {
    /// Through a point, along two directions to two more, whose cross product points outward.
    Plane([Point3; 3]),
    /// Rows of like curves blended by a B-spline across them: two rows make a ruled surface.
    ///
    /// The normal is curve × across.
    Rows {
        rows: Vec<SpaceCurve>,
        /// Knots across the rows.
        knots: Vec<f64>,
    },
    /// From a rim over a row of shoulders to one point, by conics: the shoulders' `weight`.
    ///
    /// The normal is rim × rise.
    Dome {
        rim: SpaceCurve,
        shoulders: SpaceCurve,
        crown: Point3,
        weight: f64,
    },
}

impl FaceSurface {
    /// The surface of a skin at a height over mid-sheet; `None` where it cannot be followed.
    ///
    /// The curves run against y, so that the normal points out of the sheet.
    pub(super) fn skin(skins: &Skins<'_>, index: usize, height: f64) -> Option<Self> {
        let strip = &skins.strips[index];
        if !skins.is_rolled() {
            let at = |x, y| skins.point(index, geom::Point2::new(x, y), height);
            return Some(Self::Plane([at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0)]));
        }
        let grid = skins.pole_grid(index);
        let column = |t: f64| -> Vec<Point3> {
            let y = strip.to + (strip.from - strip.to) * t;
            grid.places
                .iter()
                .map(|&place| skins.pole(index, y, place, height))
                .collect()
        };
        let rows: Vec<SpaceCurve> = match strip.kind {
            StripKind::Plane => {
                let (start, end) = (column(0.0), column(1.0));
                return Some(Self::between_lines([start[0], end[0]], [start[1], end[1]]));
            }
            StripKind::NearPlane => {
                let ends = column(0.0).into_iter().zip(column(1.0));
                ends.map(|(start, end)| SpaceCurve::Line(start, end))
                    .collect()
            }
            StripKind::RightCone => {
                let (start, middle, end) = (column(0.0), column(0.5), column(1.0));
                (0..start.len())
                    .map(|k| SpaceCurve::arc(start[k], middle[k], end[k], strip.turn))
                    .collect()
            }
            StripKind::Cone => fit(column, EDGE_MM)?
                .into_iter()
                .map(SpaceCurve::Spline)
                .collect(),
        };
        Some(Self::Rows {
            rows,
            knots: grid.knots,
        })
    }

    /// The wall between an edge of the inner and of the outer skin.
    pub(super) fn wall(low: &SpaceCurve, high: &SpaceCurve) -> Self {
        match (low, high) {
            (SpaceCurve::Line(a, b), SpaceCurve::Line(c, d)) => {
                Self::between_lines([*a, *b], [*c, *d])
            }
            _ => Self::ruled(low.clone(), high.clone()),
        }
    }

    fn ruled(first: SpaceCurve, second: SpaceCurve) -> Self {
        Self::Rows {
            rows: vec![first, second],
            knots: vec![0.0, 0.0, 1.0, 1.0],
        }
    }

    fn between_lines(first: [Point3; 2], second: [Point3; 2]) -> Self {
        // The longer of the two lines spans the plane: the other may be a point.
        let first_is_longer = (first[1] - first[0]).norm() >= (second[1] - second[0]).norm();
        let (a, b) = if first_is_longer {
            (first, second)
        } else {
            (second, first)
        };
        let along = (a[1] - a[0]).normalize();
        let normal = along.cross(&(b[0] - a[0])).normalize();
        if (b[1] - a[0]).dot(&normal).abs() > PLANE_MM {
            return Self::ruled(
                SpaceCurve::Line(first[0], first[1]),
                SpaceCurve::Line(second[0], second[1]),
            );
        }
        let across = normal.cross(&along);
        let tip = if first_is_longer { across } else { -across };
        Self::Plane([a[0], a[0] + along, a[0] + tip])
    }
}
