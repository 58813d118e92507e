//! The rule by which a measured length is said to keep its tolerance.

use super::estimate::Estimate;
use super::student::student_probability;

/// What is proved of a length.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Decision {
    /// It lies within its limits.
    Conforms,
    /// Neither is proved.
    Undecided,
    /// It lies outside them.
    DoesNotConform,
}

impl Decision {
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Conforms => "conforms",
            Self::Undecided => "undecided",
            Self::DoesNotConform => "does-not-conform",
        }
    }

    /// The word for people.
    pub fn words(self) -> &'static str {
        match self {
            Self::Conforms => "conforms",
            Self::Undecided => "undecided",
            Self::DoesNotConform => "does not conform",
        }
    }
}

/// Rounding in the last place of a decimal that was typed; it decides nothing (mm).
const ROUNDING: f64 = 1e-9;

/// Decides on a measured length with an expanded uncertainty between two limits, all in mm.
///
/// # Formula
///
/// ISO 14253-1: conformity is proved from low + U to high − U, the contrary below low − U and above high + U, each end
/// of the first included; between them it is undecided. The uncertainty counts against the one who must prove.
pub fn decide(measured: f64, expanded: f64, (low, high): (f64, f64)) -> Decision {
    let r = ROUNDING;
    if measured >= low + expanded - r && measured <= high - expanded + r {
        Decision::Conforms
    } else if measured < low - expanded - r || measured > high + expanded + r {
        Decision::DoesNotConform
    } else {
        Decision::Undecided
    }
}

/// Probability that the true length lies between two limits, JCGM 106:2012, 7.2, with Student's distribution for few readings.
pub fn conformance_probability(own: &Estimate, (low, high): (f64, f64)) -> f64 {
    let standard = own.standard();
    let below = |limit: f64| {
        let t = (limit - own.mean) / standard;
        let within = student_probability(t.abs(), own.freedom);
        0.5 + 0.5 * within * t.signum()
    };
    (below(high) - below(low)).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 10.00 ± 0.05 mm with U = 0.01 mm: accept 9.96 to 10.04, reject below 9.94 and above 10.06.
    #[test]
    fn the_uncertainty_counts_against_who_must_prove() {
        let limits = (9.95, 10.05);
        for (measured, wanted) in [
            (9.93, Decision::DoesNotConform),
            (9.939, Decision::DoesNotConform),
            (9.94, Decision::Undecided),
            (9.95, Decision::Undecided),
            (9.959, Decision::Undecided),
            (9.96, Decision::Conforms),
            (10.0, Decision::Conforms),
            (10.04, Decision::Conforms),
            (10.041, Decision::Undecided),
            (10.06, Decision::Undecided),
            (10.061, Decision::DoesNotConform),
        ] {
            assert_eq!(decide(measured, 0.01, limits), wanted, "{measured}");
        }
    }

    #[test]
    fn an_uncertainty_wider_than_the_limits_proves_nothing_within_them() {
        for measured in [9.9, 9.95, 10.0, 10.05, 10.1] {
            assert_eq!(decide(measured, 0.2, (9.95, 10.05)), Decision::Undecided);
        }
        assert_eq!(decide(f64::NAN, 0.01, (9.95, 10.05)), Decision::Undecided);
    }

    /// Closed form: at a limit half the probability, two standard uncertainties within it Φ(2) = 0.977 25 (tables of the
    /// normal distribution).
    #[test]
    fn the_probability_of_conformance_is_that_of_the_distribution() {
        let own = |mean: f64, type_a: f64, freedom: f64| Estimate {
            mean,
            type_a,
            type_b: if type_a > 0.0 { 0.0 } else { 0.01 },
            freedom,
            factor: 2.0,
        };
        let limits = (9.0, 11.0);
        let many = f64::INFINITY;
        for (mean, wanted) in [(11.0, 0.5), (10.98, 0.977_249_868), (11.02, 0.022_750_132)] {
            let found = conformance_probability(&own(mean, 0.0, many), limits);
            assert!((found - wanted).abs() < 1e-8, "{mean}: {found}");
        }
        // Student with 2 degrees of freedom (closed form 1/2 + t/(2√(2 + t²))): t = 2 gives 0.908 25.
        let found = conformance_probability(&own(10.98, 0.01, 2.0), limits);
        assert!((found - 0.908_248_29).abs() < 1e-7, "{found}");
    }
}
