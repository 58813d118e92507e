//! The distances of all points of a scan from the body.

use super::align::Alignment;
use super::samples::Samples;
use super::surface::BodySurface;
use geom::Point3;
use rayon::prelude::*;

/// A point that belongs to no part.
pub(super) const NO_PART: u16 = u16::MAX;

/// How far a point of a scan lies off the body.
#[derive(Clone, Copy, Debug)]
pub(super) struct PointOff {
    /// Number of the part, or [`NO_PART`].
    pub(super) part: u16,
    /// Distance along the outward normal (mm), positive outside the metal.
    pub(super) off: f32,
}

/// Distances of all points of a scan from the surface; points farther than `reach` (mm) belong to no part.
pub(super) fn offs(
    surface: &BodySurface<'_>,
    samples: &Samples,
    laid: &Alignment,
    reach: f64,
) -> Vec<PointOff> {
    (0..samples.points.len())
        .into_par_iter()
        .with_min_len(1024)
        .map(|i| {
            let point: Point3 = laid.pose.point(&samples.points[i]);
            let normal = laid
                .by_normals
                .then(|| samples.normal(i))
                .flatten()
                .map(|own| laid.pose.direction(&own));
            let none = PointOff {
                part: NO_PART,
                off: 0.0,
            };
            surface
                .nearest(&point, normal.as_ref(), reach)
                .map_or(none, |near| PointOff {
                    part: surface.part_of(&near) as u16,
                    off: surface.off(&point, &near).distance as f32,
                })
        })
        .collect()
}
