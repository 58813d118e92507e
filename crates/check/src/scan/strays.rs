//! Points near the body that lie on nothing: dust, reflections, what a scanner makes up.

use super::off_body::{NO_PART, PointOff};
use geom::Point3;
use rayon::prelude::*;

/// Points that a cube of space should hold on a surface, so that a stray one is told from the others.
const IN_CUBE: f64 = 40.0;

/// A point with fewer than this share of the points round it at its own height is a stray. Chosen, not sourced: the
/// smallest piece of a part is a seventh of what is round it.
const STRAY_SHARE: f64 = 0.12;

/// How far apart in height two points are of one surface, in standard deviations, and at least (mm).
const ALIKE: (f64, f64) = (5.0, 0.10);

/// Takes points out that have few of their neighbours on the same part beside them in height; gives how many.
///
/// Points of one part that lie in the same cube of space are compared by their distances from the body.
pub(super) fn leave_out_strays(offs: &mut [PointOff], points: &[Point3], noise: f64) -> usize {
    let on: Vec<u32> = (0..offs.len() as u32)
        .filter(|&i| offs[i as usize].part != NO_PART)
        .collect();
    let Some(cube) = cube_of(points, &on) else {
        return 0;
    };
    let low = points
        .iter()
        .fold(Point3::new(f64::MAX, f64::MAX, f64::MAX), |low, p| {
            low.inf(p)
        });
    let mut keyed: Vec<(u64, u32)> = on
        .par_iter()
        .map(|&i| {
            let own = (points[i as usize] - low) / cube;
            let step = |x: f64| (x as u64).min(0xffff);
            let place = step(own.x) << 32 | step(own.y) << 16 | step(own.z);
            (u64::from(offs[i as usize].part) << 48 | place, i)
        })
        .collect();
    keyed.par_sort_unstable();
    let alike = (ALIKE.0 * noise).max(ALIKE.1) as f32;
    let strays: Vec<u32> = keyed
        .par_chunk_by(|a, b| a.0 == b.0)
        .flat_map_iter(|run| strays_of(run, offs, alike))
        .collect();
    for &i in &strays {
        offs[i as usize].part = NO_PART;
    }
    strays.len()
}

/// Side of a cube that holds enough points where there is a surface.
fn cube_of(points: &[Point3], on: &[u32]) -> Option<f64> {
    let first = *on.first()?;
    let first = points[first as usize];
    let (low, high) = on.iter().fold((first, first), |(low, high), &i| {
        let p = &points[i as usize];
        (low.inf(p), high.sup(p))
    });
    let side = high - low;
    // The area of an engine is about that of the box round it.
    let area = 2.0 * (side.x * side.y + side.y * side.z + side.z * side.x);
    let cube = (IN_CUBE * area / on.len() as f64).sqrt();
    (cube > 0.0 && cube.is_finite()).then_some(cube)
}

fn strays_of(run: &[(u64, u32)], offs: &[PointOff], alike: f32) -> Vec<u32> {
    let mut own: Vec<(f32, u32)> = run
        .iter()
        .map(|&(_, i)| (offs[i as usize].off, i))
        .collect();
    own.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let least = (own.len() as f64 * STRAY_SHARE).ceil() as usize;
    let (mut from, mut to) = (0, 0);
    let mut strays = Vec::new();
    for &(off, i) in &own {
        while own[from].0 < off - alike {
            from += 1;
        }
        while to < own.len() && own[to].0 <= off + alike {
            to += 1;
        }
        if to - from < least.max(3) {
            strays.push(i);
        }
    }
    strays
}
