//! Rivets punched from inside or left raised by the etch.
#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

use body::{Body, Face, Model, Overrides, Scale, build};

fn class_b(made: &str, scale: Scale) -> Body {
    let path = format!(
        "{}/../../demo-models/class-b.toml",
        env!("CARGO_MANIFEST_DIR")
    );
    let mut text = std::fs::read_to_string(path).unwrap();
    if !made.is_empty() {
        assert!(!text.contains("[rivets]\n"));
        // Thin enough that raised rivets leave too little.
        text = text.replace("[metal.7mm]\n", "[metal.7mm]\noverlay = \"0.16mm\"\n");
        text.push_str(&format!("\n[rivets]\nmade = \"{made}\"\n"));
    }
    let overrides = Overrides {
        scale: Some(scale),
        ..Overrides::default()
    };
    build(&Model::read("class-b.toml", text.as_bytes(), &overrides).unwrap()).unwrap()
}

const OVERLAY: &str = "tank-side-left-overlay";

#[test]
fn punched_is_the_default_and_draws_dots_on_the_inside() {
    let body = class_b("", Scale::Four);
    let plate = body.plate(OVERLAY).unwrap();
    assert!(plate.rivets.len() > 100);
    for rivet in &plate.rivets {
        // A 1/2 in shank has a head of 7/8 in: 0.292 mm, between the limits of a dot.
        let dot = rivet.dot.unwrap();
        assert!((rivet.head_diameter - 0.875 / 3.0).abs() < 1e-9);
        assert!((dot.diameter - rivet.head_diameter).abs() < 1e-12);
        assert!((dot.depth - 0.075).abs() < 1e-12);
        assert_eq!(
            (rivet.made(), rivet.drawn_face()),
            ("punched", Face::Inside)
        );
    }
    // The same head is 0.510 mm in 7 mm scale, wider than the widest dot.
    let seven = class_b("punched", Scale::Seven);
    let rivet = &seven.plate(OVERLAY).unwrap().rivets[0];
    assert!((rivet.head_diameter - 0.875 * 7.0 / 12.0).abs() < 1e-9);
    assert_eq!(rivet.drawn_diameter(), 0.5);
    assert!(seven.findings.iter().all(|f| f.path != "rivets.made"));
}

#[test]
fn raised_heads_stand_as_high_as_the_etch_is_deep() {
    let (punched, raised) = (
        class_b("punched", Scale::Seven),
        class_b("raised", Scale::Seven),
    );
    let (before, after) = (
        punched.plate(OVERLAY).unwrap(),
        raised.plate(OVERLAY).unwrap(),
    );
    assert_eq!(after.sheet.stock_thickness, before.sheet.stock_thickness);
    assert!((after.sheet.thickness() - 0.08).abs() < 1e-12);
    assert!((after.sheet.proud_height() - 0.08).abs() < 1e-12);
    assert_eq!(before.rivets.len(), after.rivets.len());
    for rivet in &after.rivets {
        assert!((rivet.head_height - 0.08).abs() < 1e-12);
        assert_eq!((rivet.dot, rivet.drawn_face()), (None, Face::Outside));
        assert_eq!(rivet.drawn_diameter(), rivet.head_diameter);
    }
    // The drawing's outside stays, and the base comes out to the thinner overlay.
    let outside = |body: &Body, id: &str| {
        let plate = body.plate(id).unwrap();
        let place = plate.forming.place(
            plate
                .rivets
                .first()
                .map_or(plate.holes[0].centre, |r| r.centre),
        );
        place.at_height(plate.sheet.z_high).y
    };
    assert!((outside(&punched, OVERLAY) - outside(&raised, OVERLAY)).abs() < 1e-9);
    let moved = outside(&raised, "tank-side-left") - outside(&punched, "tank-side-left");
    assert!((moved.abs() - 0.08).abs() < 1e-9, "{moved}");
    let thin = |rule: &str| raised.findings.iter().filter(|f| f.rule == rule).count();
    assert!(thin("raised-rivets-thin") > 4);
    assert!(
        raised
            .findings
            .iter()
            .any(|f| f.at.plate.as_deref() == Some(OVERLAY))
    );
}

#[test]
fn joints_hold_with_raised_rivets() {
    for joint in class_b("raised", Scale::Seven).joints {
        let (low, high) = joint.limit;
        assert!(
            joint.gap >= low - 1e-9 && joint.gap <= high + 1e-9,
            "{}: {:.4} outside {low} to {high}",
            joint.id,
            joint.gap
        );
    }
}

#[test]
fn an_unknown_word_is_refused() {
    let bytes = b"[rivets]\nmade = \"glued\"\n";
    let problems = format!("{:?}", Model::read("x.toml", bytes, &Overrides::default()));
    assert!(problems.contains("rivets.made"), "{problems}");
}
