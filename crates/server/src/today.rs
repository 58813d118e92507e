//! The day on which waivers are held against the clock.

use std::time::{SystemTime, UNIX_EPOCH};

/// The day in universal time, as waivers write it: `2027-03-31`.
#[must_use]
pub fn today() -> String {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    day_of(since.map_or(0, |since| since.as_secs() / 86_400))
}

/// A number of days since 1 January 1970 as year, month and day of the Gregorian calendar.
///
/// Counted in eras of 400 years that begin on 1 March, so that the leap day is the last of its year.
fn day_of(days: u64) -> String {
    let shifted = days + 719_468;
    let (era, in_era) = (shifted / 146_097, shifted % 146_097);
    let year = (in_era - in_era / 1_460 + in_era / 36_524 - in_era / 146_096) / 365;
    let in_year = in_era - (365 * year + year / 4 - year / 100);
    let month = (5 * in_year + 2) / 153;
    let day = in_year - (153 * month + 2) / 5 + 1;
    let (month, next) = if month < 10 {
        (month + 3, 0)
    } else {
        (month - 9, 1)
    };
    format!("{:04}-{month:02}-{day:02}", era * 400 + year + next)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_of_the_calendar() {
        let days = [
            (0, "1970-01-01"),
            (11_016, "2000-02-29"),
            (20_782, "2026-11-25"),
        ];
        for (number, text) in days {
            assert_eq!(day_of(number), text);
        }
    }
}
