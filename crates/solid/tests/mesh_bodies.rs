//! Every plate, fitting and block of the demo models as a sound mesh.

#![allow(clippy::unwrap_used, reason = "a test may fail by panic")]

use body::{Body, Model, Overrides, Scale};
use solid::{MeshFault, MeshOptions, block_mesh, mesh_fitting, mesh_plate};

fn demo_bodies() -> Vec<(String, Body)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-models");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "toml"))
        .collect();
    files.sort();
    let scales = |path| Scale::ALL.map(|scale| (path, scale));
    files
        .iter()
        .flat_map(scales)
        .map(|(path, scale)| {
            let name = format!("{} at {scale:?}", path.display());
            let overrides = Overrides {
                scale: Some(scale),
                ..Overrides::default()
            };
            let model = Model::read(&name, &std::fs::read(path).unwrap(), &overrides).unwrap();
            (name, body::build(&model).unwrap())
        })
        .collect()
}

#[test]
fn every_part_of_the_demo_models_is_sound() {
    let bodies = demo_bodies();
    assert!(!bodies.is_empty());
    for (name, body) in &bodies {
        for rivets in [false, true] {
            let options = MeshOptions {
                rivets,
                ..MeshOptions::default()
            };
            for plate in &body.plates {
                let made = mesh_plate(plate, &options).unwrap();
                assert_eq!(made.mesh.soundness(), Ok(()), "{name}: {}", plate.id);
                let mut want = plate.expected_volume(false).unwrap();
                if rivets {
                    let heads = plate.rivets.iter().enumerate();
                    want += heads
                        .filter(|(i, _)| !made.skipped_rivets.contains(i))
                        .map(|(_, rivet)| rivet.volume())
                        .sum::<f64>();
                }
                let off = made.mesh.volume() / want - 1.0;
                assert!(off.abs() < 1e-3, "{name}: {} is off by {off:e}", plate.id);
                let error = made.measure_chord_error(plate);
                assert!(
                    error <= options.chord_error,
                    "{name}: {} errs by {error}",
                    plate.id
                );
            }
        }
        for fitting in &body.fittings {
            let mesh = mesh_fitting(fitting, 0.02).unwrap();
            assert_eq!(mesh.soundness(), Ok(()), "{name}: {}", fitting.id);
        }
        for block in &body.blocks {
            let mesh = block_mesh(block, 0.02).unwrap();
            assert!(matches!(
                mesh.soundness(),
                Ok(()) | Err(MeshFault::Sliver { .. })
            ));
        }
    }
}

#[test]
#[ignore = "prints how long meshing takes"]
fn time_of_meshing() {
    for (name, body) in demo_bodies() {
        for rivets in [false, true] {
            let options = MeshOptions {
                rivets,
                ..MeshOptions::default()
            };
            let skipped: Vec<(&str, usize)> = body
                .plates
                .iter()
                .map(|plate| {
                    (
                        plate.id.as_str(),
                        mesh_plate(plate, &options).unwrap().skipped_rivets.len(),
                    )
                })
                .filter(|(_, count)| *count > 0)
                .collect();
            println!(
                "{name}: rivets skipped {skipped:?}, {} blocks",
                body.blocks.len()
            );
            let begun = std::time::Instant::now();
            let triangles: usize = body
                .plates
                .iter()
                .map(|plate| mesh_plate(plate, &options).unwrap().mesh.triangles.len())
                .sum();
            let plates = begun.elapsed();
            let fittings: usize = body
                .fittings
                .iter()
                .map(|fitting| {
                    mesh_fitting(fitting, options.chord_error)
                        .unwrap()
                        .triangles
                        .len()
                })
                .sum();
            println!(
                "{name}, rivets {rivets}: {} plates, {triangles} triangles in {plates:.1?}; {} fittings, {fittings} triangles in {:.1?}",
                body.plates.len(),
                body.fittings.len(),
                begun.elapsed() - plates,
            );
        }
    }
}
