//! The points that tell how sub-assemblies stand: evenly over all, and more of them at small ones.

use super::align::Alignment;
use super::samples::Samples;
use super::surface::BodySurface;
use geom::{Point3, Vector3};
use rayon::prelude::*;

/// Points that tell, evenly over the whole.
const MOST_POINTS: usize = 40_000;

/// A group with fewer points round it is looked at by more of the scan, up to the second.
const AT_GROUP: [usize; 2] = [1000, 2000];

/// A point of the scan in the body, with its normal if those tell sides apart.
pub(super) type Placed = (Point3, Option<Vector3>);

/// The points that tell, evenly over the whole.
pub(super) fn points_of(samples: &Samples, laid: &Alignment) -> Vec<Placed> {
    let step = laid.numbers.len().div_ceil(MOST_POINTS).max(1);
    laid.numbers
        .iter()
        .step_by(step)
        .map(|&i| laid.in_body(samples, i as usize))
        .collect()
}

/// Points that tell of groups.
pub(super) struct GroupPoints {
    /// Points with the group that they are asked about; `None` for those that tell of any that has none of its own.
    points: Vec<(Placed, Option<usize>)>,
    has_own: Vec<bool>,
}

impl GroupPoints {
    /// Points over the whole, and for each group round which they are few all that the scan has within `reach` (mm) of its box.
    pub(super) fn of(
        surface: &BodySurface<'_>,
        samples: &Samples,
        laid: &Alignment,
        reach: f64,
    ) -> Self {
        let even = points_of(samples, laid);
        let room = Vector3::repeat(reach);
        let mut points: Vec<_> = even.iter().map(|own| (*own, None)).collect();
        let has_own = surface.groups.iter().enumerate().map(|(group, own)| {
            let (low, high) = (own.low - room, own.high + room);
            let is_in = |point: &Point3| (low - point).sup(&(point - high)).max() < 0.0;
            if even.iter().filter(|own| is_in(&own.0)).count() >= AT_GROUP[0] {
                return false;
            }
            let all = (0..samples.points.len()).into_par_iter().with_min_len(1024);
            let near: Vec<usize> = all
                .filter(|&i| is_in(&laid.pose.point(&samples.points[i])))
                .collect();
            let step = near.len().div_ceil(AT_GROUP[1]).max(1);
            let near = near.into_iter().step_by(step);
            points.extend(near.map(|i| (laid.in_body(samples, i), Some(group))));
            true
        });
        let has_own = has_own.collect();
        Self { points, has_own }
    }

    /// What is found of each point, with the group of which it is found, where the point tells of that group.
    pub(super) fn told<T: Send>(
        &self,
        find: impl Fn(&Placed) -> Option<(usize, T)> + Sync,
    ) -> Vec<(usize, T)> {
        let found = self.points.par_iter().map(|(placed, asked)| {
            let (group, own) = find(placed)?;
            let tells = match asked {
                Some(asked) => *asked == group,
                None => !self.has_own[group],
            };
            tells.then_some((group, own))
        });
        let found: Vec<Option<(usize, T)>> = found.collect();
        found.into_iter().flatten().collect()
    }
}
