//! Plates that are drawn by hand and adopted by the model file.

#![allow(clippy::unwrap_used, reason = "helpers of tests may fail by panic")]

use body::{Body, Model, ModelError, Overrides};
use check::{adopt_own_plates, check_body};

const DRAWING: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
<g id="OUTLINE"><rect x="10" y="10" width="20" height="8"/><rect x="40" y="10" width="5" height="5"/></g>
<g id="OPENINGS"><circle cx="14" cy="14" r="1"/></g>
<g id="LABELS"><text x="20" y="16">brake bracket</text></g>
</svg>"#;

fn model_with(own: &str) -> Result<(Model, Body), ModelError> {
    let text = std::fs::read_to_string("../../demo-models/class-b.toml").unwrap();
    let text = format!("{text}\n{own}");
    let model = Model::read("class-b.toml", text.as_bytes(), &Overrides::default())?;
    let mut body = body::build(&model)?;
    let read = |name: &str| (name == "artwork/own.svg").then(|| DRAWING.as_bytes().to_vec());
    adopt_own_plates(&model, &mut body, read)?;
    Ok((model, body))
}

/// The place of a hole of a frame, full size, so that the bracket's hole can be laid over it.
fn bracket(x: f64, y: f64, z: f64, more: &str) -> String {
    format!(
        "[[own_plates]]\nid = \"brake-bracket\"\ndrawing = \"artwork/own.svg\"\nsheet = \"frames\"\n\
         x = \"{x:.6}mm\"\ny = \"{y:.6}mm\"\nz = \"{z:.6}mm\"\nfacing = \"left\"\n{more}\n"
    )
}

#[test]
fn a_drawn_shape_becomes_a_plate_and_its_hole_is_joined() {
    let (_, plain) = model_with("").unwrap();
    let frame = plain.plate("frame-left").unwrap();
    let hole = &frame.holes[0];
    let at = frame.forming.place(hole.centre).point;
    // The hole is drawn 6 mm from the middle of the outline, towards the front, and level with it.
    let join = format!("joins = [\"frame-left/{}\"]", hole.feature);
    let (model, body) = model_with(&bracket(at.x - 6.0, at.y + 1.0, at.z, &join)).unwrap();
    let own = body.plate("brake-bracket").unwrap();
    assert_eq!((own.holes.len(), own.title.as_str()), (1, "Brake bracket"));
    assert_eq!(body.plates.len(), plain.plates.len() + 1);
    let area = own.flat_area().unwrap();
    assert!((area - (160.0 - geom::math::PI)).abs() < 1e-3, "{area}");
    let joint = body
        .joints
        .iter()
        .find(|joint| joint.a.plate == "brake-bracket")
        .unwrap();
    assert!(joint.gap < 1e-4, "{joint:?}");
    assert!(body.assemblies.iter().any(|own| own.id == "own-plates"));
    // It is checked like any other plate.
    let findings = check_body(&body, model.metal.process);
    assert!(
        findings
            .iter()
            .all(|own| !own.path.starts_with("brake-bracket") || !own.counts())
    );
}

#[test]
fn a_hole_that_is_out_of_its_place_does_not_fit() {
    let (_, plain) = model_with("").unwrap();
    let frame = plain.plate("frame-left").unwrap();
    let hole = &frame.holes[0];
    let at = frame.forming.place(hole.centre).point;
    let join = format!("joins = [\"frame-left/{}\"]", hole.feature);
    let (model, body) = model_with(&bracket(at.x - 6.0 + 0.3, at.y + 1.0, at.z, &join)).unwrap();
    let joint = body
        .joints
        .iter()
        .find(|joint| joint.a.plate == "brake-bracket")
        .unwrap();
    assert!((joint.gap - 0.3).abs() < 1e-4, "{joint:?}");
    let findings = check_body(&body, model.metal.process);
    assert!(
        findings
            .iter()
            .any(|own| own.rule == "fit" && own.path == joint.id)
    );
}

#[test]
fn what_is_wrong_points_into_the_model_file() {
    let error = |own: &str| {
        let error = model_with(own).err().unwrap();
        let problem = error.problems[0].clone();
        (problem.path, problem.line > 100)
    };
    let place = bracket(50.0, 10.0, 10.0, "");
    let faults = [
        (
            place.replace("own.svg", "else.svg"),
            "own_plates[0].drawing",
        ),
        (
            place.replace("artwork/own.svg", "../own.svg"),
            "own_plates[0].drawing",
        ),
        (
            place.replace("brake-bracket", "Brake Bracket"),
            "own_plates[0].id",
        ),
        (
            place.replace("brake-bracket", "footplate"),
            "own_plates[0].label",
        ),
        (
            format!("{place}label = \"steam heat\"\n"),
            "own_plates[0].label",
        ),
        (
            format!("{place}joins = [\"frame-left/none\"]\n"),
            "own_plates[0].joins[0]",
        ),
        (
            format!("{place}label = \"brake bracket\"\n").replace("brake-bracket", "footplate"),
            "own_plates[0].id",
        ),
        (
            place.replace("\"frames\"", "\"tin\""),
            "own_plates[0].sheet",
        ),
    ];
    for (text, path) in faults {
        assert_eq!(error(&text), (path.to_owned(), true), "{text}");
    }
}
