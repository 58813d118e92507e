//! Smooth curves as B-splines, fitted ones of degree five.

use geom::{Point3, Vector3};
use nalgebra::{DMatrix, DVector};

/// Degree of fitted splines: four times differentiable, so that few spans reach a tight tolerance.
const DEGREE: usize = 5;

/// Most spans that a curve may need; a smooth curve of a plate takes two to thirty.
const MOST_SPANS: usize = 256;

/// A B-spline over 0..1 that begins and ends at its outer poles.
#[derive(Clone, Debug)]
pub(super) struct Spline {
    pub(super) degree: usize,
    /// As many more than poles as the degree and one.
    pub(super) knots: Vec<f64>,
    pub(super) poles: Vec<Point3>,
}

impl Spline {
    /// The point at a parameter.
    pub(super) fn point(&self, t: f64) -> Point3 {
        let (first, weights) = basis(self.degree, &self.knots, t);
        weighted(&self.poles[first..], &weights)
    }

    /// The derivative by the parameter.
    pub(super) fn derivative(&self, t: f64) -> Vector3 {
        let degree = self.degree as f64;
        let differences: Vec<Point3> = self
            .poles
            .windows(2)
            .enumerate()
            .map(|(i, pair)| {
                let width = self.knots[i + self.degree + 1] - self.knots[i + 1];
                Point3::from((pair[1] - pair[0]) * (degree / width))
            })
            .collect();
        let knots = &self.knots[1..self.knots.len() - 1];
        let (first, weights) = basis(self.degree - 1, knots, t);
        weighted(&differences[first..], &weights).coords
    }

    /// Knots where one polynomial passes into the next, ends included.
    pub(super) fn breaks(&self) -> &[f64] {
        &self.knots[self.degree..self.knots.len() - self.degree]
    }
}

fn weighted(poles: &[Point3], weights: &[f64]) -> Point3 {
    Point3::from(
        poles
            .iter()
            .zip(weights)
            .fold(Vector3::zeros(), |sum, (pole, weight)| {
                sum + pole.coords * *weight
            }),
    )
}

/// First pole and weights of the basis functions that are not zero at `t`, degree and one of them (Cox and de Boor).
fn basis(degree: usize, knots: &[f64], t: f64) -> (usize, [f64; DEGREE + 1]) {
    let last = knots.len() - degree - 2;
    let mut span = degree;
    while span < last && t >= knots[span + 1] {
        span += 1;
    }
    let mut weights = [0.0; DEGREE + 1];
    weights[0] = 1.0;
    for p in 1..=degree {
        // What of the weight before goes to the next function on.
        let mut passed = 0.0;
        for (j, weight) in weights[..p].iter_mut().enumerate() {
            let (low, high) = (knots[span + 1 + j - p], knots[span + 1 + j]);
            let share = (t - low) / (high - low);
            let own = *weight;
            *weight = passed + own * (1.0 - share);
            passed = own * share;
        }
        weights[p] = passed;
    }
    (span - degree, weights)
}

fn uniform_knots(spans: usize) -> Vec<f64> {
    let inner = (1..spans).map(|i| i as f64 / spans as f64);
    std::iter::repeat_n(0.0, DEGREE + 1)
        .chain(inner)
        .chain(std::iter::repeat_n(1.0, DEGREE + 1))
        .collect()
}

/// Splines over the same knots through several curves of one parameter, 0 to 1, within `tolerance` (mm).
///
/// `None` where a curve is not smooth enough, or not a number.
pub(super) fn fit(curves: impl Fn(f64) -> Vec<Point3>, tolerance: f64) -> Option<Vec<Spline>> {
    let mut spans = 1;
    while spans <= MOST_SPANS {
        let splines = interpolate(&curves, spans)?;
        let tests = 3 * (spans + DEGREE);
        let error = (0..tests)
            .map(|i| (i as f64 + 0.37) / tests as f64)
            .flat_map(|t| {
                let pairs = splines.iter().zip(curves(t));
                pairs.map(move |(spline, want)| (spline.point(t) - want).norm())
            })
            .fold(
                0.0,
                |worst: f64, error| if error <= worst { worst } else { error },
            );
        if error <= tolerance {
            return Some(splines);
        }
        if error.is_nan() {
            return None;
        }
        spans *= 2;
    }
    None
}

/// Interpolates at the means of neighbouring knots, where a spline's poles have most weight.
fn interpolate(curves: impl Fn(f64) -> Vec<Point3>, spans: usize) -> Option<Vec<Spline>> {
    let knots = uniform_knots(spans);
    let n = spans + DEGREE;
    let mut matrix = DMatrix::zeros(n, n);
    let mut values = Vec::with_capacity(n);
    for i in 0..n {
        let t = knots[i + 1..=i + DEGREE].iter().sum::<f64>() / DEGREE as f64;
        let (first, weights) = basis(DEGREE, &knots, t);
        for (j, weight) in weights.iter().enumerate() {
            matrix[(i, first + j)] = *weight;
        }
        values.push(curves(t));
    }
    let solver = matrix.lu();
    let count = values.first().map_or(0, Vec::len);
    (0..count)
        .map(|k| {
            let column = |axis: usize| {
                solver.solve(&DVector::from_iterator(
                    n,
                    values.iter().map(|v| v[k][axis]),
                ))
            };
            let (x, y, z) = (column(0)?, column(1)?, column(2)?);
            Some(Spline {
                degree: DEGREE,
                knots: knots.clone(),
                poles: (0..n).map(|i| Point3::new(x[i], y[i], z[i])).collect(),
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::math::sin_cos;

    #[test]
    fn a_circle_and_its_speed_are_met() {
        let turn = 2.0;
        let circle = |t: f64| {
            let (s, c) = sin_cos(turn * t);
            Point3::new(30.0 * c, 30.0 * s, 1.0)
        };
        let spline = fit(|t| vec![circle(t)], 1e-9).unwrap().remove(0);
        assert!(spline.poles.len() < 60, "{} poles", spline.poles.len());
        for i in 0..=100 {
            let t = f64::from(i) / 100.0;
            assert!((spline.point(t) - circle(t)).norm() < 1e-9);
            assert!((spline.derivative(t).norm() - 60.0).abs() < 1e-6);
        }
        assert_eq!(spline.point(1.0), *spline.poles.last().unwrap());
    }

    #[test]
    fn a_corner_is_refused() {
        let corner = |t: f64| vec![Point3::new(t, (t - 0.3).abs(), 0.0)];
        assert!(fit(corner, 1e-9).is_none());
        assert!(fit(|_| vec![Point3::new(f64::NAN, 0.0, 0.0)], 1e-9).is_none());
    }
}
