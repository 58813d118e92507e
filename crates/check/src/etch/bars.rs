//! Least bar: metal between openings, from an opening to an edge, and necks of the outline.

use super::walls::{Narrow, narrows};
use super::{EtchCheck, ROUNDING_MM};
use body::Finding;
use geom::Segment;

/// Metal that is narrower than can be left standing; the narrowest place between any two features.
pub(super) fn narrow_bars(check: &EtchCheck<'_>) -> Vec<Finding> {
    let limit = check.process.least_bar.at(check.thickness);
    let mut boundaries: Vec<&[Segment]> = check
        .holes
        .iter()
        .map(|hole| hole.outline.segments())
        .collect();
    boundaries.push(check.outline.segments());
    let mut least: Vec<(Sides<'_>, Narrow)> = Vec::new();
    for own in narrows(&boundaries, limit - ROUNDING_MM) {
        if !is_metal(check, &own) {
            continue;
        }
        let sides = (side(check, own.walls.0), side(check, own.walls.1));
        // An opening shows the edge that it comes nearest to, not every edge beside it.
        let same = |other: &Sides<'_>| match (sides.0, other.0) {
            (Side::Opening(a), Side::Opening(b)) if a == b => {
                sides.1 == other.1 || matches!((sides.1, other.1), (Side::Edge(_), Side::Edge(_)))
            }
            _ => sides == *other,
        };
        match least.iter_mut().find(|(other, _)| same(other)) {
            Some((_, kept)) if kept.width <= own.width => {}
            Some(kept) => *kept = (sides, own),
            None => least.push((sides, own)),
        }
    }
    let mut findings: Vec<(Sides<'_>, Finding)> = least
        .into_iter()
        .map(|(sides, own)| (sides, finding(check, sides, &own, limit)))
        .collect();
    findings.sort_by_key(|(sides, _)| *sides);
    findings.into_iter().map(|(_, finding)| finding).collect()
}

type Sides<'a> = (Side<'a>, Side<'a>);

/// What metal ends at.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Side<'a> {
    Opening(usize),
    Edge(&'a str),
}

fn side<'c>(check: &'c EtchCheck<'_>, (boundary, place): (usize, usize)) -> Side<'c> {
    if boundary < check.holes.len() {
        Side::Opening(boundary)
    } else {
        Side::Edge(check.edge_name(place))
    }
}

fn words(check: &EtchCheck<'_>, side: Side<'_>) -> String {
    match side {
        Side::Opening(hole) => check.holes[hole].name.clone(),
        Side::Edge(name) => format!("the {name} edge"),
    }
}

/// True if the way runs through metal alone; where boundaries cross there is none left to ask for.
fn is_metal(check: &EtchCheck<'_>, own: &Narrow) -> bool {
    let (p, q) = own.ends;
    own.width == 0.0
        || [0.25, 0.5, 0.75].iter().all(|share| {
            let at = p + (q - p) * *share;
            check.outline.contains(at) && !check.holes.iter().any(|hole| hole.outline.contains(at))
        })
}

fn finding(check: &EtchCheck<'_>, sides: Sides<'_>, own: &Narrow, limit: f64) -> Finding {
    let feature = match sides.0 {
        Side::Opening(hole) => &check.holes[hole].name,
        Side::Edge(name) => name,
    };
    let (one, other) = (words(check, sides.0), words(check, sides.1));
    check.finding(
        "least-bar",
        feature,
        own.ends.0,
        (own.width, limit),
        &format!(
            "the metal between {one} and {other} is {:.3} mm wide; in sheet of {:.2} mm the least that etches is \
             {limit:.3} mm",
            own.width, check.thickness
        ),
    )
}
