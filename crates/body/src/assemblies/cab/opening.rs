//! The foot of the cab front: what is cut away for firebox, barrel and splashers.

use super::Notch;
use crate::assemblies::firebox;
use crate::{BodyError, Model};
use geom::{Chain, Point2, Segment};

/// A side of an outline and its name.
type Side = (&'static str, Segment);

/// What the boiler takes out of a plate across the engine at the cab front.
pub(super) enum Passing {
    /// Nothing: the boiler ends before it or begins behind it.
    Nothing,
    /// An opening from the foot up, from the right foot over to the left.
    FromFoot(Chain),
    /// A round hole clear of the foot: centre and radius (mm).
    Round(Point2, f64),
}

/// What passes through the cab front, moved out by the clearance.
pub(super) fn passing(model: &Model, least_bar: f64) -> Result<Passing, BodyError> {
    let c = model.cab();
    let floor = model.footplate.top;
    if model.firebox.is_some() {
        let front = firebox::front_x(model);
        if c.front >= front && c.front <= front + model.firebox().length {
            let round = firebox::section_at(model, c.front, c.box_clearance)?;
            return Ok(Passing::FromFoot(round));
        }
    }
    let Some(boiler) = &model.boiler else {
        return Ok(Passing::Nothing);
    };
    if c.front < boiler.from || c.front > boiler.end() {
        return Ok(Passing::Nothing);
    }
    let radius = boiler.radius(c.front) + c.box_clearance;
    let centre = Point2::new(0.0, boiler.axis_height(c.front));
    let depth = centre.y - floor;
    if depth >= radius + least_bar {
        return Ok(Passing::Round(centre, radius));
    }
    if depth <= -radius {
        return Ok(Passing::Nothing);
    }
    // The circle runs into the foot: from there over the top.
    let below = depth.clamp(-radius, radius);
    let half_turn = geom::math::PI - geom::math::acos(below / radius);
    let (s, cosine) = geom::math::sin_cos(half_turn);
    let start = centre + geom::Vector2::new(-s, cosine) * radius;
    let heading = half_turn;
    Ok(Passing::FromFoot(
        Chain::starting(start, heading)
            .arc(radius, -2.0 * half_turn)
            .finish(),
    ))
}

/// The foot from the right corner at (−half, floor) to the left one, cut away round what passes.
///
/// Seen from the front, the engine's left is on the left hand: `names` are those of the first piece of
/// the foot and of the last.
pub(super) fn foot(
    (half, floor): (f64, f64),
    round: Option<&Chain>,
    notch: Option<&Notch>,
    names: [&'static str; 2],
    least_bar: f64,
) -> Vec<Side> {
    let at = Point2::new;
    let mut right: Vec<Side> = Vec::new();
    let mut middle = round.cloned();
    let mut from = at(-half, floor);
    if let Some(n) = notch {
        // Beside the sides of the cab no sliver is left.
        if half - n.outer < least_bar {
            from = at(-half, n.top);
        } else {
            right.push((names[0], Segment::line(from, at(-n.outer, floor))));
            right.push(("splasher", Segment::line(at(-n.outer, floor), at(-n.outer, n.top))));
            from = at(-n.outer, n.top);
        }
        match merged(round, n, least_bar) {
            Some(above) => {
                right.push(("splasher", Segment::line(from, above.start())));
                middle = Some(above);
            }
            None => {
                right.push(("splasher", Segment::line(from, at(-n.inner, n.top))));
                right.push(("splasher", Segment::line(at(-n.inner, n.top), at(-n.inner, floor))));
                from = at(-n.inner, floor);
                if let Some(round) = round {
                    right.push(("land", Segment::line(from, round.start())));
                }
            }
        }
    } else if let Some(round) = round {
        right.push((names[0], Segment::line(from, round.start())));
    } else {
        return vec![("bottom", Segment::line(from, at(half, floor)))];
    }
    let mut run = right.clone();
    match &middle {
        Some(chain) => run.extend(chain.segments().iter().map(|s| ("firebox", *s))),
        None => run.push(("land", Segment::line(from, at(-from.x, from.y)))),
    }
    run.extend(right.iter().rev().map(|(name, side)| {
        let name = if *name == names[0] { names[1] } else { name };
        (name, side.mirrored_in_y_axis().reversed())
    }));
    run
}

/// The part of the opening above a notch that runs into it: where too little metal would stand between.
fn merged(round: Option<&Chain>, notch: &Notch, least_bar: f64) -> Option<Chain> {
    let round = round?;
    let widest = round
        .flattened(0.01)
        .into_iter()
        .filter(|p| p.y <= notch.top)
        .fold(0.0, |most: f64, p| most.max(p.x.abs()));
    if notch.inner - widest >= 2.0 * least_bar {
        return None;
    }
    let level = Segment::line(Point2::new(-1e4, notch.top), Point2::new(1e4, notch.top));
    let mut before = 0.0;
    let mut lengths = Vec::new();
    for segment in round.segments() {
        for point in geom::intersections(segment, &level) {
            lengths.push(before + segment.nearest(point).0 * segment.length());
        }
        before += segment.length();
    }
    match (lengths.first(), lengths.last()) {
        (Some(&a), Some(&b)) if b > a => {
            let above = round.part(a, b);
            // A splasher that the box does not reach out to keeps its own opening.
            (above.start().x > -notch.outer).then_some(above)
        }
        _ => None,
    }
}
