//! The firebox soldering block: the inside of the wrapper, split so that it comes out under the waist.

use body::FormerBlock;
use geom::math::tan;
use geom::{Point2, Point3, Vector3};

use super::bench::{Bench, Made, Trouble, blank};
use super::fault::JigFault;
use super::letters::Field;
use super::shape::{CHORD_MM, Frame, foot, layers, prism, rod, slab, vee};
use crate::mesh::{block_rings, uncut_block_volume};
use crate::{Mesh, common, subtract, unite};

/// The block reaches this far past the wrapper in front, so that its chamfer bears nothing (mm).
const PAST_MM: f64 = 1.0;

/// Each face of the key leans by this (2°), so that it draws: common practice of pattern makers, no
/// source.
const DRAFT: f64 = 0.034_906_585_039_886_59;

/// Play between a cheek drawn in and the wrapper's foot (mm): chosen, not sourced.
const PLAY_MM: f64 = 0.3;

pub(super) fn make(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let blocks = &bench.body.blocks;
    let Some(block) = blocks.iter().find(|own| own.plate == "firebox-wrapper") else {
        return Ok(None);
    };
    let [front, rear] = block_rings(block, CHORD_MM)?;
    let bare = layers(&[(0.0, front.clone()), (block.length, rear.clone())])?;
    let volume = blank(&bare, uncut_block_volume(block)?)?;
    let whole = blank_with_foot(bench, &front, &rear, block.length)?;
    let whole = subtract(&whole, &tools(bench, block, &front, &rear)?)?;
    let shape = Shape::of(&front, &rear);
    let mut made = Made::default();
    let frame = Frame::of_section(&block.frame);
    let pieces = if shape.undercut > 0.05 {
        made.notes.push(format!(
            "the wrapper is {:.2} mm wider on each side above its foot: the block is split, and each cheek moves in by that before it comes down",
            shape.undercut
        ));
        split(bench, block, &whole, &shape)?
    } else {
        vec![single(bench, block, &whole, &shape)?]
    };
    for mut piece in pieces {
        piece.to_body = Some(frame);
        piece.blank = volume;
        made.pieces.push(piece);
    }
    made.notes.push(format!(
        "the wrapper lies on it with the film of solder, {:.2} mm, between",
        bench.model.metal.film
    ));
    Ok(Some(made))
}

/// What the section is like at its narrower end.
struct Shape {
    /// Heights of the lower and the higher foot and of the crown (mm).
    foot: f64,
    high_foot: f64,
    crown: f64,
    /// Half width at the foot (mm).
    at_foot: f64,
    /// How much wider the section is anywhere above its foot, on one side (mm).
    undercut: f64,
}

impl Shape {
    fn of(front: &[Point2], rear: &[Point2]) -> Self {
        let widest = |ring: &[Point2]| ring.iter().map(|p| p.x.abs()).fold(0.0, f64::max);
        let foot = |ring: &[Point2]| ring.first().map_or(0.0, |p| p.x.abs());
        let undercut = |ring: &[Point2]| widest(ring) - foot(ring);
        let low = front
            .iter()
            .chain(rear)
            .map(|p| p.y)
            .fold(f64::INFINITY, f64::min);
        let high = |ring: &[Point2]| ring.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
        let feet = |ring: &[Point2]| ring.first().map_or(0.0, |p| p.y);
        Self {
            foot: low,
            high_foot: feet(front).max(feet(rear)),
            crown: high(front).max(high(rear)),
            at_foot: foot(front).min(foot(rear)),
            undercut: undercut(front).max(undercut(rear)),
        }
    }
}

/// The block with a little more of its front section before it, chamfered.
fn blank_with_foot(
    bench: &Bench<'_>,
    front: &[Point2],
    rear: &[Point2],
    length: f64,
) -> Result<Mesh, JigFault> {
    let chamfer = bench.print.foot_chamfer.min(PAST_MM);
    match foot(front, chamfer) {
        Some(inner) => layers(&[
            (-PAST_MM, inner),
            (chamfer - PAST_MM, front.to_vec()),
            (0.0, front.to_vec()),
            (length, rear.to_vec()),
        ]),
        None => layers(&[(0.0, front.to_vec()), (length, rear.to_vec())]),
    }
}

/// Studding holes and the centre line along the crown.
fn tools(
    bench: &Bench<'_>,
    block: &FormerBlock,
    front: &[Point2],
    rear: &[Point2],
) -> Result<Vec<Mesh>, JigFault> {
    let mut tools = Vec::new();
    for (at, diameter) in &block.studding {
        let z = |along| Point3::new(at.x, at.y, along);
        let radius = bench.hole(*diameter) / 2.0;
        tools.push(rod(z(-5.0), z(block.length + 5.0), radius)?);
    }
    let crown = |ring: &[Point2], z| {
        let top = ring.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
        Point3::new(0.0, top, z)
    };
    let (from, to) = (crown(front, 0.0), crown(rear, block.length));
    let along = (to - from).normalize();
    let normal = (Vector3::y() - along * along.y).normalize();
    let width = block.groove.0.max(0.6);
    tools.push(vee(from - along * 4.0, to + along * 4.0, normal, width)?);
    Ok(tools)
}

/// A key that draws downwards, and a cheek on each side of it.
fn split(
    bench: &Bench<'_>,
    block: &FormerBlock,
    whole: &Mesh,
    shape: &Shape,
) -> Result<Vec<super::JigPiece>, Trouble> {
    let print = bench.print;
    let height = shape.crown - shape.foot;
    let stud = block
        .studding
        .iter()
        .map(|(_, diameter)| bench.hole(*diameter) / 2.0 + 1.5 * print.least_wall)
        .fold(0.0, f64::max);
    let at_top = (shape.undercut + PLAY_MM).max(stud);
    let at_foot = at_top + height * tan(DRAFT);
    let cheek = shape.at_foot - at_foot;
    let needed = 2.0 * print.least_wall;
    if cheek < needed {
        return Err(JigFault::NoRoom {
            what: "a cheek beside the key at the foot",
            found_mm: cheek,
            needed_mm: needed,
        }
        .into());
    }
    let past = height * 0.1 + 1.0;
    let key_ring = [
        Point2::new(-at_foot - past * tan(DRAFT), shape.foot - past),
        Point2::new(at_foot + past * tan(DRAFT), shape.foot - past),
        Point2::new(at_top - past * tan(DRAFT), shape.crown + past),
        Point2::new(-at_top + past * tan(DRAFT), shape.crown + past),
    ];
    let (from, to) = (-PAST_MM, block.length);
    let tool = prism(&key_ring, from - 1.0, to + 1.0)?;
    let key = common(whole, &tool)?;
    let tongue = bench.pick(12.0, 14.0);
    // Under a foot that rises the tongue goes up with it, a little narrower than the key.
    let up = shape.high_foot - shape.foot + 0.5;
    let grip = at_foot - up * tan(DRAFT) - 0.1;
    let key = unite(&[
        key,
        slab(
            [-grip, shape.foot - tongue, from],
            [grip, shape.foot + up, to],
        )?,
    ])?;
    let sides = subtract(whole, &[tool])?;
    let half = |left: bool| -> Result<Mesh, Trouble> {
        let wide = 4.0 * (shape.at_foot + shape.undercut);
        let (x0, x1) = if left { (0.0, wide) } else { (-wide, 0.0) };
        let room = slab(
            [x0, shape.foot - 1.0, from - 1.0],
            [x1, shape.crown + 1.0, to + 1.0],
        )?;
        Ok(common(&sides, &room)?)
    };
    let middle = shape.foot + height * 0.5;
    let along = (from + to) / 2.0;
    let long = to - from - 1.0;
    let low = shape.foot - tongue;
    let fields = [
        Field {
            centre: Point3::new(0.0, low, along),
            right: Vector3::z(),
            up: -Vector3::x(),
            width: long,
            height: 2.0 * grip - 0.6,
        },
        Field {
            centre: Point3::new(grip, low + tongue / 2.0, along),
            right: -Vector3::z(),
            up: Vector3::y(),
            width: long,
            height: tongue - 0.8,
        },
    ];
    let mut pieces = vec![bench.piece("key", key, &fields, "key")?];
    for (name, left) in [("cheek-left", true), ("cheek-right", false)] {
        let side = if left { 1.0 } else { -1.0 };
        // On the face towards the key, which nothing but the key touches.
        let rise = tan(DRAFT);
        let field = Field {
            centre: Point3::new(side * (at_top + at_foot) / 2.0, middle, along),
            right: Vector3::z() * side,
            up: Vector3::new(-side * rise, 1.0, 0.0).normalize(),
            width: long - 1.0,
            height: 0.8 * height,
        };
        let word = if left { "left" } else { "right" };
        pieces.push(bench.piece(name, half(left)?, &[field], word)?);
    }
    Ok(pieces)
}

/// One solid with a tongue to be clamped.
fn single(
    bench: &Bench<'_>,
    block: &FormerBlock,
    whole: &Mesh,
    shape: &Shape,
) -> Result<super::JigPiece, Trouble> {
    let tongue = bench.pick(17.0, 14.0);
    let half = 0.6 * shape.at_foot;
    let clamp = slab(
        [-half, shape.foot - tongue, -PAST_MM],
        [half, shape.high_foot + 0.5, block.length],
    )?;
    let mesh = unite(&[whole.clone(), clamp])?;
    let along = (block.length - PAST_MM) / 2.0;
    let fields = [
        Field {
            centre: Point3::new(half, shape.foot - tongue / 2.0, along),
            right: -Vector3::z(),
            up: Vector3::y(),
            width: block.length,
            height: tongue - 1.0,
        },
        Field {
            centre: Point3::new(0.0, shape.foot - tongue, along),
            right: Vector3::z(),
            up: -Vector3::x(),
            width: block.length,
            height: 2.0 * half - 1.0,
        },
    ];
    bench.piece("block", mesh, &fields, "crown")
}
