//! Least hole and least slot.

use super::walls::narrows;
use super::{EtchCheck, Opening, ROUNDING_MM};
use crate::tolerance::READING_MM;
use artwork::centre_of;
use body::Finding;
use geom::{FlatPoint, Outline};

/// A circle keeps its radius within this (mm): chords of one rise under it, and their ends are rounded.
const ROUND_MM: f64 = 1.5 * READING_MM;

/// Squares that the search for the widest place looks at before it takes what it has.
const MOST_SQUARES: usize = 20_000;

/// Holes and slots that the etch does not open.
pub(super) fn narrow_openings(check: &EtchCheck<'_>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = check
        .holes
        .iter()
        .filter_map(|hole| narrow_opening(check, hole))
        .collect();
    findings.extend(notches(check));
    findings
}

fn narrow_opening(check: &EtchCheck<'_>, hole: &Opening) -> Option<Finding> {
    let t = check.thickness;
    let (rule, what, limit) = match hole.diameter {
        Some(_) => ("least-hole", "across", check.process.least_hole.at(t)),
        None => (
            "least-slot",
            "wide at its narrowest",
            check.process.least_slot.at(t),
        ),
    };
    let (found, at) = match hole.diameter {
        Some(diameter) => (diameter, artwork::centre_of(&hole.outline)),
        None => narrowest(&hole.outline, limit - ROUNDING_MM)?,
    };
    (found < limit - ROUNDING_MM).then(|| {
        check.finding(
            rule,
            &hole.name,
            at,
            (found, limit),
            &format!(
                "{} is {found:.3} mm {what}; in sheet of {t:.2} mm the least that etches is {limit:.3} mm",
                hole.name
            ),
        )
    })
}

/// Notches in the outline that are narrower than a slot.
fn notches(check: &EtchCheck<'_>) -> Vec<Finding> {
    let t = check.thickness;
    let limit = check.process.least_slot.at(t);
    let mut least: Vec<((usize, usize), super::walls::Narrow)> = Vec::new();
    for own in narrows(&[check.outline.segments()], limit - ROUNDING_MM) {
        let (p, q) = own.ends;
        if [0.25, 0.5, 0.75]
            .iter()
            .any(|share| check.outline.contains(p + (q - p) * *share))
        {
            continue;
        }
        let key = (own.walls.0.1, own.walls.1.1);
        let names = |key: (usize, usize)| (check.edge_name(key.0), check.edge_name(key.1));
        match least
            .iter_mut()
            .find(|(other, _)| names(*other) == names(key))
        {
            Some((_, kept)) if kept.width <= own.width => {}
            Some((_, kept)) => *kept = own,
            None => least.push((key, own)),
        }
    }
    least
        .into_iter()
        .map(|((a, b), own)| {
            let (one, other) = (check.edge_name(a), check.edge_name(b));
            check.finding(
                "least-slot",
                one,
                own.middle(),
                (own.width, limit),
                &format!(
                    "the notch between the {one} and {other} edges is {:.3} mm wide; in sheet of {t:.2} mm the \
                     least that etches is {limit:.3} mm",
                    own.width
                ),
            )
        })
        .collect()
}

/// Width and place where an opening is narrower than `limit` (mm): between walls that face each other, or
/// else at its widest if even that is too narrow.
pub(super) fn narrowest(outline: &Outline, limit: f64) -> Option<(f64, FlatPoint)> {
    let between_walls = narrows(&[outline.segments()], limit)
        .into_iter()
        .filter(|own| {
            let (p, q) = own.ends;
            [0.25, 0.5, 0.75]
                .iter()
                .all(|share| outline.contains(p + (q - p) * *share))
        })
        .min_by(|a, b| a.width.total_cmp(&b.width));
    match between_walls {
        Some(own) => Some((own.width, own.middle())),
        None => widest_below(outline, limit),
    }
}

/// Diameter of an opening drawn as a circle, of arcs or of short chords; `None` if it is none.
pub(super) fn round_diameter(outline: &Outline) -> Option<f64> {
    let centre = centre_of(outline);
    let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
    for own in outline.segments() {
        for share in [0.0, 0.25, 0.5, 0.75] {
            let radius = (own.point_at(share) - centre).norm();
            least = least.min(radius);
            most = most.max(radius);
        }
    }
    (most - least < ROUND_MM).then_some(2.0 * most)
}

/// Diameter and centre of the largest circle within an outline, if it is less than `limit` (mm).
///
/// Squares are quartered where they may yet hold a larger circle: a distance changes by no more than the
/// way between two points.
fn widest_below(outline: &Outline, limit: f64) -> Option<(f64, FlatPoint)> {
    let (low, high) = outline.bounds();
    let room = |p: FlatPoint| {
        let (_, distance) = outline.nearest(p);
        if outline.contains(p) {
            distance
        } else {
            -distance
        }
    };
    let size = (high.x - low.x).max(high.y - low.y);
    let middle = nalgebra::center(&low, &high);
    let mut best = (room(middle), middle);
    let mut squares = vec![(middle, size / 2.0)];
    let mut looked_at = 0;
    while !squares.is_empty() && looked_at < MOST_SQUARES {
        let mut next = Vec::new();
        for (centre, half) in squares {
            looked_at += 1;
            let own = room(centre);
            if own > best.0 {
                best = (own, centre);
            }
            if 2.0 * best.0 >= limit {
                return None;
            }
            if own + half * std::f64::consts::SQRT_2 > best.0 + ROUNDING_MM / 10.0 {
                let quarter = half / 2.0;
                for (x, y) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
                    let shift = geom::Vector2::new(x, y) * quarter;
                    next.push((centre + shift, quarter));
                }
            }
        }
        squares = next;
    }
    Some((2.0 * best.0, best.1))
}
