//! Wheels, axles and rods, for looking at.

use super::frames::shaft;
use super::side_plate::{hand, sign};
use crate::model::specs::{AxleKind, AxleSpec, End};
use crate::upright::rounded_rectangle;
use crate::{Body, BodyError, Fitting, FittingShape, Look, Model};
use geom::math::TAU;
use geom::{Outline, Placement, Point2, Point3, Vector3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    for (i, axle) in model.running.axles.iter().enumerate() {
        for left in [true, false] {
            body.fittings.extend(wheel(model, axle, i + 1, left));
        }
        body.fittings.push(axle_shaft(model, axle, i + 1));
    }
    rods(model, body);
    derive(model, body);
    super::fouling::check(model, body);
    Ok(())
}

/// Wheelbases, overhangs and the length over buffers.
fn derive(model: &Model, body: &mut Body) {
    let f = &model.footplate;
    let over = End::BOTH
        .iter()
        .filter(|end| f.drag_beam_at(**end).is_none())
        .count();
    body.derive(
        "buffers.over",
        "Length over buffers",
        f.length + over as f64 * model.buffers.projection,
    );
    if let (Some(first), Some(last)) = (model.running.axles.first(), model.running.axles.last()) {
        body.derive(
            "axles.front_overhang",
            "Front end to the first axle",
            first.x,
        );
        body.derive(
            "axles.rear_overhang",
            "Last axle to the rear end",
            f.length - last.x,
        );
    }
    for (i, pair) in model.running.axles.windows(2).enumerate() {
        body.derive(
            &format!("axles[{}].behind", i + 1),
            &format!("Axle {} behind the one before it", i + 2),
            pair[1].x - pair[0].x,
        );
    }
    let span = |kinds: &[AxleKind]| {
        let all = model.running.axles.iter();
        let own: Vec<f64> = all
            .filter(|a| kinds.contains(&a.kind))
            .map(|a| a.x)
            .collect();
        (own.len() > 1).then(|| own[own.len() - 1] - own[0])
    };
    const ALL: [AxleKind; 5] = [
        AxleKind::Coupled,
        AxleKind::Carrying,
        AxleKind::Bogie,
        AxleKind::Pony,
        AxleKind::Radial,
    ];
    for (path, title, kinds) in [
        ("axles.wheelbase", "Wheelbase, total", &ALL[..]),
        ("axles.coupled_wheelbase", "Wheelbase, coupled", &ALL[..1]),
        (
            "axles.bogie_wheelbase",
            "Wheelbase of the bogie",
            &ALL[2..3],
        ),
    ] {
        if let Some(mm) = span(kinds) {
            body.derive(path, title, mm);
        }
    }
}

/// Coupling rods and crank pins: left pins at their lowest, right pins a quarter turn behind, rearward.
fn rods(model: &Model, body: &mut Body) {
    let r = &model.running;
    let coupled: Vec<&AxleSpec> = r
        .axles
        .iter()
        .filter(|a| a.kind == AxleKind::Coupled)
        .collect();
    let (Some(first), Some(last)) = (coupled.first(), coupled.last()) else {
        return;
    };
    let alike = coupled
        .iter()
        .all(|a| (a.diameter - first.diameter).abs() < 1e-9);
    if !alike || r.throw >= 0.45 * first.diameter {
        return;
    }
    let w = model.wheels.dimensions();
    // Rods stand this far out from the tyres and are this thick: common practice, no source.
    let (out, thickness) = (model.scale.pick(0.5, 0.8), model.scale.pick(0.8, 1.3));
    let inner = w.back_to_back / 2.0 + w.tyre_width + out;
    for left in [true, false] {
        let (word, sign) = (hand(left), sign(left));
        let (dx, dz) = if left {
            (0.0, -r.throw)
        } else {
            (r.throw, 0.0)
        };
        let z = first.diameter / 2.0 + dz;
        let half = r.rod_depth / 2.0;
        if coupled.len() > 1 {
            body.fittings.push(Fitting {
                id: format!("coupling-rod-{word}"),
                assembly: "running-gear",
                look: Look::Steel,
                shape: FittingShape::Slab {
                    placement: Placement::new(
                        Point3::new(0.0, sign * (inner + thickness / 2.0), 0.0),
                        Vector3::x(),
                        Vector3::z(),
                    ),
                    outline: rounded_rectangle(
                        Point2::new(first.x + dx - half, z - half),
                        Point2::new(last.x + dx + half, z + half),
                        0.99 * half,
                    ),
                    holes: Vec::new(),
                    low: -thickness / 2.0,
                    high: thickness / 2.0,
                },
            });
        }
        for axle in &coupled {
            let foot = w.back_to_back / 2.0 + w.tyre_width * 0.5;
            let length = inner + 1.4 * thickness - foot;
            body.fittings.push(Fitting {
                id: format!("crank-pin-{word}-{}", number_of(model, axle)),
                assembly: "running-gear",
                look: Look::Steel,
                shape: FittingShape::Turned {
                    foot: Point3::new(axle.x + dx, sign * foot, z),
                    axis: Vector3::y() * sign,
                    profile: Outline::rectangle(
                        Point2::new(0.0, 0.0),
                        Point2::new(model.scale.pick(0.5, 0.8), length),
                    ),
                },
            });
        }
    }
}

fn number_of(model: &Model, axle: &AxleSpec) -> usize {
    let own = model.running.axles.iter().position(|a| a.x == axle.x);
    own.map_or(0, |i| i + 1)
}

/// Tyre with flange, and the wheel's spokes and boss inside it.
fn wheel(model: &Model, axle: &AxleSpec, number: usize, left: bool) -> Vec<Fitting> {
    let w = model.wheels.dimensions();
    let (word, sign) = (hand(left), sign(left));
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
