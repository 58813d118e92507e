//! What stands inside the firebox: formers, spacers between them, and the soldering block.

use super::section::{inwards, section_at, whole_section_at};
use super::slope::Ends;
use crate::assemblies::boiler::tick_at_top;
use crate::assemblies::smokebox::{closed_at_foot, end_sides};
use crate::fit::{butt_joint, former_joint};
use crate::laminations::laminate;
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf, drill, rectangle};
use crate::{Body, BodyError, FormerBlock, Model, Plate, Precedence};
use develop::LoftFrame;
use geom::{Point2, Point3};

/// The front former, doubled so that its corners can be filed round, and the rear one.
pub(super) fn add_formers(model: &Model, ends: &Ends, body: &mut Body) -> Result<(), BodyError> {
    let pitch = model.metal.thickness("formers") + model.metal.film;
    let front = ("firebox-former-front", "Firebox former, front");
    let second = (
        "firebox-former-front-second",
        "Firebox former, front, second layer",
    );
    let rear = ("firebox-former-rear", "Firebox former, rear");
    let formers = [
        (
            former(model, front, Facing::Front, ends.front_former)?,
            "front",
        ),
        (
            former(model, second, Facing::Front, ends.front_former + pitch)?,
            "front",
        ),
        (former(model, rear, Facing::Rear, ends.rear_former)?, "rear"),
    ];
    for (plate, edge) in formers {
        let wrapper = body
            .plate("firebox-wrapper")
            .expect("the wrapper is made before its formers");
        let turn = wrapper_turn(wrapper);
        let joint = former_joint((wrapper, edge), (&plate, "rim"), turn);
        let before = Precedence::new(
            &plate.id,
            &wrapper.id,
            "the wrapper is bent over its formers",
        );
        body.precedences.push(before);
        body.joints.push(joint);
        body.plates.push(plate);
    }
    laminate(model, body, front.0, second.0);
    Ok(())
}

/// Net turning of a wrapper's section (rad).
pub(super) fn wrapper_turn(wrapper: &Plate) -> f64 {
    crate::wrapper::loft_of(wrapper)
        .section_at(0.0)
        .turn()
        .abs()
}

/// Places of the two studding holes of a former, on its centre line.
fn studding(model: &Model, crown: f64) -> Result<[Point2; 2], BodyError> {
    let f = model.firebox();
    let foot = model.footplate.top;
    let height = crown - foot;
    let wide = f.studding < f.bottom_half_width + inwards(model);
    if !(f.studding < height / 4.0 && wide) {
        return Err(BodyError::Shape {
            path: "firebox.studding_hole".to_owned(),
            sentence: format!(
                "holes of {:.2} mm for studding weaken a former {height:.2} mm high and {:.2} mm wide too much",
                f.studding,
                2.0 * f.bottom_half_width
            ),
            help: "make them less than a quarter of the height and half of the width".to_owned(),
        });
    }
    Ok([0.3, 0.75].map(|share| Point2::new(0.0, foot + share * height)))
}

/// A plate that fills the inside of the wrapper, its outside face at `x` (mm).
fn former(
    model: &Model,
    (id, title): (&str, &str),
    facing: Facing,
    x: f64,
) -> Result<Plate, BodyError> {
    let sheet = model.metal.sheet("formers");
    let middle = match facing {
        Facing::Front => x + sheet.z_high,
        _ => x - sheet.z_high,
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
    let studs = studding(model, crown.y)?;
    let diameter = model.firebox().studding;
    for (i, centre) in studs.into_iter().enumerate() {
        drill(&mut plate, &format!("studding-{}", i + 1), centre, diameter);
    }
    // Room for an iron between the two, and for a shaft: common practice, no source.
    let free = (studs[1] - studs[0]).norm() - diameter;
    let between = studs[0] + (studs[1] - studs[0]) / 2.0;
    let wide = 0.8 * (model.firebox().bottom_half_width + inwards(model));
    drill(&mut plate, "access", between, (0.5 * free).min(wide));
    tick_at_top(&mut plate, crown, model);
    Ok(plate)
}

/// Two plates that hold the formers apart and square, keyed into both.
pub(super) fn add_spacers(model: &Model, ends: &Ends, body: &mut Body) -> Result<(), BodyError> {
    let sheet = model.metal.sheet("formers");
    let t = sheet.thickness();
    let from = ends.front_former + 2.0 * t + model.metal.film;
    let to = ends.rear_former - t;
    let f = model.firebox();
    let widest = f
        .bottom_half_width
        .min(f.front.half_width)
        .min(f.rear.half_width);
    // Beside motor and shaft, clear of the sides: chosen, not sourced.
    let aside = 0.72 * (widest + inwards(model));
    let height = f.rear.crown.min(f.front.crown) - model.footplate.top;
    let low = model.footplate.top + 0.25 * height;
    let high = model.footplate.top + 0.55 * height;
    if to - from < t || high - low < 2.0 * t || aside < 2.0 * t {
        return Ok(());
    }
    for (word, left) in [("left", true), ("right", false)] {
        let (facing, origin, sides) = if left {
            (
                Facing::Left,
                Point3::new(to, aside, 0.0),
                ["bottom", "front", "top", "rear"],
            )
        } else {
            (
                Facing::Right,
                Point3::new(from, -aside, 0.0),
                ["bottom", "rear", "top", "front"],
            )
        };
        let id = format!("firebox-spacer-{word}");
        let plate = FlatPlateOf {
            id: id.clone(),
            assembly: "firebox",
            title: format!("Firebox spacer, {word}"),
            sheet: sheet.clone(),
            outside_origin: origin,
            facing,
            outline: &rectangle(Point2::new(0.0, low), Point2::new(to - from, high)),
            sides: &sides,
        }
        .plate();
        for (edge, former) in [
            ("front", "firebox-former-front-second"),
            ("rear", "firebox-former-rear"),
        ] {
            let other = body.plate(former).expect("formers are made before spacers");
            let joint = butt_joint((&plate, edge), (other, "inside"));
            body.joints.push(joint);
        }
        body.plates.push(plate);
        for (edge, former) in [
            ("front", "firebox-former-front-second"),
            ("rear", "firebox-former-rear"),
        ] {
            let tabbing = Tabbing {
                count: Some(1),
                ..Tabbing::default()
            };
            tab_into(model, body, (&id, edge), former, tabbing, "firebox")?;
        }
    }
    Ok(())
}

/// Stands the formers on the footplate by tabs.
pub(super) fn stand_on_footplate(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    for former in ["firebox-former-front", "firebox-former-rear"] {
        if let (Some(plate), Some(footplate)) = (body.plate(former), body.plate("footplate")) {
            let joint = butt_joint((plate, "foot"), (footplate, "top"));
            body.joints.push(joint);
            let tabbing = Tabbing {
                count: Some(2),
                ..Tabbing::default()
            };
            tab_into(
                model,
                body,
                (former, "foot"),
                "footplate",
                tabbing,
                "firebox",
            )?;
        }
    }
    Ok(())
}

/// The inside of the wrapper, as far as it reaches over its whole height.
pub(super) fn soldering_block(model: &Model, ends: &Ends) -> Result<FormerBlock, BodyError> {
    let (from, to) = ends.full_height;
    let front = whole_section_at(model, from, inwards(model))?;
    let rear = whole_section_at(model, to, inwards(model))?;
    let crown = |section: &geom::Chain| section.point_at(section.length() / 2.0).y;
    let studs = studding(model, crown(&front).min(crown(&rear)))?;
    Ok(FormerBlock {
        id: "firebox-soldering-block".to_owned(),
        title: "Firebox soldering block".to_owned(),
        plate: "firebox-wrapper".to_owned(),
        frame: LoftFrame::along_engine(from),
        front,
        rear,
        length: to - from,
        studding: studs
            .map(|centre| (centre, model.firebox().studding))
            .to_vec(),
        // Wide and deep enough to be printed and found by eye: chosen, not sourced.
        groove: (0.6, 0.4),
    })
}
