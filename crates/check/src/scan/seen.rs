//! Which triangles of a body can be seen from outside.

use super::parts::Part;
use super::surface::to_parry;
use geom::math::{TAU, sin_cos};
use geom::{Point3, Vector3};
use parry3d_f64::partitioning::{Bvh, BvhBuildStrategy};
use parry3d_f64::query::{Ray, RayCast};
use parry3d_f64::shape::Triangle;
use rayon::prelude::*;

/// How far off the metal the line of sight begins (mm).
const OFF_MM: f64 = 1e-3;

/// A triangle of more area is looked at in more places, one for so much (mm²): a wall inside the cab is seen through a
/// window in part.
const LARGE_MM2: f64 = 3.0;

/// Most places of a triangle, along a side.
const MOST_ALONG: usize = 9;

/// A scanner on the bench looks up at nothing from steeper below than this: sine of 6°.
const BELOW: f64 = -0.1;

/// A line of sight meets the face at no less than this: sine of 8°, flatter ones show a scanner nothing.
const FLATTEST: f64 = 0.14;

/// How much of a triangle is seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Seen {
    /// From anywhere.
    pub(super) at_all: bool,
    /// Share of the directions before it that are open from its middle, those from below left out (0 to 1).
    pub(super) open: f64,
}

/// For each triangle of each part how it is seen; all of the running gear is.
pub(super) fn seen_triangles(parts: &[Part<'_>]) -> Vec<Vec<Seen>> {
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
        before: directions().len(),
        ways: directions().into_iter().chain(slanting()).collect(),
    };
    parts
        .iter()
        .map(|part| {
            if part.group.is_none() {
                let all = Seen {
                    at_all: true,
                    open: 1.0,
                };
                return vec![all; part.mesh.triangles.len()];
            }
            let all = part.mesh.triangles.par_iter().with_min_len(64);
            all.map_init(
                || vec![None; sight.ways.len()],
                |last, own| {
                    let at = |corner: u32| Point3::from(part.mesh.positions[corner as usize]);
                    sight.seen(own.map(at), last)
                },
            )
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

/// From round about, a little above the middle: as one looks into a cab.
fn slanting() -> Vec<Vector3> {
    let mut all = Vec::new();
    for k in 0..24 {
        let (s, c) = sin_cos(TAU * (f64::from(k) + 0.5) / 24.0);
        for rise in [0.1, 0.25, 0.5] {
            all.push(Vector3::new(c, s, rise).normalize());
        }
    }
    all
}

struct Sight {
    tree: Bvh,
    triangles: Vec<Triangle>,
    /// Directions of sight: those from a cube's middle first, then those round about.
    ways: Vec<Vector3>,
    before: usize,
}

impl Sight {
    /// How a triangle is seen. `last` has for each way the triangle that stood in it last: it mostly stands in that of the
    /// next one too.
    fn seen(&self, corners: [Point3; 3], last: &mut [Option<u32>]) -> Seen {
        let [a, b, c] = corners;
        let twice = (b - a).cross(&(c - a));
        let Some(normal) = twice.try_normalize(0.0) else {
            return Seen {
                at_all: false,
                open: 0.0,
            };
        };
        let off = normal * OFF_MM;
        let middle = Point3::from((a.coords + b.coords + c.coords) / 3.0) + off;
        let ways: Vec<usize> = (0..self.ways.len())
            .filter(|&way| self.ways[way].dot(&normal) > FLATTEST)
            .collect();
        let mut open = [0_usize; 2];
        let mut at_all = false;
        for &way in ways.iter().take_while(|way| **way < self.before) {
            let is_open = self.is_open(&middle, way, &mut last[way]);
            at_all |= is_open;
            open[1] += 1;
            open[0] += usize::from(is_open && self.ways[way].z > BELOW);
        }
        let open = open[0] as f64 / open[1].max(1) as f64;
        if !at_all {
            // A small triangle has no more to show than its middle.
            let along = (twice.norm() / LARGE_MM2).sqrt() as usize;
            at_all = places(corners, along.min(MOST_ALONG)).iter().any(|place| {
                ways.iter()
                    .any(|&way| self.is_open(&(place + off), way, &mut last[way]))
            });
        }
        Seen { at_all, open }
    }

    /// True if a line from a point meets nothing; `last` is the triangle that it met last time.
    fn is_open(&self, from: &Point3, way: usize, last: &mut Option<u32>) -> bool {
        let way = &self.ways[way];
        let ray = Ray::new(
            to_parry(from),
            parry3d_f64::math::Vector::new(way.x, way.y, way.z),
        );
        // Boxes by their slabs: the ways are few and most of the work is here. Along a slab nothing is divided by nought.
        let steep = |x: f64| if x.abs() < 1e-12 { 1e300 } else { 1.0 / x };
        let inverse = parry3d_f64::math::Vector::new(steep(way.x), steep(way.y), steep(way.z));
        let mut met = self.tree.leaves(|node| {
            let one = (node.mins() - ray.origin) * inverse;
            let other = (node.maxs() - ray.origin) * inverse;
            let (enters, leaves) = (one.min(other), one.max(other));
            let first = enters.x.max(enters.y).max(enters.z).max(0.0);
            leaves.x.min(leaves.y).min(leaves.z) >= first
        });
        let stands = |leaf: u32| {
            let own = &self.triangles[leaf as usize];
            own.cast_local_ray(&ray, f64::MAX, true).is_some()
        };
        if last.is_some_and(stands) {
            return false;
        }
        let found = met.find(|leaf| stands(*leaf));
        *last = found.or(*last);
        found.is_none()
    }
}

/// Places spread over a triangle, so many along each side.
fn places([a, b, c]: [Point3; 3], along: usize) -> Vec<Point3> {
    let mut places = Vec::new();
    for i in 0..along {
        for j in 0..along - i {
            let at = |own: usize| (own as f64 + 1.0 / 3.0) / along as f64;
            places.push(a + (b - a) * at(i) + (c - a) * at(j));
        }
    }
    places
}
