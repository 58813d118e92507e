//! One piece of a chain: a straight line or a circular arc.

use crate::math::{FRAC_PI_2, PI, TAU, atan2, sin_cos, tan, wrap_angle};
use crate::{Point2, Vector2};

/// A circular arc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// Centre of the circle.
    pub centre: Point2,
    /// Radius (mm), above zero.
    pub radius: f64,
    /// Direction from the centre to the start point (rad).
    pub start_angle: f64,
    /// Angle run through (rad), positive anticlockwise.
    pub sweep: f64,
}

impl Arc {
    /// The point at an angle about the centre (rad).
    pub fn point_at_angle(&self, angle: f64) -> Point2 {
        let (s, c) = sin_cos(angle);
        self.centre + Vector2::new(c, s) * self.radius
    }
}

/// A straight line or a circular arc, with a direction of travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segment {
    /// Straight from `start` to `end`.
    Line {
        /// Where travel begins.
        start: Point2,
        /// Where travel ends.
        end: Point2,
    },
    /// Along a circle.
    Arc(Arc),
}

impl Segment {
    /// A straight line.
    pub fn line(start: Point2, end: Point2) -> Self {
        Self::Line { start, end }
    }

    /// A full circle, anticlockwise, from its rightmost point.
    pub fn circle(centre: Point2, radius: f64) -> Self {
        Self::Arc(Arc {
            centre,
            radius,
            start_angle: 0.0,
            sweep: TAU,
        })
    }

    /// The segment from `start` to `end` with bulge tan(sweep/4); zero is a line.
    ///
    /// A bulge below 1e-8 is a line too: its centre would lie so far off that rounding moved the ends
    /// by more than the arc rises over its chord.
    pub fn from_bulge(start: Point2, end: Point2, bulge: f64) -> Self {
        if bulge.abs() < 1e-8 {
            return Self::line(start, end);
        }
        let chord = end - start;
        let middle = start + chord / 2.0;
        // Distance from chord to centre, towards the left of travel for an anticlockwise arc.
        let rise = (1.0 - bulge * bulge) / (4.0 * bulge);
        let centre = middle + Vector2::new(-chord.y, chord.x) * rise;
        let spoke = start - centre;
        Self::Arc(Arc {
            centre,
            radius: spoke.norm(),
            start_angle: atan2(spoke.y, spoke.x),
            sweep: 4.0 * crate::math::atan(bulge),
        })
    }

    /// tan(sweep/4) of an arc, zero of a line; an arc must be short of a full circle.
    pub fn bulge(&self) -> f64 {
        match self {
            Self::Line { .. } => 0.0,
            Self::Arc(arc) => tan(arc.sweep / 4.0),
        }
    }

    /// Where travel begins.
    pub fn start(&self) -> Point2 {
        match self {
            Self::Line { start, .. } => *start,
            Self::Arc(arc) => arc.point_at_angle(arc.start_angle),
        }
    }

    /// Where travel ends.
    pub fn end(&self) -> Point2 {
        match self {
            Self::Line { end, .. } => *end,
            Self::Arc(arc) => arc.point_at_angle(arc.start_angle + arc.sweep),
        }
    }

    /// Length along the segment (mm).
    pub fn length(&self) -> f64 {
        match self {
            Self::Line { start, end } => (end - start).norm(),
            Self::Arc(arc) => arc.radius * arc.sweep.abs(),
        }
    }

    /// The point at a fraction of the length, 0 at the start and 1 at the end.
    pub fn point_at(&self, fraction: f64) -> Point2 {
        match self {
            Self::Line { start, end } => start + (end - start) * fraction,
            Self::Arc(arc) => arc.point_at_angle(arc.start_angle + fraction * arc.sweep),
        }
    }

    /// Direction of travel (rad) at a fraction of the length.
    pub fn tangent_angle_at(&self, fraction: f64) -> f64 {
        match self {
            Self::Line { start, end } => atan2(end.y - start.y, end.x - start.x),
            Self::Arc(arc) => {
                let quarter = (PI / 2.0).copysign(arc.sweep);
                wrap_angle(arc.start_angle + fraction * arc.sweep + quarter)
            }
        }
    }

    /// Angle that the direction of travel turns through (rad), positive anticlockwise.
    pub fn turn(&self) -> f64 {
        match self {
            Self::Line { .. } => 0.0,
            Self::Arc(arc) => arc.sweep,
        }
    }

    /// The same piece travelled the other way.
    pub fn reversed(&self) -> Self {
        match self {
            Self::Line { start, end } => Self::line(*end, *start),
            Self::Arc(arc) => Self::Arc(Arc {
                start_angle: arc.start_angle + arc.sweep,
                sweep: -arc.sweep,
                ..*arc
            }),
        }
    }

    /// The piece mirrored in the line y = 0 (y becomes −y), travel kept.
    pub fn mirrored_in_x_axis(&self) -> Self {
        let flip = |p: Point2| Point2::new(p.x, -p.y);
        match self {
            Self::Line { start, end } => Self::line(flip(*start), flip(*end)),
            Self::Arc(arc) => Self::Arc(Arc {
                centre: flip(arc.centre),
                radius: arc.radius,
                start_angle: -arc.start_angle,
                sweep: -arc.sweep,
            }),
        }
    }

    /// The piece mirrored in the line x = 0 (x becomes −x), travel kept.
    pub fn mirrored_in_y_axis(&self) -> Self {
        let flip = |p: Point2| Point2::new(-p.x, p.y);
        match self {
            Self::Line { start, end } => Self::line(flip(*start), flip(*end)),
            Self::Arc(arc) => Self::Arc(Arc {
                centre: flip(arc.centre),
                radius: arc.radius,
                start_angle: PI - arc.start_angle,
                sweep: -arc.sweep,
            }),
        }
    }

    /// The piece moved by a displacement.
    pub fn translated(&self, by: Vector2) -> Self {
        match self {
            Self::Line { start, end } => Self::line(start + by, end + by),
            Self::Arc(arc) => Self::Arc(Arc {
                centre: arc.centre + by,
                ..*arc
            }),
        }
    }

    /// The part between two fractions of the length.
    pub fn part(&self, from: f64, to: f64) -> Self {
        match self {
            Self::Line { .. } => Self::line(self.point_at(from), self.point_at(to)),
            Self::Arc(arc) => Self::Arc(Arc {
                start_angle: arc.start_angle + from * arc.sweep,
                sweep: (to - from) * arc.sweep,
                ..*arc
            }),
        }
    }

    /// Nearest point of the piece to `point`, as a fraction of the length, and the distance (mm).
    pub fn nearest(&self, point: Point2) -> (f64, f64) {
        let fraction = match self {
            Self::Line { start, end } => {
                let along = end - start;
                let square = along.norm_squared();
                if square == 0.0 {
                    0.0
                } else {
                    ((point - start).dot(&along) / square).clamp(0.0, 1.0)
                }
            }
            Self::Arc(arc) => nearest_on_arc(arc, point),
        };
        (fraction, (self.point_at(fraction) - point).norm())
    }

    /// Corners of the least upright rectangle round the piece: least and greatest x and y.
    pub fn bounds(&self) -> (Point2, Point2) {
        let (a, b) = (self.start(), self.end());
        let mut low = Point2::new(a.x.min(b.x), a.y.min(b.y));
        let mut high = Point2::new(a.x.max(b.x), a.y.max(b.y));
        if let Self::Arc(arc) = self {
            for quarter in 0..4 {
                let angle = f64::from(quarter) * FRAC_PI_2;
                let along = ((angle - arc.start_angle) * arc.sweep.signum()).rem_euclid(TAU);
                if along < arc.sweep.abs() {
                    let p = arc.point_at_angle(angle);
                    low = Point2::new(low.x.min(p.x), low.y.min(p.y));
                    high = Point2::new(high.x.max(p.x), high.y.max(p.y));
                }
            }
        }
        (low, high)
    }

    /// Number of equal chords that keep within `chord_error` (mm) of the piece.
    pub fn chords_within(&self, chord_error: f64) -> usize {
        match self {
            Self::Line { .. } => 1,
            Self::Arc(arc) => {
                let half = crate::math::acos((1.0 - chord_error / arc.radius).max(0.5));
                ((arc.sweep.abs() / (2.0 * half)).ceil() as usize).max(1)
            }
        }
    }
}

fn nearest_on_arc(arc: &Arc, point: Point2) -> f64 {
    let spoke = point - arc.centre;
    if spoke.norm() == 0.0 || arc.sweep == 0.0 {
        return 0.0;
    }
    let mut along = (atan2(spoke.y, spoke.x) - arc.start_angle) * arc.sweep.signum();
    along = along.rem_euclid(TAU);
    let sweep = arc.sweep.abs();
    if along <= sweep {
        return along / sweep;
    }
    // Off the arc: the end that is nearer by angle is the nearer point.
    if along - sweep < TAU - along {
        1.0
    } else {
        0.0
    }
}
