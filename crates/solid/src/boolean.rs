//! Mesh booleans: the one place that knows the library behind them.

use std::collections::{BTreeMap, BTreeSet};

use geom::Point3;
use manifold_rust::manifold::Manifold;
use manifold_rust::types::{Error, MeshGL64, OpType};

use crate::SolidError;
use crate::mesh::{Mesh, shaded};

/// Takes `tools` out of a solid.
///
/// # Shape
///
/// Closed and wound outward like the solid and the tools, which must be so; tools may overlap and
/// may have faces in common with the solid.
///
/// # Errors
///
/// [`SolidError::Subtraction`] if the solid or a tool is not closed, if nothing is left, or if what
/// is left is not closed.
pub fn subtract(solid: &Mesh, tools: &[Mesh]) -> Result<Mesh, SolidError> {
    let mut left = read(solid)?;
    for tool in tools {
        left = left.boolean(&read(tool)?, OpType::Subtract);
    }
    written(&left, "subtraction")
}

/// Joins solids to one mesh; those that do not touch stay apart in it.
///
/// # Errors
///
/// As [`subtract`].
pub fn unite(solids: &[Mesh]) -> Result<Mesh, SolidError> {
    let mut all = solids.iter().map(read).collect::<Result<Vec<_>, _>>()?;
    // By pairs, so that no large mesh is joined to a small one again and again.
    while all.len() > 1 {
        all = all
            .chunks(2)
            .map(|pair| match pair {
                [one, other] => one.boolean(other, OpType::Add),
                rest => rest[0].clone(),
            })
            .collect();
    }
    let none = SolidError::Subtraction { step: "joining" };
    written(all.first().ok_or(none)?, "joining")
}

/// What two solids have in common.
///
/// # Errors
///
/// As [`subtract`]; also if they have nothing in common.
pub fn common(one: &Mesh, other: &Mesh) -> Result<Mesh, SolidError> {
    let both = read(one)?.boolean(&read(other)?, OpType::Intersect);
    written(&both, "intersection")
}

/// Corners nearer than this are one (mm): far less than a printer's step, and ten times the rounding of
/// 32-bit coordinates at 100 mm.
///
/// Cuts that pass within a hair of each other leave such corners, which an STL hardly tells apart.
const APART_MM: f64 = 1e-4;

/// Draws the ends of edges shorter than [`APART_MM`] together where the surface stays a surface: where both ends
/// have no neighbours in common but the two corners beside the edge. The library keeps some of them, because
/// a triangle as thin as the edge is short would turn over.
fn join_near_corners(positions: &[[f64; 3]], triangles: &mut Vec<[u32; 3]>) {
    let at = |corner: u32| Point3::from(positions[corner as usize]);
    let short = |[a, b]: [u32; 2]| (at(b) - at(a)).norm() < APART_MM;
    let edges = triangles
        .iter()
        .flat_map(|&[a, b, c]| [[a, b], [b, c], [c, a]]);
    let near: Vec<[u32; 2]> = edges
        .filter(|edge| edge[0] < edge[1] && short(*edge))
        .collect();
    let mut moved: BTreeMap<u32, u32> = BTreeMap::new();
    for edge in near {
        let [keep, gone] = edge.map(|corner| moved.get(&corner).copied().unwrap_or(corner));
        if keep == gone || !short([keep, gone]) {
            continue;
        }
        let round = |corner: u32| -> BTreeSet<u32> {
            let own = triangles.iter().filter(|own| own.contains(&corner));
            own.flatten()
                .copied()
                .filter(|own| *own != corner)
                .collect()
        };
        if round(keep).intersection(&round(gone)).count() != 2 {
            continue;
        }
        triangles.retain(|own| !(own.contains(&keep) && own.contains(&gone)));
        for corner in triangles.iter_mut().flatten().filter(|own| **own == gone) {
            *corner = keep;
        }
        for own in moved.values_mut().filter(|own| **own == gone) {
            *own = keep;
        }
        moved.insert(gone, keep);
    }
}

fn written(manifold: &Manifold, step: &'static str) -> Result<Mesh, SolidError> {
    if manifold.status() != Error::NoError {
        return Err(SolidError::Subtraction { step });
    }
    let made = manifold.simplify(APART_MM).get_mesh_gl64(-1);
    let stride = made.num_prop as usize;
    let positions: Vec<[f64; 3]> = made
        .vert_properties
        .chunks_exact(stride.max(3))
        .map(|p| [p[0], p[1], p[2]])
        .collect();
    let mut triangles: Vec<[u32; 3]> = made
        .tri_verts
        .chunks_exact(3)
        .map(|t| [t[0] as u32, t[1] as u32, t[2] as u32])
        .collect();
    join_near_corners(&positions, &mut triangles);
    let mesh = shaded(positions, triangles);
    mesh.closedness()
        .map_err(|_| SolidError::Subtraction { step: "result" })?;
    Ok(mesh)
}

fn read(mesh: &Mesh) -> Result<Manifold, SolidError> {
    mesh.closedness()
        .map_err(|_| SolidError::Subtraction { step: "reading" })?;
    let manifold = Manifold::from_mesh_gl64(&MeshGL64 {
        num_prop: 3,
        vert_properties: mesh.positions.iter().flatten().copied().collect(),
        tri_verts: mesh
            .triangles
            .iter()
            .flatten()
            .map(|&corner| u64::from(corner))
            .collect(),
        ..MeshGL64::default()
    });
    // Input that is not a manifold comes back empty and without a panic.
    if manifold.status() != Error::NoError || manifold.is_empty() {
        return Err(SolidError::Subtraction { step: "reading" });
    }
    Ok(manifold)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A pyramid whose top is a short edge.
    fn split_top(apart: f64) -> (Vec<[f64; 3]>, Vec<[u32; 3]>) {
        let positions = vec![
            [0.0, 0.0, 0.0],
            [1.0, 0.0, 0.0],
            [1.0, 1.0, 0.0],
            [0.0, 1.0, 0.0],
            [0.5, 0.5, 1.0],
            [0.5 + apart, 0.5, 1.0],
        ];
        let triangles = vec![
            [0, 2, 1],
            [0, 3, 2],
            [0, 1, 4],
            [1, 5, 4],
            [1, 2, 5],
            [2, 3, 5],
            [3, 4, 5],
            [3, 0, 4],
        ];
        (positions, triangles)
    }

    #[test]
    fn corners_a_hair_apart_become_one_and_the_solid_stays_closed() {
        let (positions, mut triangles) = split_top(1e-5);
        join_near_corners(&positions, &mut triangles);
        assert_eq!(triangles.len(), 6);
        let mesh = shaded(positions, triangles);
        assert_eq!(mesh.closedness(), Ok(()));
        assert!((mesh.volume() - 1.0 / 3.0).abs() < 1e-5);
        let (positions, mut triangles) = split_top(1e-3);
        join_near_corners(&positions, &mut triangles);
        assert_eq!(triangles.len(), 8);
    }
}
