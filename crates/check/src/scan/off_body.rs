//! The distances of all points of a scan from the body.

use super::align::Alignment;
use super::placed::Placed;
use super::samples::Samples;
use super::stance::Stance;
use super::surface::{BodySurface, Near, faces};
use super::thin::Cells;
use rayon::prelude::*;

/// A point that belongs to no part.
pub(super) const NO_PART: u16 = u16::MAX;

/// A group that stands off by less than this keeps its points on the faces that they are nearest to (mm): a good deal
/// less than half a sheet.
const STANDS_MM: f64 = 0.05;

/// Points are taken cube by cube of such a size (share of what the scan reaches over).
const CELL_SHARE: f64 = 0.01;

/// How far a point of a scan lies off the body.
#[derive(Clone, Copy, Debug)]
pub(super) struct PointOff {
    /// Number of the part, or [`NO_PART`].
    pub(super) part: u16,
    /// Distance along the outward normal (mm), positive outside the metal.
    pub(super) off: f32,
}

impl PointOff {
    /// Of a point that belongs to nothing.
    const NONE: Self = Self {
        part: NO_PART,
        off: 0.0,
    };
}

/// Distances of all points of a scan from the surface; points farther than `reach` (mm) belong to no part.
///
/// Of a group that stands off its place the points are held against the faces that they lie on where the group stands: the
/// nearest face of a thin sheet that was moved by half its thickness is the other one.
pub(super) fn offs(
    surface: &BodySurface<'_>,
    samples: &Samples,
    laid: &Alignment,
    stances: &[Stance],
    reach: f64,
) -> Vec<PointOff> {
    let moved: Vec<bool> = surface
        .groups
        .iter()
        .zip(stances)
        .map(|(group, stance)| {
            let arm = (group.high - group.low).norm() / 2.0;
            stance.shift.norm() + stance.turn.norm() * arm + stance.wider.abs() / 2.0 > STANDS_MM
        })
        .collect();
    let off = |i: usize| {
        let placed = laid.in_body(samples, i);
        let (point, normal) = &placed;
        let Some(mut near) = surface.nearest(point, faces(normal.as_ref()), reach) else {
            return PointOff::NONE;
        };
        let group = surface.parts[surface.part_of(&near)].group;
        if let Some(group) = group.filter(|group| moved[*group])
            && let Some(own) = where_it_stands(surface, &stances[group], group, &placed, reach)
        {
            near = own;
        }
        PointOff {
            part: surface.part_of(&near) as u16,
            off: surface.off(point, &near).distance as f32,
        }
    };
    // Neighbours one after another: what the search looks at lies at hand.
    let all = 0..samples.points.len() as u32;
    let cells = Cells::of(&samples.points, all, samples.reach() * CELL_SHARE);
    let found: Vec<PointOff> = cells
        .sorted
        .par_iter()
        .with_min_len(1024)
        .map(|own| off(own.1 as usize))
        .collect();
    let mut offs = vec![PointOff::NONE; found.len()];
    for (own, (_, i)) in found.into_iter().zip(cells.sorted) {
        offs[i as usize] = own;
    }
    offs
}

/// The place of a face, carried on in its plane, under a point, the face being that which the point lies on where its
/// group stands.
fn where_it_stands(
    surface: &BodySurface<'_>,
    stance: &Stance,
    group: usize,
    placed: &Placed,
    reach: f64,
) -> Option<Near> {
    let (back, turned) = stance.back(placed, &surface.groups[group]);
    let near =
        surface.of_group[group].nearest(&surface.facets, &back, faces(turned.as_ref()), reach)?;
    let out = surface.facets[near.facet as usize].normal;
    let point = placed.0;
    let height = (point - near.point).dot(&out);
    Some(Near {
        facet: near.facet,
        point: point - out * height,
        square: height * height,
    })
}
