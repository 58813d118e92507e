//! Dies that press the drops of a footplate.

use body::{Hole, Plate};
use develop::Loft;
use geom::{Point2, Point3, Vector2, Vector3};

use super::JigPiece;
use super::bench::{Bench, Made, Trouble};
use super::fault::JigFault;
use super::letters::Field;
use super::places::hole_bounds;
use super::shape::{footed, is_simple, rod, vee};
use super::tool_section::{FormedSheet, ToolSection};
use crate::{subtract, unite};

/// Room for the sheet beyond its thickness (mm): common practice, no source.
const GAP_MM: f64 = 0.05;

/// Straight metal held on either side of a drop (mm).
const HELD_MM: f64 = 12.0;

/// A drop: the bends of a footplate from one level to the next.
struct Drop {
    /// First and last piece of its bends.
    first: usize,
    last: usize,
    /// Straight metal before and after that the dies hold (mm).
    before: f64,
    after: f64,
}

pub(super) fn make(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let Some(plate) = bench.plate("footplate") else {
        return Ok(None);
    };
    let Some(loft) = plate.forming.loft() else {
        return Ok(None);
    };
    // The bends of a drop turn one way and back; both may be bent as far as they need.
    let Some(section) = ToolSection::of(plate, std::f64::consts::FRAC_PI_2)? else {
        return Ok(None);
    };
    let mut made = Made::default();
    for (i, drop) in drops(loft, &section).into_iter().enumerate() {
        let pieces = dies(bench, plate, loft, &section, &drop, i + 1, &mut made.notes)?;
        made.pieces.extend(pieces);
    }
    made.notes.extend(section.notes(&plate.title));
    made.forming.push(FormedSheet::of(plate, section.bends));
    Ok((!made.pieces.is_empty()).then_some(made))
}

/// Runs of bends with no long straight between.
fn drops(loft: &Loft, section: &ToolSection) -> Vec<Drop> {
    let straight = |i: usize| -> f64 {
        let ring = &section.rings[0];
        let (a, b) = (section.starts[i], section.starts[i + 1]);
        if loft.patches()[i].radii().is_some() {
            return 0.0;
        }
        (ring[b] - ring[a]).norm()
    };
    let n = loft.patches().len();
    let bent = |i: usize| loft.patches()[i].radii().is_some();
    let mut drops: Vec<Drop> = Vec::new();
    let mut i = 0;
    while i < n {
        if !bent(i) {
            i += 1;
            continue;
        }
        let first = i;
        let mut last = i;
        while i < n && (bent(i) || straight(i) < HELD_MM / 2.0) {
            if bent(i) {
                last = i;
            }
            i += 1;
        }
        let before = if first > 0 { straight(first - 1) } else { 0.0 };
        let after = if last + 1 < n {
            straight(last + 1)
        } else {
            0.0
        };
        drops.push(Drop {
            first,
            last,
            before: before.min(HELD_MM),
            after: after.min(HELD_MM),
        });
    }
    drops
}

fn dies(
    bench: &Bench<'_>,
    plate: &Plate,
    loft: &Loft,
    section: &ToolSection,
    drop: &Drop,
    number: usize,
    notes: &mut Vec<String>,
) -> Result<[JigPiece; 2], Trouble> {
    let (a, b) = (section.starts[drop.first], section.starts[drop.last + 1]);
    let line = |points: &[Point2], away: f64| -> Vec<Point2> {
        let out = |i: usize| (section.outside[0][i] - section.rings[0][i]).normalize();
        let at = |i: usize| points[i] + out(i) * away;
        let along = |i: usize| Vector2::new(out(i).y, -out(i).x);
        let mut run = vec![at(a) - along(a) * drop.before];
        run.extend((a..=b).map(at));
        run.push(at(b) + along(b) * drop.after);
        // Where there is nothing straight to hold, the end of the bend is the end of the die.
        run.dedup_by(|p, q| (*p - *q).norm() < 1e-3);
        run
    };
    let under = line(&section.rings[0], 0.0);
    let over = line(&section.outside[0], GAP_MM);
    let low = under.iter().map(|p| p.y).fold(f64::INFINITY, f64::min) - 9.0;
    let high = over.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max) + 9.0;
    let wide = section.length + 2.0;
    let closed = |mut run: Vec<Point2>, y: f64| -> Result<Vec<Point2>, JigFault> {
        let (first, last) = (run[0], run[run.len() - 1]);
        run.push(Point2::new(last.x, y));
        run.push(Point2::new(first.x, y));
        if is_simple(&run) {
            Ok(run)
        } else {
            Err(JigFault::Crossed { what: "die" })
        }
    };
    let lower_ring = closed(under.clone(), low)?;
    let upper_ring = closed(over.clone(), high)?;
    let chamfer = bench.print.foot_chamfer;
    // A fence on the bed's side, which the side of the footplate lies against.
    let fence_ring = closed(under.iter().map(|p| p + Vector2::y() * 5.0).collect(), low)?;
    let lower = unite(&[
        super::shape::moved(&footed(&fence_ring, 3.0, chamfer)?, Vector3::z() * -3.0),
        super::shape::prism(&lower_ring, -0.5, wide)?,
    ])?;
    let upper = footed(&upper_ring, wide - 0.5, chamfer)?;
    let pins = pins(bench, plate, loft, section, drop);
    let (mut lower_tools, mut upper_tools) = (Vec::new(), Vec::new());
    for pin in &pins {
        let at = |y: f64| Point3::new(pin.at.x, pin.at.y + y, pin.across);
        let radius = bench.hole(pin.diameter) / 2.0;
        lower_tools.push(rod(at(-8.0), at(2.0), radius)?);
        // The upper die starts half a millimetre in from the fence.
        let up = |y: f64| Point3::new(pin.at.x, pin.at.y + y, pin.across - 0.25);
        upper_tools.push(rod(up(-2.0), up(8.0), radius + bench.print.slide)?);
        notes.push(format!(
            "drop {number}: pin of wire Ø {:.2} mm through {}",
            pin.diameter, pin.feature
        ));
    }
    if pins.is_empty() {
        notes.push(format!(
            "drop {number}: no slot stands beside it; the sheet is laid against the fence and the ends of the dies marked on it"
        ));
    }
    let (x0, x1) = (lower_ring[0].x, under[under.len() - 1].x);
    let mark = |y: f64, normal: Vector3| {
        vee(
            Point3::new(x0 + 3.0, y, -4.0),
            Point3::new(x0 + 3.0, y, wide + 1.0),
            normal,
            0.8,
        )
    };
    lower_tools.push(mark(low, -Vector3::y())?);
    upper_tools.push(mark(high, Vector3::y())?);
    let lower = subtract(&lower, &lower_tools)?;
    let upper = subtract(&upper, &upper_tools)?;
    let middle = (x0 + 4.5 + x1) / 2.0;
    let room = (x1 - x0 - 7.0).max(0.0);
    let below = Field {
        centre: Point3::new(middle, low, wide / 2.0),
        right: Vector3::x(),
        up: Vector3::z(),
        width: room,
        height: wide - 4.0,
    };
    let above = Field {
        centre: Point3::new(middle, high, wide / 2.0),
        right: Vector3::x(),
        up: -Vector3::z(),
        width: room,
        height: wide - 4.0,
    };
    Ok([
        bench.piece(
            &format!("lower-{number}"),
            lower,
            &[below],
            &format!("lower {number}"),
        )?,
        bench.piece(
            &format!("upper-{number}"),
            upper,
            &[above],
            &format!("upper {number}"),
        )?,
    ])
}

/// A pin through a slot beside a drop.
struct Pin<'a> {
    feature: &'a str,
    /// Where it leaves the lower die, in the section.
    at: Point2,
    /// How far from the left side (mm).
    across: f64,
    diameter: f64,
}

/// Pins in the slots that lie on the straight metal held.
fn pins<'a>(
    bench: &Bench<'_>,
    plate: &'a Plate,
    loft: &Loft,
    section: &ToolSection,
    drop: &Drop,
) -> Vec<Pin<'a>> {
    let ring = &section.rings[0];
    let mut pins: Vec<Pin<'a>> = Vec::new();
    for hole in plate.holes.iter().filter(|hole| is_register(hole)) {
        let at = loft.locate(hole.centre);
        let piece = (at.w.floor().max(0.0) as usize).min(loft.patches().len() - 1);
        let share = at.w - piece as f64;
        let (from, held) = if piece + 1 == drop.first {
            let length = (ring[section.starts[piece + 1]] - ring[section.starts[piece]]).norm();
            (section.starts[drop.first], -(1.0 - share) * length)
        } else if piece == drop.last + 1 {
            let length = (ring[section.starts[piece + 1]] - ring[section.starts[piece]]).norm();
            (section.starts[drop.last + 1], share * length)
        } else {
            continue;
        };
        let margin = bench.print.least_wall + 1.0;
        let inside = if held < 0.0 {
            held < -1.5 && -held < drop.before - margin
        } else {
            held > 1.5 && held < drop.after - margin
        };
        let out = (section.outside[0][from] - ring[from]).normalize();
        let along = Vector2::new(out.y, -out.x);
        let (low, high) = hole_bounds(plate, hole);
        let narrow = (high[0] - low[0]).min(high[1] - low[1]);
        let across = at.v * section.length;
        let clear = across > margin && across < section.length - margin;
        if inside && clear && narrow > 0.3 {
            pins.push(Pin {
                feature: &hole.feature,
                at: ring[from] + along * held,
                across,
                // Wire comes in twentieths of a millimetre.
                diameter: ((narrow - 0.05) * 20.0).floor() / 20.0,
            });
        }
    }
    // Two are enough, the furthest apart across.
    pins.sort_by(|p, q| p.across.total_cmp(&q.across));
    if pins.len() > 2 {
        let last = pins.len() - 1;
        pins.swap(1, last);
        pins.truncate(2);
    }
    pins
}

fn is_register(hole: &Hole) -> bool {
    hole.feature.starts_with("slot-") || hole.feature.starts_with("fixing")
}
