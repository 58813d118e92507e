//! The GLB of the engine, taken apart by hand.

use crate::engine::{body, mesh, part};
use export::{ExportError, GlbNode, Material, glb_of, glb_of_nodes};
use serde_json::{Value, json};

/// JSON and binary chunk of a GLB.
pub(crate) fn chunks(glb: &[u8]) -> (Value, &[u8]) {
    let word = |at: usize| u32::from_le_bytes(glb[at..at + 4].try_into().unwrap()) as usize;
    assert_eq!(&glb[..4], b"glTF");
    assert_eq!(word(4), 2);
    assert_eq!(word(8), glb.len());
    let json = word(12);
    assert_eq!(&glb[16..20], b"JSON");
    let binary = word(20 + json);
    assert_eq!(&glb[24 + json..28 + json], b"BIN\0");
    assert!(json % 4 == 0 && binary % 4 == 0);
    assert_eq!(28 + json + binary, glb.len());
    (
        serde_json::from_slice(&glb[20..20 + json]).unwrap(),
        &glb[28 + json..],
    )
}

pub(crate) fn children(node: &Value) -> Vec<usize> {
    let list = node["children"].as_array().cloned().unwrap_or_default();
    list.iter().map(|i| i.as_u64().unwrap() as usize).collect()
}

/// Start of an accessor's bytes, its count and its component type.
pub(crate) fn accessor(json: &Value, index: &Value) -> (usize, usize, u64) {
    let accessor = &json["accessors"][index.as_u64().unwrap() as usize];
    let view = &json["bufferViews"][accessor["bufferView"].as_u64().unwrap() as usize];
    let offset = |v: &Value| v["byteOffset"].as_u64().unwrap_or(0) as usize;
    let component = accessor["componentType"].as_u64().unwrap();
    (
        offset(view) + offset(accessor),
        accessor["count"].as_u64().unwrap() as usize,
        component,
    )
}

pub(crate) fn floats(binary: &[u8], at: usize, count: usize) -> Vec<f64> {
    let bytes = binary[at..at + 4 * count].chunks_exact(4);
    bytes
        .map(|own| f64::from(f32::from_le_bytes(own.try_into().unwrap())))
        .collect()
}

pub(crate) fn vectors(binary: &[u8], at: usize, count: usize) -> Vec<[f32; 3]> {
    binary[at..at + 12 * count]
        .chunks_exact(12)
        .map(|c| {
            std::array::from_fn(|k| f32::from_le_bytes(c[4 * k..4 * k + 4].try_into().unwrap()))
        })
        .collect()
}

#[test]
fn one_root_then_assemblies_then_parts() {
    let glb = glb_of(body(), part).unwrap();
    let (json, _) = chunks(&glb);
    let nodes = json["nodes"].as_array().unwrap();
    let scene = json["scenes"][0]["nodes"].as_array().unwrap();
    let rolled: Vec<&str> = body()
        .plates
        .iter()
        .filter(|plate| plate.forming.loft().is_some())
        .map(|plate| plate.id.as_str())
        .collect();
    assert_eq!(scene.len(), 1 + rolled.len());
    let root = &nodes[scene[0].as_u64().unwrap() as usize];
    assert_eq!(root["scale"], json!([0.001, 0.001, 0.001]));
    assert_eq!(root["rotation"], json!([-0.70710677, 0.0, 0.0, 0.70710677]));
    let mut parts = Vec::new();
    for group in children(root) {
        let assembly = nodes[group]["name"].as_str().unwrap();
        assert!(body().assemblies.iter().any(|a| a.id == assembly));
        for part in children(&nodes[group]) {
            let mut part = &nodes[part];
            // The mesh of a skin stands beside the root, its strips stand here.
            if let Some(id) = part["extras"]["strips_of"].as_str() {
                assert_eq!(part["name"], format!("{id}/strips"));
                assert!(rolled.contains(&id));
                let mut tops = scene[1..]
                    .iter()
                    .map(|i| &nodes[i.as_u64().unwrap() as usize]);
                part = tops.find(|node| node["name"] == id).unwrap();
                assert!(part["skin"].is_u64());
            }
            assert_eq!(part["extras"]["assembly"], assembly);
            assert_eq!(part["extras"]["plate"], part["name"]);
            parts.push(part["name"].as_str().unwrap());
        }
    }
    parts.sort_unstable();
    let mut want: Vec<&str> = body().plates.iter().map(|p| p.id.as_str()).collect();
    want.extend(body().fittings.iter().map(|f| f.id.as_str()));
    want.sort_unstable();
    assert_eq!(parts, want);
    let plate = &body().plates[0];
    let order = body::Order::of(body());
    let (number, step) = order.step_of(&plate.id).unwrap();
    let node = nodes
        .iter()
        .find(|node| node["name"] == plate.id.as_str())
        .unwrap();
    assert_eq!(
        node["extras"],
        json!({
            "plate": plate.id, "assembly": plate.assembly, "kind": "plate", "title": plate.title,
            "thickness_mm": plate.sheet.stock_thickness, "metal": plate.sheet.metal,
            "step": number + 1, "layer": step.layer
        })
    );
}

/// Triangles in the file are those of the meshes, and the stated bounds are the exact ones.
#[test]
fn parts_keep_their_triangles() {
    let glb = glb_of(body(), part).unwrap();
    let (json, binary) = chunks(&glb);
    for part in json["meshes"].as_array().unwrap() {
        let name = part["name"].as_str().unwrap();
        let solid = mesh(name).unwrap();
        let skinned = part["primitives"][0]["attributes"]["JOINTS_0"].is_u64();
        let rolled = body()
            .plate(name)
            .is_some_and(|own| own.forming.loft().is_some());
        assert_eq!(skinned, rolled, "{name}");
        // A skinned mesh is given in metres with y up.
        let written = |[x, y, z]: [f64; 3]| match skinned {
            true => [x * 1e-3, z * 1e-3, -y * 1e-3],
            false => [x, y, z],
        };
        let primitive = &part["primitives"][0];
        let (at, count, _) = accessor(&json, &primitive["attributes"]["POSITION"]);
        let positions = vectors(binary, at, count);
        let (at, normals, _) = accessor(&json, &primitive["attributes"]["NORMAL"]);
        assert_eq!(normals, count);
        for n in vectors(binary, at, normals) {
            let length = n
                .iter()
                .map(|x| f64::from(*x) * f64::from(*x))
                .sum::<f64>()
                .sqrt();
            assert!(
                (length - 1.0).abs() < 1e-6,
                "{name}: normal of length {length}"
            );
        }
        let bounds =
            &json["accessors"][primitive["attributes"]["POSITION"].as_u64().unwrap() as usize];
        for k in 0..3 {
            let low = positions.iter().map(|p| p[k]).fold(f32::INFINITY, f32::min);
            let high = positions
                .iter()
                .map(|p| p[k])
                .fold(f32::NEG_INFINITY, f32::max);
            assert_eq!(bounds["min"][k].as_f64().unwrap() as f32, low);
            assert_eq!(bounds["max"][k].as_f64().unwrap() as f32, high);
        }
        let (at, corners, component) = accessor(&json, &primitive["indices"]);
        assert_eq!(corners, 3 * solid.triangles.len());
        let size = if component == 5123 { 2 } else { 4 };
        assert_eq!(at % size, 0);
        for (i, corner) in solid.triangles.iter().flatten().enumerate() {
            let from = at + i * size;
            let index = binary[from..from + size]
                .iter()
                .rev()
                .fold(0, |sum, byte| sum * 256 + usize::from(*byte));
            assert_eq!(
                positions[index],
                written(solid.positions[*corner as usize]).map(|x| x as f32)
            );
        }
    }
}

fn triangle(vertices: usize) -> GlbNode {
    GlbNode {
        name: "plate".to_owned(),
        assembly: "boiler".to_owned(),
        extras: json!({}),
        material: Material::Brass,
        positions: (0..vertices)
            .map(|i| [i as f64, (i % 2) as f64, 0.0])
            .collect(),
        normals: vec![[0.0, 0.0, 2.0]; vertices],
        triangles: vec![[0, 1, vertices as u32 - 1]],
        colours: Vec::new(),
        skin: None,
        apart: None,
    }
}

#[test]
fn indices_widen_when_they_must() {
    for (vertices, component) in [(65_535, 5123), (65_536, 5125)] {
        let glb = glb_of_nodes(&[triangle(3), triangle(vertices)]).unwrap();
        let (json, binary) = chunks(&glb);
        let indices = &json["meshes"][1]["primitives"][0]["indices"];
        let (at, count, found) = accessor(&json, indices);
        assert_eq!((found, count), (component, 3));
        let last = match component {
            5123 => usize::from(u16::from_le_bytes(
                binary[at + 4..at + 6].try_into().unwrap(),
            )),
            _ => u32::from_le_bytes(binary[at + 8..at + 12].try_into().unwrap()) as usize,
        };
        assert_eq!(last, vertices - 1);
    }
}

#[test]
fn materials_in_use_are_written_once() {
    let mut other = triangle(3);
    other.material = Material::Steel;
    let glb = glb_of_nodes(&[triangle(3), other, triangle(4)]).unwrap();
    let names: Vec<Value> = chunks(&glb).0["materials"]
        .as_array()
        .unwrap()
        .iter()
        .map(|m| m["name"].clone())
        .collect();
    assert_eq!(names, ["brass", "steel"]);
}

#[test]
fn parts_that_do_not_hold_together_are_refused() {
    let spoiled = |spoil: fn(&mut GlbNode)| {
        let mut node = triangle(3);
        spoil(&mut node);
        glb_of_nodes(&[node]).unwrap_err()
    };
    assert!(matches!(
        glb_of_nodes(&[]),
        Err(ExportError::NoTriangles { .. })
    ));
    assert!(matches!(
        spoiled(|n| n.triangles.clear()),
        ExportError::NoTriangles { .. }
    ));
    assert!(matches!(
        spoiled(|n| n.triangles[0][0] = 3),
        ExportError::NoSuchVertex { index: 3, .. }
    ));
    assert!(matches!(
        spoiled(|n| n.normals[1] = [0.0; 3]),
        ExportError::BadVertex { index: 1, .. }
    ));
    assert!(matches!(
        spoiled(|n| n.positions[2][0] = 1e300),
        ExportError::BadVertex { index: 2, .. }
    ));
    assert!(matches!(
        spoiled(|n| {
            n.normals.pop();
        }),
        ExportError::NormalCount { normals: 2, .. }
    ));
}

#[test]
fn same_body_same_bytes() {
    assert!(glb_of(body(), part).unwrap() == glb_of(body(), part).unwrap());
}

/// Also the boiler, whose seam closes: a reader that knows corners by their coordinates alone finds
/// every edge between two triangles.
#[test]
fn stl_of_every_part_is_closed() {
    for id in body()
        .plates
        .iter()
        .map(|p| &p.id)
        .chain(body().fittings.iter().map(|f| &f.id))
    {
        let solid = mesh(id).unwrap();
        let bytes = export::stl_of(id, solid).unwrap();
        let read = stl_io::read_stl(&mut std::io::Cursor::new(&bytes)).unwrap();
        read.validate().unwrap();
        let mut edges: Vec<(usize, usize)> = read
            .faces
            .iter()
            .flat_map(|f| (0..3).map(|k| (f.vertices[k], f.vertices[(k + 1) % 3])))
            .collect();
        edges.sort_unstable();
        for &(a, b) in &edges {
            assert_eq!(
                edges.partition_point(|e| *e <= (b, a)) - edges.partition_point(|e| *e < (b, a)),
                1,
                "{id}"
            );
        }
    }
}
