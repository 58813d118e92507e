//! The Belpaire firebox: its wrapper, front and rear formers, throat plate and soldering block.

use super::boiler::tick_at_top;
use super::smokebox::{closed_at_foot, end_sides};
use crate::error::AtKey;
use crate::fit::{face_joint, former_joint};
use crate::model::specs::{FireboxEnd, FireboxSpec};
use crate::upright::{Facing, FlatPlateOf, drill};
use crate::wrapper::{ARCH, WrapperOf, add_ticks, bore, loft_of, placed};
use crate::{Body, BodyError, FormerBlock, Model, Plate, Precedence};
use develop::{Loft, LoftFrame, Trace};
use geom::math::{FRAC_PI_2, PI, atan2};
use geom::tangency::{crown_and_corner, reverse_curve};
use geom::{Arc, Chain, Outline, Point2, Point3, Segment, Vector2};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let mut wrapper = wrapper(model)?;
    let etched = model
        .metal
        .process
        .half_etch_depth
        .at(wrapper.sheet.thickness());
    let crown = loft_of(&wrapper).datum();
    add_ticks(&mut wrapper, &[("centre-line", crown)], 1.0, etched);
    if model.safety_valves.is_some() {
        bore_safety_valves(model, &mut wrapper)?;
    }
    let front = former(model, true)?;
    let rear = former(model, false)?;
    let throat = throat_plate(model)?;
    for (plate, edge) in [(&front, "front"), (&rear, "rear")] {
        body.joints
            .push(former_joint(model, (&wrapper, edge), (plate, "rim"), PI));
        body.precedences.push(Precedence::new(
            &plate.id,
            &wrapper.id,
            "the wrapper is bent over its formers",
        ));
    }
    body.joints
        .push(face_joint(model, (&throat, "inside"), (&front, "outside")));
    for (end, name) in [
        (&model.firebox().front, "front"),
        (&model.firebox().rear, "rear"),
    ] {
        body.derive(
            &format!("firebox.{name}.half_perimeter"),
            &format!("Half perimeter over the outside, {name}, crown to foot"),
            outside_section(model, end, name)?.length() / 2.0,
        );
    }
    body.blocks.push(soldering_block(model)?);
    body.plates.extend([wrapper, front, rear, throat]);
    Ok(())
}

/// x of the throat: the front of the firebox.
pub(super) fn front_x(model: &Model) -> f64 {
    model.boiler().end()
}

/// The drawn outside of one end from the right foot over the crown to the left foot.
fn outside_section(model: &Model, end: &FireboxEnd, name: &str) -> Result<Chain, BodyError> {
    let f = model.firebox();
    let top = crown_and_corner(f.crown_radius, f.shoulder_radius, end.half_width)
        .at_key("firebox.shoulder_radius")?;
    // A box that spreads below its sides instead of narrowing bends the other way.
    let narrowing = end.half_width - f.bottom_half_width;
    let inwards = narrowing.signum();
    let waist = reverse_curve(narrowing.abs(), f.convex_radius, f.concave_radius)
        .at_key("firebox.bottom_half_width")?;
    let side = end.crown - top.corner_drop - f.waist_from;
    let tail = f.waist_from - waist.run - model.footplate.top;
    for (length, key, what) in [
        (
            side,
            format!("firebox.{name}.crown"),
            "the shoulder ends below the start of the waist",
        ),
        (
            tail,
            "firebox.waist_from".to_owned(),
            "the waist ends below the footplate",
        ),
    ] {
        if length < 0.0 {
            return Err(BodyError::Shape {
                path: key,
                sentence: format!("{what} by {:.2} mm on the model", -length),
                help: "check crown height, shoulder radius, the height where the waist starts and its radii".to_owned(),
            });
        }
    }
    let left = Chain::starting(Point2::new(0.0, end.crown), 0.0)
        .arc(f.crown_radius, -top.crown_half_angle)
        .arc(f.shoulder_radius, -(FRAC_PI_2 - top.crown_half_angle))
        .line(side)
        .arc(f.convex_radius, -inwards * waist.angle)
        .arc(f.concave_radius, inwards * waist.angle)
        .line(tail)
        .finish();
    Ok(left.mirrored_in_y_axis().reversed().joined(&left))
}

/// One end that narrows below its sides and another that spreads turn differently: a wrapper between
/// them would come to a point on the straight side of each, where no radius is left to bend round.
fn refuse_unlike_ends(f: &FireboxSpec) -> Result<(), BodyError> {
    let narrowing = |end: &FireboxEnd| end.half_width - f.bottom_half_width;
    let (front, rear) = (narrowing(&f.front), narrowing(&f.rear));
    if front * rear >= 0.0 {
        return Ok(());
    }
    let (name, other) = if rear < 0.0 {
        ("rear", "front")
    } else {
        ("front", "rear")
    };
    Err(BodyError::Shape {
        path: format!("firebox.{name}.half_width"),
        sentence: format!(
            "the two ends turn differently: below its sides the {other} narrows and the {name} spreads, \
             so that no sheet bends smoothly from one to the other"
        ),
        help: format!(
            "make it no less than bottom_half_width ({:.2} mm on the model), like the {other}",
            f.bottom_half_width
        ),
    })
}

/// Front and rear sections moved by `outwards` (mm) from the drawn outside.
fn sections(model: &Model, outwards: f64) -> Result<(Chain, Chain), BodyError> {
    let f = model.firebox();
    refuse_unlike_ends(f)?;
    let moved = |end: &FireboxEnd, name: &str| {
        outside_section(model, end, name)?
            .offset(outwards)
            .at_key("firebox.shoulder_radius")
    };
    Ok((moved(&f.front, "front")?, moved(&f.rear, "rear")?))
}

/// The section at `x`, moved by `outwards` (mm) from the drawn outside.
pub(super) fn section_at(model: &Model, x: f64, outwards: f64) -> Result<Chain, BodyError> {
    let (front, rear) = sections(model, outwards)?;
    let f = model.firebox();
    let share = ((x - front_x(model)) / f.length).clamp(0.0, 1.0);
    loft(model, &front, &rear).map(|loft| loft.section_at(share))
}

fn loft(model: &Model, front: &Chain, rear: &Chain) -> Result<Loft, BodyError> {
    let sheet = model.metal.sheet("firebox");
    Loft::between(
        LoftFrame::along_engine(front_x(model)),
        front,
        rear,
        model.firebox().length,
        sheet.thickness(),
        sheet.bend_rule,
    )
    .at_key("firebox")
}

fn wrapper(model: &Model) -> Result<Plate, BodyError> {
    let sheet = model.metal.sheet("firebox");
    let (front, rear) = sections(model, -sheet.z_high)?;
    Ok(WrapperOf {
        id: "firebox-wrapper",
        assembly: "firebox",
        title: "Firebox wrapper",
        sheet,
        names: ARCH,
    }
    .plate(loft(model, &front, &rear)?))
}

/// Spigot hole under the safety-valve cover.
fn bore_safety_valves(model: &Model, wrapper: &mut Plate) -> Result<(), BodyError> {
    let along = model.safety_valves().x - front_x(model);
    let diameter = model.safety_valves().spigot;
    let trace = Trace::bore(Vector2::y(), along, Point2::origin(), diameter / 2.0);
    placed(
        bore(wrapper, "safety-valves", trace, diameter),
        "safety_valves.x",
        "the safety valves' hole",
    )
}

/// How far the inside of the wrapper with its film lies from the drawn outside (mm, negative).
fn inwards(model: &Model) -> f64 {
    -(model.metal.thickness("firebox") + model.metal.film)
}

/// Places of the two studding holes of a former, on its centre line.
fn studding(f: &FireboxSpec, foot: f64, crown: f64) -> [Point2; 2] {
    let height = crown - foot;
    [0.3, 0.75]
        .map(|share| Point2::new(0.0, foot + share * height))
        .map(|p| {
            // Clear of the waist and of each other by construction of the shares.
            debug_assert!(f.studding < height / 3.0);
            p
        })
}

fn former(model: &Model, front: bool) -> Result<Plate, BodyError> {
    let f = model.firebox();
    let sheet = model.metal.sheet("formers");
    let (id, title, facing, x, middle) = if front {
        let x = front_x(model);
        (
            "firebox-former-front",
            "Firebox former, front",
            Facing::Front,
            x,
            x + sheet.z_high,
        )
    } else {
        let x = front_x(model) + f.length;
        (
            "firebox-former-rear",
            "Firebox former, rear",
            Facing::Rear,
            x,
            x - sheet.z_high,
        )
    };
    let section = section_at(model, middle, inwards(model))?;
    let closed = closed_at_foot(&section, "firebox")?;
    let sides = end_sides(&closed);
    let mut plate = FlatPlateOf {
        id: id.to_owned(),
        assembly: "firebox",
        title: title.to_owned(),
        sheet,
        outside_origin: Point3::new(x, 0.0, 0.0),
        facing,
        outline: &closed,
        sides: &sides,
    }
    .plate();
    let crown = section.point_at(section.length() / 2.0);
    for (i, centre) in studding(f, model.footplate.top, crown.y)
        .into_iter()
        .enumerate()
    {
        drill(
            &mut plate,
            &format!("studding-{}", i + 1),
            centre,
            f.studding,
        );
    }
    tick_at_top(&mut plate, crown, model);
    Ok(plate)
}

/// The plate below the barrel: the section of the box less the circle of the cladding.
///
/// It ends where the land between barrel and side gets narrower than the etcher leaves standing.
fn throat_plate(model: &Model) -> Result<Plate, BodyError> {
    let sheet = model.metal.sheet("formers");
    let x = front_x(model);
    let outside = outside_section(model, &model.firebox().front, "front")?;
    let land = model.metal.process.least_bar.at(sheet.thickness());
    let radius = model.boiler().radius(x) + model.metal.film;
    let half = model.firebox().front.half_width - land;
    let pitch = model.boiler().axis_height(x);
    let drop = if half >= radius {
        0.0
    } else {
        (radius * radius - half * half).max(0.0).sqrt()
    };
    let cut = pitch - drop;
    let barrel = Arc {
        centre: Point2::new(0.0, pitch),
        radius,
        start_angle: atan2(-drop, -half.min(radius)),
        sweep: 2.0 * (FRAC_PI_2 - atan2(drop, half.min(radius))),
    };
    let lower = below(&outside, cut, "firebox.front")?;
    let arc = Segment::Arc(barrel);
    // From the left side's top inwards to the barrel, under it, out to the right side, down and round.
    let outline = Chain::from_segments(
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
    let outline = Outline::from_chain(&outline).at_key("firebox.front")?;
    let n = outline.segments().len();
    let right = lower.0.segments().len();
    let sides: Vec<&str> = (0..n)
        .map(|i| match i {
            0 | 2 => "land",
            1 => "barrel",
            i if i < 3 + right => "side-right",
            i if i == 3 + right => "foot",
            _ => "side-left",
        })
        .collect();
    let mut plate = FlatPlateOf {
        id: "firebox-throat-plate".to_owned(),
        assembly: "firebox",
        title: "Firebox throat plate".to_owned(),
        outside_origin: Point3::new(x - sheet.thickness() - model.metal.film, 0.0, 0.0),
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

/// The parts of a section below height `cut`: on the right upwards, on the left downwards.
fn below(section: &Chain, cut: f64, path: &str) -> Result<(Chain, Chain), BodyError> {
    let far = 1e3;
    let level = Segment::line(Point2::new(-far, cut), Point2::new(far, cut));
    let mut before = 0.0;
    let mut lengths = Vec::new();
    for segment in section.segments() {
        for point in geom::intersections(segment, &level) {
            lengths.push(before + segment.nearest(point).0 * segment.length());
        }
        before += segment.length();
    }
    match (lengths.first(), lengths.last()) {
        (Some(&first), Some(&last)) if last > first => {
            Ok((section.part(0.0, first), section.part(last, before)))
        }
        _ => Err(BodyError::Shape {
            path: path.to_owned(),
            sentence:
                "the firebox does not reach down beside the barrel, so there is no throat plate"
                    .to_owned(),
            help: "check boiler pitch and the height of the firebox".to_owned(),
        }),
    }
}

fn soldering_block(model: &Model) -> Result<FormerBlock, BodyError> {
    let f = model.firebox();
    let (front, rear) = sections(model, inwards(model))?;
    let studs = studding(f, model.footplate.top, f.rear.crown + inwards(model));
    Ok(FormerBlock {
        id: "firebox-soldering-block".to_owned(),
        title: "Firebox soldering block".to_owned(),
        plate: "firebox-wrapper".to_owned(),
        frame: LoftFrame::along_engine(front_x(model)),
        front,
        rear,
        length: f.length,
        studding: studs.map(|centre| (centre, f.studding)).to_vec(),
        // Wide and deep enough to be printed and found by eye: chosen, not sourced.
        groove: (0.6, 0.4),
    })
}
