//! Width of words, lines broken to a width, and places for labels that lie on no other.

use crate::page::CAPITAL;
use geom::Point2;
use std::sync::LazyLock;
use ttf_parser::Face;

static FACE: LazyLock<Face<'static>> = LazyLock::new(|| {
    Face::parse(dejavu::sans::regular(), 0).expect("the font is part of the program")
});

/// Least height to which words are shrunk (mm, of capitals).
const LEAST_HEIGHT: f64 = 1.2;

/// Share by which kerning may widen words, kept in hand.
const IN_HAND: f64 = 1.01;

/// Width of words whose capitals have a height (mm).
pub(super) fn width_of(text: &str, height: f64) -> f64 {
    let em = height / CAPITAL;
    let units: f64 = text
        .chars()
        .map(|c| {
            FACE.glyph_index(c)
                .and_then(|glyph| FACE.glyph_hor_advance(glyph))
                .map_or(0.6 * f64::from(FACE.units_per_em()), f64::from)
        })
        .sum();
    units / f64::from(FACE.units_per_em()) * em * IN_HAND
}

/// Breaks words into lines of a width (mm); a word wider than that stands alone.
pub(super) fn broken(text: &str, height: f64, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let longer = if line.is_empty() {
            word.to_owned()
        } else {
            format!("{line} {word}")
        };
        if line.is_empty() || width_of(&longer, height) <= width {
            line = longer;
        } else {
            lines.push(std::mem::replace(&mut line, word.to_owned()));
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// Height at which words fit a width, the words cut short if they would be too small to read.
pub(super) fn fitted(text: &str, height: f64, width: f64) -> (String, f64) {
    let own = width_of(text, height);
    if own <= width {
        return (text.to_owned(), height);
    }
    let height = (height * width / own).max(LEAST_HEIGHT);
    let mut text = text.to_owned();
    while width_of(&text, height) > width && text.chars().count() > 1 {
        text.pop();
        text.pop();
        text.push('…');
    }
    (text, height)
}

/// An upright rectangle (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Room {
    pub(super) low: Point2,
    pub(super) high: Point2,
}

impl Room {
    /// Of words whose base line begins at a point: descenders and accents included.
    #[cfg(test)]
    pub(super) fn of_words(text: &str, at: Point2, height: f64) -> Self {
        Self {
            low: Point2::new(at.x, at.y - 0.35 * height),
            high: Point2::new(at.x + width_of(text, height), at.y + 1.3 * height),
        }
    }

    /// About a point.
    pub(super) fn about(middle: Point2, width: f64, height: f64) -> Self {
        Self {
            low: Point2::new(middle.x - width / 2.0, middle.y - height / 2.0),
            high: Point2::new(middle.x + width / 2.0, middle.y + height / 2.0),
        }
    }

    pub(super) fn meets(&self, other: &Self) -> bool {
        self.low.x < other.high.x
            && other.low.x < self.high.x
            && self.low.y < other.high.y
            && other.low.y < self.high.y
    }

    pub(super) fn holds(&self, other: &Self) -> bool {
        self.low.x <= other.low.x
            && self.low.y <= other.low.y
            && self.high.x >= other.high.x
            && self.high.y >= other.high.y
    }

    pub(super) fn with(&self, other: &Self) -> Self {
        Self {
            low: Point2::new(self.low.x.min(other.low.x), self.low.y.min(other.low.y)),
            high: Point2::new(self.high.x.max(other.high.x), self.high.y.max(other.high.y)),
        }
    }
}

/// Rooms that are taken.
#[derive(Clone, Debug, Default)]
pub(super) struct Taken(Vec<Room>);

impl Taken {
    /// Takes the first of some rooms that is free.
    pub(super) fn take(&mut self, rooms: impl IntoIterator<Item = Room>) -> Option<Room> {
        let free = rooms
            .into_iter()
            .find(|room| !self.0.iter().any(|own| own.meets(room)))?;
        self.0.push(free);
        Some(free)
    }

    pub(super) fn add(&mut self, room: Room) {
        self.0.push(room);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may fail by panic")]
    use super::*;

    #[test]
    fn lines_keep_to_their_width_and_lose_no_word() {
        let text = "Punch the rivets from inside, row by row, before any bending is begun";
        let lines = broken(text, 1.9, 40.0);
        assert!(lines.len() > 2);
        assert!(lines.iter().all(|line| width_of(line, 1.9) <= 40.0));
        assert_eq!(lines.join(" "), text);
        // A word wider than the line stands alone.
        assert_eq!(
            broken("a extraordinarily b", 1.9, 5.0),
            ["a", "extraordinarily", "b"]
        );
    }

    #[test]
    fn words_too_wide_are_shrunk_then_cut() {
        let (text, height) = fitted("Boiler wrapper", 2.6, 15.0);
        assert!(width_of(&text, height) <= 15.0 + 1e-9 && height < 2.6);
        let (text, height) = fitted("Boiler wrapper with very many words", 2.6, 15.0);
        assert!(text.ends_with('…') && height == LEAST_HEIGHT);
        assert!(width_of(&text, height) <= 15.0);
        assert_eq!(fitted("Cab", 2.6, 15.0), ("Cab".to_owned(), 2.6));
    }

    #[test]
    fn a_taken_room_is_not_given_again() {
        let mut taken = Taken::default();
        let at = |x: f64| Room::about(Point2::new(x, 0.0), 4.0, 4.0);
        assert_eq!(taken.take([at(0.0)]), Some(at(0.0)));
        assert_eq!(taken.take([at(3.0), at(4.0)]), Some(at(4.0)));
        assert_eq!(taken.take([at(1.0), at(5.0)]), None);
    }
}
