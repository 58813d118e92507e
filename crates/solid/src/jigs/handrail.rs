//! A drilled bar that holds the pillars of a handrail at their places and its rail straight.

use body::FittingShape;
use geom::{Point2, Point3, Vector3};

use super::bench::{Bench, Made, Trouble};
use super::fault::JigFault;
use super::letters::Field;
use super::shape::{footed, rod, vee};
use crate::subtract;

/// A pillar: how far along, and how far out it stands (mm).
#[derive(Clone, Copy)]
struct Pillar {
    along: f64,
    out: f64,
}

pub(super) fn make(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let mut pillars: Vec<Pillar> = bench
        .body
        .fittings
        .iter()
        .filter(|fitting| fitting.id.starts_with("handrail-pillar-left-"))
        .filter_map(|fitting| match &fitting.shape {
            FittingShape::Turned { foot, .. } => Some(Pillar {
                along: foot.x,
                out: foot.y,
            }),
            _ => None,
        })
        .collect();
    pillars.sort_by(|a, b| a.along.total_cmp(&b.along));
    let (Some(first), Some(last)) = (pillars.first().copied(), pillars.last().copied()) else {
        return Ok(None);
    };
    let spigot = bench
        .body
        .plates
        .iter()
        .flat_map(|plate| &plate.holes)
        .filter(|hole| hole.feature.starts_with("handrail-left"))
        .find_map(|hole| hole.diameter)
        .unwrap_or(bench.pick(0.5, 0.9));
    let guide = bench.hole(spigot) / 2.0;
    let widest = pillars
        .iter()
        .map(|p| p.out)
        .fold(f64::NEG_INFINITY, f64::max);
    let deepest = pillars.iter().map(|p| widest - p.out).fold(0.0, f64::max);
    let margin = 8.0;
    let long = last.along - first.along + 2.0 * margin;
    let (wide, tall) = (9.0, 6.0 + deepest);
    let room = bench.print.bed[0].max(bench.print.bed[1]);
    if long > room {
        return Err(JigFault::NoRoom {
            what: "the run of pillars on the bed",
            found_mm: room,
            needed_mm: long,
        }
        .into());
    }
    let ring = [
        Point2::new(-margin, -wide / 2.0),
        Point2::new(long - margin, -wide / 2.0),
        Point2::new(long - margin, wide / 2.0),
        Point2::new(-margin, wide / 2.0),
    ];
    let bar = footed(&ring, tall, bench.print.foot_chamfer)?;
    let mut notes = Vec::new();
    let mut tools = Vec::new();
    for (i, pillar) in pillars.iter().enumerate() {
        let x = pillar.along - first.along;
        let at = |z: f64| Point3::new(x, 0.0, z);
        tools.push(rod(at(-1.0), at(tall + 1.0), guide)?);
        let sunk = widest - pillar.out;
        // Below this the knob does not show it: chosen, not sourced.
        if sunk > 0.05 {
            tools.push(rod(
                at(tall - sunk),
                at(tall + 1.0),
                1.6_f64.max(3.0 * guide),
            )?);
        }
        notes.push(format!(
            "pillar {} {x:.2} mm behind the first, {sunk:.2} mm longer than the shortest",
            i + 1
        ));
    }
    // The front end.
    tools.push(vee(
        Point3::new(-margin - 1.0, 0.0, tall),
        Point3::new(-margin + 3.0, 0.0, tall),
        Vector3::z(),
        0.8,
    )?);
    let mesh = subtract(&bar, &tools)?;
    let field = Field {
        centre: Point3::new(long / 2.0 - margin, -wide / 2.0, tall / 2.0),
        right: Vector3::x(),
        up: Vector3::z(),
        width: long - 2.0,
        height: tall - 1.4,
    };
    let piece = bench.piece("bar", mesh, &[field], "front left")?;
    notes.push("for the right side the same bar is turned end for end: mark it".to_owned());
    Ok(Some(Made {
        pieces: vec![piece],
        notes,
        ..Made::default()
    }))
}
