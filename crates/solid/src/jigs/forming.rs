//! Tools that wrappers are bent over: firebox, roof and smokebox, tighter than the finished section by
//! what the sheet springs back.

use body::Plate;
use geom::{Point2, Point3, Vector2, Vector3};

use super::JigPiece;
use super::bench::{Bench, Made, Trouble};
use super::fault::JigFault;
use super::letters::Field;
use super::shape::{foot, inset, is_simple, layers, moved, rod, slab, vee};
use super::tool_section::{FormedSheet, ToolSection};
use crate::{Mesh, subtract, unite};

/// The tool reaches this far past the sheet in front, so that its chamfer bears nothing (mm).
const PAST_MM: f64 = 1.0;

/// A bend of a closed section is over-bent by at most this (10°): chosen, not sourced.
const FURTHER: f64 = 0.174_532_925_199_432_95;

/// A bend of a roof, whose eaves are free, by at most this (35°): chosen, not sourced.
const FURTHER_OPEN: f64 = 0.610_865_238_198_015_3;

/// Room for the sheet beyond its thickness between two halves of a press (mm): common practice, no
/// source.
const GAP_MM: f64 = 0.075;

/// The firebox bent over one block.
pub(super) fn make_firebox(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let Some((plate, section)) = section_of(bench, "firebox-wrapper", FURTHER)? else {
        return Ok(None);
    };
    let core = core(bench, &section, None)?;
    let stud = bench
        .body
        .blocks
        .iter()
        .find(|block| block.plate == plate.id);
    let diameter = stud
        .and_then(|block| block.studding.first())
        .map_or(bench.pick(3.0, 4.0), |(_, diameter)| *diameter);
    let piece = core.piece(bench, "tool", diameter, "top")?;
    Ok(Some(Made {
        pieces: vec![piece],
        notes: section.notes(&plate.title),
        forming: vec![FormedSheet::of(plate, section.bends)],
    }))
}

/// The roof bent over a former with an end stop, under a pad.
pub(super) fn make_roof(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let Some((plate, section)) = section_of(bench, "cab-roof", FURTHER_OPEN)? else {
        return Ok(None);
    };
    let core = core(bench, &section, Some(2.5))?;
    let former = core.piece(bench, "former", bench.pick(3.0, 4.0), "front down")?;
    let pad = pad(bench, &section)?;
    Ok(Some(Made {
        pieces: vec![former, pad],
        notes: section.notes(&plate.title),
        forming: vec![FormedSheet::of(plate, section.bends)],
    }))
}

/// The smokebox pressed into its reverse curves between a core and two cheeks.
pub(super) fn make_smokebox(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let Some((plate, section)) = section_of(bench, "smokebox-wrapper", FURTHER)? else {
        return Ok(None);
    };
    let reversed = section.bends.iter().any(|bend| bend.wanted_angle > 1e-3);
    if !reversed {
        return Ok(None);
    }
    let core = core(bench, &section, None)?;
    let mut pieces = vec![core.piece(bench, "core", bench.pick(3.0, 4.0), "top")?];
    pieces.push(cheek(bench, &section, true)?);
    pieces.push(cheek(bench, &section, false)?);
    Ok(Some(Made {
        pieces,
        notes: section.notes(&plate.title),
        forming: vec![FormedSheet::of(plate, section.bends)],
    }))
}

/// The saddle tank bent over one block.
pub(super) fn make_saddle_tank(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let Some((plate, section)) = section_of(bench, "saddle-tank-wrapper", FURTHER)? else {
        return Ok(None);
    };
    let core = core(bench, &section, None)?;
    let piece = core.piece(bench, "tool", bench.pick(3.0, 4.0), "top")?;
    Ok(Some(Made {
        pieces: vec![piece],
        notes: section.notes(&plate.title),
        forming: vec![FormedSheet::of(plate, section.bends)],
    }))
}

fn section_of<'a>(
    bench: &Bench<'a>,
    id: &str,
    further: f64,
) -> Result<Option<(&'a Plate, ToolSection)>, Trouble> {
    let Some(plate) = bench.plate(id) else {
        return Ok(None);
    };
    Ok(ToolSection::of(plate, further)?.map(|section| (plate, section)))
}

/// A tool before it is drilled and lettered.
struct Core {
    mesh: Mesh,
    /// Half width of the tongue it is clamped by, and the heights of its lower and upper end (mm).
    half: f64,
    low: f64,
    high: f64,
    /// Height of the crown at either end.
    crowns: [f64; 2],
    length: f64,
    /// Width that the section has at half height at the least.
    wide: f64,
}

/// The tool closed along its foot, with a tongue to clamp it by, and an end stop that stands `stop` (mm)
/// over its face in front.
fn core(bench: &Bench<'_>, section: &ToolSection, stop: Option<f64>) -> Result<Core, JigFault> {
    let [front, rear] = &section.rings;
    if !is_simple(front) || !is_simple(rear) {
        return Err(JigFault::Crossed {
            what: "section bent tighter",
        });
    }
    let past = if stop.is_some() { 0.0 } else { PAST_MM };
    let chamfer = bench.print.foot_chamfer.min(past);
    let inner = foot(front, chamfer);
    let mut mesh = match (inner, past > 0.0) {
        (Some(inner), true) => layers(&[
            (-past, inner),
            (chamfer - past, front.clone()),
            (0.0, front.clone()),
            (section.length, rear.clone()),
        ])?,
        _ => layers(
            &[
                (-past, front.clone()),
                (0.0, front.clone()),
                (section.length, rear.clone()),
            ]
            .into_iter()
            .skip(usize::from(past == 0.0))
            .collect::<Vec<_>>(),
        )?,
    };
    let feet = [front, rear].map(|ring| (ring[0], ring[ring.len() - 1]));
    let half = 0.8
        * feet
            .iter()
            .map(|(a, b)| (a.x - b.x).abs() / 2.0)
            .fold(f64::INFINITY, f64::min);
    let low_foot = feet
        .iter()
        .map(|(a, b)| a.y.min(b.y))
        .fold(f64::INFINITY, f64::min);
    let high_foot = feet
        .iter()
        .map(|(a, b)| a.y.max(b.y))
        .fold(f64::NEG_INFINITY, f64::max);
    // Feet that stand close together leave no room for a tongue: it is clamped by its ends.
    let half = if half < bench.print.least_wall {
        0.0
    } else {
        half
    };
    let tongue = if half > 0.0 {
        bench.pick(18.0, 14.0)
    } else {
        0.0
    };
    // Below the feet, where the sheet ends, it may be as wide as a vice likes.
    let grip = if half > 0.0 {
        half.max(bench.pick(5.0, 6.0))
    } else {
        0.0
    };
    if half > 0.0 {
        let base = stop.map_or(-past, |_| -3.0);
        mesh = unite(&[
            mesh,
            slab(
                [-half, low_foot - 2.0, base],
                [half, high_foot + 0.5, section.length],
            )?,
            slab(
                [-grip, low_foot - tongue, base],
                [grip, low_foot - 1.0, section.length],
            )?,
        ])?;
    }
    if let Some(over) = stop {
        let plate = inset(front, -over).ok_or(JigFault::Crossed { what: "end stop" })?;
        let thick = 3.0;
        let stop = super::shape::footed(&plate, thick, bench.print.foot_chamfer)?;
        mesh = unite(&[mesh, moved(&stop, Vector3::new(0.0, 0.0, -thick))])?;
    }
    let crown = |ring: &[Point2]| ring.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
    Ok(Core {
        mesh,
        half: grip,
        low: low_foot - tongue,
        high: low_foot,
        crowns: [crown(front), crown(rear)],
        wide: waist(rear),
        length: section.length,
    })
}

/// Width between the outermost points of a section's middle third.
fn waist(ring: &[Point2]) -> f64 {
    let low = ring.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    let high = ring.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
    let tall = high - low;
    let level = |p: &&Point2| p.y > low + tall / 3.0 && p.y < high - tall / 3.0;
    let side = |sign: f64| {
        let own = ring.iter().filter(level).map(|p| sign * p.x);
        own.filter(|x| *x > 0.0).fold(f64::INFINITY, f64::min)
    };
    let wide = side(1.0) + side(-1.0);
    if wide.is_finite() { 0.9 * wide } else { 0.0 }
}

impl Core {
    /// Drilled for studding, its centre line cut along the crown and its name on the tongue.
    fn piece(
        &self,
        bench: &Bench<'_>,
        name: &str,
        stud: f64,
        side: &str,
    ) -> Result<JigPiece, Trouble> {
        let radius = bench.hole(stud) / 2.0;
        let tall = self.crowns[0].min(self.crowns[1]) - self.high;
        let mut tools = Vec::new();
        if tall > 6.0 * radius {
            for share in [0.3, 0.75] {
                let y = self.high + share * tall;
                let z = |along: f64| Point3::new(0.0, y, along);
                tools.push(rod(z(-10.0), z(self.length + 5.0), radius)?);
            }
        }
        let crown = |i: usize, z: f64| Point3::new(0.0, self.crowns[i], z);
        let (from, to) = (crown(0, 0.0), crown(1, self.length));
        let along = (to - from).normalize();
        let normal = (Vector3::y() - along * along.y).normalize();
        tools.push(vee(from, to + along * 2.0, normal, 0.7)?);
        let mesh = subtract(&self.mesh, &tools)?;
        let middle = self.length / 2.0;
        let tongue = self.high - self.low;
        let mut fields = vec![
            Field {
                centre: Point3::new(self.half, self.low + (tongue - 1.0) / 2.0, middle),
                right: -Vector3::z(),
                up: Vector3::y(),
                width: self.length - 1.0,
                height: tongue - 2.2,
            },
            Field {
                centre: Point3::new(0.0, self.low, middle),
                right: Vector3::z(),
                up: -Vector3::x(),
                width: self.length - 1.0,
                height: 2.0 * self.half - 1.0,
            },
        ];
        if self.half == 0.0 {
            // On the end, between the studding holes.
            fields = vec![Field::top(
                0.0,
                self.high + 0.525 * tall,
                self.length,
                self.wide,
                0.4 * tall - 2.0 * radius,
            )];
        }
        bench.piece(name, mesh, &fields, side)
    }
}

/// Outward in the section at a point of the tool.
fn out(section: &ToolSection, end: usize, i: usize) -> Vector2 {
    (section.outside[end][i] - section.rings[end][i]).normalize()
}

/// The hollow that presses a roof onto its former, as far down as it lifts off.
fn pad(bench: &Bench<'_>, section: &ToolSection) -> Result<JigPiece, Trouble> {
    // Down to where the sheet leans 50° from level: further round it would not come off over-bent metal.
    const LEAN: f64 = 0.642_787_609_686_539_4;
    let n = section.rings[0].len();
    let covered: Vec<usize> = (0..n).filter(|&i| out(section, 0, i).y > LEAN).collect();
    let ring = |end: usize| -> Vec<Point2> {
        let face: Vec<Point2> = covered
            .iter()
            .map(|&i| section.outside[end][i] + out(section, end, i) * GAP_MM)
            .collect();
        let wide = face.iter().map(|p| p.x.abs()).fold(0.0, f64::max) + 2.0;
        let low = face.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
        let top = face.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max) + 9.0;
        let right_first = face[0].x < 0.0;
        let side = if right_first { -1.0 } else { 1.0 };
        let mut ring = face;
        ring.push(Point2::new(-side * wide, low));
        ring.push(Point2::new(-side * wide, top));
        ring.push(Point2::new(side * wide, top));
        ring.push(Point2::new(side * wide, low));
        ring
    };
    if covered.len() < 3 {
        return Err(JigFault::Crossed { what: "pad" }.into());
    }
    let (front, rear) = (ring(0), ring(1));
    let chamfer = bench.print.foot_chamfer;
    let mesh = match foot(&front, chamfer) {
        Some(inner) => layers(&[
            (0.0, inner),
            (chamfer, front.clone()),
            (section.length, rear),
        ])?,
        None => layers(&[(0.0, front.clone()), (section.length, rear)])?,
    };
    let (wide, top) = front
        .iter()
        .fold((0.0_f64, f64::NEG_INFINITY), |(w, t), p| {
            (w.max(p.x.abs()), t.max(p.y))
        });
    let middle = section.length / 2.0;
    let line = vee(
        Point3::new(0.0, top, -1.0),
        Point3::new(0.0, top, section.length + 1.0),
        Vector3::y(),
        0.8,
    )?;
    let mesh = subtract(&mesh, &[line])?;
    let field = Field {
        centre: Point3::new(-wide / 2.0, top, middle),
        right: Vector3::x(),
        up: -Vector3::z(),
        width: wide - 2.0,
        height: section.length - 2.0,
    };
    bench.piece("pad", mesh, &[field], "pad")
}

/// What presses one side into its reverse curve.
fn cheek(bench: &Bench<'_>, section: &ToolSection, left: bool) -> Result<JigPiece, Trouble> {
    let n = section.rings[0].len();
    let side = if left { 1.0 } else { -1.0 };
    // From the foot of that side to its widest point.
    let from_start = section.rings[0][0].x * side > 0.0;
    let order: Vec<usize> = if from_start {
        (0..n / 2).collect()
    } else {
        (n / 2..n).rev().collect()
    };
    let widest = order
        .iter()
        .copied()
        .max_by(|&i, &j| {
            let x = |k: usize| section.outside[0][k].x * side;
            x(i).total_cmp(&x(j))
        })
        .unwrap_or(0);
    let stop = order.iter().position(|&i| i == widest).unwrap_or(0);
    let covered = &order[..=stop];
    let back = section.outside[0][widest].x * side + bench.pick(8.0, 11.0);
    let ring = |end: usize| -> Vec<Point2> {
        let mut ring: Vec<Point2> = covered
            .iter()
            .map(|&i| section.outside[end][i] + out(section, end, i) * GAP_MM)
            .collect();
        let (low, high) = (ring[0].y, ring[ring.len() - 1].y);
        ring.push(Point2::new(side * back, high));
        ring.push(Point2::new(side * back, low));
        ring
    };
    let (front, rear) = (ring(0), ring(1));
    if covered.len() < 3 || !is_simple(&front) || !is_simple(&rear) {
        return Err(JigFault::Crossed { what: "cheek" }.into());
    }
    let low = front.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    let high = front.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
    let chamfer = bench.print.foot_chamfer;
    let mesh = match foot(&front, chamfer) {
        Some(inner) => layers(&[(0.0, inner), (chamfer, front), (section.length, rear)])?,
        None => layers(&[(0.0, front), (section.length, rear)])?,
    };
    let field = Field {
        centre: Point3::new(side * back, (low + high) / 2.0, section.length / 2.0),
        right: -Vector3::z() * side,
        up: Vector3::y(),
        width: section.length - 1.0,
        height: high - low - 1.0,
    };
    let word = if left { "left" } else { "right" };
    bench.piece(&format!("cheek-{word}"), mesh, &[field], word)
}
