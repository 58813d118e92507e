//! Numbers as people write them.

/// Characters of a number at most.
const LONGEST: usize = 40;

/// Reads a plain decimal number with a point, or, where `comma` allows it, a comma.
///
/// # Errors
///
/// What would be right.
pub(super) fn decimal(text: &str, comma: bool) -> Result<f64, &'static str> {
    const PLAIN: &str = "a plain number is wanted, like 25.05; the unit stands by itself";
    if text.chars().count() > LONGEST {
        return Err("a reading has a few digits");
    }
    let has_comma = text.contains(',');
    if has_comma && !comma {
        return Err(
            "write a decimal point, or put semicolons between the columns of a file with decimal commas",
        );
    }
    if has_comma && (text.contains('.') || text.matches(',').count() > 1) {
        return Err("no mark between thousands is read; write 1234,5 or 1234.5");
    }
    let plain = text.replace(',', ".").replace('\u{2212}', "-");
    let digits = plain.strip_prefix(['-', '+']).unwrap_or(&plain);
    let is_plain = digits.chars().all(|c| c.is_ascii_digit() || c == '.')
        && digits.chars().any(|c| c.is_ascii_digit())
        && digits.matches('.').count() <= 1;
    if !is_plain {
        return Err(PLAIN);
    }
    plain.parse().map_err(|_| PLAIN)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_and_commas_are_read_where_they_are_plain() {
        assert_eq!(decimal("25.05", false), Ok(25.05));
        assert_eq!(decimal("25,05", true), Ok(25.05));
        assert_eq!(decimal("\u{2212}0.05", true), Ok(-0.05));
        assert_eq!(decimal("+3", false), Ok(3.0));
        assert_eq!(decimal(".5", false), Ok(0.5));
        for bad in [
            "", "-", ".", "nan", "inf", "1e5", "25.0.5", "1.234,5", "1,2,3", "25 mm", "0x10",
        ] {
            assert!(decimal(bad, true).is_err(), "{bad}");
        }
        assert!(decimal("25,05", false).is_err());
        assert!(decimal(&"1".repeat(500), true).is_err());
    }
}
