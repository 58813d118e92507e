//! Single plates and fittings that stand off within a sub-assembly whose rest sits right.

use super::align::Alignment;
use super::fine::{NORMAL, median, tukey};
use super::off_body::PointOff;
use super::parts::box_round;
use super::pose::{Normals, Pose, row, turns_times};
use super::samples::Samples;
use super::stance::{SCANNER_MM, Stance};
use super::surface::{BodySurface, Faces, Searched, faces};
use geom::{Point3, Vector3};
use nalgebra::{Matrix6, Vector6};
use rayon::prelude::*;

/// Points that a single part is looked at by at first, and when it seems to stand off.
const MOST_POINTS: [usize; 2] = [500, 4000];

/// Fewer points say nothing of a single part.
const LEAST_POINTS: usize = 60;

/// Reaches (mm at 4 mm scale) of the first look, and in which a part that seems to stand off is drawn to its points.
const FIRST: [f64; 4] = [1.2, 0.9, 0.7, 0.5];
const REACHES: [f64; 9] = [1.2, 1.0, 0.8, 0.6, 0.45, 0.35, 0.25, 0.2, 0.2];

/// A combination of unknowns that is fixed less surely than this share of the surest is left as drawn. Chosen, not sourced.
const LEAST_SURE: f64 = 2e-3;

/// A part that seems to stand off by less than this share of its tolerance at the first look is not looked at again.
const SEEMS: f64 = 0.4;

/// Of the points near a part as many lie on it where it stands, or it does not stand there.
const LEAST_ON_IT: f64 = 0.6;

/// How a single part stands within its group.
#[derive(Clone, Debug)]
pub(super) struct Single {
    /// Number of the part.
    pub(super) part: usize,
    /// Turn (rad) about the middle of its box, and shift of that middle (mm).
    pub(super) turn: Vector3,
    pub(super) shift: Vector3,
    /// Standard uncertainties of turn and shift; infinite where the scan does not tell.
    pub(super) unsure: [f64; 6],
    /// Corners of its box.
    pub(super) low: Point3,
    pub(super) high: Point3,
}

/// A point of the scan, led back to where it lay if its group stood as drawn.
struct Back {
    point: Point3,
    normal: Option<Vector3>,
    /// How far it is from everything but the part (mm).
    from_rest: f64,
}

/// Parts that may stand off within their groups by more than a share of `tolerance` (mm).
pub(super) fn singles(
    surface: &BodySurface<'_>,
    samples: &Samples,
    laid: &Alignment,
    stances: &[Stance],
    offs: &[PointOff],
    tolerance: f64,
) -> Vec<Single> {
    let mut by_part: Vec<Vec<u32>> = vec![Vec::new(); surface.parts.len()];
    for (i, own) in offs.iter().enumerate() {
        if let Some(all) = by_part.get_mut(usize::from(own.part)) {
            all.push(i as u32);
        }
    }
    let looker = Looker {
        surface,
        samples,
        laid,
        stances,
    };
    let seeming: Vec<usize> = (0..surface.parts.len())
        .into_par_iter()
        .filter(|&part| looker.seems_off(part, &by_part[part], tolerance))
        .collect();
    seeming
        .into_par_iter()
        .filter_map(|part| looker.look_again(part))
        .collect()
}

struct Looker<'l> {
    surface: &'l BodySurface<'l>,
    samples: &'l Samples,
    laid: &'l Alignment,
    stances: &'l [Stance],
}

/// What one round of drawing a part to its points gives.
struct Round {
    change: Vector6<f64>,
    covariance: Matrix6<f64>,
    open: Vector6<f64>,
    /// Points that were drawn, and those of them that lie on the part.
    points: usize,
    on_it: usize,
}

impl Looker<'_> {
    /// A rough look: those points alone that lie nearest to the part as drawn.
    fn seems_off(&self, part: usize, numbers: &[u32], tolerance: f64) -> bool {
        let Some(group) = self.surface.parts[part].group else {
            return false;
        };
        if numbers.len() < LEAST_POINTS {
            return false;
        }
        let step = numbers.len().div_ceil(MOST_POINTS[0]).max(1);
        let points: Vec<Back> = numbers
            .iter()
            .step_by(step)
            .map(|&i| {
                let placed = self.laid.in_body(self.samples, i as usize);
                let (point, normal) =
                    self.stances[group].back(&placed, &self.surface.groups[group]);
                Back {
                    point,
                    normal,
                    from_rest: f64::INFINITY,
                }
            })
            .collect();
        let own = self.searched(|other| other == part, group);
        let [low, high] = self.surface.parts[part].bounds();
        let mut pose = Pose::still();
        for reach in FIRST {
            let reach = reach * self.surface.size() / 200.0;
            let Some(round) = self.round(&own, &points, &pose, (low, high), reach) else {
                return false;
            };
            pose = stepped(&pose, &round, (low, high));
        }
        let middle = low + (high - low) / 2.0;
        let shift = pose.point(&middle) - middle;
        let turn = pose.turn_vector() * ((high - low).norm() / 2.0);
        shift.norm() + turn.norm() > SEEMS * tolerance
    }

    /// The facets of a group's parts that are taken.
    fn searched(&self, is_taken: impl Fn(usize) -> bool, group: usize) -> Searched {
        self.surface.of_group[group]
            .only(|facet| is_taken(self.surface.facets[facet as usize].part as usize))
    }

    /// The part drawn to its points, those left out that are nearer to something else.
    fn look_again(&self, part: usize) -> Option<Single> {
        let group = self.surface.parts[part].group?;
        let mm = self.surface.size() / 200.0;
        let [low, high] = self.surface.parts[part].bounds();
        let reach = REACHES[0] * mm;
        let room = Vector3::repeat(reach);
        let (group_of, stance) = (&self.surface.groups[group], &self.stances[group]);
        let corners = corners_of(low - room, high + room);
        let stood = corners.map(|own| stance.as_it_stands(&own, group_of));
        let (least, most) = box_round(stood.into_iter());
        // With the places at which the points were scanned: other groups are taken where they are drawn.
        let near: Vec<(Point3, Option<Vector3>, Point3)> = (0..self.samples.points.len())
            .into_par_iter()
            .with_min_len(1024)
            .filter_map(|i| {
                let laid = self.laid.pose.point(&self.samples.points[i]);
                if (least - laid).sup(&(laid - most)).max() > 0.0 {
                    return None;
                }
                let placed = self.laid.in_body(self.samples, i);
                let (point, normal) = stance.back(&placed, group_of);
                let out = (low - room - point).sup(&(point - high - room));
                (out.max() < 0.0).then_some((point, normal, laid))
            })
            .collect();
        let step = near.len().div_ceil(MOST_POINTS[1]).max(1);
        let near: Vec<_> = near.into_iter().step_by(step).collect();
        let facets = &self.surface.facets;
        let part_of = |facet: u32| facets[facet as usize].part as usize;
        let rest = self.surface.of_group[group]
            .within((low - room * 2.0, high + room * 2.0), |facet| {
                part_of(facet) != part
            });
        let (least, most) = box_round(near.iter().map(|own| own.2));
        let other = self
            .surface
            .whole
            .within((least - room, most + room), |facet| {
                self.surface.parts[part_of(facet)].group != Some(group)
            });
        let points: Vec<Back> = near
            .into_par_iter()
            .map(|(point, normal, laid)| {
                let beside = rest.nearest(facets, &point, faces(normal.as_ref()), reach);
                let beyond = other.nearest(facets, &laid, Faces::All, reach);
                let from = |own: Option<super::surface::Near>| {
                    own.map_or(f64::INFINITY, |own| own.square.sqrt())
                };
                Back {
                    point,
                    normal,
                    from_rest: from(beside).min(from(beyond)),
                }
            })
            .collect();
        let own = self.searched(|other| other == part, group);
        let mut pose = Pose::still();
        let mut last = None;
        for reach in REACHES {
            let reach = (reach * mm).max(6.0 * self.laid.noise);
            let round = self.round(&own, &points, &pose, (low, high), reach)?;
            pose = stepped(&pose, &round, (low, high));
            last = Some(round);
        }
        let last = last?;
        if (last.on_it as f64) < LEAST_ON_IT * last.points as f64 {
            return None;
        }
        let middle = low + (high - low) / 2.0;
        let unsure = std::array::from_fn(|k| {
            let scanner = if k < 3 { 0.0 } else { SCANNER_MM };
            if last.open[k] > 0.05 {
                f64::INFINITY
            } else {
                geom::math::hypot(last.covariance[(k, k)].max(0.0).sqrt(), scanner)
            }
        });
        let single = Single {
            part,
            turn: pose.turn_vector(),
            shift: pose.point(&middle) - middle,
            unsure,
            low,
            high,
        };
        Some(single)
    }

    fn round(
        &self,
        own: &Searched,
        points: &[Back],
        pose: &Pose,
        (low, high): (Point3, Point3),
        reach: f64,
    ) -> Option<Round> {
        let surface = self.surface;
        let middle = low + (high - low) / 2.0;
        let arm = ((high - low).norm() / 2.0).max(1e-6);
        let back = pose.inverse();
        let pulled: Vec<Option<(Vector6<f64>, f64)>> = points
            .par_iter()
            .with_min_len(256)
            .map(|back_point| {
                let at = back.point(&back_point.point);
                let normal = back_point.normal.map(|own| back.direction(&own));
                let reach = reach.min(back_point.from_rest);
                let near = own.nearest(&surface.facets, &at, faces(normal.as_ref()), reach)?;
                let off = surface.off(&at, &near);
                let mut row = row(&at, &middle, &off.normal);
                for k in 0..3 {
                    row[k] /= arm;
                }
                Some((row, off.height))
            })
            .collect();
        let mut sum = Normals::<6>::zero();
        let mut offs = Vec::with_capacity(points.len());
        for (row, off) in pulled.into_iter().flatten() {
            sum.add(&row, off, tukey(off / reach));
            offs.push(off.abs());
        }
        if offs.len() < LEAST_POINTS {
            return None;
        }
        let points = offs.len();
        let noise = (NORMAL * median(&mut offs)?).max(self.laid.noise);
        let on_it = offs
            .iter()
            .filter(|own| **own < 3.0 * self.laid.noise)
            .count();
        let eigen = sum.matrix.symmetric_eigen();
        let most = eigen.eigenvalues.max();
        let mut round = Round {
            change: Vector6::zeros(),
            covariance: Matrix6::zeros(),
            open: Vector6::zeros(),
            points,
            on_it,
        };
        for k in 0..6 {
            let way = eigen.eigenvectors.column(k);
            let value = eigen.eigenvalues[k];
            if value < LEAST_SURE * most || value < 10.0 {
                round.open += way.component_mul(&way);
                continue;
            }
            round.change += way * (way.dot(&sum.side) / value);
            round.covariance += way * way.transpose() * (noise * noise / value);
        }
        let scale = turns_times(1.0 / arm);
        round.change = scale * round.change;
        round.covariance = scale * round.covariance * scale;
        Some(round)
    }
}

/// Corners of a box.
fn corners_of(low: Point3, high: Point3) -> [Point3; 8] {
    std::array::from_fn(|k| {
        let at = |axis: usize| {
            if k >> axis & 1 == 0 {
                low[axis]
            } else {
                high[axis]
            }
        };
        Point3::new(at(0), at(1), at(2))
    })
}

/// The rows lead the points of the scan back: the part stands the other way.
fn stepped(pose: &Pose, round: &Round, (low, high): (Point3, Point3)) -> Pose {
    let turn = round.change.fixed_rows::<3>(0).into_owned();
    let shift = round.change.fixed_rows::<3>(3).into_owned();
    let middle = low + (high - low) / 2.0;
    pose.after(&Pose::about(middle, -turn, -shift)).squared()
}
