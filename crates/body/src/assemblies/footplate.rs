//! The footplate with its openings, the valances under it and the buffer beams at its ends.

use crate::fit::butt_joint;
use crate::model::specs::AxleSpec;
use crate::rows::lay_border;
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf, cut, drill, rectangle, rounded_rectangle};
use crate::{Body, BodyError, Model, Plate};
use geom::{Outline, Point2, Point3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let footplate = footplate(model)?;
    let valances = [valance(model, true), valance(model, false)];
    let beams = [beam(model, true)?, beam(model, false)?];
    for valance in &valances {
        body.joints.push(butt_joint(
            model,
            (valance, "top"),
            (&footplate, "underside"),
        ));
    }
    for (beam, end) in beams.iter().zip(["front", "rear"]) {
        body.joints
            .push(butt_joint(model, (beam, "top"), (&footplate, "underside")));
        for valance in &valances {
            body.joints
                .push(butt_joint(model, (valance, end), (beam, "inside")));
        }
    }
    for id in ["smokebox-wrapper", "firebox-wrapper"] {
        for foot in ["foot-left", "foot-right"] {
            if let Some(wrapper) = body.plate(id) {
                let joint = butt_joint(model, (wrapper, foot), (&footplate, "top"));
                body.joints.push(joint);
            }
        }
    }
    body.plates.push(footplate);
    body.plates.extend(valances);
    body.plates.extend(beams);
    for valance in ["valance-left", "valance-right"] {
        let edge = (valance, "top");
        tab_into(
            model,
            body,
            edge,
            "footplate",
            Tabbing::default(),
            "footplate.valances",
        )?;
    }
    Ok(())
}

/// Height of the footplate's underside (mm).
fn underside(model: &Model) -> f64 {
    model.footplate.top - model.metal.thickness("footplate")
}

fn footplate(model: &Model) -> Result<Plate, BodyError> {
    let f = &model.footplate;
    let outline = rectangle(
        Point2::new(0.0, -f.width / 2.0),
        Point2::new(f.length, f.width / 2.0),
    );
    let mut plate = FlatPlateOf {
        id: "footplate".to_owned(),
        assembly: "footplate",
        title: "Footplate".to_owned(),
        sheet: model.metal.sheet("footplate"),
        outside_origin: Point3::new(0.0, 0.0, f.top),
        facing: Facing::Up,
        outline: &outline,
        sides: &["side-right", "rear", "side-left", "front"],
    }
    .plate();
    for (i, axle) in model.running.axles.iter().enumerate() {
        if let Some((from, to)) = wheel_opening(model, axle) {
            cut_wheel_openings(model, &mut plate, i + 1, from, to)?;
        }
    }
    if model.firebox.is_some() {
        cut_motor_opening(model, &mut plate);
    }
    Ok(plate)
}

/// Where a wheel with its flange comes through the footplate, with room to spring; `None` if it stays below.
fn wheel_opening(model: &Model, axle: &AxleSpec) -> Option<(f64, f64)> {
    let flange = model.wheels.dimensions().flange_depth;
    // Room round the flange: scale gap of the trade between flange and metal above it.
    let radius = axle.diameter / 2.0 + flange + model.scale.pick(0.5, 0.8);
    let rise = underside(model) - axle.diameter / 2.0;
    (rise < radius).then(|| {
        let half = ((radius - rise) * (radius + rise)).sqrt();
        (axle.x - half, axle.x + half)
    })
}

fn cut_wheel_openings(
    model: &Model,
    plate: &mut Plate,
    axle: usize,
    from: f64,
    to: f64,
) -> Result<(), BodyError> {
    let wheels = model.wheels.dimensions();
    // Side float of the end axles and a little air: common practice, no source.
    let play = model.scale.pick(0.3, 0.4);
    let inner = wheels.back_to_back / 2.0 - play;
    let outer = wheels.back_to_back / 2.0 + wheels.tyre_width + play;
    if outer >= model.footplate.width / 2.0 - model.metal.thickness("footplate") {
        return Err(BodyError::Shape {
            path: "footplate.width".to_owned(),
            sentence: format!(
                "{} wheels come out beside the footplate",
                model.wheels.word()
            ),
            help: "check the width of the footplate and the wheel standard".to_owned(),
        });
    }
    let radius = model
        .metal
        .process
        .inside_corner
        .at(model.metal.thickness("footplate"));
    for (side, low, high) in [("right", -outer, -inner), ("left", inner, outer)] {
        let opening = rounded_rectangle(Point2::new(from, low), Point2::new(to, high), radius);
        cut(plate, &format!("wheel-{side}-{axle}"), &opening, None);
    }
    Ok(())
}

/// The opening under the firebox through which motor and gears reach up.
fn cut_motor_opening(model: &Model, plate: &mut Plate) {
    let from = super::firebox::front_x(model);
    let length = model.firebox().length;
    let margin = 3.0 * model.metal.thickness("formers");
    let half = model.firebox().bottom_half_width - model.metal.thickness("firebox") - margin;
    let wheel_side = model.wheels.dimensions().back_to_back / 2.0 - model.scale.pick(0.3, 0.4);
    // A bar stays between this opening and those of the wheels.
    let half = half.min(
        wheel_side
            - 2.0
                * model
                    .metal
                    .process
                    .least_bar
                    .at(model.metal.thickness("footplate")),
    );
    let radius = model
        .metal
        .process
        .inside_corner
        .at(model.metal.thickness("footplate"));
    let opening = rounded_rectangle(
        Point2::new(from + margin, -half),
        Point2::new(from + length - margin, half),
        radius,
    );
    cut(plate, "motor", &opening, None);
}

/// A strip set in under the edge, between the beams.
fn valance(model: &Model, left: bool) -> Plate {
    let f = &model.footplate;
    let beam = model.metal.thickness("beams");
    let top = underside(model);
    let y = f.width / 2.0 - f.valance_inset;
    let length = f.length - 2.0 * beam;
    let outline = rectangle(
        Point2::new(0.0, top - f.valance_depth),
        Point2::new(length, top),
    );
    let (side, facing, origin, ends) = if left {
        let origin = Point3::new(f.length - beam, y, 0.0);
        ("left", Facing::Left, origin, ("front", "rear"))
    } else {
        (
            "right",
            Facing::Right,
            Point3::new(beam, -y, 0.0),
            ("rear", "front"),
        )
    };
    FlatPlateOf {
        id: format!("valance-{side}"),
        assembly: "footplate",
        title: format!("Valance, {side}"),
        sheet: model.metal.sheet("valances"),
        outside_origin: origin,
        facing,
        outline: &outline,
        sides: &["bottom", ends.0, "top", ends.1],
    }
    .plate()
}

/// A buffer beam with holes for buffers and hook and rivets round its edge.
fn beam(model: &Model, front: bool) -> Result<Plate, BodyError> {
    let f = &model.footplate;
    let (id, title, facing, x) = if front {
        (
            "buffer-beam-front",
            "Buffer beam, front",
            Facing::Front,
            0.0,
        )
    } else {
        (
            "buffer-beam-rear",
            "Buffer beam, rear",
            Facing::Rear,
            f.length,
        )
    };
    let (low, high) = (
        Point2::new(-f.beam_width / 2.0, f.beam_bottom),
        Point2::new(f.beam_width / 2.0, underside(model)),
    );
    if high.y <= low.y {
        return Err(BodyError::Shape {
            path: "buffer_beams.bottom".to_owned(),
            sentence: "the buffer beam's bottom is above the footplate".to_owned(),
            help: "give the height of the lower edge above rail".to_owned(),
        });
    }
    let outline: Outline = rectangle(low, high);
    let mut plate = FlatPlateOf {
        id: id.to_owned(),
        assembly: "footplate",
        title: title.to_owned(),
        sheet: model.metal.sheet("beams"),
        outside_origin: Point3::new(x, 0.0, 0.0),
        facing,
        outline: &outline,
        sides: &["bottom", "right", "top", "left"],
    }
    .plate();
    let b = &model.buffers;
    // Spigot of a turned buffer and slot of a coupling hook: common practice, no source.
    let spigot = model.scale.pick(2.0, 3.2);
    let hook = (model.scale.pick(1.0, 1.5), model.scale.pick(2.5, 4.0));
    for (side, y) in [("a", -b.centres / 2.0), ("b", b.centres / 2.0)] {
        drill(
            &mut plate,
            &format!("buffer-{side}"),
            Point2::new(y, b.height),
            spigot,
        );
    }
    let slot = rounded_rectangle(
        Point2::new(-hook.0 / 2.0, b.height - hook.1 / 2.0),
        Point2::new(hook.0 / 2.0, b.height + hook.1 / 2.0),
        hook.0 / 4.0,
    );
    cut(&mut plate, "hook", &slot, None);
    let edge = geom::Vector2::new(model.rivets.edge, model.rivets.edge);
    lay_border(
        &mut plate,
        &model.rivets.beams,
        low + edge,
        high - edge,
        &["bottom", "right", "top", "left"],
    );
    Ok(plate)
}
