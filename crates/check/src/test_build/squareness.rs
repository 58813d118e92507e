//! Corners between long straight edges: a plate out of square makes a box that does not close.

use super::as_drawn::Drawn;
use super::measure::{Judged, Measured};
use body::{FindingPlace, Severity};
use geom::math::{atan2, wrap_angle};
use geom::{FlatPoint, Segment, Vector2};

/// How far the end of an edge may stand out of square (mm): the outline's tolerance at either end.
const SQUARE_MM: f64 = 0.10;

/// Edges shorter than this are not looked at (mm).
const SHORT_MM: f64 = 4.0;

/// A straight side of a plate, perhaps broken by tabs.
struct Straight {
    name: String,
    meant: Vector2,
    drawn: Vector2,
    start: FlatPoint,
    drawn_start: FlatPoint,
}

/// Corners of a plate between straight sides, as drawn against as meant.
pub(crate) fn square_as_drawn(own: &Drawn<'_>) -> Option<Judged> {
    let sides = straight_sides(own);
    let n = sides.len();
    if n < 3 {
        return None;
    }
    let (out, first, second) = (0..n)
        .map(|i| {
            let (a, b) = (&sides[i], &sides[(i + 1) % n]);
            let turn = |x: &Vector2, y: &Vector2| wrap_angle(angle(y) - angle(x));
            let off = wrap_angle(turn(&a.drawn, &b.drawn) - turn(&a.meant, &b.meant));
            let length = a.meant.norm().min(b.meant.norm());
            (geom::math::sin(off) * length, a, b)
        })
        .max_by(|x, y| x.0.abs().total_cmp(&y.0.abs()))?;
    let id = &own.plate.id;
    let measured = Measured {
        path: format!("{id}/{}~{}", first.name, second.name),
        rule: "square-as-drawn",
        what: "out of square over the shorter side",
        plates: vec![id.clone()],
        should_be: 0.0,
        drawn: out,
        allowed: (-SQUARE_MM, SQUARE_MM),
        at: FindingPlace {
            plate: Some(id.clone()),
            flat: Some(second.start),
            body: Some(own.plate.forming.place(second.start).point),
        },
    };
    let (one, two) = (&first.name, &second.name);
    let length = first.meant.norm().min(second.meant.norm());
    Some(measured.judged(Severity::Error, |_| {
        format!(
            "the corner of {id} between {one} and {two} is {:.2} mm out of square in {length:.0} mm: what is boxed with it will not close",
            out.abs()
        )
    }))
}

fn angle(v: &Vector2) -> f64 {
    atan2(v.y, v.x)
}

/// Straight sides in order of travel; the parts of a side between tabs count as one.
fn straight_sides(own: &Drawn<'_>) -> Vec<Straight> {
    let Some(edges) = &own.drawn.edges else {
        return Vec::new();
    };
    let mut sides: Vec<Straight> = Vec::new();
    for (e, run) in edges.iter().enumerate() {
        let name = &own.flat.edges[e].name;
        if name.starts_with("tab-") {
            continue;
        }
        let mut meant = own.flat.edge_segments(e);
        let (Some(Segment::Line { start, end }), None) = (meant.next(), meant.next()) else {
            continue;
        };
        let (Some(first), Some(last)) = (run.first(), run.last()) else {
            continue;
        };
        let (from, to) = (first.start(), last.end());
        match sides.last_mut() {
            Some(side) if side.name == *name && parallel(&side.meant, &(end - start)) => {
                side.meant = *end - side.start;
                side.drawn = to - side.drawn_start;
            }
            _ => sides.push(Straight {
                name: name.clone(),
                meant: end - start,
                drawn: to - from,
                start: *start,
                drawn_start: from,
            }),
        }
    }
    sides.retain(|side| side.meant.norm() > SHORT_MM);
    sides
}

fn parallel(a: &Vector2, b: &Vector2) -> bool {
    a.perp(b).abs() < 1e-3 * a.norm() * b.norm() && a.dot(b) > 0.0
}
