//! Depth and width of half-etched places, and places etched through from both faces.

use super::clearance::crossing;
use super::openings::narrowest;
use super::{EtchCheck, ROUNDING_MM};
use crate::DrawnFlat;
use crate::test_build::etched::{drawn_for, face_of};
use artwork::{FlatDrawing, FlatRegion, Role, centre_of};
use body::{Face, Finding, Plate, Purpose};
use develop::EtchProcess;
use geom::Outline;

/// Half-etched places as drawn elsewhere: each with the depth of the meant one that it is taken for.
///
/// One that nobody meant is etched as deep as the process etches from one face. Whether a line of it is wide enough
/// cannot be told, since lettering and scribed lines are narrow on purpose: it counts as a mark.
pub(super) fn drawn_places(
    plate: &Plate,
    flat: &FlatDrawing,
    drawn: &DrawnFlat,
    process: &EtchProcess,
) -> Vec<FlatRegion> {
    let mut taken: Vec<&(Role, Outline)> = Vec::new();
    let mut places = Vec::new();
    for region in &flat.regions {
        let Some(own) = drawn_for(region, drawn) else {
            continue;
        };
        taken.push(own);
        let own_face = face_of(own.0);
        if own_face.is_none_or(|face| face == region.face) {
            places.push(FlatRegion {
                outline: own.1.clone(),
                ..region.clone()
            });
        } else if let Some(face) = own_face {
            places.push(unmeant(plate, process, face, &region.name, &own.1));
        }
    }
    let others = drawn.details.iter();
    places.extend(
        others
            .filter(|own| !taken.iter().any(|other| std::ptr::eq(*other, *own)))
            .filter_map(|(role, outline)| {
                let at = centre_of(outline);
                let name = format!("place at ({:.2}, {:.2})", at.x, at.y);
                Some(unmeant(plate, process, face_of(*role)?, &name, outline))
            }),
    );
    places
}

/// A half-etched place of the process's own depth.
fn unmeant(
    plate: &Plate,
    process: &EtchProcess,
    face: Face,
    name: &str,
    outline: &Outline,
) -> FlatRegion {
    let depth = process.half_etch_depth.at(plate.sheet.stock_thickness);
    let sheet = &plate.sheet;
    // From the outside the sheet as bought is etched, of which raised rivets and bands may be left.
    let (z_low, z_high) = match face {
        Face::Outside => (
            sheet.z_low,
            sheet.z_high - (depth - sheet.proud_height()).max(0.0),
        ),
        Face::Inside => (sheet.z_low + depth, sheet.z_high),
    };
    FlatRegion {
        name: name.to_owned(),
        purpose: Purpose::Mark,
        face,
        z_low,
        z_high,
        outline: outline.clone(),
    }
}

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
