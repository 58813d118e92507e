//! The block that a footplate is built on: it fits between valances and beams, follows the drops, and
//! holds the footplate by pins through its own slots and holes.

use body::{Face, Plate};
use geom::{Chain, Point2, Point3, Vector3};

use super::JigPiece;
use super::bench::{Bench, Made, Trouble};
use super::fault::JigFault;
use super::letters::Field;
use super::places::{extents, face_point, hole_bounds};
use super::shape::{CHORD_MM, Frame, is_simple, placed, prism, rod, slab, vee};
use crate::{Mesh, common, subtract, unite};

/// Room on each side between the block and valances or beams (mm): common practice, no source.
const EASE_MM: f64 = 0.075;

/// Depth of the relief behind solder lines (mm): 1 to 1.5, common practice, no source.
const RELIEF_MM: f64 = 1.2;

/// Room round a slot for the tab's end and its solder (mm): chosen, not sourced.
const ROUND_MM: f64 = 1.2;

/// Where the block stands in the body (mm).
struct Room {
    front: f64,
    rear: f64,
    left: f64,
    right: f64,
    low: f64,
}

pub(super) fn make(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let Some(footplate) = bench.plate("footplate") else {
        return Ok(None);
    };
    let room = room(bench, footplate)?;
    let profile = underside(footplate, room.front, room.rear)?;
    let mut ring = profile.clone();
    ring.push(Point2::new(room.rear, room.low));
    ring.push(Point2::new(room.front, room.low));
    if !is_simple(&ring) {
        return Err(JigFault::Crossed { what: "profile" }.into());
    }
    // Section along the engine, seen from its right: x rearward, y up, thickness to the left.
    let stand = Frame {
        origin: Point3::new(0.0, room.left, 0.0),
        x: Vector3::x(),
        y: Vector3::z(),
        z: -Vector3::y(),
    };
    let block = placed(&prism(&ring, 0.0, room.left - room.right)?, &stand);
    // A base that stands out beside the valances, with room for the name.
    let (out, thick, label) = (6.0, 4.0, 17.0);
    let base = slab(
        [room.front, room.right - out, room.low - thick],
        [room.rear, room.left + out + label, room.low + 0.4],
    )?;
    let solid = unite(&[block, base])?;
    let mut made = Made::default();
    let mut tools = reliefs(footplate, &room, &profile)?;
    let (drills, pegs, places) = pins(bench, footplate, &room, &profile, &mut made.notes)?;
    tools.extend(drills);
    let mut solid = subtract(&solid, &tools)?;
    if !pegs.is_empty() {
        let mut all = vec![solid];
        all.extend(pegs);
        solid = unite(&all)?;
    }
    let solid = subtract(
        &solid,
        &[vee(
            Point3::new(room.front - 1.0, room.left + out + 2.0, room.low + 0.4),
            Point3::new(room.front + 4.0, room.left + out + 2.0, room.low + 0.4),
            Vector3::z(),
            0.8,
        )?],
    )?;
    let strip = (room.left + out + 1.5, room.left + out + label);
    made.pieces = parts(bench, &room, solid, &places, strip, thick)?;
    made.notes.push(format!(
        "the block is {:.2} mm wide between the valances and {:.2} long between the beams, {EASE_MM} mm clear on each side",
        room.left - room.right,
        room.rear - room.front
    ));
    for piece in &mut made.pieces {
        piece.to_body = Some(Frame {
            origin: Point3::origin(),
            x: Vector3::x(),
            y: Vector3::y(),
            z: Vector3::z(),
        });
    }
    Ok(Some(made))
}

/// Between the valances and the beams, as far down as the deepest of the valances and a little more.
fn room(bench: &Bench<'_>, footplate: &Plate) -> Result<Room, JigFault> {
    let (low, high) = extents(footplate);
    let side = |id: &str, usual: f64| {
        bench
            .plate(id)
            .and_then(|plate| face_point(plate, Face::Inside))
            .map_or(usual, |p| p.y)
    };
    let left = side("valance-left", high[1] - 2.0) - EASE_MM;
    let right = side("valance-right", low[1] + 2.0) + EASE_MM;
    let deep = ["valance-left", "valance-right"]
        .iter()
        .filter_map(|id| bench.plate(id))
        .map(|plate| extents(plate).0[2])
        .fold(low[2] - 6.0, f64::min);
    // Beams and their lips reach in under the ends of the footplate.
    let (mut front, mut rear) = (low[0], high[0]);
    for plate in &bench.body.plates {
        if !(plate.id.contains("beam") && plate.assembly == footplate.assembly) {
            continue;
        }
        let (from, to) = extents(plate);
        let t = plate.sheet.thickness();
        if from[0] < (low[0] + high[0]) / 2.0 {
            front = front.max(to[0] + t);
        } else {
            rear = rear.min(from[0] - t);
        }
    }
    let (front, rear) = (front + EASE_MM, rear - EASE_MM);
    if left - right < 10.0 || rear - front < 30.0 {
        return Err(JigFault::NoRoom {
            what: "a block between valances and beams",
            found_mm: (left - right).min(rear - front),
            needed_mm: 10.0,
        });
    }
    Ok(Room {
        front,
        rear,
        left,
        right,
        low: deep - 1.0,
    })
}

/// The underside of the footplate between two places along the engine.
fn underside(footplate: &Plate, front: f64, rear: f64) -> Result<Vec<Point2>, JigFault> {
    let Some(loft) = footplate.forming.loft() else {
        let z = face_point(footplate, Face::Inside).map_or(0.0, |p| p.z);
        return Ok(vec![Point2::new(front, z), Point2::new(rear, z)]);
    };
    let chain: Chain = loft.section_at(0.0).offset(footplate.sheet.z_low)?;
    let points = chain.flattened(CHORD_MM);
    let height = |x: f64| -> f64 {
        let at = points.windows(2).find(|p| p[0].x <= x && x <= p[1].x);
        at.map_or(points[0].y, |p| {
            p[0].y + (p[1].y - p[0].y) * (x - p[0].x) / (p[1].x - p[0].x).max(1e-12)
        })
    };
    let mut line = vec![Point2::new(front, height(front))];
    line.extend(
        points
            .iter()
            .filter(|p| p.x > front + 0.01 && p.x < rear - 0.01),
    );
    line.push(Point2::new(rear, height(rear)));
    Ok(line)
}

/// Height of a profile at a place.
fn height(profile: &[Point2], x: f64) -> f64 {
    let at = profile.windows(2).find(|p| p[0].x <= x && x <= p[1].x);
    at.map_or(profile[0].y, |p| {
        p[0].y + (p[1].y - p[0].y) * (x - p[0].x) / (p[1].x - p[0].x).max(1e-12)
    })
}

/// Pockets under the slots, and the upper corners taken off beside the valances.
fn reliefs(footplate: &Plate, room: &Room, profile: &[Point2]) -> Result<Vec<Mesh>, JigFault> {
    let mut boxes: Vec<([f64; 2], [f64; 2])> = footplate
        .holes
        .iter()
        .filter(|hole| hole.feature.starts_with("slot-"))
        .map(|hole| hole_bounds(footplate, hole))
        .map(|(low, high)| (low.map(|x| x - ROUND_MM), high.map(|x| x + ROUND_MM)))
        .filter(|(low, high)| {
            low[0] > room.front + 1.0
                && high[0] < room.rear - 1.0
                && low[1] > room.right + RELIEF_MM + 1.0
                && high[1] < room.left - RELIEF_MM - 1.0
        })
        .collect();
    merge(&mut boxes);
    let mut tools = Vec::new();
    for (low, high) in boxes {
        let top = height(profile, low[0]).min(height(profile, high[0]));
        tools.push(slab(
            [low[0], low[1], top - RELIEF_MM],
            [high[0], high[1], top + 10.0],
        )?);
    }
    // Along the valances, following the profile.
    for (side, inward) in [(room.left, -1.0), (room.right, 1.0)] {
        let mut ring: Vec<Point2> = Vec::new();
        for p in profile {
            ring.push(Point2::new(p.x, p.y - RELIEF_MM));
        }
        if let (Some(first), Some(last)) = (ring.first().copied(), ring.last().copied()) {
            ring.insert(0, Point2::new(first.x - 1.0, first.y));
            ring.push(Point2::new(last.x + 1.0, last.y));
            ring.push(Point2::new(last.x + 1.0, last.y + 30.0));
            ring.push(Point2::new(first.x - 1.0, last.y.max(first.y) + 30.0));
        }
        let stand = Frame {
            origin: Point3::new(0.0, side - inward * 1.0, 0.0),
            x: Vector3::x(),
            y: Vector3::z(),
            z: Vector3::y() * inward,
        };
        if is_simple(&ring) {
            tools.push(placed(&prism(&ring, 0.0, 1.0 + RELIEF_MM)?, &stand));
        }
    }
    Ok(tools)
}

/// Joins boxes that overlap or leave less than a wall between.
fn merge(boxes: &mut Vec<([f64; 2], [f64; 2])>) {
    const WALL_MM: f64 = 1.3;
    let mut i = 0;
    while i < boxes.len() {
        let (low, high) = boxes[i];
        let near = (i + 1..boxes.len()).find(|&j| {
            let (l, h) = boxes[j];
            (0..2).all(|k| l[k] < high[k] + WALL_MM && low[k] < h[k] + WALL_MM)
        });
        match near {
            Some(j) => {
                let (l, h) = boxes.remove(j);
                boxes[i] = (
                    [low[0].min(l[0]), low[1].min(l[1])],
                    [high[0].max(h[0]), high[1].max(h[1])],
                );
                i = 0;
            }
            None => i += 1,
        }
    }
}

/// Pegs for the round holes that a printed peg fits, drilled holes for wire through four slots; and where
/// all of them stand along the engine.
type Pins = (Vec<Mesh>, Vec<Mesh>, Vec<f64>);

fn pins(
    bench: &Bench<'_>,
    footplate: &Plate,
    room: &Room,
    profile: &[Point2],
    notes: &mut Vec<String>,
) -> Result<Pins, JigFault> {
    let (mut drills, mut pegs, mut places) = (Vec::new(), Vec::new(), Vec::new());
    let inside = |x: f64, y: f64, margin: f64| {
        x > room.front + margin
            && x < room.rear - margin
            && y > room.right + RELIEF_MM + margin
            && y < room.left - RELIEF_MM - margin
    };
    let t = footplate.sheet.thickness();
    for hole in footplate.holes.iter() {
        let Some(diameter) = hole.diameter.filter(|d| *d >= 2.0) else {
            continue;
        };
        let at = footplate.forming.place(hole.centre).point;
        if !inside(at.x, at.y, diameter) {
            continue;
        }
        let top = height(profile, at.x);
        let radius = diameter / 2.0 - bench.print.slide;
        pegs.push(rod(
            Point3::new(at.x, at.y, top - 2.0),
            Point3::new(at.x, at.y, top + t + 0.6),
            radius,
        )?);
        places.push(at.x);
        notes.push(format!("peg Ø {:.2} mm in {}", 2.0 * radius, hole.feature));
    }
    // One wire near each corner of the block.
    let slots: Vec<(&str, [f64; 2], f64)> = footplate
        .holes
        .iter()
        .filter(|hole| hole.feature.starts_with("slot-"))
        .map(|hole| {
            let (low, high) = hole_bounds(footplate, hole);
            let middle = [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0];
            let narrow = (high[0] - low[0]).min(high[1] - low[1]);
            (hole.feature.as_str(), middle, narrow)
        })
        .filter(|(_, at, narrow)| inside(at[0], at[1], 3.0) && *narrow > 0.3)
        .collect();
    let corners = [
        [room.front, room.left],
        [room.front, room.right],
        [room.rear, room.left],
        [room.rear, room.right],
    ];
    let mut taken: Vec<&str> = Vec::new();
    for corner in corners {
        let off = |at: &[f64; 2]| (at[0] - corner[0]).abs() + (at[1] - corner[1]).abs();
        let nearest = slots
            .iter()
            .filter(|(feature, ..)| !taken.contains(feature))
            .min_by(|a, b| off(&a.1).total_cmp(&off(&b.1)));
        let Some(&(feature, at, narrow)) = nearest else {
            continue;
        };
        taken.push(feature);
        // Wire comes in twentieths of a millimetre.
        let wire = ((narrow - 0.05) * 20.0).floor() / 20.0;
        let top = height(profile, at[0]);
        drills.push(rod(
            Point3::new(at[0], at[1], top - 8.0_f64.min(top - room.low)),
            Point3::new(at[0], at[1], top + 2.0),
            bench.hole(wire) / 2.0,
        )?);
        places.push(at[0]);
        notes.push(format!("pin of steel wire Ø {wire:.2} mm in {feature}"));
    }
    Ok((drills, pegs, places))
}

/// The block in one, or cut across with dowels where it is longer than the bed.
fn parts(
    bench: &Bench<'_>,
    room: &Room,
    solid: Mesh,
    places: &[f64],
    (strip_low, strip_high): (f64, f64),
    base: f64,
) -> Result<Vec<JigPiece>, Trouble> {
    let long = room.rear - room.front;
    let bed = bench.print.bed[0].max(bench.print.bed[1]) / (1.0 + bench.print.shrinkage) - 2.0;
    let field = |from: f64, to: f64| {
        Field::top(
            (from + to) / 2.0 + 3.0,
            (strip_low + strip_high) / 2.0,
            room.low + 0.4,
            to - from - 12.0,
            strip_high - strip_low - 2.0,
        )
    };
    let count = (long / bed).ceil() as usize;
    if count <= 1 {
        let field = field(room.front, room.rear);
        return Ok(vec![bench.piece("block", solid, &[field], "front")?]);
    }
    let mut cuts = vec![room.front - 1.0];
    for i in 1..count {
        let wanted = room.front + long * i as f64 / count as f64;
        // Clear of pins: the nearest place that is.
        let clear = |x: f64| places.iter().all(|p| (p - x).abs() > 11.0);
        let found =
            (0..40).flat_map(|k| [wanted + f64::from(k) * 0.5, wanted - f64::from(k) * 0.5]);
        let at = found.into_iter().find(|x| clear(*x)).unwrap_or(wanted);
        cuts.push(at);
    }
    cuts.push(room.rear + 1.0);
    let dowel = 3.0;
    let z = room.low + 0.5 * (dowel + 1.0) - 0.5 * base + 1.0;
    let ys = [0.3, 0.7].map(|share| room.right + share * (room.left - room.right));
    let mut holes = Vec::new();
    for x in &cuts[1..cuts.len() - 1] {
        for y in ys {
            holes.push(rod(
                Point3::new(x - 8.0, y, z),
                Point3::new(x + 8.0, y, z),
                bench.hole(dowel) / 2.0,
            )?);
        }
    }
    let solid = subtract(&solid, &holes)?;
    let mut pieces = Vec::new();
    for (i, pair) in cuts.windows(2).enumerate() {
        let (from, to) = (pair[0], pair[1]);
        let part = common(
            &solid,
            &slab(
                [from, room.right - 40.0, room.low - 40.0],
                [to, room.left + 60.0, room.low + 200.0],
            )?,
        )?;
        let word = format!("part {}", i + 1);
        let name = format!("block-{}", i + 1);
        pieces.push(bench.piece(
            &name,
            part,
            &[field(from.max(room.front), to.min(room.rear))],
            &word,
        )?);
    }
    Ok(pieces)
}
