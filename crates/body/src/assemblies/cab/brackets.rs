//! Folded brackets in the upper corners behind the cab front, pinned to front and sides.

use super::Cab;
use crate::assemblies::side_plate::{hand, sign};
use crate::fit::{face_joint, hole_joint};
use crate::folded::FoldedPlateOf;
use crate::laminations::pilot_diameter;
use crate::measure::flat_of;
use crate::rows::obstacles;
use crate::upright::drill;
use crate::{Body, BodyError, Joint, Model, Plate};
use develop::{LoftFrame, SurfacePoint};
use geom::Point2;
use geom::math::{FRAC_PI_2, PI};

/// Adds a bracket to each front corner of the cab that has room for its pins.
pub(super) fn add_brackets(model: &Model, cab: &Cab, body: &mut Body) -> Result<(), BodyError> {
    for left in [true, false] {
        let Some(mut bracket) = bracket(model, cab, body, left)? else {
            continue;
        };
        let side = format!("cab-side-{}", hand(left));
        let mut joints = Vec::new();
        for (leg, other) in [("on-front", "cab-front"), ("on-side", side.as_str())] {
            if let Some(plate) = body.plates.iter_mut().find(|plate| plate.id == other) {
                joints.extend(pin(model, &mut bracket, leg, plate));
            }
        }
        let pinned = |other: &str| joints.iter().any(|own: &Joint| own.b.plate == other);
        // With pins in one leg only it would hold nothing square.
        if !(pinned("cab-front") && pinned(&side)) {
            for plate in &mut body.plates {
                let own = |name: &str| name.contains(&bracket.id);
                plate.holes.retain(|hole| !own(&hole.feature));
                plate.points.retain(|(name, _)| !own(name));
            }
            continue;
        }
        for (leg, other) in [("on-front", "cab-front"), ("on-side", side.as_str())] {
            if let Some(plate) = body.plate(other) {
                let face = format!("{leg}-outside");
                joints.push(face_joint((&bracket, &face), (plate, "inside")));
            }
        }
        body.joints.extend(joints);
        body.plates.push(bracket);
    }
    Ok(())
}

/// The bracket of a corner: `None` where the first rib leaves no room for it.
fn bracket(model: &Model, cab: &Cab, body: &Body, left: bool) -> Result<Option<Plate>, BodyError> {
    let sheet = model.metal.sheet("cab");
    let (t, film) = (sheet.thickness(), model.metal.film);
    // Room for a pin and the metal round it: common practice, no source.
    let usual = model.scale.pick(2.2, 3.5);
    let rib = body.plate("cab-roof-rib-1").map(|rib| {
        let at = rib.forming.place(Point2::origin()).point;
        at.x - t - cab.inside_front
    });
    let leg = rib.map_or(usual, |room| (room - t).min(usual));
    let high = cab.side_top - t;
    let low = high - model.scale.pick(4.0, 6.5);
    if !(leg > 4.0 * t && low > model.footplate.top && cab.between_sides > 2.0 * leg) {
        return Ok(None);
    }
    let (x, y) = (cab.inside_front + film, cab.between_sides - film);
    // Seen from above the bracket's outside lies on the left of travel: from the front round to the left
    // side, from the right side round to the front.
    let (start, heading, sides) = if left {
        let sides = ["on-front", "top", "on-side", "bottom"];
        (Point2::new(x, y - leg), FRAC_PI_2, sides)
    } else {
        let sides = ["on-side", "top", "on-front", "bottom"];
        (Point2::new(x + leg, sign(left) * y), PI, sides)
    };
    let plate = FoldedPlateOf {
        id: format!("cab-bracket-{}", hand(left)),
        assembly: "cab",
        title: format!("Cab corner bracket, {}", hand(left)),
        sheet,
        frame: LoftFrame::upright(low),
        start,
        heading,
        legs: &[leg, leg],
        turns: &[-FRAC_PI_2],
        length: high - low,
        reach: 0.0,
        path: "cab",
    }
    .fold(model)?;
    Ok(Some(plate.whole(sides)))
}

/// Two pilot holes through a leg of a bracket and the plate that it lies on, clear of everything there.
fn pin(model: &Model, bracket: &mut Plate, leg: &str, plate: &mut Plate) -> Vec<Joint> {
    let diameter = pilot_diameter(model, bracket, plate);
    let bar = |plate: &Plate| {
        let p = model.metal.process;
        p.least_bar.at(plate.sheet.stock_thickness)
    };
    let room = diameter / 2.0 + bar(bracket).max(bar(plate));
    let mut joints = Vec::new();
    for (i, v) in [0.25, 0.75].into_iter().enumerate() {
        let Some(own) = middle_of_leg(bracket, leg, v) else {
            continue;
        };
        let other = flat_of(plate, bracket.forming.place(own).point);
        let clear = obstacles(bracket).iter().all(|o| o.clear_of(own, room))
            && obstacles(plate).iter().all(|o| o.clear_of(other, room));
        if !clear {
            continue;
        }
        let feature = format!("pilot-{}-{leg}-{}", bracket.id, i + 1);
        drill(bracket, &feature, own, diameter);
        drill(plate, &feature, other, diameter);
        joints.push(hole_joint((bracket, &feature), (plate, &feature)));
    }
    joints
}

/// The flat point in the middle of a leg's straight metal, at a fraction of its height.
fn middle_of_leg(bracket: &Plate, leg: &str, v: f64) -> Option<Point2> {
    let loft = bracket.forming.loft()?;
    let first = bracket.outline.first()?.name == leg;
    let w = if first { 0.5 } else { loft.w_end() - 0.5 };
    Some(loft.flat(SurfacePoint { w, v }))
}
