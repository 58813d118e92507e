//! Parts of a GLB: triangles with normals, a name and what is known of them.

use crate::{ExportError, Material};
use body::{Body, Fitting, Order, Plate};
use serde_json::{Value, json};
use solid::{Apart, Mesh, PlateMesh, Strip};

/// Mesh of a part.
#[derive(Clone, Copy, Debug)]
pub enum PartMesh<'m> {
    /// A plate, which is formed from its flat.
    Plate(&'m PlateMesh),
    /// A solid as it stands.
    Solid(&'m Mesh),
}

/// Strips of a part that stay rigid while it is formed.
#[derive(Clone, Debug, PartialEq)]
pub struct GlbSkin {
    /// The strips, 256 or fewer.
    pub strips: Vec<Strip>,
    /// Number of the strip that each vertex moves with.
    pub of_vertex: Vec<u8>,
}

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
    /// Colours, one a vertex, or none: red, green, blue and cover, linear, 255 for whole.
    pub colours: Vec<[u8; 4]>,
    /// Corners of triangles, anticlockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
    /// How it is formed, for a rolled plate.
    pub skin: Option<GlbSkin>,
    /// Where it goes when the body is drawn apart.
    pub apart: Option<Apart>,
}

impl GlbNode {
    /// A plate with its mesh.
    ///
    /// # Errors
    ///
    /// [`ExportError::NoSuchVertex`] or [`ExportError::NormalCount`] for a mesh that does not hold together.
    pub fn of_plate(plate: &Plate, mesh: &Mesh) -> Result<Self, ExportError> {
        Ok(Self::split_plate(plate, mesh)?.0)
    }

    /// A plate, and the position of the mesh that each vertex stands at.
    fn split_plate(plate: &Plate, mesh: &Mesh) -> Result<(Self, Vec<u32>), ExportError> {
        let extras = json!({
            "plate": plate.id,
            "assembly": plate.assembly,
            "kind": "plate",
            "title": plate.title,
            "thickness_mm": crate::millimetres(plate.sheet.stock_thickness),
            "metal": plate.sheet.metal,
        });
        let material = Material::of_sheet(&plate.sheet.metal);
        Self::split(&plate.id, plate.assembly, extras, material, mesh)
    }

    /// A plate with its mesh, and its skin if it is rolled.
    ///
    /// # Errors
    ///
    /// As [`GlbNode::of_plate`].
    pub fn of_forming(plate: &Plate, mesh: &PlateMesh) -> Result<Self, ExportError> {
        let (mut node, position_of) = Self::split_plate(plate, &mesh.mesh)?;
        if let Some(strips) = mesh.strips(plate) {
            let of_vertex = position_of
                .iter()
                .map(|&position| u8::try_from(strips.of_position[position as usize]));
            // A plate of more strips than a byte counts does not move.
            if let Ok(of_vertex) = of_vertex.collect() {
                node.skin = Some(GlbSkin {
                    strips: strips.strips,
                    of_vertex,
                });
            }
        }
        Ok(node)
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
        Ok(Self::split(name, assembly, extras, material, mesh)?.0)
    }

    fn split(
        name: &str,
        assembly: &str,
        extras: Value,
        material: Material,
        mesh: &Mesh,
    ) -> Result<(Self, Vec<u32>), ExportError> {
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
        let node = Self {
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
            colours: Vec::new(),
            triangles,
            skin: None,
            apart: None,
        };
        Ok((node, split.of))
    }

    /// All parts of a body that have a mesh, by sub-assembly, plates before fittings; rolled plates with
    /// their skins, and each part with its step and where it goes when the body is drawn apart.
    ///
    /// # Errors
    ///
    /// As [`GlbNode::of_plate`].
    pub fn of_body<'m>(
        body: &Body,
        mesh_of: impl Fn(&str) -> Option<PartMesh<'m>>,
    ) -> Result<Vec<Self>, ExportError> {
        let order = Order::of(body);
        let apart = solid::draw_apart(body, &order);
        let mut nodes = Vec::new();
        for assembly in &body.assemblies {
            for plate in body.plates.iter().filter(|p| p.assembly == assembly.id) {
                let mut node = match mesh_of(&plate.id) {
                    Some(PartMesh::Plate(mesh)) => Self::of_forming(plate, mesh)?,
                    Some(PartMesh::Solid(mesh)) => Self::of_plate(plate, mesh)?,
                    None => continue,
                };
                if let Some((number, step)) = order.step_of(&plate.id) {
                    node.extras["step"] = json!(number + 1);
                    node.extras["layer"] = json!(step.layer);
                }
                nodes.push(node);
            }
            for fitting in body.fittings.iter().filter(|f| f.assembly == assembly.id) {
                match mesh_of(&fitting.id) {
                    Some(PartMesh::Plate(PlateMesh { mesh, .. }) | PartMesh::Solid(mesh)) => {
                        nodes.push(Self::of_fitting(fitting, mesh)?);
                    }
                    None => {}
                }
            }
        }
        for node in &mut nodes {
            node.apart = apart.iter().find(|own| own.id == node.name).cloned();
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
