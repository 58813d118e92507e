//! Part of an ellipse, laid out in arcs.

use crate::affine::Affine;
use crate::curve_fit::fitted;
use crate::fit::SmoothCurve;
use geom::math::{FRAC_PI_2, atan2, sin_cos};
use geom::{Arc, Point2, Segment, Vector2};

/// Half axes that differ by less than this share make a circle.
const ROUND: f64 = 1e-9;

/// The curve c + u cos t + v sin t between two values of t (rad).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct EllipticArc {
    pub(crate) centre: Point2,
    /// From the centre to t = 0.
    pub(crate) u: Vector2,
    /// From the centre to t = π/2.
    pub(crate) v: Vector2,
    pub(crate) from: f64,
    pub(crate) sweep: f64,
}

impl EllipticArc {
    pub(crate) fn of(arc: &Arc) -> Self {
        Self {
            centre: arc.centre,
            u: Vector2::new(arc.radius, 0.0),
            v: Vector2::new(0.0, arc.radius),
            from: arc.start_angle,
            sweep: arc.sweep,
        }
    }

    pub(crate) fn mapped(&self, map: &Affine) -> Self {
        Self {
            centre: map.point(self.centre),
            u: map.direction(self.u),
            v: map.direction(self.v),
            ..*self
        }
    }

    fn at(&self, t: f64) -> Point2 {
        let (s, c) = sin_cos(t);
        self.centre + self.u * c + self.v * s
    }

    fn rate(&self, t: f64) -> Vector2 {
        let (s, c) = sin_cos(t);
        self.v * c - self.u * s
    }

    /// The circle that it is, if it is one.
    fn round(&self) -> Option<Arc> {
        let (a, b) = (self.u.norm(), self.v.norm());
        let is_round = (a - b).abs() <= ROUND * a && self.u.dot(&self.v).abs() <= ROUND * a * b;
        let spoke = self.at(self.from) - self.centre;
        is_round.then(|| Arc {
            centre: self.centre,
            radius: a,
            start_angle: atan2(spoke.y, spoke.x),
            sweep: self.sweep * self.u.perp(&self.v).signum(),
        })
    }

    /// Lines and arcs within `tolerance` (mm) of it; a round one is one arc.
    pub(crate) fn laid(&self, tolerance: f64) -> Vec<Segment> {
        if let Some(arc) = self.round() {
            return vec![Segment::Arc(arc)];
        }
        // A quarter at a time: no pair of arcs follows a greater turn.
        let quarters = (self.sweep.abs() / FRAC_PI_2).ceil().clamp(1.0, 8.0);
        let step = self.sweep / quarters;
        let mut segments = Vec::new();
        for k in 0..quarters as usize {
            let from = self.from + step * k as f64;
            let (low, high) = (from.min(from + step), from.max(from + step));
            let curve = SmoothCurve::new(low, high, |t| self.at(t)).with_rate(|t| self.rate(t));
            let mut part = fitted(&curve, tolerance);
            if step < 0.0 {
                part = part.iter().rev().map(Segment::reversed).collect();
            }
            segments.extend(part);
        }
        segments
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::math::{PI, TAU};

    fn length(segments: &[Segment]) -> f64 {
        segments.iter().map(Segment::length).sum()
    }

    #[test]
    fn a_squeezed_circle_is_an_ellipse_and_a_turned_one_stays_an_arc() {
        let Segment::Arc(arc) = Segment::circle(Point2::new(1.0, 2.0), 3.0) else {
            unreachable!("a circle is an arc");
        };
        let whole = EllipticArc::of(&arc);
        let turned = whole.mapped(&Affine::turn(1.0).after(&Affine::scaling(-2.0, 2.0)));
        let [Segment::Arc(round)] = turned.laid(1e-3)[..] else {
            panic!("a circle turned over and scaled stays one");
        };
        assert!((round.radius - 6.0).abs() < 1e-12 && (round.sweep + TAU).abs() < 1e-12);
        // Half axes 3 and 1.5: perimeter by Ramanujan's second series.
        let flat = whole.mapped(&Affine::scaling(1.0, 0.5)).laid(1e-4);
        let h: f64 = 1.0 / 9.0;
        let want = PI * 4.5 * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()));
        assert!(
            (length(&flat) - want).abs() < 1e-4,
            "{} {want}",
            length(&flat)
        );
        for s in &flat {
            let p = s.point_at(0.5) - Point2::new(1.0, 1.0);
            let off = (p.x * p.x / 9.0 + p.y * p.y / 2.25).sqrt() - 1.0;
            assert!(off.abs() < 2e-4, "{off}");
        }
    }

    #[test]
    fn an_ellipse_of_no_width_is_its_axis() {
        let flat = EllipticArc {
            centre: Point2::origin(),
            u: Vector2::new(5.0, 0.0),
            v: Vector2::zeros(),
            from: 0.0,
            sweep: PI,
        };
        let laid = flat.laid(1e-3);
        assert!((length(&laid) - 10.0).abs() < 1e-3, "{laid:?}");
    }
}
