//! Sections of the firebox: what the drawing gives, and what lies within it.

use crate::error::AtKey;
use crate::model::specs::{FireboxEnd, FireboxShape, FireboxWaist};
use crate::{BodyError, Model};
use develop::{Loft, LoftFrame};
use geom::sections::{RoundTop, RoundTopWaist, belpaire_top, leaning_waist};
use geom::{Chain, Point2, Segment};

/// x of the throat: the front of the firebox.
pub(crate) fn front_x(model: &Model) -> f64 {
    model.boiler().end()
}

/// x of the rear end at the foot.
pub(super) fn rear_x(model: &Model) -> f64 {
    front_x(model) + model.firebox().length
}

/// Radius over the cladding and height of the barrel's centre at the throat (mm).
pub(super) fn throat(model: &Model) -> (f64, f64) {
    let x = front_x(model);
    (model.boiler().radius(x), model.boiler().axis_height(x))
}

/// The drawn outside of one end from the right foot over the crown to the left foot.
pub(super) fn outside_section(
    model: &Model,
    end: &FireboxEnd,
    name: &str,
) -> Result<Chain, BodyError> {
    let half = match model.firebox().shape {
        FireboxShape::Belpaire => belpaire(model, end, name)?,
        FireboxShape::RoundTop => round_top(model, end, name)?,
    };
    Ok(half.with_mirror_image())
}

fn belpaire(model: &Model, end: &FireboxEnd, name: &str) -> Result<Chain, BodyError> {
    let foot = model.footplate.top;
    let side_end = end.waist.as_ref().and_then(|waist| waist.from);
    let start = Point2::new(end.half_width, side_end.unwrap_or(foot));
    let low = end.crown - start.y;
    // Written so that a height that is not a number is refused too.
    let has_height = low > 0.0;
    if !has_height {
        return Err(too_low(name, -low));
    }
    let top = belpaire_top(
        end.crown_radius,
        end.shoulder_radius,
        end.crown,
        end.lean,
        start,
    )
    .at_key("firebox.shoulder_radius")?;
    let crown = Chain::starting(Point2::new(0.0, end.crown), 0.0);
    let crown = if end.crown_radius.is_infinite() {
        crown.line(top.crown_half_length)
    } else {
        crown.arc(end.crown_radius, -top.crown_half_angle)
    };
    let sides = crown
        .arc(end.shoulder_radius, -top.shoulder_angle)
        .line(top.side);
    let Some(waist) = &end.waist else {
        return Ok(sides.finish());
    };
    // A box that spreads below its sides instead of narrowing bends the other way.
    let narrowing = end.half_width - waist.bottom_half_width;
    let inwards = if narrowing < 0.0 { -1.0 } else { 1.0 };
    let bend = leaning_waist(
        narrowing.abs(),
        inwards * end.lean,
        waist.convex_radius,
        waist.concave_radius,
    )
    .at_key("firebox.bottom_half_width")?;
    let tail = tail_below(start.y - bend.drop - foot)?;
    Ok(sides
        .arc(waist.convex_radius, -inwards * bend.convex_angle)
        .arc(waist.concave_radius, inwards * bend.concave_angle)
        .line(tail)
        .finish())
}

fn too_low(name: &str, by: f64) -> BodyError {
    BodyError::Shape {
        path: format!("firebox.{name}.crown"),
        sentence: format!(
            "the crown lies below the start of the waist or the footplate by {by:.2} mm on the model"
        ),
        help: "check crown height and the height where the waist starts".to_owned(),
    }
}

fn tail_below(length: f64) -> Result<f64, BodyError> {
    if length >= -geom::tolerance::COINCIDENT_MM {
        return Ok(length.max(0.0));
    }
    Err(BodyError::Shape {
        path: "firebox.waist_from".to_owned(),
        sentence: format!(
            "the waist ends below the footplate by {:.2} mm on the model",
            -length
        ),
        help: "start the waist higher, or make its radii smaller".to_owned(),
    })
}

fn round_top(model: &Model, end: &FireboxEnd, name: &str) -> Result<Chain, BodyError> {
    let (_, centre) = throat(model);
    let foot = model.footplate.top;
    // Without a waist the sides stand straight down to the footplate: a waist that takes nothing.
    let straight = FireboxWaist {
        from: Some(foot),
        convex_radius: 1.0,
        concave_radius: 1.0,
        bottom_half_width: end.radius,
    };
    let waist = end.waist.as_ref().unwrap_or(&straight);
    if let Some(from) = waist.from
        && from > centre
    {
        let key = if end.waist.is_some() {
            format!("firebox.{name}.waist_from")
        } else {
            "boiler.pitch".to_owned()
        };
        return Err(BodyError::Shape {
            path: key,
            sentence: format!(
                "the sides of the round top would end {:.2} mm above the boiler's axis on the model",
                from - centre
            ),
            help: "the circle comes down to the axis before the sides begin: start the waist lower"
                .to_owned(),
        });
    }
    RoundTop {
        centre,
        radius: end.radius,
        waist: match waist.from {
            Some(from) => RoundTopWaist::BelowSides {
                from,
                convex_radius: waist.convex_radius,
                concave_radius: waist.concave_radius,
            },
            None => RoundTopWaist::FromCircle {
                reverse_radius: waist.concave_radius,
            },
        },
        bottom_half_width: waist.bottom_half_width,
        foot,
    }
    .left_half()
    .at_key("firebox.bottom_half_width")
}

/// One end that narrows below its sides and another that spreads turn differently: a wrapper between
/// them would come to a point on the straight side of each, where no radius is left to bend round.
fn refuse_unlike_ends(model: &Model) -> Result<(), BodyError> {
    let f = model.firebox();
    let narrowing = |end: &FireboxEnd| {
        end.waist
            .as_ref()
            .map_or(0.0, |waist| end.half_width - waist.bottom_half_width)
    };
    let (front, rear) = (narrowing(&f.front), narrowing(&f.rear));
    if front * rear >= 0.0 {
        return Ok(());
    }
    let (name, other, limit) = if rear < 0.0 {
        ("rear", "front", &f.rear)
    } else {
        ("front", "rear", &f.front)
    };
    let limit = limit
        .waist
        .as_ref()
        .map_or(0.0, |waist| waist.bottom_half_width);
    Err(BodyError::Shape {
        path: format!("firebox.{name}.half_width"),
        sentence: format!(
            "the two ends turn differently: below its sides the {other} narrows and the {name} spreads, \
             so that no sheet bends smoothly from one to the other"
        ),
        help: format!(
            "make it no less than bottom_half_width ({limit:.2} mm on the model), like the {other}"
        ),
    })
}

/// Front and rear sections moved by `outwards` (mm) from the drawn outside.
pub(super) fn sections(model: &Model, outwards: f64) -> Result<(Chain, Chain), BodyError> {
    let f = model.firebox();
    refuse_unlike_ends(model)?;
    let moved = |end: &FireboxEnd, name: &str| {
        outside_section(model, end, name)?
            .offset(outwards)
            .at_key("firebox.shoulder_radius")
    };
    Ok((moved(&f.front, "front")?, moved(&f.rear, "rear")?))
}

/// The surface moved by `outwards` (mm) from the drawn outside.
pub(in crate::assemblies) fn surface(model: &Model, outwards: f64) -> Result<Loft, BodyError> {
    let (front, rear) = sections(model, outwards)?;
    let sheet = model.metal.sheet("firebox");
    Loft::between(
        LoftFrame::along_engine(front_x(model)),
        &front,
        &rear,
        model.firebox().length,
        sheet.thickness(),
        sheet.bend_rule,
    )
    .at_key("firebox")
}

/// The section at `x`, moved by `outwards` (mm) from the drawn outside.
pub(crate) fn section_at(model: &Model, x: f64, outwards: f64) -> Result<Chain, BodyError> {
    // Near an apex a turn shrinks to nothing; no etch shows a piece of a fiftieth of a millimetre.
    Ok(whole_section_at(model, x, outwards)?.without_pieces_below(0.02))
}

/// The same with every turn, however short: a piece left out would leave a corner that no loft follows.
pub(super) fn whole_section_at(model: &Model, x: f64, outwards: f64) -> Result<Chain, BodyError> {
    let share = ((x - front_x(model)) / model.firebox().length).clamp(0.0, 1.0);
    let section = surface(model, outwards)?.section_at(share);
    // A straight of no length has no direction.
    let turning_or_long = |segment: &&Segment| {
        matches!(segment, Segment::Arc(_)) || segment.length() > geom::tolerance::COINCIDENT_MM
    };
    Ok(Chain::from_segments(
        section.segments().iter().filter(turning_or_long).copied(),
    ))
}

/// How far the inside of the wrapper with its film lies from the drawn outside (mm, negative).
pub(super) fn inwards(model: &Model) -> f64 {
    -(model.metal.thickness("firebox") + model.metal.film)
}
