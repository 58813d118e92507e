//! The built-up smokebox: a wrapper that runs by a reverse curve down to the footplate, its front
//! and its rear former.

use super::boiler::{drill_pillars, tick_at_top};
use crate::error::AtKey;
use crate::fit::former_joint;
use crate::rows::{eased_pitch, even_row, lay_row};
use crate::upright::{Facing, FlatPlateOf, drill};
use crate::wrapper::{ARCH, WrapperOf, add_ticks, bore, loft_of, placed};
use crate::{Body, BodyError, DerivedAngle, Model, Plate, Precedence};
use develop::{Loft, LoftFrame, SurfacePoint, Trace};
use geom::math::{FRAC_PI_2, PI};
use geom::tangency::circle_to_vertical;
use geom::{Chain, Outline, Point2, Point3, Segment, Vector2};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let outside = outside_section(model)?;
    derive_section(model, &outside, body)?;
    let mut wrapper = wrapper(model, &outside)?;
    if model.chimney.is_some() {
        bore_chimney(model, &mut wrapper)?;
    }
    let s = model.smokebox();
    drill_pillars(model, &mut wrapper, s.front, s.front + s.length)?;
    let etched = model
        .metal
        .process
        .half_etch_depth
        .at(wrapper.sheet.thickness());
    let crown = loft_of(&wrapper).datum();
    add_ticks(
        &mut wrapper,
        &[("centre-line", crown)],
        model.rivets.edge,
        etched,
    );
    lay_rivets(model, &mut wrapper, body);
    let inside = outside
        .offset(-(wrapper.sheet.thickness() + model.metal.film))
        .at_key("smokebox.reverse_radius")?;
    let front = end_plate(model, &inside, true)?;
    let rear = end_plate(model, &inside, false)?;
    for (plate, edge) in [(&front, "front"), (&rear, "rear")] {
        body.joints
            .push(former_joint(model, (&wrapper, edge), (plate, "rim"), PI));
        body.precedences.push(Precedence::new(
            &plate.id,
            &wrapper.id,
            "the wrapper is bent over its formers",
        ));
    }
    body.plates.extend([wrapper, front, rear]);
    Ok(())
}

/// Half the perimeter over the outside, and how far the wrapper turns back in its reverse curve.
fn derive_section(model: &Model, outside: &Chain, body: &mut Body) -> Result<(), BodyError> {
    let s = model.smokebox();
    let joint = circle_to_vertical(s.diameter / 2.0, s.reverse_radius, s.waist_half_width)
        .at_key("smokebox.waist_half_width")?;
    body.derive(
        "smokebox.half_perimeter",
        "Half perimeter over the outside, crown to foot",
        outside.length() / 2.0,
    );
    body.angles.push(DerivedAngle {
        path: "smokebox.reverse_turn".to_owned(),
        title: "Turn of the reverse curve".to_owned(),
        radians: joint.angle,
    });
    Ok(())
}

/// The drawn outside from the right foot over the top to the left foot.
fn outside_section(model: &Model) -> Result<Chain, BodyError> {
    let s = model.smokebox();
    let radius = s.diameter / 2.0;
    let pitch = model.boiler().pitch;
    let joint = circle_to_vertical(radius, s.reverse_radius, s.waist_half_width)
        .at_key("smokebox.waist_half_width")?;
    let leg = pitch - joint.drop - model.footplate.top;
    if leg < 0.0 {
        return Err(BodyError::Shape {
            path: "smokebox.reverse_radius".to_owned(),
            sentence: format!("the reverse curve ends {:.2} mm below the footplate", -leg),
            help: "make the reverse radius smaller or the waist wider".to_owned(),
        });
    }
    let left = Chain::starting(Point2::new(0.0, pitch + radius), 0.0)
        .arc(radius, -(FRAC_PI_2 + joint.angle))
        .arc(s.reverse_radius, joint.angle)
        .line(leg)
        .finish();
    Ok(left.mirrored_in_y_axis().reversed().joined(&left))
}

fn wrapper(model: &Model, outside: &Chain) -> Result<Plate, BodyError> {
    let sheet = model.metal.sheet("smokebox");
    let neutral = outside
        .offset(-sheet.z_high)
        .at_key("smokebox.reverse_radius")?;
    let s = model.smokebox();
    let loft = Loft::between(
        LoftFrame::along_engine(s.front),
        &neutral,
        &neutral,
        s.length,
        sheet.thickness(),
        sheet.bend_rule,
    )
    .at_key("smokebox")?;
    Ok(WrapperOf {
        id: "smokebox-wrapper",
        assembly: "smokebox",
        title: "Smokebox wrapper",
        sheet,
        names: ARCH,
    }
    .plate(loft))
}

fn bore_chimney(model: &Model, wrapper: &mut Plate) -> Result<(), BodyError> {
    let chimney = model.chimney();
    let along = chimney.x - model.smokebox().front;
    let trace = Trace::bore(Vector2::y(), along, Point2::origin(), chimney.spigot / 2.0);
    placed(
        bore(wrapper, "chimney", trace, chimney.spigot),
        "chimney.x",
        "the chimney's hole",
    )
}

/// A staggered double row at the front ring, single rows at the rear and along both feet.
fn lay_rivets(model: &Model, wrapper: &mut Plate, body: &mut Body) {
    let (rivets, edge, apart) = (
        &model.rivets.smokebox,
        model.rivets.edge,
        model.rivets.ring_rows,
    );
    let loft = loft_of(wrapper).clone();
    let foot = |w, v| loft.flat(SurfacePoint { w, v });
    let (low, high) = (foot(0.0, 0.0).y + edge, foot(loft.w_end(), 0.0).y - edge);
    let length = loft.axial_length();
    let across = |x: f64| even_row(Point2::new(x, low), Point2::new(x, high), rivets.pitch);
    let front = across(edge);
    let half = (front[1] - front[0]) / 2.0;
    let second: Vec<Point2> = front[..front.len() - 1]
        .iter()
        .map(|p| p + half + Vector2::new(apart, 0.0))
        .collect();
    lay_row(wrapper, "front", rivets, front);
    lay_row(wrapper, "front-second", rivets, second);
    lay_row(wrapper, "rear", rivets, across(length - edge));
    for (name, y) in [("foot-right", low), ("foot-left", high)] {
        let row = even_row(
            Point2::new(edge, y),
            Point2::new(length - edge, y),
            rivets.pitch,
        );
        lay_row(wrapper, name, rivets, row);
    }
    body.findings.extend(eased_pitch(
        wrapper,
        "rivets.smokebox.pitch",
        high - low,
        rivets.pitch,
    ));
}

/// Front plate or rear former: the inside of the wrapper, closed at the foot.
fn end_plate(model: &Model, inside: &Chain, front: bool) -> Result<Plate, BodyError> {
    let s = model.smokebox();
    let sheet = model.metal.sheet("formers");
    // The section is travelled over the top from right to left; closed along the foot and turned
    // about it is anticlockwise as seen from behind, and its mirror as seen from the front.
    let closed = closed_at_foot(inside, "smokebox")?;
    let sides = end_sides(&closed);
    let (id, title, facing, x) = if front {
        ("smokebox-front", "Smokebox front", Facing::Front, s.front)
    } else {
        (
            "smokebox-former-rear",
            "Smokebox former, rear",
            Facing::Rear,
            s.front + s.length,
        )
    };
    let mut plate = FlatPlateOf {
        id: id.to_owned(),
        assembly: "smokebox",
        title: title.to_owned(),
        sheet,
        outside_origin: Point3::new(x, 0.0, 0.0),
        facing,
        outline: &closed,
        sides: &sides,
    }
    .plate();
    let centre = Point2::new(0.0, model.boiler().pitch);
    let opening = if front {
        0.75 * s.door_diameter
    } else {
        0.5 * s.diameter
    };
    drill(
        &mut plate,
        if front { "door" } else { "access" },
        centre,
        opening,
    );
    let top = inside.point_at(inside.length() / 2.0);
    tick_at_top(&mut plate, top, model);
    Ok(plate)
}

/// A section closed by a line along its foot, anticlockwise.
///
/// The demo's sections are symmetrical, so the same outline serves a plate seen from the front.
pub(super) fn closed_at_foot(section: &Chain, path: &str) -> Result<Outline, BodyError> {
    let foot = Segment::line(section.end(), section.start());
    let closed = section.clone().joined(&Chain::from_segments([foot]));
    Ok(Outline::from_chain(&closed).at_key(path)?.reversed())
}

/// Names of the sides of such an outline: the foot first, the rim after it.
pub(super) fn end_sides(outline: &Outline) -> Vec<&'static str> {
    let n = outline.segments().len();
    (0..n)
        .map(|i| if i == 0 { "foot" } else { "rim" })
        .collect()
}
