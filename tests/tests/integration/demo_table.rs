//! The figures of the demo railway's own table of dimensions against what the report says of each model,
//! at both scales.

use crate::builds::{at_scale, built};
use body::{Dimension, Scale, parse_dimension};
use export::DimensionsJson;
use std::collections::BTreeSet;
use std::path::Path;
use toml::{Table, Value};

/// A model file repeats what the drawing gives; JSON rounds to a millionth of a millimetre on the model.
const GIVEN_IN: f64 = 3e-6;
/// The table rounds what follows to an eighth of an inch.
const DERIVED_IN: f64 = 1.0 / 16.0;
/// And angles to a hundredth of a degree.
const ANGLE_DEG: f64 = 0.005_1;

/// The engines of the table, each a model file.
const ENGINES: [&str; 6] = [
    "class-b", "class-e", "class-s", "class-m", "class-m2", "tender-t",
];

fn table() -> Table {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo-table.toml");
    std::fs::read_to_string(path).unwrap().parse().unwrap()
}

fn part<'t>(table: &'t Table, engine: &str, kind: &str) -> Vec<(&'t str, &'t Value)> {
    table
        .get(engine)
        .and_then(|own| own.get(kind))
        .and_then(Value::as_table)
        .into_iter()
        .flatten()
        .map(|(path, value)| (path.as_str(), value))
        .collect()
}

/// Full-size inches of a figure as the table writes it.
fn inches(value: &Value) -> f64 {
    let text = value.as_str().unwrap();
    match parse_dimension(text) {
        Ok(Dimension::FullSize(length)) => length.in_inches(),
        other => panic!("{text:?} of the table is no full-size length: {other:?}"),
    }
}

/// What the report's JSON says of a model's lengths, in full-size inches, and its angles in degrees.
struct Reported {
    inputs: Vec<(String, f64)>,
    derived: Vec<(String, f64)>,
    angles: Vec<(String, f64)>,
}

impl Reported {
    fn of(engine: &str, scale: Scale) -> Self {
        let (model, body) = built(engine, at_scale(scale));
        let json = serde_json::to_value(DimensionsJson::of(&model, &body)).unwrap();
        let list = |name: &str, field: &str, unit: f64| -> Vec<(String, f64)> {
            let entries = json[name].as_array().unwrap();
            entries
                .iter()
                .map(|entry| {
                    let path = entry["path"].as_str().unwrap().to_owned();
                    (path, entry[field].as_f64().unwrap() * unit)
                })
                .collect()
        };
        let inch = 12.0 / scale.mm_per_foot();
        Self {
            inputs: list("inputs", "mm", inch),
            derived: list("derived", "mm", inch),
            angles: list("angles", "deg", 1.0),
        }
    }

    fn paths(&self) -> BTreeSet<&str> {
        [&self.inputs, &self.derived, &self.angles]
            .into_iter()
            .flatten()
            .map(|(path, _)| path.as_str())
            .collect()
    }
}

/// What is wrong with figures of the table, one sentence each.
fn held<'t>(
    wanted: impl IntoIterator<Item = (&'t str, f64)>,
    got: &[(String, f64)],
    tolerance: f64,
    wrong: &mut Vec<String>,
) -> usize {
    let mut count = 0;
    for (path, want) in wanted {
        count += 1;
        match got.iter().find(|(own, _)| own == path) {
            None => wrong.push(format!("{path} is not reported")),
            Some((_, got)) if (got - want).abs() > tolerance => {
                wrong.push(format!("{path}: reported {got}, the table has {want}"));
            }
            Some(_) => {}
        }
    }
    count
}

#[test]
fn the_report_gives_every_figure_of_the_table() {
    let table = table();
    let (mut wrong, mut count) = (Vec::new(), 0);
    for scale in Scale::ALL {
        for engine in ENGINES {
            let reported = Reported::of(engine, scale);
            let lengths = |kind| {
                part(&table, engine, kind)
                    .into_iter()
                    .map(|(path, value)| (path, inches(value)))
            };
            let angles = part(&table, engine, "angles_deg")
                .into_iter()
                .map(|(path, value)| (path, value.as_float().unwrap()));
            let mut own = Vec::new();
            count += held(lengths("given"), &reported.inputs, GIVEN_IN, &mut own);
            count += held(lengths("derived"), &reported.derived, DERIVED_IN, &mut own);
            count += held(angles, &reported.angles, ANGLE_DEG, &mut own);
            let paths = reported.paths();
            for (path, reason) in part(&table, engine, "not_reported").into_iter().chain(part(
                &table,
                "common",
                "not_reported",
            )) {
                assert!(reason.as_str().is_some_and(|reason| reason.contains(": ")));
                if paths.contains(path) {
                    own.push(format!("{path} is reported; the table says that it is not"));
                }
            }
            let at = format!("{engine} at {}: ", scale.word());
            wrong.extend(own.into_iter().map(|what| format!("{at}{what}")));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(count > 600, "too few figures were held: {count}");
}

/// The table has no engine, and no kind of figure, that the test passes over.
#[test]
fn every_part_of_the_table_is_read() {
    for (engine, parts) in table() {
        assert!(
            engine == "common" || ENGINES.contains(&engine.as_str()),
            "{engine}"
        );
        for kind in parts.as_table().unwrap().keys() {
            let known = ["given", "derived", "angles_deg", "not_reported"];
            assert!(known.contains(&kind.as_str()), "{engine}.{kind}");
        }
    }
}
