//! Dimensions as works drawings give them.

/// A length on the full-size locomotive, as the works drawing gives it.
///
/// Kept apart from model lengths (plain `f64`, millimetres) so that a drawing figure can only reach
/// the geometry through [`PrototypeLength::at_scale`].
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct PrototypeLength {
    inches: f64,
}

impl PrototypeLength {
    /// Length from inches.
    pub const fn inches(inches: f64) -> Self {
        Self { inches }
    }

    /// The length in inches.
    pub fn in_inches(self) -> f64 {
        self.inches
    }

    /// Length on the model (mm) at a scale of `mm_per_foot`.
    pub fn at_scale(self, mm_per_foot: f64) -> f64 {
        self.inches / 12.0 * mm_per_foot
    }

    /// The figure in feet and inches to the nearest sixteenth: `4ft 8 1/2in`.
    pub fn words(self) -> String {
        let sixteenths = (self.inches.abs() * 16.0).round() as i64;
        let (feet, rest) = (sixteenths / 192, sixteenths % 192);
        let (whole, part) = (rest / 16, rest % 16);
        let divisor = if part == 0 {
            16
        } else {
            1 << part.trailing_zeros()
        };
        let fraction = match part {
            0 => String::new(),
            _ => format!(" {}/{}", part / divisor, 16 / divisor),
        };
        let sign = if self.inches < 0.0 { "-" } else { "" };
        match feet {
            0 => format!("{sign}{whole}{fraction}in"),
            _ => format!("{sign}{feet}ft {whole}{fraction}in"),
        }
    }
}

/// A dimension in a model file: full size, or already on the model.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Dimension {
    /// Feet and inches of the works drawing.
    FullSize(PrototypeLength),
    /// Millimetres on the model.
    Model(f64),
}

/// Reads a dimension: `4ft 8 1/2in`, `4'-8½"`, `56.5in`, `12.4mm`.
///
/// # Errors
///
/// A sentence that says what was not understood.
pub fn parse_dimension(text: &str) -> Result<Dimension, String> {
    let trimmed = text.trim();
    if trimmed.is_empty() {
        return Err("the dimension is empty".to_owned());
    }
    if let Some(figure) = trimmed.strip_suffix("mm") {
        return figure
            .trim()
            .parse::<f64>()
            .ok()
            .filter(|mm| mm.is_finite())
            .map(Dimension::Model)
            .ok_or_else(|| format!("\"{figure}\" is not a number of millimetres"));
    }
    let (negative, rest) = match trimmed.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, trimmed),
    };
    let (feet, rest) = match split_at_any(rest, &["ft", "'", "′"]) {
        Some((feet, rest)) => (
            figure(feet)?,
            rest.trim_start_matches(['-', ' ', '\u{2013}']),
        ),
        None => (0.0, rest),
    };
    let inches = match split_at_any(rest, &["in", "\"", "″"]) {
        Some((inches, "")) => figure(inches)?,
        Some((_, more)) => return Err(format!("\"{more}\" stands after the inches")),
        None if rest.trim().is_empty() => 0.0,
        None => {
            return Err(format!("\"{}\" has no unit", rest.trim()));
        }
    };
    let total = feet * 12.0 + inches;
    let signed = if negative { -total } else { total };
    Ok(Dimension::FullSize(PrototypeLength::inches(signed)))
}

fn split_at_any<'t>(text: &'t str, marks: &[&str]) -> Option<(&'t str, &'t str)> {
    marks
        .iter()
        .find_map(|mark| text.split_once(mark))
        .map(|(before, after)| (before, after.trim()))
}

/// A whole number, a decimal, a fraction, or a whole number with a fraction behind it.
fn figure(text: &str) -> Result<f64, String> {
    let bad = || format!("\"{}\" is not a figure", text.trim());
    let mut total = 0.0;
    let spaced: String = text
        .chars()
        .flat_map(|c| match vulgar_fraction(c) {
            Some(plain) => format!(" {plain}").chars().collect::<Vec<_>>(),
            None => vec![c],
        })
        .collect();
    let mut any = false;
    for word in spaced.split_whitespace() {
        any = true;
        total += match word.split_once('/') {
            Some((top, bottom)) => {
                let (top, bottom) = (parse(top).ok_or_else(bad)?, parse(bottom).ok_or_else(bad)?);
                if bottom == 0.0 {
                    return Err(bad());
                }
                top / bottom
            }
            None => parse(word).ok_or_else(bad)?,
        };
    }
    if any { Ok(total) } else { Err(bad()) }
}

fn parse(word: &str) -> Option<f64> {
    let plain = word.chars().all(|c| c.is_ascii_digit() || c == '.');
    word.parse::<f64>()
        .ok()
        .filter(|value| plain && value.is_finite())
}

fn vulgar_fraction(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inches(text: &str) -> f64 {
        match parse_dimension(text) {
            Ok(Dimension::FullSize(length)) => length.inches,
            other => panic!("{text}: {other:?}"),
        }
    }

    #[test]
    fn reads_what_drawings_say() {
        for (text, want) in [
            ("4ft 8 1/2in", 56.5),
            ("4'-8½\"", 56.5),
            ("4' 8.5\"", 56.5),
            ("56.5in", 56.5),
            ("2ft", 24.0),
            ("0ft 10in", 10.0),
            ("1/16in", 0.0625),
            ("-3in", -3.0),
            ("9'-7⅞\"", 115.875),
        ] {
            assert_eq!(inches(text), want, "{text}");
        }
        assert_eq!(parse_dimension("12.4mm"), Ok(Dimension::Model(12.4)));
    }

    #[test]
    fn refuses_what_it_cannot_read() {
        for text in [
            "", "12", "4 feet", "in", "4ft8", "1/0in", "4in 3in", "1e3in", "infmm", "NaNmm",
            "0x4in",
        ] {
            assert!(parse_dimension(text).is_err(), "{text}");
        }
    }

    #[test]
    fn words_read_back() {
        for figure in [0.0, 0.0625, 7.5, 12.0, 56.5, 115.875, 428.0] {
            assert_eq!(inches(&PrototypeLength::inches(figure).words()), figure);
        }
    }

    #[test]
    fn four_millimetres_to_the_foot() {
        assert_eq!(PrototypeLength::inches(12.0).at_scale(4.0), 4.0);
    }
}
