//! Which parts of an edge no facet stands before.

use super::scene::{Facet, Scene, Seen};
use geom::{Point2, Vector2};

/// A facet hides only what lies this far behind its plane (mm): more than facets differ from the curved surface
/// that they stand for, less than the film of solder between two faces.
const BEHIND_MM: f64 = 0.025;

/// A facet hides only what lies this far inside its border (mm), so that it does not hide its own edges.
const INSIDE_MM: f64 = 1e-6;

/// Shares of an edge closer than this are one (mm).
const SHORT_MM: f64 = 1e-3;

/// Cells of the grid for each facet.
const CELLS_A_FACET: f64 = 0.5;

/// Facets by the squares of the paper that they reach into.
pub(super) struct Grid<'s> {
    facets: &'s [Facet],
    low: Point2,
    size: f64,
    columns: usize,
    rows: usize,
    /// Where the facets of each cell begin in `members`.
    starts: Vec<usize>,
    members: Vec<u32>,
}

impl<'s> Grid<'s> {
    pub(super) fn of(scene: &'s Scene) -> Self {
        let facets = scene.facets.as_slice();
        let mut low = Point2::new(f64::INFINITY, f64::INFINITY);
        let mut high = Point2::new(f64::NEG_INFINITY, f64::NEG_INFINITY);
        for corner in facets.iter().flat_map(|own| &own.corners) {
            low = low.inf(&corner.at);
            high = high.sup(&corner.at);
        }
        if facets.is_empty() {
            (low, high) = (Point2::origin(), Point2::origin());
        }
        let (width, height) = ((high.x - low.x).max(1e-6), (high.y - low.y).max(1e-6));
        let cells = (CELLS_A_FACET * facets.len() as f64).max(1.0);
        let size = (width * height / cells)
            .sqrt()
            .max(width.max(height) / 2000.0);
        let mut grid = Self {
            facets,
            low,
            size,
            columns: (width / size) as usize + 1,
            rows: (height / size) as usize + 1,
            starts: Vec::new(),
            members: Vec::new(),
        };
        let mut counts = vec![0; grid.columns * grid.rows + 1];
        let spans: Vec<[usize; 4]> = facets.iter().map(|own| grid.span(&own.corners)).collect();
        for span in &spans {
            grid.each_cell(*span, |cell| counts[cell + 1] += 1);
        }
        for i in 1..counts.len() {
            counts[i] += counts[i - 1];
        }
        let mut fill = counts.clone();
        let mut members = vec![0; *counts.last().unwrap_or(&0)];
        for (number, span) in spans.iter().enumerate() {
            grid.each_cell(*span, |cell| {
                members[fill[cell]] = number as u32;
                fill[cell] += 1;
            });
        }
        grid.starts = counts;
        grid.members = members;
        grid
    }

    fn span(&self, points: &[Seen]) -> [usize; 4] {
        let column =
            |x: f64| (((x - self.low.x) / self.size).max(0.0) as usize).min(self.columns - 1);
        let row = |y: f64| (((y - self.low.y) / self.size).max(0.0) as usize).min(self.rows - 1);
        let fold = |pick: fn(&Point2) -> f64, take: fn(f64, f64) -> f64, from: f64| {
            points.iter().map(|own| pick(&own.at)).fold(from, take)
        };
        [
            column(fold(|p| p.x, f64::min, f64::INFINITY)),
            column(fold(|p| p.x, f64::max, f64::NEG_INFINITY)),
            row(fold(|p| p.y, f64::min, f64::INFINITY)),
            row(fold(|p| p.y, f64::max, f64::NEG_INFINITY)),
        ]
    }

    fn each_cell(&self, [left, right, low, high]: [usize; 4], mut take: impl FnMut(usize)) {
        for row in low..=high {
            for column in left..=right {
                take(row * self.columns + column);
            }
        }
    }

    /// Shares of an edge that are seen, from 0 to 1. `stamps` remembers which facets were looked at.
    pub(super) fn seen(&self, edge: &[Seen; 2], stamps: &mut Stamps) -> Vec<(f64, f64)> {
        let mut hidden: Vec<(f64, f64)> = Vec::new();
        let turn = stamps.next(self.facets.len());
        // A long slanting edge crosses few cells of its box: it is looked at cell by cell of each row.
        let [left, right, low, high] = self.span(edge);
        let (a, b) = (edge[0].at, edge[1].at);
        for row in low..=high {
            let (from, to) = self.columns_in_row(a, b, row, (left, right));
            for column in from..=to {
                let cell = row * self.columns + column;
                for &number in &self.members[self.starts[cell]..self.starts[cell + 1]] {
                    if stamps.take(number as usize, turn) {
                        hidden.extend(hidden_by(&self.facets[number as usize], edge));
                    }
                }
            }
        }
        let length = (b - a).norm();
        left_over(hidden, if length > 0.0 { SHORT_MM / length } else { 1.0 })
    }

    fn columns_in_row(
        &self,
        a: Point2,
        b: Point2,
        row: usize,
        (left, right): (usize, usize),
    ) -> (usize, usize) {
        let rise = b.y - a.y;
        if rise.abs() < 1e-9 {
            return (left, right);
        }
        let at = |y: f64| {
            let share = ((y - a.y) / rise).clamp(0.0, 1.0);
            (a.x + (b.x - a.x) * share - self.low.x) / self.size
        };
        let bottom = self.low.y + row as f64 * self.size;
        let (p, q) = (at(bottom), at(bottom + self.size));
        let column = |x: f64| (x.max(0.0) as usize).clamp(left, right);
        // A cell more on either side for rounding.
        (column(p.min(q) - 0.01), column(p.max(q) + 0.01))
    }
}

/// Which facets were looked at for which edge.
#[derive(Debug, Default)]
pub(super) struct Stamps {
    seen: Vec<u32>,
    turn: u32,
}

impl Stamps {
    fn next(&mut self, count: usize) -> u32 {
        self.seen.resize(count, 0);
        self.turn += 1;
        self.turn
    }

    fn take(&mut self, number: usize, turn: u32) -> bool {
        let is_first = self.seen[number] != turn;
        self.seen[number] = turn;
        is_first
    }
}

/// The share of an edge that a facet hides.
fn hidden_by(facet: &Facet, edge: &[Seen; 2]) -> Option<(f64, f64)> {
    let [a, b, c] = facet.corners;
    let double = (b.at - a.at).perp(&(c.at - a.at));
    if double.abs() < 1e-14 {
        return None;
    }
    let sign = double.signum();
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    let mut keep = |at_start: f64, at_end: f64| {
        // Where a function that is straight along the edge is above zero.
        match (at_start > 0.0, at_end > 0.0) {
            (true, true) => {}
            (false, false) => to = -1.0,
            (true, false) => to = to.min(at_start / (at_start - at_end)),
            (false, true) => from = from.max(at_start / (at_start - at_end)),
        }
    };
    for (p, q) in [(a, b), (b, c), (c, a)] {
        let side: Vector2 = q.at - p.at;
        let length = side.norm();
        let off = |point: Point2| sign * side.perp(&(point - p.at)) - INSIDE_MM * length;
        keep(off(edge[0].at), off(edge[1].at));
    }
    let over = |seen: &Seen| {
        let v = (seen.at - a.at).perp(&(c.at - a.at)) / double;
        let w = (b.at - a.at).perp(&(seen.at - a.at)) / double;
        let depth = a.depth + v * (b.depth - a.depth) + w * (c.depth - a.depth);
        (depth - seen.depth) * facet.facing - BEHIND_MM
    };
    keep(over(&edge[0]), over(&edge[1]));
    (from < to).then_some((from, to))
}

/// What is left of 0 to 1 outside some spans; pieces shorter than `short` are dropped, and so are gaps.
fn left_over(mut spans: Vec<(f64, f64)>, short: f64) -> Vec<(f64, f64)> {
    spans.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut left: Vec<(f64, f64)> = Vec::new();
    let mut at = 0.0;
    for (from, to) in spans {
        if from > at + short {
            left.push((at, from));
        }
        at = f64::max(at, to);
    }
    if at + short < 1.0 {
        left.push((at, 1.0));
    }
    left
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left_of_an_edge() {
        assert_eq!(left_over(Vec::new(), 1e-3), [(0.0, 1.0)]);
        assert_eq!(
            left_over(vec![(0.5, 0.6), (0.2, 0.55)], 1e-3),
            [(0.0, 0.2), (0.6, 1.0)]
        );
        assert!(left_over(vec![(0.0, 0.5), (0.5, 1.0)], 1e-3).is_empty());
        assert!(left_over(vec![(0.0005, 0.9995)], 1e-3).is_empty());
    }
}
