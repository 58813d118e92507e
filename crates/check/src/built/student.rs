//! Student's distribution, for means of few readings.

use geom::math::{PI, atan2, cos, erf, sin};

/// Probability within ± two standard deviations of a normal distribution, for which expanded uncertainties are stated.
pub const COVERAGE: f64 = 0.954_499_736_103_642;

/// Degrees of freedom from which the normal distribution is taken: the factor is then 2.0025 and not 2.
const MANY: u32 = 1000;

/// Degrees of freedom as a whole number, cut off as the GUM has it (G.4.1); `None` for many.
fn whole(freedom: f64) -> Option<u32> {
    // Not a number counts as many: there is no scatter to be unsure of.
    (freedom < f64::from(MANY)).then(|| (freedom as u32).max(1))
}

/// Probability that a Student variable lies between −t and t.
///
/// # Formula
///
/// Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4, for whole degrees of freedom ν, with
/// θ = atan(t/√ν): a finite series in cos θ.
///
/// `freedom` is cut off to a whole number, one at least.
pub fn student_probability(t: f64, freedom: f64) -> f64 {
    let Some(nu) = whole(freedom) else {
        return erf(t / std::f64::consts::SQRT_2);
    };
    let theta = atan2(t, f64::from(nu).sqrt());
    let (s, c) = (sin(theta), cos(theta));
    let odd = nu % 2 == 1;
    if nu == 1 {
        return 2.0 * theta / PI;
    }
    let mut term = if odd { c } else { 1.0 };
    let mut sum = term;
    let mut i = if odd { 3 } else { 2 };
    while i < nu {
        term *= c * c * f64::from(i - 1) / f64::from(i);
        sum += term;
        i += 2;
    }
    if odd {
        2.0 / PI * (theta + s * sum)
    } else {
        s * sum
    }
}

/// Factor by which a standard uncertainty is expanded to [`COVERAGE`].
///
/// 2 for many degrees of freedom.
pub fn student_factor(freedom: f64) -> f64 {
    if whole(freedom).is_none() {
        return 2.0;
    }
    // The probability rises with t, from 0 to above the coverage.
    let (mut low, mut high) = (0.0, 20.0);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if student_probability(middle, freedom) < COVERAGE {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low + high) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST Technical Note 1297 (1994), Table B.1, column 95.45 %.
    const TABLE: [(u32, f64); 27] = [
        (1, 13.97),
        (2, 4.53),
        (3, 3.31),
        (4, 2.87),
        (5, 2.65),
        (6, 2.52),
        (7, 2.43),
        (8, 2.37),
        (9, 2.32),
        (10, 2.28),
        (11, 2.25),
        (12, 2.23),
        (13, 2.21),
        (14, 2.20),
        (15, 2.18),
        (16, 2.17),
        (17, 2.16),
        (18, 2.15),
        (19, 2.14),
        (20, 2.13),
        (25, 2.11),
        (30, 2.09),
        (35, 2.07),
        (40, 2.06),
        (45, 2.06),
        (50, 2.05),
        (100, 2.025),
    ];

    #[test]
    fn factors_are_those_of_the_published_table() {
        for (nu, printed) in TABLE {
            let digits = if nu == 100 { 0.0005 } else { 0.005 };
            let found = student_factor(f64::from(nu));
            assert!(
                (found - printed).abs() <= digits + 1e-9,
                "{nu}: {found} against {printed}"
            );
        }
        assert_eq!(student_factor(f64::INFINITY), 2.0);
        assert_eq!(student_factor(f64::NAN), 2.0);
    }

    #[test]
    fn degrees_of_freedom_are_cut_off() {
        assert_eq!(student_factor(4.99), student_factor(4.0));
        assert_eq!(student_factor(0.2), student_factor(1.0));
    }

    #[test]
    fn the_distribution_goes_over_into_the_normal_one() {
        for t in [0.5, 1.0, 2.0, 3.0] {
            let near = student_probability(t, 999.0) - student_probability(t, f64::INFINITY);
            assert!(near.abs() < 1e-3, "{t}: {near}");
        }
    }
}
