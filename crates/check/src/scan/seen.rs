//! Which triangles of a body can be seen from outside.

use super::parts::Part;
use super::surface::to_parry;
use geom::{Point3, Vector3};
use parry3d_f64::partitioning::{Bvh, BvhBuildStrategy};
use parry3d_f64::query::{Ray, RayCast};
use parry3d_f64::shape::Triangle;
use rayon::prelude::*;

/// How far off the metal the line of sight begins (mm).
const OFF_MM: f64 = 1e-3;

/// A triangle of more area is looked at near its corners too (mm²).
const LARGE_MM2: f64 = 1.0;

/// A line of sight meets the face at no less than this: sine of 8°, flatter ones show a scanner nothing.
const FLATTEST: f64 = 0.14;

/// For each triangle of each part whether it is seen; all of the running gear is.
pub(super) fn seen_triangles(parts: &[Part<'_>]) -> Vec<Vec<bool>> {
    let body = parts.iter().filter(|part| part.group.is_some());
    let triangles: Vec<Triangle> = body
        .flat_map(|part| {
            part.mesh.triangles.iter().map(|own| {
                let at = |k: usize| Point3::from(part.mesh.positions[own[k] as usize]);
                Triangle::new(to_parry(&at(0)), to_parry(&at(1)), to_parry(&at(2)))
            })
        })
        .collect();
    let boxes: Vec<_> = triangles.iter().map(Triangle::local_aabb).collect();
    let tree = Bvh::from_leaves(BvhBuildStrategy::Binned, &boxes);
    let sight = Sight {
        tree,
        triangles,
        directions: directions(),
    };
    parts
        .iter()
        .map(|part| {
            if part.group.is_none() {
                return vec![true; part.mesh.triangles.len()];
            }
            let all = part.mesh.triangles.par_iter();
            all.map(|own| {
                sight.sees(own.map(|corner| Point3::from(part.mesh.positions[corner as usize])))
            })
            .collect()
        })
        .collect()
}

/// From the middle of a cube to its faces, edges and corners.
fn directions() -> Vec<Vector3> {
    let steps = [-1.0, 0.0, 1.0];
    let mut all = Vec::new();
    for x in steps {
        for y in steps {
            for z in steps {
                all.extend(Vector3::new(x, y, z).try_normalize(0.5));
            }
        }
    }
    all
}

struct Sight {
    tree: Bvh,
    triangles: Vec<Triangle>,
    directions: Vec<Vector3>,
}

impl Sight {
    fn sees(&self, corners: [Point3; 3]) -> bool {
        let [a, b, c] = corners;
        let twice = (b - a).cross(&(c - a));
        let Some(normal) = twice.try_normalize(0.0) else {
            return false;
        };
        let middle = Point3::from((a.coords + b.coords + c.coords) / 3.0);
        let mut places = vec![middle];
        if twice.norm() / 2.0 > LARGE_MM2 {
            places.extend(corners.map(|corner| middle + (corner - middle) * 0.8));
        }
        // The straight way out first: most that is seen at all is seen so.
        let mut ways: Vec<(f64, &Vector3)> = self
            .directions
            .iter()
            .map(|way| (way.dot(&normal), way))
            .filter(|(sine, _)| *sine > FLATTEST)
            .collect();
        ways.sort_by(|a, b| b.0.total_cmp(&a.0));
        ways.iter().any(|(_, way)| {
            places
                .iter()
                .any(|place| self.is_open(&(place + normal * OFF_MM), way))
        })
    }

    /// True if a line from a point meets nothing.
    fn is_open(&self, from: &Point3, way: &Vector3) -> bool {
        let ray = Ray::new(
            to_parry(from),
            parry3d_f64::math::Vector::new(way.x, way.y, way.z),
        );
        let mut met = self
            .tree
            .leaves(|node| node.cast_ray(&ray, f64::MAX) < f64::MAX);
        !met.any(|leaf| {
            self.triangles[leaf as usize]
                .cast_local_ray(&ray, f64::MAX, true)
                .is_some()
        })
    }
}
