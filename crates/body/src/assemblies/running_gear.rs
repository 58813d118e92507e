//! Frames and wheels, for looking at, and whether the body clears the wheels.

use crate::model::specs::AxleSpec;
use crate::{Body, BodyError, Finding, FindingPlace, Fitting, FittingShape, Look, Model, Severity};
use geom::math::TAU;
use geom::{Outline, Placement, Point2, Point3, Vector3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    for left in [true, false] {
        body.fittings.push(frame(model, left));
    }
    for (i, axle) in model.running.axles.iter().enumerate() {
        for left in [true, false] {
            body.fittings.extend(wheel(model, axle, i + 1, left));
        }
        body.fittings.push(axle_shaft(model, axle, i + 1));
    }
    if model.firebox.is_some() {
        check_wheels(model, body);
    }
    Ok(())
}

fn hand(left: bool) -> (&'static str, f64) {
    if left { ("left", 1.0) } else { ("right", -1.0) }
}

/// A frame plate for the wheels chosen, with a hole at each axle.
fn frame(model: &Model, left: bool) -> Fitting {
    let r = &model.running;
    let (word, sign) = hand(left);
    let half = model.wheels.dimensions().over_frames / 2.0;
    let thickness = r.frame_thickness.min(half / 4.0);
    let beam = model.metal.thickness("beams");
    let top = r
        .frame_top
        .min(model.footplate.top - model.metal.thickness("footplate"));
    let outline = Outline::rectangle(
        Point2::new(beam, r.frame_bottom),
        Point2::new(model.footplate.length - beam, top),
    );
    let holes = r
        .axles
        .iter()
        .filter(|axle| axle.diameter / 2.0 - shaft(model) > r.frame_bottom)
        .map(|axle| Outline::circle(Point2::new(axle.x, axle.diameter / 2.0), shaft(model)))
        .collect();
    Fitting {
        id: format!("frame-{word}"),
        assembly: "running-gear",
        look: Look::Dark,
        shape: FittingShape::Slab {
            placement: Placement::new(
                Point3::new(0.0, sign * half, 0.0),
                Vector3::x(),
                Vector3::z(),
            ),
            outline,
            holes,
            // The normal x × z points to the engine's right.
            low: if left { 0.0 } else { -thickness },
            high: if left { thickness } else { 0.0 },
        },
    }
}

/// Radius of an axle (mm): common practice, no source.
fn shaft(model: &Model) -> f64 {
    model.scale.pick(1.5, 2.4)
}

/// Tyre with flange, and the wheel's spokes and boss inside it.
fn wheel(model: &Model, axle: &AxleSpec, number: usize, left: bool) -> Vec<Fitting> {
    let w = model.wheels.dimensions();
    let (word, sign) = hand(left);
    let tread = axle.diameter / 2.0;
    let rim = 0.86 * tread;
    let foot = Point3::new(axle.x, sign * w.back_to_back / 2.0, tread);
    let flange_width = 0.35 * w.tyre_width;
    // Turned about the axle, heights outward from the back of the tyre.
    let tyre = Outline::polygon(&[
        Point2::new(rim, 0.0),
        Point2::new(tread + w.flange_depth, 0.0),
        Point2::new(tread + w.flange_depth, 0.4 * flange_width),
        Point2::new(tread, flange_width),
        Point2::new(tread, w.tyre_width),
        Point2::new(rim, w.tyre_width),
    ]);
    let tyre = Fitting {
        id: format!("wheel-{word}-{number}-tyre"),
        assembly: "running-gear",
        look: Look::Steel,
        shape: FittingShape::Turned {
            foot,
            axis: Vector3::y() * sign,
            profile: tyre,
        },
    };
    let centre = Fitting {
        id: format!("wheel-{word}-{number}-centre"),
        assembly: "running-gear",
        look: Look::Dark,
        shape: FittingShape::Slab {
            placement: Placement::new(foot, Vector3::x(), Vector3::z()),
            outline: Outline::circle(Point2::origin(), rim),
            holes: spoke_openings(rim),
            low: if left {
                -0.75 * w.tyre_width
            } else {
                0.25 * w.tyre_width
            },
            high: if left {
                -0.25 * w.tyre_width
            } else {
                0.75 * w.tyre_width
            },
        },
    };
    vec![tyre, centre]
}

/// Openings between spokes: four-sided, between a boss and the rim.
fn spoke_openings(rim: f64) -> Vec<Outline> {
    const SPOKES: usize = 12;
    let (boss, outer) = (0.28 * rim, 0.88 * rim);
    // Spokes taper a little outwards in angle; their width is a share of the rim.
    let half_spoke = |radius: f64| 0.045 * rim / radius;
    let on = |radius: f64, angle: f64| {
        let (s, c) = geom::math::sin_cos(angle);
        Point2::new(radius * c, radius * s)
    };
    (0..SPOKES)
        .map(|i| {
            let from = TAU * i as f64 / SPOKES as f64;
            let to = TAU * (i + 1) as f64 / SPOKES as f64;
            let middle = (from + to) / 2.0;
            Outline::polygon(&[
                on(boss, from + half_spoke(boss)),
                on(outer, from + half_spoke(outer)),
                on(outer * 1.02, middle),
                on(outer, to - half_spoke(outer)),
                on(boss, to - half_spoke(boss)),
            ])
        })
        .collect()
}

fn axle_shaft(model: &Model, axle: &AxleSpec, number: usize) -> Fitting {
    let w = model.wheels.dimensions();
    let half = w.back_to_back / 2.0 + 0.9 * w.tyre_width;
    let radius = shaft(model);
    Fitting {
        id: format!("axle-{number}"),
        assembly: "running-gear",
        look: Look::Steel,
        shape: FittingShape::Turned {
            foot: Point3::new(axle.x, 0.0, axle.diameter / 2.0),
            axis: Vector3::y(),
            profile: Outline::rectangle(Point2::new(0.0, -half), Point2::new(radius, half)),
        },
    }
}

/// Where the lower firebox stands beside wheels, it must pass between their backs.
fn check_wheels(model: &Model, body: &mut Body) {
    let f = model.firebox();
    let from = super::firebox::front_x(model);
    let to = from + f.length;
    let back = model.wheels.dimensions().back_to_back / 2.0;
    for (i, axle) in model.running.axles.iter().enumerate() {
        let radius = axle.diameter / 2.0 + model.wheels.dimensions().flange_depth;
        // The box is looked at from the footplate up: the wheel there reaches half a chord each way.
        let rise = model.footplate.top - axle.diameter / 2.0;
        if rise >= radius {
            continue;
        }
        let half = ((radius - rise) * (radius + rise)).sqrt();
        if axle.x + half <= from || axle.x - half >= to {
            continue;
        }
        let gap = back - f.bottom_half_width;
        if gap <= 0.0 {
            body.findings.push(Finding {
                path: "firebox.bottom_half_width".to_owned(),
                rule: "wheel-fouls-firebox",
                severity: Severity::Error,
                found: gap,
                limit: 0.0,
                at: FindingPlace {
                    plate: Some("firebox-wrapper".to_owned()),
                    flat: None,
                    body: Some(Point3::new(axle.x.clamp(from, to), back, model.footplate.top)),
                },
                sentence: format!(
                    "the firebox is {:.2} mm wide at the footplate and the wheels of axle {} stand {:.2} mm apart ({} wheels): \
                     they foul by {:.2} mm each side; narrow the lower firebox or cut it away for the wheels",
                    2.0 * f.bottom_half_width,
                    i + 1,
                    2.0 * back,
                    model.wheels.word(),
                    -gap
                ),
            });
        }
    }
}
