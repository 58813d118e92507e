//! Model files that cannot be built: each says what is wrong and where.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use body::{MODEL_FILE_LIMIT, Model, ModelError, Overrides, Scale};

const CLASS_B: &str = include_str!("../../../demo-models/class-b.toml");

fn fails(text: &str) -> ModelError {
    fails_at(text.as_bytes(), &Overrides::default())
}

fn fails_at(bytes: &[u8], overrides: &Overrides) -> ModelError {
    match Model::read("bad.toml", bytes, overrides) {
        Err(error) => error,
        Ok(model) => match body::build(&model) {
            Err(error) => error,
            Ok(_) => panic!("the model must be refused"),
        },
    }
}

/// Changes one line of the demo model and expects one problem at that line.
#[track_caller]
fn changed(from: &str, to: &str, path: &str, says: &str) {
    assert!(CLASS_B.contains(from), "the demo model has no {from}");
    let text = CLASS_B.replacen(from, to, 1);
    let error = fails(&text);
    let line = text
        .lines()
        .position(|l| to.lines().any(|t| !t.is_empty() && l == t))
        .unwrap_or_default()
        + 1;
    let problem = error
        .problems
        .iter()
        .find(|problem| problem.path == path)
        .unwrap_or_else(|| panic!("no problem at {path}: {error}"));
    assert!(problem.message.contains(says), "{error}");
    assert!(!problem.help.is_empty(), "{error}");
    if to.contains('=') {
        assert_eq!(problem.line, line, "{error}");
        assert!(problem.column > 1, "{error}");
    }
}

#[test]
fn unknown_key_with_a_suggestion() {
    let text = CLASS_B.replacen(
        "pitch = \"7ft 5in\"",
        "pitch = \"7ft 5in\"\npich = \"7ft 5in\"",
        1,
    );
    let error = fails(&text);
    assert_eq!(error.problems.len(), 1, "{error}");
    assert_eq!(error.problems[0].path, "boiler.pich");
    assert!(error.problems[0].help.contains("boiler.pitch"), "{error}");
}

#[test]
fn wrong_units_and_signs() {
    changed(
        "pitch = \"7ft 5in\"",
        "pitch = \"7cm\"",
        "boiler.pitch",
        "is no length",
    );
    changed(
        "pitch = \"7ft 5in\"",
        "pitch = 89",
        "boiler.pitch",
        "no unit",
    );
    changed(
        "pitch = \"7ft 5in\"",
        "pitch = \"-7ft 5in\"",
        "boiler.pitch",
        "cannot be",
    );
    changed(
        "pitch = \"7ft 5in\"",
        "pitch = \"0in\"",
        "boiler.pitch",
        "cannot be",
    );
    changed(
        "pitch = \"7ft 5in\"",
        "pitch = true",
        "boiler.pitch",
        "true or false",
    );
    changed(
        "pitch = \"7ft 5in\"",
        "pitch = \"7000000ft\"",
        "boiler.pitch",
        "cannot be",
    );
    changed(
        "flare_angle_deg = 45",
        "flare_angle_deg = 145",
        "bunker.flare_angle_deg",
        "out of range",
    );
    changed(
        "alloy = \"nickel-silver\"",
        "alloy = \"gold\"",
        "metal.7mm.alloy",
        "not known",
    );
    changed(
        "boiler_base = \"0.30mm\"",
        "boiler_base = \"0.50mm\"",
        "metal.7mm.boiler_base",
        "thicker than the sheet",
    );
}

#[test]
fn impossible_shapes_name_the_dimension() {
    changed(
        "shoulder_radius = \"6in\"",
        "shoulder_radius = \"2ft 8in\"",
        "firebox.shoulder_radius",
        "half width",
    );
    changed(
        "waist_half_width = \"2ft 1 1/2in\"",
        "waist_half_width = \"2ft 5in\"",
        "smokebox.waist_half_width",
        "waist",
    );
    changed(
        "waist_from = \"6ft 4in\"",
        "waist_from = \"4ft 6in\"",
        "firebox.waist_from",
        "below the footplate",
    );
    changed(
        "inner = \"2ft 8in\"",
        "inner = \"4ft 2in\"",
        "side_tanks.inner",
        "wide",
    );
    changed(
        "back = \"26ft 4in\"",
        "back = \"16ft 4in\"",
        "cab.back",
        "ends before",
    );
    changed(
        "half_width = \"4ft 2 1/2in\"",
        "half_width = \"3ft 8in\"",
        "cab.roof.half_width",
        "outside the roof",
    );
}

/// A firebox whose shoulder is wider than its half width at one end.
#[test]
fn firebox_narrower_at_the_shoulder_than_its_radius_allows() {
    let text = CLASS_B
        .replacen(
            "half_width = \"2ft 5 1/2in\"",
            "half_width = \"2ft 1in\"",
            1,
        )
        .replacen(
            "shoulder_radius = \"6in\"",
            "shoulder_radius = \"2ft 3in\"",
            1,
        );
    let error = fails(&text);
    assert_eq!(error.problems[0].path, "firebox.shoulder_radius", "{error}");
    assert!(error.problems[0].help.contains("between"), "{error}");
}

/// One end waisted inwards, the other spreading outwards.
#[test]
fn sections_that_turn_differently() {
    let text = CLASS_B.replace(
        "[firebox.rear]\ncrown = \"9ft 10 1/2in\"\nhalf_width = \"2ft 5 1/2in\"",
        "[firebox.rear]\ncrown = \"9ft 10 1/2in\"\nhalf_width = \"1ft 9in\"",
    );
    let error = fails(&text);
    assert_eq!(error.problems[0].path, "firebox.rear.half_width", "{error}");
    assert!(
        error.problems[0].message.contains("turn differently"),
        "{error}"
    );
}

#[test]
fn files_that_are_no_model() {
    assert!(fails("").to_string().contains("empty"));
    assert!(fails("  \n\t\n").to_string().contains("empty"));
    let error = fails_at(b"title = \"\xff\xfe\"", &Overrides::default());
    assert!(error.to_string().contains("not UTF-8"), "{error}");
    let error = fails_at(&vec![b'#'; MODEL_FILE_LIMIT + 1], &Overrides::default());
    assert!(error.to_string().contains("bytes"), "{error}");
    let error = fails("[boiler]\npitch = \"7ft\npitch2 = 3\n");
    assert_eq!(error.problems[0].line, 2, "{error}");
    let error = fails("title = \"nothing else\"\n");
    assert!(
        error.problems.len() >= 6,
        "every missing dimension is named: {error}"
    );
}

/// A dimension of the 7 mm model means nothing at 4 mm.
#[test]
fn model_dimensions_hold_at_their_own_scale_only() {
    let text = CLASS_B.replacen("pitch = \"7ft 5in\"", "pitch = \"51.92mm\"", 1);
    assert!(Model::read("own.toml", text.as_bytes(), &Overrides::default()).is_ok());
    let other = Overrides {
        scale: Some(Scale::Four),
        wheels: None,
        ..Overrides::default()
    };
    let error = fails_at(text.as_bytes(), &other);
    assert_eq!(error.problems[0].path, "boiler.pitch", "{error}");
}

/// Every problem of a file is named in one reading, in the order of the file.
#[test]
fn all_problems_at_once() {
    let text = CLASS_B
        .replacen("pitch = \"7ft 5in\"", "pitch = \"7\"", 1)
        .replacen(
            "door_diameter = \"4ft 0in\"",
            "door_diametre = \"4ft 0in\"",
            1,
        )
        .replacen("flare_angle_deg = 45", "flare_angle_deg = \"45\"", 1);
    let error = fails(&text);
    let paths: Vec<&str> = error.problems.iter().map(|p| p.path.as_str()).collect();
    assert_eq!(
        paths,
        [
            "boiler.pitch",
            "smokebox.door_diameter",
            "smokebox.door_diametre",
            "bunker.flare_angle_deg"
        ],
        "{error}"
    );
}

#[test]
fn rivets_cannot_run_into_one_another() {
    for key in ["platework", "smokebox", "beams"] {
        let text = format!("{CLASS_B}\n[rivets.{key}]\npitch = \"0.01in\"\nshank = \"0.005in\"\n");
        let error = fails(&text);
        assert_eq!(error.problems.len(), 1, "{error}");
        assert_eq!(error.problems[0].path, format!("rivets.{key}.pitch"));
        assert!(error.problems[0].help.contains("0.25 mm"), "{error}");
    }
}

/// No change of one character or line of the demo model makes reading or building panic.
#[test]
fn damaged_models_never_panic() {
    let mut state = 7u64;
    let mut next = |n: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % n
    };
    let lines: Vec<&str> = CLASS_B.lines().collect();
    for round in 0..400 {
        let mut lines: Vec<String> = lines.iter().map(|l| (*l).to_owned()).collect();
        for _ in 0..=round % 3 {
            let i = next(lines.len());
            match next(4) {
                0 => lines[i].clear(),
                1 => {
                    let digit = char::from(b'0' + next(10) as u8);
                    lines[i] = lines[i]
                        .chars()
                        .map(|c| if c.is_ascii_digit() { digit } else { c })
                        .collect();
                }
                2 => {
                    let other = lines[next(lines.len())].clone();
                    lines[i] = other;
                }
                _ => {
                    let cut = next(lines[i].len() + 1);
                    if lines[i].is_char_boundary(cut) {
                        lines[i].truncate(cut);
                    }
                }
            }
        }
        let text = lines.join("\n");
        if let Ok(model) = Model::read("damaged.toml", text.as_bytes(), &Overrides::default()) {
            let _ = body::build(&model);
        }
    }
}
