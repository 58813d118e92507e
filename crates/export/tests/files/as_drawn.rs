//! The engine as drawn beside the engine as meant.

use artwork::read_dxf;
use body::{Body, Model, Overrides, Scale};
use check::{DrawingWords, Judgement, check_artwork, test_build};
use export::{AsDrawnMesh, TestBuildHead, as_drawn_glb, test_build_html};
use serde_json::Value;
use solid::{Mesh, MeshOptions, mesh_plate};

fn json_of(glb: &[u8]) -> Value {
    let length = u32::from_le_bytes(glb[12..16].try_into().unwrap()) as usize;
    serde_json::from_slice(&glb[20..20 + length]).unwrap()
}

fn together<'m>(body: &'m Body, ids: [&str; 2], meshes: &'m [Mesh]) -> Vec<AsDrawnMesh<'m>> {
    let pairs = ids.into_iter().zip(meshes);
    pairs
        .map(|(id, mesh)| AsDrawnMesh {
            plate: body.plate(id).unwrap(),
            mesh,
        })
        .collect()
}

#[test]
fn what_is_off_is_coloured_and_what_is_meant_stands_beside_it() {
    let bytes = std::fs::read("../../demo-models/class-b.toml").unwrap();
    let overrides = Overrides {
        scale: Scale::named("7mm"),
        ..Overrides::default()
    };
    let model = Model::read("class-b", &bytes, &overrides).unwrap();
    let body = body::build(&model).unwrap();
    let words = DrawingWords {
        engine: model.title.clone(),
        scale: "7mm".to_owned(),
        mm_per_foot: 7.0,
    };
    let drawing = std::fs::read("../../demo-models/artwork/class-b-three-faults.dxf").unwrap();
    let drawing = read_dxf(&drawing).unwrap();
    let report = check_artwork(&body, &drawing, &words, model.metal.process).unwrap();
    let build = test_build(&body, &report, &model.metal, model.scale).unwrap();
    let ids = ["boiler-wrapper", "footplate"];
    let options = MeshOptions {
        rivets: false,
        ..MeshOptions::default()
    };
    let meshes = |own: &Body| -> Vec<Mesh> {
        ids.map(|id| {
            // A boiler drawn too long runs off its own surface: it is shown as it is meant.
            [own, &body]
                .into_iter()
                .find_map(|own| mesh_plate(own.plate(id).unwrap(), &options).ok())
                .unwrap()
                .mesh
        })
        .into()
    };
    let (drawn, meant) = (meshes(&build.built), meshes(&body));
    let drawn = together(&build.built, ids, &drawn);
    let meant = together(&body, ids, &meant);
    let glb = as_drawn_glb(&build, &drawn, &meant).unwrap();
    let root = json_of(&glb);
    let node = |name: &str| {
        let nodes = root["nodes"].as_array().unwrap();
        nodes
            .iter()
            .find(|own| own["name"] == name)
            .unwrap()
            .clone()
    };
    let off = node("boiler-wrapper")["extras"]["deviation_mm"]
        .as_f64()
        .unwrap();
    // The wrapper is π t too long, half of that at each seam.
    assert!((off - 0.471).abs() < 0.01, "{off}");
    assert!(
        node("footplate")["extras"]["deviation_mm"]
            .as_f64()
            .unwrap()
            .abs()
            < 0.005
    );
    let mesh = |name: &str| {
        let at = node(name)["mesh"].as_u64().unwrap() as usize;
        root["meshes"][at]["primitives"][0]["attributes"].clone()
    };
    assert!(mesh("boiler-wrapper")["COLOR_0"].is_number());
    assert!(mesh("boiler-wrapper-as-meant")["COLOR_0"].is_null());
    assert_eq!(node("legend")["children"].as_array().unwrap().len(), 8);

    let judged = Judgement {
        left: build.findings.clone(),
        waived: Vec::new(),
    };
    let page = test_build_html(&TestBuildHead::default(), &body, &report, &build, &judged);
    assert_eq!(page.matches("<article>").count(), 3);
    assert_eq!(page.matches("<svg").count(), page.matches("</svg>").count());
    assert_eq!(page.matches("<svg").count(), 6);
    assert!(!page.contains("NaN") && !page.contains("inf mm"));
}
