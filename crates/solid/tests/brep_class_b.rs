//! Exact solids of every plate of the demo engine.
//!
//! As in `brep_solids.rs` each is written to the target folder with the figures expected of it, for
//! `.ci/step_check.py`.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use body::{Model, Overrides, Scale};
use solid::{exact_area, exact_bounds, exact_volume, plate_step};
use std::path::PathBuf;

const CLASS_B: &str = include_str!("../../../demo-models/class-b.toml");

#[test]
fn every_plate_of_the_demo_engine_has_its_solid() {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("brep-class-b");
    std::fs::create_dir_all(&folder).unwrap();
    let mut list = Vec::new();
    for (index, scale) in Scale::ALL.into_iter().enumerate() {
        let overrides = Overrides {
            scale: Some(scale),
            ..Overrides::default()
        };
        let model = Model::read("class-b.toml", CLASS_B.as_bytes(), &overrides).unwrap();
        let engine = body::build(&model).unwrap();
        assert!(engine.plates.len() > 10, "{} plates", engine.plates.len());
        for plate in &engine.plates {
            let id = &plate.id;
            let text = plate_step(plate).unwrap_or_else(|e| panic!("{id}: {e}"));
            let (volume, area) = (exact_volume(plate).unwrap(), exact_area(plate).unwrap());
            let whole = plate.whole().unwrap().formed;
            let want = whole.volume(plate.sheet.z_low, plate.sheet.z_high);
            assert!(
                (volume - want).abs() <= 1e-6 * want,
                "{id}: volume by the skins {volume}, by the sheet {want}"
            );
            let (low, high) = exact_bounds(plate).unwrap();
            let file = format!("{index}-{id}.step");
            std::fs::write(folder.join(&file), &text).unwrap();
            list.push(format!(
                "  {{\"file\": \"{file}\", \"name\": \"{id}\", \"volume_mm3\": {volume:?}, \"area_mm2\": {area:?}, \
                 \"low_mm\": [{:?}, {:?}, {:?}], \"high_mm\": [{:?}, {:?}, {:?}], \"relative_tolerance\": 1e-6}}",
                low.x, low.y, low.z, high.x, high.y, high.z
            ));
        }
    }
    std::fs::write(
        folder.join("expected.json"),
        format!("[\n{}\n]\n", list.join(",\n")),
    )
    .unwrap();
}
