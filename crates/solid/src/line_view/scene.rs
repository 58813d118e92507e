//! Meshes as seen: corners on the paper with their depth, facets that hide, and edges that may be drawn.

use super::ViewFrame;
use crate::Mesh;
use geom::{Point2, Vector3};

/// Cosine of the angle between facets from which their edge is drawn: 25°, chosen by eye.
const SHARP: f64 = 0.906;

/// Facets whose normal makes a smaller cosine with the direction of view are seen edge on.
const EDGE_ON: f64 = 1e-6;

/// A point as seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Seen {
    /// On the paper (mm).
    pub(super) at: Point2,
    /// Towards the eye (mm).
    pub(super) depth: f64,
}

impl Seen {
    pub(super) fn between(&self, other: &Self, share: f64) -> Self {
        Self {
            at: self.at + (other.at - self.at) * share,
            depth: self.depth + (other.depth - self.depth) * share,
        }
    }
}

/// A facet that hides what is behind it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Facet {
    pub(super) corners: [Seen; 3],
    /// Cosine between its normal and the direction of view, without sign.
    pub(super) facing: f64,
}

/// What is drawn and what hides it.
#[derive(Clone, Debug, Default)]
pub(super) struct Scene {
    pub(super) facets: Vec<Facet>,
    /// With the number of the solid that each belongs to.
    pub(super) edges: Vec<([Seen; 2], usize)>,
    solids: usize,
    /// Cut faces: closed runs, those of one solid together.
    pub(super) cut: Vec<Vec<Vec<Point2>>>,
}

impl Scene {
    /// Adds a mesh moved by a displacement; of a cut body what is farther than `cut` from the eye (mm).
    pub(super) fn add(&mut self, mesh: &Mesh, by: Vector3, frame: &ViewFrame, cut: Option<f64>) {
        let seen: Vec<Seen> = mesh
            .positions
            .iter()
            .map(|&[x, y, z]| {
                let own = Vector3::new(x, y, z) + by;
                Seen {
                    at: frame.flat(own),
                    depth: frame.depth(own),
                }
            })
            .collect();
        let facing: Vec<Option<Vector3>> = mesh
            .triangles
            .iter()
            .map(|triangle| {
                let [a, b, c] = triangle.map(|i| Vector3::from(mesh.positions[i as usize]));
                (b - a).cross(&(c - a)).try_normalize(1e-18)
            })
            .collect();
        for (triangle, normal) in mesh.triangles.iter().zip(&facing) {
            let Some(normal) = normal else { continue };
            let cosine = normal.dot(&frame.towards);
            // Of a closed solid the side towards the eye hides all; of one cut open, its inside does too.
            if cosine > EDGE_ON || (cut.is_some() && cosine < -EDGE_ON) {
                let corners = triangle.map(|i| seen[i as usize]);
                self.add_facet(corners, cosine.abs(), cut);
            }
        }
        for edge in drawn_edges(mesh, &facing, frame) {
            let ends = edge.map(|i| seen[i as usize]);
            let solid = self.solids;
            self.edges
                .extend(clipped_edge(ends, cut).map(|own| (own, solid)));
        }
        self.solids += 1;
        if let Some(cut) = cut {
            let loops = super::section::cut_loops(mesh, &seen, cut);
            if !loops.is_empty() {
                self.cut.push(loops);
            }
        }
    }

    fn add_facet(&mut self, corners: [Seen; 3], facing: f64, cut: Option<f64>) {
        let Some(cut) = cut else {
            self.facets.push(Facet { corners, facing });
            return;
        };
        let mut kept: Vec<Seen> = Vec::with_capacity(4);
        for i in 0..3 {
            let (a, b) = (corners[i], corners[(i + 1) % 3]);
            if a.depth <= cut {
                kept.push(a);
            }
            if (a.depth <= cut) != (b.depth <= cut) {
                kept.push(a.between(&b, (cut - a.depth) / (b.depth - a.depth)));
            }
        }
        for i in 1..kept.len().saturating_sub(1) {
            self.facets.push(Facet {
                corners: [kept[0], kept[i], kept[i + 1]],
                facing,
            });
        }
    }
}

fn clipped_edge([a, b]: [Seen; 2], cut: Option<f64>) -> Option<[Seen; 2]> {
    let Some(cut) = cut else {
        return Some([a, b]);
    };
    match (a.depth <= cut, b.depth <= cut) {
        (true, true) => Some([a, b]),
        (false, false) => None,
        (is_a, _) => {
            let at = a.between(&b, (cut - a.depth) / (b.depth - a.depth));
            Some(if is_a { [a, at] } else { [at, b] })
        }
    }
}

/// Edges between facets that meet at an angle, and those where a solid turns from the eye; at least one of
/// their facets is seen.
fn drawn_edges(mesh: &Mesh, normals: &[Option<Vector3>], frame: &ViewFrame) -> Vec<[u32; 2]> {
    let mut sides: Vec<(u32, u32, usize)> = Vec::with_capacity(3 * mesh.triangles.len());
    for (number, triangle) in mesh.triangles.iter().enumerate() {
        for i in 0..3 {
            let (a, b) = (triangle[i], triangle[(i + 1) % 3]);
            sides.push((a.min(b), a.max(b), number));
        }
    }
    sides.sort_unstable();
    let mut edges = Vec::new();
    let mut at = 0;
    while at < sides.len() {
        let (a, b, _) = sides[at];
        let count = sides[at..]
            .iter()
            .take_while(|own| (own.0, own.1) == (a, b))
            .count();
        let facets = &sides[at..at + count];
        at += count;
        let faces = |side: &(u32, u32, usize)| {
            normals[side.2].is_some_and(|normal| normal.dot(&frame.towards) > EDGE_ON)
        };
        let is_seen = facets.iter().any(faces);
        let is_drawn = match facets {
            [one, other] => match (normals[one.2], normals[other.2]) {
                (Some(n), Some(m)) => n.dot(&m) < SHARP || faces(one) != faces(other),
                _ => false,
            },
            // An open or forked edge is drawn: the mesh ends or solids touch there.
            _ => true,
        };
        if is_seen && is_drawn {
            edges.push([a, b]);
        }
    }
    edges
}
