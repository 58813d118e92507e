//! Exact solids of every plate of the demo models.
//!
//! As in `brep_solids.rs` each is written to the target folder with the figures expected of it, for
//! `tests/conformance/step_check.py`.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod trial;

use body::{Model, Overrides, Scale};
use std::path::PathBuf;
use trial::Files;

#[test]
fn every_plate_of_the_demo_models_has_its_solid() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../demo-models");
    let mut models: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "toml"))
        .collect();
    models.sort();
    let mut solids = 0;
    let mut files = Files::to("brep-demo");
    for path in models {
        let bytes = std::fs::read(&path).unwrap();
        let model_name = path.file_stem().unwrap().to_str().unwrap();
        for scale in Scale::ALL {
            let overrides = Overrides {
                scale: Some(scale),
                ..Overrides::default()
            };
            // That every demo model can be read is another test's matter.
            let Ok(model) = Model::read(model_name, &bytes, &overrides) else {
                continue;
            };
            let mut engine = body::build(&model).unwrap();
            for plate in &mut engine.plates {
                plate.id = format!("{model_name}-{}-{}mm", plate.id, scale.mm_per_foot());
                let id = &plate.id;
                solids += 1;
                let volume = files.add(plate).volume;
                let want = plate.expected_volume(false).unwrap();
                assert!(
                    (volume - want).abs() <= 1e-6 * want,
                    "{id}: volume by the skins {volume}, by the sheet {want}"
                );
            }
        }
    }
    assert!(solids > 20, "{solids} solids");
    files.finish();
}
