//! What is measured of a scan: points with the area that each stands for.

use super::scan_file::ScanFile;
use geom::{Point3, Vector3};

/// Most points that are put into large triangles.
const MOST_BETWEEN: f64 = 2_000_000.0;

/// A triangle whose longest side is longer than this share of the scan's size is measured between its corners.
const LARGE_SHARE: f64 = 1.0 / 250.0;

/// Points of a scan, in millimetres where they are held against a body.
#[derive(Clone, Debug, Default)]
pub(super) struct Samples {
    pub(super) points: Vec<Point3>,
    /// Unit normals, for all points or none.
    pub(super) normals: Vec<[f32; 3]>,
    /// Area that each point stands for, in squares of the scan's unit; 1 for each point of a cloud.
    pub(super) weights: Vec<f32>,
    /// Whether the weights are areas.
    pub(super) has_areas: bool,
}

impl Samples {
    /// The points of a scan; of a mesh its corners with a third of the area of each triangle round them, and
    /// points between the corners of large triangles, such as those of a thinned mesh.
    pub(super) fn of(scan: ScanFile) -> Self {
        if scan.triangles.is_empty() {
            let weights = vec![1.0; scan.points.len()];
            return Self {
                points: scan.points,
                normals: scan.normals,
                weights,
                has_areas: false,
            };
        }
        let large = large_side(&scan);
        let count = scan.points.len();
        let mut normals = vec![Vector3::zeros(); count];
        let mut areas = vec![0.0; count];
        let mut between = Vec::new();
        for &triangle in &scan.triangles {
            let corners = scan.corners(triangle);
            let [a, b, c] = corners;
            let twice = (b - a).cross(&(c - a));
            let area = twice.norm() / 2.0;
            let parts = parts_of(&corners, large);
            for corner in triangle {
                normals[corner as usize] += twice;
                if parts == 1 {
                    areas[corner as usize] += area / 3.0;
                }
            }
            if parts > 1 {
                let normal = twice / twice.norm();
                let share = area / (parts * parts) as f64;
                spread(&corners, parts, |point| {
                    between.push((point, normal, share))
                });
            }
        }
        let mut samples = Self {
            points: scan.points,
            normals: normals.iter().map(unit_or_zero).collect(),
            weights: areas.iter().map(|area| *area as f32).collect(),
            has_areas: true,
        };
        for (point, normal, area) in between {
            samples.points.push(point);
            samples.normals.push(unit_or_zero(&normal));
            samples.weights.push(area as f32);
        }
        samples
    }

    /// Normal of a point; `None` where none is known.
    pub(super) fn normal(&self, i: usize) -> Option<Vector3> {
        let own = self.normals.get(i)?;
        let normal = Vector3::new(own[0].into(), own[1].into(), own[2].into());
        (normal.norm_squared() > 0.25).then_some(normal)
    }

    pub(super) fn scale(&mut self, factor: f64) {
        for point in &mut self.points {
            point.coords *= factor;
        }
        for weight in self.weights.iter_mut().filter(|_| self.has_areas) {
            *weight *= (factor * factor) as f32;
        }
    }

    /// Turns all normals over.
    pub(super) fn turn_over(&mut self) {
        for normal in &mut self.normals {
            *normal = normal.map(|x| -x);
        }
    }

    /// Lengths along the axes within which 96 of 100 points lie, and the length of their diagonal.
    pub(super) fn reach(&self) -> f64 {
        let step = self.points.len().div_ceil(100_000).max(1);
        let square: f64 = (0..3)
            .map(|axis| {
                let mut own: Vec<f64> = self.points.iter().step_by(step).map(|p| p[axis]).collect();
                own.sort_by(f64::total_cmp);
                let at = |share: f64| own[(share * (own.len() - 1) as f64) as usize];
                let length = at(0.98) - at(0.02);
                length * length
            })
            .sum();
        square.sqrt()
    }
}

fn unit_or_zero(v: &Vector3) -> [f32; 3] {
    let unit = v.try_normalize(0.0).unwrap_or_else(Vector3::zeros);
    [unit.x as f32, unit.y as f32, unit.z as f32]
}

/// Longest side that a triangle may have to be measured at its corners alone.
fn large_side(scan: &ScanFile) -> f64 {
    let first = scan.points[0];
    let (low, high) = scan
        .points
        .iter()
        .fold((first, first), |(low, high), p| (low.inf(p), high.sup(p)));
    let mut large = (high - low).norm() * LARGE_SHARE;
    // A mesh of large triangles alone has its limit too.
    for _ in 0..40 {
        let between: f64 = scan
            .triangles
            .iter()
            .map(|&own| parts_of(&scan.corners(own), large))
            .filter(|parts| *parts > 1)
            .map(|parts| (parts * parts) as f64)
            .sum();
        if between <= MOST_BETWEEN {
            break;
        }
        large *= 1.5;
    }
    large
}

/// Into how many parts each side of a triangle is cut: about as many squares as have the triangle's area, in
/// each direction at least as many as its longest side asks, but no more than its area is worth.
fn parts_of(corners: &[Point3; 3], large: f64) -> usize {
    let [a, b, c] = corners;
    let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
    if longest <= large {
        return 1;
    }
    ((longest / large).ceil() as usize).clamp(2, 256)
}

/// Middles of the parts of a triangle whose sides are each cut into `parts`.
fn spread(corners: &[Point3; 3], parts: usize, mut take: impl FnMut(Point3)) {
    let [a, b, c] = corners;
    let n = parts as f64;
    let at = |u: f64, v: f64| a + (b - a) * (u / n) + (c - a) * (v / n);
    for i in 0..parts {
        for j in 0..parts - i {
            let (u, v) = (i as f64, j as f64);
            take(at(u + 1.0 / 3.0, v + 1.0 / 3.0));
            if i + j + 1 < parts {
                take(at(u + 2.0 / 3.0, v + 2.0 / 3.0));
            }
        }
    }
}
