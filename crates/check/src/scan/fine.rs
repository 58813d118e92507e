//! The exact position of a scan on a body: points are drawn to the planes that touch the surface nearest to them.

use super::pose::{Normals, Pose, row};
use super::samples::Samples;
use super::surface::{BodySurface, Faces};
use geom::{Point3, Vector3};
use nalgebra::SVector;
use rayon::prelude::*;

/// A step below this ends the search (mm, at the ends of the body).
const STILL_MM: f64 = 2e-5;

/// What a point of a scan says about the pose.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pull {
    /// Part of the body that it lies at.
    pub(super) part: u32,
    /// Height over the touching plane (mm).
    pub(super) off: f64,
    /// How that changes with a turn about the middle of the body and a shift.
    pub(super) row: SVector<f64, 6>,
    /// Unit vector out of the metal there.
    pub(super) normal: Vector3,
}

/// Points that a pose is found from.
pub(super) struct Pulled<'s> {
    pub(super) surface: &'s BodySurface<'s>,
    pub(super) samples: &'s Samples,
    pub(super) numbers: &'s [u32],
    /// Whether the normals of the scan say which face a point is of.
    pub(super) by_normals: bool,
}

/// Tukey's weight of a point that lies off by a share of the reach: none from the reach on.
pub(super) fn tukey(share: f64) -> f64 {
    let rest = 1.0 - share * share;
    if rest > 0.0 { rest * rest } else { 0.0 }
}

impl Pulled<'_> {
    /// What each point says, in the pose; those farther than `reach` (mm) say nothing.
    pub(super) fn pulls(&self, pose: &Pose, reach: f64) -> Vec<Option<Pull>> {
        let own = self.sized_pulls(pose, 1.0, reach).into_iter();
        own.map(|own| own.map(|own| own.1)).collect()
    }

    /// The same of a scan that is made so many times larger about the middle of the body, with the places of its points.
    pub(super) fn sized_pulls(
        &self,
        pose: &Pose,
        times: f64,
        reach: f64,
    ) -> Vec<Option<(Point3, Pull)>> {
        let middle = self.surface.middle();
        let all = self.numbers.par_iter();
        all.map(|&i| {
            let point = pose.point(&self.samples.points[i as usize]);
            let point = match times {
                1.0 => point,
                _ => middle + (point - middle) * times,
            };
            let normal = self.normal(i as usize, pose);
            let near = self
                .surface
                .nearest(&point, fronts(normal.as_ref()), reach)?;
            let off = self.surface.off(&point, &near);
            let pull = Pull {
                part: self.surface.part_of(&near) as u32,
                off: off.height,
                row: row(&point, &middle, &off.normal),
                normal: off.normal,
            };
            Some((point, pull))
        })
        .collect()
    }

    fn normal(&self, i: usize, pose: &Pose) -> Option<Vector3> {
        if !self.by_normals {
            return None;
        }
        self.samples.normal(i).map(|own| pose.direction(&own))
    }

    /// Lays the scan on the whole body, reach by reach (mm); points that lie far off weigh little.
    pub(super) fn settled(&self, mut pose: Pose, reaches: &[f64]) -> Pose {
        for &reach in reaches {
            let pulls = self.pulls(&pose, reach);
            let mut sum = Normals::<6>::zero();
            for pull in pulls.iter().flatten() {
                if self.is_body(pull) {
                    sum.add(&pull.row, pull.off, tukey(pull.off / reach));
                }
            }
            let Some((next, step)) = self.stepped(&pose, &sum) else {
                break;
            };
            pose = next;
            if step < STILL_MM && reach == reaches[reaches.len() - 1] {
                break;
            }
        }
        pose
    }

    pub(super) fn is_body(&self, pull: &Pull) -> bool {
        self.surface.parts[pull.part as usize].group.is_some()
    }

    /// The pose after one step, and how far that moves the ends of the body (mm).
    pub(super) fn stepped(&self, pose: &Pose, sum: &Normals<6>) -> Option<(Pose, f64)> {
        let size = self.surface.size();
        let mut matrix = sum.matrix;
        // A direction that no point speaks for stays as it is.
        let hold = 1e-6 * sum.weight.max(1.0);
        for k in 0..6 {
            matrix[(k, k)] += if k < 3 { hold * size * size } else { hold };
        }
        let change = matrix.cholesky()?.solve(&sum.side);
        let turn = change.fixed_rows::<3>(0).into_owned();
        let shift = change.fixed_rows::<3>(3).into_owned();
        let middle = self.surface.middle();
        let step = Pose::about(middle, turn, shift);
        let moved = turn.norm() * size / 2.0 + shift.norm();
        Some((step.after(pose).squared(), moved))
    }

    /// How well a pose fits: mean of the squares of distances (mm²), none more than that of `far`; and the share
    /// of points nearer than `far`.
    pub(super) fn fit(&self, pose: &Pose, far: f64) -> (f64, f64) {
        let all = self.numbers.par_iter();
        let squares: Vec<f64> = all
            .map(|&i| {
                let point: Point3 = pose.point(&self.samples.points[i as usize]);
                let normal = self.normal(i as usize, pose);
                let near = self.surface.nearest(&point, fronts(normal.as_ref()), far);
                near.map_or(far * far, |near| near.square)
            })
            .collect();
        let count = squares.len().max(1) as f64;
        let near = squares.iter().filter(|own| **own < far * far).count();
        (squares.iter().sum::<f64>() / count, near as f64 / count)
    }

    /// Standard deviation of the points that lie near (mm), from the median, so that wrong places do not count.
    pub(super) fn noise(pulls: &[Option<Pull>]) -> f64 {
        let mut offs: Vec<f64> = pulls.iter().flatten().map(|own| own.off.abs()).collect();
        median(&mut offs).map_or(0.0, |own| NORMAL * own)
    }
}

/// Faces like a normal, or the fronts of sheets where there is none: the back of a sheet is as near as its front while
/// the scan is laid on, and would hold it a thickness off.
fn fronts(normal: Option<&Vector3>) -> Faces<'_> {
    normal.map_or(Faces::Fronts, Faces::Like)
}

/// Standard deviation of normal noise over the median of its amounts.
pub(super) const NORMAL: f64 = 1.4826;

/// The middle one of some values.
pub(super) fn median(values: &mut [f64]) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    let middle = values.len() / 2;
    let (_, own, _) = values.select_nth_unstable_by(middle, f64::total_cmp);
    Some(*own)
}
