//! What many distances come to.

/// Distances of points of a scan, each with the area that it stands for.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// Number of points.
    pub points: usize,
    /// Area that they stand for (mm²); their number for a cloud.
    pub area: f64,
    /// Mean, positive where the metal is proud (mm).
    pub mean: f64,
    /// Root of the mean square (mm).
    pub rms: f64,
    /// Least and greatest, with sign (mm).
    pub range: (f64, f64),
    /// 5, 50 and 95 of 100 parts of the area lie lower (mm, with sign).
    pub percentiles: [f64; 3],
    /// 95 of 100 parts of the area lie no farther off, to either side (mm).
    pub within_95: f64,
    /// Share of the area within the tolerance (0 to 1).
    pub within_tolerance: f64,
}

impl Spread {
    /// Of distances with weights; `None` where there are none.
    ///
    /// # Formula
    ///
    /// RMS² = Σ a d² / Σ a over points d that stand for areas a: the integral of d² over the surface by its
    /// area, as sampled.
    pub fn of(offs: &mut [(f64, f64)], tolerance: f64) -> Option<Self> {
        let points = offs.len();
        let area: f64 = offs.iter().map(|own| own.1).sum();
        if points == 0 || area <= 0.0 {
            return None;
        }
        let over = |of: &dyn Fn(f64) -> f64| -> f64 {
            offs.iter().map(|own| own.1 * of(own.0)).sum::<f64>() / area
        };
        let mean = over(&|d| d);
        let rms = over(&|d| d * d).sqrt();
        let within_tolerance = over(&|d| if d.abs() <= tolerance { 1.0 } else { 0.0 });
        offs.sort_by(|a, b| a.0.total_cmp(&b.0));
        let percentiles = [0.05, 0.5, 0.95].map(|share| percentile(offs, share * area));
        let range = (offs[0].0, offs[points - 1].0);
        let mut amounts: Vec<(f64, f64)> = offs.iter().map(|own| (own.0.abs(), own.1)).collect();
        amounts.sort_by(|a, b| a.0.total_cmp(&b.0));
        Some(Self {
            points,
            area,
            mean,
            rms,
            range,
            percentiles,
            within_95: percentile(&amounts, 0.95 * area),
            within_tolerance,
        })
    }
}

/// The value at which the weights of sorted values reach a sum.
fn percentile(sorted: &[(f64, f64)], sum: f64) -> f64 {
    let mut own = 0.0;
    sorted
        .iter()
        .find(|value| {
            own += value.1;
            own >= sum
        })
        .or(sorted.last())
        .map_or(0.0, |value| value.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_count_as_often() {
        let mut heavy = vec![(0.3, 3.0), (-0.1, 1.0)];
        let mut often = vec![(0.3, 1.0), (0.3, 1.0), (-0.1, 1.0), (0.3, 1.0)];
        let (a, b) = (Spread::of(&mut heavy, 0.15), Spread::of(&mut often, 0.15));
        let (a, b) = (a.unwrap(), b.unwrap());
        // Sums of other orders may differ in their last places.
        assert!((a.mean - b.mean).abs() < 1e-15 && (a.rms - b.rms).abs() < 1e-15);
        assert_eq!(a.range, b.range);
        assert_eq!(a.percentiles, [-0.1, 0.3, 0.3]);
        assert_eq!(a.percentiles, b.percentiles);
        assert_eq!(a.within_tolerance, 0.25);
        // mean ≤ RMS ≤ greatest.
        assert!((a.mean - 0.2).abs() < 1e-12 && (a.rms - 0.07_f64.sqrt()).abs() < 1e-12);
        assert_eq!(Spread::of(&mut [], 0.1), None);
    }
}
