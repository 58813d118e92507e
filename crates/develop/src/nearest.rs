//! The place of a formed plate that lies under a point of the body.

use crate::patch::PatchShape;
use crate::{Forming, Loft, SurfacePoint};
use geom::math::{atan2, wrap_angle};
use geom::{BodyPoint, FlatPoint, Point2};

/// A point further than this to the side of the nearest normal is not over the sheet (mm).
const BESIDE_MM: f64 = 1e-6;

/// Rounds of the search; each shrinks the error by the slope of the sheet to its axis, squared.
const MOST_ROUNDS: usize = 60;

impl Loft {
    /// The place of the formed mid-surface nearest to a body point in the section plane through it; beyond the ends of
    /// the wrapper its rulings are drawn on.
    ///
    /// On a wrapper that tapers this is not quite the foot of the normal: [`Loft::place_of`] goes on to that.
    pub fn nearest_across(&self, point: BodyPoint) -> SurfacePoint {
        let v = self.v_at(point);
        SurfacePoint {
            w: self.nearest_in_section(point, v).unwrap_or(0.0),
            v,
        }
    }

    /// The place of the formed mid-surface on whose normal a body point lies, and its height over mid-sheet there
    /// (mm, positive outwards). `None` for a point beyond the ends or edges of the wrapper.
    ///
    /// The fraction v is first that of the point's own coordinate along the axis, and the place the nearest in that
    /// section; where the sheet tapers the foot of the normal stands in another section, and the search goes on from there.
    ///
    /// # Accuracy
    ///
    /// 1e-9 mm on the sheet where the point is nearer to it than its radius of bend.
    pub fn place_of(&self, point: BodyPoint) -> Option<(SurfacePoint, f64)> {
        let mut v = self.v_at(point);
        let mut found = None;
        for _ in 0..MOST_ROUNDS {
            let at = SurfacePoint {
                w: self.nearest_in_section(point, v)?,
                v,
            };
            let place = self.formed(at);
            let height = (point - place.point).dot(&place.normal);
            let foot = point - place.normal * height;
            found = Some((at, height, (foot - place.point).norm()));
            let next = self.v_at(foot);
            if (next - v).abs() * self.length < 1e-12 {
                break;
            }
            v = next;
        }
        let (mut at, height, beside) = found?;
        let over = BESIDE_MM / self.length;
        if beside > BESIDE_MM || !(-over..=1.0 + over).contains(&at.v) {
            return None;
        }
        at.v = at.v.clamp(0.0, 1.0);
        Some((at, height))
    }

    /// The ruling whose point in the section at `v` is nearest to a body point seen along the axis.
    fn nearest_in_section(&self, point: BodyPoint, v: f64) -> Option<f64> {
        let from = point - self.frame.origin;
        let seen = Point2::new(from.dot(&self.frame.across), from.dot(&self.frame.up));
        let mut best: Option<(f64, f64)> = None;
        for (i, patch) in self.patches.iter().enumerate() {
            let s = nearest_parameter(&patch.shape, seen, v);
            let (front, rear, _) = patch.shape.section(s);
            let distance = (front + (rear - front) * v - seen).norm();
            if distance.is_finite() && best.is_none_or(|(least, _)| distance < least) {
                best = Some((distance, i as f64 + s / patch.shape.span()));
            }
        }
        best.map(|(_, w)| w)
    }
}

/// Parameter of a patch at which its section at `v` comes nearest to a section point.
fn nearest_parameter(shape: &PatchShape, point: Point2, v: f64) -> f64 {
    match shape {
        PatchShape::Plane { front, rear, .. } => {
            let start = front.0 + (rear.0 - front.0) * v;
            let along = front.1 + (rear.1 - front.1) * v - start;
            let square = along.norm_squared();
            if square > 0.0 {
                ((point - start).dot(&along) / square).clamp(0.0, 1.0)
            } else {
                0.0
            }
        }
        PatchShape::Cone {
            front,
            rear,
            from,
            to,
            ..
        } => {
            let spoke = point - (front.centre + (rear.centre - front.centre) * v);
            let side = (to - from).signum();
            let span = shape.span();
            // The spoke stands at heading − side·90°.
            let heading = atan2(spoke.y, spoke.x) + side * geom::math::FRAC_PI_2;
            let middle = span / 2.0;
            (middle + wrap_angle((heading - from) * side - middle)).clamp(0.0, span)
        }
    }
}

impl Forming {
    /// The point of the flat under a body point, and the point's height over mid-sheet (mm, positive outwards).
    ///
    /// A flat plate's plane has no edges here: the answer may lie outside its outline. `None` for a point that is not over a
    /// rolled plate's loft ([`Loft::place_of`]).
    pub fn flat_of(&self, point: BodyPoint) -> Option<(FlatPoint, f64)> {
        match self {
            Self::Flat(placement) => Some((
                placement.project(point),
                (point - placement.origin).dot(&placement.normal()),
            )),
            Self::Rolled(loft) => loft
                .place_of(point)
                .map(|(at, height)| (loft.flat(at), height)),
        }
    }
}
