//! A drawn plate laid where it agrees with most of what was meant, so that what is wrong stands out whole.

use crate::datum::ClosedRun;
use artwork::Motion2;
use geom::{FlatPoint, Vector2};
use nalgebra::{Matrix2, Matrix3, Vector3};

/// A place of the drawn plate that ought to lie on the meant one.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tie {
    /// Drawn place, as laid so far.
    pub(crate) drawn: FlatPoint,
    /// Where it should be.
    pub(crate) meant: FlatPoint,
    /// How much it counts.
    pub(crate) weight: f64,
}

/// Rounds of the search; it has settled long before.
const ROUNDS: usize = 25;

/// Below this a difference is rounding, and counts like any other rounding (mm).
const ROUNDING_MM: f64 = 2e-3;

/// The motion after which the sum of distances (not of their squares) of outline and ties is least.
///
/// With squares one side that is drawn wrong would pull the whole plate after it.
pub(crate) fn relay(drawn: &ClosedRun, meant: &ClosedRun, ties: &[Tie]) -> Motion2 {
    let mut whole = identity();
    let step = (drawn.length / 240.0).max(1e-3);
    let samples = drawn.sampled(0.0, drawn.length, step);
    let centre = Vector2::from(
        samples.iter().map(|p| p.coords).sum::<Vector2>() / samples.len().max(1) as f64,
    );
    let lies = |p: FlatPoint| meant.nearest(p).1 < ROUNDING_MM;
    let tied = ties
        .iter()
        .all(|tie| (tie.meant - tie.drawn).norm() < ROUNDING_MM);
    if tied && samples.iter().all(|p| lies(*p)) {
        return whole;
    }
    for _ in 0..ROUNDS {
        let mut sum = Matrix3::zeros();
        let mut right = Vector3::zeros();
        let mut swept = 0.0;
        let mut add = |p: FlatPoint, direction: Vector2, off: f64, weight: f64| {
            let arm = p.coords - centre;
            let row = Vector3::new(
                direction.x,
                direction.y,
                direction.y * arm.x - direction.x * arm.y,
            );
            let weight = weight / off.abs().max(ROUNDING_MM);
            swept += weight * arm.norm_squared();
            sum += row * row.transpose() * weight;
            right += row * (off * weight);
        };
        for &sample in &samples {
            let p = whole.point(sample);
            let (along, _) = meant.nearest(p);
            let (a, b) = (meant.point_at(along - 0.01), meant.point_at(along + 0.01));
            let run = b - a;
            if run.norm() < 1e-9 {
                continue;
            }
            let normal = Vector2::new(run.y, -run.x) / run.norm();
            add(p, normal, (meant.point_at(along) - p).dot(&normal), step);
        }
        for tie in ties {
            let p = whole.point(tie.drawn);
            let off = tie.meant - p;
            add(p, Vector2::x(), off.x, tie.weight);
            add(p, Vector2::y(), off.y, tie.weight);
        }
        let Some(moved) = solved(sum, &right, swept) else {
            break;
        };
        let turn = about(centre, moved.z, Vector2::new(moved.x, moved.y));
        whole = whole.followed_by(&turn);
        if moved.norm() < 1e-7 {
            break;
        }
    }
    whole
}

/// A plate is turned only if turning it about its middle moves its border this much (share of the squares of the
/// distances) square to itself: the rounding of a drawing would turn a disc by anything.
const TURNS: f64 = 1e-3;

/// The motion that the sums ask for; without a turn where nothing tells how far.
fn solved(sum: Matrix3<f64>, right: &Vector3<f64>, swept: f64) -> Option<Vector3<f64>> {
    let stiff = 1e-9 * sum.trace().max(1e-9);
    let shift = (sum.fixed_view::<2, 2>(0, 0) + Matrix2::identity() * stiff).cholesky()?;
    let beside = sum.fixed_view::<2, 1>(0, 2).into_owned();
    // What of the turn is no shift.
    let turn = sum[(2, 2)] - beside.dot(&shift.solve(&beside));
    if turn < TURNS * swept {
        let moved = shift.solve(&right.fixed_rows::<2>(0).into_owned());
        return Some(Vector3::new(moved.x, moved.y, 0.0));
    }
    let own = (sum + Matrix3::identity() * stiff).cholesky()?;
    Some(own.solve(right))
}

pub(crate) fn identity() -> Motion2 {
    Motion2 {
        mirrored: false,
        angle: 0.0,
        shift: Vector2::zeros(),
    }
}

/// A turn about a place, and a displacement.
fn about(centre: Vector2, angle: f64, by: Vector2) -> Motion2 {
    let (s, c) = geom::math::sin_cos(angle);
    let turned = Vector2::new(c * centre.x - s * centre.y, s * centre.x + c * centre.y);
    Motion2 {
        mirrored: false,
        angle,
        shift: centre - turned + by,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::{Outline, Point2};

    #[test]
    fn one_wrong_side_keeps_its_whole_fault_where_the_rest_holds_the_plate() {
        let rectangle = |long: f64| {
            ClosedRun::new(
                Outline::rectangle(Point2::new(0.0, 0.0), Point2::new(long, 20.0))
                    .segments()
                    .to_vec(),
            )
        };
        let tie = |x: f64| Tie {
            drawn: Point2::new(x, 10.0),
            meant: Point2::new(x, 10.0),
            weight: 5.0,
        };
        let motion = relay(&rectangle(50.3), &rectangle(50.0), &[tie(5.0), tie(30.0)]);
        assert!(
            motion.shift.norm() < 2e-3 && motion.angle.abs() < 1e-4,
            "{motion:?}"
        );
    }
}
