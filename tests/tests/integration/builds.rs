//! Models built for the tests of whole bodies.

use body::{Body, Model, Overrides, Scale, WheelStandard};

/// Wheels of full-size proportions, for which every engine can be built.
pub(crate) fn scale_wheels(scale: Scale) -> WheelStandard {
    match scale {
        Scale::Four => WheelStandard::P4,
        Scale::Seven => WheelStandard::Exact,
    }
}

pub(crate) fn at_scale(scale: Scale) -> Overrides {
    Overrides {
        scale: Some(scale),
        wheels: Some(scale_wheels(scale)),
        ..Overrides::default()
    }
}

/// A model of the demo railway or of the tests, by the name of its file.
pub(crate) fn built(name: &str, overrides: Overrides) -> (Model, Body) {
    let text = platework_tests::models::all()
        .into_iter()
        .find(|(own, _)| own == name)
        .map(|(_, text)| text)
        .unwrap();
    build(name, &text, overrides)
}

pub(crate) fn build(name: &str, text: &str, overrides: Overrides) -> (Model, Body) {
    let model = Model::read(name, text.as_bytes(), &overrides)
        .unwrap_or_else(|error| panic!("{name}: {error:?}"));
    let body = body::build(&model).unwrap_or_else(|error| panic!("{name}: {error:?}"));
    (model, body)
}

/// Every model at both scales, built: its name with the scale, the model, the body.
pub(crate) fn every_body() -> Vec<(String, Model, Body)> {
    let mut bodies = Vec::new();
    for (name, text) in platework_tests::models::all() {
        for scale in Scale::ALL {
            let (model, body) = build(&name, &text, at_scale(scale));
            bodies.push((format!("{name} at {}", scale.word()), model, body));
        }
    }
    bodies
}
