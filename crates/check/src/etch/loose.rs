//! Metal that falls out and openings that are none.

use super::clearance::crossing;
use super::{EtchCheck, Opening};
use body::Finding;

/// Islands within openings, openings beside the plate, and openings that part it.
pub(super) fn loose_metal(check: &EtchCheck<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (i, hole) in check.holes.iter().enumerate() {
        findings.extend(off_plate(check, hole));
        findings.extend(parted(check, hole));
        let holes = check.holes.iter().enumerate();
        let inner = holes.filter(|(k, own)| *k != i && is_within(own, hole));
        for (_, own) in inner {
            let at = own.outline.segments()[0].start();
            findings.push(check.error(
                "loose-metal",
                &hole.name,
                at,
                (own.outline.area().abs(), 0.0),
                &format!(
                    "{} lies within {}: what is between them hangs on nothing and falls out",
                    own.name, hole.name
                ),
            ));
        }
    }
    findings
}

fn is_within(inner: &Opening, outer: &Opening) -> bool {
    let start = inner.outline.segments()[0].start();
    inner.outline.area().abs() < outer.outline.area().abs()
        && outer.outline.contains(start)
        && crossing(&inner.outline, &outer.outline).is_none()
}

fn off_plate(check: &EtchCheck<'_>, hole: &Opening) -> Option<Finding> {
    let at = artwork::centre_of(&hole.outline);
    let start = hole.outline.segments()[0].start();
    if check.outline.contains(start) || crossing(&hole.outline, &check.outline).is_some() {
        return None;
    }
    let off = check.outline.nearest(at).1;
    Some(check.error(
        "opening-off-plate",
        &hole.name,
        at,
        (off, 0.0),
        &format!("{} stands {off:.2} mm beside the plate", hole.name),
    ))
}

/// An opening that runs from edge to edge: between two of its crossings it is on the plate more than once.
fn parted(check: &EtchCheck<'_>, hole: &Opening) -> Option<Finding> {
    let mut crossings = Vec::new();
    for own in hole.outline.segments() {
        for edge in check.outline.segments() {
            crossings.extend(geom::intersections(own, edge));
        }
    }
    crossings.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    crossings.dedup_by(|a, b| (*a - *b).norm() < super::ROUNDING_MM);
    let at = *crossings.first()?;
    (crossings.len() > 3).then(|| {
        check.error(
            "plate-parted",
            &hole.name,
            at,
            (crossings.len() as f64, 2.0),
            &format!(
                "{} runs from edge to edge: the plate comes out of the etch in pieces",
                hole.name
            ),
        )
    })
}
