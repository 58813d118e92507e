//! Cells of a grid that lie wholly within shapes: a quick look whether two shapes are in each other's way.

use geom::Vector2;

/// Side of a cell (mm).
pub(crate) const CELL_MM: f64 = 0.5;

/// Cells of this many columns are one word.
const WORD: usize = u64::BITS as usize;

/// A rectangle of cells, each marked or not.
#[derive(Clone, Debug)]
pub(crate) struct Mask {
    rows: usize,
    /// Words of a row.
    words: usize,
    bits: Vec<u64>,
}

impl Mask {
    /// No cell marked, over a rectangle of a size (mm).
    pub(crate) fn empty(width: f64, height: f64) -> Self {
        let cells = |length: f64| (length / CELL_MM).ceil().max(1.0) as usize;
        let words = cells(width).div_ceil(WORD);
        let rows = cells(height);
        Self {
            rows,
            words,
            bits: vec![0; words * rows],
        }
    }

    /// Marks the cells that lie wholly within a polygon; points are measured from the grid's corner (mm).
    pub(crate) fn mark_within(&mut self, polygon: &[Vector2]) {
        let points: Vec<Vector2> = polygon.iter().map(|p| p / CELL_MM).collect();
        let sides = || points.iter().zip(points.iter().cycle().skip(1));
        let mut inside = Self {
            bits: vec![0; self.bits.len()],
            ..*self
        };
        let mut crossings: Vec<Vec<f64>> = vec![Vec::new(); self.rows];
        for (a, b) in sides() {
            let (low, high) = (a.y.min(b.y), a.y.max(b.y));
            for row in self.rows_of(low - 0.5, high - 0.5) {
                let y = row as f64 + 0.5;
                if low <= y && y < high {
                    crossings[row].push(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
                }
            }
        }
        for (row, mut own) in crossings.into_iter().enumerate() {
            own.sort_by(f64::total_cmp);
            for pair in own.chunks_exact(2) {
                inside.set(row, pair[0] + 0.5, pair[1] - 0.5, true);
            }
        }
        for (a, b) in sides() {
            // Cells that the side runs through lie within in part only.
            for row in self.rows_of(a.y.min(b.y), a.y.max(b.y)) {
                let (from, to) = across(*a, *b, row as f64);
                inside.set(row, from, to, false);
            }
        }
        for (own, new) in self.bits.iter_mut().zip(&inside.bits) {
            *own |= new;
        }
    }

    /// Rows of cells between two heights (cells), one more at either end.
    fn rows_of(&self, low: f64, high: f64) -> std::ops::Range<usize> {
        let from = (low - 1.0).floor().max(0.0) as usize;
        let to = (high + 2.0).floor().max(0.0) as usize;
        from.min(self.rows)..to.min(self.rows)
    }

    /// Marks or clears the cells of a row from one place to another (cells).
    fn set(&mut self, row: usize, from: f64, to: f64, marked: bool) {
        let columns = self.words * WORD;
        let first = from.floor().max(0.0) as usize;
        let last = to.floor();
        if last < 0.0 || first >= columns {
            return;
        }
        let last = (last as usize).min(columns - 1);
        for column in first..=last {
            let bit = 1 << (column % WORD);
            let word = &mut self.bits[row * self.words + column / WORD];
            *word = if marked { *word | bit } else { *word & !bit };
        }
    }

    /// True if a cell is marked in both, the other's corner moved by a number of cells.
    pub(crate) fn meets(&self, other: &Self, column: usize, row: usize) -> bool {
        let (first, shift) = (column / WORD, column % WORD);
        for j in 0..other.rows.min(self.rows.saturating_sub(row)) {
            let own = &self.bits[(row + j) * self.words..][..self.words];
            let theirs = &other.bits[j * other.words..][..other.words];
            let mut carried = 0;
            for (i, word) in theirs.iter().enumerate() {
                let moved = (word << shift) | carried;
                carried = if shift == 0 {
                    0
                } else {
                    word >> (WORD - shift)
                };
                if own.get(first + i).is_some_and(|own| own & moved != 0) {
                    return true;
                }
            }
            if own
                .get(first + theirs.len())
                .is_some_and(|own| own & carried != 0)
            {
                return true;
            }
        }
        false
    }

    /// True if a marked cell lies wholly within a rectangle (mm from the grid's corner).
    pub(crate) fn meets_box(&self, low: Vector2, high: Vector2) -> bool {
        let (low, high) = (low / CELL_MM, high / CELL_MM);
        let from = |x: f64| x.ceil().max(0.0) as usize;
        let to = |x: f64| x.floor().max(0.0) as usize;
        (from(low.y)..to(high.y).min(self.rows)).any(|row| {
            (from(low.x)..to(high.x).min(self.words * WORD)).any(|column| {
                self.bits[row * self.words + column / WORD] >> (column % WORD) & 1 == 1
            })
        })
    }
}

/// Where a side runs within a row of cells: least and greatest x, a little wider (cells).
fn across(a: Vector2, b: Vector2, row: f64) -> (f64, f64) {
    let at = |y: f64| {
        if a.y == b.y {
            a.x
        } else {
            a.x + ((y - a.y) / (b.y - a.y)).clamp(0.0, 1.0) * (b.x - a.x)
        }
    };
    // Sides that run along the border between two rows touch both.
    let little = 1e-6;
    let (p, q) = if a.y.max(b.y) < row - little || a.y.min(b.y) > row + 1.0 + little {
        return (0.0, -1.0);
    } else if a.y == b.y {
        (a.x, b.x)
    } else {
        (at(row - little), at(row + 1.0 + little))
    };
    (p.min(q) - little, p.max(q) + little)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(points: &[(f64, f64)]) -> Vec<Vector2> {
        points.iter().map(|(x, y)| Vector2::new(*x, *y)).collect()
    }

    fn marked(mask: &Mask) -> usize {
        mask.bits
            .iter()
            .map(|word| word.count_ones() as usize)
            .sum()
    }

    #[test]
    fn only_whole_cells_are_marked() {
        let mut mask = Mask::empty(50.0, 20.0);
        // 40.2 by 5.2 mm, off the grid by 0.1: 79 by 9 whole cells, those on its border left out.
        mask.mark_within(&ring(&[(3.1, 2.1), (43.3, 2.1), (43.3, 7.3), (3.1, 7.3)]));
        assert_eq!(marked(&mask), 79 * 9);
        let mut slope = Mask::empty(10.0, 10.0);
        slope.mark_within(&ring(&[(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)]));
        let inside = |column: usize, row: usize| slope.bits[row] >> column & 1 == 1;
        assert!(inside(1, 1) && inside(8, 9) && !inside(9, 10) && !inside(10, 10));
    }

    #[test]
    fn shapes_meet_where_cells_of_both_are() {
        let mut sheet = Mask::empty(100.0, 40.0);
        sheet.mark_within(&ring(&[
            (30.0, 10.0),
            (60.0, 10.0),
            (60.0, 20.0),
            (30.0, 20.0),
        ]));
        let mut part = Mask::empty(20.0, 5.0);
        part.mark_within(&ring(&[(0.0, 0.0), (20.0, 0.0), (20.0, 5.0), (0.0, 5.0)]));
        for (x, y, meets) in [
            (0, 20, false),
            (18, 22, false),
            (30, 22, true),
            (70, 22, true),
            (116, 22, true),
            (122, 22, false),
            (70, 5, false),
            (70, 14, true),
            (70, 41, false),
            (170, 70, false),
        ] {
            assert_eq!(sheet.meets(&part, x, y), meets, "at {x}, {y}");
            let low = Vector2::new(x as f64, y as f64) * CELL_MM;
            let far = low + Vector2::new(20.0, 5.0);
            assert_eq!(sheet.meets_box(low, far), meets, "box at {x}, {y}");
        }
    }
}
