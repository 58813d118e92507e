//! The report and the views that it is made of.

use crate::engine::{agree, body};
use body::{Finding, FindingPlace, Joint, JointKind, Meeting, Severity, Side};
use export::{FindingJson, JointJson, MeshFacts, PlateJson, Report, ReportHead};
use geom::{BodyPoint, FlatPoint};
use serde_json::{Value, json};

fn keys(value: &Value) -> Vec<&str> {
    value
        .as_object()
        .unwrap()
        .keys()
        .map(String::as_str)
        .collect()
}

#[test]
fn report_of_the_engine() {
    let facts =
        |id: &str| (id == body().plates[0].id).then(|| MeshFacts::new(12, 1.5, 1.25, 0.001));
    let head = ReportHead {
        model: "class-b".to_owned(),
        title: "Class B".to_owned(),
        scale: "4mm".to_owned(),
        mm_per_foot: 4.0,
        wheels: "em".to_owned(),
        variant: None,
    };
    let report = Report::of(head, body(), &body().findings, facts)
        .unwrap()
        .timed("body", 1.234_567);
    let text = report.to_text();
    let read: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(
        keys(&read),
        [
            "blocks",
            "dimensions",
            "findings",
            "jigs",
            "joints",
            "mm_per_foot",
            "model",
            "order",
            "plates",
            "scale",
            "timings_ms",
            "title",
            "variant",
            "wheels"
        ]
    );
    assert_eq!(read["timings_ms"], json!({"body": 1.235}));
    assert_eq!(
        read["joints"].as_array().unwrap().len(),
        body().joints.len()
    );
    assert_eq!(
        read["blocks"].as_array().unwrap().len(),
        body().blocks.len()
    );
    let plates = read["plates"].as_array().unwrap();
    assert_eq!(plates.len(), body().plates.len());
    let order = read["order"].as_array().unwrap();
    assert_eq!(order.len(), body().plates.len());
    let at = |id: &str| order.iter().position(|step| step["plate"] == id).unwrap();
    assert!(at("boiler-joint-strip") < at("boiler-wrapper"));
    for joint in &body().joints {
        let made = order
            .iter()
            .filter(|step| step["onto"].as_array().unwrap().contains(&json!(joint.id)));
        assert_eq!(made.count(), 1, "{}", joint.id);
    }
    assert_eq!(
        plates[0]["mesh"],
        json!({"triangles": 12, "volume_mm3": 1.5, "expected_volume_mm3": 1.25, "chord_error_mm": 0.001})
    );
    assert_eq!(plates[1]["mesh"], Value::Null);
}

#[test]
fn plates_keep_area_and_lengths() {
    for plate in &body().plates {
        let view = PlateJson::of(plate, None).unwrap();
        assert_eq!(view.formed == "rolled", plate.forming.loft().is_some());
        agree(view.flat_area_mm2, view.neutral_area_mm2, 1e-8, &view.id);
        assert_eq!(view.edges.len(), plate.outline.len());
        for edge in &view.edges {
            agree(edge.flat_mm, edge.formed_mm, 1e-6, &edge.name);
        }
    }
}

#[test]
fn joint_and_finding_in_the_words_of_the_contract() {
    let joint = Joint {
        id: "boiler-wrapper/front~smokebox-ring".to_owned(),
        kind: JointKind::Tab,
        meeting: Meeting::Tab,
        a: Side::new("boiler-wrapper", "front"),
        b: Side::new("smokebox-ring", "rim"),
        gap: -1e-9,
        range: (-0.05, 0.1),
        limit: (0.0, f64::INFINITY),
        largest_contributor: "thickness of boiler-wrapper".to_owned(),
        at: BodyPoint::new(1.0, 2.0, 3.000_000_4),
    };
    assert_eq!(
        serde_json::to_value(JointJson::from(&joint)).unwrap(),
        json!({
            "id": "boiler-wrapper/front~smokebox-ring", "kind": "tab",
            "a": {"plate": "boiler-wrapper", "feature": "front"},
            "b": {"plate": "smokebox-ring", "feature": "rim"},
            // No upper limit is null.
            "gap_mm": 0.0, "range_mm": [-0.05, 0.1], "limit_mm": [0.0, null],
            "largest_contributor": "thickness of boiler-wrapper", "at": [1.0, 2.0, 3.0]
        })
    );
    let finding = Finding {
        path: "boiler.bands".to_owned(),
        rule: "least-bar",
        severity: Severity::Warning,
        found: 0.2,
        limit: 0.25,
        at: FindingPlace {
            plate: Some("boiler-wrapper".to_owned()),
            flat: Some(FlatPoint::new(1.5, -2.5)),
            body: None,
        },
        sentence: "The bar is thin.".to_owned(),
    };
    assert_eq!(
        serde_json::to_value(FindingJson::from(&finding)).unwrap(),
        json!({
            "path": "boiler.bands", "rule": "least-bar", "severity": "warning",
            "found_mm": 0.2, "limit_mm": 0.25,
            "at": {"plate": "boiler-wrapper", "flat_mm": [1.5, -2.5], "body_mm": null},
            "sentence": "The bar is thin."
        })
    );
}
