//! The outside of a body as a scanner sees it, and the search for its nearest place.

use super::parts::{Group, Part, box_round, parts_of};
use super::seen::Seen;
use super::seen::seen_triangles;
use body::Body;
use geom::{Point3, Vector3};
use parry3d_f64::bounding_volume::Aabb;
use parry3d_f64::math::Vector;
use parry3d_f64::partitioning::{Bvh, BvhBuildStrategy};
use parry3d_f64::query::PointQuery;
use parry3d_f64::shape::Triangle;
use rayon::prelude::*;
use solid::{PlateFace, SolidError};

/// A normal of the scan and one of the body that meet at more than this are not of the same face: cosine of 75°.
const SAME_FACE: f64 = 0.26;

/// A triangle of the surface.
#[derive(Clone, Copy, Debug)]
pub(super) struct Facet {
    /// Number of the part.
    pub(super) part: u32,
    /// Number of the triangle in the part's mesh.
    pub(super) triangle: u32,
    /// Unit vector out of the metal.
    pub(super) normal: Vector3,
    /// Whether the other side of the sheet is seen more openly.
    pub(super) is_back: bool,
}

/// Which facets a point may belong to.
#[derive(Clone, Copy, Debug)]
pub(super) enum Faces<'n> {
    /// All.
    All,
    /// Those on the side of the sheet that is seen more openly, where nothing tells the sides apart.
    Fronts,
    /// Those that look the same way as a normal.
    Like(&'n Vector3),
}

impl Faces<'_> {
    fn take(self, facet: &Facet) -> bool {
        match self {
            Self::All => true,
            Self::Fronts => !facet.is_back,
            Self::Like(normal) => normal.dot(&facet.normal) >= SAME_FACE,
        }
    }
}

/// Faces like a normal, or all where there is none.
pub(super) fn faces(normal: Option<&Vector3>) -> Faces<'_> {
    normal.map_or(Faces::All, Faces::Like)
}

/// The nearest place of the surface.
#[derive(Clone, Copy, Debug)]
pub(super) struct Near {
    /// Number of the facet.
    pub(super) facet: u32,
    /// The place on it.
    pub(super) point: Point3,
    /// Square of its distance (mm²).
    pub(super) square: f64,
}

/// Triangles among which the nearest is looked for.
pub(super) struct Searched {
    triangles: Vec<Triangle>,
    numbers: Vec<u32>,
    tree: Bvh,
}

/// The outside of a body: what of its parts can be seen, and its running gear.
pub struct BodySurface<'b> {
    pub(super) parts: Vec<Part<'b>>,
    pub(super) groups: Vec<Group>,
    pub(super) facets: Vec<Facet>,
    pub(super) whole: Searched,
    /// For each group its own facets.
    pub(super) of_group: Vec<Searched>,
    /// The running gear's.
    gear: Searched,
    pub(super) low: Point3,
    pub(super) high: Point3,
}

impl std::fmt::Debug for BodySurface<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let facets = self.facets.len();
        write!(f, "BodySurface {{ facets: {facets} }}")
    }
}

pub(super) fn to_parry(p: &Point3) -> Vector {
    Vector::new(p.x, p.y, p.z)
}

pub(super) fn from_parry(v: Vector) -> Point3 {
    Point3::new(v.x, v.y, v.z)
}

impl<'b> BodySurface<'b> {
    /// The outside of a body.
    ///
    /// A triangle is seen if from its middle a straight line goes out into the open in one of 26 directions without
    /// meeting the body, or from one of many places on a large one in one of 98. The running gear is taken to be seen and hides nothing: a scan may
    /// be without it.
    ///
    /// # Errors
    ///
    /// [`SolidError`] for a part that has no mesh.
    pub fn of(body: &'b Body) -> Result<Self, SolidError> {
        let (parts, groups) = parts_of(body)?;
        let seen = seen_triangles(&parts);
        let mut facets = Vec::new();
        let mut triangles = Vec::new();
        for (i, (part, seen)) in parts.iter().zip(&seen).enumerate() {
            let back = back_of(part, seen);
            for (k, own) in part.mesh.triangles.iter().enumerate() {
                let [a, b, c] =
                    own.map(|corner| Point3::from(part.mesh.positions[corner as usize]));
                let normal = (b - a).cross(&(c - a)).try_normalize(0.0);
                let (Some(normal), true) = (normal, seen[k].at_all) else {
                    continue;
                };
                facets.push(Facet {
                    part: i as u32,
                    triangle: k as u32,
                    normal,
                    is_back: back.is_some_and(|back| side_of(part, k) == Some(back)),
                });
                triangles.push(Triangle::new(to_parry(&a), to_parry(&b), to_parry(&c)));
            }
        }
        let body = parts.iter().filter(|part| part.group.is_some());
        let (low, high) = box_round(body.flat_map(Part::bounds));
        let of = |group: Option<usize>| {
            let own = |i: &u32| {
                let part = facets[*i as usize].part;
                parts[part as usize].group == group
            };
            let numbers: Vec<u32> = (0..facets.len() as u32).filter(own).collect();
            let triangles = numbers.iter().map(|&i| triangles[i as usize]).collect();
            Searched::of(triangles, numbers)
        };
        let groups_too = (0..groups.len()).into_par_iter();
        let of_group = groups_too.map(|group| of(Some(group))).collect();
        let gear = of(None);
        let numbers = (0..facets.len() as u32).collect();
        Ok(Self {
            whole: Searched::of(triangles, numbers),
            of_group,
            gear,
            parts,
            groups,
            facets,
            low,
            high,
        })
    }

    /// Length of the diagonal of the box round it, running gear left out (mm).
    pub(super) fn size(&self) -> f64 {
        (self.high - self.low).norm()
    }

    pub(super) fn middle(&self) -> Point3 {
        self.low + (self.high - self.low) / 2.0
    }

    /// The nearest place of the whole surface within a reach (mm).
    pub(super) fn nearest(&self, point: &Point3, faces: Faces<'_>, reach: f64) -> Option<Near> {
        self.whole.nearest(&self.facets, point, faces, reach)
    }

    /// True if the running gear lies within a reach of a point (mm), and nothing nearer.
    pub(super) fn is_at_gear(&self, point: &Point3, faces: Faces<'_>, reach: f64) -> bool {
        let gear = self.gear.nearest(&self.facets, point, faces, reach);
        // Most points are far from it, and need not be held against everything.
        gear.is_some()
            && self.nearest(point, faces, reach).is_some_and(|own| {
                let part = self.part_of(&own);
                self.parts[part].group.is_none()
            })
    }

    pub(super) fn part_of(&self, near: &Near) -> usize {
        self.facets[near.facet as usize].part as usize
    }
}

impl Searched {
    pub(super) fn of(triangles: Vec<Triangle>, numbers: Vec<u32>) -> Self {
        let boxes: Vec<Aabb> = triangles.iter().map(Triangle::local_aabb).collect();
        Self {
            tree: Bvh::from_leaves(BvhBuildStrategy::Binned, &boxes),
            triangles,
            numbers,
        }
    }

    /// Those of the facets that are taken, by their numbers.
    pub(super) fn only(&self, is_taken: impl Fn(u32) -> bool) -> Self {
        let own = self.numbers.iter().zip(&self.triangles);
        let (numbers, triangles) = own.filter(|own| is_taken(*own.0)).unzip();
        Self::of(triangles, numbers)
    }

    /// Those of the facets that are taken and reach into a box, all that anything within it can be nearest to.
    pub(super) fn within(
        &self,
        (low, high): (Point3, Point3),
        is_taken: impl Fn(u32) -> bool,
    ) -> Self {
        let room = Aabb::new(to_parry(&low), to_parry(&high));
        let leaves = self.tree.intersect_aabb(&room);
        let mut leaves: Vec<u32> = leaves
            .filter(|leaf| is_taken(self.numbers[*leaf as usize]))
            .collect();
        // The tree gives them as it likes, and of two that are as near the first is found.
        leaves.sort_unstable();
        let own = leaves.iter().map(|&leaf| {
            let leaf = leaf as usize;
            (self.numbers[leaf], self.triangles[leaf])
        });
        let (numbers, triangles) = own.unzip();
        Self::of(triangles, numbers)
    }

    /// Corners of a facet, by its place among those searched.
    pub(super) fn corners(&self, i: usize) -> [Point3; 3] {
        let own = &self.triangles[i];
        [own.a, own.b, own.c].map(from_parry)
    }

    pub(super) fn nearest(
        &self,
        facets: &[Facet],
        point: &Point3,
        faces: Faces<'_>,
        reach: f64,
    ) -> Option<Near> {
        let at = to_parry(point);
        let found = self.tree.find_best(
            reach * reach,
            |node, _| {
                let off = (node.mins() - at).max(at - node.maxs()).max(Vector::ZERO);
                off.length_squared()
            },
            |leaf, _| {
                let own = &facets[self.numbers[leaf as usize] as usize];
                if !faces.take(own) {
                    return None;
                }
                let place = self.triangles[leaf as usize]
                    .project_local_point(at, true)
                    .point;
                Some(((place - at).length_squared(), place))
            },
        );
        found.map(|(leaf, (square, place))| Near {
            facet: self.numbers[leaf as usize],
            point: from_parry(place),
            square,
        })
    }

    /// The nearest place among triangles that are no facets of a body.
    pub(super) fn nearest_of_all(&self, point: &Point3) -> Option<(usize, Point3)> {
        let at = to_parry(point);
        let found = self.tree.find_best(
            f64::MAX,
            |node, _| {
                let off = (node.mins() - at).max(at - node.maxs()).max(Vector::ZERO);
                off.length_squared()
            },
            |leaf, _| {
                let place = self.triangles[leaf as usize]
                    .project_local_point(at, true)
                    .point;
                Some(((place - at).length_squared(), place))
            },
        );
        found.map(|(leaf, (_, place))| (leaf as usize, from_parry(place)))
    }
}

/// Whether a triangle of a plate is of the outside or inside of its sheet.
fn side_of(part: &Part<'_>, triangle: usize) -> Option<bool> {
    match part.faces.get(triangle)? {
        PlateFace::Outside { .. } | PlateFace::Rivet { .. } => Some(true),
        PlateFace::Inside { .. } => Some(false),
        PlateFace::Edge => None,
    }
}

/// The side of a plate that is seen less openly, if one is.
fn back_of(part: &Part<'_>, seen: &[Seen]) -> Option<bool> {
    let mut open = [0.0; 2];
    for (k, own) in part.mesh.triangles.iter().enumerate() {
        let [a, b, c] = own.map(|corner| Point3::from(part.mesh.positions[corner as usize]));
        if let Some(side) = side_of(part, k) {
            open[usize::from(side)] += (b - a).cross(&(c - a)).norm() * seen[k].open;
        }
    }
    let [inside, outside] = open;
    match (inside < outside, outside < inside) {
        (true, _) => Some(false),
        (_, true) => Some(true),
        _ => None,
    }
}
