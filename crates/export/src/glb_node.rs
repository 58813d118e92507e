//! Parts of a GLB: triangles with normals, a name and what is known of them.

use crate::{ExportError, Material};
use body::{Body, Fitting, Plate};
use serde_json::{Value, json};
use solid::Mesh;

/// One part of a GLB.
#[derive(Clone, Debug, PartialEq)]
pub struct GlbNode {
    /// The part's id.
    pub name: String,
    /// The sub-assembly under which it stands.
    pub assembly: String,
    /// What a viewer may show of it; an object.
    pub extras: Value,
    /// Its look.
    pub material: Material,
    /// Vertices (mm, body frame).
    pub positions: Vec<[f64; 3]>,
    /// Outward normals, one a vertex.
    pub normals: Vec<[f32; 3]>,
    /// Corners of triangles, anticlockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
}

impl GlbNode {
    /// A plate with its mesh.
    ///
    /// # Errors
    ///
    /// [`ExportError::NoSuchVertex`] or [`ExportError::NormalCount`] for a mesh that does not hold together.
    pub fn of_plate(plate: &Plate, mesh: &Mesh) -> Result<Self, ExportError> {
        let extras = json!({
            "plate": plate.id,
            "assembly": plate.assembly,
            "kind": "plate",
            "title": plate.title,
            "thickness_mm": crate::millimetres(plate.sheet.stock_thickness),
            "metal": plate.sheet.metal,
        });
        let material = Material::of_sheet(&plate.sheet.metal);
        Self::of_mesh(&plate.id, plate.assembly, extras, material, mesh)
    }

    /// A fitting with its mesh.
    ///
    /// # Errors
    ///
    /// As [`GlbNode::of_plate`].
    pub fn of_fitting(fitting: &Fitting, mesh: &Mesh) -> Result<Self, ExportError> {
        let extras = json!({
            "plate": fitting.id,
            "assembly": fitting.assembly,
            "kind": "fitting",
            "title": title_of(&fitting.id),
        });
        Self::of_mesh(
            &fitting.id,
            fitting.assembly,
            extras,
            fitting.look.into(),
            mesh,
        )
    }

    /// A mesh with a name; a position with several normals becomes several vertices.
    ///
    /// # Errors
    ///
    /// As [`GlbNode::of_plate`].
    pub fn of_mesh(
        name: &str,
        assembly: &str,
        extras: Value,
        material: Material,
        mesh: &Mesh,
    ) -> Result<Self, ExportError> {
        let vertices = mesh.positions.len();
        if mesh.normals.len() != mesh.triangles.len() {
            return Err(ExportError::NormalCount {
                name: name.to_owned(),
                normals: 3 * mesh.normals.len(),
                vertices: 3 * mesh.triangles.len(),
            });
        }
        let mut split = Split::new(vertices);
        let mut triangles = Vec::with_capacity(mesh.triangles.len());
        for (corners, normals) in mesh.triangles.iter().zip(&mesh.normals) {
            if let Some(&index) = corners.iter().find(|&&i| i as usize >= vertices) {
                return Err(ExportError::NoSuchVertex {
                    name: name.to_owned(),
                    index,
                    vertices,
                });
            }
            triangles.push(std::array::from_fn(|k| {
                split.vertex(corners[k], normals[k])
            }));
        }
        Ok(Self {
            name: name.to_owned(),
            assembly: assembly.to_owned(),
            extras,
            material,
            positions: split
                .of
                .iter()
                .map(|&i| mesh.positions[i as usize])
                .collect(),
            normals: split.normals,
            triangles,
        })
    }

    /// All parts of a body that have a mesh, by sub-assembly, plates before fittings.
    ///
    /// # Errors
    ///
    /// As [`GlbNode::of_plate`].
    pub fn of_body<'m>(
        body: &Body,
        mesh_of: impl Fn(&str) -> Option<&'m Mesh>,
    ) -> Result<Vec<Self>, ExportError> {
        let mut nodes = Vec::new();
        for assembly in &body.assemblies {
            for plate in body.plates.iter().filter(|p| p.assembly == assembly.id) {
                if let Some(mesh) = mesh_of(&plate.id) {
                    nodes.push(Self::of_plate(plate, mesh)?);
                }
            }
            for fitting in body.fittings.iter().filter(|f| f.assembly == assembly.id) {
                if let Some(mesh) = mesh_of(&fitting.id) {
                    nodes.push(Self::of_fitting(fitting, mesh)?);
                }
            }
        }
        Ok(nodes)
    }
}

/// A kebab-case id as words: `wheel-driving-left` as `Wheel driving left`.
fn title_of(id: &str) -> String {
    let words = id.replace('-', " ");
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Vertices told apart by position and normal.
struct Split {
    /// For each position its first vertex.
    first: Vec<u32>,
    /// For each vertex the next one at the same position.
    next: Vec<u32>,
    /// For each vertex its position.
    of: Vec<u32>,
    normals: Vec<[f32; 3]>,
}

const NONE: u32 = u32::MAX;

impl Split {
    fn new(positions: usize) -> Self {
        Self {
            first: vec![NONE; positions],
            next: Vec::with_capacity(2 * positions),
            of: Vec::with_capacity(2 * positions),
            normals: Vec::with_capacity(2 * positions),
        }
    }

    /// The vertex at a position with a normal, made if there is none.
    fn vertex(&mut self, position: u32, normal: [f32; 3]) -> u32 {
        let mut at = self.first[position as usize];
        while at != NONE {
            if self.normals[at as usize] == normal {
                return at;
            }
            at = self.next[at as usize];
        }
        let made = self.of.len() as u32;
        self.next.push(self.first[position as usize]);
        self.first[position as usize] = made;
        self.of.push(position);
        self.normals.push(normal);
        made
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_split_by_normal_only() {
        let (up, side) = ([0.0, 0.0, 1.0], [1.0, 0.0, 0.0]);
        let mesh = Mesh {
            positions: vec![[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
            triangles: vec![[0, 1, 2], [2, 1, 0], [0, 1, 3]],
            normals: vec![[up; 3], [up; 3], [side; 3]],
        };
        let node = GlbNode::of_mesh("a", "b", json!({}), Material::Brass, &mesh).unwrap();
        assert_eq!(node.positions.len(), 6);
        assert_eq!(node.triangles[0], [0, 1, 2]);
        assert_eq!(node.triangles[1], [2, 1, 0]);
        for (triangle, corners) in node.triangles.iter().zip(&mesh.triangles) {
            for (vertex, corner) in triangle.iter().zip(corners) {
                assert_eq!(
                    node.positions[*vertex as usize],
                    mesh.positions[*corner as usize]
                );
            }
        }
    }

    #[test]
    fn ids_as_words() {
        assert_eq!(title_of("wheel-driving-left"), "Wheel driving left");
        assert_eq!(title_of(""), "");
    }
}
