//! The firebox, Belpaire or round-topped: its wrapper, formers, throat plate, backhead and soldering block.

mod ends;
mod formers;
mod section;
mod slope;

pub(super) use section::{front_x, section_at, surface};

use crate::laminations::witness_ring;
use crate::wrapper::{ARCH, WrapperOf, add_ticks_clear, at_height, bore, loft_of, placed};
use crate::{Body, BodyError, Finding, FindingPlace, Model, Plate, Severity};
use develop::Trace;
use geom::{Point2, Point3, Vector2};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let ends = slope::ends(model)?;
    let mut wrapper = wrapper(model)?;
    let etched = model
        .metal
        .process
        .half_etch_depth
        .at(wrapper.sheet.thickness());
    let loft = loft_of(&wrapper);
    let sloped = (section::rear_x(model) - ends.full_height.1) / loft.axial_length();
    let (crown, clear) = (loft.datum(), (0.0, sloped));
    add_ticks_clear(&mut wrapper, &[("centre-line", crown)], clear, 1.0, etched);
    if model
        .safety_valves
        .as_ref()
        .is_some_and(|valves| valves.x >= front_x(model))
    {
        bore_safety_valves(model, &mut wrapper)?;
    }
    mark_washouts(model, &mut wrapper)?;
    slope::trim(model, &ends, &mut wrapper)?;
    body.plates.push(wrapper);
    formers::add_formers(model, &ends, body)?;
    formers::add_spacers(model, &ends, body)?;
    ends::add_throat(model, &ends, body)?;
    ends::add_backhead(model, &ends, body)?;
    body.blocks.push(formers::soldering_block(model, &ends)?);
    body.findings.extend(barrel_inside(model)?);
    derive(model, body)?;
    formers::stand_on_footplate(model, body)
}

/// Lengths that follow from the drawing.
fn derive(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let f = model.firebox();
    let back = section::rear_x(model);
    body.derive("firebox.back", "x of the firebox's back", back);
    for (end, name) in [(&f.front, "front"), (&f.rear, "rear")] {
        let section = section::outside_section(model, end, name)?;
        body.derive(
            &format!("firebox.{name}.half_perimeter"),
            &format!("Half perimeter over the outside, {name}, crown to foot"),
            section.length() / 2.0,
        );
    }
    Ok(())
}

fn wrapper(model: &Model) -> Result<Plate, BodyError> {
    let sheet = model.metal.sheet("firebox");
    let loft = section::surface(model, -sheet.z_high)?;
    Ok(WrapperOf {
        id: "firebox-wrapper",
        assembly: "firebox",
        title: "Firebox wrapper",
        sheet,
        names: ARCH,
    }
    .plate(loft))
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

/// Half-etched rings where washout plugs go, left and right.
fn mark_washouts(model: &Model, wrapper: &mut Plate) -> Result<(), BodyError> {
    for (i, washout) in model.firebox().washouts.iter().enumerate() {
        let path = format!("firebox.washouts[{i}]");
        let v = (washout.x - front_x(model)) / model.firebox().length;
        if !(0.0..=1.0).contains(&v) {
            return Err(BodyError::Shape {
                path,
                sentence: "the washout plug is not on the firebox".to_owned(),
                help: format!(
                    "the firebox reaches from {:.2} to {:.2} mm on the model",
                    front_x(model),
                    section::rear_x(model)
                ),
            });
        }
        for (word, left) in [("left", true), ("right", false)] {
            let centre = placed(
                at_height(loft_of(wrapper), left, washout.height, v),
                &path,
                "the washout plug",
            )?;
            let name = format!("washout-{word}-{}", i + 1);
            witness_ring(model, wrapper, &name, centre, washout.diameter);
        }
    }
    Ok(())
}

/// Says so where the barrel comes through the box at the throat: above the boiler's axis every point
/// of the box lies outside the circle of the cladding.
fn barrel_inside(model: &Model) -> Result<Option<Finding>, BodyError> {
    let (radius, axis) = section::throat(model);
    let outside = section::outside_section(model, &model.firebox().front, "front")?;
    let centre = Point2::new(0.0, axis);
    // Fine enough to be exact to a hundredth of a micron.
    let nearest = outside
        .flattened(1e-5)
        .into_iter()
        .filter(|p| p.y >= axis)
        .min_by(|p, q| (p - centre).norm().total_cmp(&(q - centre).norm()));
    let Some(nearest) = nearest else {
        return Ok(None);
    };
    let gap = (nearest - centre).norm() - radius;
    Ok((gap < 0.0).then(|| Finding {
        path: "firebox.front".to_owned(),
        rule: "barrel-outside-firebox",
        severity: Severity::Warning,
        found: gap,
        limit: 0.0,
        at: FindingPlace {
            plate: Some("firebox-wrapper".to_owned()),
            flat: None,
            body: Some(Point3::new(front_x(model), nearest.x, nearest.y)),
        },
        sentence: format!(
            "at the throat the barrel's cladding stands {:.2} mm outside the firebox; above the boiler's axis the box must \
             enclose it",
            -gap
        ),
    }))
}
