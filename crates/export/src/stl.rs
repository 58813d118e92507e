//! Solids as binary STL in millimetres.

use crate::ExportError;
use geom::{Point3, Vector3};
use solid::Mesh;
use stl_io::{Normal, Triangle, Vertex};

/// A solid as binary STL (mm), triangles wound as in the mesh.
///
/// `name` is the plate, fitting or block, for errors only: an STL has no names.
///
/// # Accuracy
///
/// Coordinates are 32-bit: within 2e-5 mm at 300 mm from the origin.
///
/// # Errors
///
/// [`ExportError::NoTriangles`], [`ExportError::NoSuchVertex`] and [`ExportError::BadVertex`] for a
/// mesh that is no solid; [`ExportError::TooLarge`] for more than 2³² triangles.
pub fn stl_of(name: &str, mesh: &Mesh) -> Result<Vec<u8>, ExportError> {
    stl_of_triangles(name, &mesh.positions, &mesh.triangles)
}

/// As [`stl_of`], from bare positions (mm) and triangles.
///
/// # Errors
///
/// As [`stl_of`].
pub fn stl_of_triangles(
    name: &str,
    positions: &[[f64; 3]],
    triangles: &[[u32; 3]],
) -> Result<Vec<u8>, ExportError> {
    check(name, positions, triangles)?;
    let facets: Vec<Triangle> = triangles
        .iter()
        .map(|triangle| facet(triangle.map(|corner| positions[corner as usize])))
        .collect();
    let mut bytes = Vec::with_capacity(84 + 50 * facets.len());
    stl_io::write_stl(&mut bytes, facets.iter()).expect("writing to memory cannot fail");
    Ok(bytes)
}

fn facet(corners: [[f64; 3]; 3]) -> Triangle {
    let [a, b, c] = corners.map(Point3::from);
    let normal = (b - a)
        .cross(&(c - a))
        .try_normalize(0.0)
        .unwrap_or_else(Vector3::zeros);
    Triangle {
        normal: Normal::new([normal.x as f32, normal.y as f32, normal.z as f32]),
        vertices: corners.map(|p| Vertex::new(p.map(|x| x as f32))),
    }
}

/// That a mesh has triangles, that their corners exist, and that every corner is a point.
pub(crate) fn check(
    name: &str,
    positions: &[[f64; 3]],
    triangles: &[[u32; 3]],
) -> Result<(), ExportError> {
    if triangles.is_empty() {
        return Err(ExportError::NoTriangles {
            name: name.to_owned(),
        });
    }
    if u32::try_from(triangles.len()).is_err() || u32::try_from(positions.len()).is_err() {
        return Err(ExportError::TooLarge {
            name: name.to_owned(),
        });
    }
    // A position beyond the reach of 32 bits would be written as infinity.
    let is_point = |p: &[f64; 3]| p.iter().all(|x| (*x as f32).is_finite());
    if let Some(index) = positions.iter().position(|p| !is_point(p)) {
        return Err(ExportError::BadVertex {
            name: name.to_owned(),
            index,
        });
    }
    let beyond = |index: &&u32| **index as usize >= positions.len();
    match triangles.iter().flatten().find(beyond) {
        Some(&index) => Err(ExportError::NoSuchVertex {
            name: name.to_owned(),
            index,
            vertices: positions.len(),
        }),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tetrahedron() -> (Vec<[f64; 3]>, Vec<[u32; 3]>) {
        (
            vec![[0.0; 3], [3.0, 0.0, 0.0], [0.0, 4.0, 0.0], [0.0, 0.0, 5.0]],
            vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]],
        )
    }

    /// Six times the volume is 3 · 4 · 5.
    #[test]
    fn reads_back_closed_with_its_volume() {
        let (positions, triangles) = tetrahedron();
        let bytes = stl_of_triangles("block", &positions, &triangles).unwrap();
        assert_eq!(bytes.len(), 84 + 4 * 50);
        let mesh = stl_io::read_stl(&mut std::io::Cursor::new(&bytes)).unwrap();
        mesh.validate().unwrap();
        let volume: f64 = mesh
            .faces
            .iter()
            .map(|face| {
                let [a, b, c] = face
                    .vertices
                    .map(|i| Vector3::from(mesh.vertices[i].0.map(f64::from)));
                a.dot(&b.cross(&c)) / 6.0
            })
            .sum();
        assert!((volume - 10.0).abs() < 1e-6, "{volume}");
        assert_eq!(mesh.faces[0].normal.0, [0.0, 0.0, -1.0]);
    }

    #[test]
    fn what_is_no_solid_is_refused() {
        let (mut positions, triangles) = tetrahedron();
        let name = "block";
        assert!(matches!(stl_of_triangles(name, &positions, &[]), Err(ExportError::NoTriangles { .. })));
        assert!(matches!(
            stl_of_triangles(name, &positions[..3], &triangles),
            Err(ExportError::NoSuchVertex { index: 3, vertices: 3, .. })
        ));
        positions[1][2] = f64::NAN;
        assert!(matches!(
            stl_of_triangles(name, &positions, &triangles),
            Err(ExportError::BadVertex { index: 1, .. })
        ));
    }
}
