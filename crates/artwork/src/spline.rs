//! B-splines, rational or not, laid out in lines and arcs.

use crate::affine::Affine;
use crate::curve_fit::fitted;
use crate::fit::{SmoothCurve, merged};
use geom::{Point2, Segment, Vector2};

/// The highest degree that is read; drawing programs write two, three and five.
const HIGHEST_DEGREE: usize = 11;

/// A B-spline; a Bézier curve is one with a single span.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Spline {
    degree: usize,
    knots: Vec<f64>,
    /// x and y times the weight, and the weight.
    points: Vec<[f64; 3]>,
}

impl Spline {
    /// A spline, or in words why there is none of these numbers.
    pub(crate) fn new(
        degree: usize,
        knots: Vec<f64>,
        points: &[Point2],
        weights: &[f64],
    ) -> Result<Self, &'static str> {
        if points.is_empty() {
            return Err("without control points");
        }
        if degree == 0 || degree > HIGHEST_DEGREE {
            return Err("of a degree that is not read");
        }
        if points.len() <= degree || knots.len() != points.len() + degree + 1 {
            return Err("whose knots do not fit its points");
        }
        let rising = knots.windows(2).all(|pair| pair[0] <= pair[1]);
        if !rising || knots[degree] >= knots[points.len()] {
            return Err("whose knots do not rise");
        }
        let sound = |w: &f64| w.is_finite() && *w > 0.0;
        if !(weights.is_empty() || weights.len() == points.len()) || !weights.iter().all(sound) {
            return Err("whose weights do not fit its points");
        }
        let weight = |i: usize| weights.get(i).copied().unwrap_or(1.0);
        Ok(Self {
            degree,
            knots,
            points: points
                .iter()
                .enumerate()
                .map(|(i, p)| [p.x * weight(i), p.y * weight(i), weight(i)])
                .collect(),
        })
    }

    /// The Bézier curve of two to four points.
    pub(crate) fn bezier(points: &[Point2]) -> Self {
        let degree = points.len() - 1;
        Self {
            degree,
            knots: [vec![0.0; points.len()], vec![1.0; points.len()]].concat(),
            points: points.iter().map(|p| [p.x, p.y, 1.0]).collect(),
        }
    }

    pub(crate) fn mapped(&self, map: &Affine) -> Self {
        let place = |p: &[f64; 3]| {
            let at = map.point(Point2::new(p[0] / p[2], p[1] / p[2]));
            [at.x * p[2], at.y * p[2], p[2]]
        };
        Self {
            points: self.points.iter().map(place).collect(),
            degree: self.degree,
            knots: self.knots.clone(),
        }
    }

    /// Spans of the parameter within which it is smooth.
    fn spans(&self) -> Vec<(usize, f64, f64)> {
        (self.degree..self.points.len())
            .filter(|&k| self.knots[k] < self.knots[k + 1])
            .map(|k| (k, self.knots[k], self.knots[k + 1]))
            .collect()
    }

    /// A distance from the origin within which all of it lies (mm).
    pub(crate) fn reach(&self) -> f64 {
        let far = |p: &[f64; 3]| Vector2::new(p[0] / p[2], p[1] / p[2]).norm();
        self.points
            .iter()
            .map(far)
            .fold(0.0, |a, b| if b > a || b.is_nan() { b } else { a })
    }

    /// Number of curves that it is laid out from.
    pub(crate) fn pieces(&self) -> usize {
        self.spans().len()
    }

    /// Place and rate at a parameter within span `k`.
    ///
    /// # Formula
    ///
    /// De Boor's scheme on (wx, wy, w); the last two of its points give the rate by their difference,
    /// p/(u − l) times it. Of a rational curve a/w the rate is (a′ − (a/w) w′)/w.
    fn at(&self, k: usize, t: f64) -> (Point2, Vector2) {
        let p = self.degree;
        let mut d: Vec<[f64; 3]> = self.points[k - p..=k].to_vec();
        let mut rate = [0.0; 3];
        for r in 1..=p {
            if r == p {
                let width = self.knots[k + 1] - self.knots[k];
                rate = std::array::from_fn(|i| (d[p][i] - d[p - 1][i]) * p as f64 / width);
            }
            for j in (r..=p).rev() {
                let (low, high) = (self.knots[k + j - p], self.knots[k + 1 + j - r]);
                let share = (t - low) / (high - low);
                d[j] = std::array::from_fn(|i| d[j - 1][i] * (1.0 - share) + d[j][i] * share);
            }
        }
        let [x, y, w] = d[p];
        let place = Vector2::new(x / w, y / w);
        let rate = (Vector2::new(rate[0], rate[1]) - place * rate[2]) / w;
        (Point2::from(place), rate)
    }

    /// Lines and arcs within `tolerance` (mm) of it.
    pub(crate) fn laid(&self, tolerance: f64) -> Vec<Segment> {
        let mut segments = Vec::new();
        for (k, from, to) in self.spans() {
            let curve =
                SmoothCurve::new(from, to, |t| self.at(k, t).0).with_rate(|t| self.at(k, t).1);
            segments.extend(fitted(&curve, tolerance));
        }
        merged(&segments)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::greatest_distance;
    use geom::math::{FRAC_PI_2, cos};

    fn p(x: f64, y: f64) -> Point2 {
        Point2::new(x, y)
    }

    #[test]
    fn a_rational_quarter_circle_is_an_arc() {
        let weight = cos(FRAC_PI_2 / 2.0);
        let spline = Spline::new(
            2,
            vec![0.0, 0.0, 0.0, 1.0, 1.0, 1.0],
            &[p(5.0, 0.0), p(5.0, 5.0), p(0.0, 5.0)],
            &[1.0, weight, 1.0],
        )
        .unwrap();
        let [Segment::Arc(arc)] = spline.laid(1e-3)[..] else {
            panic!("an exact quarter of a circle is one arc");
        };
        assert!((arc.radius - 5.0).abs() < 1e-9 && (arc.sweep - FRAC_PI_2).abs() < 1e-9);
        let mirrored = spline.mapped(&Affine::scaling(-2.0, 2.0));
        let [Segment::Arc(arc)] = mirrored.laid(1e-3)[..] else {
            panic!("and stays one");
        };
        assert!((arc.radius - 10.0).abs() < 1e-9 && (arc.sweep + FRAC_PI_2).abs() < 1e-9);
    }

    /// Against the power form of a uniform cubic: (1 4 1)/6 at a knot.
    #[test]
    fn a_uniform_cubic_goes_through_the_known_places() {
        let points: Vec<Point2> = (0..7)
            .map(|i| p(f64::from(i), f64::from(i * i % 5)))
            .collect();
        let knots = (0..11).map(f64::from).collect();
        let spline = Spline::new(3, knots, &points, &[]).unwrap();
        for k in 3..7 {
            let (at, rate) = spline.at(k, k as f64);
            let own = &points[k - 3..k];
            let want = (own[0].coords + own[1].coords * 4.0 + own[2].coords) / 6.0;
            assert!((at.coords - want).norm() < 1e-12);
            assert!((rate - (own[2] - own[0]) / 2.0).norm() < 1e-12);
        }
        let laid = spline.laid(1e-3);
        let probes: Vec<Point2> = (0..=2000)
            .map(|i| 3.0 + 4.0 * f64::from(i) / 2000.0)
            .map(|t| spline.at((t as usize).min(6), t).0)
            .collect();
        let error = greatest_distance(&probes, &laid);
        assert!(error <= 1.05e-3, "{error}");
    }

    /// A control point on the end makes the rate vanish there; a loop of points makes a cusp.
    #[test]
    fn curves_that_stand_still_or_turn_back_are_followed() {
        for points in [
            [p(0.0, 0.0), p(0.0, 0.0), p(10.0, 5.0), p(10.0, 20.0)],
            [p(0.0, 0.0), p(0.0, 10.0), p(10.0, 20.0), p(10.0, 20.0)],
            [p(0.0, 0.0), p(10.0, 10.0), p(0.0, 10.0), p(10.0, 0.0)],
            [p(0.0, 0.0), p(0.0, 0.0), p(10.0, 5.0), p(10.0, 5.0)],
        ] {
            let spline = Spline::bezier(&points);
            let laid = spline.laid(1e-3);
            let ends = (laid[0].start(), laid[laid.len() - 1].end());
            assert!((ends.0 - points[0]).norm() < 1e-6 && (ends.1 - points[3]).norm() < 1e-6);
            for i in 0..=500 {
                let at = spline.at(3, f64::from(i) / 500.0).0;
                let off = laid
                    .iter()
                    .map(|s| s.nearest(at).1)
                    .fold(f64::INFINITY, f64::min);
                assert!(off < 1.1e-3, "{points:?}: {off}");
            }
        }
    }

    #[test]
    fn numbers_that_make_no_spline_are_said_so() {
        let points = [p(0.0, 0.0), p(1.0, 0.0), p(1.0, 1.0)];
        for (degree, knots, weights, word) in [
            (2, vec![0.0; 6], vec![], "rise"),
            (2, vec![0.0, 1.0], vec![], "fit"),
            (9, vec![0.0; 13], vec![], "fit"),
            (40, vec![0.0; 6], vec![], "degree"),
            (
                2,
                vec![0.0, 0.0, 0.0, 1.0, 1.0, 1.0],
                vec![1.0, -1.0, 1.0],
                "weights",
            ),
        ] {
            let why = Spline::new(degree, knots, &points, &weights).unwrap_err();
            assert!(why.contains(word), "{why}");
        }
        assert!(Spline::new(3, vec![], &[], &[]).is_err());
    }
}
