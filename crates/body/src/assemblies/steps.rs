//! Steps and sandboxes, hung from the footplate.

use super::footplate::underside_at;
use super::side_plate::{SidePlateOf, hand, sign};
use crate::fit::butt_joint;
use crate::model::specs::{SandboxSpec, StepSpec};
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf, rectangle};
use crate::{Body, BodyError, Model, Plate};
use geom::{Point2, Point3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    for (i, spec) in model.steps.iter().enumerate() {
        for left in [true, false] {
            steps(model, body, spec, i, left)?;
        }
    }
    for (i, spec) in model.sandboxes.iter().enumerate() {
        for left in [true, false] {
            sandbox(model, body, spec, i, left)?;
        }
    }
    Ok(())
}

fn shape(path: String, sentence: &str, help: &str) -> BodyError {
    BodyError::Shape {
        path,
        sentence: sentence.to_owned(),
        help: help.to_owned(),
    }
}

/// Underside of the footplate over a stretch that must be level.
fn level_underside(model: &Model, from: f64, to: f64, path: &str) -> Result<f64, BodyError> {
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
fn hang(model: &Model, body: &mut Body, plate: Plate, path: &str) -> Result<(), BodyError> {
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
fn stand(
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

fn side_rectangle(
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

/// A back plate behind the valance, and its treads.
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
    let (low, high) = (Point2::new(from, lowest - 3.0 * t), Point2::new(to, under));
    let title = format!("Step back plate {}, {word}", index + 1);
    let plate = side_rectangle(model, id.clone(), title, left, back, (low, high));
    hang(model, body, plate, &path)?;
    for (k, top) in spec.treads.iter().enumerate() {
        let names = (
            format!("{id}-tread-{}", k + 1),
            format!("Step tread {}-{}, {word}", index + 1, k + 1),
        );
        let tread = level_rectangle(model, names, left, *top, (from, to), (back, edge));
        stand(model, body, (tread, "inner"), (&id, "outside"), &path)?;
    }
    Ok(())
}

/// A box of six plates; its back reaches up to the footplate.
fn sandbox(
    model: &Model,
    body: &mut Body,
    spec: &SandboxSpec,
    index: usize,
    left: bool,
) -> Result<(), BodyError> {
    let path = format!("sandboxes[{index}]");
    let t = model.metal.thickness("valances");
    let (from, to) = (spec.x - spec.width / 2.0, spec.x + spec.width / 2.0);
    let under = level_underside(model, from, to, &path)?;
    let face = super::valances::outside(model) - t - model.metal.film;
    let back = face - spec.depth;
    let fits = spec.bottom > 0.0
        && spec.top - spec.bottom > 8.0 * t
        && spec.top < under
        && back > 4.0 * t
        && spec.depth > 5.0 * t
        && spec.width > 5.0 * t;
    if !fits {
        return Err(shape(
            format!("{path}.top"),
            "the sandbox has no room between the footplate, the rail and the centre line",
            "give its width along the engine and the heights of its top and bottom above rail",
        ));
    }
    let word = hand(left);
    let id = format!("sandbox-{word}-{}", index + 1);
    let name = |part: &str| {
        (
            format!("{id}-{part}"),
            format!("Sandbox {} {part}, {word}", index + 1),
        )
    };
    let corner = |x, z| Point2::new(x, z);
    let (back_id, title) = name("back");
    let size = (corner(from, spec.bottom), corner(to, under));
    let plate = side_rectangle(model, back_id.clone(), title, left, back, size);
    hang(model, body, plate, &path)?;
    // Top and bottom stand out from the back; ends close the box between them; the face goes over all.
    for (part, top) in [("top", spec.top), ("bottom", spec.bottom + 3.0 * t)] {
        let plate = level_rectangle(model, name(part), left, top, (from, to), (back, face - t));
        stand(model, body, (plate, "inner"), (&back_id, "outside"), &path)?;
    }
    let (bottom_id, top_id) = (name("bottom").0, name("top").0);
    for (part, x, facing) in [("front", from, Facing::Front), ("rear", to, Facing::Rear)] {
        let (id, title) = name(part);
        let (low, high) = (spec.bottom + 3.0 * t, spec.top - t);
        // Flat x runs to +y on a plate that looks rearward and to −y on one that looks forward.
        let turned = sign(left) * if part == "rear" { 1.0 } else { -1.0 };
        let (a, b) = (turned * back, turned * (face - t));
        let sides = if turned > 0.0 {
            ["bottom", "outer", "top", "inner"]
        } else {
            ["bottom", "inner", "top", "outer"]
        };
        let plate = FlatPlateOf {
            id,
            assembly: "steps",
            title,
            sheet: model.metal.sheet("valances"),
            outside_origin: Point3::new(x, 0.0, 0.0),
            facing,
            outline: &rectangle(corner(a.min(b), low), corner(a.max(b), high)),
            sides: &sides,
        }
        .plate();
        for (edge, on, side) in [("bottom", &bottom_id, "top"), ("top", &top_id, "underside")] {
            if let Some(base) = body.plate(on) {
                let joint = butt_joint((&plate, edge), (base, side));
                body.joints.push(joint);
            }
        }
        stand(model, body, (plate, "inner"), (&back_id, "outside"), &path)?;
    }
    let (face_id, title) = name("face");
    let size = (corner(from, spec.bottom), corner(to, spec.top));
    let plate = side_rectangle(model, face_id, title, left, face, size);
    for part in ["top", "bottom", "front", "rear"] {
        if let Some(own) = body.plate(&name(part).0) {
            let joint = butt_joint((own, "outer"), (&plate, "inside"));
            body.joints.push(joint);
        }
    }
    body.plates.push(plate);
    Ok(())
}
