//! What side tanks cannot be, and where they come too near to the boiler.

use crate::laminations::recess;
use crate::{Body, BodyError, Finding, FindingPlace, Model, Severity};
use geom::Point3;

/// Refuses tanks without room for their plates.
pub(super) fn refuse_impossible(model: &Model) -> Result<(), BodyError> {
    let t = model.side_tanks();
    let sheet = model.metal.thickness("tanks");
    let walls = 2.0 * sheet + recess(model);
    let wide = t.over / 2.0 - t.inner;
    let refuse = |key: &str, sentence: String, help: &str| {
        Err(BodyError::Shape {
            path: format!("side_tanks.{key}"),
            sentence,
            help: help.to_owned(),
        })
    };
    if wide <= walls + 2.0 * sheet {
        return refuse(
            "inner",
            format!("the tank is {wide:.2} mm wide on the model"),
            "the inner face must lie nearer to the centre line than half the width over tanks",
        );
    }
    let length = model.tanks_end() - t.from;
    if length <= 2.0 * (walls + sheet) {
        return refuse(
            "from",
            format!("the tanks are {length:.2} mm long on the model"),
            "the tanks begin before the cab front; both are measured from the front buffer-beam face",
        );
    }
    if t.top - t.top_recess - model.footplate.top <= 4.0 * sheet {
        return refuse(
            "top",
            "the tank's top does not stand over the footplate".to_owned(),
            "the top is measured above rail, and its plate lies top_recess below it",
        );
    }
    if let Some(radius) = t.front_radius {
        // Both skins go round the corner, and the top plate's corner within them.
        let (least, most) = (recess(model) + 1.5 * sheet, wide.min(length) - sheet);
        if !(radius > least && radius < most) {
            return refuse(
                "front_radius",
                format!("the tank's front corner of {radius:.2} mm on the model cannot be rolled"),
                &format!("it must lie between {least:.2} and {most:.2} mm on the model"),
            );
        }
    }
    Ok(())
}

/// Says so where the inner plate comes too near to the cladding.
pub(super) fn note_boiler_gap(model: &Model, body: &mut Body) {
    let t = model.side_tanks();
    let b = model.boiler();
    let end = b.end().min(model.tanks_end());
    let (radius, axis) = (b.radius(end), b.axis_height(end));
    // The tank's inner plate reaches from the footplate to its top; level with the pitch the barrel is widest.
    let nearest = if t.top >= axis {
        radius
    } else {
        (radius * radius - (axis - t.top) * (axis - t.top))
            .max(0.0)
            .sqrt()
    };
    let gap = t.inner - nearest;
    // Common practice, no source.
    let limit = model.scale.pick(0.3, 0.5);
    if gap < limit {
        body.findings.push(Finding {
            path: "side_tanks.inner".to_owned(),
            rule: "tank-near-boiler",
            severity: if gap < 0.0 { Severity::Error } else { Severity::Warning },
            found: gap,
            limit,
            at: FindingPlace {
                plate: Some("tank-inner-left".to_owned()),
                flat: None,
                body: Some(Point3::new(end, t.inner, axis.min(t.top))),
            },
            sentence: format!("the tank's inner plate stands {gap:.2} mm from the cladding; {limit:.1} mm and more builds well"),
        });
    }
}
