//! Fits and etch rules of bodies.

#![allow(clippy::unwrap_used, reason = "helpers of tests may fail by panic")]

use body::{
    Body, Finding, Hole, Joint, JointKind, Meeting, Plate, Rivet, Severity, Sheet, Side,
    flat_curves,
};
use check::{RULES, check_body};
use develop::{EtchProcess, Forming};
use geom::{BodyPoint, Outline, Placement, Point2, Vector3};

fn process() -> &'static EtchProcess {
    EtchProcess::named("two-sided").unwrap()
}

fn plate(holes: Vec<(&str, Outline, Option<f64>)>, rivets: &[(f64, f64)]) -> Plate {
    let outline = Outline::rectangle(Point2::new(0.0, 0.0), Point2::new(40.0, 20.0));
    Plate {
        id: "side".to_owned(),
        assembly: "tank",
        title: "Side".to_owned(),
        sheet: Sheet::plain("brass half-hard", 0.4),
        forming: Forming::Flat(Placement::new(
            BodyPoint::origin(),
            Vector3::x(),
            Vector3::y(),
        )),
        outline: ["bottom", "rear", "top", "front"]
            .into_iter()
            .zip(flat_curves(&outline))
            .map(|(name, curve)| body::Edge {
                name: name.to_owned(),
                curve,
            })
            .collect(),
        holes: holes
            .into_iter()
            .map(|(feature, outline, diameter)| Hole {
                feature: feature.to_owned(),
                centre: artwork::centre_of(&outline),
                diameter,
                boundary: flat_curves(&outline),
            })
            .collect(),
        regions: Vec::new(),
        rivets: rivets
            .iter()
            .map(|&(x, y)| Rivet {
                centre: Point2::new(x, y),
                head_diameter: 0.6,
                head_height: 0.2,
                dot: None,
                row: "edge".to_owned(),
            })
            .collect(),
        marks: Vec::new(),
        points: Vec::new(),
    }
}

fn body_of(plates: Vec<Plate>, joints: Vec<Joint>) -> Body {
    Body {
        assemblies: Vec::new(),
        plates,
        fittings: Vec::new(),
        blocks: Vec::new(),
        joints,
        precedences: Vec::new(),
        findings: Vec::new(),
        dimensions: Vec::new(),
        angles: Vec::new(),
    }
}

fn found(plate: Plate) -> Vec<Finding> {
    check_body(&body_of(vec![plate], Vec::new()), process())
}

fn rules(findings: &[Finding]) -> Vec<&'static str> {
    findings.iter().map(|f| f.rule).collect()
}

fn round(x: f64, y: f64, diameter: f64) -> (Outline, Option<f64>) {
    (
        Outline::circle(Point2::new(x, y), diameter / 2.0),
        Some(diameter),
    )
}

fn holes(
    list: &[(&'static str, (Outline, Option<f64>))],
) -> Vec<(&'static str, Outline, Option<f64>)> {
    list.iter()
        .map(|(name, (o, d))| (*name, o.clone(), *d))
        .collect()
}

/// In 0.4 mm sheet: least hole 1.1 t = 0.44, slot and bar 1.2 t = 0.48 mm.
#[test]
fn openings_below_the_least_that_etches() {
    assert!(found(plate(holes(&[("a", round(5.0, 5.0, 0.44))]), &[])).is_empty());
    let small = found(plate(holes(&[("a", round(5.0, 5.0, 0.40))]), &[]));
    assert_eq!(rules(&small), ["least-hole"]);
    assert!((small[0].found - 0.40).abs() < 1e-9 && (small[0].limit - 0.44).abs() < 1e-9);
    let slot = |width: f64| {
        let low = Point2::new(10.0, 10.0);
        let outline = Outline::rectangle(low, Point2::new(14.0, 10.0 + width));
        found(plate(vec![("slot", outline, None)], &[]))
    };
    assert!(slot(0.48).is_empty());
    let narrow = slot(0.47);
    assert_eq!(rules(&narrow), ["least-slot"]);
    assert!((narrow[0].found - 0.47).abs() < 1e-9);
}

#[test]
fn bars_between_openings_and_to_edges() {
    let pair = |gap: f64| {
        holes(&[
            ("a", round(10.0, 10.0, 2.0)),
            ("b", round(12.0 + gap, 10.0, 2.0)),
        ])
    };
    assert!(found(plate(pair(0.48), &[])).is_empty());
    let narrow = found(plate(pair(0.45), &[]));
    assert_eq!(rules(&narrow), ["least-bar"]);
    assert!((narrow[0].found - 0.45).abs() < 1e-9);
    assert!((narrow[0].at.flat.unwrap() - Point2::new(11.0, 10.0)).norm() < 1e-9);
    let edge = found(plate(holes(&[("a", round(20.0, 1.3, 2.0))]), &[]));
    assert_eq!(rules(&edge), ["least-bar"]);
    assert!((edge[0].found - 0.3).abs() < 1e-9);
    assert!(edge[0].sentence.contains("bottom"), "{}", edge[0].sentence);
}

#[test]
fn rivets_off_the_plate_and_on_one_another() {
    assert!(found(plate(Vec::new(), &[(0.3, 10.0), (0.9, 10.0)])).is_empty());
    let near = found(plate(
        Vec::new(),
        &[(0.2, 10.0), (20.0, 0.25), (20.0, 10.0)],
    ));
    assert_eq!(rules(&near), ["rivet-near-edge"]);
    assert!((near[0].found - 0.2).abs() < 1e-9 && near[0].sentence.contains("and 1 more"));
    let touching = found(plate(Vec::new(), &[(5.0, 10.0), (5.5, 10.0)]));
    assert_eq!(rules(&touching), ["rivets-touch"]);
    let in_hole = found(plate(
        holes(&[("a", round(20.0, 10.0, 2.0))]),
        &[(20.0, 10.0)],
    ));
    assert_eq!(rules(&in_hole), ["rivet-near-edge"]);
}

fn joint(kind: JointKind, gap: f64, range: (f64, f64)) -> Joint {
    Joint {
        id: "side/bottom~footplate".to_owned(),
        kind,
        meeting: match kind {
            JointKind::Edge => Meeting::Butt,
            JointKind::Tab => Meeting::Tab,
            JointKind::Hole => Meeting::Hole,
            JointKind::Face => Meeting::Face,
        },
        a: Side::new("side", "bottom"),
        b: Side::new("footplate", "slot"),
        gap,
        range,
        limit: (0.0, 0.10),
        largest_contributor: "thickness of side".to_owned(),
        at: BodyPoint::new(1.0, 2.0, 3.0),
    }
}

#[test]
fn fits_are_judged_as_designed_and_at_worst_case() {
    let judge = |joint| check_body(&body_of(Vec::new(), vec![joint]), process());
    assert!(judge(joint(JointKind::Edge, 0.05, (0.0, 0.10))).is_empty());
    for gap in [-0.01, 0.11] {
        let found = judge(joint(JointKind::Edge, gap, (gap, gap)));
        assert_eq!((found[0].rule, found[0].severity), ("fit", Severity::Error));
        assert_eq!(found[0].limit, if gap < 0.0 { 0.0 } else { 0.10 });
    }
    for (kind, severity) in [
        (JointKind::Edge, Severity::Warning),
        (JointKind::Tab, Severity::Error),
    ] {
        let found = judge(joint(kind, 0.05, (-0.03, 0.09)));
        assert_eq!(
            (found[0].rule, found[0].severity),
            ("fit-worst-case", severity)
        );
        assert_eq!(found[0].found, -0.03);
        for word in ["-0.03 to 0.09", "thickness of side"] {
            assert!(found[0].sentence.contains(word), "{}", found[0].sentence);
        }
    }
}

/// Every rule that can be reported is explained, and nothing else is.
#[test]
fn every_rule_is_explained() {
    let page = std::fs::read_to_string("../../docs/rules.md").unwrap();
    for rule in RULES {
        assert!(
            page.contains(&format!("### `{}`", rule.word)),
            "{} is not explained",
            rule.word
        );
    }
    assert_eq!(page.matches("\n### `").count(), RULES.len());
    let mut words: Vec<_> = RULES.iter().map(|rule| rule.word).collect();
    words.sort_unstable();
    words.dedup();
    assert_eq!(words.len(), RULES.len());
}

#[test]
fn the_demonstration_engine_is_checked_at_both_scales() {
    let bytes = std::fs::read("../../demo-models/class-b.toml").unwrap();
    for scale in body::Scale::ALL {
        let overrides = body::Overrides {
            scale: Some(scale),
            ..body::Overrides::default()
        };
        let model = body::Model::read("class-b", &bytes, &overrides).unwrap();
        let body = body::build(&model).unwrap();
        let found = check_body(&body, model.metal.process);
        for finding in &found {
            assert!(
                RULES.iter().any(|rule| rule.word == finding.rule),
                "{}",
                finding.rule
            );
        }
        // At 7 mm the engine is sound; at 4 mm the lower firebox does not go between wheels of 00.
        let counted: Vec<_> = found
            .iter()
            .filter(|f| f.counts())
            .map(|f| f.rule)
            .collect();
        match scale.word() {
            "7mm" => assert!(counted.is_empty(), "{found:#?}"),
            _ => assert!(
                counted
                    .iter()
                    .all(|rule| rule.starts_with("wheel") || *rule == "no-room-for-spacer"),
                "{found:#?}"
            ),
        }
    }
}

#[test]
fn places_in_the_body_are_found_on_the_flat() {
    let text = std::fs::read("../../demo-models/class-b.toml").unwrap();
    let model = body::Model::read("class-b.toml", &text, &body::Overrides::default()).unwrap();
    let body = body::build(&model).unwrap();
    let rolled = body
        .plates
        .iter()
        .filter(|plate| plate.forming.loft().is_some());
    let mut tried = 0;
    for plate in rolled.chain(body.plate("tank-side-left")) {
        for hole in &plate.holes {
            let formed = plate.forming.place(hole.centre);
            let found = check::flat_place(plate, formed.at_height(0.3)).unwrap();
            let off = (found - hole.centre).norm();
            assert!(off < 0.01, "{} {}: {off} mm off", plate.id, hole.feature);
            tried += 1;
        }
        let beside = plate.forming.place(
            plate
                .holes
                .first()
                .map_or(geom::FlatPoint::origin(), |hole| hole.centre),
        );
        assert_eq!(check::flat_place(plate, beside.at_height(500.0)), None);
    }
    assert!(tried > 20, "{tried} openings");
}
