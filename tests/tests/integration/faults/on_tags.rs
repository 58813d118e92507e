//! Mistakes with the tags of a fret: every plate has the tags that hold it, and one is wrong.

use super::Fault;
use super::bench::Bench;
use super::classes::*;
use artwork::{FlatDrawing, tight_bends};
use body::Purpose;
use geom::{Outline, Point2, Segment, Vector2};
use platework_tests::drawings::Run;
use platework_tests::faulty_flats::{FaultySheet, Seeded};

/// Width and length of a tag (mm).
const TAG: (f64, f64) = (0.8, 0.8);

/// Places along an edge are looked at this far apart (mm).
const STEP: f64 = 0.02;

pub(crate) fn faults() -> Vec<Fault> {
    let fault = |class, model, mistake, seed| Fault {
        class,
        model,
        mistake,
        seed,
    };
    vec![
        fault(
            TAG_BEND,
            "class-b",
            "a tag on the shoulder of the firebox",
            |s, b| on_bend(s, b, "firebox-wrapper", "front"),
        ),
        fault(
            TAG_BEND,
            "class-e",
            "a tag on a bend of the firebox at its rear",
            |s, b| on_bend(s, b, "firebox-wrapper", "rear"),
        ),
        fault(
            TAG_FOLD,
            "class-b",
            "a tag on the end of the fold of a step",
            |s, b| on_fold(s, b, "step-left-1"),
        ),
        fault(
            TAG_TAB,
            "class-b",
            "a tag on a tab of the cab's floor",
            |s, b| on_tab(s, b, "cab-floor"),
        ),
        fault(
            TAG_WIDTH,
            "class-e",
            "a tag of the cab's roof twice as wide",
            |s, b| {
                let tags = b.tags()["cab-roof"].clone();
                let (at, along) = foot(b.flat("cab-roof"), &tags[0]);
                let wide = tag(at, along, (2.0 * TAG.0, TAG.1));
                tagged(s, b, "cab-roof", vec![wide, tags[1].clone()]);
                Seeded::place("cab-roof", at, 2.0 * TAG.0)
            },
        ),
        fault(
            TAGS_FEW,
            "class-b",
            "all tags but one of a tank's front left out",
            |s, b| {
                let tags = b.tags()["tank-front-left"][..1].to_vec();
                tagged(s, b, "tank-front-left", tags);
                Seeded::plate("tank-front-left", Some(1.0))
            },
        ),
    ]
}

/// A tag at a place of an edge and square to it, of a width and a length (mm).
fn tag(at: Point2, along: Vector2, (width, length): (f64, f64)) -> Outline {
    let (half, out) = (
        along * (width / 2.0),
        Vector2::new(along.y, -along.x) * length,
    );
    Outline::polygon(&[at - half, at - half + out, at + half + out, at + half])
}

/// Where a tag stands on its plate, and the direction of the edge there.
fn foot(flat: &FlatDrawing, tag: &Outline) -> (Point2, Vector2) {
    let middle = artwork::centre_of(tag);
    let sides = flat.outline.segments().iter();
    let near = sides.min_by(|a, b| a.nearest(middle).1.total_cmp(&b.nearest(middle).1));
    let side = near.unwrap();
    at_fraction(side, side.nearest(middle).0)
}

fn at_fraction(side: &Segment, t: f64) -> (Point2, Vector2) {
    let (s, c) = geom::math::sin_cos(side.tangent_angle_at(t));
    (side.point_at(t), Vector2::new(c, s))
}

/// Middle of the first stretch of an edge that lies in something.
fn middle_of_stretch(
    flat: &FlatDrawing,
    edge: impl Fn(&str) -> bool,
    lies: impl Fn(Point2) -> bool,
) -> (Point2, Vector2) {
    for (side, own) in flat.outline.segments().iter().zip(&flat.edge_of) {
        if !edge(&flat.edges[*own].name) {
            continue;
        }
        let n = (side.length() / STEP).ceil() as usize;
        let within: Vec<f64> = (0..=n)
            .map(|i| i as f64 / n as f64)
            .skip_while(|t| !lies(side.point_at(*t)))
            .take_while(|t| lies(side.point_at(*t)))
            .collect();
        if within.len() > 1 {
            return at_fraction(side, (within[0] + within[within.len() - 1]) / 2.0);
        }
    }
    panic!("no such place on {}", flat.plate);
}

/// Draws the tags of all plates, those of one as they are given.
fn tagged(s: &mut FaultySheet, b: &Bench, plate: &str, tags: Vec<Outline>) {
    let mut all = b.tags().clone();
    all.insert(plate.to_owned(), tags);
    let flats = b.flats.clone();
    s.changes.push(Box::new(move |drawing| {
        let outlines = drawing.runs.iter().filter(|own| own.layer == "OUTLINE");
        let mut drawn = Vec::new();
        for (flat, run) in flats.iter().zip(outlines) {
            let (from, to) = (flat.outline.segments()[0], run.segments[0]);
            let angle = to.tangent_angle_at(0.0) - from.tangent_angle_at(0.0);
            let turn = artwork::Motion2 {
                mirrored: false,
                angle,
                shift: Vector2::zeros(),
            };
            let place = artwork::Motion2 {
                shift: to.start() - turn.point(from.start()),
                ..turn
            };
            drawn.extend(all[&flat.plate].iter().map(|own| Run {
                layer: "TAGS".to_owned(),
                segments: place.outline(own),
                closed: true,
            }));
        }
        drawing.runs.extend(drawn);
    }));
}

/// One more tag.
fn with_tag(s: &mut FaultySheet, b: &Bench, plate: &str, at: Point2, along: Vector2) -> Seeded {
    let mut tags = b.tags()[plate].clone();
    tags.push(tag(at, along, TAG));
    tagged(s, b, plate, tags);
    let mut seeded = Seeded::place(plate, at, 0.0);
    seeded.amount = None;
    seeded
}

fn on_bend(s: &mut FaultySheet, b: &Bench, plate: &str, edge: &str) -> Seeded {
    let bends = tight_bends(b.body.plate(plate).unwrap());
    let (at, along) = middle_of_stretch(
        b.flat(plate),
        |own| own == edge,
        |p| bends.iter().any(|bend| bend.contains(p)),
    );
    with_tag(s, b, plate, at, along)
}

fn on_fold(s: &mut FaultySheet, b: &Bench, plate: &str) -> Seeded {
    let flat = b.flat(plate);
    let folds = flat.regions.iter();
    let folds: Vec<&Outline> = folds
        .filter(|own| own.purpose == Purpose::Fold)
        .map(|own| &own.outline)
        .collect();
    let (at, along) = middle_of_stretch(
        flat,
        |own| !own.starts_with("tab-"),
        |p| folds.iter().any(|fold| fold.nearest(p).1 < 1e-3),
    );
    with_tag(s, b, plate, at, along)
}

fn on_tab(s: &mut FaultySheet, b: &Bench, plate: &str) -> Seeded {
    let flat = b.flat(plate);
    let sides = flat.outline.segments().iter().zip(&flat.edge_of);
    let tab = sides
        .filter(|(_, own)| flat.edges[**own].name.starts_with("tab-"))
        .max_by(|a, b| a.0.length().total_cmp(&b.0.length()))
        .unwrap()
        .0;
    let (at, along) = at_fraction(tab, 0.5);
    with_tag(s, b, plate, at, along)
}
