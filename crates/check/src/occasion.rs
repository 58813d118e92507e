//! When a rule is looked at.

use crate::RULES;

/// What is looked at when findings are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Occasion {
    /// The body by itself.
    Body,
    /// Artwork drawn for the body, the body with it. Rules of the etch are here too: they hold for plates as meant and as drawn.
    Artwork,
    /// The plates laid on their sheets.
    Fret,
    /// The train on a curve.
    Curve,
    /// Readings of the finished model.
    Readings,
    /// A scan of the finished model.
    Scan,
}

impl Occasion {
    /// Whether all that a rule may find has been looked for on this occasion, so that a waiver of which nothing was found lets
    /// nothing pass. A word that is no rule is told to be idle with the body.
    pub fn has_looked_for(self, rule: &str) -> bool {
        let known = RULES.iter().find(|known| known.word == rule);
        match known.map_or(Self::Body, |known| known.occasion) {
            Self::Body => matches!(self, Self::Body | Self::Artwork),
            own => own == self,
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
        let mut heading = Occasion::Body;
        let mut read = 0;
        for line in book.lines() {
            if let Some(title) = line.strip_prefix("## ") {
                heading = match title {
                    "On the curve" => Occasion::Curve,
                    "The finished model" => Occasion::Readings,
                    "Scanned" => Occasion::Scan,
                    "The body by itself" | "Waivers" => Occasion::Body,
                    "The fret" => Occasion::Fret,
                    _ => Occasion::Artwork,
                };
            }
            if let Some(word) = line
                .strip_prefix("### `")
                .and_then(|own| own.strip_suffix('`'))
            {
                let rule = RULES.iter().find(|rule| rule.word == word).unwrap();
                // Rules of the etch stand with the body, and hold for what is drawn too.
                let etched = heading == Occasion::Body && rule.occasion == Occasion::Artwork;
                assert!(rule.occasion == heading || etched, "{word}");
                read += 1;
            }
        }
        assert_eq!(read, RULES.len());
    }
}
