//! Fireboxes and cabs of the demo engines by themselves, and the shapes that no demo engine has.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod plates;

use body::{Body, Curve, Model, Overrides, Plate, Scale, WheelStandard};
use geom::{FlatPoint, Segment};
use plates::keeps_its_lengths_and_area;

const CLASSES: [&str; 5] = ["class-b", "class-e", "class-s", "class-m", "class-m2"];

/// The tables of a demo model that firebox and cab stand on, so that a test asks for nothing else.
fn alone(name: &str) -> String {
    let path = format!(
        "{}/../../demo-models/{name}.toml",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = std::fs::read_to_string(path).unwrap();
    let kept = [
        "[metal",
        "[boiler",
        "[[boiler",
        "[firebox",
        "[cab",
        "[footplate]",
        "[buffer_beams]",
        "[buffers]",
        "[safety_valves]",
        "[[axles]]",
    ];
    let mut keep = true;
    let mut out = String::new();
    for line in text.lines() {
        if line.starts_with('[') {
            keep = kept.iter().any(|table| line.starts_with(table));
        }
        if keep && !line.starts_with("kind = ") {
            out.push_str(line);
            out.push('\n');
        }
    }
    out
}

fn read(text: &str, scale: Scale) -> Result<Body, body::ModelError> {
    let overrides = Overrides {
        scale: Some(scale),
        wheels: (scale == Scale::Four).then_some(WheelStandard::P4),
        ..Overrides::default()
    };
    body::build(&Model::read("model.toml", text.as_bytes(), &overrides)?)
}

fn build(text: &str, scale: Scale) -> Body {
    read(text, scale).unwrap_or_else(|error| panic!("{error}"))
}

/// Every joint within its limits, every plate's edges and area the same flat and formed.
#[track_caller]
fn sound(body: &Body, case: &str) {
    for joint in &body.joints {
        let (low, high) = joint.limit;
        assert!(
            joint.gap >= low - 1e-9 && joint.gap <= high + 1e-9,
            "{case}: {}: {:.4} outside {low} to {high}",
            joint.id,
            joint.gap
        );
    }
    for plate in &body.plates {
        keeps_its_lengths_and_area(plate, case);
        let ends: Vec<_> = plate
            .outline
            .iter()
            .map(|edge| [0.0, 1.0].map(|t| plate.flat_point(&edge.curve, t).unwrap()))
            .collect();
        for (i, end) in ends.iter().enumerate() {
            let next = ends[(i + 1) % ends.len()][0];
            assert!(
                (end[1] - next).norm() < 1e-6,
                "{case}: the outline of {} is open after {}",
                plate.id,
                plate.outline[i].name
            );
        }
    }
    let counted: Vec<_> = body
        .findings
        .iter()
        .filter(|f| f.counts() && (f.path.starts_with("firebox") || f.path.starts_with("cab")))
        // Boxes that stand straight down are wider than wheels allow.
        .filter(|f| f.rule != "wheel-fouls-firebox")
        .collect();
    assert!(counted.is_empty(), "{case}: {counted:?}");
}

#[track_caller]
fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}"
    );
}

fn edge_length(plate: &Plate, name: &str) -> f64 {
    let all = plate.edge_lengths().unwrap();
    all.iter()
        .filter(|own| own.name == name)
        .map(|own| own.flat)
        .sum()
}

#[test]
fn demo_engines_are_sound() {
    for name in CLASSES {
        for scale in Scale::ALL {
            let body = build(&alone(name), scale);
            sound(&body, &format!("{name} {}", scale.word()));
            for id in [
                "firebox-wrapper",
                "firebox-backhead",
                "cab-front-overlay",
                "cab-roof",
            ] {
                assert!(body.plate(id).is_some(), "{name}: {id}");
            }
        }
    }
}

/// Half perimeters over the outside, roofs and eaves as a hand computation gives them (inches).
#[test]
fn drawn_figures() {
    let boxes = [
        ("class-b", 96.062, 94.562),
        ("class-e", 87.541, 87.541),
        ("class-m", 114.817, 103.647),
        ("class-m2", 114.817, 103.647),
    ];
    let roofs = [
        ("class-b", 130.29, 115.875),
        ("class-e", 119.29, 120.875),
        ("class-s", 116.34, 109.0),
        ("class-m", 126.97, 122.5),
    ];
    for scale in Scale::ALL {
        let inch = scale.mm_per_foot() / 12.0;
        let figure = |body: &Body, path: &str| {
            let found = body.dimensions.iter().find(|own| own.path == path);
            found.unwrap_or_else(|| panic!("{path}")).mm / inch
        };
        for (name, front, rear) in boxes {
            let body = build(&alone(name), scale);
            close(
                figure(&body, "firebox.front.half_perimeter"),
                front,
                1e-3,
                name,
            );
            close(
                figure(&body, "firebox.rear.half_perimeter"),
                rear,
                1e-3,
                name,
            );
            // From foot to foot the section turns by half a turn: the neutral line is πt/2 shorter.
            let wrapper = body.plate("firebox-wrapper").unwrap();
            let shorter = geom::math::FRAC_PI_2 * wrapper.sheet.thickness();
            close(
                edge_length(wrapper, "front"),
                2.0 * front * inch - shorter,
                2e-3 * inch,
                name,
            );
        }
        for (name, developed, eaves) in roofs {
            let body = build(&alone(name), scale);
            // Given to a hundredth of an inch; the neutral line is left out of it.
            close(
                figure(&body, "cab.roof.developed_length"),
                developed,
                0.01,
                name,
            );
            // Given to an eighth of an inch.
            close(figure(&body, "cab.eaves_height"), eaves, 0.0626, name);
        }
    }
}

/// Corners of the flats of B and M at 7 mm scale, worked by hand without thickness (mm).
#[test]
fn corners_of_the_flats() {
    for (name, front, rear) in [
        ("class-m", (5.520, 66.664), (57.618, 60.179)),
        ("class-b", (0.942, 56.026), (39.432, 55.151)),
    ] {
        let body = build(&alone(name), Scale::Seven);
        let wrapper = body.plate("firebox-wrapper").unwrap();
        let shorter = geom::math::PI / 4.0 * wrapper.sheet.thickness();
        for (point, want) in [("front-left-foot", front), ("rear-left-foot", rear)] {
            let got = wrapper.point(point).unwrap();
            // The half flat is shorter by a quarter turn of half the thickness; x moves less than a hundredth.
            close(got.x, want.0, 0.02, name);
            close(got.y, want.1 - shorter, 0.02, name);
        }
    }
}

/// Pieces of the waists: the round top of E turns through 33.56°, M through 42.43° and 31.00°.
#[test]
fn waist_angles() {
    for (name, angles) in [
        ("class-e", vec![33.56, 33.56]),
        ("class-m", vec![42.43, 31.00]),
    ] {
        let body = build(&alone(name), Scale::Seven);
        let wrapper = body.plate("firebox-wrapper").unwrap();
        let loft = wrapper.forming.loft().unwrap();
        for (v, want) in [(0.0, angles[0]), (1.0, angles[1])] {
            let turned: f64 = loft
                .section_at(v)
                .segments()
                .iter()
                .map(Segment::turn)
                .filter(|turn| *turn > 0.0)
                .sum();
            close(turned.to_degrees() / 2.0, want, 5e-3, name);
        }
    }
}

fn changed(name: &str, changes: &[(&str, &str)]) -> String {
    let mut text = alone(name);
    for (from, to) in changes {
        assert!(text.contains(from), "{name} has no {from}");
        text = text.replacen(from, to, 1);
    }
    text
}

/// Shapes of fireboxes that no demo engine has.
#[test]
fn other_fireboxes() {
    let b_waist = "waist_from = \"6ft 4in\"\nwaist_convex_radius = \"1ft 6in\"\n\
                   waist_concave_radius = \"1ft 6in\"\nbottom_half_width = \"2ft 0in\"\n";
    let cases: Vec<(&str, String)> = vec![
        (
            "flat crown",
            changed("class-b", &[("crown_radius = \"12ft 0in\"\n", "")]),
        ),
        (
            "flat crown at the front only",
            changed(
                "class-m",
                &[
                    ("crown_radius = \"20ft 0in\"\n", ""),
                    (
                        "[firebox.rear]",
                        "[firebox.rear]\ncrown_radius = \"20ft 0in\"",
                    ),
                ],
            ),
        ),
        ("no waist", changed("class-b", &[(b_waist, "")])),
        (
            "leaning sides",
            changed(
                "class-b",
                &[("[firebox] #", "[firebox]\nside_lean_deg = 2 #")],
            ),
        ),
        (
            "sides that lean unequally and stand straight down",
            changed(
                "class-b",
                &[
                    (b_waist, ""),
                    ("[firebox.front]", "[firebox.front]\nside_lean_deg = -2"),
                    ("[firebox.rear]", "[firebox.rear]\nside_lean_deg = 1"),
                ],
            ),
        ),
        (
            "unequal shoulders",
            changed(
                "class-m",
                &[(
                    "[firebox.rear]",
                    "[firebox.rear]\nshoulder_radius = \"5in\"",
                )],
            ),
        ),
        (
            "raised and tapering round top",
            changed(
                "class-e",
                &[(
                    "bottom_half_width = \"2ft 0in\"\n",
                    "bottom_half_width = \"2ft 0in\"\n[firebox.front]\nradius = \"2ft 7in\"\n",
                )],
            ),
        ),
        (
            "round top straight into its waist",
            changed(
                "class-e",
                &[(
                    "waist_from = \"7ft 2in\"\nwaist_convex_radius = \"1ft 3in\"\n",
                    "",
                )],
            ),
        ),
        (
            "round top by default",
            changed("class-e", &[("radius = \"2ft 5in\"\n", "")]),
        ),
        (
            "sloping backhead",
            changed(
                "class-b",
                &[("[firebox] #", "[firebox]\nbackhead_slope_deg = 6 #")],
            ),
        ),
        (
            "sloping backhead of unequal ends",
            changed(
                "class-m",
                &[("[firebox] #", "[firebox]\nbackhead_slope_deg = 6 #")],
            ),
        ),
        (
            "sloping throat",
            changed(
                "class-b",
                &[("[firebox] #", "[firebox]\nthroat_slope_deg = 10 #")],
            ),
        ),
        (
            "washouts",
            changed(
                "class-b",
                &[(
                    "[firebox.front]",
                    "[[firebox.washouts]]\nx = \"17ft 0in\"\nheight = \"9ft 0in\"\n\n[firebox.front]",
                )],
            ),
        ),
    ];
    for (case, text) in cases {
        for scale in Scale::ALL {
            let body = build(&text, scale);
            sound(&body, &format!("{case} {}", scale.word()));
        }
    }
}

/// A sloping backhead's edge and plate lie in one plane, and the crown is shorter by rise × tan 6°.
#[test]
fn sloping_ends_lie_in_their_planes() {
    let text = changed(
        "class-b",
        &[(
            "[firebox] #",
            "[firebox]\nbackhead_slope_deg = 6\nthroat_slope_deg = 10 #",
        )],
    );
    let body = build(&text, Scale::Seven);
    let inch = 7.0 / 12.0;
    let wrapper = body.plate("firebox-wrapper").unwrap();
    let slope = 6f64.to_radians();
    let foot = geom::BodyPoint::new((178.0 + 66.0) * inch, 0.0, 50.0 * inch);
    let normal = geom::Vector3::new(geom::math::cos(slope), 0.0, geom::math::sin(slope));
    for edge in wrapper.outline.iter().filter(|edge| edge.name == "rear") {
        for i in 0..=40 {
            let flat = wrapper
                .flat_point(&edge.curve, f64::from(i) / 40.0)
                .unwrap();
            let off = (wrapper.forming.place(flat).point - foot).dot(&normal);
            close(off, 0.0, 1e-9, "rear edge");
        }
    }
    let crown = wrapper
        .forming
        .place(wrapper.point("rear-crown").unwrap())
        .point;
    let rise = crown.z - foot.z;
    close(
        crown.x,
        foot.x - rise * geom::math::tan(slope),
        1e-9,
        "rear crown",
    );
    let below: Vec<f64> = wrapper
        .outline
        .iter()
        .filter(|edge| edge.name == "front")
        .flat_map(|edge| (0..=40).map(move |i| (edge, f64::from(i) / 40.0)))
        .map(|(edge, t)| {
            wrapper
                .forming
                .place(wrapper.flat_point(&edge.curve, t).unwrap())
                .point
        })
        .filter(|p| p.z < foot.z + 1e-6)
        .map(|p| p.x)
        .collect();
    assert!(below.iter().all(|x| *x > 178.0 * inch + 0.5), "{below:?}");
    let backhead = body.plate("firebox-backhead").unwrap();
    let tilt = backhead.forming.place(FlatPoint::origin()).normal;
    close((tilt - normal).norm(), 0.0, 1e-12, "backhead");
}

/// Shapes of cabs that no demo engine has.
#[test]
fn other_cabs() {
    let roof = "centre_radius = \"7ft 0in\"\ncorner_radius = \"2ft 0in\"\n";
    let cases: Vec<(&str, String)> = vec![
        (
            "five arcs and sloping eaves",
            changed("class-b", &[("half_width = \"4ft 2 1/2in\"", "half_width = \"4ft 4in\""), (
                roof,
                "centre_radius = \"12ft 0in\"\nintermediate_radius = \"6ft 0in\"\n\
                 intermediate_from = \"2ft 0in\"\ncorner_radius = \"1ft 6in\"\neaves_deg = 70\n",
            )]),
        ),
        (
            "flat between two corners",
            changed("class-b", &[(roof, "corner_radius = \"1ft 6in\"\n")]),
        ),
        (
            "one arc",
            changed("class-b", &[
                (roof, "centre_radius = \"7ft 0in\"\n"),
                ("half_width = \"4ft 2 1/2in\"", "half_width = \"4ft 4in\""),
            ]),
        ),
        (
            "gutters and rain strips",
            changed("class-b", &[(
                roof,
                &format!("{roof}gutter = \"1 1/2in\"\n[[cab.roof.strips]]\nhalf_width = \"3ft 6in\"\n[cab.roof.x]\n")
                    .replace("[cab.roof.x]\n", ""),
            )]),
        ),
        ("no cut-out, no windows", {
            let text = alone("class-b");
            let from = text.find("[cab.cut_out]").unwrap();
            let to = text[from..].find("[[axles]]").unwrap() + from;
            format!("{}{}", &text[..from], &text[to..])
        }),
        (
            "front across the barrel",
            changed("class-b", &[("front = \"19ft 10in\"", "front = \"14ft 0in\"")]),
        ),
        ("front behind the firebox", changed("class-b", &[("front = \"19ft 10in\"", "front = \"20ft 6in\"")])),
        ("open behind a closed cut-out", changed("class-b", &[("over = \"8ft 4in\"\n\n[cab.roof]", "over = \"8ft 4in\"\nrear = \"open\"\n\n[cab.roof]")])),
    ];
    for (case, text) in cases {
        // Strips are an array of tables below the keys of the roof.
        let text = match text.split_once("[[cab.roof.strips]]\nhalf_width = \"3ft 6in\"\n") {
            Some((before, after)) => {
                format!("{before}{after}\n[[cab.roof.strips]]\nhalf_width = \"3ft 6in\"\n")
            }
            None => text,
        };
        for scale in Scale::ALL {
            let body = read(&text, scale).unwrap_or_else(|error| panic!("{case}: {error}"));
            sound(&body, &format!("{case} {}", scale.word()));
        }
    }
}

/// Holes, rivets, tabs and outline of a left plate are those of the right one in the mirror.
#[test]
fn left_is_the_mirror_image_of_right() {
    for name in CLASSES {
        let body = build(&alone(name), Scale::Seven);
        let mut pairs = 0;
        for left in &body.plates {
            let own = left.assembly == "cab" || left.assembly == "firebox";
            let Some(right) = left
                .id
                .contains("left")
                .then(|| body.plate(&left.id.replace("left", "right")))
                .flatten()
            else {
                continue;
            };
            if own {
                mirrored(left, right, name);
                pairs += 1;
            }
        }
        assert!(pairs >= 4, "{name}: {pairs}");
    }
}

/// Points of a plate in the body, its left turned over to the right, in a fixed order.
fn places(plate: &Plate, flats: impl IntoIterator<Item = FlatPoint>) -> Vec<[f64; 3]> {
    let mut all: Vec<[f64; 3]> = flats
        .into_iter()
        .map(|flat| {
            let p = plate.forming.place(flat).point;
            [p.x, p.y.abs(), p.z].map(|mm| (mm * 1e6).round() / 1e6)
        })
        .collect();
    all.sort_by(|a, b| a.partial_cmp(b).unwrap());
    all
}

#[track_caller]
fn mirrored(left: &Plate, right: &Plate, case: &str) {
    let outline = |plate: &Plate| {
        let points = plate
            .outline
            .iter()
            .flat_map(|edge| [0.25, 0.5, 0.75].map(|t| plate.flat_point(&edge.curve, t).unwrap()));
        places(plate, points.collect::<Vec<_>>())
    };
    let holes = |plate: &Plate| {
        let points = plate.holes.iter().flat_map(|hole| {
            let rim: Vec<_> = hole
                .boundary
                .iter()
                .map(|curve| match curve {
                    Curve::Flat(segment) => segment.point_at(0.5),
                    Curve::Surface(_) => plate.flat_point(curve, 0.5).unwrap(),
                })
                .collect();
            rim.into_iter().chain([hole.centre])
        });
        places(plate, points.collect::<Vec<_>>())
    };
    let rivets = |plate: &Plate| places(plate, plate.rivets.iter().map(|r| r.centre));
    for (what, of) in [
        ("outline", &outline as &dyn Fn(&Plate) -> Vec<[f64; 3]>),
        ("holes", &holes),
        ("rivets", &rivets),
    ] {
        let (a, b) = (of(left), of(right));
        assert_eq!(a.len(), b.len(), "{case}: {what} of {}", left.id);
        for (p, q) in a.iter().zip(&b) {
            for k in 0..3 {
                close(p[k], q[k], 3e-6, &format!("{case}: {what} of {}", left.id));
            }
        }
    }
    let names = |plate: &Plate| {
        let mut all: Vec<String> = plate
            .holes
            .iter()
            .map(|hole| hole.feature.replace("left", "right"))
            .collect();
        all.sort();
        all
    };
    assert_eq!(names(left), names(right), "{case}: {}", left.id);
}

/// A barrel that comes through the box is said so.
#[test]
fn a_barrel_outside_the_firebox_is_found() {
    let text = changed(
        "class-b",
        &[("crown = \"10ft 0in\"", "crown = \"9ft 8in\"")],
    );
    let body = build(&text, Scale::Seven);
    let found: Vec<_> = body
        .findings
        .iter()
        .filter(|f| f.rule == "barrel-outside-firebox")
        .collect();
    assert_eq!(found.len(), 1);
    // The crown is 116 above rail, the barrel's top 89 + 29 = 118: 2 in at 7 mm scale.
    close(found[0].found, -2.0 * 7.0 / 12.0, 1e-3, "overlap");
}

/// Rows end on a rivet in each corner, and none lies on the beading.
#[test]
fn rivets_of_the_side() {
    let body = build(&alone("class-e"), Scale::Seven);
    let inch = 7.0 / 12.0;
    let side = body.plate("cab-side-right-overlay").unwrap();
    let (length, low) = (54.0 * inch, 54.0 * inch);
    for corner in [
        (1.25 * inch, low + 1.25 * inch),
        (length - 1.25 * inch, low + 1.25 * inch),
    ] {
        assert!(
            side.rivets
                .iter()
                .any(|r| (r.centre - FlatPoint::new(corner.0, corner.1)).norm() < 1e-9),
            "no rivet at {corner:?}"
        );
    }
    // The cut-out runs from 26 in behind the front to the rear, 90 to 118 above rail.
    for rivet in &side.rivets {
        let p = rivet.centre;
        let clear = 1.25 * inch + rivet.head_diameter / 2.0;
        let on = p.x > 26.0 * inch - clear + 1e-9
            && p.y > 90.0 * inch - clear + 1e-9
            && p.y < 118.0 * inch + clear - 1e-9;
        // Outside the rounded corners there is metal.
        let in_corner = p.x < (26.0 + 15.0) * inch;
        assert!(!on || in_corner, "{p:?}");
    }
}

#[test]
fn shapes_that_cannot_be() {
    for (path, text) in [
        (
            "firebox.length",
            changed(
                "class-b",
                &[
                    ("[firebox] #", "[firebox]\nbackhead_slope_deg = 20 #"),
                    ("length = \"5ft 6in\"", "length = \"2ft 0in\""),
                ],
            ),
        ),
        (
            "cab.windows",
            changed(
                "class-b",
                &[(
                    "height = \"10ft 6in\"\noffset = \"3ft 0in\"",
                    "height = \"10ft 3in\"\noffset = \"2ft 0in\"",
                )],
            ),
        ),
        (
            "cab.floor",
            changed(
                "class-b",
                &[(
                    "over = \"8ft 4in\"\n\n[cab.roof]",
                    "over = \"8ft 4in\"\nfloor = \"4ft 2in\"\n\n[cab.roof]",
                )],
            ),
        ),
        (
            "cab.roof.rib_depth",
            changed(
                "class-b",
                &[("[cab.roof]", "[cab.roof]\nrib_depth = \"2ft 6in\"")],
            ),
        ),
        (
            "firebox.throat_slope_deg",
            changed(
                "class-b",
                &[
                    ("[firebox] #", "[firebox]\nthroat_slope_deg = 10 #"),
                    (
                        "[footplate]\nlength = \"32ft 2in\"\ntop = \"4ft 2in\"",
                        "[footplate]\nlength = \"32ft 2in\"\ntop = \"5ft 1in\"",
                    ),
                ],
            ),
        ),
    ] {
        let error = match read(&text, Scale::Seven) {
            Err(error) => error,
            Ok(_) => panic!("{path} must be refused"),
        };
        assert_eq!(error.problems[0].path, path, "{error}");
        assert!(!error.problems[0].help.is_empty(), "{error}");
    }
}
