use std::str::FromStr;

use crate::SweepError;

/// A share of a sweep's combinations: number `part` of `of`. The shares of a sweep have none in common and together
/// have all; neighbours go to different shares, so that each has its part of what takes long.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Share {
    part: usize,
    of: usize,
}

impl Share {
    /// All of it.
    pub const WHOLE: Self = Self { part: 1, of: 1 };

    /// Whether a combination, counted from 0, belongs to this share.
    #[must_use]
    pub fn has(self, index: usize) -> bool {
        index % self.of == self.part - 1
    }
}

impl FromStr for Share {
    type Err = SweepError;

    /// Reads `2/8`.
    fn from_str(text: &str) -> Result<Self, SweepError> {
        let read = || {
            let (part, of) = text.split_once('/')?;
            let (part, of) = (part.parse().ok()?, of.parse().ok()?);
            (1..=of).contains(&part).then_some(Self { part, of })
        };
        read().ok_or_else(|| SweepError::NoShare {
            given: text.to_owned(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_disjoint_and_complete() {
        for of in 1..9 {
            for index in 0..40 {
                let owners = (1..=of).filter(|part| Share { part: *part, of }.has(index));
                assert_eq!(owners.count(), 1, "{index} of {of} shares");
            }
        }
    }

    #[test]
    fn only_shares_that_there_are_are_read() {
        assert_eq!("2/8".parse::<Share>().unwrap(), Share { part: 2, of: 8 });
        for bad in ["", "2", "0/3", "4/3", "a/b", "1/0", "-1/2", "1/2/3"] {
            assert!(bad.parse::<Share>().is_err(), "{bad}");
        }
    }
}
