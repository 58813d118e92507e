//! Turned fittings whose foot follows what they stand on.

use body::Seated;
use geom::math::{TAU, sin_cos};
use geom::{BodyPoint, Point2, Vector2, Vector3};

use super::options::look_error_within;
use super::surface::{Mesh, unit};
use super::turning::{Side, Turning, profile_sides};

/// Angles at which the foot's run over its seat is tried for how finely it must be cut.
const TRIED: u32 = 8;

/// Halvings of one line of the profile, at most.
const DEEPEST: u32 = 7;

/// Meshes a seated fitting; `None` where part of its foot has no seat.
pub(super) fn seated(fitting: &Seated, chord_error: f64) -> Option<Mesh> {
    let mut sides = Vec::new();
    for side in profile_sides(&fitting.profile, chord_error) {
        let widest = side.ends[0].x.max(side.ends[1].x);
        cut(
            fitting,
            side,
            look_error_within(chord_error, widest),
            0,
            &mut sides,
        )?;
    }
    let turning = Turning::new(sides, chord_error);
    turning.mesh(
        |radius, angle, height| Some(fitting.place(radius, angle, height)?.point),
        |point, angle, normal| {
            let place = fitting.place(point.x, angle, point.y)?;
            let (s, c) = sin_cos(angle);
            // Normals go by the inverse transpose of the shear.
            let up = normal.y / place.stretch;
            Some(unit(Vector3::new(
                c * normal.x - place.slope.x * up,
                s * normal.x - place.slope.y * up,
                up,
            )))
        },
    )
}

/// Halves a line of the profile until its chords keep to the bent surface within `error` (mm).
fn cut(fitting: &Seated, side: Side, error: f64, depth: u32, out: &mut Vec<Side>) -> Option<()> {
    let [a, b] = side.ends;
    let middle = a + (b - a) / 2.0;
    let mut off: f64 = 0.0;
    for k in 0..TRIED {
        let angle = TAU * f64::from(k) / f64::from(TRIED);
        let at = |p: Point2| -> Option<BodyPoint> { Some(fitting.place(p.x, angle, p.y)?.point) };
        let chord = at(a)? + (at(b)? - at(a)?) / 2.0;
        off = off.max((at(middle)? - chord).norm());
    }
    if off <= error || depth == DEEPEST {
        out.push(side);
        return Some(());
    }
    let between: Vector2 = side.normals[0] + side.normals[1];
    let normal = between.try_normalize(0.0).unwrap_or(side.normals[0]);
    for (ends, normals) in [
        ([a, middle], [side.normals[0], normal]),
        ([middle, b], [normal, side.normals[1]]),
    ] {
        cut(fitting, Side { ends, normals }, error, depth + 1, out)?;
    }
    Some(())
}
