//! Laying a scan on a body: roughly from any pose, exactly on the whole, and at last on the datum plates.

use super::coarse::{Sloped, rough_poses};
use super::error::ScanError;
use super::field::Field;
use super::fine::{Pull, Pulled, tukey};
use super::parts::Made;
use super::pose::{Normals, Pose, spread_at};
use super::samples::Samples;
use super::surface::{BodySurface, Faces};
use super::thin::{dense, slopes, thinned};
use geom::Vector3;
use nalgebra::{Matrix6, Vector6};

/// The sub-assembly that a model is measured from: footplate, valances and buffer beams.
const DATUM: &str = "footplate";

/// Points that the exact position is found from.
const FINE_POINTS: usize = 30_000;

/// Points that a rough position is judged by.
const ROUGH_POINTS: usize = 900;

/// Points from whose faces rough positions are made.
const SLOPED_POINTS: usize = 2_500;

/// A scan with fewer points cannot be laid on a body.
pub(super) const LEAST_POINTS: usize = 200;

/// Fewer of 100 points near the body are no scan of it. Chosen, not sourced: a fifth may be anything.
const LEAST_SHARE: f64 = 0.45;

/// A direction that the datum plates fix less surely than this takes its place from the whole body (mm, standard
/// uncertainty). Chosen, not sourced: half of what a scan of 0.02 mm noise should be laid to.
const DATUM_MM: f64 = 0.005;

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
    /// Directions that the datum plates do not fix and the whole body does: `along`, `across`, `up`, `about x` …
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
    Ok(Alignment {
        pose: laid.pose,
        uncertainty: laid.uncertainty,
        noise: laid.noise,
        datum_points: laid.points,
        by_whole_body: laid.weak,
        covariance: laid.covariance,
        near,
        by_normals,
        numbers,
    })
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
    let few = every(ROUGH_POINTS);
    let pulled = Pulled {
        surface,
        samples,
        numbers: &few,
        by_normals: false,
    };
    let mm = surface.size() / 200.0;
    let reaches = [5.0, 4.0, 3.0, 2.0, 1.5, 1.0].map(|own| own * mm);
    let far = (1.5 * mm).min(2.0 * field.cell());
    let judged = poses.iter().map(|pose| {
        let pose = pulled.settled(*pose, &reaches);
        (pulled.fit(&pose, far).0, pose)
    });
    let best = judged.min_by(|a, b| a.0.total_cmp(&b.0));
    best.map(|own| own.1).ok_or(ScanError::NoFit {
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

struct Laid {
    pose: Pose,
    uncertainty: f64,
    noise: f64,
    points: usize,
    weak: Vec<&'static str>,
    covariance: Matrix6<f64>,
}

/// The last position: what the datum plates fix they fix alone, so that what is built wrong above them does not
/// pull; a direction that they leave open is fixed by the whole body.
fn on_datum(pulled: &Pulled<'_>, mut pose: Pose) -> Laid {
    let surface = pulled.surface;
    let is_datum: Vec<bool> = surface
        .parts
        .iter()
        .map(|part| matches!(part.made, Made::Plate(plate) if plate.assembly == DATUM))
        .collect();
    let mm = surface.size() / 200.0;
    let mut reach = 0.5 * mm;
    let mut noise = 0.0;
    let mut laid = None;
    for _ in 0..14 {
        let pulls = pulled.pulls(&pose, reach);
        let sums = sums(pulled, &pulls, &is_datum, reach);
        let joined = join(&sums, surface.size() / 2.0, noise);
        let Some((next, moved)) = pulled.stepped(&pose, &joined.sum) else {
            break;
        };
        pose = next;
        let on: Vec<Option<Pull>> = pulls
            .iter()
            .map(|own| own.filter(|own| is_datum[own.part as usize]))
            .collect();
        noise = Pulled::noise(if sums.datum_points > 100 { &on } else { &pulls });
        let done = moved < 2e-6 && reach <= (6.0 * noise).max(0.03);
        reach = (reach * 0.7).max(6.0 * noise).max(0.03);
        laid = Some((joined, sums.datum_points));
        if done {
            break;
        }
    }
    let (joined, points) = laid.unwrap_or((
        Joined {
            sum: Normals::zero(),
            weak: Vec::new(),
        },
        0,
    ));
    let covariance = joined
        .sum
        .matrix
        .try_inverse()
        .map_or_else(|| Matrix6::identity() * 1e6, |own| own * noise * noise);
    let middle = surface.middle();
    let uncertainty = (0..8)
        .map(|i| {
            let corner = geom::Point3::from(Vector3::from_fn(|k, _| {
                if i >> k & 1 == 1 {
                    surface.high[k]
                } else {
                    surface.low[k]
                }
            }));
            2.0 * spread_at(&covariance, &middle, &corner)
        })
        .fold(0.0, f64::max);
    Laid {
        pose,
        uncertainty,
        noise,
        points,
        weak: joined.weak,
        covariance,
    }
}

struct Sums {
    datum: Normals<6>,
    whole: Normals<6>,
    datum_points: usize,
}

fn sums(pulled: &Pulled<'_>, pulls: &[Option<Pull>], is_datum: &[bool], reach: f64) -> Sums {
    let mut sums = Sums {
        datum: Normals::zero(),
        whole: Normals::zero(),
        datum_points: 0,
    };
    for pull in pulls.iter().flatten() {
        let weight = tukey(pull.off / reach);
        if is_datum[pull.part as usize] {
            sums.datum.add(&pull.row, pull.off, weight);
            sums.datum_points += usize::from(weight > 0.0);
        }
        if pulled.is_body(pull) {
            sums.whole.add(&pull.row, pull.off, weight);
        }
    }
    sums
}

struct Joined {
    sum: Normals<6>,
    weak: Vec<&'static str>,
}

/// The equations of the datum plates, and those of the whole body along the directions that the datum plates
/// leave open. Turns are measured by what they move at `arm` from the middle (mm).
fn join(sums: &Sums, arm: f64, noise: f64) -> Joined {
    let onto = Matrix6::from_diagonal(&Vector6::from([arm, arm, arm, 1.0, 1.0, 1.0]));
    let back = Matrix6::from_diagonal(&Vector6::from([
        1.0 / arm,
        1.0 / arm,
        1.0 / arm,
        1.0,
        1.0,
        1.0,
    ]));
    let datum = back * sums.datum.matrix * back;
    let eigen = datum.symmetric_eigen();
    // Before the noise is known it is taken to be that of a good scan.
    let noise = if noise > 0.0 { noise } else { 0.02 };
    let mut open = Matrix6::<f64>::zeros();
    let mut weak = Vec::new();
    for k in 0..6 {
        let own = eigen.eigenvectors.column(k);
        let sure = noise / eigen.eigenvalues[k].max(1e-12).sqrt();
        if sure > DATUM_MM {
            open += own * own.transpose();
            weak.push(WAYS[own.iamax()]);
        }
    }
    weak.sort_unstable();
    weak.dedup();
    let mut sum = sums.datum;
    if !weak.is_empty() {
        let whole = back * sums.whole.matrix * back;
        sum.matrix += onto * open * whole * open * onto;
        sum.side += onto * open * back * sums.whole.side;
    }
    Joined { sum, weak }
}

/// What the unknowns move.
const WAYS: [&str; 6] = [
    "about the length",
    "about the width",
    "about the height",
    "along",
    "across",
    "up",
];
