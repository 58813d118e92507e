//! Cradles: one that holds the boiler at its height over the footplate, one for the finished body.

use geom::math::FRAC_PI_2;
use geom::{Point2, Point3, Vector3};

use super::JigPiece;
use super::bench::{Bench, Made, Trouble};
use super::fault::JigFault;
use super::letters::Field;
use super::places::extents;
use super::shape::{arc, footed, is_simple, vee};
use super::tubes::tubes;
use crate::{Mesh, subtract};

/// The cradle is bored this much over the radius of the barrel (mm): common practice, no source.
const EASE_MM: f64 = 0.075;

/// Half the angle over which a cradle bears (rad): 50°.
const BEARS: f64 = 0.872_664_625_997_164_8;

/// Plates across the boiler and a bar along it, halved into one another.
pub(super) fn make_boiler(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let Some(block) = bench.body.blocks.first() else {
        return Ok(None);
    };
    let barrels: Vec<_> = tubes(bench.body)
        .into_iter()
        .filter(|tube| tube.plate.assembly == "boiler")
        .collect();
    let (Some(first), Some(last)) = (barrels.first(), barrels.last()) else {
        return Ok(None);
    };
    // The wrapper stands on the footplate.
    let foot = block.front.start().y.min(block.front.end().y);
    let from = first.frame.origin.x;
    let to = last.frame.origin.x + last.length;
    let long = to - from;
    let thick = bench.pick(5.0, 7.0);
    let bar_thick = bench.pick(4.0, 5.0);
    let bar_tall = bench.pick(9.0, 12.0);
    let mut made = Made::default();
    let mut slots = Vec::new();
    let mut ends = Vec::new();
    let mut least = f64::INFINITY;
    for (word, share) in [("front", 0.2), ("rear", 0.8)] {
        let x = from + share * long;
        let tube = barrels
            .iter()
            .rev()
            .find(|tube| tube.frame.origin.x <= x)
            .unwrap_or(first);
        let end = tube.at((x - tube.frame.origin.x) / tube.length);
        let radius = end.radius + tube.outside() + EASE_MM;
        let under = end.centre.y - radius - foot;
        let needed_mm = 2.0 * bench.print.least_wall;
        if under < needed_mm {
            return Err(JigFault::NoRoom {
                what: "a cradle between barrel and footplate",
                found_mm: under,
                needed_mm,
            }
            .into());
        }
        least = least.min(under);
        ends.push((word, x, radius, end.centre.y - foot));
    }
    // Where the barrel lies low there is no room for the bar, and the plates stand by themselves.
    let barred = least >= bar_tall / 2.0 + 2.5;
    for (word, x, radius, height) in ends {
        let piece = plate_under(
            bench,
            word,
            (radius, height),
            thick,
            barred.then_some((bar_thick, bar_tall)),
        )?;
        made.pieces.push(piece);
        made.notes.push(format!(
            "{word} cradle {:.2} mm behind the front of the barrel, its axis {:.2} mm over the footplate",
            x - from,
            height
        ));
        slots.push(x - from);
    }
    if !barred {
        made.notes.push(format!(
            "the barrel is {least:.2} mm over the footplate, which leaves no room for a bar along it: set the plates by a rule"
        ));
        return Ok(Some(made));
    }
    let play = bench.print.slide;
    made.pieces.push(bar(
        bench,
        (long - 0.2, bar_tall, bar_thick),
        &slots,
        thick + 2.0 * play,
    )?);
    made.notes.push(format!(
        "the bar is {:.2} mm long, between the back of the smokebox and the throat plate",
        long - 0.2
    ));
    Ok(Some(made))
}

/// A plate that bears the barrel from below, notched over the bar.
fn plate_under(
    bench: &Bench<'_>,
    word: &str,
    (radius, height): (f64, f64),
    thick: f64,
    bar: Option<(f64, f64)>,
) -> Result<JigPiece, Trouble> {
    let centre = Point2::new(0.0, height);
    let mut ring = arc(centre, radius, -FRAC_PI_2 - BEARS, -FRAC_PI_2 + BEARS);
    let (reach, top) = (ring[ring.len() - 1].x, ring[ring.len() - 1].y);
    // Arms stand clear of the barrel above where it bears, and carry the name.
    let (near, far, up) = (radius + 0.8, radius + 14.8, height.max(14.0));
    ring.extend([
        Point2::new(near, top),
        Point2::new(near, up),
        Point2::new(far, up),
        Point2::new(far, 0.0),
    ]);
    if let Some((bar_thick, bar_tall)) = bar {
        let notch = bar_thick / 2.0 + bench.print.slide;
        ring.extend([
            Point2::new(notch, 0.0),
            Point2::new(notch, bar_tall / 2.0),
            Point2::new(-notch, bar_tall / 2.0),
            Point2::new(-notch, 0.0),
        ]);
    }
    ring.extend([
        Point2::new(-far, 0.0),
        Point2::new(-far, up),
        Point2::new(-near, up),
        Point2::new(-near, top),
    ]);
    debug_assert!(reach < near);
    let mesh = footed(&ring, thick, bench.print.foot_chamfer)?;
    let mark = vee(
        Point3::new(0.0, height - radius, thick - 1.5),
        Point3::new(0.0, height - radius, thick + 1.0),
        Vector3::y(),
        0.7,
    )?;
    let mesh = subtract(&mesh, &[mark])?;
    let field = Field::top(
        (near + far) / 2.0,
        up / 2.0,
        thick,
        far - near - 1.2,
        up - 1.5,
    );
    bench.piece(word, mesh, &[field], word)
}

/// A bar with notches from above.
fn bar(
    bench: &Bench<'_>,
    (long, tall, thick): (f64, f64, f64),
    slots: &[f64],
    wide: f64,
) -> Result<JigPiece, Trouble> {
    let mut ring = vec![
        Point2::new(0.0, 0.0),
        Point2::new(long, 0.0),
        Point2::new(long, tall),
    ];
    for x in slots.iter().rev() {
        ring.extend([
            Point2::new(x + wide / 2.0, tall),
            Point2::new(x + wide / 2.0, tall / 2.0),
            Point2::new(x - wide / 2.0, tall / 2.0),
            Point2::new(x - wide / 2.0, tall),
        ]);
    }
    ring.push(Point2::new(0.0, tall));
    if !is_simple(&ring) {
        return Err(JigFault::Crossed { what: "bar" }.into());
    }
    let mesh: Mesh = footed(&ring, thick, bench.print.foot_chamfer)?;
    let (a, b) = match slots {
        [a, .., b] => (a + wide / 2.0, b - wide / 2.0),
        _ => (0.0, long),
    };
    let fields = [
        Field::top((a + b) / 2.0, tall / 2.0, thick, b - a - 1.5, tall - 1.2),
        Field::top(long / 2.0, tall / 4.0, thick, long - 2.0, tall / 2.0 - 0.8),
    ];
    bench.piece("bar", mesh, &fields, "front bar")
}

/// Two trestles with room for foam round the body, and a bar between them.
pub(super) fn make_display(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let Some(footplate) = bench.plate("footplate") else {
        return Ok(None);
    };
    let (low, high) = extents(footplate);
    let foam = bench.pick(3.0, 5.0);
    let half = (high[1] - low[1]) / 2.0 + foam;
    let thick = bench.pick(6.0, 8.0);
    let (up, base) = (bench.pick(16.0, 24.0), bench.pick(16.0, 20.0));
    let (bar_tall, bar_thick) = (bench.pick(9.0, 12.0), bench.pick(5.0, 6.0));
    let wall = 6.0;
    let notch = bar_thick / 2.0 + bench.print.slide;
    let foot = half + wall + 8.0;
    let ring = vec![
        Point2::new(-foot, 0.0),
        Point2::new(-notch, 0.0),
        Point2::new(-notch, bar_tall / 2.0),
        Point2::new(notch, bar_tall / 2.0),
        Point2::new(notch, 0.0),
        Point2::new(foot, 0.0),
        Point2::new(foot, 6.0),
        Point2::new(half + wall, 12.0),
        Point2::new(half + wall, base + up),
        Point2::new(half, base + up),
        Point2::new(half, base),
        Point2::new(-half, base),
        Point2::new(-half, base + up),
        Point2::new(-half - wall, base + up),
        Point2::new(-half - wall, 12.0),
        Point2::new(-foot, 6.0),
    ];
    let mut made = Made::default();
    for word in ["front", "rear"] {
        let mesh = footed(&ring, thick, bench.print.foot_chamfer)?;
        let mark = vee(
            Point3::new(0.0, base, thick - 2.0),
            Point3::new(0.0, base, thick + 1.0),
            Vector3::y(),
            0.8,
        )?;
        let mesh = subtract(&mesh, &[mark])?;
        let high = base - bar_tall / 2.0;
        let field = Field::top(
            0.0,
            bar_tall / 2.0 + high / 2.0,
            thick,
            2.0 * half - 2.0,
            high - 1.5,
        );
        made.pieces.push(bench.piece(word, mesh, &[field], word)?);
    }
    let long = (0.6 * (high[0] - low[0])).min(bench.print.bed[0] - 5.0);
    let wide = thick + 2.0 * bench.print.slide;
    made.pieces.push(bar(
        bench,
        (long, bar_tall, bar_thick),
        &[12.0, long - 12.0],
        wide,
    )?);
    made.notes.push(format!(
        "room for {foam:.0} mm of foam on each side of the footplate; foam that paint does not stick to and that does not mark it"
    ));
    Ok(Some(made))
}
