//! The barrel: a wrapper tapering about a level axis, its ring formers and the strip behind its seam.

use crate::error::AtKey;
use crate::fit::{face_joint, former_joint};
use crate::model::specs::BoilerSpec;
use crate::upright::{Facing, FlatPlateOf, drill};
use crate::wrapper::{
    ARCH, TUBE, WrapperOf, add_ticks, at_height, bore, loft_of, loft_panel, placed, round_hole,
};
use crate::{
    Body, BodyError, Face, Finding, FindingPlace, Model, Plate, Precedence, Purpose, Region,
    Severity,
};
use develop::{Loft, LoftFrame, SurfacePoint, Trace};
use geom::math::{PI, TAU};
use geom::{Chain, Outline, Point2, Point3, Vector2};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let mut wrapper = wrapper(model)?;
    add_bands(model, &mut wrapper, body)?;
    if model.dome.is_some() {
        bore_dome(model, &mut wrapper)?;
    }
    drill_sides(model, &mut wrapper)?;
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
    add_ticks(&mut wrapper, &lines, model.boiler().band_inset, etched);
    let former = |end: RingEnd| ring_former(model, end);
    let (front, rear) = (former(RingEnd::Front), former(RingEnd::Rear));
    let strip = joint_strip(model)?;
    for (ring, edge) in [(&front, "front"), (&rear, "rear")] {
        body.joints
            .push(former_joint(model, (&wrapper, edge), (ring, "rim"), TAU));
    }
    body.joints
        .push(face_joint(model, (&strip, "outside"), (&wrapper, "inside")));
    for inside in [&front, &rear, &strip] {
        let why = "the wrapper is closed over the formers and the strip behind its seam";
        body.precedences
            .push(Precedence::new(&inside.id, &wrapper.id, why));
    }
    warn_of_holes_on_bands(&wrapper, body);
    body.plates.extend([wrapper, front, rear, strip]);
    Ok(())
}

/// Outside radius of the cladding at `x` (mm), carried on beyond the ends of the barrel.
pub(super) fn outside_radius(boiler: &BoilerSpec, x: f64) -> f64 {
    let share = (x - boiler.from) / boiler.length;
    (boiler.front_diameter + (boiler.rear_diameter - boiler.front_diameter) * share) / 2.0
}

/// A full ring from its lowest point round by the right side, the outside on the left of travel.
fn ring(centre_height: f64, radius: f64) -> Chain {
    Chain::starting(Point2::new(0.0, centre_height - radius), PI)
        .arc(radius, -TAU)
        .finish()
}

fn wrapper(model: &Model) -> Result<Plate, BodyError> {
    let b = model.boiler();
    let sheet = model.metal.boiler_sheet();
    let neutral = |diameter: f64| ring(b.pitch, diameter / 2.0 - sheet.z_high);
    for (key, diameter) in [
        ("front_diameter", b.front_diameter),
        ("rear_diameter", b.rear_diameter),
    ] {
        if diameter <= 4.0 * sheet.thickness() {
            return Err(BodyError::Shape {
                path: format!("boiler.{key}"),
                sentence: format!(
                    "a boiler of {diameter:.2} mm cannot be rolled from {:.2} mm sheet",
                    sheet.thickness()
                ),
                help: "give the diameter over the cladding of the full-size engine".to_owned(),
            });
        }
    }
    let loft = Loft::between(
        LoftFrame::along_engine(b.from),
        &neutral(b.front_diameter),
        &neutral(b.rear_diameter),
        b.length,
        sheet.thickness(),
        sheet.bend_rule,
    )
    .at_key("boiler")?;
    Ok(WrapperOf {
        id: "boiler-wrapper",
        assembly: "boiler",
        title: "Boiler wrapper",
        sheet,
        names: TUBE,
    }
    .plate(loft))
}

/// Bands left proud, evenly spaced from end to end.
fn add_bands(model: &Model, wrapper: &mut Plate, body: &mut Body) -> Result<(), BodyError> {
    let b = model.boiler();
    let proud = wrapper.sheet.proud_height();
    if proud <= 0.0 {
        return Ok(());
    }
    let (first, last) = (b.band_inset, b.length - b.band_inset - b.band_width);
    if last <= first {
        return Err(BodyError::Shape {
            path: "boiler.band_inset".to_owned(),
            sentence: "the bands do not fit on the barrel".to_owned(),
            help: format!(
                "inset and width of the end bands must leave room on {:.2} mm",
                b.length
            ),
        });
    }
    // A whole number of pitches is not pushed to one more by rounding.
    let spaces = ((last - first) / b.band_pitch - 1e-6).ceil().max(1.0) as usize;
    let end = loft_of(wrapper).w_end();
    for i in 0..=spaces {
        let from = first + (last - first) * i as f64 / spaces as f64;
        wrapper.regions.push(Region {
            name: format!("band-{}", i + 1),
            purpose: Purpose::Band,
            face: Face::Outside,
            z_low: wrapper.sheet.z_low,
            z_high: wrapper.sheet.z_high + proud,
            boundary: loft_panel(
                (0.0, end),
                (from / b.length, (from + b.band_width) / b.length),
            ),
        });
    }
    let least = model
        .metal
        .process
        .least_bar
        .at(wrapper.sheet.stock_thickness);
    if b.band_width < least {
        body.findings.push(Finding {
            path: "boiler.band_width".to_owned(),
            rule: "band-too-narrow",
            severity: Severity::Warning,
            found: b.band_width,
            limit: least,
            at: FindingPlace {
                plate: Some(wrapper.id.clone()),
                flat: None,
                body: None,
            },
            sentence: format!(
                "the boiler bands are {:.2} mm wide; the etcher leaves bars of {least:.2} mm and more standing",
                b.band_width
            ),
        });
    }
    Ok(())
}

fn bore_dome(model: &Model, wrapper: &mut Plate) -> Result<(), BodyError> {
    let trace = Trace::bore(
        Vector2::y(),
        model.dome().x - model.boiler().from,
        Point2::origin(),
        model.dome().spigot / 2.0,
    );
    placed(
        bore(wrapper, "dome", trace, model.dome().spigot),
        "dome.x",
        "the dome's hole",
    )
}

/// Holes on both sides: handrail pillars on the level rail, washout plugs.
fn drill_sides(model: &Model, wrapper: &mut Plate) -> Result<(), BodyError> {
    let b = model.boiler();
    drill_pillars(model, wrapper, b.from, b.from + b.length)?;
    for (i, washout) in b.washouts.iter().enumerate() {
        let path = format!("boiler.washouts[{i}]");
        let at = (washout.x - b.from, washout.height);
        drill_pair(
            wrapper,
            &format!("washout-{{}}-{}", i + 1),
            at,
            washout.diameter,
            &path,
        )?;
    }
    Ok(())
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
        let v = along / loft.axial_length();
        if !(0.0..=1.0).contains(&v) {
            return Err(BodyError::Shape {
                path: path.to_owned(),
                sentence: format!(
                    "the hole at {along:.2} mm along {} is off its plate",
                    plate.title.to_lowercase()
                ),
                help: format!("the plate is {:.2} mm long", loft.axial_length()),
            });
        }
        let centre = placed(at_height(loft, left, height, v), path, "the hole")?;
        round_hole(plate, &name.replace("{}", side), centre, diameter);
    }
    Ok(())
}

/// Which end of the barrel.
#[derive(Clone, Copy, PartialEq)]
enum RingEnd {
    Front,
    Rear,
}

/// Radius inside a wrapper and its film of solder (mm).
fn inside_radius(model: &Model, x: f64) -> f64 {
    outside_radius(model.boiler(), x) - model.metal.boiler.1 - model.metal.film
}

/// A disc that holds the barrel round, its face flush with the end, its rim to the smaller face.
fn ring_former(model: &Model, end: RingEnd) -> Plate {
    let b = model.boiler();
    let sheet = model.metal.sheet("formers");
    let t = sheet.thickness();
    let rear_x = b.from + b.length;
    let (id, title, facing, face_x, inner_x) = match end {
        RingEnd::Front => (
            "boiler-former-front",
            "Boiler former, front",
            Facing::Front,
            b.from,
            b.from + t,
        ),
        RingEnd::Rear => (
            "boiler-former-rear",
            "Boiler former, rear",
            Facing::Rear,
            rear_x,
            rear_x - t,
        ),
    };
    // Etched walls are square: the smaller of the two faces decides.
    let radius = inside_radius(model, face_x).min(inside_radius(model, inner_x));
    let centre = Point2::new(0.0, b.pitch);
    let outline = Outline::circle(centre, radius);
    let mut plate = FlatPlateOf {
        id: id.to_owned(),
        assembly: "boiler",
        title: title.to_owned(),
        sheet,
        outside_origin: Point3::new(face_x, 0.0, 0.0),
        facing,
        outline: &outline,
        sides: &["rim", "rim"],
    }
    .plate();
    // Room for an iron and for screws; common practice, no source.
    drill(&mut plate, "access", centre, radius);
    tick_at_top(&mut plate, centre + Vector2::new(0.0, radius), model);
    plate
}

/// A half-etched tick just under the top of a former, to meet the centre line of its wrapper.
pub(super) fn tick_at_top(plate: &mut Plate, top: Point2, model: &Model) {
    use crate::wrapper::TICK;
    let margin = model.metal.process.least_bar.at(plate.sheet.thickness()) / 2.0;
    let low = Point2::new(top.x - TICK.0 / 2.0, top.y - margin - TICK.1);
    let high = Point2::new(top.x + TICK.0 / 2.0, top.y - margin);
    let depth = model
        .metal
        .process
        .half_etch_depth
        .at(plate.sheet.thickness());
    plate.regions.push(Region {
        name: "centre-line-top".to_owned(),
        purpose: Purpose::Mark,
        face: Face::Outside,
        z_low: plate.sheet.z_low,
        z_high: plate.sheet.z_high - depth,
        boundary: crate::flat_curves(&Outline::rectangle(low, high)),
    });
    plate.points.push(("crown".to_owned(), top));
}

/// The strip behind the seam, between the two formers.
fn joint_strip(model: &Model) -> Result<Plate, BodyError> {
    let b = model.boiler();
    let sheet = model.metal.sheet("joint_strip");
    let seat = model.metal.thickness("formers") + model.metal.film;
    let length = b.length - 2.0 * seat;
    let neutral = |x: f64| inside_radius(model, x) - sheet.z_high;
    let (front, rear) = (neutral(b.from + seat), neutral(b.from + b.length - seat));
    // One angle for both ends, so that the strip's edges lie along the barrel.
    let angle = 2.0 * b.strip_width / (front + rear);
    let arc = |radius: f64| {
        let start = Point2::new(
            radius * geom::math::sin(angle / 2.0),
            b.pitch - radius * geom::math::cos(angle / 2.0),
        );
        Chain::starting(start, PI + angle / 2.0)
            .arc(radius, -angle)
            .finish()
    };
    let loft = Loft::between(
        LoftFrame::along_engine(b.from + seat),
        &arc(front),
        &arc(rear),
        length,
        sheet.thickness(),
        sheet.bend_rule,
    )
    .at_key("boiler.joint_strip_width")?;
    let mut names = ARCH;
    names.sides = ("side-left", "side-right");
    names.corners = ["front-left", "rear-left", "front-right", "rear-right"];
    names.datum = ("front-seam", "rear-seam");
    Ok(WrapperOf {
        id: "boiler-joint-strip",
        assembly: "boiler",
        title: "Boiler joint strip",
        sheet,
        names,
    }
    .plate(loft))
}

/// A hole whose rim comes onto a band is hard to see and weakens the band.
fn warn_of_holes_on_bands(wrapper: &Plate, body: &mut Body) {
    let loft = loft_of(wrapper);
    for hole in &wrapper.holes {
        let SurfacePoint { v, .. } = loft.locate(hole.centre);
        let along = v * loft.axial_length();
        let radius = hole.diameter.unwrap_or(0.0) / 2.0;
        for band in wrapper
            .regions
            .iter()
            .filter(|r| r.purpose == Purpose::Band)
        {
            let Some(crate::Curve::Surface(Trace::Ruling { from, to, .. })) = band.boundary.first()
            else {
                continue;
            };
            let (low, high) = (from * loft.axial_length(), to * loft.axial_length());
            let gap = (low - along).max(along - high) - radius;
            if gap < 0.0 {
                body.findings.push(Finding {
                    path: format!("{}/{}", wrapper.id, hole.feature),
                    rule: "hole-on-band",
                    severity: Severity::Warning,
                    found: gap,
                    limit: 0.0,
                    at: FindingPlace {
                        plate: Some(wrapper.id.clone()),
                        flat: Some(hole.centre),
                        body: Some(wrapper.forming.place(hole.centre).point),
                    },
                    sentence: format!(
                        "the hole for {} cuts {} by {:.2} mm; move the hole or the bands",
                        hole.feature, band.name, -gap
                    ),
                });
            }
        }
    }
}
