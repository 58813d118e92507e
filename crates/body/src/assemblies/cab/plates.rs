//! Front and back of the cab, between its sides and under its roof.

use super::opening::{Passing, foot, passing};
use super::{Cab, roof};
use crate::error::AtKey;
use crate::rows::{along, even_row, lay_row};
use crate::upright::{Facing, FlatPlateOf, drill};
use crate::{BodyError, Face, Model, Plate};
use geom::{Chain, Outline, Point2, Point3, Segment};

/// The structural front, or the riveted overlay before it.
pub(super) fn front(model: &Model, cab: &Cab, overlay: bool) -> Result<Plate, BodyError> {
    let c = model.cab();
    let (id, title, part) = if overlay {
        ("cab-front-overlay", "Cab front overlay", "overlay")
    } else {
        ("cab-front", "Cab front", "cab")
    };
    // The overlay covers the ends of the structural sides and butts on the sides' own overlays.
    let half = if overlay {
        c.over / 2.0 - model.metal.thickness("overlay")
    } else {
        cab.between_sides
    };
    let x = if overlay {
        c.front
    } else {
        c.front + cab.recess
    };
    let bar = model
        .metal
        .process
        .least_bar
        .at(model.metal.thickness("cab"));
    let passing = passing(model, bar)?;
    let round = match &passing {
        Passing::FromFoot(round) => Some(round),
        _ => None,
    };
    let names = ["bottom-left", "bottom-right"];
    let run = foot(
        (half, model.footplate.top),
        round,
        cab.front_notch.as_ref(),
        names,
        bar,
    );
    let mut plate = end_plate(
        model,
        cab,
        (id, title),
        (part, half),
        (Facing::Front, x),
        run,
    )?;
    if let Passing::Round(centre, radius) = passing {
        drill(&mut plate, "barrel", centre, 2.0 * radius);
    }
    drill_windows(model, &mut plate)?;
    if overlay {
        lay_rivets(model, cab, half, &mut plate)?;
    } else {
        let room = room_under_roof(&plate);
        roof::tick_under_roof(model, &mut plate, (Face::Inside, room));
    }
    Ok(plate)
}

/// The back of a cab that is not open to the rear.
pub(super) fn back(model: &Model, cab: &Cab) -> Result<Plate, BodyError> {
    let half = cab.between_sides;
    let floor = model.footplate.top;
    let run = vec![(
        "bottom",
        Segment::line(Point2::new(-half, floor), Point2::new(half, floor)),
    )];
    let at = (Facing::Rear, model.cab().back);
    let mut plate = end_plate(model, cab, ("cab-back", "Cab back"), ("cab", half), at, run)?;
    drill_windows(model, &mut plate)?;
    roof::tick_under_roof(model, &mut plate, (Face::Inside, f64::INFINITY));
    Ok(plate)
}

/// Metal on the centre line between the roof and what passes through a front (mm).
fn room_under_roof(plate: &Plate) -> f64 {
    let highest = |roof: bool, from: f64| {
        plate
            .outline
            .iter()
            .filter(|edge| (edge.name == "roof") == roof && !edge.name.starts_with("side-"))
            .flat_map(|edge| [0.0, 0.5].map(|t| plate.flat_point(&edge.curve, t)))
            .filter_map(Result::ok)
            .map(|point| point.y)
            .fold(from, f64::max)
    };
    let holes = plate
        .holes
        .iter()
        .filter(|hole| hole.centre.x.abs() < 1e-9)
        .map(|hole| hole.centre.y + hole.diameter.unwrap_or(0.0) / 2.0)
        .fold(f64::NEG_INFINITY, f64::max);
    highest(true, f64::NEG_INFINITY) - highest(false, holes)
}

/// A plate across the engine from its foot up to the roof.
fn end_plate(
    model: &Model,
    cab: &Cab,
    (id, title): (&str, &str),
    (part, half): (&str, f64),
    (facing, x): (Facing, f64),
    foot: Vec<(&'static str, Segment)>,
) -> Result<Plate, BodyError> {
    let over = roof::inside(model, &cab.roof_outside, half, 0.0)?.reversed();
    // Seen from the front the engine's left is on the other hand.
    let hands = if facing == Facing::Front {
        ("side-right", "side-left")
    } else {
        ("side-left", "side-right")
    };
    let (first, last) = match (foot.first(), foot.last()) {
        (Some(first), Some(last)) => (first.1.start(), last.1.end()),
        _ => return Err(no_plate(title)),
    };
    let reaches_roof = last.y < over.start().y;
    if !reaches_roof {
        return Err(no_plate(title));
    }
    let mut run = foot;
    run.push((hands.0, Segment::line(last, over.start())));
    run.extend(over.segments().iter().map(|s| ("roof", *s)));
    run.push((hands.1, Segment::line(over.end(), first)));
    run.retain(|(_, s)| s.length() > geom::tolerance::COINCIDENT_MM);
    let (sides, segments): (Vec<&str>, Vec<Segment>) = run.into_iter().unzip();
    let outline = Outline::from_chain(&Chain::from_segments(segments)).at_key("cab")?;
    if outline.area() <= 0.0 || outline.segments().len() != sides.len() {
        return Err(no_plate(title));
    }
    Ok(FlatPlateOf {
        id: id.to_owned(),
        assembly: "cab",
        title: title.to_owned(),
        sheet: model.metal.sheet(part),
        outside_origin: Point3::new(x, 0.0, 0.0),
        facing,
        // The cab is symmetrical, so the same outline serves both ways of looking.
        outline: &outline,
        sides: &sides,
    }
    .plate())
}

fn no_plate(title: &str) -> BodyError {
    BodyError::Shape {
        path: "cab".to_owned(),
        sentence: format!(
            "nothing is left of the {} between footplate, firebox, sides and roof",
            title.to_lowercase()
        ),
        help: "check the heights of footplate and roof and the widths of firebox and cab"
            .to_owned(),
    }
}

fn drill_windows(model: &Model, plate: &mut Plate) -> Result<(), BodyError> {
    let Some(w) = &model.cab().windows else {
        return Ok(());
    };
    let bar = model.metal.process.least_bar.at(plate.sheet.thickness());
    let room = crate::rows::obstacles(plate);
    for (i, y) in [-w.offset, w.offset].into_iter().enumerate() {
        let centre = Point2::new(y, w.height);
        let clear = w.offset > w.diameter / 2.0 + bar / 2.0
            && room
                .iter()
                .all(|own| own.clear_of(centre, w.diameter / 2.0 + bar));
        if !clear {
            return Err(BodyError::Shape {
                path: "cab.windows".to_owned(),
                sentence: format!(
                    "the windows do not lie within the {}",
                    plate.title.to_lowercase()
                ),
                help: format!(
                    "leave {bar:.2} mm of metal on the model to firebox, sides and roof, and between the windows"
                ),
            });
        }
        drill(plate, &format!("window-{}", i + 1), centre, w.diameter);
    }
    Ok(())
}

/// Rows along foot, sides and roof, a rivet in each corner.
fn lay_rivets(model: &Model, cab: &Cab, half: f64, plate: &mut Plate) -> Result<(), BodyError> {
    let (spec, edge) = (&model.rivets.platework, model.rivets.edge);
    let (low, side) = (model.footplate.top + edge, half - edge);
    let Ok(over) = roof::inside(model, &cab.roof_outside, side, edge) else {
        return Ok(());
    };
    let over = over.reversed();
    let corner = |x: f64| Point2::new(x, low);
    // The overlay's outline at its foot: rows run from the corners inwards, and stop at the opening.
    let foot = even_row(corner(-side), corner(side), spec.pitch);
    lay_row(plate, "roof", spec, along(&over, spec.pitch));
    lay_row(
        plate,
        "side-left",
        spec,
        even_row(corner(-side), over.end(), spec.pitch),
    );
    lay_row(
        plate,
        "side-right",
        spec,
        even_row(corner(side), over.start(), spec.pitch),
    );
    lay_row(plate, "bottom", spec, foot);
    Ok(())
}
