//! The unit of a scan: said, or guessed from its size with a finding.

use super::error::ScanError;

/// Unit of the numbers of a scan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ScanUnit {
    /// Millimetres on the model.
    Millimetre,
    /// Inches on the model.
    Inch,
    /// Metres on the model.
    Metre,
    /// Millimetres on the full-size engine.
    FullSize,
}

impl ScanUnit {
    /// Those that can be said.
    pub const ALL: [Self; 4] = [Self::Millimetre, Self::Inch, Self::Metre, Self::FullSize];

    /// The word on the command line and in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Inch => "in",
            Self::Metre => "m",
            Self::FullSize => "full-size-mm",
        }
    }

    /// Its name in a sentence.
    pub(super) fn title(self) -> &'static str {
        match self {
            Self::Millimetre => "millimetres",
            Self::Inch => "inches",
            Self::Metre => "metres",
            Self::FullSize => "millimetres of the full-size engine",
        }
    }

    /// Millimetres on the model in one of it, at a scale (mm to the foot).
    pub fn millimetres(self, mm_per_foot: f64) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::Inch => 25.4,
            Self::Metre => 1000.0,
            Self::FullSize => mm_per_foot / 304.8,
        }
    }
}

/// Shares of the body's size that a scan in millimetres may have: a part of the engine, or with its stand.
///
/// Chosen, not sourced: inches are 25 times and the full size is 43 times or more away.
const IN_MILLIMETRES: (f64, f64) = (0.2, 3.0);

/// Shares of the body's size that a scan must have for another unit to be guessed.
const IN_OTHERS: (f64, f64) = (0.5, 1.7);

/// The unit in which a scan of a length, in its own numbers, is as large as a body (mm): millimetres wherever
/// that can be.
pub(super) fn unit_of(scan: f64, body: f64, mm_per_foot: f64) -> Result<ScanUnit, ScanError> {
    let share = |unit: ScanUnit| scan * unit.millimetres(mm_per_foot) / body;
    let within = |share: f64, (least, most): (f64, f64)| share > least && share < most;
    if within(share(ScanUnit::Millimetre), IN_MILLIMETRES) {
        return Ok(ScanUnit::Millimetre);
    }
    ScanUnit::ALL[1..]
        .iter()
        .copied()
        .find(|unit| within(share(*unit), IN_OTHERS))
        .ok_or(ScanError::NoUnit { scan, body })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn millimetres_are_taken_wherever_they_can_be() {
        let of = |scan| unit_of(scan, 150.0, 4.0);
        assert_eq!(of(150.0), Ok(ScanUnit::Millimetre));
        assert_eq!(of(40.0), Ok(ScanUnit::Millimetre));
        assert_eq!(of(5.9), Ok(ScanUnit::Inch));
        assert_eq!(of(0.15), Ok(ScanUnit::Metre));
        assert_eq!(of(11_430.0), Ok(ScanUnit::FullSize));
        assert_eq!(
            of(1.0),
            Err(ScanError::NoUnit {
                scan: 1.0,
                body: 150.0
            })
        );
    }
}
