//! Smokebox, saddle, boiler and their fittings of the demo engines, each front end on its footplate.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod plates;

use body::{Body, Model, Overrides, Scale};
use plates::keeps_its_lengths_and_area;

const CLASSES: [(&str, &str); 5] = [
    ("B", include_str!("../../../demo-models/class-b.toml")),
    ("E", include_str!("../../../demo-models/class-e.toml")),
    ("S", include_str!("../../../demo-models/class-s.toml")),
    ("M", include_str!("../../../demo-models/class-m.toml")),
    ("M2", include_str!("../../../demo-models/class-m2.toml")),
];

/// Tables of a model file that the front end needs.
const FRONT: [&str; 14] = [
    "metal.7mm",
    "metal.4mm",
    "boiler",
    "boiler.rings",
    "boiler.washouts",
    "chimney",
    "dome",
    "handrails",
    "smokebox",
    "smokebox.saddle",
    "footplate",
    "footplate.valances",
    "buffer_beams",
    "buffers",
];

/// The file with those tables only, and one axle.
fn front_of(text: &str) -> String {
    let mut on = true;
    let mut out: String = text
        .lines()
        .filter(|line| {
            if line.starts_with('[') {
                let name = line.split(']').next().unwrap_or_default();
                on = FRONT.contains(&name.trim_start_matches('['));
            }
            on
        })
        .flat_map(|line| [line, "\n"])
        .collect();
    out.push_str("[[axles]]\nx = \"6ft\"\ndiameter = \"3ft\"\n");
    out
}

fn build(text: &str, scale: Scale) -> Body {
    let overrides = Overrides {
        scale: Some(scale),
        wheels: None,
        variant: None,
    };
    let model = Model::read("demo.toml", text.as_bytes(), &overrides)
        .unwrap_or_else(|error| panic!("{error}: {error:?}"));
    body::build(&model).unwrap_or_else(|error| panic!("{error}: {error:?}"))
}

#[track_caller]
fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}"
    );
}

#[test]
fn every_joint_holds_as_drawn() {
    for (class, text) in CLASSES {
        for scale in Scale::ALL {
            let body = build(&front_of(text), scale);
            let own = body.joints.iter().filter(|joint| {
                ["smokebox", "boiler"]
                    .iter()
                    .any(|part| joint.a.plate.starts_with(part))
            });
            let mut seen = 0;
            for joint in own {
                let (low, high) = joint.limit;
                assert!(
                    joint.gap >= low - 1e-9 && joint.gap <= high + 1e-9,
                    "{class} {}: {} is {:.4}, outside {low} to {high}",
                    scale.word(),
                    joint.id,
                    joint.gap
                );
                seen += 1;
            }
            assert!(seen >= 12, "{class} has {seen} joints");
        }
    }
}

/// Lengths agree to 1e-6 mm and areas to 1e-9, flat and formed each measured without the other.
#[test]
fn every_plate_keeps_its_lengths_and_area() {
    for (class, text) in CLASSES {
        for scale in Scale::ALL {
            for plate in &build(&front_of(text), scale).plates {
                keeps_its_lengths_and_area(plate, &format!("{class} {}", scale.word()));
            }
        }
    }
}

/// The flat-bottom barrel is an oblique cone: 8.7435° in all, the bottom line level, and the lengths of
/// its generators those of the drawing, 144.000, 144.085 and 144.170 in.
///
/// The angle and the slopes of the generators depend on the taper alone, not on the metal.
#[test]
fn flat_bottom_taper_develops_as_an_oblique_cone() {
    let (_, text) = CLASSES[3];
    for scale in Scale::ALL {
        let inch = scale.mm_per_foot() / 12.0;
        let body = build(&front_of(text), scale);
        let plate = body.plate("boiler-wrapper").unwrap();
        let half = plate.sheet.thickness() / 2.0;
        let at = |name: &str| plate.point(name).unwrap();
        let along = |from: &str, to: &str| at(to) - at(from);
        let crown = along("front-crown", "rear-crown");
        let (left, right) = (
            along("seam-left-front", "seam-left-rear"),
            along("seam-right-front", "seam-right-rear"),
        );
        close(crown.norm(), 144.170 * inch, 0.0005 * inch, "top generator");
        close(left.norm(), 144.000 * inch, 1e-9, "bottom generator");
        let angle = geom::math::atan2(left.y, left.x) - geom::math::atan2(right.y, right.x);
        close(angle.to_degrees(), 8.7435, 5e-5, "total angle");
        // The apex lies where the seams meet; radii from it are those of the drawing reduced to mid-sheet.
        let apex = at("front-crown").x - (28.0 * inch - half) / (3.5 * inch) * 144.170 * inch;
        let origin = geom::Point2::new(apex, 0.0);
        let to_outside = half / (3.5 * inch);
        for (point, want, slope) in [
            ("front-crown", 1153.360, 144.170),
            ("rear-crown", 1297.530, 144.170),
            ("seam-left-front", 1152.0, 144.0),
            ("seam-right-rear", 1296.0, 144.0),
        ] {
            let radius = (at(point) - origin).norm() + to_outside * slope * inch;
            close(radius, want * inch, 0.005 * inch, point);
        }
        for seam in ["seam-left-front", "seam-left-rear"] {
            let height = plate.forming.place(at(seam)).point.z;
            close(height, 72.0 * inch + half, 1e-9, seam);
        }
    }
}

/// A ring joint: both rings end at one place on one former, under a band that stands on one ring only.
#[test]
fn two_rings_meet_under_a_band() {
    let (_, text) = CLASSES[4];
    let body = build(&front_of(text), Scale::Seven);
    let inch = 7.0 / 12.0;
    let (front, rear) = (
        body.plate("boiler-wrapper-1").unwrap(),
        body.plate("boiler-wrapper-2").unwrap(),
    );
    let place =
        |plate: &body::Plate, point: &str| plate.forming.place(plate.point(point).unwrap()).point;
    for point in ["crown", "seam-left"] {
        let (a, b) = if point == "crown" {
            (place(front, "rear-crown"), place(rear, "front-crown"))
        } else {
            (
                place(front, "seam-left-rear"),
                place(rear, "seam-left-front"),
            )
        };
        close((a - b).norm(), 0.0, 1e-9, point);
        close(a.x, 161.0 * inch, 1e-9, point);
    }
    let at_joint = |plate: &body::Plate, v: f64| {
        plate
            .regions
            .iter()
            .filter(|region| region.purpose == body::Purpose::Band)
            .filter(|region| {
                region.boundary.iter().any(|curve| {
                    matches!(curve, body::Curve::Surface(develop::Trace::Section { v: own, .. }) if *own == v)
                })
            })
            .count()
    };
    assert_eq!(at_joint(front, 1.0), 1);
    assert_eq!(at_joint(rear, 0.0), 0);
    assert!(body.plate("boiler-former-joint-1").is_some());
    assert!(body.plate("boiler-joint-strip-2").is_some());
    // The taper ring alone is steeper than the barrel of one ring: 3½ in. in 84.
    close(
        (place(rear, "rear-crown").z - place(rear, "front-crown").z) / inch,
        7.0,
        1e-9,
        "rise of the top line",
    );
}

/// Rings of unlike size at their joint get a former each, and a finding if the band does not hide the step.
#[test]
fn a_step_between_rings_shows() {
    let (_, text) = CLASSES[4];
    let front = front_of(text);
    for (second, formers, found) in [
        ("4ft 8in", 3, false),
        ("4ft 8 1/4in", 4, false),
        ("4ft 9in", 4, true),
    ] {
        let stepped = front.replacen(
            "length = \"7ft 0in\"\nfront_diameter = \"4ft 8in\"",
            &format!("length = \"7ft 0in\"\nfront_diameter = \"{second}\""),
            1,
        );
        let body = build(&stepped, Scale::Seven);
        let count = body
            .plates
            .iter()
            .filter(|plate| plate.id.starts_with("boiler-former"))
            .count();
        assert_eq!(count, formers, "{second}");
        for joint in body
            .joints
            .iter()
            .filter(|j| j.a.plate.starts_with("boiler-former"))
        {
            let (low, high) = joint.limit;
            assert!(
                joint.gap >= low && joint.gap <= high,
                "{second}: {} is {:.4}",
                joint.id,
                joint.gap
            );
        }
        let shows = body.findings.iter().any(|f| f.rule == "ring-step-shows");
        assert_eq!(shows, found, "{second}");
    }
}
