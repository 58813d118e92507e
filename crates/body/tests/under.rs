//! What the body stands on: footplates, beams, frames, trucks, splashers and steps of the demo engines.
#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod plates;

use body::{Body, Model, Overrides, Scale, WheelStandard};
use plates::keeps_its_lengths_and_area;

const ALL: [&str; 6] = [
    "class-b", "class-e", "class-s", "class-m", "class-m2", "tender-t",
];

/// Tables of a model file that stand without a boiler.
const OWN: [&str; 13] = [
    "metal",
    "footplate",
    "buffer_beams",
    "drag_beam",
    "buffers",
    "axles",
    "rivets",
    "outside_frames",
    "cylinders",
    "splashers",
    "steps",
    "sandboxes",
    "frames",
];

/// The model file of a demo engine without what stands on the footplate.
fn lower_half(name: &str) -> String {
    let path = format!(
        "{}/../../demo-models/{name}.toml",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = std::fs::read_to_string(path).unwrap();
    let mut keep = true;
    let mut kept = String::new();
    for line in text.lines() {
        if let Some(table) = line.strip_prefix('[') {
            let table = table.trim_start_matches('[');
            let word = table.split(['.', ']']).next().unwrap();
            keep = OWN.contains(&word);
        }
        if keep {
            kept.push_str(line);
            kept.push('\n');
        }
    }
    kept
}

fn build_text(text: &str, wheels: WheelStandard) -> Body {
    let overrides = Overrides {
        scale: None,
        wheels: Some(wheels),
        ..Overrides::default()
    };
    let model = Model::read("model.toml", text.as_bytes(), &overrides)
        .unwrap_or_else(|error| panic!("{error}"));
    body::build(&model).unwrap_or_else(|error| panic!("{error}"))
}

fn build(name: &str, wheels: WheelStandard) -> Body {
    build_text(&lower_half(name), wheels)
}

#[track_caller]
fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}"
    );
}

fn derived(body: &Body, path: &str) -> f64 {
    let own = body.dimensions.iter().find(|own| own.path == path);
    own.unwrap_or_else(|| panic!("{path} is derived")).mm
}

#[test]
fn every_joint_holds_as_drawn() {
    for name in ALL {
        for wheels in WheelStandard::ALL {
            for joint in build(name, wheels).joints {
                let (low, high) = joint.limit;
                assert!(
                    joint.gap >= low - 1e-9 && joint.gap <= high + 1e-9,
                    "{name} {} at {}: {:.4} outside {low} to {high}",
                    joint.id,
                    wheels.word(),
                    joint.gap
                );
            }
        }
    }
}

/// Lengths agree to 1e-6 mm and areas to 1e-9, flat and formed each measured without the other.
#[test]
fn every_plate_keeps_its_lengths_and_area() {
    for name in ALL {
        for wheels in WheelStandard::ALL {
            for plate in &build(name, wheels).plates {
                keeps_its_lengths_and_area(plate, name);
            }
        }
    }
}

/// The ogees of classes E and M: equal radii r, angle acos(1 − drop/2r), run 2r sin θ, length 2rθ.
#[test]
fn ogees_have_the_figures_of_the_drawing() {
    for (name, angle_deg, run_inches, developed_inches) in [
        ("class-e", 41.41, 13.229, 14.455),
        ("class-m", 44.90, 16.941, 18.808),
    ] {
        for scale in Scale::ALL {
            let wheels = scale.usual_wheels();
            let body = build(name, wheels);
            let inch = scale.mm_per_foot() / 12.0;
            let angle = body
                .angles
                .iter()
                .find(|own| own.path == "footplate.drops[0].angle");
            close(angle.unwrap().radians.to_degrees(), angle_deg, 0.005, name);
            close(
                derived(&body, "footplate.drops[0].run") / inch,
                run_inches,
                0.0006,
                name,
            );
            let along = derived(&body, "footplate.drops[0].developed") / inch;
            close(along, developed_inches, 0.0006, name);
        }
    }
}

/// Along the developed strip everything beyond the ogee of class E lies 0.71 mm further back at 7 mm than in plan.
#[test]
fn slots_beyond_an_ogee_lie_on_the_developed_strip() {
    let body = build("class-e", WheelStandard::Fine);
    let plate = body.plate("footplate").unwrap();
    let front = plate.point("front-left").unwrap();
    let mut beyond = 0;
    for hole in &plate.holes {
        let x = plate.forming.place(hole.centre).point.x;
        let along = hole.centre.y - front.y;
        let inch = 7.0 / 12.0;
        if x > 34.0 * inch {
            close(along - x, 0.7151, 0.001, &hole.feature);
            beyond += 1;
        } else if x < 20.0 * inch {
            close(along - x, 0.0, 1e-9, &hole.feature);
        }
    }
    assert!(
        beyond > 8,
        "{beyond} slots and openings lie beyond the ogee"
    );
}

/// An outline whose sides do not cross one another, sampled by chords.
fn crosses_itself(plate: &body::Plate) -> Option<String> {
    let mut points: Vec<(f64, f64, &str)> = Vec::new();
    for edge in &plate.outline {
        let n = 16;
        for i in 0..n {
            let p = plate
                .flat_point(&edge.curve, f64::from(i) / f64::from(n))
                .unwrap();
            points.push((p.x, p.y, &edge.name));
        }
    }
    let side = |a: (f64, f64, &str), b: (f64, f64, &str), c: (f64, f64, &str)| {
        (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
    };
    let n = points.len();
    for i in 0..n {
        let (a, b) = (points[i], points[(i + 1) % n]);
        for j in i + 2..n {
            if i == 0 && j == n - 1 {
                continue;
            }
            let (c, d) = (points[j], points[(j + 1) % n]);
            let apart =
                side(a, b, c) * side(a, b, d) < -1e-12 && side(c, d, a) * side(c, d, b) < -1e-12;
            if apart {
                return Some(format!("{} over {}", a.2, c.2));
            }
        }
    }
    None
}

#[test]
fn no_outline_crosses_itself() {
    for name in ALL {
        for wheels in WheelStandard::ALL {
            for plate in &build(name, wheels).plates {
                let crossing = crosses_itself(plate);
                assert!(
                    crossing.is_none(),
                    "{name} {} {}: {crossing:?}",
                    wheels.word(),
                    plate.id
                );
            }
        }
    }
}

/// Class E: the strip over a driver of 40½" about an axle at 37½", the footplate at 54": R·2·acos(16.5/R)
/// on the neutral line.
#[test]
fn splasher_strips_have_their_developed_length() {
    for wheels in [WheelStandard::Fine, WheelStandard::P4] {
        let body = build("class-e", wheels);
        let inch = wheels.scale().mm_per_foot() / 12.0;
        let t = body
            .plate("splasher-3-strip-left")
            .unwrap()
            .sheet
            .thickness();
        let neutral = 40.5 * inch - t / 2.0;
        let want = neutral * 2.0 * geom::math::acos(16.5 * inch / neutral);
        close(
            derived(&body, "splashers[0].strip"),
            want,
            1e-9,
            wheels.word(),
        );
    }
}

/// Figures of the drawings (inches).
#[test]
fn wheelbases_and_lengths_are_those_of_the_drawing() {
    let figures = [
        ("class-b", "axles.wheelbase", 260.0),
        ("class-b", "axles.coupled_wheelbase", 182.0),
        ("class-b", "buffers.over", 428.0),
        ("class-e", "axles.wheelbase", 259.0),
        ("class-e", "axles.bogie_wheelbase", 72.0),
        ("class-e", "axles.coupled_wheelbase", 104.0),
        ("class-s", "axles.wheelbase", 135.0),
        ("class-s", "buffers.over", 302.0),
        ("class-m", "axles.coupled_wheelbase", 180.0),
        ("class-m", "axles.wheelbase", 289.0),
        ("tender-t", "axles.wheelbase", 156.0),
    ];
    for (name, path, inches) in figures {
        let body = build(name, WheelStandard::Fine);
        close(
            derived(&body, path),
            inches * 7.0 / 12.0,
            1e-9,
            &format!("{name} {path}"),
        );
    }
    // Engine, gap of 1 ft 3 in and tender.
    for (name, inches) in [("class-e", 653.0), ("class-m", 690.0)] {
        let engine = derived(&build(name, WheelStandard::Fine), "buffers.over");
        let tender = derived(&build("tender-t", WheelStandard::Fine), "buffers.over");
        close((engine + tender) * 12.0 / 7.0 + 15.0, inches, 1e-9, name);
    }
}

/// Frames stand over the width of the standard, and under the footplate everywhere.
#[test]
fn frames_are_made_for_the_wheels() {
    for name in ALL {
        for wheels in WheelStandard::ALL {
            let body = build(name, wheels);
            let footplate = body.plate("footplate").unwrap();
            for (id, sign) in [("frame-left", 1.0), ("frame-right", -1.0)] {
                let frame = body.plate(id).unwrap();
                let half = wheels.dimensions().over_frames / 2.0;
                for edge in &frame.outline {
                    let flat = frame.flat_point(&edge.curve, 0.5).unwrap();
                    let place = frame.forming.place(flat);
                    let outside = place.at_height(frame.sheet.z_high);
                    close(outside.y, sign * half, 1e-9, id);
                    if let Some(loft) = footplate.forming.loft() {
                        let under = loft
                            .under_drill(geom::Vector2::new(0.0, 1.0), place.point.x, 0.5)
                            .unwrap();
                        let z = loft.formed(under).point.z;
                        assert!(
                            place.point.z < z,
                            "{name} {id} {} below the footplate",
                            edge.name
                        );
                    }
                }
            }
            let spacers = body
                .plates
                .iter()
                .filter(|p| p.id.starts_with("spacer-"))
                .count();
            assert!(
                spacers >= 3,
                "{name} at {}: {spacers} spacers",
                wheels.word()
            );
            for end in ["front", "rear"] {
                let hole = footplate.hole(&format!("fixing-{end}"));
                assert!(hole.is_some(), "{name} at {}: fixing {end}", wheels.word());
            }
        }
    }
}

/// Only finer flanges than those of the toy standards clear everything; scale wheels foul nowhere.
#[test]
fn scale_wheels_foul_nothing() {
    for name in ALL {
        for wheels in [WheelStandard::P4, WheelStandard::Exact] {
            for finding in build(name, wheels).findings {
                assert!(
                    finding.severity != body::Severity::Error,
                    "{name} at {}: {}",
                    wheels.word(),
                    finding.sentence
                );
            }
        }
    }
    let body = build("class-e", WheelStandard::Oo);
    let above = body
        .findings
        .iter()
        .find(|own| own.rule == "splasher-above-wheel");
    // 13.5 less 0.3 of strip, less 12.5 of tread and 0.8 of flange.
    close(above.unwrap().found, -0.1, 1e-9, "class E at oo");
}

/// A wheel comes through the footplate only where it is higher than the underside there.
#[test]
fn only_high_wheels_open_the_footplate() {
    let openings = [
        ("class-b", vec![1, 2, 3]),
        ("class-e", vec![3, 4]),
        ("class-s", vec![]),
        ("class-m", vec![2, 3, 4]),
        ("tender-t", vec![]),
    ];
    for (name, axles) in openings {
        let body = build(name, WheelStandard::Exact);
        let plate = body.plate("footplate").unwrap();
        for axle in 1..=5 {
            let open = plate.hole(&format!("wheel-left-{axle}")).is_some();
            assert_eq!(open, axles.contains(&axle), "{name} axle {axle}");
        }
    }
}
