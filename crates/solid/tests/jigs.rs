//! Formers and jigs of the demo engines.

#![allow(clippy::unwrap_used, reason = "a test may fail by panic")]

use body::{Body, Model, Overrides, Scale};
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

/// Engines to be proved: all with `PLATEWORK_JIGS=all`, else two at one scale each.
fn chosen() -> Vec<(&'static str, Scale)> {
    if std::env::var("PLATEWORK_JIGS").is_ok() {
        MODELS
            .into_iter()
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
