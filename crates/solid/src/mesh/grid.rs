//! Points of the flat in square cells, for finding neighbours.

use geom::{FlatPoint, Vector2};

/// Marks the end of a cell's list.
const NONE: u32 = u32::MAX;

/// Points listed by the cell that they lie in; points come back in a fixed order.
pub(super) struct Grid {
    low: FlatPoint,
    cell: f64,
    columns: usize,
    rows: usize,
    first: Vec<u32>,
    next: Vec<u32>,
    points: Vec<FlatPoint>,
}

impl Grid {
    /// An empty grid over a rectangle that will take about `expected` points.
    ///
    /// Points outside the rectangle go to the cells on its rim.
    pub(super) fn over(low: FlatPoint, high: FlatPoint, expected: usize, least_cell: f64) -> Self {
        let size = high - low;
        let share = size.x * size.y / expected.max(1) as f64;
        // Bounded below so that a long thin rectangle does not ask for endless cells.
        let longest = size.x.max(size.y) / (expected.max(16) as f64);
        let cell = share.max(0.0).sqrt().max(longest).max(least_cell);
        let columns = (size.x / cell) as usize + 1;
        let rows = (size.y / cell) as usize + 1;
        Self {
            low,
            cell,
            columns,
            rows,
            first: vec![NONE; columns * rows],
            next: Vec::with_capacity(expected),
            points: Vec::with_capacity(expected),
        }
    }

    fn column(&self, x: f64) -> usize {
        (((x - self.low.x) / self.cell).max(0.0) as usize).min(self.columns - 1)
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.low.y) / self.cell).max(0.0) as usize).min(self.rows - 1)
    }

    /// Adds a point; its number is the count of points added before.
    pub(super) fn add(&mut self, point: FlatPoint) -> u32 {
        let number = self.points.len() as u32;
        let cell = self.row(point.y) * self.columns + self.column(point.x);
        self.points.push(point);
        self.next.push(self.first[cell]);
        self.first[cell] = number;
        number
    }

    /// The nearest point added so far that is closer than `reach` (mm).
    pub(super) fn nearest_within(&self, point: FlatPoint, reach: f64) -> Option<u32> {
        let mut best: Option<(f64, u32)> = None;
        self.in_rectangle(
            point - Vector2::new(reach, reach),
            point + Vector2::new(reach, reach),
            |number| {
                let off = self.points[number as usize] - point;
                // Most points of a crowded cell are told by this alone.
                if off.x.abs() >= reach || off.y.abs() >= reach {
                    return;
                }
                let distance = off.norm();
                let nearer = best.is_none_or(|(least, own)| (distance, number) < (least, own));
                if distance < reach && nearer {
                    best = Some((distance, number));
                }
            },
        );
        best.map(|(_, number)| number)
    }

    fn in_rectangle(&self, low: FlatPoint, high: FlatPoint, mut take: impl FnMut(u32)) {
        for row in self.row(low.y)..=self.row(high.y) {
            for column in self.column(low.x)..=self.column(high.x) {
                let mut number = self.first[row * self.columns + column];
                while number != NONE {
                    take(number);
                    number = self.next[number as usize];
                }
            }
        }
    }

    /// Calls `take` with every point closer than `reach` (mm) to the line from `a` to `b`.
    ///
    /// `take` gets the point's number, the fraction of the line next to it, and the distance.
    pub(super) fn near_line(
        &self,
        a: FlatPoint,
        b: FlatPoint,
        reach: f64,
        mut take: impl FnMut(u32, f64, f64),
    ) {
        let along = b - a;
        let square = along.norm_squared();
        let (low_y, high_y) = (a.y.min(b.y) - reach, a.y.max(b.y) + reach);
        for row in self.row(low_y)..=self.row(high_y) {
            let (low_x, high_x) = self.span_in_row(a, along, row, reach);
            for column in self.column(low_x)..=self.column(high_x) {
                let mut number = self.first[row * self.columns + column];
                while number != NONE {
                    let from = self.points[number as usize] - a;
                    let fraction = if square > 0.0 {
                        (from.dot(&along) / square).clamp(0.0, 1.0)
                    } else {
                        0.0
                    };
                    let distance = (from - along * fraction).norm();
                    if distance < reach {
                        take(number, fraction, distance);
                    }
                    number = self.next[number as usize];
                }
            }
        }
    }

    /// Least and greatest x of the line within a row of cells, `reach` allowed for on all sides.
    fn span_in_row(&self, a: FlatPoint, along: Vector2, row: usize, reach: f64) -> (f64, f64) {
        let (least, greatest) = (a.x.min(a.x + along.x), a.x.max(a.x + along.x));
        // The rows on the rim also hold what lies beyond them.
        let rim = row == 0 || row + 1 == self.rows;
        if along.y == 0.0 || rim {
            return (least - reach, greatest + reach);
        }
        let bottom = self.low.y + row as f64 * self.cell - reach;
        let top = bottom + self.cell + 2.0 * reach;
        let at = |y: f64| a.x + along.x * ((y - a.y) / along.y).clamp(0.0, 1.0);
        let (p, q) = (at(bottom), at(top));
        (p.min(q) - reach, p.max(q) + reach)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Points in a scattered but fixed order.
    fn points() -> Vec<FlatPoint> {
        (0..500)
            .map(|i| FlatPoint::new(f64::from(i * 37 % 101), f64::from(i * 53 % 47)))
            .collect()
    }

    #[test]
    fn near_line_finds_what_a_search_through_all_finds() {
        let mut grid = Grid::over(
            FlatPoint::new(0.0, 0.0),
            FlatPoint::new(100.0, 46.0),
            500,
            1e-3,
        );
        for p in points() {
            grid.add(p);
        }
        for (a, b) in [
            ((3.0, 1.0), (97.0, 40.0)),
            ((50.0, 44.0), (50.0, 2.0)),
            ((90.0, 20.0), (4.0, 20.0)),
        ] {
            let (a, b) = (FlatPoint::new(a.0, a.1), FlatPoint::new(b.0, b.1));
            let mut found = Vec::new();
            grid.near_line(a, b, 1.5, |number, _, _| found.push(number));
            found.sort_unstable();
            let line = geom::Segment::line(a, b);
            let want: Vec<u32> = (0..500)
                .filter(|&i| line.nearest(points()[i as usize]).1 < 1.5)
                .collect();
            assert_eq!(found, want);
        }
    }
}
