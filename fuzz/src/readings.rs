//! Any bytes as readings of the finished model. Also a module of the tests, which replay the corpus.

use std::sync::LazyLock;

use body::{MeasuringPoint, Model, Overrides, Problem, measuring_points};
use check::built::{Readings, ReadingsKind, compare_built};

const TEXT: &str = include_str!("../../demo-models/class-b.toml");

static ENGINE: LazyLock<(Model, Vec<MeasuringPoint>)> = LazyLock::new(|| {
    let model = Model::read("class-b.toml", TEXT.as_bytes(), &Overrides::default())
        .expect("the demo model is sound");
    let body = body::build(&model).expect("the demo model is sound");
    let points = measuring_points(&model, &body);
    (model, points)
});

/// Reads bytes as readings and compares them with the model; gives whether they were some.
///
/// # Panics
///
/// If the refusal names no place, or one outside the text.
pub(crate) fn check(bytes: &[u8], kind: ReadingsKind) -> bool {
    let (model, points) = &*ENGINE;
    match Readings::read("fuzz", bytes, kind, points) {
        Ok(readings) => {
            compare_built(model, points.clone(), &readings);
            true
        }
        Err(error) => {
            let text = String::from_utf8_lossy(bytes);
            let lines = text.split(['\n', '\r']).count();
            let is_placed = |own: &Problem| own.line >= 1 && own.line <= lines && own.column >= 1;
            assert!(!error.problems.is_empty());
            assert!(error.problems.iter().all(is_placed), "{error}");
            false
        }
    }
}
