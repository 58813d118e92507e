//! Steps hung from the footplate: a back plate with its lowest tread folded from it.

use super::footplate::underside_at;
use super::side_plate::{SidePlateOf, hand};
use crate::fit::butt_joint;
use crate::folded::FoldedPlateOf;
use crate::model::specs::StepSpec;
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf, rectangle};
use crate::{Body, BodyError, Model, Plate};
use develop::LoftFrame;
use geom::math::FRAC_PI_2;
use geom::{Point2, Point3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    for (i, spec) in model.steps.iter().enumerate() {
        for left in [true, false] {
            steps(model, body, spec, i, left)?;
        }
    }
    Ok(())
}

pub(super) fn shape(path: String, sentence: &str, help: &str) -> BodyError {
    BodyError::Shape {
        path,
        sentence: sentence.to_owned(),
        help: help.to_owned(),
    }
}

/// Underside of the footplate over a stretch that must be level.
pub(super) fn level_underside(
    model: &Model,
    from: f64,
    to: f64,
    path: &str,
) -> Result<f64, BodyError> {
    let (a, b) = (underside_at(model, from), underside_at(model, to));
    let on = from >= 0.0 && to <= model.footplate.length && (a - b).abs() < 1e-9;
    on.then_some(a).ok_or_else(|| {
        shape(
            format!("{path}.x"),
            "it does not hang from a level part of the footplate",
            "x is its middle, measured back from the front beam",
        )
    })
}

/// A plate that hangs from the footplate by tabs, and the meeting of the two.
pub(super) fn hang(
    model: &Model,
    body: &mut Body,
    plate: Plate,
    path: &str,
) -> Result<(), BodyError> {
    let id = plate.id.clone();
    if let Some(footplate) = body.plate("footplate") {
        let joint = butt_joint((&plate, "top"), (footplate, "underside"));
        body.joints.push(joint);
    }
    body.plates.push(plate);
    let two = Tabbing {
        count: Some(2),
        ..Tabbing::default()
    };
    tab_into(model, body, (&id, "top"), "footplate", two, path)
}

/// Adds a plate that stands on another by an edge with tabs.
pub(super) fn stand(
    model: &Model,
    body: &mut Body,
    (plate, edge): (Plate, &str),
    (on, face): (&str, &str),
    path: &str,
) -> Result<(), BodyError> {
    let id = plate.id.clone();
    if let Some(base) = body.plate(on) {
        let joint = butt_joint((&plate, edge), (base, face));
        body.joints.push(joint);
    }
    body.plates.push(plate);
    tab_into(model, body, (&id, edge), on, Tabbing::default(), path)
}

pub(super) fn side_rectangle(
    model: &Model,
    id: String,
    title: String,
    left: bool,
    outside: f64,
    (low, high): (Point2, Point2),
) -> Plate {
    SidePlateOf {
        id,
        assembly: "steps",
        title,
        sheet: model.metal.sheet("valances"),
        left,
        outside,
        ends: (low.x, high.x),
        outline: &rectangle(low, high),
        sides: &["bottom", "rear", "top", "front"],
    }
    .plate()
}

/// A level plate between two distances from the centre line: its edges are `inner`, `outer`, `front`, `rear`.
fn level_rectangle(
    model: &Model,
    (id, title): (String, String),
    left: bool,
    top: f64,
    (from, to): (f64, f64),
    (inner, outer): (f64, f64),
) -> Plate {
    let (low, high, sides) = if left {
        (inner, outer, ["inner", "rear", "outer", "front"])
    } else {
        (-outer, -inner, ["outer", "rear", "inner", "front"])
    };
    FlatPlateOf {
        id,
        assembly: "steps",
        title,
        sheet: model.metal.sheet("valances"),
        outside_origin: Point3::new(0.0, 0.0, top),
        facing: Facing::Up,
        outline: &rectangle(Point2::new(from, low), Point2::new(to, high)),
        sides: &sides,
    }
    .plate()
}

/// A back plate behind the valance with its lowest tread folded out of it, and the treads above that one,
/// which are tabbed into it.
fn steps(
    model: &Model,
    body: &mut Body,
    spec: &StepSpec,
    index: usize,
    left: bool,
) -> Result<(), BodyError> {
    let path = format!("steps[{index}]");
    let t = model.metal.thickness("valances");
    let (from, to) = (spec.x - spec.width / 2.0, spec.x + spec.width / 2.0);
    let under = level_underside(model, from, to, &path)?;
    let edge = model.footplate.width / 2.0;
    let back = edge - spec.depth;
    let behind = super::valances::outside(model) - t - model.metal.film;
    if !(back <= behind && back > 4.0 * t && spec.width > 6.0 * t) {
        return Err(shape(
            format!("{path}.depth"),
            "the steps' back plate does not stand behind the valance",
            "depth is measured in from the edge of the footplate",
        ));
    }
    let lowest = spec.treads.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = spec.treads.iter().copied().fold(0.0, f64::max);
    if !(lowest > 3.0 * t && highest < under - 2.0 * t) {
        return Err(shape(
            format!("{path}.treads"),
            "a tread lies above the footplate or on the rail",
            "give the heights of the treads' upper faces above rail",
        ));
    }
    let word = hand(left);
    let id = format!("step-{word}-{}", index + 1);
    let title = format!("Step back plate {}, {word}", index + 1);
    let plate = back_plate(
        model,
        (id.clone(), title, &path),
        left,
        (from, to),
        ((under, lowest), (back, edge)),
    )?;
    hang(model, body, plate, &path)?;
    let folded = spec.treads.iter().position(|top| *top == lowest);
    for (k, top) in spec.treads.iter().enumerate() {
        if Some(k) == folded {
            continue;
        }
        let names = (
            format!("{id}-tread-{}", k + 1),
            format!("Step tread {}-{}, {word}", index + 1, k + 1),
        );
        let tread = level_rectangle(model, names, left, *top, (from, to), (back, edge));
        stand(model, body, (tread, "inner"), (&id, "outside"), &path)?;
    }
    Ok(())
}

/// The back plate from the footplate's underside down to the upper face of the tread, and the tread out to
/// the edge of the footplate: the fold lies on the outside face.
fn back_plate(
    model: &Model,
    (id, title, path): (String, String, &str),
    left: bool,
    (from, to): (f64, f64),
    ((under, tread), (back, edge)): ((f64, f64), (f64, f64)),
) -> Result<Plate, BodyError> {
    let (upright, level) = (under - tread, edge - back);
    // Seen from the front the left plate is travelled from the top down and the right one from the edge of
    // its tread up, so that the outside lies on the left of travel.
    let (start, heading, legs, sides) = if left {
        let sides = ["top", "rear", "outer", "front"];
        (
            Point2::new(back, under),
            -FRAC_PI_2,
            [upright, level],
            sides,
        )
    } else {
        let sides = ["outer", "rear", "top", "front"];
        (Point2::new(-edge, tread), 0.0, [level, upright], sides)
    };
    let plate = FoldedPlateOf {
        id,
        assembly: "steps",
        title,
        sheet: model.metal.sheet("valances"),
        frame: LoftFrame::along_engine(from),
        start,
        heading,
        legs: &legs,
        turns: &[FRAC_PI_2],
        length: to - from,
        reach: model.metal.thickness("footplate"),
        path,
    }
    .fold(model)?;
    Ok(plate.whole(sides))
}
