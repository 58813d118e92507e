//! Etch rules at their limits, in sheet of 0.4 mm: hole 0.44, slot and bar 0.48, half-etched line 0.4 mm.

#![allow(clippy::unwrap_used, reason = "helpers of tests may fail by panic")]

use body::{
    Body, Edge, Face, Finding, Hole, Plate, Purpose, Region, Rivet, Severity, Sheet, flat_curves,
};
use check::check_body;
use develop::{EtchProcess, Folded, Forming, Loft, LoftFrame, SurfacePoint};
use geom::math::FRAC_PI_2;
use geom::{BodyPoint, Chain, Outline, Placement, Point2, Segment, Vector3};

const T: f64 = 0.4;
/// Just beyond a limit (mm).
const BEYOND: f64 = 1e-3;

fn at(x: f64, y: f64) -> Point2 {
    Point2::new(x, y)
}

fn rectangle(low: (f64, f64), high: (f64, f64)) -> Outline {
    Outline::rectangle(at(low.0, low.1), at(high.0, high.1))
}

fn polygon(points: &[(f64, f64)]) -> Outline {
    Outline::polygon(&points.iter().map(|p| at(p.0, p.1)).collect::<Vec<_>>())
}

fn plate_of(outline: &Outline, forming: Forming) -> Plate {
    Plate {
        id: "side".to_owned(),
        assembly: "tank",
        title: "Side".to_owned(),
        sheet: Sheet::plain("brass half-hard", T),
        forming,
        outline: flat_curves(outline)
            .into_iter()
            .enumerate()
            .map(|(i, curve)| Edge {
                name: format!("e{i}"),
                curve,
            })
            .collect(),
        holes: Vec::new(),
        regions: Vec::new(),
        rivets: Vec::new(),
        marks: Vec::new(),
        points: Vec::new(),
    }
}

fn flat(outline: &Outline) -> Plate {
    let placement = Placement::new(BodyPoint::origin(), Vector3::x(), Vector3::y());
    plate_of(outline, Forming::Flat(placement))
}

fn plain() -> Plate {
    flat(&rectangle((0.0, 0.0), (40.0, 20.0)))
}

fn cut(mut plate: Plate, name: &str, outline: &Outline, diameter: Option<f64>) -> Plate {
    plate.holes.push(Hole {
        feature: name.to_owned(),
        centre: artwork::centre_of(outline),
        diameter,
        boundary: flat_curves(outline),
    });
    plate
}

fn slotted(outline: &Outline) -> Vec<Finding> {
    found(&cut(plain(), "slot", outline, None))
}

fn etched(
    mut plate: Plate,
    (name, purpose): (&str, Purpose),
    (face, depth): (Face, f64),
    outline: &Outline,
) -> Plate {
    let half = T / 2.0;
    let (z_low, z_high) = match face {
        Face::Outside => (-half, half - depth),
        Face::Inside => (-half + depth, half),
    };
    plate.regions.push(Region {
        name: name.to_owned(),
        purpose,
        face,
        z_low,
        z_high,
        boundary: flat_curves(outline),
    });
    plate
}

fn riveted(mut plate: Plate, centre: (f64, f64)) -> Plate {
    plate.rivets.push(Rivet {
        centre: at(centre.0, centre.1),
        head_diameter: 0.6,
        head_height: 0.2,
        dot: None,
        row: "row".to_owned(),
    });
    plate
}

fn found(plate: &Plate) -> Vec<Finding> {
    let body = Body {
        assemblies: Vec::new(),
        plates: vec![plate.clone()],
        fittings: Vec::new(),
        blocks: Vec::new(),
        joints: Vec::new(),
        precedences: Vec::new(),
        findings: Vec::new(),
        dimensions: Vec::new(),
        angles: Vec::new(),
    };
    check_body(&body, EtchProcess::named("two-sided").unwrap())
}

#[track_caller]
fn silent(findings: &[Finding]) {
    assert!(findings.is_empty(), "{findings:#?}");
}

/// One finding of a rule, its measure and its place within `near` (mm) of a point.
#[track_caller]
fn one(findings: &[Finding], rule: &str, measure: f64, place: (f64, f64), near: f64) {
    assert_eq!(findings.len(), 1, "{findings:#?}");
    let own = &findings[0];
    assert_eq!(own.rule, rule, "{own:#?}");
    assert!((own.found - measure).abs() < 2e-6, "{own:#?}");
    let off = (own.at.flat.unwrap() - at(place.0, place.1)).norm();
    assert!(off <= near, "{off} from the place: {own:#?}");
    assert!(own.at.body.is_some());
}

#[test]
fn least_hole() {
    let hole = |d: f64| {
        let outline = Outline::circle(at(9.0, 8.0), d / 2.0);
        found(&cut(plain(), "hole", &outline, Some(d)))
    };
    silent(&hole(0.44));
    one(&hole(0.44 - BEYOND), "least-hole", 0.439, (9.0, 8.0), 1e-6);
}

#[test]
fn least_slot_straight_turned_and_curved() {
    let straight = |w: f64| slotted(&rectangle((10.0, 10.0), (14.0, 10.0 + w)));
    silent(&straight(0.48));
    one(&straight(0.479), "least-slot", 0.479, (12.0, 10.24), 2.1);
    let turned = |w: f64| {
        // Along a 3-4-5 triangle.
        let (x, y) = (-0.6 * w, 0.8 * w);
        slotted(&polygon(&[
            (10.0, 10.0),
            (14.0, 13.0),
            (14.0 + x, 13.0 + y),
            (10.0 + x, 10.0 + y),
        ]))
    };
    silent(&turned(0.48));
    one(&turned(0.479), "least-slot", 0.479, (12.0, 11.5), 2.8);
    let curved = |w: f64| {
        let arc = |r: f64| Segment::circle(at(20.0, 8.0), r).part(0.05, 0.3);
        let (outer, inner) = (arc(5.0 + w), arc(5.0).reversed());
        let chain = Chain::from_segments([
            outer,
            Segment::line(outer.end(), inner.start()),
            inner,
            Segment::line(inner.end(), outer.start()),
        ]);
        slotted(&Outline::from_chain(&chain).unwrap())
    };
    silent(&curved(0.48));
    one(&curved(0.479), "least-slot", 0.479, (22.0, 12.8), 4.0);
}

/// The tail of a keyhole is a slot, and an opening without walls that face each other is as wide as the
/// largest circle in it.
#[test]
fn least_slot_of_a_tail_and_of_a_triangle() {
    let keyhole = |w: f64| {
        slotted(&polygon(&[
            (10.0, 10.0),
            (12.0, 10.0),
            (12.0, 10.8),
            (16.0, 10.8),
            (16.0, 10.8 + w),
            (12.0, 10.8 + w),
            (12.0, 13.0),
            (10.0, 13.0),
        ]))
    };
    silent(&keyhole(0.48));
    one(&keyhole(0.479), "least-slot", 0.479, (14.0, 11.04), 2.1);
    // The circle in an equilateral triangle has a diameter of side/√3.
    let triangle = |d: f64| {
        let side = d * 3.0_f64.sqrt();
        let height = side * 3.0_f64.sqrt() / 2.0;
        slotted(&polygon(&[
            (10.0, 10.0),
            (10.0 + side, 10.0),
            (10.0 + side / 2.0, 10.0 + height),
        ]))
    };
    silent(&triangle(0.48));
    let middle = (10.0 + 0.479 * 3.0_f64.sqrt() / 2.0, 10.0 + 0.479 / 2.0);
    one(&triangle(0.479), "least-slot", 0.479, middle, 1e-3);
}

#[test]
fn least_slot_of_a_notch_in_the_outline() {
    let notched = |w: f64| {
        found(&flat(&polygon(&[
            (0.0, 0.0),
            (40.0, 0.0),
            (40.0, 20.0),
            (20.0 + w, 20.0),
            (20.0 + w, 15.0),
            (20.0, 15.0),
            (20.0, 20.0),
            (0.0, 20.0),
        ])))
    };
    silent(&notched(0.48));
    one(&notched(0.479), "least-slot", 0.479, (20.24, 17.5), 2.6);
}

#[test]
fn least_bar_between_openings_to_an_edge_and_at_a_neck() {
    let pair = |gap: f64| {
        let first = cut(
            plain(),
            "a",
            &Outline::circle(at(10.0, 10.0), 1.0),
            Some(2.0),
        );
        let second = Outline::circle(at(12.0 + gap, 10.0), 1.0);
        found(&cut(first, "b", &second, Some(2.0)))
    };
    silent(&pair(0.48));
    one(&pair(0.479), "least-bar", 0.479, (11.0, 10.0), 1e-6);
    one(&pair(-0.1), "least-bar", 0.0, (10.95, 10.0), 0.32);
    let to_edge = |bar: f64| {
        let outline = rectangle((10.0, bar), (14.0, 5.0));
        slotted(&outline)
    };
    silent(&to_edge(0.48));
    one(&to_edge(0.479), "least-bar", 0.479, (12.0, 0.479), 2.1);
    let neck = |w: f64| {
        found(&flat(&polygon(&[
            (0.0, 0.0),
            (20.0, 8.0),
            (40.0, 0.0),
            (40.0, 16.0 + w),
            (20.0, 8.0 + w),
            (0.0, 16.0 + w),
        ])))
    };
    silent(&neck(0.48));
    one(&neck(0.479), "least-bar", 0.479, (20.0, 8.24), 0.25);
    // A point that runs out is no bar.
    silent(&found(&flat(&polygon(&[
        (0.0, 0.0),
        (40.0, 0.0),
        (0.0, 3.0),
    ]))));
}

#[test]
fn loose_metal_and_openings_that_are_none() {
    let outer = rectangle((10.0, 5.0), (20.0, 15.0));
    let inner = |x: f64| rectangle((x, 8.0), (x + 2.0, 10.0));
    let both = |x: f64| {
        found(&cut(
            cut(plain(), "outer", &outer, None),
            "inner",
            &inner(x),
            None,
        ))
    };
    silent(&both(20.48));
    let loose = both(14.0);
    one(&loose, "loose-metal", 4.0, (14.0, 8.0), 1e-6);
    assert_eq!(loose[0].severity, Severity::Error);
    let beside = slotted(&rectangle((50.0, 5.0), (52.0, 7.0)));
    one(&beside, "opening-off-plate", 11.0, (51.0, 6.0), 1e-6);
    let rules = |y: f64| -> Vec<&str> {
        let across = slotted(&rectangle((10.0, -1.0), (12.0, y)));
        across.iter().map(|own| own.rule).collect()
    };
    assert_eq!(rules(19.0), ["least-bar"]);
    assert_eq!(rules(20.0 + BEYOND), ["least-bar", "plate-parted"]);
}

#[test]
fn half_etch_depth_and_width() {
    let place = rectangle((5.0, 5.0), (8.0, 7.0));
    for face in [Face::Inside, Face::Outside] {
        let sunk = |depth: f64| {
            let own = ("panel", Purpose::HalfEtch);
            found(&etched(plain(), own, (face, depth), &place))
        };
        silent(&sunk(0.25 * T));
        silent(&sunk(0.75 * T));
        let shallow = sunk(0.25 * T - BEYOND);
        one(&shallow, "half-etch-depth", 0.099, (6.5, 6.0), 1e-6);
        assert!((shallow[0].limit - 0.1).abs() < 1e-9);
        let deep = sunk(0.75 * T + BEYOND);
        one(&deep, "half-etch-depth", 0.301, (6.5, 6.0), 1e-6);
        assert!((deep[0].limit - 0.3).abs() < 1e-9);
    }
    let line = |purpose, w: f64| {
        let outline = rectangle((5.0, 5.0), (15.0, 5.0 + w));
        found(&etched(
            plain(),
            ("line", purpose),
            (Face::Outside, 0.2),
            &outline,
        ))
    };
    silent(&line(Purpose::HalfEtch, 0.4));
    one(
        &line(Purpose::HalfEtch, 0.399),
        "half-etch-width",
        0.399,
        (10.0, 5.2),
        5.1,
    );
    silent(&line(Purpose::Mark, 0.2));
    // In a base of 0.3 mm a line need be no wider than that.
    let in_base = |w: f64| {
        let mut plate = plain();
        plate.sheet = Sheet::half_etched("brass half-hard", T, 0.3);
        plate.regions.push(Region {
            name: "line".to_owned(),
            purpose: Purpose::HalfEtch,
            face: Face::Inside,
            z_low: 0.0,
            z_high: 0.15,
            boundary: flat_curves(&rectangle((5.0, 5.0), (15.0, 5.0 + w))),
        });
        found(&plate)
    };
    silent(&in_base(0.3));
    one(&in_base(0.299), "half-etch-width", 0.299, (10.0, 5.15), 5.1);
}

/// A base half-etched all over is held to the same depths.
#[test]
fn half_etched_base() {
    let based = |base: f64| {
        let mut plate = plain();
        plate.sheet = Sheet::half_etched("brass half-hard", T, base);
        found(&plate)
    };
    silent(&based(0.3));
    silent(&based(0.1));
    one(
        &based(0.3 + BEYOND),
        "half-etch-depth",
        0.099,
        (20.0, 10.0),
        1e-6,
    );
    one(
        &based(0.1 - BEYOND),
        "half-etch-depth",
        0.301,
        (20.0, 10.0),
        1e-6,
    );
}

#[test]
fn etched_through_from_both_faces() {
    let both = |depth: f64, x: f64| {
        let (a, b) = (("a", Purpose::HalfEtch), ("b", Purpose::HalfEtch));
        let first = rectangle((5.0, 5.0), (8.0, 7.0));
        let plate = etched(plain(), a, (Face::Outside, 0.2), &first);
        let second = rectangle((x, 6.0), (x + 3.0, 9.0));
        found(&etched(plate, b, (Face::Inside, depth), &second))
    };
    silent(&both(0.2 - BEYOND, 7.0));
    let through = both(0.2, 7.0);
    one(&through, "etched-through", 0.4, (7.0, 6.0), 1e-6);
    assert_eq!(through[0].severity, Severity::Error);
    silent(&both(0.2, 8.0 + BEYOND));
    one(
        &both(0.2, 8.0 - BEYOND),
        "etched-through",
        0.4,
        (7.999, 6.0),
        1e-6,
    );
}

#[test]
fn rivets_near_edges_folds_and_one_another() {
    let edge = |x: f64| found(&riveted(plain(), (x, 10.0)));
    silent(&edge(0.3));
    one(&edge(0.299), "rivet-near-edge", 0.299, (0.299, 10.0), 1e-6);
    let pair = |gap: f64| found(&riveted(riveted(plain(), (5.0, 10.0)), (5.0 + gap, 10.0)));
    silent(&pair(0.6));
    one(&pair(0.599), "rivets-touch", 0.599, (5.0, 10.0), 1e-6);
    // A head's radius and one thickness from the groove.
    let fold = |y: f64| {
        let groove = rectangle((0.0, 10.0), (40.0, 10.48));
        let own = ("fold-1", Purpose::Fold);
        let plate = etched(plain(), own, (Face::Inside, 0.2), &groove);
        found(&riveted(plate, (20.0, y)))
    };
    silent(&fold(10.48 + 0.7));
    one(
        &fold(10.48 + 0.699),
        "rivet-near-fold",
        0.399,
        (20.0, 11.179),
        1e-6,
    );
}

#[test]
fn fold_lines_run_to_the_edge_and_across_no_opening() {
    let groove = |to: f64| {
        let outline = rectangle((0.0, 10.0), (to, 10.48));
        etched(
            plain(),
            ("fold-1", Purpose::Fold),
            (Face::Inside, 0.2),
            &outline,
        )
    };
    silent(&found(&groove(40.0)));
    one(
        &found(&groove(40.0 - BEYOND)),
        "fold-short-of-edge",
        BEYOND,
        (39.999, 10.24),
        1e-6,
    );
    // A relief at its end is an edge too.
    let relief = rectangle((30.0, 9.5), (31.0, 11.0));
    silent(&found(&cut(groove(30.0), "relief", &relief, None)));
    let hole = |y: f64| {
        let outline = Outline::circle(at(20.0, y), 1.0);
        found(&cut(groove(40.0), "hole", &outline, Some(2.0)))
    };
    silent(&hole(11.48 + BEYOND));
    let across = hole(11.48 - BEYOND);
    one(&across, "fold-across-opening", 0.0, (20.0, 10.48), 0.06);
    assert_eq!(hole(10.24)[0].rule, "fold-across-opening");
}

fn folded(legs: &[f64], turns: &[f64], faces: &[Face]) -> Plate {
    let folded = Folded::new(Point2::origin(), 0.0, legs, turns, T, 0.2).unwrap();
    let loft: Loft = folded.loft(LoftFrame::along_engine(0.0), 30.0).unwrap();
    let corner = |w: f64, v: f64| loft.flat(SurfacePoint { w, v });
    let panel = |from: f64, to: f64| {
        let points = [
            corner(from, 0.0),
            corner(from, 1.0),
            corner(to, 1.0),
            corner(to, 0.0),
        ];
        let outline = Outline::polygon(&points);
        if outline.area() > 0.0 {
            outline
        } else {
            outline.reversed()
        }
    };
    let whole = panel(0.0, loft.w_end());
    let grooves: Vec<Outline> = (0..turns.len())
        .map(|i| panel(2.0 * i as f64 + 1.0, 2.0 * i as f64 + 2.0))
        .collect();
    let mut plate = plate_of(&whole, Forming::Rolled(Box::new(loft)));
    for (i, groove) in grooves.iter().enumerate() {
        let name = format!("fold-{}", i + 1);
        plate = etched(plate, (&name, Purpose::Fold), (faces[i], 0.2), groove);
    }
    plate
}

#[test]
fn grooves_are_inside_the_fold() {
    let angle = |turn: f64, face| found(&folded(&[10.0, 8.0], &[turn], &[face]));
    silent(&angle(-FRAC_PI_2, Face::Inside));
    silent(&angle(FRAC_PI_2, Face::Outside));
    for (turn, face) in [(-FRAC_PI_2, Face::Outside), (FRAC_PI_2, Face::Inside)] {
        let wrong = angle(turn, face);
        assert_eq!(wrong.len(), 1, "{wrong:#?}");
        assert_eq!(wrong[0].rule, "fold-groove-outside");
        assert_eq!(wrong[0].severity, Severity::Error);
    }
}

/// A box of four legs, 5 mm high: its last leg must end short of the first.
#[test]
fn legs_do_not_run_into_one_another() {
    let boxed = |last: f64| {
        let turns = [FRAC_PI_2; 3];
        found(&folded(
            &[10.0, 5.0, 8.0, last],
            &turns,
            &[Face::Outside; 3],
        ))
    };
    silent(&boxed(4.0));
    let trapped = boxed(7.0);
    assert_eq!(trapped.len(), 1, "{trapped:#?}");
    assert_eq!(trapped[0].rule, "fold-order");
    assert_eq!((trapped[0].found, trapped[0].limit), (2.0, 3.0));
}

/// No demonstration model breaks an etch rule at the scale of its file.
#[test]
fn demonstration_models_can_be_etched() {
    const WORDS: [&str; 14] = [
        "least-hole",
        "least-slot",
        "least-bar",
        "loose-metal",
        "opening-off-plate",
        "plate-parted",
        "half-etch-depth",
        "half-etch-width",
        "etched-through",
        "rivet-near-fold",
        "fold-short-of-edge",
        "fold-across-opening",
        "fold-groove-outside",
        "fold-order",
    ];
    for name in [
        "class-b", "class-e", "class-m", "class-m2", "class-s", "tender-t",
    ] {
        let bytes = std::fs::read(format!("../../demo-models/{name}.toml")).unwrap();
        let model = body::Model::read(name, &bytes, &body::Overrides::default()).unwrap();
        let built = body::build(&model).unwrap();
        let broken: Vec<Finding> = check_body(&built, model.metal.process)
            .into_iter()
            .filter(|own| WORDS.contains(&own.rule))
            .collect();
        silent(&broken);
    }
}
