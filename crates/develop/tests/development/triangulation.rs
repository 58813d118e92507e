//! The numeric development of a ruled surface: true lengths of triangles, swung into the plane.
//!
//! Nothing here uses the code under test. Points of the two sections are paired by direction by walking
//! the chains, and the flat is laid out as a sheet metal worker does with compasses.

use crate::sections::Belpaire;
use geom::math::FRAC_PI_2;
use geom::{Chain, Point2, Point3, Segment, Vector2};

/// Which diagonal cuts the quadrilaterals between rulings into triangles.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Diagonal {
    FrontToNextRear,
    RearToNextFront,
}

/// Lays out a strip of quadrilaterals; returns the front and rear ends of the last ruling, the first
/// ruling lying along x from the origin and the strip to its left.
pub(crate) fn lay_out(front: &[Point3], rear: &[Point3], diagonal: Diagonal) -> (Point2, Point2) {
    let mut here = (
        Point2::origin(),
        Point2::new((rear[0] - front[0]).norm(), 0.0),
    );
    for i in 1..front.len() {
        let (p, q, next_p, next_q) = (front[i - 1], rear[i - 1], front[i], rear[i]);
        let length = |a: Point3, b: Point3| (b - a).norm();
        let across = length(next_p, next_q);
        here = match diagonal {
            Diagonal::FrontToNextRear => {
                let new_q = swing(here, length(p, next_q), length(q, next_q));
                let new_p = swing((here.0, new_q), length(p, next_p), across);
                (new_p, new_q)
            }
            Diagonal::RearToNextFront => {
                let new_p = swing(here, length(p, next_p), length(q, next_p));
                let new_q = swing((new_p, here.1), across, length(q, next_q));
                (new_p, new_q)
            }
        };
    }
    here
}

/// The corner to the left of a side, at given distances from its ends.
///
/// Measured from the nearer end: the far one would leave a micron of rounding in a corner next to it.
fn swing((a, b): (Point2, Point2), from_a: f64, from_b: f64) -> Point2 {
    let side = b - a;
    let length = side.norm();
    let (near, far) = (from_a.min(from_b), from_a.max(from_b));
    let along = ((length - far) * (length + far) + near * near) / (2.0 * length);
    let out = ((near - along) * (near + along)).max(0.0).sqrt();
    let unit = side / length;
    let left = Vector2::new(-unit.y, unit.x);
    if from_a <= from_b {
        a + unit * along + left * out
    } else {
        b - unit * along + left * out
    }
}

/// Pieces of a Belpaire half section.
const UPPER: &[usize] = &[CROWN, SHOULDER];
const CROWN: usize = 0;
const SHOULDER: usize = 1;
const CONVEX_WAIST: &[usize] = &[3];
const CONCAVE_WAIST: &[usize] = &[4];

/// The point of the named arcs that faces `heading`; their nearer end for a heading that they lack.
fn facing(half: &Chain, arcs: &[usize], heading: f64) -> Point2 {
    let pieces = half.segments();
    let share = |i: usize| {
        let before: f64 = pieces[..i].iter().map(Segment::turn).sum();
        (heading - before) / pieces[i].turn()
    };
    let last = arcs[arcs.len() - 1];
    let arc = arcs
        .iter()
        .copied()
        .find(|&i| share(i) <= 1.0)
        .unwrap_or(last);
    pieces[arc].point_at(share(arc).clamp(0.0, 1.0))
}

/// Points of two half sections with parallel tangents, `n` steps to each phase.
///
/// Phases end where either section passes to another arc, so that within each the surface is smooth
/// and the error falls with the square of the step. The flat side needs points at its ends alone.
pub(crate) fn paired(
    front: &Belpaire,
    rear: &Belpaire,
    length: f64,
    n: usize,
) -> (Vec<Point3>, Vec<Point3>) {
    let halves = [front.half(), rear.half()];
    let sorted = |of: &dyn Fn(&Chain) -> f64| {
        let (a, b) = (of(&halves[0]), of(&halves[1]));
        (a.max(b), a.min(b))
    };
    let (crown_first, crown_last) = sorted(&|half| half.segments()[CROWN].turn());
    let (waist_first, waist_last) = sorted(&|half| half.segments()[3].turn() - FRAC_PI_2);
    let phases = [
        (UPPER, 0.0, crown_first),
        (UPPER, crown_first, crown_last),
        (UPPER, crown_last, -FRAC_PI_2),
        (CONVEX_WAIST, -FRAC_PI_2, waist_first),
        (CONVEX_WAIST, waist_first, waist_last),
        (CONCAVE_WAIST, waist_last, waist_first),
        (CONCAVE_WAIST, waist_first, -FRAC_PI_2),
    ];
    let [f, r] = &halves;
    let mut pairs: Vec<(Point2, Point2)> = phases
        .iter()
        .flat_map(|&(arcs, from, to)| {
            (0..=n).map(move |k| (arcs, from + (to - from) * k as f64 / n as f64))
        })
        .map(|(arcs, heading)| (facing(f, arcs, heading), facing(r, arcs, heading)))
        .collect();
    pairs.push((f.end(), r.end()));
    // Where one phase passes to the next on a curve its last ruling is the next one's first.
    pairs.dedup_by(|b, a| (b.0 - a.0).norm() + (b.1 - a.1).norm() < 1e-9);
    pairs
        .iter()
        .map(|(p, q)| (Point3::new(0.0, p.x, p.y), Point3::new(length, q.x, q.y)))
        .unzip()
}
