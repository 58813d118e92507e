//! Tags and border of a drawn fret: each rule just within its limit and just beyond it.

use crate::builds::built;
use artwork::{FlatDrawing, SideFile, read_artwork, tight_bends};
use body::{Body, Finding, Model, Overrides, Purpose};
use check::{DrawingWords, check_artwork};
use geom::{FlatPoint, Outline, Point2, Segment, Vector2};
use platework_tests::drawings::{Drawing, Run};
use std::sync::OnceLock;

const RULES: [&str; 6] = [
    "tags-too-few",
    "tag-width",
    "tag-on-bend",
    "tag-on-fold",
    "tag-on-tab",
    "plate-near-border",
];

/// Length of a tag from the plate to the waste (mm).
const REACH: f64 = 0.8;

/// Width of a sound tag (mm).
const WIDTH: f64 = 0.8;

fn engine() -> &'static (Model, Body) {
    static ENGINE: OnceLock<(Model, Body)> = OnceLock::new();
    ENGINE.get_or_init(|| built("class-s", Overrides::default()))
}

fn flat(plate: &str) -> FlatDrawing {
    FlatDrawing::of(engine().1.plate(plate).unwrap()).unwrap()
}

/// The longest piece of an edge.
fn edge(flat: &FlatDrawing, name: &str) -> Segment {
    let pieces = flat.outline.segments().iter().zip(&flat.edge_of);
    let own = pieces.filter(|(_, edge)| flat.edges[**edge].name == name);
    let longest = own.max_by(|a, b| a.0.length().total_cmp(&b.0.length()));
    *longest.unwrap().0
}

/// A tag of a width (mm) across an edge, so far along it (mm).
fn tag(edge: &Segment, along: f64, width: f64) -> Outline {
    let t = along / edge.length();
    let at = edge.point_at(t);
    let (s, c) = geom::math::sin_cos(edge.tangent_angle_at(t));
    let (along, outward) = (
        Vector2::new(c, s) * (width / 2.0),
        Vector2::new(s, -c) * REACH,
    );
    Outline::polygon(&[
        at - along,
        at - along + outward,
        at + along + outward,
        at + along,
    ])
}

/// What the six rules say of a flat drawn with tags, and with the edge of its sheet so far off (mm).
fn said(flat: &FlatDrawing, tags: &[Outline], border: Option<f64>) -> Vec<Finding> {
    let (model, body) = engine();
    let mut drawing = Drawing::of_flats(std::slice::from_ref(flat), |_| 0.0);
    let drawn = drawing.runs[0].segments[0].start() - flat.outline.segments()[0].start();
    let mut add = |layer: &str, outline: &Outline, by: Vector2| {
        drawing.runs.push(Run {
            layer: layer.to_owned(),
            segments: outline.translated(by).segments().to_vec(),
            closed: true,
        });
    };
    for own in tags {
        add("TAGS", own, drawn);
    }
    if let Some(border) = border {
        let (low, high) = flat.bounds;
        // Wide on three sides.
        let low = low - Vector2::new(20.0, border);
        let sheet = Outline::rectangle(low, high + Vector2::new(20.0, 20.0));
        add("SHEET", &sheet, drawn);
        let register = Outline::circle(Point2::new(low.x - 30.0, low.y), 2.0);
        add("REGISTER", &register, drawn);
    }
    let side = SideFile::read("side", b"allowance = \"left to the etcher\"").unwrap();
    let read = read_artwork(drawing.to_dxf().as_bytes(), "sheet", &side).unwrap();
    let words = DrawingWords {
        engine: model.title.clone(),
        scale: model.scale.word().to_owned(),
        mm_per_foot: model.scale.mm_per_foot(),
    };
    let report = check_artwork(body, &read, &words, model.metal.process).unwrap();
    assert_eq!(report.per_plate.len(), 1, "{} is read", flat.plate);
    let findings = report.findings.into_iter();
    findings.filter(|own| RULES.contains(&own.rule)).collect()
}

/// Refuses any finding, or any but one of a rule, near a place and of a size.
#[track_caller]
fn expect(found: &[Finding], rule: Option<&str>, at: Option<FlatPoint>, size: Option<f64>) {
    let words: Vec<&str> = found.iter().map(|own| own.sentence.as_str()).collect();
    let Some(rule) = rule else {
        assert!(found.is_empty(), "{words:?}");
        return;
    };
    assert!(
        found.len() == 1 && found[0].rule == rule,
        "{rule}: {words:?}"
    );
    assert!(found[0].counts());
    if let Some(at) = at {
        let is = found[0].at.flat.unwrap();
        assert!((is - at).norm() < 0.05, "{rule} at {is}, not {at}");
    }
    if let Some(size) = size {
        platework_tests::close(found[0].found, size, 0.005, rule);
    }
}

#[test]
fn a_plate_wants_two_tags() {
    let flat = flat("sandbox-left-1-back");
    let side = edge(&flat, "bottom");
    let tags = [tag(&side, 3.0, WIDTH), tag(&side, 9.0, WIDTH)];
    expect(&said(&flat, &tags, None), None, None, None);
    expect(
        &said(&flat, &tags[..1], None),
        Some("tags-too-few"),
        None,
        Some(1.0),
    );
    // A tag that stops short of the plate holds nothing.
    let away = tags[1].translated(Vector2::new(0.0, -0.2));
    let away = [tags[0].clone(), away];
    expect(
        &said(&flat, &away, None),
        Some("tags-too-few"),
        None,
        Some(1.0),
    );
    // Plates without tags are no fret.
    expect(&said(&flat, &[], None), None, None, None);
}

#[test]
fn a_tag_is_as_wide_as_it_must_be() {
    let flat = flat("sandbox-left-1-back");
    let side = edge(&flat, "bottom");
    for (width, rule) in [
        (0.575, Some("tag-width")),
        (0.585, None),
        (1.015, None),
        (1.025, Some("tag-width")),
    ] {
        let tags = [tag(&side, 3.0, WIDTH), tag(&side, 9.0, width)];
        let at = side.point_at(9.0 / side.length());
        expect(&said(&flat, &tags, None), rule, Some(at), Some(width));
    }
}

#[test]
fn a_tag_stands_on_no_fold_line() {
    let flat = flat("sandbox-left-1-face");
    let fold = flat
        .regions
        .iter()
        .find(|own| own.purpose == Purpose::Fold)
        .unwrap();
    let side = edge(&flat, "bottom");
    let end = edge(&flat, "rear");
    // Where the groove begins along the side.
    let on = |s: f64| fold.outline.nearest(side.point_at(s / side.length())).1;
    let steps = (0..4000).map(|i| f64::from(i) * side.length() / 4000.0);
    let begins = steps.clone().find(|s| on(*s) < 1e-3);
    let Some(begins) = begins else {
        panic!("the fold comes to the longest piece of the side");
    };
    for (clear, rule) in [(0.03, None), (0.01, Some("tag-on-fold"))] {
        let along = begins - WIDTH / 2.0 - clear;
        let tags = [
            tag(&end, end.length() / 2.0, WIDTH),
            tag(&side, along, WIDTH),
        ];
        expect(&said(&flat, &tags, None), rule, None, None);
    }
}

#[test]
fn a_tag_stands_on_no_tab() {
    let flat = flat("sandbox-left-1-back");
    let (side, tab) = (edge(&flat, "bottom"), edge(&flat, "tab-top-1"));
    let root = edge(&flat, "top");
    let first = tag(&side, side.length() / 2.0, WIDTH);
    let beside = [first.clone(), tag(&root, root.length() / 2.0, WIDTH)];
    expect(&said(&flat, &beside, None), None, None, None);
    let on = [first, tag(&tab, tab.length() / 2.0, WIDTH)];
    let at = tab.point_at(0.5);
    expect(&said(&flat, &on, None), Some("tag-on-tab"), Some(at), None);
}

#[test]
fn a_tag_stands_on_no_tight_bend() {
    let plate = engine().1.plate("firebox-wrapper").unwrap();
    let bends = tight_bends(plate);
    assert!(!bends.is_empty(), "its shoulders are tight bends");
    let flat = flat("firebox-wrapper");
    let side = edge(&flat, "front");
    let in_bend = |s: f64| {
        let p = side.point_at(s / side.length());
        bends.iter().any(|own| own.contains(p))
    };
    let steps: Vec<f64> = (0..40_000)
        .map(|i| f64::from(i) * side.length() / 40_000.0)
        .collect();
    let begins = steps
        .windows(2)
        .find(|s| !in_bend(s[0]) && in_bend(s[1]))
        .unwrap()[1];
    for (clear, rule) in [(0.03, None), (0.01, Some("tag-on-bend"))] {
        let along = begins - WIDTH / 2.0 - clear;
        let tags = [tag(&side, 3.0, WIDTH), tag(&side, along, WIDTH)];
        let at = side.point_at(along / side.length());
        expect(&said(&flat, &tags, None), rule, Some(at), None);
    }
}

#[test]
fn a_plate_keeps_off_the_edge_of_the_sheet() {
    let flat = flat("sandbox-left-1-back");
    for (border, rule) in [
        (5.985, None),
        (5.975, Some("plate-near-border")),
        (-0.5, Some("plate-near-border")),
    ] {
        expect(&said(&flat, &[], Some(border)), rule, None, Some(border));
    }
}
