//! Solids as binary STL in millimetres.

use crate::{ExportError, millimetres};
use geom::{Point3, Vector3};
use rustc_hash::FxHashMap;
use solid::Mesh;
use std::collections::BTreeMap;
use stl_io::{Normal, Triangle, Vertex};

/// A solid as binary STL (mm), triangles wound as in the mesh.
///
/// `name` is the plate, fitting or block, for errors only: an STL has no names.
///
/// # Accuracy
///
/// Coordinates are 32-bit: within 2e-5 mm at 300 mm from the origin.
///
/// # Shape
///
/// An STL tells corners apart by their coordinates only. Where a rolled plate closes on itself, as
/// a boiler does at its seam, the two walls of the seam lie back to back and no reader could say
/// which belongs to which side; they are left out, so that the tube is closed. Volume is kept.
/// Where metal only touches, as the walls of a folded groove do along their edges, the corners that
/// fall together are drawn back into their own metal by 0.0002 mm.
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
    let mut places = Places::of(positions);
    let mut by_place = places.closed_at_seams(triangles);
    if !is_closed(&by_place) {
        places.part(positions, triangles);
        by_place = places.named(triangles);
    }
    let facets: Vec<Triangle> = by_place
        .into_iter()
        .map(|triangle| facet(triangle.map(|place| places.points[place as usize])))
        .collect();
    let mut bytes = Vec::with_capacity(84 + 50 * facets.len());
    stl_io::write_stl(&mut bytes, facets.iter()).expect("writing to memory cannot fail");
    Ok(bytes)
}

/// How far corners that fall together are drawn back (mm): ten times the rounding of 32 bits at 300 mm.
const DRAWN_BACK_MM: f64 = 2e-4;

/// The places where corners lie, as an STL tells them apart.
struct Places {
    /// Place of each corner.
    of: Vec<u32>,
    /// Coordinates (mm), rounded so that a rounding error does not part what is one place.
    points: Vec<[f64; 3]>,
    /// Places where more than one corner lies.
    shared: Vec<bool>,
}

impl Places {
    fn of(positions: &[[f64; 3]]) -> Self {
        let mut places = Self {
            of: Vec::with_capacity(positions.len()),
            points: Vec::new(),
            shared: Vec::new(),
        };
        // Only asked, never gone through, so that its order is of no matter.
        let mut known: FxHashMap<[u32; 3], u32> = FxHashMap::default();
        known.reserve(positions.len());
        for position in positions {
            let point = position.map(millimetres);
            let key = point.map(|x| (x as f32).to_bits());
            let place = *known.entry(key).or_insert(places.points.len() as u32);
            if place as usize == places.points.len() {
                places.points.push(point);
                places.shared.push(false);
            } else {
                places.shared[place as usize] = true;
            }
            places.of.push(place);
        }
        places
    }

    /// Triangles by place.
    fn named(&self, triangles: &[[u32; 3]]) -> Vec<[u32; 3]> {
        triangles
            .iter()
            .map(|triangle| triangle.map(|corner| self.of[corner as usize]))
            .collect()
    }

    /// Draws corners that share a place back into their own metal, each to a place of its own.
    fn part(&mut self, positions: &[[f64; 3]], triangles: &[[u32; 3]]) {
        let at = |corner: u32| Point3::from(positions[corner as usize]);
        let mut outward: BTreeMap<u32, Vector3> = BTreeMap::new();
        for &[a, b, c] in triangles {
            let normal = (at(b) - at(a)).cross(&(at(c) - at(a)));
            for corner in [a, b, c] {
                if self.shared[self.of[corner as usize] as usize] {
                    *outward.entry(corner).or_insert_with(Vector3::zeros) += normal;
                }
            }
        }
        for (corner, normal) in outward {
            let back = normal.try_normalize(0.0).unwrap_or_else(Vector3::zeros) * DRAWN_BACK_MM;
            let point = at(corner) - back;
            self.of[corner as usize] = self.points.len() as u32;
            self.points
                .push([point.x, point.y, point.z].map(millimetres));
            self.shared.push(false);
        }
    }

    /// Triangles by place, without walls that lie back to back, if what is left is closed.
    ///
    /// Walls are told by their corners: all three lie where another corner of the mesh lies too. Both
    /// walls go together, so that it does not matter how each is cut into triangles.
    fn closed_at_seams(&self, triangles: &[[u32; 3]]) -> Vec<[u32; 3]> {
        let all = self.named(triangles);
        let is_wall =
            |triangle: &[u32; 3]| triangle.iter().all(|&place| self.shared[place as usize]);
        if !all.iter().any(is_wall) {
            return all;
        }
        let open: Vec<[u32; 3]> = all.iter().copied().filter(|t| !is_wall(t)).collect();
        if is_closed(&open) { open } else { all }
    }
}

/// True if every edge is run through once each way.
fn is_closed(triangles: &[[u32; 3]]) -> bool {
    let corners = triangles
        .iter()
        .flatten()
        .max()
        .map_or(0, |&m| m as usize + 1);
    // Where each corner's edges begin among all, and one more for the end.
    let mut starts = vec![0; corners + 1];
    for &corner in triangles.iter().flatten() {
        starts[corner as usize + 1] += 1;
    }
    for corner in 0..corners {
        starts[corner + 1] += starts[corner];
    }
    let mut ends = vec![0; 3 * triangles.len()];
    let mut free = starts.clone();
    for [a, b, c] in triangles {
        for (from, to) in [(a, b), (b, c), (c, a)] {
            let place = &mut free[*from as usize];
            ends[*place] = *to;
            *place += 1;
        }
    }
    for corner in 0..corners {
        let own = &mut ends[starts[corner]..starts[corner + 1]];
        own.sort_unstable();
        if own.windows(2).any(|pair| pair[0] == pair[1]) {
            return false;
        }
    }
    let from = |corner: u32| &ends[starts[corner as usize]..starts[corner as usize + 1]];
    !triangles.is_empty()
        && (0..corners as u32).all(|a| from(a).iter().all(|&b| from(b).binary_search(&a).is_ok()))
}

fn facet(corners: [[f64; 3]; 3]) -> Triangle {
    // The normal of the corners as they are written: a thin triangle's turns with their rounding.
    let corners = corners.map(|corner| corner.map(|x| x as f32));
    let [a, b, c] = corners.map(|corner| Point3::from(corner.map(f64::from)));
    let normal = (b - a)
        .cross(&(c - a))
        .try_normalize(0.0)
        .unwrap_or_else(Vector3::zeros);
    Triangle {
        normal: Normal::new([normal.x as f32, normal.y as f32, normal.z as f32]),
        vertices: corners.map(Vertex::new),
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

    fn volume(mesh: &stl_io::IndexedMesh) -> f64 {
        mesh.faces
            .iter()
            .map(|face| {
                let [a, b, c] = face
                    .vertices
                    .map(|i| Vector3::from(mesh.vertices[i].0.map(f64::from)));
                a.dot(&b.cross(&c)) / 6.0
            })
            .sum()
    }

    /// Six times the volume is 3 · 4 · 5.
    #[test]
    fn reads_back_closed_with_its_volume() {
        let (positions, triangles) = tetrahedron();
        let bytes = stl_of_triangles("block", &positions, &triangles).unwrap();
        assert_eq!(bytes.len(), 84 + 4 * 50);
        let mesh = stl_io::read_stl(&mut std::io::Cursor::new(&bytes)).unwrap();
        mesh.validate().unwrap();
        assert!((volume(&mesh) - 10.0).abs() < 1e-6, "{}", volume(&mesh));
        assert_eq!(mesh.faces[0].normal.0, [0.0, 0.0, -1.0]);
    }

    /// A square ring of four blocks, slit along one of its joints: walls there are cut along
    /// different diagonals, and a rounding error apart.
    fn slit_ring() -> (Vec<[f64; 3]>, Vec<[u32; 3]>) {
        let corners = [
            (1.0, 1.0),
            (-1.0, 1.0),
            (-1.0, -1.0),
            (1.0, -1.0),
            (1.0, 1.0 + 1e-15),
        ];
        let mut positions = Vec::new();
        for (x, y) in corners {
            for (size, z) in [(1.0, 0.0), (2.0, 0.0), (2.0, 1.0), (1.0, 1.0)] {
                positions.push([x * size, y * size, z]);
            }
        }
        // Section corners: 0 inside below, 1 outside below, 2 outside above, 3 inside above.
        let mut triangles = vec![[0, 1, 2], [0, 2, 3], [16, 19, 17], [17, 19, 18]];
        for block in 0..4 {
            for k in 0..4 {
                let (a, b) = (4 * block + k, 4 * block + (k + 1) % 4);
                triangles.extend([[a, a + 4, b], [b, a + 4, b + 4]]);
            }
        }
        (positions, triangles)
    }

    /// A square ring 4 mm wide with a hole of 2 mm, 1 mm high: 12 mm³.
    #[test]
    fn a_ring_closed_by_a_seam_has_no_walls_at_it() {
        let (positions, triangles) = slit_ring();
        assert!(is_closed(&triangles));
        let bytes = stl_of_triangles("ring", &positions, &triangles).unwrap();
        let mesh = stl_io::read_stl(&mut std::io::Cursor::new(&bytes)).unwrap();
        assert_eq!((mesh.faces.len(), mesh.vertices.len()), (32, 16));
        mesh.validate().unwrap();
        let faces: Vec<_> = mesh
            .faces
            .iter()
            .map(|f| f.vertices.map(|i| i as u32))
            .collect();
        assert!(is_closed(&faces));
        assert!((volume(&mesh) - 12.0).abs() < 1e-6, "{}", volume(&mesh));
    }

    /// Two blocks that touch in one wall of unlike size stay as they are.
    #[test]
    fn walls_that_do_not_match_are_kept() {
        let (mut positions, mut triangles) = tetrahedron();
        let [below, above] = [positions[0], positions[3]];
        positions.extend([below, above, [-1.0, 0.0, 0.0], [0.0, -1.0, 0.0]]);
        triangles.extend([[4, 6, 7], [4, 5, 6], [4, 7, 5], [6, 5, 7]]);
        let bytes = stl_of_triangles("pair", &positions, &triangles).unwrap();
        assert_eq!(bytes.len(), 84 + 8 * 50);
    }

    #[test]
    fn what_is_no_solid_is_refused() {
        let (mut positions, triangles) = tetrahedron();
        let name = "block";
        assert!(matches!(
            stl_of_triangles(name, &positions, &[]),
            Err(ExportError::NoTriangles { .. })
        ));
        assert!(matches!(
            stl_of_triangles(name, &positions[..3], &triangles),
            Err(ExportError::NoSuchVertex {
                index: 3,
                vertices: 3,
                ..
            })
        ));
        positions[1][2] = f64::NAN;
        assert!(matches!(
            stl_of_triangles(name, &positions, &triangles),
            Err(ExportError::BadVertex { index: 1, .. })
        ));
    }
}
