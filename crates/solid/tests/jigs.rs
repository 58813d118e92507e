//! Formers and jigs of the demo engines.

#![allow(clippy::unwrap_used, reason = "a test may fail by panic")]

use body::{Body, Model, Overrides, Scale};
use boolmesh::prelude::{Manifold, OpType, compute_boolean};
use solid::{Jig, SolidError, jig_kinds, make_jig};

const MODELS: [&str; 6] = [
    "class-b", "class-e", "class-s", "class-m", "class-m2", "tender-t",
];

fn model(name: &str, scale: Scale) -> Model {
    let path = format!(
        "{}/../../demo-models/{name}.toml",
        env!("CARGO_MANIFEST_DIR")
    );
    let overrides = Overrides {
        scale: Some(scale),
        ..Overrides::default()
    };
    Model::read(&path, &std::fs::read(&path).unwrap(), &overrides).unwrap()
}

fn jigs(model: &Model, body: &Body) -> Vec<Result<Jig, SolidError>> {
    jig_kinds()
        .iter()
        .filter_map(|kind| make_jig(model, body, kind).transpose())
        .collect()
}

/// Engines to be proved: all with `PLATEWORK_JIGS=all`, some by their names; else two at one scale each.
fn chosen() -> Vec<(&'static str, Scale)> {
    if let Ok(names) = std::env::var("PLATEWORK_JIGS") {
        MODELS
            .into_iter()
            .filter(|name| names == "all" || names.split(' ').any(|own| own == *name))
            .flat_map(|name| [(name, Scale::Four), (name, Scale::Seven)])
            .collect()
    } else {
        vec![("class-b", Scale::Seven), ("tender-t", Scale::Four)]
    }
}

#[test]
fn every_jig_of_a_demo_engine_passes_its_checks() {
    let mut failed = Vec::new();
    for (name, scale) in chosen() {
        let model = model(name, scale);
        let body = body::build(&model).unwrap();
        for jig in jigs(&model, &body) {
            match jig {
                Ok(jig) => {
                    for piece in &jig.pieces {
                        let (low, high) = piece.mesh.bounds();
                        println!(
                            "{name} {} {} {}: {} triangles, {:.0} mm³, {:.1?}",
                            scale.word(),
                            jig.id,
                            piece.name,
                            piece.mesh.triangles.len(),
                            piece.mesh.volume(),
                            high
                        );
                        if let Ok(folder) = std::env::var("PLATEWORK_JIGS_OUT") {
                            let file =
                                format!("{name}-{}-{}-{}.stl", scale.word(), jig.id, piece.name);
                            write_stl(&std::path::Path::new(&folder).join(file), &piece.mesh);
                        }
                        assert!(low.iter().all(|x| x.abs() < 1e-9));
                        assert!(piece.mesh.volume() > 0.0);
                    }
                }
                Err(error) => failed.push(format!("{name} {}: {error}", scale.word())),
            }
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}

/// Writes a piece as a binary STL, to be looked at.
fn write_stl(path: &std::path::Path, mesh: &solid::Mesh) {
    let mut bytes = vec![0_u8; 80];
    bytes.extend((mesh.triangles.len() as u32).to_le_bytes());
    for triangle in &mesh.triangles {
        bytes.extend([0_u8; 12]);
        for corner in triangle {
            for x in mesh.positions[*corner as usize] {
                bytes.extend((x as f32).to_le_bytes());
            }
        }
        bytes.extend([0_u8; 2]);
    }
    std::fs::write(path, bytes).unwrap();
}

fn of_jig(jigs: &[Result<Jig, SolidError>], id: &str, piece: usize) -> solid::Mesh {
    let jig = jigs.iter().flatten().find(|jig| jig.id == id).unwrap();
    jig.pieces[piece].mesh.clone()
}

fn theirs(mesh: &solid::Mesh) -> Manifold<f64> {
    let corners: Vec<f64> = mesh.positions.iter().flatten().copied().collect();
    let triangles: Vec<usize> = mesh
        .triangles
        .iter()
        .flatten()
        .map(|&corner| corner as usize)
        .collect();
    Manifold::<f64>::new(&corners, &triangles).unwrap()
}

fn volume_of(manifold: &Manifold<f64>) -> f64 {
    let mesh = solid::Mesh {
        positions: manifold.ps.iter().map(|p| [p.x, p.y, p.z]).collect(),
        triangles: manifold
            .hs
            .chunks(3)
            .map(|h| [h[0].tail as u32, h[1].tail as u32, h[2].tail as u32])
            .collect(),
        normals: Vec::new(),
    };
    mesh.volume()
}

/// Lettered pieces of jigs, one let into the other, by two libraries.
#[test]
fn booleans_of_jigs_agree_with_another_engine() {
    let model = model("class-b", Scale::Four);
    let body = body::build(&model).unwrap();
    let wanted = ["ring-gauges", "seat-lapping-block", "squaring-frame"];
    let jigs: Vec<_> = jig_kinds()
        .iter()
        .filter(|kind| wanted.contains(&kind.id))
        .filter_map(|kind| make_jig(&model, &body, kind).transpose())
        .collect();
    for (one, other) in [
        (("ring-gauges", 0), ("seat-lapping-block", 0)),
        (("squaring-frame", 0), ("ring-gauges", 1)),
    ] {
        let a = of_jig(&jigs, one.0, one.1);
        let mut b = of_jig(&jigs, other.0, other.1);
        // Askew, so that no faces fall together.
        for p in &mut b.positions {
            *p = [p[0] + 3.137, p[1] + 2.713, p[2] + 1.371];
        }
        let ours = [
            solid::subtract(&a, std::slice::from_ref(&b))
                .unwrap()
                .volume(),
            solid::unite(&[a.clone(), b.clone()]).unwrap().volume(),
            solid::common(&a, &b).unwrap().volume(),
        ];
        let (p, q) = (theirs(&a), theirs(&b));
        for (found, op) in ours
            .into_iter()
            .zip([OpType::Subtract, OpType::Add, OpType::Intersect])
        {
            let want = volume_of(&compute_boolean(&p, &q, op).unwrap());
            assert!(
                (found / want - 1.0).abs() < 1e-9,
                "{one:?} {other:?}: {found} {want}"
            );
        }
        assert!((ours[0] + ours[2] - a.volume()).abs() < 1e-6 * a.volume());
    }
}

/// A model with more text at its end.
fn model_with(name: &str, more: &str) -> Model {
    let path = format!(
        "{}/../../demo-models/{name}.toml",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = format!("{}\n{more}\n", std::fs::read_to_string(&path).unwrap());
    Model::read(&path, text.as_bytes(), &Overrides::default()).unwrap()
}

#[test]
fn a_block_longer_than_the_bed_is_cut_and_dowelled() {
    let model = model_with(
        "class-e",
        "[print]\nprocess = \"resin\"\nbed_width = \"120mm\"\nbed_depth = \"120mm\"",
    );
    let body = body::build(&model).unwrap();
    let kinds = jig_kinds();
    let kind = |id: &str| kinds.iter().find(|kind| kind.id == id).unwrap();
    let jig = make_jig(&model, &body, kind("footplate-building-block"))
        .unwrap()
        .unwrap();
    assert_eq!(jig.pieces.len(), 2);
    let long: f64 = jig
        .pieces
        .iter()
        .map(|piece| piece.mesh.bounds().1[0])
        .sum();
    assert!(long > 170.0, "{long}");
    assert!(
        jig.pieces
            .iter()
            .all(|piece| piece.mesh.bounds().1[0] < 120.0)
    );
    let refused = make_jig(
        &model_with("class-e", "[print]\nbed_height = \"60mm\""),
        &body,
        kind("boiler-mandrel"),
    );
    let error = refused.unwrap_err().to_string();
    assert!(
        error.starts_with("boiler-mandrel, boiler-mandrel: it is"),
        "{error}"
    );
}

#[test]
fn a_wall_thinner_than_prints_is_refused_by_name() {
    let model = model_with("class-b", "[print]\nleast_wall = \"3mm\"");
    let body = body::build(&model).unwrap();
    let kind = jig_kinds()
        .iter()
        .find(|kind| kind.id == "rivet-strip")
        .unwrap();
    let error = make_jig(&model, &body, kind).unwrap_err();
    assert!(
        error.to_string().starts_with("rivet-strip, pitch-"),
        "{error}"
    );
}

/// Whatever the printer, a jig is made or refused by name; resin prints all that filament does.
#[test]
fn other_printers_make_or_refuse() {
    let resin = model_with("tender-t", "[print]\nprocess = \"resin\"");
    let body = body::build(&resin).unwrap();
    for jig in jigs(&resin, &body) {
        assert!(!jig.unwrap().pieces.is_empty());
    }
    let coarse = model_with(
        "class-e",
        "[print]\nbed_width = \"40mm\"\nbed_depth = \"40mm\"\nbed_height = \"40mm\"\nleast_wall = \"3mm\"\nhole_growth = \"1mm\"\nfoot_chamfer = \"1mm\"\nslide = \"1mm\"\nloose = \"2mm\"",
    );
    let body = body::build(&coarse).unwrap();
    let made = jigs(&coarse, &body);
    let refused = made.iter().filter(|jig| jig.is_err()).count();
    assert!(refused > made.len() / 2, "{refused} of {}", made.len());
    for error in made.iter().filter_map(|jig| jig.as_ref().err()) {
        assert!(matches!(error, SolidError::Jig { .. }), "{error}");
    }
}
