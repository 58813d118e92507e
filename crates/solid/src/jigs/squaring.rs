//! Frames that hold cab and tanks square from inside while their corners are soldered.

use body::{Face, Plate};
use geom::{Point2, Point3, Vector3};

use super::JigPiece;
use super::bench::{Bench, Made, Trouble};
use super::letters::Field;
use super::places::{extents, face_point};
use super::shape::{footed, vee};
use crate::subtract;

/// Taken off the inside width (mm): common practice, no source.
const EASE_MM: f64 = 0.15;

pub(super) fn make(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let mut made = Made::default();
    let boxes = [
        ("cab", "cab-side-left", "cab-side-right"),
        ("tank", "tank-side-left", "tank-inner-left"),
    ];
    for (name, one, other) in boxes {
        let (Some(one), Some(other)) = (bench.plate(one), bench.plate(other)) else {
            continue;
        };
        let Some(wide) = between(one, other) else {
            continue;
        };
        let (low, high) = extents(one);
        let long = (0.6 * (high[0] - low[0])).min(wide.max(bench.pick(22.0, 26.0)));
        if wide - EASE_MM < 6.0 * bench.print.least_wall {
            made.notes.push(format!(
                "the {name} is {wide:.2} mm wide inside, too narrow for a frame: use a square of metal"
            ));
            continue;
        }
        made.pieces.push(frame(bench, name, wide - EASE_MM, long)?);
        made.notes.push(format!(
            "the {name} is {wide:.2} mm wide inside, the frame {EASE_MM:.2} mm less"
        ));
    }
    // A tender's sides are one wrapper, bent round its back.
    if let Some(wrapper) = bench.plate("tender-tank-wrapper") {
        let (low, high) = extents(wrapper);
        let wide = high[1] - low[1] - wrapper.sheet.thickness();
        let long = (0.5 * (high[0] - low[0])).min(wide);
        made.pieces
            .push(frame(bench, "tender", wide - EASE_MM, long)?);
        made.notes.push(format!(
            "the tender is {wide:.2} mm wide inside, the frame {EASE_MM:.2} mm less"
        ));
    }
    Ok((!made.pieces.is_empty()).then_some(made))
}

/// Distance between the inside faces of two upright plates along the engine (mm).
fn between(one: &Plate, other: &Plate) -> Option<f64> {
    // The inner side of a tank shows its outside to the boiler.
    let at = |plate: &Plate, face| face_point(plate, face).map(|p| p.y);
    let wide = (at(one, Face::Inside)? - at(other, Face::Inside)?).abs();
    (wide > 0.0).then_some(wide)
}

/// A U with its bar across the front, corners taken off where solder runs.
fn frame(bench: &Bench<'_>, name: &str, wide: f64, long: f64) -> Result<JigPiece, Trouble> {
    let corner = bench.pick(1.8, 2.5);
    let half = wide / 2.0;
    let leg = (0.16 * wide).max(2.5 * bench.print.least_wall).min(6.0);
    let bar = bench.pick(9.0, 11.0).min(long - 2.0);
    let open = half - leg > 2.0 && long > bar + 3.0;
    let mut ring = vec![
        Point2::new(-half + corner, 0.0),
        Point2::new(half - corner, 0.0),
        Point2::new(half, corner),
        Point2::new(half, long),
    ];
    if open {
        ring.extend([
            Point2::new(half - leg, long),
            Point2::new(half - leg, bar),
            Point2::new(-half + leg, bar),
            Point2::new(-half + leg, long),
        ]);
    }
    ring.extend([Point2::new(-half, long), Point2::new(-half, corner)]);
    let tall = bench.pick(12.0, 14.0);
    let mesh = footed(&ring, tall, bench.print.foot_chamfer)?;
    let mark = vee(
        Point3::new(0.0, -1.0, tall),
        Point3::new(0.0, 1.5, tall),
        Vector3::z(),
        0.8,
    )?;
    let mesh = subtract(&mesh, &[mark])?;
    let deep = if open { bar } else { long };
    let fields = [
        Field::top(0.0, 0.5 * deep + 0.7, tall, wide - 2.0 * corner, deep - 2.4),
        Field {
            centre: Point3::new(half, corner + (long - corner) / 2.0, tall / 2.0),
            right: Vector3::y(),
            up: Vector3::z(),
            width: long - corner - 1.0,
            height: tall - 1.5,
        },
        Field {
            centre: Point3::new(0.0, 0.0, tall / 2.0),
            right: Vector3::x(),
            up: Vector3::z(),
            width: wide - 2.0 * corner - 1.0,
            height: tall - 1.5,
        },
    ];
    bench.piece(name, mesh, &fields, name)
}
