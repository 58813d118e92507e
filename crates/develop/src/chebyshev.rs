//! Smooth functions as Chebyshev series, and their running integrals.

use std::sync::LazyLock;

use geom::math::{PI, cos};

/// Terms of a series. Rates of a loft's patch are smooth in an angle of half a radian; the
/// coefficients of a slender wrapper fall by about 10⁻¹ a term, so eighteen reach the rounding of `f64`.
pub(crate) const TERMS: usize = 18;

/// cos(πk(j + ½)/n): the k-th term at the j-th node.
static AT_NODES: LazyLock<[[f64; TERMS]; TERMS]> = LazyLock::new(|| {
    let term = |k: usize, j: usize| cos(PI * k as f64 * (j as f64 + 0.5) / TERMS as f64);
    std::array::from_fn(|k| std::array::from_fn(|j| term(k, j)))
});

/// A function on an interval as Σ cₖ Tₖ(x), x running from −1 to 1 over the interval.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Series {
    from: f64,
    to: f64,
    coefficients: [f64; TERMS],
}

impl Series {
    /// Abscissae at which a function is sampled to make a series on `from..to`.
    pub(crate) fn nodes(from: f64, to: f64) -> [f64; TERMS] {
        AT_NODES[1].map(|x| (from + to) / 2.0 + (to - from) / 2.0 * x)
    }

    /// The series through values at [`Series::nodes`] (discrete cosine transform).
    pub(crate) fn through(from: f64, to: f64, values: &[f64; TERMS]) -> Self {
        let n = TERMS as f64;
        let coefficients = std::array::from_fn(|k| {
            let terms = values.iter().zip(&AT_NODES[k]);
            let sum: f64 = terms.map(|(value, term)| value * term).sum();
            sum * if k == 0 { 1.0 } else { 2.0 } / n
        });
        Self {
            from,
            to,
            coefficients,
        }
    }

    /// Size of the last three terms: what the series has not resolved is of that order.
    pub(crate) fn tail(&self) -> f64 {
        self.coefficients[TERMS - 3..].iter().map(|c| c.abs()).sum()
    }

    /// Value at `t`, by Clenshaw's recurrence.
    pub(crate) fn at(&self, t: f64) -> f64 {
        let [value] = Self::all_at([self], t);
        value
    }

    /// Values at `t` of series over one interval, side by side: each recurrence alone waits for itself.
    pub(crate) fn all_at<const N: usize>(series: [&Self; N], t: f64) -> [f64; N] {
        let Self { from, to, .. } = series[0];
        let x = (2.0 * t - from - to) / (to - from);
        let (mut b1, mut b2) = ([0.0; N], [0.0; N]);
        for k in (1..TERMS).rev() {
            for i in 0..N {
                let next = 2.0 * x * b1[i] - b2[i] + series[i].coefficients[k];
                b2[i] = b1[i];
                b1[i] = next;
            }
        }
        std::array::from_fn(|i| x * b1[i] - b2[i] + series[i].coefficients[0])
    }

    /// The integral from the start of the interval, plus `start`.
    ///
    /// ∫T₀ = T₁, ∫T₁ = T₂/4, ∫Tₖ = Tₖ₊₁/(2(k+1)) − Tₖ₋₁/(2(k−1)).
    pub(crate) fn integral(&self, start: f64) -> Self {
        let half = (self.to - self.from) / 2.0;
        let c = &self.coefficients;
        let term = |k: usize| if k < TERMS { c[k] } else { 0.0 };
        let mut coefficients = [0.0; TERMS];
        for (k, value) in coefficients.iter_mut().enumerate().skip(1) {
            let below = if k == 1 { 2.0 * c[0] } else { c[k - 1] };
            *value = half * (below - term(k + 1)) / (2.0 * k as f64);
        }
        let mut series = Self {
            from: self.from,
            to: self.to,
            coefficients,
        };
        series.coefficients[0] = start - series.at(self.from);
        series
    }
}
