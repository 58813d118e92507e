//! Deviations of several places looked at together.

use super::estimate::Estimate;

/// Below this no cause is looked for (mm): chosen, half of what the corners of a footplate may differ by.
pub(super) const NOTABLE: f64 = 0.05;

/// Deviations that differ by less than this have one cause (mm): what the corners of a footplate may differ by.
pub(super) const EVEN: f64 = 0.10;

/// The mean of deviations. Instruments may share their error, so that the mean keeps the largest.
pub(super) fn mean(all: &[Estimate]) -> Option<Estimate> {
    if all.is_empty() {
        return None;
    }
    let n = all.len() as f64;
    let squares: f64 = all.iter().map(|own| own.type_a.powi(2)).sum();
    Some(combined(
        all.iter().map(|own| own.mean).sum::<f64>() / n,
        squares.sqrt() / n,
        all,
    ))
}

/// A mean with its type A uncertainty, and what the others share.
fn combined(mean: f64, type_a: f64, all: &[Estimate]) -> Estimate {
    Estimate {
        mean,
        type_a,
        type_b: all.iter().map(|own| own.type_b).fold(0.0, f64::max),
        freedom: all
            .iter()
            .map(|own| own.freedom)
            .fold(f64::INFINITY, f64::min),
        factor: all.iter().map(|own| own.factor).fold(2.0, f64::max),
    }
}

/// Half the sum of some deviations less the others: how much the ones stand over the others, for two of each.
pub(super) fn contrast(over: [Estimate; 2], under: [Estimate; 2]) -> Estimate {
    let all = [over[0], over[1], under[0], under[1]];
    let sum = over[0].mean + over[1].mean - under[0].mean - under[1].mean;
    let squares: f64 = all.iter().map(|own| own.type_a.powi(2)).sum();
    combined(sum / 2.0, squares.sqrt() / 2.0, &all)
}

/// Whether a deviation is proved and large enough to look for its cause.
pub(super) fn is_notable(own: &Estimate) -> bool {
    own.mean.abs() >= NOTABLE && own.mean.abs() > own.expanded()
}

/// The mean of deviations that are notable, of one sign and nearly equal.
pub(super) fn even(all: &[Estimate]) -> Option<Estimate> {
    let own = mean(all).filter(is_notable)?;
    let fits = all.iter().all(|one| {
        let off = (one.mean - own.mean).abs();
        let is_near = off <= EVEN.max(2.0 * one.difference(&own).standard());
        is_near && one.mean * own.mean > 0.0 && one.mean.abs() >= 0.4 * own.mean.abs()
    });
    fits.then_some(own)
}

/// A share by which every length is larger than drawn: lengths, deviations and weights.
///
/// # Formula
///
/// Least squares through zero: r = Σwld/Σwl², with the standard uncertainty 1/√(Σwl²).
pub(super) fn share(all: &[(f64, f64, f64)]) -> (f64, f64) {
    let down: f64 = all.iter().map(|(l, _, w)| w * l * l).sum();
    let up: f64 = all.iter().map(|(l, d, w)| w * l * d).sum();
    (up / down, 1.0 / down.sqrt())
}
