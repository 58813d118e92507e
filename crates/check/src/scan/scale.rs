//! Whether a scan is too large or too small as a whole.

use super::align::{Alignment, lay_again};
use super::fine::{NORMAL, Pulled, median, tukey};
use super::placed::points_of;
use super::pose::{Normals, Pose, row};
use super::samples::Samples;
use super::stance::{Drawn, SCANNER_MM, Stance, UNKNOWNS, drawn_to, stances};
use super::surface::BodySurface;
use crate::tolerance::built_width;
use nalgebra::{SMatrix, SVector};
use rayon::prelude::*;

/// Unknowns of a group: those of how it stands, and its strain.
const STRAINED: usize = UNKNOWNS + 1;

/// Reaches (mm at 4 mm scale) in which points tell of the strain of their group, one after another; the first must hold
/// what the ends of an engine stand off by in a scan that is a hundredth too large.
const REACHES: [f64; 6] = [1.0, 0.8, 0.6, 0.45, 0.35, 0.25];

/// Reaches in which the whole is drawn to the body.
const WHOLE: [f64; 8] = [1.5, 1.2, 1.0, 0.7, 0.5, 0.4, 0.3, 0.3];

/// Fewer points say nothing about the strain of a group.
const LEAST_POINTS: usize = 300;

/// A strain of a group that is fixed less surely than this says nothing (a share).
const UNSURE: f64 = 0.01;

/// Fewer groups cannot tell a scan that is off from one group that is: two have to agree without any third.
const LEAST_GROUPS: usize = 3;

/// Of a combination of unknowns less than this share of the surest is left as drawn.
const OPEN: f64 = 1e-6;

/// Rounds in which a scan is brought to the size of the body, at most: points that lie far off weigh little.
const ROUNDS: usize = 4;

/// By which share a scan is larger than the body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// The share: 0.003 for a scan that is 0.3 % too large.
    pub share: f64,
    /// Uncertainty of that, k = 2.
    pub uncertainty: f64,
    /// Sub-assemblies, or sides of them, that told.
    pub groups: usize,
    /// Whether it is told, and the scan was taken at its right size for all else: larger than its tolerance, than its
    /// uncertainty, and so without any one of the sub-assemblies.
    pub is_off: bool,
}

/// Strain of a group and its variance.
#[derive(Clone, Copy, Debug)]
struct Strain {
    share: f64,
    variance: f64,
}

/// A scan at the size at which it is judged.
pub(super) struct Sized {
    pub(super) alignment: Alignment,
    pub(super) scale: Scale,
    pub(super) stances: Vec<Stance>,
}

/// Takes a scan that is too large or too small as a whole at the size of the body; one that is not is left as it is.
pub(super) fn at_its_size(
    surface: &BodySurface<'_>,
    samples: &mut Samples,
    alignment: Alignment,
    mm_per_foot: f64,
) -> Sized {
    let judged = |samples: &Samples, alignment: Alignment, taken: f64| {
        let stances = stances(surface, samples, &alignment);
        let scale = Scale::of(surface, samples, &alignment, &stances, (taken, mm_per_foot));
        Sized {
            alignment,
            scale,
            stances,
        }
    };
    // What the whole says is a guess only: one large sub-assembly may speak for all.
    let guess = similar(surface, samples, &alignment);
    let is_near = guess.abs() * surface.size() < built_width(mm_per_foot) / 2.0;
    let first = alignment.clone();
    let mut taken = if is_near { 1.0 } else { 1.0 + guess };
    samples.scale(1.0 / taken);
    let laid = match is_near {
        true => alignment,
        false => lay_again(surface, samples, alignment, 1.0 / taken),
    };
    let mut sized = judged(samples, laid, taken);
    if !sized.scale.is_off {
        samples.scale(taken);
        return match is_near {
            true => sized,
            false => judged(samples, first, 1.0),
        };
    }
    for _ in 0..ROUNDS {
        let rest = (1.0 + sized.scale.share) / taken;
        if (rest - 1.0).abs() < 0.1 * sized.scale.uncertainty {
            break;
        }
        taken *= rest;
        samples.scale(1.0 / rest);
        let laid = lay_again(surface, samples, sized.alignment, 1.0 / rest);
        sized = judged(samples, laid, taken);
    }
    sized.scale.is_off = true;
    sized
}

/// By which share the whole scan seems larger: all points are drawn to the body at once, with place, turn and size free.
fn similar(surface: &BodySurface<'_>, samples: &Samples, laid: &Alignment) -> f64 {
    let pulled = Pulled {
        surface,
        samples,
        numbers: &laid.numbers,
        by_normals: laid.by_normals,
    };
    let (middle, size) = (surface.middle(), surface.size());
    let (mut pose, mut share) = (laid.pose, 0.0);
    for reach in WHOLE {
        let reach = (reach * size / 200.0).max(6.0 * laid.noise);
        let pulls = pulled.sized_pulls(&pose, 1.0 / (1.0 + share), reach);
        let mut sum = Normals::<7>::zero();
        for (point, pull) in pulls.iter().flatten() {
            if pulled.is_body(pull) {
                let mut own = SVector::<f64, 7>::zeros();
                own.fixed_rows_mut::<6>(0)
                    .copy_from(&row(point, &middle, &pull.normal));
                own[6] = (point - middle).dot(&pull.normal);
                sum.add(&own, pull.off, tukey(pull.off / reach));
            }
        }
        let mut matrix = sum.matrix;
        // A direction that no point speaks for stays as it is.
        let hold = 1e-6 * sum.weight.max(1.0);
        for k in 0..7 {
            matrix[(k, k)] += if (3..6).contains(&k) {
                hold
            } else {
                hold * size * size
            };
        }
        let Some(change) = matrix.cholesky().map(|own| own.solve(&sum.side)) else {
            break;
        };
        let turn = change.fixed_rows::<3>(0).into_owned();
        let shift = change.fixed_rows::<3>(3) * (1.0 + share);
        pose = Pose::about(middle, turn, shift).after(&pose).squared();
        share = (1.0 + share) / (1.0 + change[6]) - 1.0;
    }
    share
}

impl Scale {
    /// Of a scan whose groups stand as they do and that has been made so many times smaller, at a scale of the body (mm to the
    /// foot).
    ///
    /// Each group is given its own place, turn and width beside its strain, so that what is built wrong does not tell
    /// of the scale; and the scale is that of all groups, so that one which is made too large is not the scan. It is told
    /// if it comes to more over the body's diagonal than careful builders keep of widths.
    pub(super) fn of(
        surface: &BodySurface<'_>,
        samples: &Samples,
        laid: &Alignment,
        stances: &[Stance],
        (taken, mm_per_foot): (f64, f64),
    ) -> Self {
        let points = points_of(samples, laid);
        let reach = (REACHES[0] * surface.size() / 200.0).max(6.0 * laid.noise);
        let drawn: Vec<Option<Drawn>> = points
            .par_iter()
            .map(|(point, normal)| drawn_to(surface, stances, point, normal.as_ref(), reach))
            .collect();
        let strains: Vec<Strain> = (0..surface.groups.len())
            .filter_map(|group| {
                let own = drawn.iter().flatten().filter(|own| own.group == group);
                let own = strain(surface, laid, group, &own.collect::<Vec<_>>())?;
                Some(Strain {
                    share: taken * (1.0 + own.share) - 1.0,
                    ..own
                })
            })
            .collect();
        let Some((share, variance)) = mean(&strains) else {
            return Self {
                share: 0.0,
                uncertainty: f64::INFINITY,
                groups: strains.len(),
                is_off: false,
            };
        };
        let counts = |share: f64, variance: f64| share.abs() > 2.0 * variance.sqrt();
        let without = (0..strains.len()).all(|left_out| {
            let rest = strains.iter().enumerate().filter(|own| own.0 != left_out);
            let rest: Vec<Strain> = rest.map(|own| *own.1).collect();
            mean(&rest).is_some_and(|(own, variance)| {
                counts(own, variance) && (own - share).abs() < 0.5 * share.abs()
            })
        });
        Self {
            share,
            uncertainty: 2.0 * variance.sqrt(),
            groups: strains.len(),
            is_off: strains.len() >= LEAST_GROUPS
                && share.abs() * surface.size() > built_width(mm_per_foot)
                && counts(share, variance)
                && without,
        }
    }
}

/// Mean of strains by their weights, and its variance: by the weights, or by how they scatter if that is more (Birge).
fn mean(strains: &[Strain]) -> Option<(f64, f64)> {
    let weight: f64 = strains.iter().map(|own| 1.0 / own.variance).sum();
    if strains.len() < 2 {
        return None;
    }
    let sum: f64 = strains.iter().map(|own| own.share / own.variance).sum();
    let share = sum / weight;
    let squares = strains
        .iter()
        .map(|own| (own.share - share).powi(2) / own.variance);
    let scatter = squares.sum::<f64>() / (strains.len() - 1) as f64;
    Some((share, scatter.max(1.0) / weight))
}

/// How much larger a group is than drawn, whatever its place; `None` where the scan does not tell.
fn strain(
    surface: &BodySurface<'_>,
    laid: &Alignment,
    group: usize,
    drawn: &[&Drawn],
) -> Option<Strain> {
    if drawn.len() < LEAST_POINTS {
        return None;
    }
    let own = &surface.groups[group];
    let arm = (own.high - own.low).norm() / 2.0;
    // Turns and strain by what they move at the group's corners.
    let rows: Vec<(SVector<f64, STRAINED>, f64)> = drawn
        .iter()
        .map(|own| {
            let mut row = SVector::<f64, STRAINED>::zeros();
            row.fixed_rows_mut::<UNKNOWNS>(0).copy_from(&own.row);
            for k in 0..3 {
                row[k] /= arm;
            }
            row[UNKNOWNS] = own.strain / arm;
            (row, own.off)
        })
        .collect();
    let mut unknown = SVector::<f64, STRAINED>::zeros();
    let mut told = 0.0;
    for reach in REACHES {
        let reach = (reach * surface.size() / 200.0).max(6.0 * laid.noise);
        let mut sum = Normals::<STRAINED>::zero();
        for (row, off) in &rows {
            let rest = off + row.dot(&unknown);
            sum.add(row, rest, tukey(rest / reach));
        }
        let (change, own) = solved(&sum);
        unknown += change;
        told = own;
    }
    let mut rests: Vec<f64> = rows
        .iter()
        .map(|(row, off)| (off + row.dot(&unknown)).abs())
        .collect();
    let noise = (NORMAL * median(&mut rests)?).max(laid.noise);
    // The rows lead the points of the scan back: the group is larger by as much.
    let share = -unknown[UNKNOWNS] / arm;
    let scanner = 2.0 * SCANNER_MM * SCANNER_MM;
    let variance = (noise * noise / told.max(1e-12) + scanner) / (arm * arm);
    (variance.sqrt() < UNSURE).then_some(Strain { share, variance })
}

/// One step of all unknowns, and what all points together say of the last one alone.
fn solved(sum: &Normals<STRAINED>) -> (SVector<f64, STRAINED>, f64) {
    let place: SMatrix<f64, UNKNOWNS, UNKNOWNS> =
        sum.matrix.fixed_view::<UNKNOWNS, UNKNOWNS>(0, 0).into();
    let cross: SVector<f64, UNKNOWNS> = sum.matrix.fixed_view::<UNKNOWNS, 1>(0, UNKNOWNS).into();
    let side: SVector<f64, UNKNOWNS> = sum.side.fixed_rows::<UNKNOWNS>(0).into();
    let eigen = place.symmetric_eigen();
    let most = eigen.eigenvalues.max();
    let mut inverse = SMatrix::<f64, UNKNOWNS, UNKNOWNS>::zeros();
    for k in 0..UNKNOWNS {
        if eigen.eigenvalues[k] > OPEN * most {
            let way = eigen.eigenvectors.column(k);
            inverse += way * way.transpose() / eigen.eigenvalues[k];
        }
    }
    let told = sum.matrix[(UNKNOWNS, UNKNOWNS)] - cross.dot(&(inverse * cross));
    let last = if told > OPEN * most {
        (sum.side[UNKNOWNS] - cross.dot(&(inverse * side))) / told
    } else {
        0.0
    };
    let mut all = SVector::<f64, STRAINED>::zeros();
    all.fixed_rows_mut::<UNKNOWNS>(0)
        .copy_from(&(inverse * (side - cross * last)));
    all[UNKNOWNS] = last;
    (all, told)
}
