//! Variants of a model file, the lengths that a model was made from, and what follows from them.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use body::{InputOrigin, Model, ModelError, Overrides, Scale};

const CLASS_B: &str = include_str!("../../../demo-models/class-b.toml");

fn read(more: &str, variant: Option<&str>) -> Result<Model, ModelError> {
    let overrides = Overrides {
        variant: variant.map(str::to_owned),
        ..Overrides::default()
    };
    let text = format!("{CLASS_B}\n{more}");
    Model::read("variants.toml", text.as_bytes(), &overrides)
}

#[track_caller]
fn fails(more: &str, variant: Option<&str>) -> ModelError {
    read(more, variant).expect_err("the model must be refused")
}

/// Length on the model (mm) of a key.
#[track_caller]
fn mm(model: &Model, path: &str) -> f64 {
    let input = model.inputs.iter().find(|input| input.path == path);
    input.unwrap_or_else(|| panic!("{path} is not read")).mm
}

/// Line of a text in the file that `read` makes, from 1.
fn line_of(more: &str, text: &str) -> usize {
    let whole = format!("{CLASS_B}\n{more}");
    let found = whole.lines().position(|line| line.contains(text));
    found.unwrap() + 1
}

const LATE: &str = r#"
[variants.late]
title = "Class B, late chimney"

[variants.late.chimney]
top = "12ft 6in"

[variants.early.cab.roof]
top = "12ft 0in"
"#;

/// 12 ft 6 in at 7 mm to the foot is 87.5 mm; everything else stays.
#[test]
fn a_variant_stands_over_the_file() {
    let (base, late) = (read(LATE, None).unwrap(), read(LATE, Some("late")).unwrap());
    assert!((mm(&base, "chimney.top") - 88.666_666_666_666_67).abs() < 1e-9);
    assert!((mm(&late, "chimney.top") - 87.5).abs() < 1e-9);
    assert_eq!(late.title, "Class B, late chimney");
    assert_eq!(late.variant.as_deref(), Some("late"));
    for input in &base.inputs {
        let changed = input.path == "chimney.top";
        assert_eq!(
            mm(&late, &input.path) != input.mm,
            changed,
            "{}",
            input.path
        );
    }
    let early = read(LATE, Some("early")).unwrap();
    assert_eq!(mm(&early, "cab.roof.top"), 84.0);
    let listed: Vec<(&str, &str)> = base
        .variants
        .iter()
        .map(|own| (own.name.as_str(), own.title.as_str()))
        .collect();
    assert_eq!(
        listed,
        [("early", "early"), ("late", "Class B, late chimney")]
    );
}

#[test]
fn a_variant_can_leave_out_and_replace_lists() {
    let text = r#"
[variants.plain]
without = ["dome", "boiler.washouts", "boiler.band_pitch"]

[[variants.plain.axles]]
x = "6ft 0in"
diameter = "4ft 9in"

[[variants.plain.axles]]
x = "14ft 0in"
diameter = "4ft 9in"

[variants.plain.handrails]
pillars = ["5ft 0in"]
"#;
    let model = read(text, Some("plain")).unwrap();
    let paths: Vec<&str> = model.inputs.iter().map(|own| own.path.as_str()).collect();
    assert!(!paths.iter().any(|path| path.starts_with("dome.")));
    assert!(!paths.iter().any(|path| path.starts_with("boiler.washouts")));
    let under = |prefix: &str| paths.iter().filter(|path| path.starts_with(prefix)).count();
    assert_eq!((under("axles["), under("handrails.pillars[")), (4, 1));
    // A key that is taken away has its default again: 3 ft.
    let pitch = model
        .inputs
        .iter()
        .find(|own| own.path == "boiler.band_pitch")
        .unwrap();
    assert_eq!(pitch.mm, 21.0);
    assert!(matches!(pitch.origin, InputOrigin::Default(_)));
    let body = body::build(&model).unwrap();
    assert!(body.fittings.iter().all(|fitting| fitting.id != "dome"));
}

#[test]
fn a_wrong_variant_is_refused_whether_chosen_or_not() {
    for (key, says) in [
        ("topp = \"12ft\"", "not known"),
        ("top = \"12 yards\"", "no length"),
        ("top = 12", "no unit"),
        ("top = \"0in\"", "cannot be"),
    ] {
        let text = format!("[variants.late.chimney]\n{key}\n");
        let word = key.split(' ').next().unwrap();
        for variant in [None, Some("late")] {
            let error = fails(&text, variant);
            let problem = &error.problems[0];
            assert_eq!(error.problems.len(), 1, "{error}");
            assert_eq!(problem.path, format!("variants.late.chimney.{word}"));
            assert_eq!(problem.line, line_of(&text, key), "{error}");
            assert!(problem.message.contains(says), "{error}");
        }
    }
    // What the variant brings about elsewhere names the variant.
    let error = fails("[variants.bare]\nwithout = [\"boiler\"]\n", None);
    assert!(error.to_string().contains("in variant bare"), "{error}");
    assert!(error.to_string().contains("stands alone"), "{error}");
}

#[test]
fn an_unknown_variant_names_those_that_there_are() {
    let error = fails(LATE, Some("lat"));
    assert!(error.to_string().contains("it has early, late"), "{error}");
    assert_eq!(error.problems[0].path, "variants");
    let error = fails("", Some("late"));
    assert!(error.to_string().contains("it has none"), "{error}");
}

#[test]
fn what_is_no_variant_is_refused_at_its_place() {
    for (text, path, says) in [
        ("[variants.Late]\n", "variants.Late", "no name"),
        ("[variants]\nlate = 3\n", "variants.late", "table"),
        (
            "[variants.late]\nwithout = \"dome\"\n",
            "variants.late.without",
            "list",
        ),
        (
            "[variants.late]\nwithout = [\"domes\"]\n",
            "variants.late.without",
            "no \"domes\"",
        ),
        (
            "[variants.late.variants.later]\n",
            "variants.late.variants",
            "of its own",
        ),
    ] {
        let error = fails(text, None);
        assert_eq!(error.problems[0].path, path, "{error}");
        assert!(error.problems[0].message.contains(says), "{error}");
        assert!(error.problems[0].line > CLASS_B.lines().count(), "{error}");
    }
    let many: String = (0..33).map(|i| format!("[variants.v{i}]\n")).collect();
    assert!(fails(&many, None).to_string().contains("more than 32"));
}

/// A shape that only the variant makes impossible is shown at the variant's own line.
#[test]
fn an_impossible_shape_of_a_variant_has_its_place() {
    let text = "[variants.short.cab]\nback = \"19ft 0in\"\n";
    assert!(body::build(&read(text, None).unwrap()).is_ok());
    let error = body::build(&read(text, Some("short")).unwrap()).unwrap_err();
    assert_eq!(error.problems[0].path, "variants.short.cab.back");
    assert_eq!(error.problems[0].line, line_of(text, "back = \"19ft"));
}

/// A model dimension holds at the file's own scale only; in a variant that is not chosen it waits.
#[test]
fn model_dimensions_of_a_variant_do_not_bar_the_other_scale() {
    let text = format!("{CLASS_B}\n[variants.late.chimney]\ntop = \"80mm\"\n");
    let at = |variant: Option<&str>| Overrides {
        scale: Some(Scale::Four),
        variant: variant.map(str::to_owned),
        ..Overrides::default()
    };
    assert!(Model::read("m.toml", text.as_bytes(), &at(None)).is_ok());
    let error = Model::read("m.toml", text.as_bytes(), &at(Some("late"))).unwrap_err();
    assert_eq!(error.problems[0].path, "variants.late.chimney.top");
}

#[test]
fn inputs_say_where_they_are_from() {
    let text = "[variants.late.chimney]\ntop = \"12ft 6in\"\n";
    let model = read(text, Some("late")).unwrap();
    let input = |path: &str| model.inputs.iter().find(|own| own.path == path).unwrap();
    let pitch = input("boiler.pitch");
    assert_eq!(pitch.full_size.unwrap().in_inches(), 89.0);
    assert_eq!(pitch.full_size.unwrap().words(), "7ft 5in");
    assert!((pitch.mm - 89.0 * 7.0 / 12.0).abs() < 1e-12);
    assert_eq!(pitch.origin, InputOrigin::File("7ft 5in".to_owned()));
    assert_eq!(
        input("chimney.top").origin,
        InputOrigin::Variant("12ft 6in".to_owned())
    );
    let sheet = input("metal.7mm.boiler");
    assert_eq!((sheet.mm, sheet.full_size), (0.4, None));
    let width = input("boiler.band_width");
    assert_eq!(width.full_size.unwrap().in_inches(), 2.0);
    assert!(matches!(&width.origin, InputOrigin::Default(source) if source.contains("practice")));
    let mut paths: Vec<&str> = model.inputs.iter().map(|own| own.path.as_str()).collect();
    let all = paths.len();
    paths.sort_unstable();
    paths.dedup();
    assert_eq!(paths.len(), all, "each length is listed once");
}

/// Worked by hand from the drawing figures (inches full size): flare of radius 10 at 45°; eaves of a
/// roof of 84 and 24 inch radii; smokebox of 27.5 turning into 8 at a waist of 25.5.
#[test]
fn derived_dimensions_of_the_demo_engine() {
    let model = read("", None).unwrap();
    let body = body::build(&model).unwrap();
    let inches = |path: &str| {
        let found = body.dimensions.iter().find(|own| own.path == path);
        found.unwrap_or_else(|| panic!("{path}")).mm * 12.0 / 7.0
    };
    let close = |path: &str, want: f64| {
        let got = inches(path);
        assert!((got - want).abs() < 1e-9, "{path}: got {got}, want {want}");
    };
    let half = 0.5_f64.sqrt();
    close("bunker.flare_out", 10.0 * (1.0 - half));
    close("bunker.flare_up", 10.0 * half);
    close("bunker.height_over_flare", 102.0 + 10.0 * half);
    // The corner's centre lies 50.5 - 24 from the centre line, on a circle of 84 - 24 about the crown's.
    let rise = (60.0_f64 * 60.0 - 26.5 * 26.5).sqrt();
    close("cab.eaves_height", 146.0 - 84.0 + rise);
    let crown = geom::math::asin(26.5_f64 / 60.0);
    let quarter = std::f64::consts::FRAC_PI_2;
    close(
        "cab.roof.developed_length",
        2.0 * (84.0 * crown + 24.0 * (quarter - crown)),
    );
    // Centres 35.5 apart, the second 25.5 + 8 from the centre line.
    let turn = geom::math::acos(33.5_f64 / 35.5);
    let leg = 89.0 - 50.0 - 35.5 * geom::math::sin(turn);
    close(
        "smokebox.half_perimeter",
        27.5 * (quarter + turn) + 8.0 * turn + leg,
    );
    assert!((body.angles[0].radians - turn).abs() < 1e-12);
    assert!(inches("firebox.front.half_perimeter") > inches("firebox.rear.half_perimeter"));
}
