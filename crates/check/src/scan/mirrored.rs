//! Whether a scan is a mirror image: told by what the body has on one side only.

use super::align::Alignment;
use super::samples::Samples;
use super::surface::{BodySurface, faces};
use geom::{Point3, Vector3};
use rayon::prelude::*;

/// A place whose mirror image lies farther from the body than this many times the noise is handed.
const OVER_NOISE: f64 = 5.0;

/// A place whose mirror image lies farther off than this is handed however little noise there is (mm).
const LEAST_MM: f64 = 0.1;

/// Fewer points at handed places tell nothing.
const LEAST_POINTS: usize = 40;

/// Whether a scan can be told from its mirror image.
#[derive(Clone, Debug, PartialEq)]
pub enum Handedness {
    /// It is as the body is, by what stands on one side only.
    Right {
        /// The part that told.
        by: String,
    },
    /// It is the other way round.
    Mirrored {
        /// The part that told.
        by: String,
    },
    /// The body, as far as it was scanned, has nothing larger than the noise on one side only.
    Undecidable,
}

/// Holds a scan, laid on the body, and its mirror image against what the body has on one side only.
///
/// A point of the scan decides if it lies on the body as it is and clearly off the body mirrored, or the other way
/// round; where the body is alike on both sides no point does.
pub(super) fn handedness(
    surface: &BodySurface<'_>,
    samples: &Samples,
    laid: &Alignment,
) -> Handedness {
    let far = (OVER_NOISE * laid.noise).max(LEAST_MM);
    let size = surface.size();
    let votes: Vec<Option<(bool, usize)>> = laid
        .numbers
        .par_iter()
        .map(|&i| {
            let point = laid.pose.point(&samples.points[i as usize]);
            let other = Point3::new(point.x, -point.y, point.z);
            let normal = laid
                .by_normals
                .then(|| samples.normal(i as usize))
                .flatten()
                .map(|own| laid.pose.direction(&own));
            let mirrored = normal.map(|own| Vector3::new(own.x, -own.y, own.z));
            let reach = size / 150.0;
            let here = surface.nearest(&point, faces(normal.as_ref()), reach);
            let there = surface.nearest(&other, faces(mirrored.as_ref()), reach);
            let off = |own: &Option<super::surface::Near>| {
                own.as_ref().map_or(reach, |near| near.square.sqrt())
            };
            let (a, b) = (off(&here), off(&there));
            let near = if a < b { here } else { there };
            // It must lie on the one and clearly off the other.
            let decides = a.min(b) < far / 2.0 && a.max(b) > 2.0 * far;
            near.filter(|_| decides)
                .map(|near| (a < b, surface.part_of(&near)))
        })
        .collect();
    let mut by_part = vec![[0_usize; 2]; surface.parts.len()];
    for (is_right, part) in votes.into_iter().flatten() {
        if surface.parts[part].group.is_some() {
            by_part[part][usize::from(is_right)] += 1;
        }
    }
    decide(surface, &by_part)
}

fn decide(surface: &BodySurface<'_>, by_part: &[[usize; 2]]) -> Handedness {
    let sum = |side: usize| by_part.iter().map(|own| own[side]).sum::<usize>();
    let (mirrored, right) = (sum(0), sum(1));
    if mirrored.max(right) < LEAST_POINTS || mirrored.max(right) < 3 * mirrored.min(right) {
        return Handedness::Undecidable;
    }
    let side = usize::from(right > mirrored);
    let told = (0..by_part.len()).max_by_key(|&i| (by_part[i][side], usize::MAX - i));
    let by = told.map_or(String::new(), |i| surface.parts[i].title());
    if side == 1 {
        Handedness::Right { by }
    } else {
        Handedness::Mirrored { by }
    }
}
