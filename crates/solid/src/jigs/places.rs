//! Where plates stand: the faces and openings that jigs register on.

use body::{Face, Hole, Plate};
use develop::Forming;
use geom::{FlatPoint, Point3};

/// Least and greatest coordinates of a plate's mid-sheet outline in the body (mm).
pub(super) fn extents(plate: &Plate) -> ([f64; 3], [f64; 3]) {
    let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    for edge in &plate.outline {
        for k in 0..=8 {
            let Ok(flat) = plate.flat_point(&edge.curve, f64::from(k) / 8.0) else {
                continue;
            };
            let point = plate.forming.place(flat).point;
            for (i, x) in [point.x, point.y, point.z].into_iter().enumerate() {
                low[i] = low[i].min(x);
                high[i] = high[i].max(x);
            }
        }
    }
    (low, high)
}

/// A point of a face of a flat plate, below or above its mid-sheet.
pub(super) fn face_point(plate: &Plate, face: Face) -> Option<Point3> {
    let Forming::Flat(placement) = &plate.forming else {
        return None;
    };
    let height = match face {
        Face::Outside => plate.sheet.z_high,
        Face::Inside => plate.sheet.z_low,
    };
    Some(placement.point(FlatPoint::origin(), height))
}

/// Corners of the least upright rectangle round a hole of a plate that lies level, along and across the
/// engine (mm).
pub(super) fn hole_bounds(plate: &Plate, hole: &Hole) -> ([f64; 2], [f64; 2]) {
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for curve in &hole.boundary {
        for k in 0..=8 {
            let Ok(flat) = plate.flat_point(curve, f64::from(k) / 8.0) else {
                continue;
            };
            let point = plate.forming.place(flat).point;
            for (i, x) in [point.x, point.y].into_iter().enumerate() {
                low[i] = low[i].min(x);
                high[i] = high[i].max(x);
            }
        }
    }
    (low, high)
}
