//! Normals for shading a mesh whose surface is known by its triangles only.

use geom::Vector3;

use super::surface::{Mesh, to_f32, unit};

/// Facets that meet at less than this angle are shaded as one curved surface: 30°, given as its
/// cosine √3/2. Chosen, not sourced: arcs are cut finer, and corners are sharper.
const SMOOTH: f64 = 0.866_025_403_784_438_6;

/// A mesh of given triangles with shading normals: round where facets meet at a small angle.
pub(crate) fn shaded(positions: Vec<[f64; 3]>, triangles: Vec<[u32; 3]>) -> Mesh {
    let mut mesh = Mesh {
        positions,
        triangles,
        normals: Vec::new(),
    };
    // Twice the area along the normal: large facets count for more.
    let facets: Vec<Vector3> = mesh
        .triangles
        .iter()
        .map(|t| {
            let [a, b, c] = t.map(|corner| mesh.point(corner));
            (b - a).cross(&(c - a))
        })
        .collect();
    let mut starts = vec![0usize; mesh.positions.len() + 1];
    for &corner in mesh.triangles.iter().flatten() {
        starts[corner as usize + 1] += 1;
    }
    for i in 1..starts.len() {
        starts[i] += starts[i - 1];
    }
    let mut free = starts.clone();
    let mut round = vec![0usize; 3 * mesh.triangles.len()];
    for (i, triangle) in mesh.triangles.iter().enumerate() {
        for &corner in triangle {
            round[free[corner as usize]] = i;
            free[corner as usize] += 1;
        }
    }
    let units: Vec<Vector3> = facets.iter().map(|facet| unit(*facet)).collect();
    mesh.normals = mesh
        .triangles
        .iter()
        .enumerate()
        .map(|(i, triangle)| {
            triangle.map(|corner| {
                let about = &round[starts[corner as usize]..starts[corner as usize + 1]];
                let sum: Vector3 = about
                    .iter()
                    .filter(|&&other| units[other].dot(&units[i]) > SMOOTH)
                    .map(|&other| facets[other])
                    .sum();
                to_f32(unit(sum))
            })
        })
        .collect();
    mesh
}
