//! Gauges for a rolled barrel, and outer half-rings to hold it while its seam is soldered.

use geom::math::FRAC_PI_2;
use geom::{Point2, Point3, Vector3};

use super::JigPiece;
use super::bench::{Bench, Made, Trouble};
use super::fault::JigFault;
use super::letters::Field;
use super::shape::{arc, circle, foot, footed, layers, prism, rod, slab, vee};
use super::tubes::{Circle, Tube, tubes};
use crate::{Mesh, common, subtract, unite};

/// A ring slides over the barrel with this play all round (mm): common practice, no source.
const EASE_MM: f64 = 0.05;

/// Ends of a tube: name, fraction of its length.
const ENDS: [(&str, f64); 2] = [("front", 0.0), ("rear", 1.0)];

/// A ring that goes over each end, and a curve that goes into it.
pub(super) fn make_gauges(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let mut made = Made::default();
    for tube in tubes(bench.body) {
        for (end, v) in ENDS {
            let circle = tube.at(v);
            made.pieces.push(ring(bench, &tube, circle, end)?);
            made.pieces.push(curve(bench, &tube, circle, end)?);
            made.notes.push(format!(
                "{}, {end}: outside Ø {:.2} mm over the bands, ring Ø {:.2}; inside radius {:.2}",
                tube.plate.title,
                2.0 * (circle.radius + tube.outside()),
                2.0 * (circle.radius + tube.outside() + EASE_MM),
                circle.radius + tube.inside()
            ));
        }
    }
    Ok((!made.pieces.is_empty()).then_some(made))
}

fn ring(bench: &Bench<'_>, tube: &Tube<'_>, end: Circle, word: &str) -> Result<JigPiece, Trouble> {
    let bore = end.radius + tube.outside() + EASE_MM;
    let outer = bore + (2.5 * bench.print.least_wall).max(3.0);
    let thick = 4.0;
    let (wide, tall) = (15.0, 18.0);
    let body = footed(
        &circle(Point2::origin(), outer),
        thick,
        bench.print.foot_chamfer,
    )?;
    let tab = slab([-wide, bore * 0.8, 0.0], [wide, outer + tall, thick])?;
    let tools = [
        prism(&circle(Point2::origin(), bore), -1.0, thick + 1.0)?,
        // The top of the engine, to be met by the centre line of the barrel.
        vee(
            Point3::new(0.0, bore, -1.0),
            Point3::new(0.0, bore, thick + 1.0),
            -Vector3::y(),
            0.8,
        )?,
    ];
    let mesh = subtract(&unite(&[body, tab])?, &tools)?;
    let field = Field::top(0.0, outer + tall / 2.0, thick, 2.0 * wide - 1.5, tall - 1.5);
    let name = format!("{}-ring-{word}", stem(tube));
    let side = format!("{word} R{:.2}", end.radius + tube.outside());
    bench.piece(&name, mesh, &[field], &side)
}

/// A template with the inside curve over 100°.
fn curve(bench: &Bench<'_>, tube: &Tube<'_>, end: Circle, word: &str) -> Result<JigPiece, Trouble> {
    const HALF: f64 = 0.872_664_625_997_164_8;
    let radius = end.radius + tube.inside();
    let mut ring = arc(Point2::origin(), radius, FRAC_PI_2 - HALF, FRAC_PI_2 + HALF);
    let (low, wide) = (ring[0].y, ring[0].x);
    let (wide, low) = (wide.max(13.0), low - 14.0);
    ring.push(Point2::new(-wide, low + 14.0));
    ring.push(Point2::new(-wide, low));
    ring.push(Point2::new(wide, low));
    ring.push(Point2::new(wide, low + 14.0));
    let thick = 3.0;
    let mesh = footed(&ring, thick, bench.print.foot_chamfer)?;
    let line = vee(
        Point3::new(0.0, radius, -1.0),
        Point3::new(0.0, radius, thick + 1.0),
        Vector3::y(),
        0.7,
    )?;
    let mesh = subtract(&mesh, &[line])?;
    let field = Field::top(0.0, low + 7.0, thick, 2.0 * wide - 1.5, 12.5);
    let name = format!("{}-curve-{word}", stem(tube));
    bench.piece(&name, mesh, &[field], &format!("{word} R{radius:.2}"))
}

/// Two halves for each end, the lower one with a window under the seam.
pub(super) fn make_half_rings(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let mut made = Made::default();
    for tube in tubes(bench.body) {
        for (word, v) in ENDS {
            made.pieces.extend(halves(bench, &tube, word, v)?);
        }
    }
    made.notes.push(format!(
        "bored {:.2} mm over the diameter over the bands; the halves stand {SPLIT_MM:.1} mm apart for the screws to draw",
        2.0 * EASE_MM
    ));
    Ok((!made.pieces.is_empty()).then_some(made))
}

/// Gap between two half-rings (mm): chosen, not sourced.
const SPLIT_MM: f64 = 0.8;

fn halves(
    bench: &Bench<'_>,
    tube: &Tube<'_>,
    word: &str,
    v: f64,
) -> Result<[JigPiece; 2], Trouble> {
    let wide = bench.pick(10.0, 14.0);
    // Clear of the very end, where a former or the smokebox comes.
    let low = if v == 0.0 {
        1.0
    } else {
        tube.length - wide - 1.0
    };
    let at = |z: f64| tube.at(z / tube.length);
    let grown = |end: Circle| Circle {
        radius: end.radius + tube.outside() + EASE_MM,
        ..end
    };
    let (from, to) = (grown(at(low)), grown(at(low + wide)));
    let c = from.centre;
    let outer = from.radius.max(to.radius) + 4.0 * bench.print.least_wall;
    let lug = bench.pick(7.0, 9.0);
    let screw = bench.hole(bench.pick(2.0, 3.0)) / 2.0;
    let label = 26.0;
    let tall = bench.pick(4.0, 5.0);
    let (x0, x1) = (c.x - outer - lug, c.x + outer + lug);
    let boss = (0.75 * outer).max(13.0);
    let solid = unite(&[
        footed(&circle(c, outer), wide, bench.print.foot_chamfer)?,
        slab([x0 - label, c.y - tall, 0.0], [c.x, c.y + tall, wide])?,
        slab([x0, c.y - tall, 0.0], [x1, c.y + tall, wide])?,
        slab(
            [c.x - boss, c.y, 0.0],
            [c.x + boss, c.y + outer + 1.5, wide],
        )?,
    ])?;
    let bore = layers(&[
        (-1.0, circle_of_corners(from)),
        (0.0, circle_of_corners(from)),
        (wide, circle_of_corners(to)),
        (wide + 1.0, circle_of_corners(to)),
    ])?;
    let bolt = |x: f64| {
        let at = |y: f64| Point3::new(x, c.y + y, wide / 2.0);
        rod(at(-outer), at(outer * 2.0), screw)
    };
    let top = vee(
        Point3::new(c.x, c.y + outer + 1.5, -1.0),
        Point3::new(c.x, c.y + outer + 1.5, wide + 1.0),
        Vector3::y(),
        0.8,
    )?;
    let split = slab(
        [x0 - label - 1.0, c.y - SPLIT_MM / 2.0, -1.0],
        [x1 + 1.0, c.y + SPLIT_MM / 2.0, wide + 1.0],
    )?;
    let solid = subtract(
        &solid,
        &[
            bore,
            bolt(x0 + lug / 2.0)?,
            bolt(x1 - lug / 2.0)?,
            top,
            split,
        ],
    )?;
    let far = 3.0 * outer + label;
    let part = |up: bool| -> Result<Mesh, Trouble> {
        let (y0, y1) = if up {
            (c.y, c.y + far)
        } else {
            (c.y - far, c.y)
        };
        Ok(common(
            &solid,
            &slab([c.x - far, y0, -1.0], [c.x + far, y1, wide + 1.0])?,
        )?)
    };
    let window = bench.pick(8.0, 12.0) / 2.0;
    let lower = subtract(
        &part(false)?,
        &[slab(
            [c.x - window, c.y - outer - 1.0, 0.25 * wide],
            [c.x + window, c.y - from.radius * 0.8, 0.75 * wide],
        )?],
    )?;
    let upper_field = Field {
        centre: Point3::new(x0 - label / 2.0, c.y + tall, wide / 2.0),
        right: Vector3::x(),
        up: -Vector3::z(),
        width: label - 1.5,
        height: wide - 1.0,
    };
    let lower_field = Field {
        centre: Point3::new(x0 - label / 2.0, c.y - tall, wide / 2.0),
        right: Vector3::x(),
        up: Vector3::z(),
        width: label - 1.5,
        height: wide - 1.0,
    };
    let name = |half: &str| format!("{}-{word}-{half}", stem(tube));
    Ok([
        bench.piece(
            &name("upper"),
            part(true)?,
            &[upper_field],
            &format!("{word} upper"),
        )?,
        bench.piece(
            &name("lower"),
            lower,
            &[lower_field],
            &format!("{word} lower"),
        )?,
    ])
}

/// Corners on the circle, their number fixed so that unlike circles can be joined.
fn circle_of_corners(end: Circle) -> Vec<Point2> {
    const CORNERS: usize = 360;
    (0..CORNERS)
        .map(|k| {
            let (s, c) = geom::math::sin_cos(geom::math::TAU * k as f64 / CORNERS as f64);
            end.centre + geom::Vector2::new(c, s) * end.radius
        })
        .collect()
}

/// Name of a tube without its last word: `boiler`, `boiler-1`.
pub(super) fn stem(tube: &Tube<'_>) -> String {
    tube.plate.id.replace("-wrapper", "")
}

/// A chamfered foot where there is one, else the outline from the bed.
pub(super) fn on_foot(
    front: Vec<Point2>,
    rear: Vec<Point2>,
    length: f64,
    chamfer: f64,
) -> Result<Mesh, JigFault> {
    match foot(&front, chamfer) {
        Some(inner) => layers(&[(0.0, inner), (chamfer, front), (length, rear)]),
        None => layers(&[(0.0, front), (length, rear)]),
    }
}
