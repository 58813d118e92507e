//! Buffer beams, each a base with a riveted overlay, and the drag beam.
//!
//! Bases and drag beams have lips folded back under the footplate.

use super::footplate::underside_at;
use super::lips::{Lips, fold_beam, join_lips};
use crate::fit::{butt_joint, hole_joint};
use crate::laminations::{laminate, recess};
use crate::measure::flat_of;
use crate::model::specs::{DragBeamSpec, End};
use crate::rows::lay_border;
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf, cut, drill, rectangle, rounded_rectangle};
use crate::{Body, BodyError, Model, Plate};
use geom::{FlatPoint, Point2, Point3, Vector2};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    for end in End::BOTH {
        let id = match model.footplate.drag_beam_at(end) {
            Some(spec) => drag_beam(model, body, spec)?,
            None => buffer_beam(model, body, end)?,
        };
        fix_valances(model, body, &id, end)?;
    }
    Ok(())
}

/// Thickness over all layers of the beam at an end (mm): what valances and frames stop short by.
pub(super) fn stack(model: &Model, end: End) -> f64 {
    let base = model.metal.thickness("beams");
    if model.footplate.drag_beam_at(end).is_some() {
        base
    } else {
        base + recess(model)
    }
}

/// Lower and upper corner of a beam in y and height.
fn corners(
    model: &Model,
    end: End,
    (bottom, width): (f64, f64),
    path: &str,
) -> Result<(Point2, Point2), BodyError> {
    let x = match end {
        End::Front => 0.0,
        End::Rear => model.footplate.length,
    };
    let top = underside_at(model, x);
    if !(top > bottom && width > 0.0) {
        return Err(BodyError::Shape {
            path: format!("{path}.bottom"),
            sentence: format!("the {} beam's bottom is above the footplate", end.word()),
            help: "give the height of the lower edge above rail".to_owned(),
        });
    }
    Ok((
        Point2::new(-width / 2.0, bottom),
        Point2::new(width / 2.0, top),
    ))
}

/// A beam `behind` the end of the footplate (mm).
fn plate(
    model: &Model,
    end: End,
    (id, title, part): (String, String, &str),
    behind: f64,
    (low, high): (Point2, Point2),
) -> Plate {
    let (facing, x) = match end {
        End::Front => (Facing::Front, behind),
        End::Rear => (Facing::Rear, model.footplate.length - behind),
    };
    FlatPlateOf {
        id,
        assembly: "footplate",
        title,
        sheet: model.metal.sheet(part),
        outside_origin: Point3::new(x, 0.0, 0.0),
        facing,
        outline: &rectangle(low, high),
        sides: &["bottom", "right", "top", "left"],
    }
    .plate()
}

fn buffer_beam(model: &Model, body: &mut Body, end: End) -> Result<String, BodyError> {
    let f = &model.footplate;
    let (low, high) = corners(model, end, (f.beam_bottom, f.beam_width), "buffer_beams")?;
    let id = format!("buffer-beam-{}", end.word());
    let over = format!("{id}-overlay");
    let title = format!("Buffer beam, {}", end.word());
    let names = (over.clone(), format!("{title}, overlay"), "overlay");
    let mut overlay = plate(model, end, names, 0.0, (low, high));
    let size = (low, high);
    let mut base = base(model, end, (id.clone(), title), recess(model), size)?;
    // Both flats have their axes along the beam and up: one is moved against the other.
    let middle = low + (high - low) / 2.0;
    let moved = flat_of(&base, overlay.forming.place(middle).point) - middle;
    let b = &model.buffers;
    // Spigot of a turned buffer and slot of a coupling hook: common practice, no source.
    let spigot = model.scale.pick(2.0, 3.2);
    let hook = (model.scale.pick(1.0, 1.5), model.scale.pick(2.5, 4.0));
    // The base's shoulders stand a thickness below its lips, and metal is left under them.
    let t = model.metal.thickness("beams");
    let least_bar = model.metal.process.least_bar.at(t);
    let room = high.y - model.metal.film - t - b.height - 1.1 * least_bar;
    let high_enough = if room > hook.0 / 2.0 {
        room
    } else {
        f64::INFINITY
    };
    let half = Vector2::new(hook.0 / 2.0, (hook.1 / 2.0).min(high_enough));
    for (layer, moved) in [(&mut base, moved), (&mut overlay, Vector2::zeros())] {
        let at = |y| FlatPoint::new(y, b.height) + moved;
        for (name, y) in [
            ("buffer-a", -b.centres / 2.0),
            ("buffer-b", b.centres / 2.0),
        ] {
            drill(layer, name, at(y), spigot);
        }
        let slot = rounded_rectangle(at(0.0) - half, at(0.0) + half, hook.0 / 4.0);
        cut(layer, "hook", &slot, None);
    }
    for hole in ["buffer-a", "buffer-b", "hook"] {
        body.joints
            .push(hole_joint((&overlay, hole), (&base, hole)));
    }
    let edge = Vector2::new(model.rivets.edge, model.rivets.edge);
    let sides = ["bottom", "right", "top", "left"];
    lay_border(
        &mut overlay,
        &model.rivets.beams,
        low + edge,
        high - edge,
        &sides,
    );
    body.plates.extend([base, overlay]);
    laminate(model, body, &over, &id);
    Ok(id)
}

/// The plate that carries a beam: with its lips where there is room for them, else flat.
fn base(
    model: &Model,
    end: End,
    names: (String, String),
    behind: f64,
    size: (Point2, Point2),
) -> Result<Plate, BodyError> {
    match Lips::of(model, end, behind, size) {
        Some(lips) => fold_beam(model, end, names, &lips),
        None => Ok(plate(model, end, (names.0, names.1, "beams"), behind, size)),
    }
}

fn drag_beam(model: &Model, body: &mut Body, spec: &DragBeamSpec) -> Result<String, BodyError> {
    let size = (spec.bottom, spec.width);
    let (low, high) = corners(model, spec.end, size, "drag_beam")?;
    let id = "drag-beam".to_owned();
    let names = (id.clone(), "Drag beam".to_owned());
    let mut beam = base(model, spec.end, names, 0.0, (low, high))?;
    // Slot for the drawbar, half way up: common practice, no source.
    let half = Vector2::new(model.scale.pick(2.5, 4.0), model.scale.pick(0.6, 1.0));
    let x = match spec.end {
        End::Front => 0.0,
        End::Rear => model.footplate.length,
    };
    let middle = flat_of(&beam, Point3::new(x, 0.0, (low.y + high.y) / 2.0));
    let room = (high.y - low.y) / 2.0 > 2.0 * half.y && high.x > 2.0 * half.x;
    if room {
        let slot = rounded_rectangle(middle - half, middle + half, half.y / 2.0);
        cut(&mut beam, "drawbar", &slot, None);
    }
    body.plates.push(beam);
    Ok(id)
}

/// The beam is put under the footplate; valances that end behind it are tabbed into it.
fn fix_valances(model: &Model, body: &mut Body, id: &str, end: End) -> Result<(), BodyError> {
    let built = |body: &Body, id: &str| body.plate(id).cloned();
    join_lips(model, body, id);
    let Some(beam) = built(body, id) else {
        return Ok(());
    };
    if !super::valances::behind_beam(model, end) {
        return Ok(());
    }
    for valance in ["valance-left", "valance-right"] {
        let Some(plate) = built(body, valance) else {
            continue;
        };
        let butt = butt_joint((&plate, end.word()), (&beam, "inside"));
        body.joints.push(butt);
        let one = Tabbing {
            count: Some(1),
            ..Tabbing::default()
        };
        tab_into(
            model,
            body,
            (valance, end.word()),
            id,
            one,
            "buffer_beams.width",
        )?;
    }
    Ok(())
}
