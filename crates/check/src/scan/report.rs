//! A scan held against a body: everything that is told of it.

use super::agreed::agree;
use super::align::{Alignment, LEAST_POINTS, align};
use super::built_error::{BuiltError, built_errors, single_errors};
use super::error::ScanError;
use super::findings::findings;
use super::mirrored::{Handedness, handedness};
use super::off_body::{NO_PART, PointOff, offs};
use super::parts::Made;
use super::samples::Samples;
use super::scale::{Scale, at_its_size};
use super::scan_file::ScanFile;
use super::single::singles;
use super::statistics::Spread;
use super::strays::leave_out_strays;
use super::surface::BodySurface;
use super::unit::{ScanUnit, unit_of};
use crate::tolerance::built_place;
use body::Finding;
use geom::Point3;

/// Points farther than this share of the body's size belong to nothing of it: the stand, the bench, dust.
const REACH_SHARE: f64 = 1.0 / 150.0;

/// How the surface of one plate or fitting was built.
#[derive(Clone, Debug, PartialEq)]
pub struct PartSpread {
    /// The plate or fitting.
    pub id: String,
    /// Its name on a sheet.
    pub title: String,
    /// Its sub-assembly.
    pub assembly: &'static str,
    /// Whether it is a plate.
    pub is_plate: bool,
    /// Distances of the scan from it.
    pub spread: Spread,
}

/// A scan held against a body.
#[derive(Clone, Debug)]
pub struct ScanReport {
    /// Points of the file.
    pub file_points: usize,
    /// Triangles of the file; none for a cloud of points.
    pub file_triangles: usize,
    /// Triangles without area, which were left out.
    pub flat_triangles: usize,
    /// Unit of the file.
    pub unit: ScanUnit,
    /// Whether the unit was guessed from the size.
    pub unit_guessed: bool,
    /// How the scan was laid on the body.
    pub alignment: Alignment,
    /// By which share the scan is larger than the body; if that is told, everything else is of the scan at the body's size.
    pub scale: Scale,
    /// Whether it can be told from its mirror image.
    pub handedness: Handedness,
    /// Points from farther than which nothing belongs to the body (mm).
    pub reach: f64,
    /// Points, of those measured, that belong to no part.
    pub beyond: usize,
    /// Points, of those measured, on wheels and rods, which are not judged.
    pub on_running_gear: usize,
    /// Points near the body that have too few of their neighbours beside them: they belong to nothing either.
    pub strays: usize,
    /// The tolerance of the surface (mm).
    pub tolerance: f64,
    /// The longest way across the body (mm), and its scale (mm to the foot).
    pub(super) size: f64,
    pub(super) mm_per_foot: f64,
    /// Distances from the whole body.
    pub whole: Spread,
    /// Distances from each plate and fitting that was scanned, in the order of the body.
    pub parts: Vec<PartSpread>,
    /// Plates that can be seen and were not scanned.
    pub not_scanned: Vec<String>,
    /// What is built wrong.
    pub errors: Vec<BuiltError>,
    /// What was found.
    pub findings: Vec<Finding>,
    /// Points that were measured, in the frame of the body, with their part and distance.
    pub places: Places,
}

/// Measured points in the frame of the body.
#[derive(Clone, Debug, Default)]
pub struct Places {
    points: Vec<Point3>,
    offs: Vec<PointOff>,
    ids: Vec<String>,
}

impl Places {
    /// Points on a plate or fitting with their distances (mm, positive where the metal is proud).
    pub fn on(&self, id: &str) -> Vec<(Point3, f64)> {
        let number = self.ids.iter().position(|own| own == id);
        let all = self.points.iter().zip(&self.offs);
        all.filter(|(_, own)| Some(usize::from(own.part)) == number)
            .map(|(point, own)| (*point, f64::from(own.off)))
            .collect()
    }

    /// All points that belong to the body, with the number of their part and their distances (mm).
    pub fn all(&self) -> impl Iterator<Item = (&Point3, usize, f64)> {
        let all = self.points.iter().zip(&self.offs);
        all.filter(|(_, own)| own.part != NO_PART)
            .map(|(point, own)| (point, usize::from(own.part), f64::from(own.off)))
    }

    /// Name of a part by its number.
    pub fn id(&self, number: usize) -> &str {
        &self.ids[number]
    }
}

/// How a scan is to be held against a body.
#[derive(Clone, Copy, Debug, Default)]
pub struct ScanOptions {
    /// Unit of the file; guessed from the size if it is not said.
    pub unit: Option<ScanUnit>,
}

/// Holds a scan against a body at a scale (mm to the foot).
///
/// # Errors
///
/// [`ScanError`] for a scan in no unit of the body's size, one that fits in no position, and a mirror image.
pub fn compare_scan(
    surface: &BodySurface<'_>,
    scan: ScanFile,
    mm_per_foot: f64,
    options: ScanOptions,
) -> Result<ScanReport, ScanError> {
    let (file_points, file_triangles) = (scan.points.len(), scan.triangles.len());
    let flat_triangles = scan.flat_triangles;
    // Triangles are sampled, so that a drawing of a few large ones would be laid on the body; no scan has so few points.
    if file_points < LEAST_POINTS {
        return Err(ScanError::TooFew {
            points: file_points,
            least: LEAST_POINTS,
        });
    }
    let mut samples = Samples::of(scan);
    let guessed = unit_of(samples.reach(), surface.size(), mm_per_foot);
    let unit = match options.unit {
        Some(unit) => unit,
        None => guessed?,
    };
    samples.scale(unit.millimetres(mm_per_foot));
    let alignment = align(surface, &mut samples)?;
    let handedness = handedness(surface, &samples, &alignment);
    if let Handedness::Mirrored { by } = &handedness {
        return Err(ScanError::Mirrored {
            feature: by.clone(),
        });
    }
    let reach = surface.size() * REACH_SHARE;
    let sized = at_its_size(surface, &mut samples, alignment, mm_per_foot);
    let (alignment, scale, mut stances) = (sized.alignment, sized.scale, sized.stances);
    let place = built_place(mm_per_foot);
    let fitted = stances.clone();
    agree(surface, &samples, &alignment, &mut stances, place);
    let mut offs = offs(surface, &samples, &alignment, &stances, reach);
    let strays = leave_out_strays(&mut offs, &samples.points, alignment.noise);
    let tolerance = place;
    let (whole, parts) = spreads(surface, &samples, &offs, tolerance);
    let whole = whole.ok_or(ScanError::NoFit { share: 0.0, reach })?;
    let single = singles(surface, &samples, &alignment, &stances, &offs, place);
    let single = single_errors(surface, &single, mm_per_foot);
    // A group whose plate could not be made out after all stands as it was found.
    let group_of = |error: &BuiltError| {
        let own = surface.parts.iter();
        let mut own = own.filter(|own| Some(own.id()) == error.plate.as_deref());
        own.next().and_then(|own| own.group)
    };
    for (group, fitted) in fitted.into_iter().enumerate() {
        if single.iter().all(|error| group_of(error) != Some(group)) {
            stances[group] = fitted;
        }
    }
    let mut errors = built_errors(surface, &stances, mm_per_foot);
    errors.extend(single);
    let on_running_gear = count(&offs, |own| {
        own.part != NO_PART && surface.parts[usize::from(own.part)].group.is_none()
    });
    let mut report = ScanReport {
        file_points,
        file_triangles,
        flat_triangles,
        unit,
        unit_guessed: options.unit.is_none() && unit != ScanUnit::Millimetre,
        scale,
        handedness,
        reach,
        beyond: count(&offs, |own| own.part == NO_PART) - strays,
        on_running_gear,
        strays,
        tolerance,
        size: surface.size(),
        mm_per_foot,
        whole,
        not_scanned: not_scanned(surface, &parts),
        parts,
        errors,
        findings: Vec::new(),
        places: places(surface, samples, offs, &alignment),
        alignment,
    };
    report.findings = findings(&report);
    Ok(report)
}

fn count(offs: &[PointOff], is: impl Fn(&PointOff) -> bool) -> usize {
    offs.iter().filter(|own| is(own)).count()
}

/// Distances from the whole body and from each part that has enough points.
fn spreads(
    surface: &BodySurface<'_>,
    samples: &Samples,
    offs: &[PointOff],
    tolerance: f64,
) -> (Option<Spread>, Vec<PartSpread>) {
    let mut by_part: Vec<Vec<(f64, f64)>> = vec![Vec::new(); surface.parts.len()];
    for (own, weight) in offs.iter().zip(&samples.weights) {
        if own.part != NO_PART {
            by_part[usize::from(own.part)].push((f64::from(own.off), f64::from(*weight)));
        }
    }
    let mut all = Vec::new();
    let mut parts = Vec::new();
    for (part, mut own) in surface.parts.iter().zip(by_part) {
        if part.group.is_none() {
            continue;
        }
        all.extend_from_slice(&own);
        if let Some(spread) = Spread::of(&mut own, tolerance) {
            parts.push(PartSpread {
                id: part.id().to_owned(),
                title: part.title(),
                assembly: part.assembly(),
                is_plate: matches!(part.made, Made::Plate(_)),
                spread,
            });
        }
    }
    (Spread::of(&mut all, tolerance), parts)
}

/// Plates of which something can be seen and nothing was scanned.
fn not_scanned(surface: &BodySurface<'_>, scanned: &[PartSpread]) -> Vec<String> {
    let mut is_seen = vec![false; surface.parts.len()];
    for facet in &surface.facets {
        is_seen[facet.part as usize] = true;
    }
    let seen = surface.parts.iter().zip(is_seen).filter(|own| own.1);
    seen.filter(|(part, _)| matches!(part.made, Made::Plate(_)))
        .filter(|(part, _)| scanned.iter().all(|own| own.id != part.id()))
        .map(|(part, _)| part.id().to_owned())
        .collect()
}

fn places(
    surface: &BodySurface<'_>,
    samples: Samples,
    offs: Vec<PointOff>,
    alignment: &Alignment,
) -> Places {
    let mut points = samples.points;
    for point in &mut points {
        *point = alignment.pose.point(point);
    }
    Places {
        points,
        offs,
        ids: surface
            .parts
            .iter()
            .map(|part| part.id().to_owned())
            .collect(),
    }
}
