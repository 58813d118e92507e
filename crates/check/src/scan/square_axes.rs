//! The three square directions that most of a scanned surface faces: an engine is plates along, across and level.

use geom::Vector3;
use geom::math::PI;
use nalgebra::Matrix3;

use super::pose::turn_by;

/// Step of the search (rad): the peaks are about 20° wide.
const STEP: f64 = 6.0 * PI / 180.0;

/// Frames that turn by less than this into one another are one (rad).
const SAME: f64 = 12.0 * PI / 180.0;

/// Frames that are given.
const FRAMES: usize = 3;

/// How well normals face along the axes of a frame, whichever and to whichever side.
fn facing(frame: &Matrix3<f64>, normals: &[Vector3], sharp: i32) -> f64 {
    let along = normals.iter().map(|normal| {
        let own = frame.tr_mul(normal);
        own.amax().powi(sharp)
    });
    along.sum()
}

/// Frames whose axes the normals face best, the best first. Which axis is which is open.
pub(super) fn square_axes(normals: &[Vector3]) -> Vec<Matrix3<f64>> {
    // Any frame is within 63° of one whose axes are permuted; these angles reach all.
    let reach = 8;
    let mut tried: Vec<(f64, Matrix3<f64>)> = Vec::new();
    for a in -reach..=reach {
        let first = turn_by(Vector3::z() * (f64::from(a) * STEP));
        for b in -reach..=reach {
            let second = first * turn_by(Vector3::y() * (f64::from(b) * STEP));
            for c in -reach..=reach {
                let frame = second * turn_by(Vector3::x() * (f64::from(c) * STEP));
                tried.push((facing(&frame, normals, 8), frame));
            }
        }
    }
    tried.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut found: Vec<Matrix3<f64>> = Vec::new();
    for (_, frame) in tried {
        let frame = climbed(frame, normals);
        if found.iter().all(|own| between(own, &frame) > SAME) {
            found.push(frame);
        }
        if found.len() == FRAMES {
            break;
        }
    }
    found
}

/// The best frame near one.
fn climbed(mut frame: Matrix3<f64>, normals: &[Vector3]) -> Matrix3<f64> {
    let mut step = STEP / 2.0;
    for sharp in [8, 8, 16, 32, 64, 64] {
        let mut best = facing(&frame, normals, sharp);
        for axis in [Vector3::x(), Vector3::y(), Vector3::z()] {
            for way in [-step, step] {
                let other = frame * turn_by(axis * way);
                let own = facing(&other, normals, sharp);
                if own > best {
                    best = own;
                    frame = other;
                }
            }
        }
        step /= 2.0;
    }
    frame
}

/// Least turn (rad) between two frames whose axes may be named in any order.
fn between(a: &Matrix3<f64>, b: &Matrix3<f64>) -> f64 {
    let turn = a.transpose() * b;
    let best = quarter_turns()
        .iter()
        .map(|own| (turn * own).trace())
        .fold(f64::NEG_INFINITY, f64::max);
    geom::math::acos(((best - 1.0) / 2.0).clamp(-1.0, 1.0))
}

/// The 24 turns that take the axes into one another.
pub(super) fn quarter_turns() -> Vec<Matrix3<f64>> {
    let mut all = Vec::with_capacity(24);
    for x in 0..3 {
        for y in (0..3).filter(|y| *y != x) {
            for signs in 0..4 {
                let sign = |bit: i32| if signs >> bit & 1 == 1 { -1.0 } else { 1.0 };
                let mut first = Vector3::zeros();
                first[x] = sign(0);
                let mut second = Vector3::zeros();
                second[y] = sign(1);
                all.push(Matrix3::from_columns(&[
                    first,
                    second,
                    first.cross(&second),
                ]));
            }
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_in_any_pose_shows_its_axes() {
        let turn = turn_by(Vector3::new(0.9, -1.7, 0.4));
        let mut normals = Vec::new();
        for (axis, count) in [(Vector3::x(), 40), (Vector3::y(), 100), (Vector3::z(), 160)] {
            normals.extend(std::iter::repeat_n(turn * axis, count));
        }
        let found = square_axes(&normals);
        assert!(
            between(&found[0], &turn) < 0.03,
            "{}",
            between(&found[0], &turn)
        );
        let all = quarter_turns();
        assert_eq!(all.len(), 24);
        for (i, own) in all.iter().enumerate() {
            assert!((own.determinant() - 1.0).abs() < 1e-12);
            assert!(all[..i].iter().all(|other| other != own));
        }
    }
}
