//! What the body stands on: footplates, beams, frames, trucks, splashers and steps of the demo engines.
#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

use body::{Body, Model, Overrides, Scale, WheelStandard};

const ALL: [&str; 6] = [
    "class-b", "class-e", "class-s", "class-m", "class-m2", "tender-t",
];

/// Tables of a model file that stand without a boiler.
const OWN: [&str; 7] = [
    "metal",
    "footplate",
    "buffer_beams",
    "drag_beam",
    "buffers",
    "axles",
    "rivets",
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
                for edge in plate.edge_lengths().unwrap() {
                    let case = format!("{name} {} {}", plate.id, edge.name);
                    close(edge.flat, edge.formed, 1e-6, &case);
                }
                let whole = plate.whole().unwrap();
                let (flat, formed) = (whole.flat_area, whole.formed.neutral_area);
                assert!(flat > 0.0, "{name} {}", plate.id);
                close(flat, formed, 1e-9 * flat, &format!("{name} {}", plate.id));
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
