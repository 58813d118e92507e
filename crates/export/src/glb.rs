//! The formed body as binary glTF 2.0.

use crate::glb_motion::{self, Motions, direction_to_scene, to_scene};
use crate::stl::check;
use crate::{ExportError, GlbNode, GlbRide, Material, PartMesh};
use body::Body;
use gltf_json::accessor::{ComponentType, Type};
use gltf_json::buffer::{Stride, Target, View};
use gltf_json::mesh::{Mode, Primitive, Semantic};
use gltf_json::scene::UnitQuaternion;
use gltf_json::validation::{Checked, USize64};
use gltf_json::{Accessor, Asset, Buffer, Index, Mesh as GltfMesh, Node, Root, Scene, Value};
use serde_json::value::to_raw_value;
use std::collections::BTreeMap;

/// Half of a quarter turn about x: z up becomes y up.
const Z_UP_TO_Y_UP: [f32; 4] = [
    -std::f32::consts::FRAC_1_SQRT_2,
    0.0,
    0.0,
    std::f32::consts::FRAC_1_SQRT_2,
];

/// glTF counts in metres.
const MM_TO_M: [f32; 3] = [0.001; 3];

/// Indices from here on need 32 bits; 65535 itself is kept for restarts.
const FIRST_WIDE_INDEX: usize = 65_535;

/// The parts of a body that have a mesh as a GLB.
///
/// `mesh_of` gives the mesh of a plate or fitting by its id. Plates form and parts are drawn apart, as
/// [`glb_of_nodes`] says.
///
/// # Errors
///
/// As [`glb_of_nodes`].
pub fn glb_of<'m>(
    body: &Body,
    mesh_of: impl Fn(&str) -> Option<PartMesh<'m>>,
) -> Result<Vec<u8>, ExportError> {
    glb_of_nodes(&GlbNode::of_body(body, mesh_of)?)
}

/// Parts as a GLB.
///
/// # Shape
///
/// One root node turns and scales body millimetres (z up) into glTF metres (y up); under it one
/// node a sub-assembly, under these one node a part, named by its id. Coordinates stay body
/// millimetres.
///
/// A part with a skin stands beside the root instead, in glTF metres, since a skin's own node moves
/// nothing; under its sub-assembly there is a node with its strips. Played, `form` goes from the flat to
/// the formed plates at a steady rate, and `draw-apart` moves the parts out one after another; while
/// neither plays, everything is formed and in place.
///
/// # Errors
///
/// [`ExportError::NoTriangles`] without parts or for a part without triangles; the other variants
/// for a part that does not hold together.
pub fn glb_of_nodes(nodes: &[GlbNode]) -> Result<Vec<u8>, ExportError> {
    glb_of_rides(nodes, &[])
}

/// As [`glb_of_nodes`], with sub-assemblies that are carried along: played, `run` takes each along its keys;
/// while it does not play they stand at their first.
///
/// # Errors
///
/// As [`glb_of_nodes`].
///
/// # Panics
///
/// If a sub-assembly rides within one that has no part.
pub fn glb_of_rides(nodes: &[GlbNode], rides: &[GlbRide]) -> Result<Vec<u8>, ExportError> {
    if nodes.is_empty() {
        return Err(ExportError::NoTriangles {
            name: "body".to_owned(),
        });
    }
    let mut layout = Layout::of(nodes)?;
    let mut root = Root {
        asset: Asset {
            generator: Some(concat!("Platework ", env!("CARGO_PKG_VERSION")).to_owned()),
            ..Asset::default()
        },
        ..Root::default()
    };
    layout.declare(&mut root);
    let materials = declare_materials(&mut root, nodes);
    let mut groups: Vec<(&str, Vec<Index<Node>>)> = Vec::new();
    let mut top = Vec::new();
    let mut motions = Motions::new(&mut root, layout.bytes.len());
    for (i, node) in nodes.iter().enumerate() {
        let skin = motions.skin(node);
        let mut part = layout.part(motions.root(), i, node, materials[&node.material]);
        if let Some((skin, strips)) = skin {
            skin_part(motions.root(), part, skin);
            top.push(part);
            part = strips;
        }
        motions.leave(part, node);
        match groups.iter_mut().find(|(name, _)| *name == node.assembly) {
            Some((_, children)) => children.push(part),
            None => groups.push((&node.assembly, vec![part])),
        }
    }
    let mut of_group: BTreeMap<&str, Index<Node>> = BTreeMap::new();
    let mut in_body = Vec::new();
    for (name, children) in groups {
        let ride = rides.iter().find(|ride| ride.assembly == name);
        let group = motions.root().push(Node {
            name: Some(name.to_owned()),
            children: Some(children),
            ..Node::default()
        });
        if let Some(ride) = ride {
            motions.ride(group, ride);
        }
        match ride.and_then(|ride| ride.within.as_deref()) {
            Some(within) => {
                let carrier = of_group
                    .get(within)
                    .expect("what carries a sub-assembly is written before it");
                let children = &mut motions.root().nodes[carrier.value()].children;
                children.get_or_insert_default().push(group);
            }
            None => in_body.push(group),
        }
        of_group.insert(name, group);
    }
    layout.bytes.extend(motions.finish());
    let buffer = &mut root.buffers[0];
    buffer.byte_length = USize64::from(layout.bytes.len());
    let body = root.push(Node {
        name: Some("body".to_owned()),
        children: Some(in_body),
        rotation: Some(UnitQuaternion(Z_UP_TO_Y_UP)),
        scale: Some(MM_TO_M),
        ..Node::default()
    });
    let scene = root.push(Scene {
        extensions: None,
        extras: None,
        name: None,
        nodes: std::iter::once(body).chain(top).collect(),
    });
    root.scene = Some(scene);
    let json = root
        .to_vec()
        .expect("strings and finite numbers can be written as JSON");
    container(json, &layout.bytes)
}

/// Gives the mesh of a part its skin.
fn skin_part(root: &mut Root, part: Index<Node>, own: crate::glb_motion::SkinOf) {
    let node = &mut root.nodes[part.value()];
    node.skin = Some(own.skin);
    let mesh = node.mesh.expect("a part has a mesh");
    let primitive = &mut root.meshes[mesh.value()].primitives[0];
    primitive.attributes.extend(own.attributes);
}

/// Header and the two chunks, each filled up to four bytes.
fn container(mut json: Vec<u8>, binary: &[u8]) -> Result<Vec<u8>, ExportError> {
    json.resize(json.len().next_multiple_of(4), b' ');
    let total = 12 + 8 + json.len() + 8 + binary.len();
    let length = |n: usize| {
        u32::try_from(n).map_err(|_| ExportError::TooLarge {
            name: "GLB".to_owned(),
        })
    };
    let mut out = Vec::with_capacity(total);
    out.extend(b"glTF");
    out.extend(2_u32.to_le_bytes());
    out.extend(length(total)?.to_le_bytes());
    out.extend(length(json.len())?.to_le_bytes());
    out.extend(b"JSON");
    out.extend(json);
    out.extend(length(binary.len())?.to_le_bytes());
    out.extend(b"BIN\0");
    out.extend(binary);
    Ok(out)
}

/// The materials in use, in the order of [`Material`].
fn declare_materials(
    root: &mut Root,
    nodes: &[GlbNode],
) -> BTreeMap<Material, Index<gltf_json::Material>> {
    let mut used: Vec<Material> = nodes.iter().map(|node| node.material).collect();
    used.sort();
    used.dedup();
    used.into_iter()
        .map(|material| (material, root.push(material.to_gltf())))
        .collect()
}

/// Where each part lies in the binary chunk.
struct Layout {
    bytes: Vec<u8>,
    /// Number of bytes of positions, as many of normals; indices follow, then colours.
    vertex_bytes: usize,
    /// Number of bytes of indices.
    index_bytes: usize,
    parts: Vec<Part>,
}

struct Part {
    /// Offset of the first vertex in positions and normals.
    vertices: usize,
    /// Offset of the first index in the indices.
    indices: usize,
    /// Offset of the first colour in the colours, if it is coloured.
    colours: Option<usize>,
    wide: bool,
    low: [f32; 3],
    high: [f32; 3],
}

impl Layout {
    fn of(nodes: &[GlbNode]) -> Result<Self, ExportError> {
        let vertex_bytes = nodes.iter().map(|node| 12 * node.positions.len()).sum();
        let index_bytes: usize = nodes.iter().map(|node| 12 * node.triangles.len()).sum();
        let mut layout = Self {
            bytes: Vec::with_capacity(2 * vertex_bytes + index_bytes),
            vertex_bytes,
            index_bytes: 0,
            parts: Vec::with_capacity(nodes.len()),
        };
        for node in nodes {
            check(&node.name, &node.positions, &node.triangles)?;
            if node.normals.len() != node.positions.len() {
                return Err(ExportError::NormalCount {
                    name: node.name.clone(),
                    normals: node.normals.len(),
                    vertices: node.positions.len(),
                });
            }
            layout.positions(node);
        }
        for node in nodes {
            layout.normals(node)?;
        }
        let start = layout.bytes.len();
        for (i, node) in nodes.iter().enumerate() {
            layout.parts[i].indices = layout.bytes.len() - start;
            layout.indices(node, layout.parts[i].wide);
        }
        layout.index_bytes = layout.bytes.len() - start;
        let start = layout.bytes.len();
        for (i, node) in nodes.iter().enumerate() {
            if node.colours.is_empty() {
                continue;
            }
            if node.colours.len() != node.positions.len() {
                return Err(ExportError::ColourCount {
                    name: node.name.clone(),
                    colours: node.colours.len(),
                    vertices: node.positions.len(),
                });
            }
            layout.parts[i].colours = Some(layout.bytes.len() - start);
            layout.bytes.extend(node.colours.iter().flatten());
        }
        Ok(layout)
    }

    fn positions(&mut self, node: &GlbNode) {
        let vertices = self.bytes.len();
        let mut low = [f32::INFINITY; 3];
        let mut high = [f32::NEG_INFINITY; 3];
        for position in &node.positions {
            // Adding zero turns −0 into 0.
            let placed = if node.skin.is_some() {
                to_scene(*position)
            } else {
                *position
            };
            let p = placed.map(|x| x as f32 + 0.0);
            for k in 0..3 {
                low[k] = low[k].min(p[k]);
                high[k] = high[k].max(p[k]);
                self.bytes.extend(p[k].to_le_bytes());
            }
        }
        self.parts.push(Part {
            vertices,
            indices: 0,
            colours: None,
            wide: node.positions.len() > FIRST_WIDE_INDEX,
            low,
            high,
        });
    }

    /// Normals at unit length as near as 32 bits allow.
    fn normals(&mut self, node: &GlbNode) -> Result<(), ExportError> {
        for (index, normal) in node.normals.iter().enumerate() {
            let turned = if node.skin.is_some() {
                direction_to_scene(*normal)
            } else {
                *normal
            };
            let wide = turned.map(f64::from);
            let length = wide.iter().map(|x| x * x).sum::<f64>().sqrt();
            if !(length.is_finite() && length > 1e-6) {
                return Err(ExportError::BadVertex {
                    name: node.name.clone(),
                    index,
                });
            }
            for x in wide {
                self.bytes.extend(((x / length) as f32 + 0.0).to_le_bytes());
            }
        }
        Ok(())
    }

    fn indices(&mut self, node: &GlbNode, wide: bool) {
        for &index in node.triangles.iter().flatten() {
            if wide {
                self.bytes.extend(index.to_le_bytes());
            } else {
                self.bytes.extend((index as u16).to_le_bytes());
            }
        }
        self.bytes.resize(self.bytes.len().next_multiple_of(4), 0);
    }

    fn declare(&self, root: &mut Root) {
        let buffer = root.push(Buffer {
            byte_length: USize64::from(self.bytes.len()),
            name: None,
            uri: None,
            extensions: None,
            extras: None,
        });
        let index_bytes = self.index_bytes;
        let colours_at = 2 * self.vertex_bytes + index_bytes;
        let colour_bytes = self.bytes.len() - colours_at;
        let mut views = vec![
            ("positions", 0, self.vertex_bytes, Target::ArrayBuffer),
            (
                "normals",
                self.vertex_bytes,
                self.vertex_bytes,
                Target::ArrayBuffer,
            ),
            (
                "triangles",
                2 * self.vertex_bytes,
                index_bytes,
                Target::ElementArrayBuffer,
            ),
        ];
        if colour_bytes > 0 {
            views.push(("colours", colours_at, colour_bytes, Target::ArrayBuffer));
        }
        for (name, offset, length, target) in views {
            let stride = if name == "colours" { 4 } else { 12 };
            root.push(View {
                buffer,
                byte_length: USize64::from(length),
                byte_offset: Some(USize64::from(offset)),
                // Several accessors share a view of vertices, so its stride must be said.
                byte_stride: (target == Target::ArrayBuffer).then_some(Stride(stride)),
                name: Some(name.to_owned()),
                target: Some(Checked::Valid(target)),
                extensions: None,
                extras: None,
            });
        }
    }

    fn part(
        &self,
        root: &mut Root,
        i: usize,
        node: &GlbNode,
        material: Index<gltf_json::Material>,
    ) -> Index<Node> {
        let part = &self.parts[i];
        let vertices = node.positions.len();
        let positions = root.push(Accessor {
            min: Some(Value::from(part.low.to_vec())),
            max: Some(Value::from(part.high.to_vec())),
            ..accessor(0, part.vertices, vertices, ComponentType::F32, Type::Vec3)
        });
        let normals = root.push(accessor(
            1,
            part.vertices,
            vertices,
            ComponentType::F32,
            Type::Vec3,
        ));
        let component = if part.wide {
            ComponentType::U32
        } else {
            ComponentType::U16
        };
        let corners = 3 * node.triangles.len();
        let indices = root.push(accessor(2, part.indices, corners, component, Type::Scalar));
        let mut attributes = BTreeMap::from([
            (Checked::Valid(Semantic::Positions), positions),
            (Checked::Valid(Semantic::Normals), normals),
        ]);
        if let Some(offset) = part.colours {
            let colours = root.push(Accessor {
                normalized: true,
                ..accessor(3, offset, vertices, ComponentType::U8, Type::Vec4)
            });
            attributes.insert(Checked::Valid(Semantic::Colors(0)), colours);
        }
        let mesh = root.push(GltfMesh {
            extensions: None,
            extras: None,
            name: Some(node.name.clone()),
            primitives: vec![Primitive {
                attributes,
                extensions: None,
                extras: None,
                indices: Some(indices),
                material: Some(material),
                mode: Checked::Valid(Mode::Triangles),
                targets: None,
            }],
            weights: None,
        });
        root.push(Node {
            name: Some(node.name.clone()),
            mesh: Some(mesh),
            extras: Some(to_raw_value(&node.extras).expect("a JSON value can be written as JSON")),
            ..Node::default()
        })
    }
}

/// Numbers of a view from an offset (bytes) on.
fn accessor(
    view: u32,
    offset: usize,
    count: usize,
    component: ComponentType,
    type_: Type,
) -> Accessor {
    Accessor {
        byte_offset: Some(USize64::from(offset)),
        ..glb_motion::accessor(Index::new(view), count, component, type_)
    }
}
