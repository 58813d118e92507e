//! The last position of a scan: on the datum plates, or on the whole body along what they leave open.

use super::fine::{Pull, Pulled, tukey};
use super::parts::Made;
use super::pose::{Normals, Pose, spread_at, turns_times};
use geom::Vector3;
use nalgebra::Matrix6;

/// The sub-assembly that a model is measured from: footplate, valances and buffer beams.
const DATUM: &str = "footplate";

/// A direction that the datum plates fix less surely than this takes its place from the whole body (mm, standard
/// uncertainty). Chosen, not sourced: half of what a scan of 0.02 mm noise should be laid to.
const DATUM_MM: f64 = 0.005;

/// Fewer points on the datum plates are there by chance.
const LEAST_ON_DATUM: usize = 150;

/// A scan laid on the datum plates.
pub(super) struct Laid {
    pub(super) pose: Pose,
    pub(super) uncertainty: f64,
    pub(super) noise: f64,
    pub(super) points: usize,
    pub(super) weak: Vec<&'static str>,
    pub(super) covariance: Matrix6<f64>,
}

/// The last position: what the datum plates fix they fix alone, so that what is built wrong above them does not
/// pull; a direction that they leave open is fixed by the whole body, and all are where they were not scanned.
pub(super) fn on_datum(pulled: &Pulled<'_>, pose: Pose) -> Laid {
    let parts = pulled.surface.parts.iter();
    let is_datum: Vec<bool> = parts
        .map(|part| matches!(part.made, Made::Plate(plate) if plate.assembly == DATUM))
        .collect();
    let none = vec![false; is_datum.len()];
    let mm = pulled.surface.size() / 200.0;
    let noise = Pulled::noise(&pulled.pulls(&pose, 0.2 * mm));
    let least = (6.0 * noise).max(0.03);
    let wide = (0.5 * mm).max(least);
    let laid = lay(pulled, pose, &is_datum, (wide, least), noise);
    // Points that only chance to lie near the datum plates do not come to lie on them.
    let pulls = pulled.pulls(&laid.pose, wide);
    let on = pulls
        .iter()
        .flatten()
        .filter(|own| is_datum[own.part as usize]);
    let offs: Vec<f64> = on.map(|own| own.off.abs()).collect();
    let near = offs.iter().filter(|own| **own < least).count();
    if near >= LEAST_ON_DATUM && 2 * near > offs.len() {
        laid
    } else {
        lay(pulled, pose, &none, (wide, least), noise)
    }
}

/// Lays the scan on the datum plates, from a wide reach to the least (mm).
fn lay(
    pulled: &Pulled<'_>,
    mut pose: Pose,
    is_datum: &[bool],
    (wide, least): (f64, f64),
    mut noise: f64,
) -> Laid {
    let surface = pulled.surface;
    let mut reach = wide;
    let mut laid = None;
    for _ in 0..14 {
        let pulls = pulled.pulls(&pose, reach);
        let sums = sums(pulled, &pulls, is_datum, reach);
        let joined = join(&sums, surface.size() / 2.0, noise);
        let Some((next, moved)) = pulled.stepped(&pose, &joined.sum) else {
            break;
        };
        pose = next;
        if sums.datum_points >= LEAST_ON_DATUM && reach <= least {
            let on: Vec<Option<Pull>> = pulls
                .iter()
                .map(|own| own.filter(|own| is_datum[own.part as usize]))
                .collect();
            noise = Pulled::noise(&on);
        }
        let done = moved < 2e-6 && reach <= least;
        reach = (reach * 0.7).max(least);
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
    let (onto, back) = (turns_times(arm), turns_times(1.0 / arm));
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
