//! Front and rear of the smokebox: what the wrapper goes over, and the front's riveted overlay.

use super::even_along;
use super::section::Section;
use crate::assemblies::boiler::tick_at_top;
use crate::error::AtKey;
use crate::laminations::recess;
use crate::rows::lay_row;
use crate::upright::{Facing, FlatPlateOf, drill};
use crate::{BodyError, Model, Plate};
use geom::{Chain, Outline, Point2, Point3, Segment, Vector2};

/// The structural front, its outside at `x` (mm).
pub(super) fn front(
    model: &Model,
    section: &Section,
    inside: &Chain,
    x: f64,
) -> Result<Plate, BodyError> {
    let mut plate = end_plate(
        model,
        section,
        inside,
        EndPlate {
            id: "smokebox-front",
            title: "Smokebox front",
            facing: Facing::Front,
            x,
            part: "formers",
        },
    )?;
    drill(&mut plate, "door", centre(model), door_hole(model));
    tick_at_top(&mut plate, crown(model, inside), model);
    Ok(plate)
}

pub(super) fn rear(model: &Model, section: &Section, inside: &Chain) -> Result<Plate, BodyError> {
    let s = model.smokebox();
    let mut plate = end_plate(
        model,
        section,
        inside,
        EndPlate {
            id: "smokebox-former-rear",
            title: "Smokebox former, rear",
            facing: Facing::Rear,
            x: s.end(),
            part: "formers",
        },
    )?;
    // Room for an iron and for screws; common practice, no source.
    drill(&mut plate, "access", centre(model), 0.5 * s.diameter);
    tick_at_top(&mut plate, crown(model, inside), model);
    Ok(plate)
}

/// The riveted front that is seen, inside the forward edge of the wrapper's overlay.
pub(super) fn front_overlay(model: &Model, section: &Section) -> Result<Plate, BodyError> {
    let s = model.smokebox();
    let edge = section.chain.offset(-recess(model)).at_key(section.key)?;
    let mut plate = end_plate(
        model,
        section,
        &edge,
        EndPlate {
            id: "smokebox-front-overlay",
            title: "Smokebox front overlay",
            facing: Facing::Front,
            x: s.front,
            part: "overlay",
        },
    )?;
    drill(&mut plate, "door", centre(model), door_hole(model));
    let rivets = &model.rivets.smokebox;
    let row = edge.offset(-model.rivets.edge).at_key(section.key)?;
    let mut points = if section.is_drum() {
        even_along(&row, 0.0, rivets.pitch)
    } else {
        even_along(&row, model.rivets.edge, rivets.pitch)
    };
    if section.is_drum() {
        // The last rivet of a full ring is the first.
        points.pop();
    }
    // Seen from the front left and right change places.
    let points = points.into_iter().map(|p| Point2::new(-p.x, p.y));
    lay_row(&mut plate, "ring", rivets, points);
    Ok(plate)
}

fn centre(model: &Model) -> Point2 {
    Point2::new(0.0, model.boiler().pitch)
}

/// Behind the door, smaller than it, to get at what is inside.
fn door_hole(model: &Model) -> f64 {
    0.75 * model.smokebox().door_diameter
}

fn crown(model: &Model, inside: &Chain) -> Point2 {
    let (_, distance) = inside.nearest(centre(model));
    centre(model) + Vector2::new(0.0, distance)
}

/// A plate across the section.
struct EndPlate {
    id: &'static str,
    title: &'static str,
    facing: Facing,
    /// x of its outside face (mm).
    x: f64,
    part: &'static str,
}

fn end_plate(
    model: &Model,
    section: &Section,
    edge: &Chain,
    of: EndPlate,
) -> Result<Plate, BodyError> {
    let (outline, sides) = if section.is_drum() {
        let (_, radius) = edge.nearest(centre(model));
        (Outline::circle(centre(model), radius), vec!["rim", "rim"])
    } else {
        // The section is travelled over the top from right to left; closed along the foot and turned
        // about it is anticlockwise as seen from behind, and its mirror as seen from the front.
        let closed = closed_at_foot(edge, "smokebox")?;
        let sides = end_sides(&closed);
        (closed, sides)
    };
    Ok(FlatPlateOf {
        id: of.id.to_owned(),
        assembly: "smokebox",
        title: of.title.to_owned(),
        sheet: model.metal.sheet(of.part),
        outside_origin: Point3::new(of.x, 0.0, 0.0),
        facing: of.facing,
        outline: &outline,
        sides: &sides,
    }
    .plate())
}

/// A section closed by a line along its foot, anticlockwise.
///
/// The sections are symmetrical, so the same outline serves a plate seen from the front.
pub(in crate::assemblies) fn closed_at_foot(
    section: &Chain,
    path: &str,
) -> Result<Outline, BodyError> {
    let foot = Segment::line(section.end(), section.start());
    let closed = section.clone().joined(&Chain::from_segments([foot]));
    Ok(Outline::from_chain(&closed).at_key(path)?.reversed())
}

/// Names of the sides of such an outline: the foot first, the rim after it.
pub(in crate::assemblies) fn end_sides(outline: &Outline) -> Vec<&'static str> {
    let n = outline.segments().len();
    (0..n)
        .map(|i| if i == 0 { "foot" } else { "rim" })
        .collect()
}
