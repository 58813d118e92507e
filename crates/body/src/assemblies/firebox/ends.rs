//! The plates at the ends of the firebox: throat plate and backhead.

use super::section::{front_x, inwards, outside_section, rear_x, section_at, surface, throat};
use super::slope::{Ends, backhead_placement, cut_on, knee_ruling, throat_placement};
use crate::assemblies::smokebox::{closed_at_foot, end_sides};
use crate::error::AtKey;
use crate::fit::{butt_joint, face_joint, former_joint};
use crate::laminations::witness_ring;
use crate::upright::{Facing, FlatPlateOf};
use crate::{Body, BodyError, Model, Plate};
use develop::Forming;
use geom::math::{FRAC_PI_2, atan2};
use geom::{Arc, Chain, Outline, Placement, Point2, Point3, Segment};

/// The plate below the barrel, before the front former.
pub(super) fn add_throat(model: &Model, ends: &Ends, body: &mut Body) -> Result<(), BodyError> {
    let foot = ends.throat_from.unwrap_or(model.footplate.top);
    let throat = throat_plate(model, foot)?;
    if ends.throat_from.is_none() {
        let front = body
            .plate("firebox-former-front")
            .expect("formers are made before the throat plate");
        let joint = face_joint((&throat, "inside"), (front, "outside"));
        body.joints.push(joint);
    }
    let id = throat.id.clone();
    body.plates.push(throat);
    if let Some(from) = ends.throat_from {
        let sloping = sloping_throat(model, from)?;
        if let Some(upright) = body.plate(&id) {
            let joint = butt_joint((&sloping, "knee"), (upright, "foot"));
            body.joints.push(joint);
        }
        body.plates.push(sloping);
    }
    Ok(())
}

/// The plate that slopes from below the barrel back to the footplate, against the wrapper's trimmed edge.
fn sloping_throat(model: &Model, from: f64) -> Result<Plate, BodyError> {
    const PATH: &str = "firebox.throat_slope_deg";
    let sheet = model.metal.sheet("formers");
    let surface = surface(model, 0.0)?;
    let plane = throat_placement(model, from);
    let knee = |left| knee_ruling(&surface, left, from).at_key(PATH);
    let (right, left) = (knee(false)?, knee(true)?);
    let lower = |range| cut_on(&surface, &plane, range).at_key(PATH);
    // Seen from the front the engine's right is on the right hand: down the left side, along the foot,
    // up the right.
    let down = lower((left, surface.w_end()))?;
    let up = lower((0.0, right))?;
    let (Some(first), Some(last), Some(foot_left), Some(foot_right)) =
        (down.first(), up.last(), down.last(), up.first())
    else {
        return Err(BodyError::Shape {
            path: PATH.to_owned(),
            sentence: "nothing is left of the sloping throat plate".to_owned(),
            help: "leave throat_slope_deg out".to_owned(),
        });
    };
    let foot = Segment::line(foot_left.end(), foot_right.start());
    let top = Segment::line(last.end(), first.start());
    let mut run: Vec<(&str, Segment)> = down.iter().map(|s| ("side-left", *s)).collect();
    run.push(("foot", foot));
    run.extend(up.iter().map(|s| ("side-right", *s)));
    run.push(("knee", top));
    let out = plane.normal() * (model.metal.film + sheet.z_high);
    tilted(
        ("firebox-throat-slope", "Firebox throat, sloping"),
        sheet,
        plane,
        out,
        run,
    )
}

/// A plate whose mid-sheet lies in a tilted plane moved by `out`.
fn tilted(
    (id, title): (&str, &str),
    sheet: crate::Sheet,
    plane: Placement,
    out: geom::Vector3,
    run: Vec<(&str, Segment)>,
) -> Result<Plate, BodyError> {
    let (sides, segments): (Vec<&str>, Vec<Segment>) = run.into_iter().unzip();
    let outline = Outline::from_chain(&Chain::from_segments(segments)).at_key("firebox")?;
    if outline.segments().len() != sides.len() || outline.area() <= 0.0 {
        return Err(BodyError::Shape {
            path: "firebox.length".to_owned(),
            sentence: format!("nothing is left of the {}", title.to_lowercase()),
            help: "check the slopes of throat and backhead".to_owned(),
        });
    }
    let mut plate = FlatPlateOf {
        id: id.to_owned(),
        assembly: "firebox",
        title: title.to_owned(),
        sheet,
        outside_origin: plane.origin,
        facing: Facing::Rear,
        outline: &outline,
        sides: &sides,
    }
    .plate();
    plate.forming = Forming::Flat(Placement {
        origin: plane.origin + out,
        ..plane
    });
    Ok(plate)
}

/// The section of the box less the circle of the cladding, down to `foot` (mm above rail).
///
/// It ends above where the land between barrel and side gets narrower than the etcher leaves standing.
fn throat_plate(model: &Model, foot: f64) -> Result<Plate, BodyError> {
    let sheet = model.metal.sheet("formers");
    let end = &model.firebox().front;
    let outside = outside_section(model, end, "front")?;
    let land = model.metal.process.least_bar.at(sheet.thickness());
    let (cladding, pitch) = throat(model);
    let radius = cladding + model.metal.film;
    // A box whose sides stand in under the barrel's widest keeps a land beside the circle there.
    const SAMPLES: usize = 2000;
    let step = outside.length() / SAMPLES as f64;
    let mut drop: f64 = 0.0;
    for i in 0..=SAMPLES {
        let p = outside.point_at(step * i as f64);
        let below = pitch - p.y;
        let half = (p.x.abs() - land).max(0.0);
        if below >= 0.0 && below < radius && half * half < (radius - below) * (radius + below) {
            drop = drop.max((below + step).min(radius));
        }
    }
    let half = ((radius - drop) * (radius + drop)).max(0.0).sqrt();
    let cut = pitch - drop;
    let lower = between(&outside, (foot, cut))?;
    let barrel = Arc {
        centre: Point2::new(0.0, pitch),
        radius,
        start_angle: atan2(-drop, -half),
        sweep: 2.0 * (FRAC_PI_2 - atan2(drop, half)),
    };
    let arc = Segment::Arc(barrel);
    // From the left side's top inwards to the barrel, under it, out to the right side, down and round.
    let run = Chain::from_segments(
        [
            Segment::line(lower.1.start(), arc.end()),
            arc.reversed(),
            Segment::line(arc.start(), lower.0.end()),
        ]
        .into_iter()
        .chain(lower.0.reversed().segments().iter().copied())
        .chain([Segment::line(lower.0.start(), lower.1.end())])
        .chain(lower.1.reversed().segments().iter().copied()),
    );
    let outline = Outline::from_chain(&run).at_key("firebox.front")?;
    let sides = throat_sides(&outline, &lower.0);
    let mut plate = FlatPlateOf {
        id: "firebox-throat-plate".to_owned(),
        assembly: "firebox",
        title: "Firebox throat plate".to_owned(),
        outside_origin: Point3::new(
            front_x(model) - sheet.thickness() - model.metal.film,
            0.0,
            0.0,
        ),
        sheet,
        facing: Facing::Front,
        // Seen from the front, left and right change places; the section is symmetrical.
        outline: &outline,
        sides: &sides,
    }
    .plate();
    plate
        .points
        .push(("barrel-bottom".to_owned(), Point2::new(0.0, pitch - radius)));
    Ok(plate)
}

/// Names of the sides: land, barrel, land, up the right side, foot, up the left side.
fn throat_sides(outline: &Outline, right: &Chain) -> Vec<&'static str> {
    let right = right.segments().len();
    // A land of no length is left out of the outline.
    let lands = outline
        .segments()
        .iter()
        .position(|s| matches!(s, Segment::Arc(_)))
        .unwrap_or(1);
    let before = lands;
    let after = 2 * lands + 1;
    (0..outline.segments().len())
        .map(|i| match i {
            i if i < before => "land",
            i if i == before => "barrel",
            i if i < after => "land",
            i if i < after + right => "side-right",
            i if i == after + right => "foot",
            _ => "side-left",
        })
        .collect()
}

/// The parts of a section between two heights: on the right upwards, on the left downwards.
fn between(section: &Chain, (low, high): (f64, f64)) -> Result<(Chain, Chain), BodyError> {
    let at = |height: f64| {
        let far = 1e4;
        let level = Segment::line(Point2::new(-far, height), Point2::new(far, height));
        let mut before = 0.0;
        let mut lengths = Vec::new();
        for segment in section.segments() {
            for point in geom::intersections(segment, &level) {
                lengths.push(before + segment.nearest(point).0 * segment.length());
            }
            before += segment.length();
        }
        (lengths.first().copied(), lengths.last().copied())
    };
    let whole = section.length();
    let foot = if low <= section.start().y + geom::tolerance::COINCIDENT_MM {
        (Some(0.0), Some(whole))
    } else {
        at(low)
    };
    match (foot, at(high)) {
        ((Some(a), Some(d)), (Some(b), Some(c))) if a < b && b < c && c < d => {
            Ok((section.part(a, b), section.part(c, d)))
        }
        _ => Err(BodyError::Shape {
            path: "firebox.front".to_owned(),
            sentence:
                "the firebox does not reach down beside the barrel, so there is no throat plate"
                    .to_owned(),
            help: "check boiler pitch and the height of the firebox".to_owned(),
        }),
    }
}

/// The plate that closes the box inside the cab, flush with the wrapper's rear edge.
pub(super) fn add_backhead(model: &Model, ends: &Ends, body: &mut Body) -> Result<(), BodyError> {
    let sheet = model.metal.sheet("cab");
    let placement = backhead_placement(model);
    let mut plate = if ends.backhead_slopes {
        sloping_backhead(model, sheet, placement)?
    } else {
        let x = rear_x(model);
        let section = section_at(model, x - sheet.z_high, inwards(model))?;
        let closed = closed_at_foot(&section, "firebox")?;
        let sides = end_sides(&closed);
        FlatPlateOf {
            id: "firebox-backhead".to_owned(),
            assembly: "firebox",
            title: "Firebox backhead".to_owned(),
            sheet,
            outside_origin: Point3::new(x, 0.0, 0.0),
            facing: Facing::Rear,
            outline: &closed,
            sides: &sides,
        }
        .plate()
    };
    let f = model.firebox();
    let firehole = Point2::new(0.0, model.footplate.top + f.firehole_height);
    witness_ring(model, &mut plate, "firehole", firehole, f.firehole_diameter);
    let wrapper = body
        .plate("firebox-wrapper")
        .expect("the wrapper is made before the backhead");
    let turn = super::formers::wrapper_turn(wrapper);
    let over = former_joint((wrapper, "rear"), (&plate, "rim"), turn);
    body.joints.push(over);
    if !ends.backhead_slopes {
        let former = body
            .plate("firebox-former-rear")
            .expect("formers are made before the backhead");
        let joint = face_joint((&plate, "inside"), (former, "outside"));
        body.joints.push(joint);
    }
    body.plates.push(plate);
    Ok(())
}

/// The backhead in its sloping plane: mid-sheet is cut by the plane, and its foot stands on the footplate.
fn sloping_backhead(
    model: &Model,
    sheet: crate::Sheet,
    placement: Placement,
) -> Result<Plate, BodyError> {
    const PATH: &str = "firebox.backhead_slope_deg";
    let out = -placement.normal() * sheet.z_high;
    let middle = Placement {
        origin: placement.origin + out,
        ..placement
    };
    let surface = surface(model, inwards(model))?;
    let over = cut_on(&surface, &middle, (surface.w_end(), 0.0)).at_key(PATH)?;
    let (Some(first), Some(last)) = (over.first(), over.last()) else {
        return Err(BodyError::Shape {
            path: PATH.to_owned(),
            sentence: "nothing is left of the backhead".to_owned(),
            help: "leave backhead_slope_deg out".to_owned(),
        });
    };
    let mut run = vec![("foot", Segment::line(last.end(), first.start()))];
    run.extend(over.iter().map(|s| ("rim", *s)));
    tilted(
        ("firebox-backhead", "Firebox backhead"),
        sheet,
        placement,
        out,
        run,
    )
}
