//! Distances to the surface on a grid, for looking up very many places roughly.

use super::surface::BodySurface;
use geom::{Point3, Vector3};

/// Cells along the body's size.
const CELLS: f64 = 180.0;

/// Distances to the surface at the middles of cells round a body.
pub(super) struct Field {
    low: Point3,
    cell: f64,
    counts: [usize; 3],
    /// Squares of distances in cells.
    squares: Vec<f32>,
}

impl Field {
    /// The field round the surface of a body, without its running gear.
    pub(super) fn of(surface: &BodySurface<'_>) -> Self {
        let cell = surface.size() / CELLS;
        let room = Vector3::repeat(6.0 * cell);
        let low = surface.low - room;
        let span = surface.high + room - low;
        let counts = std::array::from_fn(|axis| (span[axis] / cell).ceil() as usize + 1);
        let mut field = Self {
            low,
            cell,
            counts,
            squares: vec![f32::MAX; counts[0] * counts[1] * counts[2]],
        };
        for i in 0..surface.facets.len() {
            let part = surface.facets[i].part as usize;
            if surface.parts[part].group.is_some() {
                field.mark(&surface.whole.corners(i));
            }
        }
        for axis in 0..3 {
            field.spread(axis);
        }
        field
    }

    /// Width of a cell (mm).
    pub(super) fn cell(&self) -> f64 {
        self.cell
    }

    fn mark(&mut self, corners: &[Point3; 3]) {
        let [a, b, c] = corners;
        let longest = (b - a).norm().max((c - a).norm()).max((c - b).norm());
        let parts = (longest / (0.7 * self.cell)).ceil().max(1.0) as usize;
        for i in 0..=parts {
            for j in 0..=parts - i {
                let (u, v) = (i as f64 / parts as f64, j as f64 / parts as f64);
                let point = a + (b - a) * u + (c - a) * v;
                if let Some(at) = self.index(&point) {
                    self.squares[at] = 0.0;
                }
            }
        }
    }

    fn index(&self, point: &Point3) -> Option<usize> {
        let mut at = [0; 3];
        for axis in 0..3 {
            let own = (point[axis] - self.low[axis]) / self.cell;
            if !(own >= 0.0 && own < self.counts[axis] as f64) {
                return None;
            }
            at[axis] = own as usize;
        }
        Some((at[0] * self.counts[1] + at[1]) * self.counts[2] + at[2])
    }

    /// Lower envelope of parabolas along one axis (Felzenszwalb and Huttenlocher, Theory of Computing 8, 2012).
    fn spread(&mut self, axis: usize) {
        let [nx, ny, nz] = self.counts;
        let (stride, length) = [(ny * nz, nx), (nz, ny), (1, nz)][axis];
        let mut line = vec![0.0; length];
        let mut tops = vec![0; length];
        let mut bounds = vec![0.0; length + 1];
        for start in 0..self.squares.len() {
            if !(start / stride).is_multiple_of(length) {
                continue;
            }
            for (k, own) in line.iter_mut().enumerate() {
                *own = f64::from(self.squares[start + k * stride]).min(1e12);
            }
            let mut last = 0;
            tops[0] = 0;
            bounds[0] = f64::NEG_INFINITY;
            bounds[1] = f64::INFINITY;
            for q in 1..length {
                let meet = |p: usize| {
                    let (p2, q2) = ((p * p) as f64, (q * q) as f64);
                    (line[q] + q2 - line[p] - p2) / (2.0 * (q - p) as f64)
                };
                let mut at = meet(tops[last]);
                while at <= bounds[last] {
                    last -= 1;
                    at = meet(tops[last]);
                }
                last += 1;
                tops[last] = q;
                bounds[last] = at;
                bounds[last + 1] = f64::INFINITY;
            }
            let mut own = 0;
            for q in 0..length {
                while bounds[own + 1] < q as f64 {
                    own += 1;
                }
                let off = q as f64 - tops[own] as f64;
                self.squares[start + q * stride] = (off * off + line[tops[own]]) as f32;
            }
        }
    }

    /// Square of the distance of a point (cells²), no more than `most`.
    pub(super) fn square(&self, point: &Point3, most: f32) -> f32 {
        self.index(point)
            .map_or(most, |at| self.squares[at].min(most))
    }
}
