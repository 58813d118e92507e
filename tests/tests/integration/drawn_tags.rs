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

/// A plate of a model, with its flat.
struct Drawn {
    engine: &'static (Model, Body),
    flat: FlatDrawing,
}

fn drawn(name: &str, plate: &str) -> Drawn {
    static ENGINES: [OnceLock<(Model, Body)>; 2] = [OnceLock::new(), OnceLock::new()];
    let engine =
        ENGINES[usize::from(name == "class-b")].get_or_init(|| built(name, Overrides::default()));
    let flat = FlatDrawing::of(engine.1.plate(plate).unwrap()).unwrap();
    Drawn { engine, flat }
}

/// Where something begins along an outline, tabs left out: the piece before it, and how far along that (mm).
fn begins(flat: &FlatDrawing, lies: impl Fn(FlatPoint) -> bool) -> (Segment, f64) {
    let sides = flat.outline.segments();
    for (i, side) in sides.iter().enumerate() {
        if flat.edges[flat.edge_of[i]].name.starts_with("tab-") {
            continue;
        }
        let n = (side.length() / 0.001).ceil() as usize;
        let lies_at = |k: usize| lies(side.point_at(k as f64 / n as f64));
        let within = (1..n).find(|k| !lies_at(k - 1) && lies_at(*k));
        // It may begin with the next piece.
        let next = sides[(i + 1) % sides.len()];
        let after = !lies_at(n - 1) && lies(next.point_at(0.001 / next.length()));
        let along = within.map_or(side.length(), |k| side.length() * k as f64 / n as f64);
        // With room for two tags before it.
        if (within.is_some() || after) && along > 4.0 * WIDTH {
            return (*side, along);
        }
    }
    panic!("it lies nowhere on the outline of {}", flat.plate);
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
fn said(own: &Drawn, tags: &[Outline], border: Option<f64>) -> Vec<Finding> {
    let ((model, body), flat) = (own.engine, &own.flat);
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
    let own = drawn("class-s", "sandbox-left-1-back");
    let flat = &own.flat;
    let side = edge(flat, "bottom");
    let tags = [tag(&side, 3.0, WIDTH), tag(&side, 9.0, WIDTH)];
    expect(&said(&own, &tags, None), None, None, None);
    expect(
        &said(&own, &tags[..1], None),
        Some("tags-too-few"),
        None,
        Some(1.0),
    );
    // A tag that stops short of the plate holds nothing.
    let away = tags[1].translated(Vector2::new(0.0, -0.2));
    let away = [tags[0].clone(), away];
    expect(
        &said(&own, &away, None),
        Some("tags-too-few"),
        None,
        Some(1.0),
    );
    // Plates without tags are no fret.
    expect(&said(&own, &[], None), None, None, None);
}

#[test]
fn a_tag_is_as_wide_as_it_must_be() {
    let own = drawn("class-s", "sandbox-left-1-back");
    let flat = &own.flat;
    let side = edge(flat, "bottom");
    for (width, rule) in [
        (0.575, Some("tag-width")),
        (0.585, None),
        (1.015, None),
        (1.025, Some("tag-width")),
    ] {
        let tags = [tag(&side, 3.0, WIDTH), tag(&side, 9.0, width)];
        let at = side.point_at(9.0 / side.length());
        expect(&said(&own, &tags, None), rule, Some(at), Some(width));
    }
}

#[test]
fn a_tag_stands_on_no_fold_line() {
    let own = drawn("class-b", "step-left-1");
    let folds: Vec<&Outline> = own
        .flat
        .regions
        .iter()
        .filter(|region| region.purpose == Purpose::Fold)
        .map(|region| &region.outline)
        .collect();
    let on_fold = |p: FlatPoint| folds.iter().any(|fold| fold.nearest(p).1 < 1e-3);
    let (side, begins) = begins(&own.flat, on_fold);
    for (clear, rule) in [(0.03, None), (0.01, Some("tag-on-fold"))] {
        let along = begins - WIDTH / 2.0 - clear;
        let tags = [
            tag(&side, along - 1.5 * WIDTH, WIDTH),
            tag(&side, along, WIDTH),
        ];
        let at = side.point_at(along / side.length());
        expect(&said(&own, &tags, None), rule, Some(at), None);
    }
}

#[test]
fn a_tag_stands_on_no_tab() {
    let own = drawn("class-s", "sandbox-left-1-back");
    let flat = &own.flat;
    let (side, tab) = (edge(flat, "bottom"), edge(flat, "tab-top-1"));
    let root = edge(flat, "top");
    let first = tag(&side, side.length() / 2.0, WIDTH);
    let beside = [first.clone(), tag(&root, root.length() / 2.0, WIDTH)];
    expect(&said(&own, &beside, None), None, None, None);
    let on = [first, tag(&tab, tab.length() / 2.0, WIDTH)];
    let at = tab.point_at(0.5);
    expect(&said(&own, &on, None), Some("tag-on-tab"), Some(at), None);
}

#[test]
fn a_tag_stands_on_no_tight_bend() {
    let own = drawn("class-b", "firebox-wrapper");
    let bends = tight_bends(own.engine.1.plate("firebox-wrapper").unwrap());
    assert!(!bends.is_empty(), "its shoulders are tight bends");
    let (side, begins) = begins(&own.flat, |p| bends.iter().any(|bend| bend.contains(p)));
    for (clear, rule) in [(0.03, None), (0.01, Some("tag-on-bend"))] {
        let along = begins - WIDTH / 2.0 - clear;
        let tags = [
            tag(&side, along - 1.5 * WIDTH, WIDTH),
            tag(&side, along, WIDTH),
        ];
        let at = side.point_at(along / side.length());
        expect(&said(&own, &tags, None), rule, Some(at), None);
    }
}

#[test]
fn a_plate_keeps_off_the_edge_of_the_sheet() {
    let own = drawn("class-s", "sandbox-left-1-back");
    for (border, rule) in [
        (5.985, None),
        (5.975, Some("plate-near-border")),
        (-0.5, Some("plate-near-border")),
    ] {
        expect(&said(&own, &[], Some(border)), rule, None, Some(border));
    }
}
