//! Mesh booleans: the one place that knows the library behind them.

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

fn written(manifold: &Manifold, step: &'static str) -> Result<Mesh, SolidError> {
    if manifold.status() != Error::NoError {
        return Err(SolidError::Subtraction { step });
    }
    let made = manifold.get_mesh_gl64(-1);
    let stride = made.num_prop as usize;
    let positions = made
        .vert_properties
        .chunks_exact(stride.max(3))
        .map(|p| [p[0], p[1], p[2]])
        .collect();
    let triangles = made
        .tri_verts
        .chunks_exact(3)
        .map(|t| [t[0] as u32, t[1] as u32, t[2] as u32])
        .collect();
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
