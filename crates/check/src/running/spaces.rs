//! Spaces inside the body that can hold ballast: what its plates close in on four sides.

use body::Chassis;
use geom::Point3;
use parry3d_f64::math::{Pose, Vector};
use parry3d_f64::query::{Ray, RayCast as _};
use parry3d_f64::shape::TriMesh;
use solid::Mesh;
use std::collections::BTreeMap;

/// Side of the cubes that space is counted in (mm), as a share of the length of the engine.
const CELLS_ALONG: f64 = 110.0;

/// Spaces smaller than this many cubes are left out.
const FEWEST: usize = 30;

/// How far a wall may be (mm) as a share of the engine's length.
const FAR: f64 = 0.5;

/// The sub-assembly whose inside is kept free: men stand there.
const CREW: &str = "cab";

/// A space inside.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Space {
    /// Named after the sub-assembly that closes most of it.
    pub(super) name: String,
    /// What it holds (mm³).
    pub(super) volume: f64,
    /// Its middle.
    pub(super) middle: Point3,
}

/// Walls of the body that rays are sent at, with the sub-assembly of each.
struct Walls<'a> {
    parts: Vec<(&'a str, TriMesh, [f64; 3], [f64; 3])>,
}

/// The spaces that metal closes in above, below and on both sides, clear of the motor and of the wheels; each
/// sub-assembly's cubes are one space.
pub(super) fn spaces(
    walls: &[(&'static str, Mesh)],
    taken: Option<(Point3, Point3)>,
    chassis: &Chassis,
) -> Vec<Space> {
    let walls_of = Walls::of(walls);
    let Some((low, high)) = walls_of.bounds() else {
        return Vec::new();
    };
    let side = ((high[0] - low[0]) / CELLS_ALONG).max(0.2);
    let counts: [usize; 3] =
        std::array::from_fn(|k| ((high[k] - low[k]) / side).floor().max(1.0) as usize);
    let far = FAR * (high[0] - low[0]);
    let centre = |i: usize, j: usize, k: usize| {
        Point3::new(
            low[0] + (i as f64 + 0.5) * side,
            low[1] + (j as f64 + 0.5) * side,
            low[2] + (k as f64 + 0.5) * side,
        )
    };
    let mut by_name: BTreeMap<&str, (usize, geom::Vector3)> = BTreeMap::new();
    for i in 0..counts[0] {
        for j in 0..counts[1] {
            for k in 0..counts[2] {
                let at = centre(i, j, k);
                if is_taken(at, taken, chassis) {
                    continue;
                }
                if let Some(name) = walls_of.closes(at, far) {
                    let own = by_name.entry(name).or_default();
                    own.0 += 1;
                    own.1 += at.coords;
                }
            }
        }
    }
    by_name
        .into_iter()
        .filter(|(_, (count, _))| *count >= FEWEST)
        .map(|(name, (count, sum))| Space {
            name: name.to_owned(),
            volume: count as f64 * side * side * side,
            middle: Point3::from(sum / count as f64),
        })
        .collect()
}

/// True for a place in the motor, or in the way of wheels and of what lies between them.
fn is_taken(at: Point3, taken: Option<(Point3, Point3)>, chassis: &Chassis) -> bool {
    if let Some((low, high)) = taken
        && (0..3).all(|k| at[k] > low[k] && at[k] < high[k])
    {
        return true;
    }
    let outer = chassis.wheels.back_to_back / 2.0 + chassis.wheels.tyre_width;
    at.y.abs() < outer
        && chassis.axles.iter().any(|axle| {
            let radius = axle.diameter / 2.0 + chassis.wheels.flange_depth;
            let (dx, dz) = (at.x - axle.x, at.z - axle.diameter / 2.0);
            dx * dx + dz * dz < radius * radius
        })
}

impl<'a> Walls<'a> {
    fn of(walls: &'a [(&'static str, Mesh)]) -> Self {
        let parts = walls.iter().filter_map(|(name, mesh)| {
            let vertices = mesh
                .positions
                .iter()
                .map(|p| Vector::new(p[0], p[1], p[2]))
                .collect();
            let shape = TriMesh::new(vertices, mesh.triangles.clone()).ok()?;
            let bound = |k: usize, f: fn(f64, f64) -> f64, start: f64| {
                mesh.positions.iter().map(|p| p[k]).fold(start, f)
            };
            Some((
                *name,
                shape,
                std::array::from_fn(|k| bound(k, f64::min, f64::INFINITY)),
                std::array::from_fn(|k| bound(k, f64::max, f64::NEG_INFINITY)),
            ))
        });
        Self {
            parts: parts.collect(),
        }
    }

    fn bounds(&self) -> Option<([f64; 3], [f64; 3])> {
        let low = std::array::from_fn(|k| {
            let own = self.parts.iter().map(|part| part.2[k]);
            own.fold(f64::INFINITY, f64::min)
        });
        let high = std::array::from_fn(|k| {
            let own = self.parts.iter().map(|part| part.3[k]);
            own.fold(f64::NEG_INFINITY, f64::max)
        });
        (!self.parts.is_empty()).then_some((low, high))
    }

    /// The sub-assembly over a place that metal closes in; `None` for a place that is open to some side.
    fn closes(&self, at: Point3, far: f64) -> Option<&'a str> {
        let over = self.hit(at, 2, 1.0, far)?;
        self.hit(at, 1, 1.0, far)?;
        self.hit(at, 1, -1.0, far)?;
        self.hit(at, 2, -1.0, far)?;
        (over != CREW).then_some(over)
    }

    /// The nearest part along an axis from a place.
    fn hit(&self, at: Point3, axis: usize, sign: f64, far: f64) -> Option<&'a str> {
        let mut along = [0.0; 3];
        along[axis] = sign;
        let ray = Ray::new(
            Vector::new(at.x, at.y, at.z),
            Vector::new(along[0], along[1], along[2]),
        );
        let mut nearest = far;
        let mut found = None;
        for (name, shape, low, high) in &self.parts {
            let beside = (0..3).any(|k| k != axis && (at[k] < low[k] || at[k] > high[k]));
            let behind = if sign > 0.0 {
                at[axis] > high[axis]
            } else {
                at[axis] < low[axis]
            };
            if beside || behind {
                continue;
            }
            if let Some(distance) = shape.cast_ray(&Pose::identity(), &ray, nearest, false) {
                nearest = distance;
                found = Some(*name);
            }
        }
        found
    }
}
