//! Several readings of one place put together: mean and uncertainty.

use super::readings::Reading;
use super::student::student_factor;
use body::Instrument;

/// What is known of a length from its readings (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Mean of the readings.
    pub mean: f64,
    /// Standard uncertainty of the mean from the scatter of the readings (type A); zero for one reading.
    pub type_a: f64,
    /// Standard uncertainty from the instruments (type B).
    pub type_b: f64,
    /// Effective degrees of freedom; infinite where there is no scatter.
    pub freedom: f64,
    /// Factor by which the combined uncertainty is expanded.
    pub factor: f64,
}

impl Estimate {
    /// Puts readings together; `usual` is what a reading is taken with that does not say.
    ///
    /// # Formula
    ///
    /// GUM (JCGM 100:2008) 4.2: mean, and s/√n for its scatter. 4.3.7: limits of error ±a are taken as a rectangular
    /// distribution, a/√3; readings of one instrument share its error, so that the mean keeps the whole of it.
    /// 5.1.2: both combined by squares. G.4.1: effective degrees of freedom by Welch and Satterthwaite, ν = u⁴/(u_A⁴/(n − 1)).
    pub fn of(readings: &[Reading], usual: Instrument) -> Option<Self> {
        let n = readings.len() as f64;
        if readings.is_empty() {
            return None;
        }
        let mean = readings.iter().map(|own| own.mm).sum::<f64>() / n;
        let squares: f64 = readings.iter().map(|own| (own.mm - mean).powi(2)).sum();
        let type_a = if readings.len() > 1 {
            (squares / (n - 1.0) / n).sqrt()
        } else {
            0.0
        };
        let type_b = shared_error(readings, usual);
        let combined = (type_a * type_a + type_b * type_b).sqrt();
        let freedom = if type_a > 0.0 {
            combined.powi(4) / type_a.powi(4) * (n - 1.0)
        } else {
            f64::INFINITY
        };
        Some(Self {
            mean,
            type_a,
            type_b,
            freedom,
            factor: student_factor(freedom),
        })
    }

    /// Combined standard uncertainty (mm).
    pub fn standard(&self) -> f64 {
        (self.type_a * self.type_a + self.type_b * self.type_b).sqrt()
    }

    /// Expanded uncertainty (mm).
    pub fn expanded(&self) -> f64 {
        self.factor * self.standard()
    }

    /// The difference of two, whose errors are taken to have nothing in common.
    pub(crate) fn difference(&self, other: &Self) -> Self {
        let squared = |one: f64, two: f64| (one * one + two * two).sqrt();
        let type_a = squared(self.type_a, other.type_a);
        let type_b = squared(self.type_b, other.type_b);
        let combined = squared(type_a, type_b);
        let part = |own: &Self| {
            // What the scatter of one counts for, with its own degrees of freedom.
            let single = own.freedom * own.type_a.powi(4) / own.standard().powi(4);
            if own.type_a > 0.0 {
                own.type_a.powi(4) / single
            } else {
                0.0
            }
        };
        let parts = part(self) + part(other);
        let freedom = if parts > 0.0 {
            combined.powi(4) / parts
        } else {
            f64::INFINITY
        };
        Self {
            mean: self.mean - other.mean,
            type_a,
            type_b,
            freedom,
            factor: student_factor(freedom),
        }
    }

    /// Moved by a length (mm).
    pub(crate) fn minus(&self, by: f64) -> Self {
        Self {
            mean: self.mean - by,
            ..*self
        }
    }
}

/// Standard uncertainty of the mean from the instruments: each one's error is shared by all its readings.
fn shared_error(readings: &[Reading], usual: Instrument) -> f64 {
    let n = readings.len() as f64;
    let mut kinds: Vec<(Instrument, f64, f64)> = Vec::new();
    for own in readings {
        let instrument = own.instrument.unwrap_or(usual);
        let limit = own.limit.unwrap_or(instrument.limit_of_error());
        match kinds
            .iter_mut()
            .find(|kind| kind.0 == instrument && kind.1 == limit)
        {
            Some(kind) => kind.2 += 1.0,
            None => kinds.push((instrument, limit, 1.0)),
        }
    }
    let squares = kinds
        .iter()
        .map(|(_, limit, count)| (count / n * limit).powi(2) / 3.0);
    squares.sum::<f64>().sqrt()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may fail by panic")]
    use super::*;

    fn readings(all: &[f64], limit: f64) -> Vec<Reading> {
        all.iter()
            .map(|mm| Reading {
                mm: *mm,
                instrument: None,
                limit: Some(limit),
                line: 1,
            })
            .collect()
    }

    #[test]
    fn one_reading_has_the_uncertainty_of_its_instrument() {
        let own = Estimate::of(&readings(&[25.0], 0.03), Instrument::Caliper).unwrap();
        assert!((own.standard() - 0.03 / 3f64.sqrt()).abs() < 1e-15);
        assert_eq!((own.type_a, own.factor), (0.0, 2.0));
        assert_eq!(Estimate::of(&[], Instrument::Caliper), None);
    }

    /// Against numpy 2 and scipy 1: `std(ddof=1)/sqrt(n)`, `stats.t.ppf((1+0.954499736103642)/2, floor(nu))`.
    #[test]
    fn means_and_uncertainties_are_those_of_a_second_method() {
        for (all, limit, mean, type_a, freedom, factor, expanded) in SECOND_METHOD {
            let own = Estimate::of(&readings(all, *limit), Instrument::Caliper).unwrap();
            assert!((own.mean - mean).abs() < 1e-9, "{own:?}");
            assert!((own.type_a - type_a).abs() < 1e-9, "{own:?}");
            assert!((own.freedom - freedom).abs() < 1e-6 * freedom, "{own:?}");
            assert!((own.factor - factor).abs() < 1e-6, "{own:?}");
            assert!((own.expanded() - expanded).abs() < 1e-7, "{own:?}");
        }
    }

    /// Readings, limit of error, mean, type A, degrees of freedom, factor, expanded uncertainty.
    type Row = (&'static [f64], f64, f64, f64, f64, f64, f64);
    const SECOND_METHOD: &[Row] = &[
        (
            &[25.02, 25.05, 25.11],
            0.03,
            25.060000000000,
            0.026457513111,
            4.081632653,
            2.869309415,
            0.090735530620,
        ),
        (
            &[142.61, 142.7],
            0.03,
            142.655000000000,
            0.045000000000,
            1.318244170,
            13.967730199,
            0.673499559826,
        ),
        (
            &[50.66, 50.69, 50.65, 50.7, 50.68],
            0.05,
            50.676000000000,
            0.009273618495,
            457.097770567,
            2.005485153,
            0.060807332864,
        ),
        (
            &[33.3, 33.36, 33.41, 33.29],
            0.005,
            33.340000000000,
            0.027988092706,
            3.064169307,
            3.306822175,
            0.093042639205,
        ),
        (
            &[
                128.7, 128.6, 128.9, 128.75, 128.65, 128.8, 128.55, 128.7, 128.72, 128.66,
            ],
            0.3,
            128.703000000000,
            0.031518953733,
            8759.816863150,
            2.000000000,
            0.352099102211,
        ),
        (
            &[9.83, 9.95, 10.11],
            1e-4,
            9.963333333333,
            0.081103500404,
            2.000002027,
            4.526536687,
            0.367118063077,
        ),
    ];

    #[test]
    fn readings_of_two_instruments_share_their_errors_apart() {
        let mut two = readings(&[10.0, 10.0], 0.03);
        two[1].instrument = Some(Instrument::Rule);
        two[1].limit = None;
        let own = Estimate::of(&two, Instrument::Caliper).unwrap();
        let wanted = ((0.015f64.powi(2) + 0.15f64.powi(2)) / 3.0).sqrt();
        assert!((own.type_b - wanted).abs() < 1e-15);
        // Ten readings of one caliper keep its error.
        let ten = Estimate::of(&readings(&[10.0; 10], 0.03), Instrument::Caliper).unwrap();
        assert!((ten.type_b - 0.03 / 3f64.sqrt()).abs() < 1e-15);
    }

    #[test]
    fn a_difference_has_the_uncertainties_of_both() {
        let one = Estimate::of(&readings(&[10.0, 10.1, 10.2], 0.03), Instrument::Caliper).unwrap();
        let other = Estimate::of(&readings(&[9.0], 0.03), Instrument::Caliper).unwrap();
        let own = one.difference(&other);
        assert!((own.mean - 1.1).abs() < 1e-12);
        let wanted = (one.standard().powi(2) + other.standard().powi(2)).sqrt();
        assert!((own.standard() - wanted).abs() < 1e-15);
        // Welch and Satterthwaite over both: only the first has scatter.
        assert!((own.freedom - own.standard().powi(4) / (one.type_a.powi(4) / 2.0)).abs() < 1e-9);
    }
}
