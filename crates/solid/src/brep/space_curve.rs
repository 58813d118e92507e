//! The run of an edge in space.

use super::spline::Spline;
use geom::{Point3, Vector3};

/// A curve in space over the parameter 0..1.
#[derive(Clone, Debug)]
pub(super) enum SpaceCurve {
    /// Straight from one point to another.
    Line(Point3, Point3),
    /// A circular arc, exact as a rational curve of degree two.
    Arc {
        /// Start, crossing of the end tangents, end.
        poles: [Point3; 3],
        /// Weight of the middle pole: the cosine of half the angle.
        weight: f64,
    },
    /// Anything else.
    Spline(Spline),
}

impl SpaceCurve {
    /// The arc from `start` over `middle` (half way) to `end`, through `angle` (rad, below π).
    pub(super) fn arc(start: Point3, middle: Point3, end: Point3, angle: f64) -> Self {
        let weight = geom::math::cos(angle / 2.0);
        let chord = start + (end - start) / 2.0;
        let crossing = Point3::from((middle.coords * (1.0 + weight) - chord.coords) / weight);
        Self::Arc {
            poles: [start, crossing, end],
            weight,
        }
    }

    /// The point at a parameter.
    pub(super) fn point(&self, t: f64) -> Point3 {
        match self {
            Self::Line(start, end) => start + (end - start) * t,
            Self::Arc { poles, weight } => {
                let (sum, divisor) = arc_sums(poles, *weight, t);
                Point3::from(sum / divisor)
            }
            Self::Spline(spline) => spline.point(t),
        }
    }

    /// The derivative by the parameter.
    pub(super) fn derivative(&self, t: f64) -> Vector3 {
        match self {
            Self::Line(start, end) => end - start,
            Self::Arc { poles, weight } => {
                let (sum, divisor) = arc_sums(poles, *weight, t);
                let middle = 2.0 * (1.0 - 2.0 * t) * weight;
                let rates = [-2.0 * (1.0 - t), middle, 2.0 * t];
                let rate: Vector3 = (0..3).map(|i| poles[i].coords * rates[i]).sum();
                (rate - sum / divisor * rates.iter().sum::<f64>()) / divisor
            }
            Self::Spline(spline) => spline.derivative(t),
        }
    }

    /// Parameters between which the curve is one polynomial or one rational piece.
    pub(super) fn breaks(&self) -> Vec<f64> {
        match self {
            Self::Line(..) | Self::Arc { .. } => vec![0.0, 1.0],
            Self::Spline(spline) => spline.breaks().to_vec(),
        }
    }
}

fn arc_sums(poles: &[Point3; 3], weight: f64, t: f64) -> (Vector3, f64) {
    let shares = [(1.0 - t) * (1.0 - t), 2.0 * t * (1.0 - t) * weight, t * t];
    let sum = (0..3).map(|i| poles[i].coords * shares[i]).sum();
    (sum, shares.iter().sum())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arc_keeps_its_radius_and_its_tangent() {
        let at = |angle: f64| {
            let (s, c) = geom::math::sin_cos(angle);
            Point3::new(5.0 * c, 5.0 * s, 2.0)
        };
        let arc = SpaceCurve::arc(at(0.0), at(0.9), at(1.8), 1.8);
        for i in 0..=10 {
            let t = f64::from(i) / 10.0;
            let spoke = arc.point(t) - Point3::new(0.0, 0.0, 2.0);
            assert!((spoke.norm() - 5.0).abs() < 1e-13);
            assert!(spoke.dot(&arc.derivative(t)).abs() < 1e-12);
        }
        let step = (arc.point(0.5 + 1e-5) - arc.point(0.5 - 1e-5)) / 2e-5;
        assert!((step - arc.derivative(0.5)).norm() < 1e-8);
    }
}
