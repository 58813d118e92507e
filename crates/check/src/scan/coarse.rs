//! The first rough position of a scan on a body, from any pose.

use super::field::Field;
use super::pose::Pose;
use super::square_axes::{quarter_turns, square_axes};
use super::surface::BodySurface;
use geom::{Point3, Vector3};
use nalgebra::Matrix3;
use rayon::prelude::*;

/// A face counts as square to an axis within so much: cosine of 15°.
const SQUARE: f64 = 0.966;

/// Bins along the body's size in which faces are counted by their place along an axis.
const BINS: f64 = 260.0;

/// Shifts along each axis that are tried together.
const SHIFTS: usize = 7;

/// Points that are looked up for each position tried.
const LOOKED_UP: usize = 300;

/// Positions that are given.
const GIVEN: usize = 40;

/// Distance from which on it does not matter how far a point lies off (cells of the field).
const FAR_CELLS: f32 = 4.0;

/// A point of a scan and the direction that its surface faces, to one side or the other.
pub(super) struct Sloped {
    pub(super) point: Point3,
    pub(super) normal: Vector3,
}

/// How many faces stand square to an axis at each place along it.
struct Faces {
    start: f64,
    bin: f64,
    counts: Vec<f64>,
    whole: f64,
}

impl Faces {
    fn of(places: impl Iterator<Item = (f64, f64)>, bin: f64) -> Self {
        let places: Vec<(f64, f64)> = places.collect();
        let least = places.iter().map(|own| own.0).fold(f64::INFINITY, f64::min);
        let most = places
            .iter()
            .map(|own| own.0)
            .fold(f64::NEG_INFINITY, f64::max);
        let start = if least.is_finite() { least } else { 0.0 };
        let length = if most.is_finite() {
            ((most - start) / bin) as usize + 1
        } else {
            1
        };
        let mut sharp = vec![0.0; length];
        for (place, weight) in &places {
            sharp[((place - start) / bin) as usize] += weight;
        }
        // Neighbours count half, so that a face on the border of two bins is not lost; the root keeps one large
        // face from outweighing all others.
        let at = |i: isize| {
            usize::try_from(i)
                .ok()
                .and_then(|i| sharp.get(i))
                .copied()
                .unwrap_or(0.0)
        };
        let counts: Vec<f64> = (-1..=length as isize)
            .map(|i| (at(i) + (at(i - 1) + at(i + 1)) / 2.0).sqrt())
            .collect();
        Self {
            start: start - bin,
            bin,
            whole: counts.iter().sum(),
            counts,
        }
    }

    /// Shifts of the other onto this at which most faces meet, the best first.
    fn shifts(&self, other: &Self) -> Vec<f64> {
        let (n, m) = (self.counts.len() as isize, other.counts.len() as isize);
        let mut all: Vec<(f64, isize)> = (1 - m..n)
            .map(|by| {
                let from = by.max(0);
                let to = (by + m).min(n);
                let sum: f64 = (from..to)
                    .map(|i| self.counts[i as usize] * other.counts[(i - by) as usize])
                    .sum();
                (sum, by)
            })
            .collect();
        all.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut taken: Vec<isize> = Vec::new();
        for (_, by) in all {
            if taken.iter().all(|own| (own - by).abs() > 2) {
                taken.push(by);
            }
            if taken.len() == SHIFTS {
                break;
            }
        }
        taken
            .iter()
            .map(|by| self.start - other.start + *by as f64 * self.bin)
            .collect()
    }
}

/// Positions of a scan that may be right, the best by a rough look first.
///
/// The directions that most of the scan's surface faces are laid along those of the body in all 24 ways; along each
/// axis those shifts are tried at which most faces that stand square to it meet such faces of the body; and
/// what comes out is judged by the distances of a few hundred points from the body, far ones all alike. Parts that are
/// missing in the scan cost nothing in this, and points that belong to nothing little.
pub(super) fn rough_poses(surface: &BodySurface<'_>, field: &Field, scan: &[Sloped]) -> Vec<Pose> {
    let bin = surface.size() / BINS;
    let body: Vec<Faces> = (0..3).map(|axis| body_faces(surface, axis, bin)).collect();
    let normals: Vec<Vector3> = scan.iter().map(|own| own.normal).collect();
    let mut turns: Vec<Matrix3<f64>> = Vec::new();
    for frame in square_axes(&normals) {
        turns.extend(quarter_turns().iter().map(|own| own * frame.transpose()));
    }
    let step = (scan.len() / LOOKED_UP).max(1);
    let few: Vec<&Point3> = scan.iter().step_by(step).map(|own| &own.point).collect();
    let mut tried: Vec<(f64, Pose)> = turns
        .par_iter()
        .flat_map_iter(|turn| {
            let shifts: Vec<Vec<f64>> = (0..3)
                .map(|axis| shifts_along(&body[axis], scan, turn, axis, bin))
                .collect();
            let turned: Vec<Vector3> = few.iter().map(|p| turn * p.coords).collect();
            let mut own: Vec<(f64, Pose)> = Vec::new();
            for &x in &shifts[0] {
                for &y in &shifts[1] {
                    for &z in &shifts[2] {
                        let shift = Vector3::new(x, y, z);
                        let most = FAR_CELLS * FAR_CELLS;
                        let sum: f64 = turned
                            .iter()
                            .map(|p| f64::from(field.square(&Point3::from(p + shift), most)))
                            .sum();
                        own.push((sum, Pose { turn: *turn, shift }));
                    }
                }
            }
            // No turn gives more than a few.
            own.sort_by(|a, b| a.0.total_cmp(&b.0));
            own.truncate(GIVEN / 2);
            own
        })
        .collect();
    tried.sort_by(|a, b| a.0.total_cmp(&b.0));
    tried.truncate(GIVEN);
    tried.into_iter().map(|own| own.1).collect()
}

fn body_faces(surface: &BodySurface<'_>, axis: usize, bin: f64) -> Faces {
    let places = (0..surface.facets.len()).filter_map(|i| {
        let facet = &surface.facets[i];
        let is_body = surface.parts[facet.part as usize].group.is_some();
        if !is_body || facet.normal[axis].abs() < SQUARE {
            return None;
        }
        let [a, b, c] = surface.whole.corners(i);
        let area = (b - a).cross(&(c - a)).norm() / 2.0;
        Some(((a[axis] + b[axis] + c[axis]) / 3.0, area))
    });
    Faces::of(places, bin)
}

fn shifts_along(
    body: &Faces,
    scan: &[Sloped],
    turn: &Matrix3<f64>,
    axis: usize,
    bin: f64,
) -> Vec<f64> {
    let row = turn.row(axis).transpose();
    let square = scan
        .iter()
        .filter(|own| row.dot(&own.normal).abs() > SQUARE)
        .map(|own| (row.dot(&own.point.coords), 1.0));
    let own = Faces::of(square, bin);
    let mut shifts = if own.whole > 0.0 {
        body.shifts(&own)
    } else {
        Vec::new()
    };
    // Where the scan has no such face, its ends are laid to those of the body, and its middle to the middle.
    let along = scan.iter().map(|own| row.dot(&own.point.coords));
    let mut along: Vec<f64> = along.collect();
    along.sort_by(f64::total_cmp);
    let at = |share: f64| along[(share * (along.len() - 1) as f64) as usize];
    let (low, high) = (
        body.start + bin,
        body.start + bin * (body.counts.len() - 1) as f64,
    );
    shifts.push((low + high) / 2.0 - (at(0.03) + at(0.97)) / 2.0);
    shifts.push(low - at(0.03));
    shifts.push(high - at(0.97));
    shifts
}
