//! Which command a finding comes of, so that its waivers are spoken of there and nowhere else.

/// What is looked at when findings are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Occasion {
    /// The body by itself, and artwork drawn for it.
    Model,
    /// The train on a curve.
    Curve,
    /// Readings of the finished model.
    Readings,
    /// A scan of the finished model.
    Scan,
}

/// Rules of the train on a curve, its motor and its weight.
const ON_THE_CURVE: [&str; 16] = [
    "wheel-touches",
    "wheel-near",
    "truck-touches",
    "truck-near",
    "axle-side-play",
    "bogie-slide",
    "wheel-attack",
    "tender-near-engine",
    "outside-loading-gauge",
    "outside-structure",
    "motor-touches",
    "motor-near",
    "weight-beyond-axles",
    "too-light",
    "too-heavy",
    "axle-lifts",
];

impl Occasion {
    /// Where a rule is looked at. A word that is no rule belongs to the model, where it is told that it lets nothing pass.
    pub fn of(rule: &str) -> Self {
        if rule.starts_with("built-") {
            Self::Readings
        } else if rule.starts_with("scan-") {
            Self::Scan
        } else if ON_THE_CURVE.contains(&rule) {
            Self::Curve
        } else {
            Self::Model
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::RULES;

    /// The rules stand in the book under the heading of what they are found by.
    #[test]
    fn rules_belong_where_the_book_has_them() {
        let book = include_str!("../../../docs/rules.md");
        let mut heading = Occasion::Model;
        let mut read = 0;
        for line in book.lines() {
            if let Some(title) = line.strip_prefix("## ") {
                heading = match title {
                    "On the curve" => Occasion::Curve,
                    "The finished model" => Occasion::Readings,
                    "Scanned" => Occasion::Scan,
                    _ => Occasion::Model,
                };
            }
            if let Some(word) = line
                .strip_prefix("### `")
                .and_then(|own| own.strip_suffix('`'))
            {
                assert_eq!(Occasion::of(word), heading, "{word}");
                read += 1;
            }
        }
        assert_eq!(read, RULES.len());
    }
}
