//! Sandboxes hung from the footplate.

use super::side_plate::{hand, sign};
use super::steps::{hang, level_underside, shape, side_rectangle, stand};
use crate::fit::butt_joint;
use crate::folded::FoldedPlateOf;
use crate::model::specs::SandboxSpec;
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf, rectangle};
use crate::{Body, BodyError, Model, Plate};
use develop::LoftFrame;
use geom::math::{FRAC_PI_2, PI};
use geom::{Point2, Point3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    for (i, spec) in model.sandboxes.iter().enumerate() {
        for left in [true, false] {
            sandbox(model, body, spec, i, left)?;
        }
    }
    Ok(())
}

/// A box of four plates: a back that reaches up to the footplate and out beyond the box, a channel of top,
/// face and bottom folded in one, and two ends inside it.
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
    let fits = spec.bottom > 3.0 * t
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
    // The box stands on a flange of the back, which has the slots of its ends.
    let flange = 3.0 * t;
    let low = corner(from - flange, spec.bottom - flange);
    let size = (low, corner(to + flange, under));
    let plate = side_rectangle(model, back_id.clone(), title, left, back, size);
    hang(model, body, plate, &path)?;
    let channel = channel(model, name("face"), left, (from, to), (spec, back), &path)?;
    let channel_id = channel.id.clone();
    for edge in ["top", "bottom"] {
        if let Some(base) = body.plate(&back_id) {
            let joint = butt_joint((&channel, edge), (base, "outside"));
            body.joints.push(joint);
        }
    }
    body.plates.push(channel);
    let two = Tabbing {
        count: Some(2),
        ..Tabbing::default()
    };
    for edge in ["top", "bottom"] {
        tab_into(model, body, (&channel_id, edge), &back_id, two, &path)?;
    }
    for (part, x, facing) in [("front", from, Facing::Front), ("rear", to, Facing::Rear)] {
        let (id, title) = name(part);
        let (low, high) = (spec.bottom + t, spec.top - t);
        // Flat x runs to +y on a plate that looks rearward and to −y on one that looks forward.
        let turned = sign(left) * if part == "rear" { 1.0 } else { -1.0 };
        let (a, b) = (turned * back, turned * (back + spec.depth - t));
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
        for edge in ["bottom", "top", "outer"] {
            if let Some(base) = body.plate(&channel_id) {
                let joint = butt_joint((&plate, edge), (base, "inside"));
                body.joints.push(joint);
            }
        }
        stand(model, body, (plate, "inner"), (&back_id, "outside"), &path)?;
    }
    Ok(())
}

/// Top, face and bottom of a sandbox in one piece, folded outwards from its back; the folds are on the
/// inside and the box has its drawn size over the outside.
fn channel(
    model: &Model,
    (id, title): (String, String),
    left: bool,
    (from, to): (f64, f64),
    (spec, back): (&SandboxSpec, f64),
    path: &str,
) -> Result<Plate, BodyError> {
    // Travelled with the outside on the left: outwards along the top on the left, inwards from the bottom
    // on the right.
    let (start, sides) = if left {
        let sides = ["top", "rear", "bottom", "front"];
        (Point2::new(back, spec.top), sides)
    } else {
        let sides = ["bottom", "rear", "top", "front"];
        (Point2::new(-back, spec.bottom), sides)
    };
    let plate = FoldedPlateOf {
        id,
        assembly: "steps",
        title,
        sheet: model.metal.sheet("valances"),
        frame: LoftFrame::along_engine(from),
        start,
        heading: if left { 0.0 } else { PI },
        legs: &[spec.depth, spec.top - spec.bottom, spec.depth],
        turns: &[-FRAC_PI_2, -FRAC_PI_2],
        length: to - from,
        reach: model.metal.thickness("valances"),
        path,
    }
    .fold(model)?;
    Ok(plate.whole(sides))
}
