//! A sleeve with guide holes at the true angles of dome, chimney and pillars, and blocks to lap their
//! seats on.

use body::{Curve, Plate};
use develop::Trace;
use geom::math::{FRAC_PI_2, atan2, sin_cos};
use geom::{Point2, Point3, Segment, Vector2, Vector3};

use super::JigPiece;
use super::bench::{Bench, Made, Trouble};
use super::fault::JigFault;
use super::letters::Field;
use super::rings::on_foot;
use super::shape::{arc, rod, slab, vee};
use super::tubes::Circle;
use crate::{subtract, unite};

/// The sleeve lies on the barrel with this play (mm): common practice, no source.
const EASE_MM: f64 = 0.075;

/// A sheet of abrasive paper (mm): common practice, no source.
const PAPER_MM: f64 = 0.25;

/// A bore through a wrapper.
#[derive(Clone, Copy, Debug)]
struct Bore<'a> {
    feature: &'a str,
    drill: Vector2,
    along: f64,
    across: f64,
    radius: f64,
}

/// A wrapper whose top is round about one centre.
struct RoundTop<'a> {
    plate: &'a Plate,
    ends: [Circle; 2],
    length: f64,
    /// How far down the roundness reaches on both sides of the top (rad).
    reach: f64,
    bores: Vec<Bore<'a>>,
}

impl RoundTop<'_> {
    fn at(&self, along: f64) -> Circle {
        let v = along / self.length;
        let [front, rear] = self.ends;
        Circle {
            centre: front.centre + (rear.centre - front.centre) * v,
            radius: front.radius + (rear.radius - front.radius) * v,
        }
    }

    fn outside(&self) -> f64 {
        self.plate.sheet.z_high + self.plate.sheet.proud_height()
    }
}

fn round_tops<'a>(bench: &Bench<'a>) -> Vec<RoundTop<'a>> {
    let wrappers = bench.body.plates.iter().filter(|plate| {
        matches!(plate.assembly, "boiler" | "smokebox") && plate.id.contains("wrapper")
    });
    // What is drilled is what is seen: where an overlay goes over the wrapper, that one.
    let seen = wrappers.filter(|plate| bench.plate(&format!("{}-overlay", plate.id)).is_none());
    seen.filter_map(|plate| {
        let loft = plate.forming.loft()?;
        let (mut ends, mut reach) = (Vec::new(), f64::INFINITY);
        for v in [0.0, 1.0] {
            let chain = loft.section_at(v);
            let middle = chain.length() / 2.0;
            let (home, _) = chain.locate(middle)?;
            let Segment::Arc(top) = &chain.segments()[home] else {
                return None;
            };
            let about = chain.segments().iter().filter_map(|own| match own {
                Segment::Arc(arc) if (arc.centre - top.centre).norm() < 1e-6 => {
                    Some(arc.sweep.abs())
                }
                _ => None,
            });
            reach = reach.min(about.sum::<f64>() / 2.0);
            ends.push(Circle {
                centre: top.centre,
                radius: top.radius,
            });
        }
        let bores: Vec<Bore<'_>> = plate
            .holes
            .iter()
            .filter_map(|hole| bore_of(plate, hole))
            .collect();
        // A firebox crown or a flat-sided smokebox has no sleeve.
        (reach > 0.8 && !bores.is_empty()).then(|| RoundTop {
            plate,
            ends: [ends[0], ends[1]],
            length: loft.axial_length(),
            reach,
            bores,
        })
    })
    .collect()
}

/// A hole bored straight through, or laid on the flat and so drilled square to the surface.
fn bore_of<'a>(plate: &'a Plate, hole: &'a body::Hole) -> Option<Bore<'a>> {
    if let Curve::Surface(Trace::Bore {
        drill,
        along,
        across,
        radius,
    }) = hole.boundary.first()?
    {
        return Some(Bore {
            feature: &hole.feature,
            drill: *drill,
            along: *along,
            across: *across,
            radius: *radius,
        });
    }
    let radius = hole.diameter? / 2.0;
    let frame = plate.forming.loft()?.frame();
    let place = plate.forming.place(hole.centre);
    let from = place.point - frame.origin;
    let in_plane = |v: Vector3| Vector2::new(v.dot(&frame.across), v.dot(&frame.up));
    let drill = in_plane(place.normal).try_normalize(1e-9)?;
    let right = Vector2::new(drill.y, -drill.x);
    Some(Bore {
        feature: &hole.feature,
        drill,
        along: from.dot(&frame.axis),
        across: in_plane(from).dot(&right),
        radius,
    })
}

/// A sleeve for each wrapper that is bored.
pub(super) fn make_saddle(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let mut made = Made::default();
    for top in round_tops(bench) {
        made.pieces.push(sleeve(bench, &top, &mut made.notes)?);
    }
    Ok((!made.pieces.is_empty()).then_some(made))
}

fn sleeve(
    bench: &Bench<'_>,
    top: &RoundTop<'_>,
    notes: &mut Vec<String>,
) -> Result<JigPiece, Trouble> {
    let angle = |bore: &Bore<'_>| {
        let right = Vector2::new(bore.drill.y, -bore.drill.x);
        let end = top.at(bore.along);
        // Where the drill meets the circle, from the top.
        let off = bore.across - end.centre.coords.dot(&right);
        let depth = (end.radius * end.radius - off * off).max(0.0).sqrt();
        let place = right * off + bore.drill * depth;
        atan2(place.x, place.y).abs()
    };
    let usable: Vec<&Bore<'_>> = top
        .bores
        .iter()
        .filter(|bore| !bore.feature.starts_with("pilot") && angle(bore) < top.reach - 0.05)
        .collect();
    let widest = usable.iter().map(|bore| angle(bore)).fold(0.6, f64::max);
    let half = (widest + 0.4).min(top.reach - 0.02).min(FRAC_PI_2 + 0.25);
    let wall = bench.pick(4.5, 6.0);
    let last = usable
        .iter()
        .map(|bore| bore.along + bore.radius)
        .fold(0.0, f64::max);
    let long = (last + 6.0).min(top.length);
    let ring = |along: f64, inside: f64, wall: f64| -> Vec<Point2> {
        let end = top.at(along);
        let inner = end.radius + inside;
        let run = |radius: f64| -> Vec<Point2> {
            (0..=90)
                .map(|k| {
                    let a = FRAC_PI_2 - half + 2.0 * half * k as f64 / 90.0;
                    let (s, c) = sin_cos(a);
                    end.centre + Vector2::new(c, s) * radius
                })
                .collect()
        };
        let mut ring = run(inner + wall);
        ring.extend(run(inner).into_iter().rev());
        ring
    };
    let clear = top.outside() + EASE_MM;
    let lip = 3.0;
    // The lip reaches in over the sheet's edge.
    let reach_in = top.plate.sheet.thickness() + 1.5;
    let body = super::shape::layers(&[
        (0.0, ring(0.0, clear, wall)),
        (long, ring(long, clear, wall)),
    ])?;
    let stop = on_foot(
        ring(0.0, clear - reach_in, wall + reach_in),
        ring(0.0, clear - reach_in, wall + reach_in),
        lip,
        bench.print.foot_chamfer,
    )?;
    let c = top.at(0.0);
    let outer = c.centre.y + c.radius + clear + wall;
    let label = slab(
        [c.centre.x - 15.0, outer - 2.0, -lip],
        [c.centre.x + 15.0, outer + 16.0, 0.0],
    )?;
    let stop = super::shape::moved(&stop, Vector3::new(0.0, 0.0, -lip));
    let mut tools = Vec::new();
    for bore in &usable {
        let right = Vector2::new(bore.drill.y, -bore.drill.x);
        let diameter = 2.0 * bore.radius;
        let pilot = bench.pick(0.8, 1.0);
        let guide = bench.hole(if diameter <= 1.3 { diameter } else { pilot });
        let at = |s: f64| {
            let p = right * bore.across + bore.drill * s;
            Point3::new(p.x, p.y, bore.along)
        };
        let end = top.at(bore.along);
        let middle = end.centre.coords.dot(&bore.drill);
        tools.push(rod(
            at(middle + 0.3 * end.radius),
            at(middle + end.radius + 4.0 * wall),
            guide / 2.0,
        )?);
        notes.push(format!(
            "{}: {} guided at Ø {guide:.2} mm, {:.2} mm behind the front edge",
            top.plate.title, bore.feature, bore.along
        ));
    }
    // The centre line, to be laid on that of the wrapper.
    let end = top.at(long);
    let crown =
        |e: Circle, z: f64| Point3::new(e.centre.x, e.centre.y + e.radius + clear + wall, z);
    let (a, b) = (crown(c, 0.0), crown(end, long));
    let along = (b - a).normalize();
    tools.push(vee(
        a,
        b + along * 2.0,
        (Vector3::y() - along * along.y).normalize(),
        0.8,
    )?);
    let mesh = subtract(&unite(&[body, stop, label])?, &tools)?;
    let field = Field::top(c.centre.x, outer + 7.5, 0.0, 28.5, 13.0);
    let name = top.plate.id.replace("-wrapper", "");
    bench.piece(&name, mesh, &[field], "front")
}

/// A block for each seat on the round: chimney, dome, safety valves.
pub(super) fn make_lapping(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let mut made = Made::default();
    for top in round_tops(bench) {
        for bore in top.bores.iter().filter(|bore| is_seat(bore)) {
            let radius = top.at(bore.along).radius + top.plate.sheet.z_high;
            let piece = lapping_block(bench, bore.feature, radius)?;
            made.pieces.push(piece);
            made.notes.push(format!(
                "{}: seat of radius {radius:.2} mm, block of {:.2} under paper {PAPER_MM} mm thick",
                bore.feature,
                radius - PAPER_MM
            ));
        }
    }
    Ok((!made.pieces.is_empty()).then_some(made))
}

/// Bored straight down for a spigot, not for a pillar.
fn is_seat(bore: &Bore<'_>) -> bool {
    bore.radius > 0.8 && bore.drill.y > 0.99 && !bore.feature.starts_with("pilot")
}

fn lapping_block(bench: &Bench<'_>, feature: &str, radius: f64) -> Result<JigPiece, Trouble> {
    const HALF: f64 = 1.0;
    let own = radius - PAPER_MM;
    if own < 2.0 {
        return Err(JigFault::NoRoom {
            what: "paper round the block",
            found_mm: radius,
            needed_mm: 2.0 + PAPER_MM,
        }
        .into());
    }
    let mut ring = arc(Point2::origin(), own, FRAC_PI_2 - HALF, FRAC_PI_2 + HALF);
    let (wide, low) = (ring[0].x, ring[0].y);
    let base = low - bench.pick(11.0, 14.0);
    ring.push(Point2::new(-wide, base));
    ring.push(Point2::new(wide, base));
    let long = bench.pick(26.0, 38.0);
    let mesh = on_foot(ring.clone(), ring, long, bench.print.foot_chamfer)?;
    let line = vee(
        Point3::new(0.0, own, long - 2.0),
        Point3::new(0.0, own, long + 1.0),
        Vector3::y(),
        0.7,
    )?;
    let mesh = subtract(&mesh, &[line])?;
    let field = Field {
        centre: Point3::new(wide, (low + base) / 2.0, long / 2.0),
        right: -Vector3::z(),
        up: Vector3::y(),
        width: long - 1.5,
        height: low - base - 1.0,
    };
    bench.piece(feature, mesh, &[field], &format!("{feature} R{radius:.2}"))
}
