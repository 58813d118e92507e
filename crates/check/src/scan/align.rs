//! Laying a scan on a body: roughly from any pose, exactly on the whole, and at last on the datum plates.

use super::coarse::{Sloped, rough_poses};
use super::error::ScanError;
use super::field::Field;
use super::fine::Pulled;
use super::on_datum::{Laid, on_datum};
use super::placed::Placed;
use super::pose::Pose;
use super::samples::Samples;
use super::surface::{BodySurface, Faces};
use super::thin::{dense, slopes, thinned};
use nalgebra::Matrix6;

/// Points that the exact position is found from.
const FINE_POINTS: usize = 30_000;

/// Points that a rough position is judged by: all of them at first, then the best.
const ROUGH_POINTS: [usize; 2] = [350, 1000];

/// Rough positions that are judged again.
const JUDGED_AGAIN: usize = 16;

/// Points from whose faces rough positions are made.
const SLOPED_POINTS: usize = 2_500;

/// A scan with fewer points cannot be laid on a body.
pub(super) const LEAST_POINTS: usize = 200;

/// Fewer of 100 points near the body are no scan of it. Chosen, not sourced: a fifth may be anything.
const LEAST_SHARE: f64 = 0.45;

/// A scan laid on a body.
#[derive(Clone, Debug)]
pub struct Alignment {
    /// From the scan, in millimetres, to the frame of the body.
    pub pose: Pose,
    /// Uncertainty of the place of the farthest corner of the body (mm), expanded with k = 2.
    pub uncertainty: f64,
    /// Standard deviation of the scan's points about the datum plates (mm).
    pub noise: f64,
    /// Points on the datum plates among those that were used.
    pub datum_points: usize,
    /// Directions that the datum plates do not fix and the whole body does: `along`, `across`, `up`, `about the length` …
    pub by_whole_body: Vec<&'static str>,
    /// Share of the points, after thinning, that lie near the body (0 to 1).
    pub near: f64,
    /// Covariance of turn (rad) and shift (mm) about the middle of the body.
    pub(super) covariance: Matrix6<f64>,
    /// Whether normals of the scan tell outside from inside.
    pub(super) by_normals: bool,
    /// Points of the scan that lie on something, thinned out evenly.
    pub(super) numbers: Vec<u32>,
}

/// Lays a scan in millimetres on a body. Normals that look inwards are turned over.
pub(super) fn align(
    surface: &BodySurface<'_>,
    samples: &mut Samples,
) -> Result<Alignment, ScanError> {
    let count = samples.points.len();
    if count < LEAST_POINTS {
        return Err(ScanError::TooFew {
            points: count,
            least: LEAST_POINTS,
        });
    }
    let size = samples.reach();
    let dense = dense(&samples.points, size);
    let numbers = thinned(&samples.points, &dense, size, FINE_POINTS);
    if numbers.len() < LEAST_POINTS {
        return Err(ScanError::TooFew {
            points: numbers.len(),
            least: LEAST_POINTS,
        });
    }
    let pose = rough(surface, samples, &dense, &numbers, size)?;
    let by_normals = side_normals(surface, samples, &numbers, &pose);
    let pulled = Pulled {
        surface,
        samples,
        numbers: &numbers,
        by_normals,
    };
    let mm = surface.size() / 200.0;
    let reaches = [2.0, 1.5, 1.0, 0.7, 0.5, 0.4, 0.3, 0.25, 0.2, 0.2, 0.2].map(|own| own * mm);
    let pose = pulled.settled(pose, &reaches);
    let (_, near) = pulled.fit(&pose, mm);
    if near < LEAST_SHARE {
        return Err(ScanError::NoFit {
            share: 100.0 * near,
            reach: mm,
        });
    }
    let laid = on_datum(&pulled, pose);
    Ok(Alignment::of(laid, near, by_normals, numbers))
}

impl Alignment {
    /// A point of the scan in the body, with its normal if normals tell sides apart.
    pub(super) fn in_body(&self, samples: &Samples, i: usize) -> Placed {
        let normal = self.by_normals.then(|| samples.normal(i)).flatten();
        (
            self.pose.point(&samples.points[i]),
            normal.map(|own| self.pose.direction(&own)),
        )
    }

    fn of(laid: Laid, near: f64, by_normals: bool, numbers: Vec<u32>) -> Self {
        Self {
            pose: laid.pose,
            uncertainty: laid.uncertainty,
            noise: laid.noise,
            datum_points: laid.points,
            by_whole_body: laid.weak,
            covariance: laid.covariance,
            near,
            by_normals,
            numbers,
        }
    }
}

/// Lays a scan on a body again that was laid on it, and has been made larger by `factor` about its own origin.
pub(super) fn lay_again(
    surface: &BodySurface<'_>,
    samples: &Samples,
    before: Alignment,
    factor: f64,
) -> Alignment {
    let middle = surface.middle().coords;
    let pose = Pose {
        turn: before.pose.turn,
        shift: (before.pose.shift - middle) * factor + middle,
    };
    let pulled = Pulled {
        surface,
        samples,
        numbers: &before.numbers,
        by_normals: before.by_normals,
    };
    let mm = surface.size() / 200.0;
    let pose = pulled.settled(pose, &[0.7, 0.4, 0.25, 0.2, 0.2].map(|own| own * mm));
    let laid = on_datum(&pulled, pose);
    Alignment::of(laid, before.near, before.by_normals, before.numbers)
}

/// The best rough position, settled on the body with few points.
fn rough(
    surface: &BodySurface<'_>,
    samples: &Samples,
    dense: &[u32],
    numbers: &[u32],
    size: f64,
) -> Result<Pose, ScanError> {
    let every = |most: usize| -> Vec<u32> {
        let step = numbers.len().div_ceil(most).max(1);
        numbers.iter().step_by(step).copied().collect()
    };
    let of = every(SLOPED_POINTS);
    let sloped: Vec<Sloped> = if samples.normals.is_empty() {
        let found = slopes(&samples.points, &of, dense, size);
        let flat = of.iter().zip(found).filter_map(|(&i, own)| {
            let (normal, flat) = own?;
            (flat > 0.7).then_some(Sloped {
                point: samples.points[i as usize],
                normal,
            })
        });
        flat.collect()
    } else {
        of.iter()
            .filter_map(|&i| {
                Some(Sloped {
                    point: samples.points[i as usize],
                    normal: samples.normal(i as usize)?,
                })
            })
            .collect()
    };
    if sloped.len() < LEAST_POINTS / 4 {
        return Err(ScanError::TooFew {
            points: sloped.len(),
            least: LEAST_POINTS / 4,
        });
    }
    let field = Field::of(surface);
    let poses = rough_poses(surface, &field, &sloped);
    let mm = surface.size() / 200.0;
    let far = (1.5 * mm).min(2.0 * field.cell());
    let judge = |poses: &[Pose], points: usize, reaches: &[f64]| -> Vec<Pose> {
        let few = every(points);
        let pulled = Pulled {
            surface,
            samples,
            numbers: &few,
            by_normals: false,
        };
        let judged = poses.iter().map(|pose| {
            let pose = pulled.settled(*pose, reaches);
            (pulled.fit(&pose, far).0, pose)
        });
        let mut judged: Vec<(f64, Pose)> = judged.collect();
        judged.sort_by(|a, b| a.0.total_cmp(&b.0));
        judged.into_iter().map(|own| own.1).collect()
    };
    let mut poses = judge(
        &poses,
        ROUGH_POINTS[0],
        &[5.0, 4.0, 3.0].map(|own| own * mm),
    );
    poses.truncate(JUDGED_AGAIN);
    let reaches = [4.0, 3.0, 2.5, 2.0, 1.5, 1.2, 1.0].map(|own| own * mm);
    let poses = judge(&poses, ROUGH_POINTS[1], &reaches);
    poses.first().copied().ok_or(ScanError::NoFit {
        share: 0.0,
        reach: far,
    })
}

/// Turns normals that look inwards over; `false` where there are none or they look both ways, and so say nothing.
fn side_normals(
    surface: &BodySurface<'_>,
    samples: &mut Samples,
    numbers: &[u32],
    pose: &Pose,
) -> bool {
    let mut sides = [0_usize; 2];
    for &i in numbers.iter().step_by(numbers.len().div_ceil(4000).max(1)) {
        let point = pose.point(&samples.points[i as usize]);
        let near = surface.nearest(&point, Faces::Fronts, surface.size() / 300.0);
        let normal = samples.normal(i as usize).map(|own| pose.direction(&own));
        if let (Some(near), Some(normal)) = (near, normal) {
            let along = normal.dot(&surface.facets[near.facet as usize].normal);
            if along.abs() > 0.7 {
                sides[usize::from(along > 0.0)] += 1;
            }
        }
    }
    let [inwards, outwards] = sides;
    if inwards > outwards {
        samples.turn_over();
    }
    let whole = (inwards + outwards) as f64;
    whole > 0.0 && inwards.max(outwards) as f64 > 0.8 * whole
}
