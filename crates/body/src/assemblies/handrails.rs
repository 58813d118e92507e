//! Handrails for looking at: a level rail each side on pillars that reach out to it.

use super::seat::Seats;
use crate::error::AtKey;
use crate::model::specs::HandrailSpec;
use crate::{Body, BodyError, Fitting, FittingShape, Look, Model};
use geom::math::{PI, asin};
use geom::{Arc, Chain, Outline, Point2, Point3, Segment, Vector3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let Some(rails) = &model.handrails else {
        return Ok(());
    };
    let least = 1.25 * rails.rail_diameter;
    if !(rails.stand_off >= least) {
        return Err(BodyError::Shape {
            path: "handrails.stand_off".to_owned(),
            sentence: format!(
                "the knobs of a rail {:.2} mm from the plate would cut into it",
                rails.stand_off
            ),
            help: format!("{least:.2} mm and more is wanted for the rail's diameter"),
        });
    }
    let seats = Seats::of(model, 0.0)?;
    let mut feet = Vec::new();
    for (i, &x) in rails.pillars.iter().enumerate() {
        let Some(out) = seats.half_width(x, rails.height).filter(|out| *out > 0.0) else {
            return Err(BodyError::Shape {
                path: format!("handrails.pillars[{i}]"),
                sentence: format!(
                    "there is nothing at {x:.2} mm along and {:.2} mm up for the pillar to stand on",
                    rails.height
                ),
                help:
                    "pillars stand on the smokebox, the boiler and the firebox, beside their tops"
                        .to_owned(),
            });
        };
        feet.push((x, out));
    }
    let ends = feet
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |e, (x, _)| {
            (e.0.min(*x), e.1.max(*x))
        });
    let Some(widest) = feet.iter().map(|(_, out)| *out).max_by(f64::total_cmp) else {
        return Ok(());
    };
    // The rail is straight: the longest pillar stands where the surface is farthest in.
    let rail = widest + rails.stand_off;
    for (hand, side) in [("left", 1.0), ("right", -1.0)] {
        for (i, (x, out)) in feet.iter().enumerate() {
            body.fittings.push(Fitting {
                id: format!("handrail-pillar-{hand}-{}", i + 1),
                assembly: assembly_at(model, *x),
                shape: FittingShape::Turned {
                    foot: Point3::new(*x, side * out, rails.height),
                    axis: Vector3::y() * side,
                    profile: pillar(model, rails, rail - out)?,
                },
                look: Look::Steel,
            });
        }
        if ends.1 > ends.0 {
            let over = 1.5 * rails.rail_diameter;
            body.fittings.push(Fitting {
                id: format!("handrail-{hand}"),
                assembly: "boiler",
                shape: FittingShape::Turned {
                    foot: Point3::new(ends.0 - over, side * rail, rails.height),
                    axis: Vector3::x(),
                    profile: Outline::rectangle(
                        Point2::new(0.0, 0.0),
                        Point2::new(rails.rail_diameter / 2.0, ends.1 - ends.0 + 2.0 * over),
                    ),
                },
                look: Look::Steel,
            });
        }
    }
    body.derive(
        "handrails.rail_half_width",
        "Handrail from the centre line of the engine",
        rail,
    );
    for (i, (_, out)) in feet.iter().enumerate() {
        body.derive(
            &format!("handrails.pillar_length[{i}]"),
            &format!(
                "Handrail pillar {}, from the plate to the middle of the rail",
                i + 1
            ),
            rail - out,
        );
    }
    Ok(())
}

fn assembly_at(model: &Model, x: f64) -> &'static str {
    let b = model.boiler();
    if x < b.from {
        "smokebox"
    } else if x < b.end() {
        "boiler"
    } else {
        "firebox"
    }
}

/// A spigot through the plate, a collar, a shank and the knob that holds the rail, `length` from the
/// plate to the middle of the rail (mm).
fn pillar(model: &Model, rails: &HandrailSpec, length: f64) -> Result<Outline, BodyError> {
    // Shapes of the trade's turned knobs, chosen by eye.
    let knob = 0.95 * rails.rail_diameter;
    let neck = 0.4 * rails.rail_diameter;
    let collar = 0.75 * rails.rail_diameter;
    let spigot = (0.45 * rails.pillar_hole).min(neck).max(1e-3);
    let through = 2.0 * model.metal.thickness("smokebox");
    // The knob is a ball from where the neck meets it round to the far pole.
    let half = asin(neck / knob);
    let ball_from = length - knob * geom::math::cos(half);
    let thick = (0.3 * rails.rail_diameter).min(0.3 * ball_from);
    let points = [
        Point2::new(0.0, -through),
        Point2::new(spigot, -through),
        Point2::new(spigot, 0.0),
        Point2::new(collar, 0.0),
        Point2::new(collar, thick),
        Point2::new(neck, 2.0 * thick),
    ];
    let last = points[points.len() - 1];
    let start_angle = -PI / 2.0 + half;
    let ball = Segment::Arc(Arc {
        centre: Point2::new(0.0, length),
        radius: knob,
        start_angle,
        sweep: PI - half,
    });
    let mut run: Vec<Segment> = points
        .windows(2)
        .map(|p| Segment::line(p[0], p[1]))
        .collect();
    run.push(Segment::line(last, ball.start()));
    run.push(ball);
    run.push(Segment::line(ball.end(), points[0]));
    Outline::from_chain(&Chain::from_segments(run)).at_key("handrails")
}
