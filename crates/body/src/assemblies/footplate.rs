//! The footplate with its openings: a flat plate, or rolled where its ends lie at another level.

use crate::error::AtKey;
use crate::fit::butt_joint;
use crate::model::specs::AxleSpec;
use crate::upright::{Facing, FlatPlateOf, cut, rectangle, rounded_rectangle};
use crate::wrapper::{SideNames, WrapperOf};
use crate::{Body, BodyError, Chassis, DerivedAngle, Model, Plate};
use develop::{Forming, Loft, LoftFrame};
use geom::{Chain, FlatPoint, Point2, Point3, Vector2, Vector3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let footplate = footplate(model)?;
    body.plates.push(footplate);
    derive_drops(model, body);
    super::valances::build(model, body)?;
    super::beams::build(model, body)
}

/// Declares where the feet of smokebox and firebox stand on the footplate, once both are built.
pub(super) fn stand_feet(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let Some(footplate) = body.plate("footplate") else {
        return Ok(());
    };
    let mut joints = Vec::new();
    for id in ["smokebox-wrapper", "firebox-wrapper"] {
        if super::fouling::feet(model, body, id).is_none() {
            continue;
        }
        for foot in ["foot-left", "foot-right"] {
            if let Some(wrapper) = body.plate(id).filter(|own| own.edge(foot).is_some()) {
                joints.push(butt_joint((wrapper, foot), (footplate, "top")));
            }
        }
    }
    body.joints.extend(joints);
    Ok(())
}

/// Height of the footplate's underside at `x` (mm): on a slope its thickness is measured upright, which
/// is less than the metal there takes.
pub(super) fn underside_at(model: &Model, x: f64) -> f64 {
    model.footplate.top_at(x) - model.metal.thickness("footplate")
}

/// The underside seen from the side, from the front end to the rear.
pub(super) fn underside_profile(model: &Model) -> Result<Chain, BodyError> {
    model
        .footplate
        .profile()?
        .offset(-model.metal.thickness("footplate"))
        .at_key("footplate.drops[0].upper_radius")
}

/// Run, angle and developed length of each drop.
fn derive_drops(model: &Model, body: &mut Body) {
    let f = &model.footplate;
    for (i, drop) in f.drops.iter().enumerate() {
        let Ok(curve) = drop.curve(f.top) else {
            continue;
        };
        let (path, end) = (format!("footplate.drops[{i}]"), drop.end.word());
        body.derive(
            &format!("{path}.run"),
            &format!("Drop at the {end}: length in plan"),
            curve.run,
        );
        body.derive(
            &format!("{path}.developed"),
            &format!("Drop at the {end}: length along the metal"),
            curve.developed(),
        );
        body.angles.push(DerivedAngle {
            path: format!("{path}.angle"),
            title: format!("Drop at the {end}: angle of each arc"),
            radians: curve.angle,
        });
    }
}

/// Names of the sides of a rolled footplate: rulings run from left to right, travel goes rearward.
const ACROSS: SideNames = SideNames {
    ends: ("side-left", "side-right"),
    sides: ("front", "rear"),
    corners: ["front-left", "front-right", "rear-left", "rear-right"],
    datum: ("middle-left", "middle-right"),
};

fn footplate(model: &Model) -> Result<Plate, BodyError> {
    let mut plate = if model.footplate.drops.is_empty() {
        level_plate(model)
    } else {
        rolled_plate(model)?
    };
    for (i, axle) in model.running.axles.iter().enumerate() {
        if let Some((from, to)) = wheel_opening(model, axle) {
            cut_wheel_openings(model, &mut plate, i + 1, from, to)?;
        }
    }
    if model.firebox.is_some() {
        cut_motor_opening(model, &mut plate)?;
    }
    Ok(plate)
}

fn level_plate(model: &Model) -> Plate {
    let f = &model.footplate;
    let outline = rectangle(
        Point2::new(0.0, -f.width / 2.0),
        Point2::new(f.length, f.width / 2.0),
    );
    FlatPlateOf {
        id: "footplate".to_owned(),
        assembly: "footplate",
        title: "Footplate".to_owned(),
        sheet: model.metal.sheet("footplate"),
        outside_origin: Point3::new(0.0, 0.0, f.top),
        facing: Facing::Up,
        outline: &outline,
        sides: &["side-right", "rear", "side-left", "front"],
    }
    .plate()
}

/// Rolled about rulings across the engine; the profile is given to the top surface.
fn rolled_plate(model: &Model) -> Result<Plate, BodyError> {
    let f = &model.footplate;
    let sheet = model.metal.sheet("footplate");
    let neutral = f
        .profile()?
        .offset(-sheet.z_high)
        .at_key("footplate.drops[0].upper_radius")?;
    let frame = LoftFrame {
        origin: Point3::new(0.0, f.width / 2.0, 0.0),
        axis: -Vector3::y(),
        across: Vector3::x(),
        up: Vector3::z(),
    };
    let loft = Loft::between(
        frame,
        &neutral,
        &neutral,
        f.width,
        sheet.thickness(),
        sheet.bend_rule,
    )
    .at_key("footplate.drops[0]")?;
    Ok(WrapperOf {
        id: "footplate",
        assembly: "footplate",
        title: "Footplate",
        sheet,
        names: ACROSS,
    }
    .plate(loft))
}

/// Where a place of the plan (x rearward, y to the left) comes to on the footplate's flat: on a rolled
/// one along the developed strip.
pub(super) fn on_footplate(model: &Model, plate: &Plate, x: f64, y: f64) -> Option<FlatPoint> {
    match &plate.forming {
        Forming::Flat(_) => Some(FlatPoint::new(x, y)),
        Forming::Rolled(loft) => {
            let width = model.footplate.width;
            let share = (width / 2.0 - y) / width;
            let place = loft.under_drill(Vector2::new(0.0, 1.0), x, share).ok()?;
            Some(loft.flat(place))
        }
    }
}

/// Cuts an opening that is a rectangle in plan, its corners rounded.
fn cut_in_plan(
    model: &Model,
    plate: &mut Plate,
    feature: &str,
    (low, high): (Point2, Point2),
    path: &str,
) -> Result<(), BodyError> {
    let place = |p: Point2| on_footplate(model, plate, p.x, p.y);
    let (Some(a), Some(b)) = (place(low), place(high)) else {
        return Err(BodyError::Shape {
            path: path.to_owned(),
            sentence: "an opening runs off the end of the footplate".to_owned(),
            help: "check the place against the footplate's length".to_owned(),
        });
    };
    let radius = model
        .metal
        .process
        .inside_corner
        .at(model.metal.thickness("footplate"));
    let opening = rounded_rectangle(
        Point2::new(a.x.min(b.x), a.y.min(b.y)),
        Point2::new(a.x.max(b.x), a.y.max(b.y)),
        radius,
    );
    cut(plate, feature, &opening, None);
    Ok(())
}

/// Radius of a wheel over its flange with room to move (mm): the usual gap between flange and metal above it is
/// common practice, no source.
pub(super) fn swept_radius(model: &Model, axle: &AxleSpec) -> f64 {
    let flange = model.wheels.dimensions().flange_depth;
    let over = model.wheels.spring_rise() + model.scale.pick(0.3, 0.4);
    axle.diameter / 2.0 + flange + over.max(model.scale.pick(0.5, 0.8))
}

/// True if a wheel with its flange comes so near the underside that it would touch when it rises on its springs:
/// chosen, not sourced.
fn comes_through(model: &Model, axle: &AxleSpec) -> bool {
    let radius = axle.diameter / 2.0 + model.wheels.dimensions().flange_depth;
    let lowest = [-1.0, -0.5, 0.0, 0.5, 1.0]
        .map(|share: f64| {
            let up = radius * (1.0 - share * share).sqrt();
            underside_at(model, axle.x + share * radius) - axle.diameter / 2.0 - up
        })
        .into_iter()
        .fold(f64::INFINITY, f64::min);
    let rise = model.wheels.spring_rise() + 0.05;
    lowest < model.scale.pick(0.15, 0.25).max(rise)
}

/// Where a wheel with its flange comes through the footplate, with room to spring; `None` if it stays below.
pub(super) fn wheel_opening(model: &Model, axle: &AxleSpec) -> Option<(f64, f64)> {
    if !comes_through(model, axle) {
        return None;
    }
    let radius = swept_radius(model, axle);
    if model.footplate.drops.is_empty() {
        let rise = underside_at(model, axle.x) - axle.diameter / 2.0;
        return (rise < radius).then(|| {
            let half = ((radius - rise) * (radius + rise)).sqrt();
            (axle.x - half, axle.x + half)
        });
    }
    const STEPS: i32 = 200;
    let is_above = |share: f64| {
        let up = radius * (1.0 - share * share).max(0.0).sqrt();
        axle.diameter / 2.0 + up > underside_at(model, axle.x + share * radius)
    };
    let share = |i: i32| f64::from(i) / f64::from(STEPS);
    let first = (-STEPS..=STEPS).find(|i| is_above(share(*i)))?;
    let last = (-STEPS..=STEPS).rev().find(|i| is_above(share(*i)))?;
    let edge = |inside: i32, outside: i32| {
        let (mut yes, mut no) = (share(inside), share(outside));
        for _ in 0..50 {
            let middle = (yes + no) / 2.0;
            if is_above(middle) {
                yes = middle;
            } else {
                no = middle;
            }
        }
        axle.x + yes * radius
    };
    Some((edge(first, first - 1), edge(last, last + 1)))
}

/// Room beside a wheel (mm): the side play of its axle, and air; common practice, no source.
pub(super) fn beside_wheel(model: &Model, axle: usize) -> f64 {
    let play = Chassis::of(model).axle(axle).map_or(0.0, |own| own.play);
    play + model.scale.pick(0.3, 0.4)
}

fn cut_wheel_openings(
    model: &Model,
    plate: &mut Plate,
    axle: usize,
    from: f64,
    to: f64,
) -> Result<(), BodyError> {
    let wheels = model.wheels.dimensions();
    let play = beside_wheel(model, axle);
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
    for (side, low, high) in [("right", -outer, -inner), ("left", inner, outer)] {
        let corners = (Point2::new(from, low), Point2::new(to, high));
        let path = format!("axles[{}].x", axle - 1);
        cut_in_plan(
            model,
            plate,
            &format!("wheel-{side}-{axle}"),
            corners,
            &path,
        )?;
    }
    Ok(())
}

/// The opening under the firebox through which motor and gears reach up.
fn cut_motor_opening(model: &Model, plate: &mut Plate) -> Result<(), BodyError> {
    let from = super::firebox::front_x(model);
    let length = model.firebox().length;
    let margin = 3.0 * model.metal.thickness("formers");
    let half = model.firebox().bottom_half_width - model.metal.thickness("firebox") - margin;
    let beside = (1..=model.running.axles.len()).map(|axle| beside_wheel(model, axle));
    let beside = beside.fold(0.0, f64::max);
    let wheel_side = model.wheels.dimensions().back_to_back / 2.0 - beside;
    // A bar stays between this opening and those of the wheels.
    let bar = model
        .metal
        .process
        .least_bar
        .at(model.metal.thickness("footplate"));
    let half = half.min(wheel_side - 2.0 * bar);
    let corners = (
        Point2::new(from + margin, -half),
        Point2::new(from + length - margin, half),
    );
    cut_in_plan(model, plate, "motor", corners, "firebox.length")
}
