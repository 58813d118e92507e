//! Dimension lines of a drawing: lengths below a view, heights beside it.

use super::paper::{FAINT, INK, words};
use super::words::width_of;
use crate::page::Item;
use geom::{Point2, Segment, Vector2};

/// Height of figures, and from one dimension line to the next (mm).
pub(super) const FIGURE: f64 = 1.7;
pub(super) const ROW: f64 = 8.0;

/// From one height's words to the next (mm).
const LEVEL: f64 = 6.2;

/// Width of dimension and extension lines (mm).
const FINE: f64 = 0.13;

/// A dimension along the paper, ends already on it.
#[derive(Clone, Debug)]
pub(super) struct Span {
    /// Where its extension lines begin.
    pub(super) from: Point2,
    pub(super) to: Point2,
    /// Full size, over the line.
    pub(super) over: String,
    /// Model, under it.
    pub(super) under: String,
}

impl Span {
    fn reach(&self) -> (f64, f64) {
        let middle = (self.from.x + self.to.x) / 2.0;
        let words = width_of(&self.over, FIGURE).max(width_of(&self.under, FIGURE)) + 2.0;
        let half = ((self.to.x - self.from.x).abs() / 2.0).max(words / 2.0);
        (middle - half, middle + half)
    }
}

/// Row of each span: the shorter the nearer, none upon another.
pub(super) fn rows(spans: &[Span]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..spans.len()).collect();
    let length = |i: &usize| (spans[*i].to.x - spans[*i].from.x).abs();
    order.sort_by(|a, b| length(a).total_cmp(&length(b)).then(a.cmp(b)));
    let mut taken: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut row_of = vec![0; spans.len()];
    for i in order {
        let (low, high) = spans[i].reach();
        let is_free =
            |row: &Vec<(f64, f64)>| row.iter().all(|(a, b)| high <= a + 1e-6 || low >= b - 1e-6);
        let at = taken.iter().position(is_free).unwrap_or_else(|| {
            taken.push(Vec::new());
            taken.len() - 1
        });
        taken[at].push((low, high));
        row_of[i] = at;
    }
    row_of
}

/// Spans as dimension lines, the first row at a height on the paper and the others below it.
pub(super) fn spans_below(spans: &[Span], top: f64) -> Vec<Item> {
    let mut items = Vec::new();
    for (span, row) in spans.iter().zip(rows(spans)) {
        let y = top - row as f64 * ROW;
        for end in [span.from, span.to] {
            items.push(fine(vec![
                Point2::new(end.x, (end.y - 0.8).max(y + 1.0)),
                Point2::new(end.x, y - 1.2),
            ]));
            items.push(stroke(Point2::new(end.x, y)));
        }
        items.push(fine(vec![
            Point2::new(span.from.x, y),
            Point2::new(span.to.x, y),
        ]));
        let middle = (span.from.x + span.to.x) / 2.0;
        for (text, up) in [(&span.over, 0.8), (&span.under, -0.8 - FIGURE)] {
            let x = middle - width_of(text, FIGURE) / 2.0;
            items.push(words(text, x, y + up, FIGURE));
        }
    }
    items
}

/// A height over the rail.
#[derive(Clone, Debug)]
pub(super) struct Level {
    /// The place that has it.
    pub(super) at: Point2,
    pub(super) over: String,
    pub(super) under: String,
}

/// Heights as levels with their words in a column that begins at `x`, on the left or right of a view; words keep
/// above `low`.
pub(super) fn levels(levels: &[Level], x: f64, is_left: bool, low: f64) -> Vec<Item> {
    let mut order: Vec<&Level> = levels.iter().collect();
    order.sort_by(|a, b| a.at.y.total_cmp(&b.at.y));
    let mut items = Vec::new();
    let mut heights: Vec<f64> = order.iter().map(|own| own.at.y).collect();
    // Up from the lowest so that none lies on another, then down again as far as there is room.
    for i in 0..heights.len() {
        let floor = if i == 0 { low } else { heights[i - 1] + LEVEL };
        heights[i] = heights[i].max(floor);
    }
    let out = if is_left { -1.0 } else { 1.0 };
    for (level, y) in order.iter().zip(heights) {
        items.push(fine(vec![
            level.at + Vector2::new(out * 0.8, 0.0),
            Point2::new(x, level.at.y),
            Point2::new(x + out * 3.0, y),
            Point2::new(x + out * 19.0, y),
        ]));
        let start = if is_left { x - 19.0 } else { x + 3.5 };
        items.push(words(&level.over, start, y + 0.7, FIGURE));
        items.push(words(&level.under, start, y - 0.7 - FIGURE, FIGURE));
    }
    items
}

fn fine(points: Vec<Point2>) -> Item {
    let run = points
        .windows(2)
        .map(|two| Segment::line(two[0], two[1]))
        .collect();
    Item::Runs {
        runs: vec![run],
        colour: FAINT,
        width: FINE,
        dashes: &[],
    }
}

/// Oblique stroke at the end of a dimension line.
fn stroke(at: Point2) -> Item {
    let half = Vector2::new(0.9, 0.9);
    Item::Runs {
        runs: vec![vec![Segment::line(at - half, at + half)]],
        colour: INK,
        width: 0.2,
        dashes: &[],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn span(from: f64, to: f64) -> Span {
        Span {
            from: Point2::new(from, 0.0),
            to: Point2::new(to, 0.0),
            over: "7ft 4in".to_owned(),
            under: "51.33".to_owned(),
        }
    }

    #[test]
    fn a_chain_shares_a_row_and_what_spans_it_goes_below() {
        let spans = [span(0.0, 100.0), span(0.0, 40.0), span(40.0, 100.0)];
        assert_eq!(rows(&spans), [1, 0, 0]);
        // Words wider than their span push it to a row of its own.
        assert_eq!(rows(&[span(0.0, 2.0), span(2.0, 4.0)]), [0, 1]);
    }

    #[test]
    fn words_of_levels_do_not_meet() {
        let level = |y: f64| Level {
            at: Point2::new(0.0, y),
            over: "12ft 8in".to_owned(),
            under: "88.67".to_owned(),
        };
        let items = levels(&[level(10.0), level(11.0), level(30.0)], 50.0, false, 5.0);
        let rooms: Vec<super::super::words::Room> = items
            .iter()
            .filter_map(|item| match item {
                Item::Words {
                    text, at, height, ..
                } => Some(super::super::words::Room::of_words(text, *at, *height)),
                _ => None,
            })
            .collect();
        assert_eq!(rooms.len(), 6);
        for (i, a) in rooms.iter().enumerate() {
            assert!(rooms[i + 1..].iter().all(|b| !a.meets(b)));
        }
    }
}
