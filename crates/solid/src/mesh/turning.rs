//! Solids of revolution.

use geom::math::{TAU, sin, sin_cos};
use geom::{BodyPoint, Outline, Point2, Segment, Vector2, Vector3};

use super::drawing::flatten;
use super::options::{SNAP_MM, look_error_within};
use super::surface::{Mesh, to_f32, unit};

/// Least corners of a circle, so that thin rods still look round.
const FEWEST_SIDES: usize = 12;

/// A line of the flattened profile, with the outward normal of the profile at either end.
pub(super) struct Side {
    pub(super) ends: [Point2; 2],
    pub(super) normals: [Vector2; 2],
}

/// Positions round the axis at one corner of the profile.
#[derive(Clone, Copy)]
enum Ring {
    /// One position on the axis.
    Pole(u32),
    /// The first of the positions round the axis.
    Round(u32),
}

impl Ring {
    fn at(self, step: usize, sides: usize) -> u32 {
        match self {
            Self::Pole(position) => position,
            Self::Round(first) => first + (step % sides) as u32,
        }
    }
}

/// Turns a profile of (distance from the axis, height along it) about an axis.
pub(super) fn turned(foot: BodyPoint, axis: Vector3, profile: &Outline, chord_error: f64) -> Mesh {
    let axis = unit(axis);
    let across = unit(least_axis(axis).cross(&axis));
    let round = axis.cross(&across);
    let spoke = |angle: f64| {
        let (s, c) = sin_cos(angle);
        across * c + round * s
    };
    Turning::new(profile_sides(profile, chord_error), chord_error)
        .mesh(
            |radius, angle, height| Some(foot + axis * height + spoke(angle) * radius),
            |_, angle, normal| Some(spoke(angle) * normal.x + axis * normal.y),
        )
        .expect("every place about an axis is there")
}

/// A profile cut into lines, to be turned in steps about an axis.
///
/// The corners of each ring stand a little outside its circle, so that the polygon has the area of
/// the circle and the solid its volume.
pub(super) struct Turning {
    sides: Vec<Side>,
    steps: usize,
}

impl Turning {
    /// Lines of a closed profile, each beginning where the one before it ends.
    pub(super) fn new(mut sides: Vec<Side>, chord_error: f64) -> Self {
        let widest = sides
            .iter()
            .fold(0.0, |widest: f64, side| widest.max(side.ends[0].x));
        let error = look_error_within(chord_error, widest);
        let circle = Segment::circle(Point2::origin(), widest.max(SNAP_MM));
        let steps = circle.chords_within(error).max(FEWEST_SIDES);
        // A ring whose sides would be shorter than the snap distance is a point.
        let pole = SNAP_MM / (TAU / steps as f64);
        for end in sides.iter_mut().flat_map(|side| &mut side.ends) {
            if end.x < pole {
                end.x = 0.0;
            }
        }
        sides.retain(|side| (side.ends[1] - side.ends[0]).norm() > 0.0);
        Self { sides, steps }
    }

    fn angle(&self, step: usize) -> f64 {
        TAU / self.steps as f64 * (step % self.steps) as f64
    }

    /// The mesh whose corner of a radius, an angle (rad) and a height stands at `place`, shaded at a
    /// corner of the profile, an angle and an outward normal of the profile by `shade`.
    ///
    /// `None` where either says so.
    pub(super) fn mesh(
        &self,
        place: impl Fn(f64, f64, f64) -> Option<BodyPoint>,
        shade: impl Fn(Point2, f64, Vector2) -> Option<Vector3>,
    ) -> Option<Mesh> {
        let step = TAU / self.steps as f64;
        let swell = (step / sin(step)).sqrt();
        let mut mesh = Mesh::default();
        let mut rings = Vec::with_capacity(self.sides.len());
        for side in &self.sides {
            let [r, h] = [side.ends[0].x, side.ends[0].y];
            if r == 0.0 {
                rings.push(Ring::Pole(mesh.push_point(place(0.0, 0.0, h)?)));
            } else {
                rings.push(Ring::Round(mesh.positions.len() as u32));
                for k in 0..self.steps {
                    mesh.push_point(place(r * swell, self.angle(k), h)?);
                }
            }
        }
        for (i, side) in self.sides.iter().enumerate() {
            let ends = [rings[i], rings[(i + 1) % rings.len()]];
            self.add_band(&mut mesh, side, ends, &shade)?;
        }
        Some(mesh)
    }

    /// The band of triangles that one line of the profile sweeps over.
    fn add_band(
        &self,
        mesh: &mut Mesh,
        side: &Side,
        [from, to]: [Ring; 2],
        shade: &impl Fn(Point2, f64, Vector2) -> Option<Vector3>,
    ) -> Option<()> {
        let n = self.steps;
        for k in 0..n {
            let shade = |end: usize, step: usize| {
                let angle = self.angle(step);
                Some(to_f32(shade(side.ends[end], angle, side.normals[end])?))
            };
            let corners = [
                (from.at(k, n), shade(0, k)?),
                (from.at(k + 1, n), shade(0, k + 1)?),
                (to.at(k + 1, n), shade(1, k + 1)?),
                (to.at(k, n), shade(1, k)?),
            ];
            for [a, b, c] in [[0, 1, 2], [0, 2, 3]].map(|t: [usize; 3]| t.map(|i| corners[i])) {
                if a.0 != b.0 && b.0 != c.0 && c.0 != a.0 {
                    mesh.triangles.push([a.0, b.0, c.0]);
                    mesh.normals.push([a.1, b.1, c.1]);
                }
            }
        }
        Some(())
    }
}

/// Lines of a profile; each begins where the one before it ends.
pub(super) fn profile_sides(profile: &Outline, chord_error: f64) -> Vec<Side> {
    let mut sides: Vec<Side> = Vec::new();
    for segment in profile.segments() {
        for ends in flatten(segment, |r| look_error_within(chord_error, r)).windows(2) {
            let normals = [ends[0], ends[1]].map(|point| outward(segment, point));
            let from = sides.last().map_or(ends[0], |side| side.ends[1]);
            if (ends[1] - from).norm() > SNAP_MM {
                sides.push(Side {
                    ends: [from, ends[1]],
                    normals,
                });
            }
        }
    }
    if let (Some(first), Some(last)) = (sides.first().map(|side| side.ends[0]), sides.last_mut()) {
        last.ends[1] = first;
    }
    sides
}

/// Normal to the right of travel: outward for a profile that runs anticlockwise.
fn outward(segment: &Segment, point: Point2) -> Vector2 {
    let normal = match segment {
        Segment::Line { start, end } => Vector2::new(end.y - start.y, start.x - end.x),
        Segment::Arc(arc) => (point - arc.centre) * arc.sweep.signum(),
    };
    normal.try_normalize(0.0).unwrap_or_else(Vector2::zeros)
}

/// The coordinate axis most nearly square to a direction.
fn least_axis(direction: Vector3) -> Vector3 {
    let size = direction.abs();
    if size.x <= size.y && size.x <= size.z {
        Vector3::x()
    } else if size.y <= size.z {
        Vector3::y()
    } else {
        Vector3::z()
    }
}
