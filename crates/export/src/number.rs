//! Numbers as they are written: fixed decimals, no negative zero.

/// Decimals of a length or coordinate (mm): a thousandth of what any file is held to.
pub(crate) const LENGTH_DECIMALS: usize = 6;

/// Decimals of a bulge: over a chord of 200 mm the last one moves the arc by 1e-7 mm.
pub(crate) const BULGE_DECIMALS: usize = 9;

/// A number rounded to some decimals, −0 as 0.
///
/// ```
/// assert_eq!(export::rounded(1.23456789, 6), 1.234568);
/// assert!(export::rounded(-1e-9, 6).is_sign_positive());
/// ```
pub fn rounded(value: f64, decimals: usize) -> f64 {
    let power = (0..decimals).fold(1.0, |p, _| p * 10.0);
    // Adding zero turns −0 into 0.
    (value * power).round() / power + 0.0
}

/// A length or coordinate (mm) as files show it.
pub fn millimetres(value: f64) -> f64 {
    rounded(value, LENGTH_DECIMALS)
}

/// A number with all its decimals, as fixed-width formats want it: `-0.500000`.
pub(crate) fn fixed(value: f64, decimals: usize) -> String {
    format!("{:.decimals$}", rounded(value, decimals))
}

/// A number without idle zeros: `12.5`, `3`.
pub(crate) fn short(value: f64, decimals: usize) -> String {
    rounded(value, decimals).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_negative_zero_and_no_idle_zeros() {
        assert_eq!(fixed(-1e-9, 6), "0.000000");
        assert_eq!(fixed(-0.5, 3), "-0.500");
        assert_eq!(short(-1e-12, 6), "0");
        assert_eq!(short(12.5, 6), "12.5");
        assert_eq!(short(1e-6, 6), "0.000001");
        assert_eq!(short(123_456.789_012_4, 6), "123456.789012");
    }
}
