//! Values of one key: listed, or from one to another.

use body::{Dimension, PrototypeLength, parse_dimension};

use crate::{MOST_COMBINATIONS, SweepError};

/// A key of the model file and the values that it takes one after another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Axis {
    /// The key: `boiler.pitch`, `axles[0].x`, `wheels`.
    pub key: String,
    /// Its values as the model file writes them, without quotes.
    pub values: Vec<String>,
}

/// A figure that a range can run over.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Figure {
    /// Inches of the full-size engine.
    Inches(f64),
    /// Millimetres of the model.
    Millimetres(f64),
    /// A plain number.
    Number(f64),
}

impl Axis {
    /// Reads `KEY=VALUES`: values with commas, `wheels=fine,exact`; a number of them evenly from one to another,
    /// both included, `boiler.pitch=7ft1in..7ft6in/6`; or in steps, `boiler.pitch=7ft1in..7ft6in+1in`.
    ///
    /// # Errors
    ///
    /// [`SweepError::NoAxis`], [`SweepError::Range`], [`SweepError::ValueTwice`], [`SweepError::TooMany`].
    pub fn read(text: &str) -> Result<Self, SweepError> {
        let no_axis = || SweepError::NoAxis {
            given: text.to_owned(),
        };
        let (key, given) = text.split_once('=').ok_or_else(no_axis)?;
        let key = key.trim();
        if key.is_empty() {
            return Err(no_axis());
        }
        let mut values: Vec<String> = Vec::new();
        for piece in given.split(',') {
            let piece = piece.trim();
            let more = match piece.split_once("..") {
                Some((from, rest)) => range(from, rest).map_err(|refused| match refused {
                    Refused::Why(why) => SweepError::Range {
                        key: key.to_owned(),
                        given: piece.to_owned(),
                        why,
                    },
                    Refused::TooMany(count) => SweepError::TooMany { count },
                })?,
                // An empty variant is the file without one.
                None if piece.is_empty() && key != "variant" => {
                    return Err(SweepError::Range {
                        key: key.to_owned(),
                        given: given.to_owned(),
                        why: "a value is empty".to_owned(),
                    });
                }
                None => vec![piece.to_owned()],
            };
            values.extend(more);
        }
        let mut sorted: Vec<&String> = values.iter().collect();
        sorted.sort();
        if let Some(pair) = sorted.windows(2).find(|pair| pair[0] == pair[1]) {
            return Err(SweepError::ValueTwice {
                key: key.to_owned(),
                value: pair[0].clone(),
            });
        }
        Ok(Self {
            key: key.to_owned(),
            values,
        })
    }
}

enum Refused {
    Why(String),
    TooMany(String),
}

impl From<String> for Refused {
    fn from(why: String) -> Self {
        Self::Why(why)
    }
}

/// The values of `from..TO/COUNT` or `from..TO+STEP`.
fn range(from: &str, rest: &str) -> Result<Vec<String>, Refused> {
    let start = figure(from)?;
    let is_count =
        |text: &str| !text.trim().is_empty() && text.trim().bytes().all(|b| b.is_ascii_digit());
    // What stands behind the last stroke may be the end of a fraction: `1in..2 1/2in+1/4in`.
    if let Some((to, count)) = rest.rsplit_once('/').filter(|(_, count)| is_count(count)) {
        let end = figure(to)?;
        let count: usize = count
            .trim()
            .parse()
            .ok()
            .filter(|count| *count <= MOST_COMBINATIONS)
            .ok_or_else(|| Refused::TooMany(count.trim().to_owned()))?;
        if count < 2 {
            return Err(Refused::Why("a range has two values or more".to_owned()));
        }
        let (a, b) = both(start, end)?;
        let at = |i: usize| start.with(a + (b - a) * i as f64 / (count - 1) as f64);
        return Ok((0..count).map(|i| at(i).words()).collect());
    }
    let Some((to, step)) = rest.split_once('+') else {
        return Err(Refused::Why(
            "a range says how many values it has, or its step".to_owned(),
        ));
    };
    let (end, step) = (figure(to)?, figure(step)?);
    let ((a, b), (_, step)) = (both(start, end)?, both(start, step)?);
    if step <= 0.0 {
        return Err(Refused::Why("a step is above zero".to_owned()));
    }
    // What the sum of steps misses the end by through rounding alone.
    let steps = ((b - a).abs() / step + 1e-6).floor();
    if steps + 1.0 > MOST_COMBINATIONS as f64 {
        return Err(Refused::TooMany(format!("{:.0}", steps + 1.0)));
    }
    let step = if b < a { -step } else { step };
    let at = |i: usize| start.with(a + step * i as f64);
    Ok((0..=steps as usize).map(|i| at(i).words()).collect())
}

fn figure(text: &str) -> Result<Figure, String> {
    let text = text.trim();
    if let Some(number) = text.parse::<f64>().ok().filter(|number| number.is_finite()) {
        return Ok(Figure::Number(number));
    }
    match parse_dimension(text) {
        Ok(Dimension::FullSize(length)) => Ok(Figure::Inches(length.in_inches())),
        Ok(Dimension::Model(mm)) => Ok(Figure::Millimetres(mm)),
        Err(why) => Err(format!("\"{text}\" is no length and no number: {why}")),
    }
}

/// Two figures of the same kind.
fn both(a: Figure, b: Figure) -> Result<(f64, f64), String> {
    match (a, b) {
        (Figure::Inches(a), Figure::Inches(b))
        | (Figure::Millimetres(a), Figure::Millimetres(b))
        | (Figure::Number(a), Figure::Number(b)) => Ok((a, b)),
        _ => Err(
            "full-size lengths, lengths of the model and plain numbers cannot be mixed".to_owned(),
        ),
    }
}

impl Figure {
    /// The same kind of figure, to five decimals: finer than anything that is cut or printed, and free of the
    /// last digits of binary fractions.
    fn with(self, value: f64) -> Self {
        let value = (value * 1e5).round() / 1e5;
        match self {
            Self::Inches(_) => Self::Inches(value),
            Self::Millimetres(_) => Self::Millimetres(value),
            Self::Number(_) => Self::Number(value),
        }
    }

    /// The figure as a model file writes it.
    fn words(self) -> String {
        match self {
            Self::Inches(inches) => {
                let words = PrototypeLength::inches(inches).words();
                let exact = Dimension::FullSize(PrototypeLength::inches(inches));
                match parse_dimension(&words) == Ok(exact) {
                    true => words,
                    false => format!("{inches}in"),
                }
            }
            Self::Millimetres(mm) => format!("{mm}mm"),
            Self::Number(number) => number.to_string(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(text: &str) -> Vec<String> {
        Axis::read(text).unwrap().values
    }

    fn refused(text: &str) -> String {
        Axis::read(text).unwrap_err().to_string()
    }

    #[test]
    fn values_are_listed_or_counted_or_stepped() {
        let inches = [
            "7ft 1in", "7ft 2in", "7ft 3in", "7ft 4in", "7ft 5in", "7ft 6in",
        ];
        assert_eq!(values("boiler.pitch=7ft1in..7ft6in/6"), inches);
        assert_eq!(values("boiler.pitch=7ft1in..7ft6in+1in"), inches);
        assert_eq!(values("wheels=exact,p4"), ["exact", "p4"]);
        assert_eq!(values("variant=,late"), ["", "late"]);
        assert_eq!(
            values("x=1 1/2in..2in+1/4in, 3ft"),
            ["1 1/2in", "1 3/4in", "2in", "3ft"]
        );
        assert_eq!(values("x=2in..1in/3"), ["2in", "1 1/2in", "1in"]);
        assert_eq!(values("x=2in..1in+1/2in"), ["2in", "1 1/2in", "1in"]);
        assert_eq!(
            values("x=0in..1in/4"),
            ["0in", "0.33333in", "0.66667in", "1in"]
        );
        assert_eq!(values("m=0.1mm..0.3mm+0.1mm"), ["0.1mm", "0.2mm", "0.3mm"]);
        assert_eq!(values("a=-5..10/4"), ["-5", "0", "5", "10"]);
        // The end is no value unless a step comes to it.
        assert_eq!(values("x=1in..2 1/4in+1/2in"), ["1in", "1 1/2in", "2in"]);
    }

    #[test]
    fn what_is_written_reads_back_to_the_same_length() {
        for text in values("x=7ft 1in..8ft 2 3/16in/101") {
            let Ok(Dimension::FullSize(length)) = parse_dimension(&text) else {
                panic!("{text}");
            };
            let inches = length.in_inches();
            assert!(
                ((inches * 1e5).round() / 1e5 - inches).abs() < 1e-12,
                "{text}"
            );
        }
    }

    #[test]
    fn what_cannot_be_read_is_refused_with_the_reason() {
        for (text, says) in [
            ("boiler.pitch", "names no key"),
            ("=7ft", "names no key"),
            ("x=", "empty"),
            ("x=1in,,2in", "empty"),
            ("x=1in..2in", "how many"),
            ("x=1in..2in/1", "two values or more"),
            ("x=1in..2in+0in", "above zero"),
            ("x=1in..2in+-1in", "above zero"),
            ("x=1in..2mm/3", "mixed"),
            ("x=1in..2/3", "mixed"),
            ("x=1in..2in+1mm", "mixed"),
            ("x=red..blue/3", "no length and no number"),
            ("x=1in..1in/2", "twice"),
            ("x=a,b,a", "twice"),
            ("x=1in..2in/99999999999999999999", "most"),
            ("x=0..1e300+1e-300", "most"),
        ] {
            let said = refused(text);
            assert!(said.contains(says), "{text}: {said}");
        }
    }
}
