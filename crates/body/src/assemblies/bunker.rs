//! The bunker: sides and back in one wrapper with rolled corners, and the strips of its flare.

use crate::error::AtKey;
use crate::fit::butt_joint;
use crate::rows::{even_row, lay_row};
use crate::wrapper::{ARCH, SideNames, WrapperOf, loft_of};
use crate::{Body, BodyError, Finding, FindingPlace, Model, Plate, Severity};
use develop::{Loft, LoftFrame, SurfacePoint};
use geom::math::{FRAC_PI_2, cos, sin};
use geom::{Chain, Point2, Point3, Vector3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let mut wrapper = wrapper(model)?;
    lay_rivets(model, &mut wrapper);
    let strips = [
        flare_strip(model, "left")?,
        flare_strip(model, "back")?,
        flare_strip(model, "right")?,
    ];
    for strip in &strips {
        body.joints
            .push(butt_joint(model, (strip, "foot"), (&wrapper, "top")));
    }
    if let Some(footplate) = body.plate("footplate") {
        let joint = butt_joint(model, (&wrapper, "bottom"), (footplate, "top"));
        body.joints.push(joint);
    }
    if let Some(back) = body.plate("cab-back") {
        let joint = butt_joint(model, (&wrapper, "end-left"), (back, "outside"));
        body.joints.push(joint);
    }
    body.findings.push(open_corner(model));
    derive_flare(model, body);
    body.plates.push(wrapper);
    body.plates.extend(strips);
    Ok(())
}

/// The flare is an arc that starts upright, so that it goes out by r(1 − cos a) and up by r·sin a.
fn derive_flare(model: &Model, body: &mut Body) {
    let b = model.bunker();
    let (out, up) = (
        b.flare_radius * (1.0 - cos(b.flare_angle)),
        b.flare_radius * sin(b.flare_angle),
    );
    body.derive("bunker.flare_out", "Flare, outwards", out);
    body.derive("bunker.flare_up", "Flare, upwards", up);
    body.derive(
        "bunker.height_over_flare",
        "Height over the flare above rail",
        b.top + up,
    );
}

/// In plan: from the left front end rearward, round the back, to the right front end.
fn plan(model: &Model) -> Chain {
    let b = model.bunker();
    let half = model.cab().over / 2.0;
    let side = b.back - model.cab().back - b.corner_radius;
    Chain::starting(Point2::new(model.cab().back, half), 0.0)
        .line(side)
        .arc(b.corner_radius, -FRAC_PI_2)
        .line(2.0 * (half - b.corner_radius))
        .arc(b.corner_radius, -FRAC_PI_2)
        .line(side)
        .finish()
}

/// Names of the bunker's sides: rulings run up from the footplate, travel goes from left to right.
const UPRIGHT: SideNames = SideNames {
    ends: ("bottom", "top"),
    sides: ("end-left", "end-right"),
    corners: [
        "bottom-left-end",
        "top-left-end",
        "bottom-right-end",
        "top-right-end",
    ],
    datum: ("bottom-back", "top-back"),
};

fn wrapper(model: &Model) -> Result<Plate, BodyError> {
    let b = model.bunker();
    let height = b.top - model.footplate.top;
    let side = b.back - model.cab().back - b.corner_radius;
    if side <= 0.0 || b.corner_radius >= model.cab().over / 2.0 {
        return Err(BodyError::Shape {
            path: "bunker.corner_radius".to_owned(),
            sentence: "the bunker's corners are larger than its sides".to_owned(),
            help: "check the bunker's back, the cab's back and the corner radius".to_owned(),
        });
    }
    if height <= 0.0 {
        return Err(BodyError::Shape {
            path: "bunker.top".to_owned(),
            sentence: "the bunker's top is below the footplate".to_owned(),
            help: "give the height above rail at which the flare starts".to_owned(),
        });
    }
    let sheet = model.metal.sheet("bunker");
    let neutral = plan(model)
        .offset(-sheet.z_high)
        .at_key("bunker.corner_radius")?;
    let loft = Loft::between(
        LoftFrame::upright(model.footplate.top),
        &neutral,
        &neutral,
        height,
        sheet.thickness(),
        sheet.bend_rule,
    )
    .at_key("bunker")?;
    Ok(WrapperOf {
        id: "bunker-wrapper",
        assembly: "bunker",
        title: "Bunker sides and back",
        sheet,
        names: UPRIGHT,
    }
    .plate(loft))
}

/// Rows along bottom, top and both ends.
fn lay_rivets(model: &Model, wrapper: &mut Plate) {
    let (spec, edge) = (&model.rivets.platework, model.rivets.edge);
    let loft = loft_of(wrapper).clone();
    let at = |w, v| loft.flat(SurfacePoint { w, v });
    let (first, last) = (at(0.0, 0.0), at(loft.w_end(), 1.0));
    let (low, high) = (
        Point2::new(first.x + edge, first.y + edge),
        Point2::new(last.x - edge, last.y - edge),
    );
    for (name, from, to) in [
        (
            "bottom",
            Point2::new(low.x, low.y),
            Point2::new(low.x, high.y),
        ),
        (
            "top",
            Point2::new(high.x, low.y),
            Point2::new(high.x, high.y),
        ),
        (
            "end-left",
            Point2::new(low.x, low.y),
            Point2::new(high.x, low.y),
        ),
        (
            "end-right",
            Point2::new(low.x, high.y),
            Point2::new(high.x, high.y),
        ),
    ] {
        lay_row(wrapper, name, spec, even_row(from, to, spec.pitch));
    }
}

/// The flare seen along the engine on the left: from its lip down to its foot, the outside on the left of travel.
fn flare_section(model: &Model, half_width: f64) -> Chain {
    let b = model.bunker();
    Chain::starting(Point2::new(half_width, b.top), FRAC_PI_2)
        .arc(b.flare_radius, -b.flare_angle)
        .finish()
        .reversed()
}

/// The strip of one side, from where the corner ends.
fn flare_strip(model: &Model, side: &str) -> Result<Plate, BodyError> {
    let b = model.bunker();
    let half = model.cab().over / 2.0;
    let sheet = model.metal.sheet("bunker");
    let corner = b.back - b.corner_radius;
    let (frame, section, length) = match side {
        "left" => (
            LoftFrame::along_engine(model.cab().back),
            flare_section(model, half),
            corner - model.cab().back,
        ),
        "right" => (
            LoftFrame::along_engine(model.cab().back),
            flare_section(model, half).mirrored_in_y_axis().reversed(),
            corner - model.cab().back,
        ),
        _ => (
            LoftFrame {
                origin: Point3::new(0.0, half - b.corner_radius, 0.0),
                axis: -Vector3::y(),
                across: Vector3::x(),
                up: Vector3::z(),
            },
            flare_section(model, b.back),
            2.0 * (half - b.corner_radius),
        ),
    };
    let neutral = section
        .offset(-sheet.z_high)
        .at_key("bunker.flare_radius")?;
    let loft = Loft::between(
        frame,
        &neutral,
        &neutral,
        length,
        sheet.thickness(),
        sheet.bend_rule,
    )
    .at_key("bunker.flare_radius")?;
    let mut names = ARCH;
    names.sides = if side == "right" {
        ("foot", "lip")
    } else {
        ("lip", "foot")
    };
    names.corners = if side == "right" {
        ["front-foot", "rear-foot", "front-lip", "rear-lip"]
    } else {
        ["front-lip", "rear-lip", "front-foot", "rear-foot"]
    };
    names.datum = ("front-middle", "rear-middle");
    Ok(WrapperOf {
        id: &format!("bunker-flare-{side}"),
        assembly: "bunker",
        title: &format!("Bunker flare, {side}"),
        sheet,
        names,
    }
    .plate(loft))
}

/// A flared corner cannot be made from flat sheet; says by how much its edge would have to stretch.
fn open_corner(model: &Model) -> Finding {
    let b = model.bunker();
    let out = b.flare_radius * (1.0 - cos(b.flare_angle));
    let stretch = out / b.corner_radius;
    Finding {
        path: "bunker.flare_radius".to_owned(),
        rule: "not-developable",
        severity: Severity::Note,
        found: b.corner_radius + out,
        limit: b.corner_radius,
        at: FindingPlace {
            plate: Some("bunker-flare-back".to_owned()),
            flat: None,
            body: Some(Point3::new(
                b.back,
                model.cab().over / 2.0 - b.corner_radius,
                b.top,
            )),
        },
        sentence: format!(
            "the flared corner of the bunker cannot be rolled from flat sheet: its lip is {:.0} % longer than its foot; \
             the flare is made as three strips and both corners are left open for a cast or printed piece",
            100.0 * stretch
        ),
    }
}
