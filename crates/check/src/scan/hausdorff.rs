//! The distance between two meshes, one way.

use super::samples::Samples;
use super::scan_file::ScanFile;
use super::surface::{Searched, to_parry};
use geom::Point3;
use parry3d_f64::shape::Triangle;
use rayon::prelude::*;

/// How far the points of one mesh lie from another.
///
/// The greatest is the one-sided deviation of Cignoni, Rocchini and Scopigno (Computer Graphics Forum 17(2),
/// 1998), at the points that were looked at: no more than the true one, and not the same the other way. The greater
/// of both ways is the Hausdorff distance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OneSided {
    /// Greatest distance.
    pub greatest: f64,
    /// Mean by area.
    pub mean: f64,
    /// Root of the mean square by area.
    pub rms: f64,
}

/// Distances of one mesh, or cloud of points, from the triangles of another; `None` if either is empty.
pub fn one_sided(from: &ScanFile, to: &ScanFile) -> Option<OneSided> {
    let triangles: Vec<Triangle> = to
        .triangles
        .iter()
        .map(|&own| {
            let [a, b, c] = to.corners(own).map(|p: Point3| to_parry(&p));
            Triangle::new(a, b, c)
        })
        .collect();
    if triangles.is_empty() || from.points.is_empty() {
        return None;
    }
    let searched = Searched::of(triangles, Vec::new());
    let samples = Samples::of(from.clone());
    let offs: Vec<f64> = samples
        .points
        .par_iter()
        .map(|p| {
            searched
                .nearest_of_all(p)
                .map_or(0.0, |own| (own.1 - p).norm())
        })
        .collect();
    let area: f64 = samples.weights.iter().map(|own| f64::from(*own)).sum();
    let over = |of: &dyn Fn(f64) -> f64| -> f64 {
        let all = offs.iter().zip(&samples.weights);
        all.map(|(d, own)| f64::from(*own) * of(*d)).sum::<f64>() / area
    };
    Some(OneSided {
        greatest: offs.iter().copied().fold(0.0, f64::max),
        mean: over(&|d| d),
        rms: over(&|d| d * d).sqrt(),
    })
}
