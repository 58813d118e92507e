//! The cab: front with windows and the opening for the firebox, sides, back and three-arc roof.

use crate::error::AtKey;
use crate::fit::{butt_joint, former_joint};
use crate::rows::lay_border;
use crate::upright::{Facing, FlatPlateOf, cut, drill, rounded_rectangle};
use crate::wrapper::{ARCH, WrapperOf, add_ticks, loft_of};
use crate::{Body, BodyError, Model, Plate};
use develop::{Loft, LoftFrame};
use geom::math::{FRAC_PI_2, PI};
use geom::tangency::crown_and_corner;
use geom::{Chain, Outline, Point2, Point3, Segment, Vector2};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let c = model.cab();
    if c.back <= c.front {
        return Err(BodyError::Shape {
            path: "cab.back".to_owned(),
            sentence: "the cab ends before it begins".to_owned(),
            help: "front and back are both measured from the front buffer-beam face".to_owned(),
        });
    }
    let outside = roof_section(model)?;
    let eaves = outside.end().y;
    body.derive("cab.eaves_height", "Height of the eaves above rail", eaves);
    body.derive(
        "cab.roof.developed_length",
        "Length over the outside of the roof, eaves to eaves",
        outside.length(),
    );
    let roof = roof(model, &outside)?;
    let front = end_plate(model, &outside, true)?;
    let back = end_plate(model, &outside, false)?;
    let sides = [side(model, &outside, true)?, side(model, &outside, false)?];
    for end in [&front, &back] {
        body.joints.push(former_joint(
            model,
            (
                &roof,
                if end.id == "cab-front" {
                    "front"
                } else {
                    "rear"
                },
            ),
            (end, "roof"),
            PI,
        ));
    }
    for side in &sides {
        for end in [&front, &back] {
            let hand = if side.id == "cab-side-left" {
                "side-left"
            } else {
                "side-right"
            };
            body.joints
                .push(butt_joint(model, (end, hand), (side, "inside")));
        }
        if let Some(footplate) = body.plate("footplate") {
            let joint = butt_joint(model, (side, "bottom"), (footplate, "top"));
            body.joints.push(joint);
        }
    }
    for hand in ["left", "right"] {
        if let Some(tank) = body.plate(&format!("tank-side-{hand}")) {
            let joint = butt_joint(model, (tank, "rear"), (&front, "outside"));
            body.joints.push(joint);
        }
    }
    body.plates.extend([front, back]);
    body.plates.extend(sides);
    body.plates.push(roof);
    Ok(())
}

/// The drawn outside of the roof from the right eaves to the left.
fn roof_section(model: &Model) -> Result<Chain, BodyError> {
    let c = model.cab();
    let arcs = crown_and_corner(
        c.roof_centre_radius,
        c.roof_corner_radius,
        c.roof_half_width,
    )
    .at_key("cab.roof.corner_radius")?;
    let left = Chain::starting(Point2::new(0.0, c.roof_top), 0.0)
        .arc(c.roof_centre_radius, -arcs.crown_half_angle)
        .arc(c.roof_corner_radius, -(FRAC_PI_2 - arcs.crown_half_angle))
        .finish();
    Ok(left.mirrored_in_y_axis().reversed().joined(&left))
}

fn roof(model: &Model, outside: &Chain) -> Result<Plate, BodyError> {
    let c = model.cab();
    let sheet = model.metal.sheet("roof");
    let neutral = outside
        .offset(-sheet.z_high)
        .at_key("cab.roof.corner_radius")?;
    let from = c.front - c.roof_overhang;
    let loft = Loft::between(
        LoftFrame::along_engine(from),
        &neutral,
        &neutral,
        c.back + c.roof_overhang - from,
        sheet.thickness(),
        sheet.bend_rule,
    )
    .at_key("cab.roof")?;
    let mut names = ARCH;
    names.sides = ("eaves-right", "eaves-left");
    names.corners = [
        "front-right-eaves",
        "rear-right-eaves",
        "front-left-eaves",
        "rear-left-eaves",
    ];
    let mut plate = WrapperOf {
        id: "cab-roof",
        assembly: "cab",
        title: "Cab roof",
        sheet,
        names,
    }
    .plate(loft);
    let etched = model
        .metal
        .process
        .half_etch_depth
        .at(plate.sheet.thickness());
    let crown = loft_of(&plate).datum();
    add_ticks(&mut plate, &[("centre-line", crown)], 1.0, etched);
    Ok(plate)
}

/// Half width between the cab sides (mm).
fn between_sides(model: &Model) -> f64 {
    model.cab().over / 2.0 - model.metal.thickness("cab")
}

/// The part of the roof's inside that lies within a half width, from right to left.
fn roof_inside(model: &Model, outside: &Chain, half_width: f64) -> Result<Chain, BodyError> {
    let drop = model.metal.thickness("roof") + model.metal.film;
    let inside = outside.offset(-drop).at_key("cab.roof.corner_radius")?;
    let mut crossings = Vec::new();
    let mut before = 0.0;
    for segment in inside.segments() {
        for y in [-half_width, half_width] {
            let line = Segment::line(Point2::new(y, -1e3), Point2::new(y, 1e4));
            for point in geom::intersections(segment, &line) {
                crossings.push(before + segment.nearest(point).0 * segment.length());
            }
        }
        before += segment.length();
    }
    match (crossings.first(), crossings.last()) {
        (Some(&from), Some(&to)) if to > from => Ok(inside.part(from, to)),
        _ => Err(BodyError::Shape {
            path: "cab.roof.half_width".to_owned(),
            sentence: "the cab sides stand outside the roof".to_owned(),
            help: format!(
                "half the width over the cab sides is {:.2} mm on the model; the roof must reach over it",
                half_width + model.metal.thickness("cab")
            ),
        }),
    }
}

/// Front or back between the sides, under the roof.
fn end_plate(model: &Model, outside: &Chain, front: bool) -> Result<Plate, BodyError> {
    let c = model.cab();
    let half = between_sides(model);
    let under_roof = roof_inside(model, outside, half)?;
    let floor = model.footplate.top;
    let (foot_right, foot_left) = (Point2::new(-half, floor), Point2::new(half, floor));
    // Anticlockwise as seen from behind: along the foot to the left, up, over the roof to the right, down.
    let foot = if front {
        firebox_opening(model, foot_right, foot_left)?
    } else {
        vec![("bottom", Segment::line(foot_right, foot_left))]
    };
    let over = under_roof.reversed();
    // Seen from the front the engine's left is on the other hand.
    let hands = if front {
        ("side-right", "side-left")
    } else {
        ("side-left", "side-right")
    };
    let mut run = foot;
    run.push((hands.0, Segment::line(foot_left, over.start())));
    run.extend(over.segments().iter().map(|s| ("roof", *s)));
    run.push((hands.1, Segment::line(over.end(), foot_right)));
    let (sides, segments): (Vec<&str>, Vec<Segment>) = run.into_iter().unzip();
    let outline = Outline::from_chain(&Chain::from_segments(segments)).at_key("cab")?;
    let (id, title, facing, x) = if front {
        ("cab-front", "Cab front", Facing::Front, c.front)
    } else {
        ("cab-back", "Cab back", Facing::Rear, c.back)
    };
    let mut plate = FlatPlateOf {
        id: id.to_owned(),
        assembly: "cab",
        title: title.to_owned(),
        sheet: model.metal.sheet("cab"),
        outside_origin: Point3::new(x, 0.0, 0.0),
        facing,
        // The cab is symmetrical, so the same outline serves both ways of looking.
        outline: &outline,
        sides: &sides,
    }
    .plate();
    for (i, y) in [-c.window_offset, c.window_offset].into_iter().enumerate() {
        drill(
            &mut plate,
            &format!("window-{}", i + 1),
            Point2::new(y, c.window_height),
            c.window_diameter,
        );
    }
    Ok(plate)
}

/// The foot of the cab front, cut away round the firebox with its clearance.
fn firebox_opening(
    model: &Model,
    from: Point2,
    to: Point2,
) -> Result<Vec<(&'static str, Segment)>, BodyError> {
    let c = model.cab();
    if model.firebox.is_none() {
        return Ok(vec![("bottom", Segment::line(from, to))]);
    }
    let front = super::firebox::front_x(model);
    if c.front < front || c.front > front + model.firebox().length {
        return Ok(vec![("bottom", Segment::line(from, to))]);
    }
    let round = super::firebox::section_at(model, c.front, c.box_clearance)?;
    let mut run = vec![("bottom", Segment::line(from, round.start()))];
    run.extend(round.segments().iter().map(|s| ("firebox", *s)));
    run.push(("bottom", Segment::line(round.end(), to)));
    Ok(run)
}

/// A side up to the eaves, with its cut-out and a border of rivets.
fn side(model: &Model, outside: &Chain, left: bool) -> Result<Plate, BodyError> {
    let c = model.cab();
    let eaves = outside.end().y;
    let (hand, facing, x, sign) = if left {
        ("left", Facing::Left, c.back, 1.0)
    } else {
        ("right", Facing::Right, c.front, -1.0)
    };
    let length = c.back - c.front;
    let low = Point2::new(0.0, model.footplate.top);
    let high = Point2::new(length, eaves);
    let ends = if left {
        ("front", "rear")
    } else {
        ("rear", "front")
    };
    let mut plate = FlatPlateOf {
        id: format!("cab-side-{hand}"),
        assembly: "cab",
        title: format!("Cab side, {hand}"),
        sheet: model.metal.sheet("cab"),
        outside_origin: Point3::new(x, sign * c.over / 2.0, 0.0),
        facing,
        outline: &Outline::rectangle(low, high),
        sides: &["bottom", ends.0, "top", ends.1],
    }
    .plate();
    cut_out(model, &mut plate, left, length, eaves)?;
    let edge = Vector2::new(model.rivets.edge, model.rivets.edge);
    lay_border(
        &mut plate,
        &model.rivets.platework,
        low + edge,
        high - edge,
        &["bottom", "right", "top", "left"],
    );
    Ok(plate)
}

fn cut_out(
    model: &Model,
    plate: &mut Plate,
    left: bool,
    length: f64,
    eaves: f64,
) -> Result<(), BodyError> {
    let (c, o) = (model.cab(), &model.cab().cut_out);
    let (from, to) = (o.from - c.front, o.to - c.front);
    let inside = from > 0.0
        && to < length
        && from < to
        && o.bottom > model.footplate.top
        && o.top < eaves
        && o.bottom < o.top;
    if !inside {
        return Err(BodyError::Shape {
            path: "cab.cut_out".to_owned(),
            sentence: "the cut-out does not lie within the cab side".to_owned(),
            help: format!(
                "it must lie between the cab's front and back, above the footplate and below the eaves at {eaves:.2} mm above rail"
            ),
        });
    }
    let (a, b) = if left {
        (length - to, length - from)
    } else {
        (from, to)
    };
    let opening = rounded_rectangle(Point2::new(a, o.bottom), Point2::new(b, o.top), o.radius);
    cut(plate, "cut-out", &opening, None);
    Ok(())
}
