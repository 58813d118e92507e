//! What must give way to the wheels of the standard chosen.

use super::frames::shaft;
use crate::model::specs::{AxleKind, AxleSpec};
use crate::{Body, Finding, FindingPlace, Model, Severity};
use geom::Point3;

/// A wrapper whose feet stand on the footplate between the wheels.
struct Standing {
    plate: &'static str,
    what: &'static str,
    path: &'static str,
    rule: &'static str,
}

const STANDING: [Standing; 2] = [
    Standing {
        plate: "firebox-wrapper",
        what: "firebox",
        path: "firebox.bottom_half_width",
        rule: "wheel-fouls-firebox",
    },
    Standing {
        plate: "smokebox-wrapper",
        what: "smokebox",
        path: "smokebox.waist_half_width",
        rule: "wheel-fouls-smokebox",
    },
];

pub(super) fn check(model: &Model, body: &mut Body) {
    for standing in &STANDING {
        check_feet(model, body, standing);
    }
    check_frames(model, body);
    check_rods(model, body);
}

/// How far a wheel reaches each way along the engine at a height; `None` if it stays below.
fn reach_at(model: &Model, axle: &AxleSpec, height: f64) -> Option<f64> {
    let radius = axle.diameter / 2.0 + model.wheels.dimensions().flange_depth;
    let rise = height - axle.diameter / 2.0;
    (rise < radius).then(|| ((radius - rise) * (radius + rise)).max(0.0).sqrt())
}

/// Extent along the engine and half width over the outside of a wrapper's feet, if they are on the footplate.
pub(super) fn feet(model: &Model, body: &Body, id: &str) -> Option<(f64, f64, f64)> {
    let plate = body.plate(id)?;
    let foot = |name: &str| {
        let flat = plate.point(name).ok()?;
        Some(plate.forming.place(flat).at_height(plate.sheet.z_high))
    };
    let (front, rear) = (foot("front-left-foot")?, foot("rear-left-foot")?);
    let stands = |p: Point3| (p.z - model.footplate.top_at(p.x)).abs() < 0.5;
    (stands(front) && stands(rear)).then(|| (front.x, rear.x, front.y.max(rear.y)))
}

/// Where a wrapper stands beside wheels, it must pass between their backs.
fn check_feet(model: &Model, body: &mut Body, standing: &Standing) {
    let Some((from, to, half)) = feet(model, body, standing.plate) else {
        return;
    };
    let back = model.wheels.dimensions().back_to_back / 2.0;
    let gap = back - half;
    if gap > 0.0 {
        return;
    }
    for (i, axle) in model.running.axles.iter().enumerate() {
        // It is looked at from the footplate up: the wheel there reaches half a chord each way.
        let height = model.footplate.top_at(axle.x.clamp(from, to));
        let Some(reach) = reach_at(model, axle, height) else {
            continue;
        };
        if axle.x + reach <= from || axle.x - reach >= to {
            continue;
        }
        body.findings.push(Finding {
            path: standing.path.to_owned(),
            rule: standing.rule,
            severity: Severity::Error,
            found: gap,
            limit: 0.0,
            at: FindingPlace {
                plate: Some(standing.plate.to_owned()),
                flat: None,
                body: Some(Point3::new(axle.x.clamp(from, to), back, height)),
            },
            sentence: format!(
                "the {what} is {:.2} mm wide at the footplate and the wheels of axle {} stand {:.2} mm apart ({} wheels): \
                 they foul by {:.2} mm each side; narrow the foot of the {what} or cut it away for the wheels",
                2.0 * half,
                i + 1,
                2.0 * back,
                model.wheels.word(),
                -gap,
                what = standing.what,
            ),
        });
    }
}

/// Frames must stand between the backs of the wheels with their float, a tender's outside frames outside them.
fn check_frames(model: &Model, body: &mut Body) {
    let w = model.wheels.dimensions();
    let float = model.scale.pick(0.15, 0.25);
    let mut found = |path: &str, plate: &str, gap: f64, what: &str| {
        if gap >= float {
            return;
        }
        body.findings.push(Finding {
            path: path.to_owned(),
            rule: "wheel-fouls-frames",
            severity: if gap <= 0.0 { Severity::Error } else { Severity::Warning },
            found: gap,
            limit: float,
            at: FindingPlace {
                plate: Some(plate.to_owned()),
                flat: None,
                body: model.running.axles.first().map(|axle| {
                    Point3::new(axle.x, w.back_to_back / 2.0, axle.diameter / 2.0)
                }),
            },
            sentence: format!(
                "{what} {gap:.2} mm from the {} wheels and {float:.2} mm of side float is wanted; move the frames or thin the bearings",
                model.wheels.word()
            ),
        });
    };
    let inside = (w.back_to_back - w.over_frames) / 2.0;
    found("wheels", "frame-left", inside, "the frames stand");
    if let Some(outside) = &model.running.outside {
        let t = model.metal.thickness("frames");
        let gap = outside.over / 2.0 - t - w.back_to_back / 2.0 - w.tyre_width;
        found(
            "outside_frames.over",
            "outside-frame-left",
            gap,
            "the outside frames stand",
        );
    }
}

/// Coupling rods at their highest must pass under the footplate, or under a small splasher.
fn check_rods(model: &Model, body: &mut Body) {
    let r = &model.running;
    let least = model.scale.pick(0.5, 0.8);
    for (i, axle) in r.axles.iter().enumerate() {
        let covered = model
            .splashers
            .iter()
            .any(|s| s.axle == i + 1 && s.kind == crate::model::specs::SplasherKind::Rods);
        if axle.kind != AxleKind::Coupled || covered || axle.diameter / 2.0 < shaft(model) {
            continue;
        }
        let under = super::footplate::underside_at(model, axle.x);
        let gap = under - (axle.diameter / 2.0 + r.throw + r.rod_depth / 2.0);
        if gap >= least {
            continue;
        }
        body.findings.push(Finding {
            path: "coupling_rods.throw".to_owned(),
            rule: "rods-near-footplate",
            severity: if gap <= 0.0 { Severity::Error } else { Severity::Warning },
            found: gap,
            limit: least,
            at: FindingPlace {
                plate: Some("footplate".to_owned()),
                flat: None,
                body: Some(Point3::new(axle.x, 0.0, under)),
            },
            sentence: format!(
                "the coupling rods on axle {} pass {gap:.2} mm under the footplate and {least:.2} mm is wanted; \
                 add a splasher of kind \"rods\", or check the throw of the cranks",
                i + 1
            ),
        });
    }
}
