//! Exact solids of every plate of the demo engine.
//!
//! As in `brep_solids.rs` each is written to the target folder with the figures expected of it, for
//! `.ci/step_check.py`.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod trial;

use body::{Model, Overrides, Scale};
use trial::Files;

const CLASS_B: &str = include_str!("../../../demo-models/class-b.toml");

#[test]
fn every_plate_of_the_demo_engine_has_its_solid() {
    let mut files = Files::to("brep-class-b");
    for scale in Scale::ALL {
        let overrides = Overrides {
            scale: Some(scale),
            ..Overrides::default()
        };
        let model = Model::read("class-b.toml", CLASS_B.as_bytes(), &overrides).unwrap();
        let mut engine = body::build(&model).unwrap();
        assert!(engine.plates.len() > 10, "{} plates", engine.plates.len());
        for plate in &mut engine.plates {
            plate.id = format!("{}-{}mm", plate.id, scale.mm_per_foot());
            let id = &plate.id;
            let volume = files.add(plate).volume;
            let want = plate.expected_volume(false).unwrap();
            assert!(
                (volume - want).abs() <= 1e-6 * want,
                "{id}: volume by the skins {volume}, by the sheet {want}"
            );
        }
    }
    files.finish();
}
