//! The barrel: its rings, each rolled from one plate, with bands, holes, ring formers and joint strips.

mod bands;
mod formers;

pub(super) use formers::{tick_at_rim, tick_at_top};

use crate::error::AtKey;
use crate::laminations::laminate_faces;
use crate::model::specs::{BoilerRing, RingEnd};
use crate::wrapper::{
    TUBE, WrapperOf, add_ticks_clear, at_height, bore, loft_of, placed, round_hole,
};
use crate::{Body, BodyError, DerivedAngle, Model, Plate};
use develop::{Loft, LoftFrame, Trace};
use geom::math::{PI, TAU, atan2};
use geom::{Chain, Point2, Vector2};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let b = model.boiler();
    let places = bands::places(b)?;
    let mut wrappers = Vec::with_capacity(b.rings.len());
    for (i, ring) in b.rings.iter().enumerate() {
        let mut wrapper = wrapper(model, ring, i)?;
        bands::add(model, &mut wrapper, ring.from, &places, body);
        drill_ring(model, &mut wrapper, ring)?;
        let etched = model
            .metal
            .process
            .half_etch_depth
            .at(wrapper.sheet.thickness());
        let (crown, end) = (loft_of(&wrapper).datum(), loft_of(&wrapper).w_end());
        let lines = [
            ("centre-line", crown),
            ("side-line-right", end / 4.0),
            ("side-line-left", 3.0 * end / 4.0),
        ];
        // Behind a band at the ring's end there is no room for a tick: it stands next to the band.
        let clear = bands::at_ends(&wrapper);
        add_ticks_clear(&mut wrapper, &lines, clear, b.band_inset, etched);
        bands::warn_of_holes(&wrapper, body);
        wrappers.push(wrapper);
    }
    bands::warn_of_steps(model, body);
    derive(model, &wrappers, body)?;
    formers::add_formers(model, &wrappers, body)?;
    formers::add_strips(model, &wrappers, body)?;
    body.plates.extend(wrappers);
    // Pinned to each other, the two formers are the step between smokebox and boiler.
    if body.plate("smokebox-former-rear").is_some() {
        let former = ("boiler-former-front", "outside");
        laminate_faces(model, body, former, ("smokebox-former-rear", "outside"));
    }
    Ok(())
}

/// What is turned or cut to the barrel: wrapper lengths, where its centre lies, how its flats open.
fn derive(model: &Model, wrappers: &[Plate], body: &mut Body) -> Result<(), BodyError> {
    let b = model.boiler();
    body.derive(
        "boiler.throat",
        "x of the barrel's end at the throat",
        b.end(),
    );
    body.derive(
        "boiler.throat_axis",
        "Height of the barrel's centre at the throat",
        b.axis_height(b.end()),
    );
    body.derive(
        "boiler.throat_bottom",
        "Height of the barrel's bottom line at the throat",
        b.axis_height(b.end()) - b.radius(b.end()),
    );
    for (ring, wrapper) in b.rings.iter().zip(wrappers) {
        for edge in wrapper.edge_lengths().at_key(&ring.key)? {
            if ["front", "rear"].contains(&edge.name.as_str()) {
                body.derive(
                    &format!("{}.wrapper_{}", ring.key, edge.name),
                    &format!("Developed length of the wrapper's {} edge", edge.name),
                    edge.flat,
                );
            }
        }
        let loft = loft_of(wrapper);
        let ends = [0.0, loft.w_end()].map(|w| loft.ruling(w).flat_direction);
        let radians = atan2(ends[0].perp(&ends[1]), ends[0].dot(&ends[1])).abs();
        body.angles.push(DerivedAngle {
            path: format!("{}.flat_angle", ring.key),
            title: "Angle between the two seam edges of the flat".to_owned(),
            radians,
        });
    }
    Ok(())
}

/// A full ring from its lowest point round by the right side, the outside on the left of travel.
pub(super) fn circle(centre_height: f64, radius: f64) -> Chain {
    Chain::starting(Point2::new(0.0, centre_height - radius), PI)
        .arc(radius, -TAU)
        .finish()
}

/// A ring's surface moved outwards from the cladding by `outwards` (mm).
pub(super) fn surface(
    ring: &BoilerRing,
    outwards: f64,
    thickness: f64,
    rule: develop::BendRule,
) -> Result<Loft, BodyError> {
    let section = |end: &RingEnd| circle(end.axis, end.radius + outwards);
    Loft::between(
        LoftFrame::along_engine(ring.from),
        &section(&ring.front),
        &section(&ring.rear),
        ring.length,
        thickness,
        rule,
    )
    .at_key(&ring.key)
}

fn wrapper(model: &Model, ring: &BoilerRing, i: usize) -> Result<Plate, BodyError> {
    let sheet = model.metal.boiler_sheet();
    for (key, end) in [("front_diameter", ring.front), ("rear_diameter", ring.rear)] {
        let diameter = 2.0 * end.radius;
        // Written so that a diameter that is not a number is refused too.
        let holds = diameter > 4.0 * sheet.thickness();
        if !holds {
            return Err(BodyError::Shape {
                path: format!("{}.{key}", ring.key),
                sentence: format!(
                    "a boiler of {diameter:.2} mm cannot be rolled from {:.2} mm sheet",
                    sheet.thickness()
                ),
                help: "give the diameter over the cladding of the full-size engine".to_owned(),
            });
        }
    }
    let loft = surface(ring, -sheet.z_high, sheet.thickness(), sheet.bend_rule)?;
    let (id, title) = if model.boiler().rings.len() == 1 {
        ("boiler-wrapper".to_owned(), "Boiler wrapper".to_owned())
    } else {
        (
            format!("boiler-wrapper-{}", i + 1),
            format!("Boiler wrapper, ring {}", i + 1),
        )
    };
    Ok(WrapperOf {
        id: &id,
        assembly: "boiler",
        title: &title,
        sheet,
        names: TUBE,
    }
    .plate(loft))
}

/// Holes of a ring: turned fittings on its top, handrail pillars on the level rail, washout plugs.
fn drill_ring(model: &Model, wrapper: &mut Plate, ring: &BoilerRing) -> Result<(), BodyError> {
    let b = model.boiler();
    let here = |x: f64| std::ptr::eq(b.ring_at(x), ring);
    if let Some(dome) = model.dome.as_ref().filter(|dome| here(dome.x)) {
        let at = (dome.x - ring.from, dome.spigot);
        bore_top(wrapper, "dome", at, "dome.x", "the dome's hole")?;
    }
    if let Some(valves) = model.safety_valves.as_ref()
        && valves.x < b.end()
        && here(valves.x)
    {
        let at = (valves.x - ring.from, valves.spigot);
        let what = "the safety valves' hole";
        bore_top(wrapper, "safety-valves", at, "safety_valves.x", what)?;
    }
    drill_pillars(model, wrapper, ring.from, ring.end())?;
    let own = b.washouts.iter().enumerate().filter(|(_, w)| here(w.x));
    for (i, washout) in own {
        drill_pair(
            wrapper,
            &format!("washout-{{}}-{}", i + 1),
            (washout.x - ring.from, washout.height),
            washout.diameter,
            &format!("boiler.washouts[{i}]"),
        )?;
    }
    Ok(())
}

/// An upright hole on the centre line of a wrapper's top, at a distance along it and of a diameter (mm).
pub(super) fn bore_top(
    wrapper: &mut Plate,
    feature: &str,
    (along, diameter): (f64, f64),
    path: &str,
    what: &str,
) -> Result<(), BodyError> {
    let trace = Trace::bore(Vector2::y(), along, Point2::origin(), diameter / 2.0);
    placed(bore(wrapper, feature, trace, diameter), path, what)
}

/// Holes for the handrail pillars of a rolled plate that reaches along the engine from one place to another.
pub(super) fn drill_pillars(
    model: &Model,
    wrapper: &mut Plate,
    from: f64,
    to: f64,
) -> Result<(), BodyError> {
    let Some(rails) = &model.handrails else {
        return Ok(());
    };
    for (number, (i, x)) in rails.between(from, to).enumerate() {
        drill_pair(
            wrapper,
            &format!("handrail-{{}}-{}", number + 1),
            (x - from, rails.height),
            rails.pillar_hole,
            &format!("handrails.pillars[{i}]"),
        )?;
    }
    Ok(())
}

/// A hole at the same height on the left and the right; `{}` of the name becomes the side.
pub(super) fn drill_pair(
    plate: &mut Plate,
    name: &str,
    (along, height): (f64, f64),
    diameter: f64,
    path: &str,
) -> Result<(), BodyError> {
    for (side, left) in [("left", true), ("right", false)] {
        let loft = loft_of(plate);
        let length = loft.axial_length();
        let v = along / length;
        // A hole that an end of its plate cuts is no hole.
        let room = along.min(length - along) - diameter / 2.0;
        let holds = room > 0.0;
        if !holds {
            return Err(BodyError::Shape {
                path: path.to_owned(),
                sentence: format!(
                    "the hole at {along:.2} mm along {} runs off its plate",
                    plate.title.to_lowercase()
                ),
                help: format!("the plate is {length:.2} mm long"),
            });
        }
        let centre = placed(at_height(loft, left, height, v), path, "the hole")?;
        round_hole(plate, &name.replace("{}", side), centre, diameter);
    }
    Ok(())
}
