//! Tanks, bunkers and tenders: figures of the demo drawings, and plates that meet.
#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod plates;

use body::{Body, Joint, Model, Overrides, Plate, Purpose, Scale, build};
use develop::Forming;
use plates::keeps_its_lengths_and_area;

const CLASS_B: &str = include_str!("../../../demo-models/class-b.toml");
const CLASS_S: &str = include_str!("../../../demo-models/class-s.toml");
const TENDER_T: &str = include_str!("../../../demo-models/tender-t.toml");

/// The metal and the tables named, without what other sub-assemblies add to an axle.
fn only(text: &str, tables: &[&str]) -> String {
    let mut keeps = true;
    let mut kept = String::new();
    for line in text.lines() {
        if let Some(head) = line.strip_prefix('[') {
            let name = head.trim_start_matches('[');
            let name = &name[..name.find(['.', ']']).unwrap()];
            keeps = name == "metal" || tables.contains(&name);
        }
        if keeps && !line.starts_with("kind =") {
            kept.push_str(line);
            kept.push('\n');
        }
    }
    kept
}

fn saddle() -> String {
    let tables = [
        "boiler",
        "dome",
        "footplate",
        "buffer_beams",
        "buffers",
        "saddle_tank",
        "axles",
    ];
    only(CLASS_S, &tables)
}

fn tender() -> String {
    let tables = [
        "footplate",
        "buffer_beams",
        "buffers",
        "tender_tank",
        "coal_rails",
        "axles",
    ];
    only(TENDER_T, &tables)
}

fn bunker_alone() -> String {
    let tables = ["footplate", "buffer_beams", "buffers", "bunker", "axles"];
    only(CLASS_B, &tables).replace(
        "[bunker]",
        "[bunker]\nfrom = \"26ft 4in\"\nover = \"8ft 4in\"",
    )
}

fn with_corners(text: &str, table: &str, corners: &str) -> String {
    let bare: String = text
        .lines()
        .filter(|line| !line.starts_with("corners =") && !line.starts_with("cone_segments ="))
        .map(|line| format!("{line}\n"))
        .collect();
    bare.replace(&format!("[{table}]"), &format!("[{table}]\n{corners}"))
}

/// A sharp coping stands on corners as small as the sheet is rolled.
fn mitred(text: &str) -> String {
    let sharp = text.replace("corner_radius = \"9in\"", "corner_radius = \"2in\"");
    with_corners(&sharp, "tender_tank", "corners = \"mitred\"")
}

fn rolled_tanks() -> String {
    let tables = [
        "boiler",
        "footplate",
        "buffer_beams",
        "buffers",
        "side_tanks",
        "cab",
        "axles",
    ];
    only(CLASS_B, &tables).replace(
        "[side_tanks]",
        "[side_tanks]\nfront = \"rolled\"\nfront_radius = \"5in\"",
    )
}

/// Pannier tanks on the saddle tank's boiler, 3 ft 8 in at 6 ft 4 in above rail.
fn panniers() -> String {
    let tables = [
        "boiler",
        "dome",
        "footplate",
        "buffer_beams",
        "buffers",
        "axles",
    ];
    let tanks = r#"
[pannier_tanks]
from = "4ft 6in"
to = "11ft 9in"
top = "8ft 9in"
over = "7ft 8in"
bottom = "5ft 10in"
"#;
    only(CLASS_S, &tables) + tanks
}

fn with_rails(text: &str) -> String {
    format!("{text}\n[coal_rails]\nbars = 3\n")
}

fn models() -> Vec<(&'static str, String)> {
    vec![
        ("saddle", saddle()),
        ("tender", tender()),
        ("tender mitred", mitred(&tender())),
        (
            "tender open",
            with_corners(&tender(), "tender_tank", "corners = \"open\""),
        ),
        ("bunker alone", bunker_alone()),
        (
            "bunker conical",
            with_corners(&bunker_alone(), "bunker", "corners = \"conical\""),
        ),
        ("rolled tanks", rolled_tanks()),
        ("panniers", panniers()),
        ("tender with rails", with_rails(&tender())),
        ("bunker with rails", with_rails(&bunker_alone())),
        (
            "tender with a sloping floor",
            tender().replace(
                "floor = \"6ft 9in\"",
                "floor = \"6ft 9in\"\nfloor_front = \"6ft 3in\"",
            ),
        ),
    ]
}

fn made(text: &str, scale: Scale) -> Body {
    let overrides = Overrides {
        scale: Some(scale),
        ..Overrides::default()
    };
    let model =
        Model::read("model.toml", text.as_bytes(), &overrides).unwrap_or_else(|e| panic!("{e}"));
    build(&model).unwrap_or_else(|e| panic!("{e}"))
}

#[track_caller]
fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}"
    );
}

/// A derived dimension in inches of the full-size engine.
fn inches(body: &Body, scale: Scale, path: &str) -> f64 {
    let own = body.dimensions.iter().find(|own| own.path == path);
    own.unwrap_or_else(|| panic!("{path} is derived")).mm / scale.mm_per_foot() * 12.0
}

fn out_of_limits(joint: &Joint) -> bool {
    !(joint.gap >= joint.limit.0 - 1e-9 && joint.gap <= joint.limit.1 + 1e-9)
}

#[test]
fn every_joint_holds_as_drawn() {
    let mut wrong = Vec::new();
    for (name, text) in models() {
        for scale in Scale::ALL {
            let body = made(&text, scale);
            for joint in body.joints.iter().filter(|joint| out_of_limits(joint)) {
                wrong.push(format!(
                    "{name} {}: {} {:.4} outside {:?}",
                    scale.word(),
                    joint.id,
                    joint.gap,
                    joint.limit
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Nothing to be warned of but what is meant; every plate can be put in place in its turn.
#[test]
fn nothing_is_found_that_counts() {
    for (name, text) in models() {
        for scale in Scale::ALL {
            let body = made(&text, scale);
            let counting: Vec<_> = body.findings.iter().filter(|f| f.counts()).collect();
            assert!(counting.is_empty(), "{name} {}: {counting:?}", scale.word());
        }
    }
}

#[test]
fn every_plate_keeps_its_lengths_and_area() {
    for (name, text) in models() {
        for scale in Scale::ALL {
            for plate in &made(&text, scale).plates {
                keeps_its_lengths_and_area(plate, &format!("{name} {}", scale.word()));
            }
        }
    }
}

/// Figures of the saddle tank by hand: shoulder centres, half perimeter, lip, capacity.
#[test]
fn the_saddle_tank_has_the_figures_of_its_drawing() {
    for scale in Scale::ALL {
        let body = made(&saddle(), scale);
        close(
            inches(&body, scale, "saddle_tank.shoulder_centre"),
            92.52,
            0.005,
            "shoulder centre",
        );
        close(
            inches(&body, scale, "saddle_tank.half_perimeter"),
            71.40,
            0.01,
            "half perimeter",
        );
        close(inches(&body, scale, "saddle_tank.lip"), 8.84, 0.005, "lip");
        let capacity = body
            .findings
            .iter()
            .find(|f| f.rule == "tank-capacity")
            .unwrap();
        close(capacity.found, 765.0, 2.0, "gallons");
        assert!(!capacity.counts());
    }
}

/// Figures of the flare by hand, and of its corner as one cone and as two.
#[test]
fn the_coping_has_the_figures_of_its_drawing() {
    let scale = Scale::Seven;
    let body = made(&tender(), scale);
    for (name, want, tolerance) in [
        ("flare_out", 4.287, 5e-4),
        ("flare_up", 9.193, 5e-4),
        ("flare_developed", 10.472, 5e-4),
        ("height_over_flare", 108.193, 5e-4),
        ("over_flare", 98.573, 1e-3),
        ("flare_corner_radius", 13.287, 5e-4),
    ] {
        close(
            inches(&body, scale, &format!("tender_tank.{name}")),
            want,
            tolerance,
            name,
        );
    }
    let cones = |count: usize| {
        let corners = format!("corners = \"conical\"\ncone_segments = {count}");
        made(&with_corners(&tender(), "tender_tank", &corners), scale)
    };
    let one = cones(1);
    for (name, want) in [
        ("slant", 10.143),
        ("inner_radius", 21.296),
        ("outer_radius", 31.439),
    ] {
        close(
            inches(&one, scale, &format!("tender_tank.cones[0].{name}")),
            want,
            2e-3,
            name,
        );
    }
    let sector = one
        .angles
        .iter()
        .find(|a| a.path == "tender_tank.cones[0].sector")
        .unwrap();
    close(sector.radians.to_degrees(), 38.04, 0.01, "sector");
    close(
        inches(&one, scale, "tender_tank.cones[0].deviation"),
        1.12,
        0.005,
        "one cone",
    );
    close(
        inches(&cones(2), scale, "tender_tank.cones[0].deviation"),
        0.28,
        0.005,
        "two cones",
    );
    let said = one
        .findings
        .iter()
        .find(|f| f.rule == "coping-facets")
        .unwrap();
    assert!(
        said.counts() && said.sentence.contains("48 %"),
        "{}",
        said.sentence
    );
}

/// 1,025 gallons in two tanks of 1 ft 6 in by 4 ft 4 in by 12 ft 8 in.
#[test]
fn the_side_tanks_hold_what_the_drawing_says() {
    let body = made(CLASS_B, Scale::Four);
    let capacity = body
        .findings
        .iter()
        .find(|f| f.path == "side_tanks.gallons")
        .unwrap();
    close(capacity.found, 1025.3, 1.0, "gallons");
    let told = CLASS_B.replace("[side_tanks]", "[side_tanks]\ngallons = 1200");
    let told: String = told.replacen("gallons = 1025\n", "", 1);
    let short = made(&told, Scale::Four);
    let capacity = short
        .findings
        .iter()
        .find(|f| f.path == "side_tanks.gallons")
        .unwrap();
    assert!(capacity.counts(), "1200 gallons do not go in");
}

/// Places of a plate's outside face, all over it.
fn all_over(plate: &Plate) -> Vec<geom::BodyPoint> {
    let corners: Vec<_> = plate
        .outline
        .iter()
        .flat_map(|edge| [0.0, 0.5].map(|t| plate.flat_point(&edge.curve, t).unwrap()))
        .collect();
    let low = corners
        .iter()
        .fold(geom::Vector2::repeat(f64::MAX), |a, p| a.inf(&p.coords));
    let high = corners
        .iter()
        .fold(geom::Vector2::repeat(f64::MIN), |a, p| a.sup(&p.coords));
    let share = |i: usize| (i as f64 + 0.5) / 40.0;
    (0..40 * 40)
        .map(|k| {
            let size = high - low;
            geom::FlatPoint::from(
                low + geom::Vector2::new(size.x * share(k % 40), size.y * share(k / 40)),
            )
        })
        .map(|flat| plate.forming.place(flat).at_height(plate.sheet.z_low))
        .collect()
}

/// An overlay lies a film of solder above its base everywhere, round every bend.
#[test]
fn overlays_lie_on_their_bases_all_over() {
    for (name, text) in models() {
        for scale in Scale::ALL {
            let body = made(&text, scale);
            let film = if scale == Scale::Four { 0.03 } else { 0.05 };
            let mut rolled = 0;
            for overlay in body
                .plates
                .iter()
                .filter(|plate| plate.id.ends_with("-overlay"))
            {
                let base = body.plate(overlay.id.trim_end_matches("-overlay")).unwrap();
                let Forming::Rolled(loft) = &base.forming else {
                    continue;
                };
                rolled += 1;
                // A lip that is folded away from the overlay does not lie under it.
                let is_folded = |region: &body::Region| region.purpose == Purpose::Fold;
                let folded = base.regions.iter().any(is_folded);
                for point in all_over(overlay) {
                    if let Some((at, height)) = loft.place_of(point) {
                        let patch = (at.w as usize).min(loft.patches().len() - 1);
                        if folded && loft.patches()[patch].is_bent() {
                            continue;
                        }
                        close(
                            height - base.sheet.z_high,
                            film,
                            1e-9,
                            &format!("{name} {}", overlay.id),
                        );
                    }
                }
            }
            assert!(rolled > 0, "{name} has a rolled overlay");
        }
    }
}

/// Plates of one hand have their mirror image on the other: corners, openings and rivets.
#[test]
fn left_mirrors_right() {
    for (name, text) in models() {
        let body = made(&text, Scale::Seven);
        for left in body
            .plates
            .iter()
            .filter(|plate| plate.id.contains("-left") && plate.assembly != "footplate")
        {
            let right = body.plate(&left.id.replace("-left", "-right")).unwrap();
            let mut own: Vec<_> = outline_points(left);
            let mut other: Vec<_> = outline_points(right)
                .into_iter()
                .map(|p| geom::BodyPoint::new(p.x, -p.y, p.z))
                .collect();
            for points in [&mut own, &mut other] {
                points.sort_by(|a, b| {
                    let key =
                        |p: &geom::BodyPoint| [p.x, p.y, p.z].map(|v| (v * 1e4).round() as i64);
                    key(a).cmp(&key(b))
                });
            }
            assert_eq!(own.len(), other.len(), "{name} {}", left.id);
            for (a, b) in own.iter().zip(&other) {
                assert!((a - b).norm() < 2e-4, "{name} {}: {a} and {b}", left.id);
            }
            assert_eq!(left.rivets.len(), right.rivets.len(), "{name} {}", left.id);
            assert_eq!(left.holes.len(), right.holes.len(), "{name} {}", left.id);
        }
    }
}

fn outline_points(plate: &Plate) -> Vec<geom::BodyPoint> {
    plate
        .outline
        .iter()
        .map(|edge| plate.flat_point(&edge.curve, 0.5).unwrap())
        .map(|flat| plate.forming.place(flat).point)
        .collect()
}
