//! Fewer points of a scan, evenly over what was scanned and without what lies about in space.

use geom::{Point3, Vector3};

/// Cells along the size of a scan, in which points are counted.
const CELLS: f64 = 90.0;

/// A cell with fewer points than this share of a usual one holds no surface: an outlier in space, or the seam
/// of a scan. Chosen, not sourced.
const SPARSE: f64 = 0.12;

/// Cubes in space, each with the numbers of the points in it.
pub(super) struct Cells {
    low: Point3,
    size: f64,
    /// Key of the cube of each point, and the point's number; by key, then by number.
    pub(super) sorted: Vec<(u64, u32)>,
}

impl Cells {
    /// Sorts points into cubes of a size.
    pub(super) fn of(points: &[Point3], numbers: impl Iterator<Item = u32>, size: f64) -> Self {
        let far = f64::INFINITY;
        let low = points
            .iter()
            .fold(Point3::new(far, far, far), |low, p| low.inf(p));
        let mut cells = Self {
            low,
            size,
            sorted: Vec::new(),
        };
        cells.sorted = numbers
            .map(|i| (cells.key(&points[i as usize]), i))
            .collect();
        cells.sorted.sort_unstable();
        cells
    }

    /// Number of the cube along an axis; 21 bits are enough for any size that is asked for.
    fn step(&self, point: &Point3, axis: usize) -> u64 {
        ((point[axis] - self.low[axis]) / self.size).clamp(0.0, 2_097_150.0) as u64
    }

    fn key(&self, point: &Point3) -> u64 {
        self.step(point, 0) << 42 | self.step(point, 1) << 21 | self.step(point, 2)
    }

    /// Points of the 27 cubes round a point.
    pub(super) fn around(&self, point: &Point3, out: &mut Vec<u32>) {
        out.clear();
        let at: [u64; 3] = std::array::from_fn(|axis| self.step(point, axis));
        for x in at[0].saturating_sub(1)..=at[0] + 1 {
            for y in at[1].saturating_sub(1)..=at[1] + 1 {
                let row = x << 42 | y << 21;
                let (from, to) = (row | at[2].saturating_sub(1), row | (at[2] + 1));
                let start = self.sorted.partition_point(|own| own.0 < from);
                let run = self.sorted[start..].iter().take_while(|own| own.0 <= to);
                out.extend(run.map(|own| own.1));
            }
        }
    }

    /// Runs of points in the same cube.
    fn cubes(&self) -> impl Iterator<Item = &[(u64, u32)]> {
        self.sorted.chunk_by(|a, b| a.0 == b.0)
    }
}

/// Numbers of the points that lie on something: those in cubes with many others.
pub(super) fn dense(points: &[Point3], size: f64) -> Vec<u32> {
    let cells = Cells::of(points, 0..points.len() as u32, size / CELLS);
    // The count that a usual point has round it.
    let mut counts: Vec<(u32, u32)> = Vec::new();
    for cube in cells.cubes() {
        counts.push((cube.len() as u32, cube.len() as u32));
    }
    counts.sort_unstable();
    let half = points.len() as u64 / 2;
    let mut sum = 0;
    let usual = counts
        .iter()
        .find(|own| {
            sum += u64::from(own.1);
            sum >= half
        })
        .map_or(0, |own| own.0);
    let least = ((f64::from(usual) * SPARSE) as usize).max(2);
    let mut kept: Vec<u32> = cells
        .cubes()
        .filter(|cube| cube.len() >= least)
        .flatten()
        .map(|own| own.1)
        .collect();
    kept.sort_unstable();
    kept
}

/// At most `most` of some points, one a cube, the cubes as small as may be.
pub(super) fn thinned(points: &[Point3], numbers: &[u32], size: f64, most: usize) -> Vec<u32> {
    if numbers.len() <= most {
        return numbers.to_vec();
    }
    // Sheets have two dimensions: as many cubes as points where a cube has one.
    let mut cube = size / 400.0;
    loop {
        let cells = Cells::of(points, numbers.iter().copied(), cube);
        // The point nearest to the middle of those in the cube would be no better and take longer.
        let mut kept: Vec<u32> = cells.cubes().map(|own| own[own.len() / 2].1).collect();
        if kept.len() <= most {
            kept.sort_unstable();
            return kept;
        }
        cube *= (kept.len() as f64 / most as f64).sqrt().clamp(1.05, 4.0);
    }
}

/// Normals of the surface at some points from the points round them, without a side: the direction in which
/// these spread least, and how flat they lie (0 to 1). `None` where there are too few.
pub(super) fn slopes(
    points: &[Point3],
    of: &[u32],
    among: &[u32],
    size: f64,
) -> Vec<Option<(Vector3, f64)>> {
    /// Points that make a plane.
    const ROUND: usize = 14;
    let area_cell = size / CELLS;
    let cells = Cells::of(points, among.iter().copied(), area_cell);
    let mut near = Vec::new();
    of.iter()
        .map(|&i| {
            let point = points[i as usize];
            cells.around(&point, &mut near);
            if near.len() < ROUND / 2 {
                return None;
            }
            let mut by: Vec<(f64, u32)> = near
                .iter()
                .map(|&k| ((points[k as usize] - point).norm_squared(), k))
                .collect();
            let take = by.len().min(ROUND);
            by.select_nth_unstable_by(take - 1, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            by.truncate(take);
            // The order in which they are summed must not hang on the selection.
            by.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let sum: Vector3 = by.iter().map(|own| points[own.1 as usize].coords).sum();
            let mean = sum / take as f64;
            let mut spread = nalgebra::Matrix3::zeros();
            for own in &by {
                let arm = points[own.1 as usize].coords - mean;
                spread += arm * arm.transpose();
            }
            let eigen = spread.symmetric_eigen();
            let least = eigen.eigenvalues.imin();
            let sum = eigen.eigenvalues.sum();
            let flat = 1.0 - 3.0 * eigen.eigenvalues[least].max(0.0) / sum.max(1e-300);
            Some((eigen.eigenvectors.column(least).into_owned(), flat))
        })
        .collect()
}
