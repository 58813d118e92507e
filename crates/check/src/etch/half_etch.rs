//! Depth and width of half-etched places, and places etched through from both faces.

use super::clearance::crossing;
use super::openings::narrowest;
use super::{EtchCheck, ROUNDING_MM};
use artwork::{FlatRegion, centre_of};
use body::{Face, Finding, Purpose};

/// Half-etched places that do not come out as meant.
pub(super) fn half_etched(check: &EtchCheck<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut sunk = Vec::new();
    for region in &check.regions {
        let depth = depth(check, region);
        if depth > ROUNDING_MM {
            findings.extend(out_of_depth(check, region, depth));
            // A tick that comes out shallower is still seen, and nothing is fitted to its edges.
            if region.purpose != Purpose::Mark {
                findings.extend(narrow_line(check, region));
            }
            sunk.push((region, depth));
        }
    }
    findings.extend(base_out_of_depth(check));
    for (i, (one, depth)) in sunk.iter().enumerate() {
        for (other, more) in &sunk[i + 1..] {
            if one.face != other.face {
                findings.extend(through(check, (one, *depth), (other, *more)));
            }
        }
    }
    findings
}

/// How far a place is etched in from its face, below the plain metal or from the sheet as bought (mm);
/// negative where it stands proud.
fn depth(check: &EtchCheck<'_>, region: &FlatRegion) -> f64 {
    let sheet = &check.plate.sheet;
    match region.face {
        Face::Outside => {
            let below = sheet.z_high - region.z_high;
            // The base of a half-etched sheet was etched from outside already.
            if below > ROUNDING_MM {
                below + sheet.proud_height()
            } else {
                below
            }
        }
        Face::Inside => region.z_low - sheet.z_low,
    }
}

fn depth_finding(
    check: &EtchCheck<'_>,
    feature: &str,
    at: geom::FlatPoint,
    depth: f64,
) -> Option<Finding> {
    let t = check.thickness;
    let least = check.process.half_etch_least.at(t);
    let most = check.process.half_etch_most.at(t);
    let limit = if depth < least - ROUNDING_MM {
        least
    } else if depth > most + ROUNDING_MM {
        most
    } else {
        return None;
    };
    Some(check.finding(
        "half-etch-depth",
        feature,
        at,
        (depth, limit),
        &format!(
            "{feature} is etched {depth:.3} mm deep into sheet of {t:.2} mm; {least:.3} to {most:.3} mm can be held"
        ),
    ))
}

fn out_of_depth(check: &EtchCheck<'_>, region: &FlatRegion, depth: f64) -> Option<Finding> {
    depth_finding(check, &region.name, centre_of(&region.outline), depth)
}

fn base_out_of_depth(check: &EtchCheck<'_>) -> Option<Finding> {
    let depth = check.plate.sheet.proud_height();
    if depth <= ROUNDING_MM {
        return None;
    }
    depth_finding(check, "base", centre_of(&check.outline), depth)
}

fn narrow_line(check: &EtchCheck<'_>, region: &FlatRegion) -> Option<Finding> {
    // A line in a base that is half-etched already has only the base to go into: chosen, not sourced.
    let t = check.plate.sheet.thickness();
    let limit = check.process.half_etch_line.at(t);
    let (width, at) = narrowest(&region.outline, limit - ROUNDING_MM)?;
    Some(check.finding(
        "half-etch-width",
        &region.name,
        at,
        (width, limit),
        &format!(
            "the half-etched {} is {width:.3} mm wide; in metal of {t:.2} mm a line etches evenly from {limit:.3} mm",
            region.name
        ),
    ))
}

/// Places etched from both faces, one over the other, so deep that nothing is left between them.
fn through(
    check: &EtchCheck<'_>,
    (one, depth): (&FlatRegion, f64),
    (other, more): (&FlatRegion, f64),
) -> Option<Finding> {
    let t = check.thickness;
    if depth + more < t - ROUNDING_MM {
        return None;
    }
    let start = |own: &FlatRegion| own.outline.segments()[0].start();
    let at = if other.outline.contains(start(one)) {
        start(one)
    } else if one.outline.contains(start(other)) {
        start(other)
    } else {
        crossing(&one.outline, &other.outline)?
    };
    Some(check.error(
        "etched-through",
        &one.name,
        at,
        (depth + more, t),
        &format!(
            "{} and {} are etched from both faces over one another, {depth:.3} and {more:.3} mm deep: that is \
             through sheet of {t:.2} mm",
            one.name, other.name
        ),
    ))
}
