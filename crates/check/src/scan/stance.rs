//! How each group of parts stands in a scan: shifted, turned, too wide.

use super::align::Alignment;
use super::fine::{NORMAL, median, tukey};
use super::parts::{Group, Side};
use super::placed::{GroupPoints, Placed};
use super::pose::{Normals, Pose, row, spread_at};
use super::samples::Samples;
use super::surface::{BodySurface, Near, faces};
use geom::{Point3, Vector3};
use nalgebra::{Matrix6, SMatrix, SVector};

/// Unknowns of a group: turn (rad) about its middle, shift (mm), and how much wider it is (mm).
pub(super) const UNKNOWNS: usize = 7;

/// Fewer points say nothing about a group.
const LEAST_POINTS: usize = 60;

/// Reaches (mm at 4 mm scale) in which points are drawn to their group, one after another; the first must be as
/// large as the largest error that is looked for.
const REACHES: [f64; 10] = [1.2, 1.2, 1.0, 0.8, 0.6, 0.45, 0.35, 0.25, 0.2, 0.2];

/// A combination of unknowns that is fixed less surely than this share of the surest is left as drawn: a barrel
/// turned about its own axis looks the same. Chosen, not sourced.
const LEAST_SURE: f64 = 2e-3;

/// What a scanner itself may be out by where it looks from another side (mm, standard): chosen, not sourced, a
/// quarter of the noise that a good one has.
pub(super) const SCANNER_MM: f64 = 0.005;

/// How a group of parts stands in the scan.
#[derive(Clone, Debug)]
pub(super) struct Stance {
    /// From where it is drawn to where it stands, about its middle.
    pub(super) pose: Pose,
    /// Turn (rad) about the middle of its box, shift of that middle (mm).
    pub(super) turn: Vector3,
    pub(super) shift: Vector3,
    /// How much wider it is than drawn (mm); zero for a group on one side.
    pub(super) wider: f64,
    /// Standard uncertainties of turn (rad) and shift (mm) about and along the axes, and of the width (mm);
    /// infinite where the scan does not tell.
    pub(super) unsure: [f64; UNKNOWNS],
    /// Points that told.
    pub(super) points: usize,
}

impl Stance {
    /// A group that stands where it is drawn, for all that the scan tells.
    pub(super) fn as_drawn() -> Self {
        Self {
            pose: Pose::still(),
            turn: Vector3::zeros(),
            shift: Vector3::zeros(),
            wider: 0.0,
            unsure: [f64::INFINITY; UNKNOWNS],
            points: 0,
        }
    }

    /// A point of the scan, with its normal, as it lay if the group stood as drawn.
    pub(super) fn back(&self, (point, normal): &Placed, group: &Group) -> Placed {
        let back = self.pose.inverse();
        (
            self.as_if_drawn(point, group),
            normal.map(|own| back.direction(&own)),
        )
    }

    /// Where a point of the group stands that is drawn at a place: the way back of [`Stance::as_if_drawn`].
    pub(super) fn as_it_stands(&self, point: &Point3, group: &Group) -> Point3 {
        let mut own = *point;
        let share = self.wider / 2.0 / group.half_width();
        own.y = (own.y - share * group.middle.y) / (1.0 - share);
        self.pose.point(&own)
    }

    /// Where a point of the scan lay if the group stood as drawn.
    pub(super) fn as_if_drawn(&self, point: &Point3, group: &Group) -> Point3 {
        let mut own = self.pose.inverse().point(point);
        own.y -= self.wider / 2.0 * (own.y - group.middle.y) / group.half_width();
        own
    }
}

/// A point of the scan at a group.
pub(super) struct Drawn {
    pub(super) group: usize,
    pub(super) row: SVector<f64, UNKNOWNS>,
    /// Height over the face that it lies on where the group stands (mm).
    pub(super) off: f64,
    /// How that grows with the size of the group (mm).
    pub(super) strain: f64,
}

/// How all groups stand. Each point is drawn to the group to which it lies nearest once that is where it is built.
pub(super) fn stances(
    surface: &BodySurface<'_>,
    samples: &Samples,
    laid: &Alignment,
) -> Vec<Stance> {
    let mm = surface.size() / 200.0;
    let points = GroupPoints::of(surface, samples, laid, REACHES[0] * mm);
    let mut stances = vec![Stance::as_drawn(); surface.groups.len()];
    for (round, reach) in REACHES.into_iter().enumerate() {
        // Where the noise is larger than the last reaches, they would cut into it.
        let reach = (reach * mm).max(6.0 * laid.noise);
        let drawn = points.told(|(point, normal)| {
            let own = drawn_to(surface, &stances, point, normal.as_ref(), reach)?;
            Some((own.group, own))
        });
        let last = round + 1 == REACHES.len();
        for (group, stance) in stances.iter_mut().enumerate() {
            let own = drawn.iter().filter(|own| own.0 == group);
            let own: Vec<&Drawn> = own.map(|own| &own.1).collect();
            step_group(surface, laid, group, stance, &own, reach, last);
        }
    }
    stances
}

/// The group to which a point lies nearest, each where it stands.
pub(super) fn drawn_to(
    surface: &BodySurface<'_>,
    stances: &[Stance],
    point: &Point3,
    normal: Option<&Vector3>,
    reach: f64,
) -> Option<Drawn> {
    let mut best: Option<(usize, Near, Point3)> = None;
    let mut least = reach;
    for (group, own) in surface.groups.iter().enumerate() {
        let stance = &stances[group];
        let back = stance.as_if_drawn(point, own);
        let out = (own.low - back)
            .sup(&(back - own.high))
            .sup(&Vector3::zeros());
        if out.norm() > least {
            continue;
        }
        let turned = normal.map(|own| stance.pose.inverse().direction(own));
        let found =
            surface.of_group[group].nearest(&surface.facets, &back, faces(turned.as_ref()), least);
        if let Some(near) = found {
            least = near.square.sqrt();
            best = Some((group, near, back));
        }
    }
    let (group, near, back) = best?;
    // The running gear draws its own points away.
    if surface.is_at_gear(point, faces(normal), least) {
        return None;
    }
    let off = surface.off(&back, &near);
    let own = &surface.groups[group];
    let six = row(&back, &own.middle, &off.normal);
    let mut row = SVector::<f64, UNKNOWNS>::zeros();
    row.fixed_rows_mut::<6>(0).copy_from(&six);
    row[6] = match own.side {
        Side::Both => off.normal.y * (back.y - own.middle.y) / own.half_width() / 2.0,
        _ => 0.0,
    };
    Some(Drawn {
        group,
        row,
        off: off.height,
        strain: (back - own.middle).dot(&off.normal),
    })
}

fn step_group(
    surface: &BodySurface<'_>,
    laid: &Alignment,
    group: usize,
    stance: &mut Stance,
    drawn: &[&Drawn],
    reach: f64,
    last: bool,
) {
    let own = &surface.groups[group];
    let arm = (own.high - own.low).norm() / 2.0;
    let mut sum = Normals::<UNKNOWNS>::zero();
    let mut offs = Vec::with_capacity(drawn.len());
    for point in drawn {
        let weight = tukey(point.off / reach);
        sum.add(&point.row, point.off, weight);
        offs.push(point.off.abs());
    }
    stance.points = drawn.len();
    if drawn.len() < LEAST_POINTS {
        return;
    }
    let mut scale = SMatrix::<f64, UNKNOWNS, UNKNOWNS>::identity();
    for k in 0..3 {
        scale[(k, k)] = 1.0 / arm;
    }
    let eigen = (scale * sum.matrix * scale).symmetric_eigen();
    let most = eigen.eigenvalues.max();
    let side = scale * sum.side;
    let noise = (NORMAL * median(&mut offs).unwrap_or(0.0)).max(laid.noise);
    let mut change = SVector::<f64, UNKNOWNS>::zeros();
    let mut covariance = SMatrix::<f64, UNKNOWNS, UNKNOWNS>::zeros();
    let mut open = SVector::<f64, UNKNOWNS>::zeros();
    for k in 0..UNKNOWNS {
        let way = eigen.eigenvectors.column(k);
        let value = eigen.eigenvalues[k];
        if value < LEAST_SURE * most || value < 10.0 {
            // What is left open makes all that it is made of open.
            open += way.component_mul(&way);
            continue;
        }
        change += way * (way.dot(&side) / value);
        covariance += way * way.transpose() * (noise * noise / value);
    }
    let change = scale * change;
    let turn = change.fixed_rows::<3>(0).into_owned();
    let shift = change.fixed_rows::<3>(3).into_owned();
    // The rows say how the point of the scan moves if it is led back: the group stands the other way.
    let step = Pose::about(own.middle, -turn, -shift);
    stance.pose = stance.pose.after(&step).squared();
    stance.wider -= change[6];
    if last {
        let covariance = scale * covariance * scale;
        tell(laid, surface, group, stance, &covariance, &open);
    }
}

/// Turn, shift and their uncertainties in words of the body's axes.
fn tell(
    laid: &Alignment,
    surface: &BodySurface<'_>,
    group: usize,
    stance: &mut Stance,
    covariance: &SMatrix<f64, UNKNOWNS, UNKNOWNS>,
    open: &SVector<f64, UNKNOWNS>,
) {
    let own = &surface.groups[group];
    stance.turn = stance.pose.turn_vector();
    stance.shift = stance.pose.point(&own.middle) - own.middle;
    // What the alignment of the whole leaves uncertain moves every group.
    let common: Matrix6<f64> = laid.covariance;
    let shift = spread_at(&common, &surface.middle(), &own.middle);
    for k in 0..UNKNOWNS {
        let common = if k < 3 {
            common[(k, k)].max(0.0)
        } else {
            shift * shift + SCANNER_MM * SCANNER_MM
        };
        stance.unsure[k] = if open[k] > 0.05 {
            f64::INFINITY
        } else {
            (covariance[(k, k)] + common).sqrt()
        };
    }
}
