//! Maps of the plane that drawings are placed by, and what they make of lines and arcs.

use crate::ellipse::EllipticArc;
use geom::math::{atan2, sin_cos};
use geom::{Arc, Point2, Segment, Vector2};

/// Scales along two axes that differ by less than this share are one scale.
const SAME_SCALE: f64 = 1e-9;

/// A map of the plane that keeps lines straight: turned, mirrored, scaled, sheared and moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Affine {
    /// Where the unit step along x goes.
    pub(crate) x_axis: Vector2,
    /// Where the unit step along y goes.
    pub(crate) y_axis: Vector2,
    /// Where the origin goes.
    pub(crate) origin: Point2,
}

impl Affine {
    pub(crate) fn scaling(x: f64, y: f64) -> Self {
        Self {
            x_axis: Vector2::new(x, 0.0),
            y_axis: Vector2::new(0.0, y),
            origin: Point2::origin(),
        }
    }

    pub(crate) fn shift(by: Vector2) -> Self {
        Self {
            origin: Point2::from(by),
            ..Self::scaling(1.0, 1.0)
        }
    }

    /// Turned by an angle (rad), anticlockwise where y runs up.
    pub(crate) fn turn(angle: f64) -> Self {
        let (s, c) = sin_cos(angle);
        Self {
            x_axis: Vector2::new(c, s),
            y_axis: Vector2::new(-s, c),
            origin: Point2::origin(),
        }
    }

    pub(crate) fn direction(&self, v: Vector2) -> Vector2 {
        self.x_axis * v.x + self.y_axis * v.y
    }

    pub(crate) fn point(&self, p: Point2) -> Point2 {
        self.origin + self.direction(p.coords)
    }

    /// The map that does `inner` first.
    pub(crate) fn after(&self, inner: &Self) -> Self {
        Self {
            x_axis: self.direction(inner.x_axis),
            y_axis: self.direction(inner.y_axis),
            origin: self.point(inner.origin),
        }
    }

    /// Scale and hand (1, or −1 if mirrored) of a map that keeps shapes; `None` for any other.
    pub(crate) fn similarity(&self) -> Option<(f64, f64)> {
        let (x, y) = (self.x_axis.norm(), self.y_axis.norm());
        let square = x * y;
        let keeps = (x - y).abs() <= SAME_SCALE * x
            && self.x_axis.dot(&self.y_axis).abs() <= SAME_SCALE * square;
        (keeps && x > 0.0).then(|| (x, self.x_axis.perp(&self.y_axis).signum()))
    }

    /// True if the map lays the plane flat on a line or a point.
    pub(crate) fn is_flat(&self) -> bool {
        let square = self.x_axis.norm() * self.y_axis.norm();
        let area = self.x_axis.perp(&self.y_axis).abs();
        // Written so that a map that is not a number counts as flat.
        !(area > 1e-12 * square && square > 0.0)
    }

    /// Where a line or arc goes: lines and, at one scale all ways, arcs stay what they are.
    pub(crate) fn segment(&self, segment: &Segment) -> Placed {
        let arc = match segment {
            Segment::Line { start, end } => {
                return Placed::Plain(Segment::line(self.point(*start), self.point(*end)));
            }
            Segment::Arc(arc) => arc,
        };
        match self.similarity() {
            Some((scale, hand)) => {
                let (s, c) = sin_cos(arc.start_angle);
                let spoke = self.direction(Vector2::new(c, s));
                Placed::Plain(Segment::Arc(Arc {
                    centre: self.point(arc.centre),
                    radius: arc.radius * scale,
                    start_angle: atan2(spoke.y, spoke.x),
                    sweep: arc.sweep * hand,
                }))
            }
            None => Placed::Ellipse(EllipticArc::of(arc).mapped(self)),
        }
    }
}

/// What a map makes of a line or arc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Placed {
    /// A line or arc.
    Plain(Segment),
    /// Part of an ellipse.
    Ellipse(EllipticArc),
}
