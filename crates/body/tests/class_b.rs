//! The demo engine, built at both scales and for every wheel standard.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod plates;

use body::{Body, Model, Overrides, Plate, Scale, Severity, WheelStandard};
use plates::keeps_its_lengths_and_area;
use std::f64::consts::PI;

const CLASS_B: &str = include_str!("../../../demo-models/class-b.toml");

fn overrides(scale: Scale) -> Overrides {
    Overrides {
        scale: Some(scale),
        wheels: None,
        ..Overrides::default()
    }
}

fn build(text: &str, overrides: &Overrides) -> Body {
    let model = Model::read("class-b.toml", text.as_bytes(), overrides)
        .unwrap_or_else(|error| panic!("{error}"));
    body::build(&model).unwrap_or_else(|error| panic!("{error}"))
}

fn length(plate: &Plate, edge: &str) -> f64 {
    let all = plate.edge_lengths().unwrap();
    all.iter().find(|own| own.name == edge).unwrap().flat
}

#[track_caller]
fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}"
    );
}

/// Lengths agree to 1e-6 mm and areas to 1e-9, flat and formed each measured without the other.
#[test]
fn every_plate_keeps_its_lengths_and_area() {
    for scale in Scale::ALL {
        let body = build(CLASS_B, &overrides(scale));
        assert!(body.plates.len() >= 33);
        for plate in &body.plates {
            keeps_its_lengths_and_area(plate, scale.word());
        }
    }
}

/// Perimeters that a hand computation of the drawn outside gives (inches), less the neutral line's
/// share: turning × t/2, that is πt/2 for an arch from foot to foot and πt for a tube.
#[test]
fn perimeters_are_those_of_the_drawing_less_the_neutral_line() {
    let cases = [
        (
            "smokebox-wrapper-overlay",
            "front",
            2.0 * 82.423,
            PI / 2.0,
            0.01,
        ),
        ("firebox-wrapper", "front", 2.0 * 96.062, PI / 2.0, 0.003),
        ("firebox-wrapper", "rear", 2.0 * 94.562, PI / 2.0, 0.003),
        ("cab-roof", "front", 130.29, PI / 2.0, 0.01),
        ("boiler-wrapper", "front", PI * 53.0, PI, 1e-9),
        ("boiler-wrapper", "rear", PI * 58.0, PI, 1e-9),
    ];
    for scale in Scale::ALL {
        let body = build(CLASS_B, &overrides(scale));
        let inch = scale.mm_per_foot() / 12.0;
        for (id, edge, outside_inches, turn_share, tolerance_inches) in cases {
            let plate = body.plate(id).unwrap();
            let want = outside_inches * inch - turn_share * plate.sheet.thickness();
            close(
                length(plate, edge),
                want,
                tolerance_inches * inch,
                &format!("{} {id}", scale.word()),
            );
        }
    }
}

/// The flat of the barrel is the sector of a right cone: radii to the neutral line.
#[test]
fn the_barrel_is_a_right_cone() {
    let body = build(CLASS_B, &overrides(Scale::Seven));
    let plate = body.plate("boiler-wrapper").unwrap();
    let inch = 7.0 / 12.0;
    let (front, rear) = (26.5 * inch - 0.15, 29.0 * inch - 0.15);
    let sector = develop::right_cone(rear, front, 132.0 * inch).unwrap();
    let apex = plate.point("front-crown").unwrap() - geom::Vector2::new(sector.inner_radius, 0.0);
    for (point, radius) in [
        ("front-crown", sector.inner_radius),
        ("seam-left-front", sector.inner_radius),
        ("rear-crown", sector.outer_radius),
        ("seam-right-rear", sector.outer_radius),
    ] {
        close(
            (plate.point(point).unwrap() - apex).norm(),
            radius,
            1e-9,
            point,
        );
    }
    let left = plate.point("seam-left-rear").unwrap() - apex;
    close(
        2.0 * geom::math::atan2(left.y, left.x),
        sector.angle,
        1e-11,
        "angle of the sector",
    );
}

/// Left and right are mirror images: points of a wrapper, holes of the sides.
#[test]
fn left_mirrors_right() {
    let body = build(CLASS_B, &overrides(Scale::Four));
    let firebox = body.plate("firebox-wrapper").unwrap();
    for end in ["front", "rear"] {
        let left = firebox.point(&format!("{end}-left-foot")).unwrap();
        let right = firebox.point(&format!("{end}-right-foot")).unwrap();
        close(left.x, right.x, 1e-9, end);
        close(left.y, -right.y, 1e-9, end);
        assert!(left.y > 0.0);
    }
    let area = |id: &str| body.plate(id).unwrap().whole().unwrap().flat_area;
    for part in [
        "tank-side",
        "tank-front",
        "tank-inner",
        "tank-top",
        "cab-side",
        "valance",
        "bunker-flare",
    ] {
        let (left, right) = (
            area(&format!("{part}-left")),
            area(&format!("{part}-right")),
        );
        close(left, right, 1e-9 * left, part);
    }
    let rivets = |id: &str| body.plate(id).unwrap().rivets.len();
    assert_eq!(
        rivets("tank-side-left-overlay"),
        rivets("tank-side-right-overlay")
    );
    assert_eq!(rivets("cab-side-left"), rivets("cab-side-right"));
}

/// Handrail pillars stand at one height in space though the barrel tapers.
#[test]
fn handrail_holes_are_level() {
    let body = build(CLASS_B, &overrides(Scale::Seven));
    let mut seen = 0;
    for id in ["smokebox-wrapper-overlay", "boiler-wrapper"] {
        let plate = body.plate(id).unwrap();
        for hole in plate
            .holes
            .iter()
            .filter(|hole| hole.feature.starts_with("handrail"))
        {
            let point = plate.forming.place(hole.centre).point;
            close(point.z, 107.0 * 7.0 / 12.0, 1e-9, &hole.feature);
            assert_eq!(
                point.y > 0.0,
                hole.feature.contains("left"),
                "{}",
                hole.feature
            );
            seen += 1;
        }
    }
    assert_eq!(seen, 8);
}

/// Rows end on a rivet and keep one pitch within a twentieth of the drawn one.
#[test]
fn tank_rows_come_out_even() {
    let body = build(CLASS_B, &overrides(Scale::Seven));
    let side = body.plate("tank-side-left-overlay").unwrap();
    let mut bottom: Vec<f64> = side
        .rivets
        .iter()
        .filter(|rivet| rivet.row == "bottom")
        .map(|rivet| rivet.centre.x)
        .collect();
    bottom.sort_by(f64::total_cmp);
    let inch = 7.0 / 12.0;
    close(bottom[0], 1.25 * inch, 1e-9, "first rivet");
    close(
        bottom[bottom.len() - 1],
        (152.0 - 1.25) * inch,
        1e-9,
        "last rivet",
    );
    let pitch = bottom[1] - bottom[0];
    for pair in bottom.windows(2) {
        close(pair[1] - pair[0], pitch, 1e-9, "pitch");
    }
    close(
        pitch,
        2.0 * inch,
        0.05 * 2.0 * inch,
        "pitch against the drawn one",
    );
    for (i, one) in side.rivets.iter().enumerate() {
        for other in &side.rivets[i + 1..] {
            assert!(
                (one.centre - other.centre).norm() >= one.head_diameter,
                "heads touch"
            );
        }
    }
}

/// The sound engine has nothing that counts on wheels it was drawn for.
#[test]
fn the_sound_engine_has_no_findings_that_count() {
    for (scale, wheels) in [
        (Scale::Seven, WheelStandard::Fine),
        (Scale::Seven, WheelStandard::Exact),
        (Scale::Four, WheelStandard::P4),
        (Scale::Four, WheelStandard::Em),
    ] {
        let overrides = Overrides {
            scale: Some(scale),
            wheels: Some(wheels),
            ..Overrides::default()
        };
        let body = build(CLASS_B, &overrides);
        let counting: Vec<_> = body.findings.iter().filter(|f| f.counts()).collect();
        assert!(counting.is_empty(), "{} {counting:?}", wheels.word());
        for joint in &body.joints {
            assert!(
                joint.limit.0 <= joint.gap && joint.gap <= joint.limit.1,
                "{}: {} outside {:?}",
                joint.id,
                joint.gap,
                joint.limit
            );
        }
    }
}

/// 16.0 mm of firebox do not pass between wheels 14.5 mm apart.
#[test]
fn narrow_gauge_wheels_foul_the_lower_firebox() {
    let overrides = Overrides {
        scale: None,
        wheels: Some(WheelStandard::Oo),
        ..Overrides::default()
    };
    let body = build(CLASS_B, &overrides);
    let fouls: Vec<_> = body
        .findings
        .iter()
        .filter(|f| f.rule == "wheel-fouls-firebox")
        .collect();
    // The flanges of the driving and the trailing coupled wheels reach beside the box.
    assert_eq!(fouls.len(), 2, "{fouls:?}");
    assert_eq!(fouls[0].severity, Severity::Error);
    close(fouls[0].found, -0.75, 1e-9, "overlap each side");
}

/// A wrapper tighter than five thicknesses takes the bend rule: its flat is shorter, both states agree.
#[test]
fn tight_shoulders_follow_the_bend_rule() {
    let tight = CLASS_B.replace("shoulder_radius = \"6in\"", "shoulder_radius = \"2in\"");
    let rule = |word: &str| {
        tight.replace(
            "boiler_base = \"0.30mm\"",
            &format!("boiler_base = \"0.30mm\"\nbend_rule = \"{word}\""),
        )
    };
    let mut lengths = Vec::new();
    for word in ["din", "soft", "half-hard", "hard"] {
        let body = build(&rule(word), &Overrides::default());
        let plate = body.plate("firebox-wrapper").unwrap();
        keeps_its_lengths_and_area(plate, word);
        lengths.push(length(plate, "front"));
    }
    // DIN 6935 takes a little less than soft brass here; soft less than half-hard, half-hard less than hard.
    assert!(
        lengths[1] < lengths[2] && lengths[2] < lengths[3],
        "{lengths:?}"
    );
}

/// The bends of the firebox are those of its section, mirrored, and turn it through what the section turns.
#[test]
fn bends_are_those_of_the_section() {
    let body = build(CLASS_B, &overrides(Scale::Seven));
    let firebox = body::bends(body.plate("firebox-wrapper").unwrap());
    assert_eq!(firebox.len(), 7);
    for (one, other) in firebox.iter().zip(firebox.iter().rev()) {
        close(one.angle, other.angle, 1e-9, "both hands alike");
        close(one.inside.0, other.inside.0, 1e-9, "both hands alike");
        assert_eq!(one.towards, other.towards);
    }
    // Inside radii: outside ones of the drawing at 7 mm scale less the sheet; the concave waist is given on its inside.
    let inch = 7.0 / 12.0;
    for (bend, outside) in [(2, 6.0), (3, 144.0)] {
        let want = outside * inch - 0.45;
        close(firebox[bend].inside.0, want, 1e-9, "inside radius");
        assert_eq!(firebox[bend].towards, body::Face::Inside);
    }
    close(firebox[0].inside.0, 18.0 * inch, 1e-9, "concave waist");
    assert_eq!(firebox[0].towards, body::Face::Outside);
    let signed = |bend: &body::Bend| match bend.towards {
        body::Face::Inside => bend.angle,
        body::Face::Outside => -bend.angle,
    };
    close(firebox.iter().map(signed).sum(), PI, 1e-9, "net turning");
    // Each tool springs to the bend, in the metal that bends.
    for bend in &firebox {
        let tool = bend.tools[0].ends[0].as_ref().unwrap();
        let left = develop::spring_back(tool.radius, 0.45, 400.0, 125_000.0).unwrap();
        close(left.radius, bend.inside.0, 1e-6, "radius left");
    }
    // The boiler bends in its base, and in the whole sheet where bands stand.
    let boiler = body::bends(body.plate("boiler-wrapper").unwrap());
    let [barrel] = boiler.as_slice() else {
        panic!("a barrel is one bend: {boiler:?}");
    };
    close(barrel.angle, 2.0 * PI, 1e-9, "all round");
    assert!(barrel.is_rolled());
    let metals: Vec<f64> = barrel.tools.iter().map(|own| own.thickness).collect();
    assert_eq!(metals.len(), 2);
    close(metals[0], 0.30, 1e-9, "base");
    close(metals[1], 0.40, 1e-9, "at bands");
    // Flat plates have none; folded ones bend in their grooves.
    assert!(body::bends(body.plate("cab-front").unwrap()).is_empty());
    let beam = body::bends(body.plate("buffer-beam-front").unwrap());
    assert!(!beam.is_empty() && beam.iter().all(|bend| bend.is_fold));
}
