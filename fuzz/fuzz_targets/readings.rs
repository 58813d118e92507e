//! Any bytes are read as readings of a model, as a table and as TOML, and compared, or refused with places within them.
#![no_main]

use body::{MeasuringPoint, Model, Overrides, measuring_points};
use check::built::{Readings, ReadingsKind, compare_built};
use std::sync::LazyLock;

const TEXT: &str = include_str!("../../demo-models/class-b.toml");

static ENGINE: LazyLock<(Model, Vec<MeasuringPoint>)> = LazyLock::new(|| {
    let model = Model::read("class-b.toml", TEXT.as_bytes(), &Overrides::default())
        .expect("the demo model is sound");
    let body = body::build(&model).expect("the demo model is sound");
    let points = measuring_points(&model, &body);
    (model, points)
});

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let (model, points) = &*ENGINE;
    for kind in [ReadingsKind::Csv, ReadingsKind::Toml] {
        match Readings::read("fuzz", bytes, kind, points) {
            Ok(readings) => {
                compare_built(model, points.clone(), &readings);
            }
            Err(error) => {
                assert!(!error.problems.is_empty());
                assert!(error.problems.iter().all(|p| p.line >= 1 && p.column >= 1));
            }
        }
    }
});
