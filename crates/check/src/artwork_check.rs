//! A drawing made elsewhere held against the body.

use crate::comparison::PlateComparison;
use crate::drawing_notes::DrawingNotes;
use crate::drawn_plate::DrawnPlate;
use crate::drawn_tags::{OnSheet, tag_findings};
use crate::etch::drawn_etch_findings;
use crate::match_notes::match_notes;
use crate::plate_check::PlateCheck;
use crate::whereabouts::Whereabouts;
use crate::whole_size::{
    drawing_at_other_size, resized, right_allowance, right_size, said_once, size_of_drawing,
};
use crate::{ArtworkReport, CheckError, DrawingSummary, DrawingWords};
use artwork::{
    Allowance, Artwork, DrawingUnit, DrawnShape, FlatDrawing, JoinTolerance, JoinedArtwork, Match,
    MeantShape, centre_of, etched, join, match_shapes, names, plain_name,
};
use body::{Body, Plate};
use develop::EtchProcess;
use geom::Point2;

/// The most separate outlines of a drawing: ten times the parts of the largest sheets.
const MAX_SHAPES: usize = 5000;

/// Shapes that are held against one plate; a sheet seldom holds the same plate more often.
const MAX_OF_ONE_PLATE: usize = 24;

/// Holds a drawing against a body: every drawn plate against the meant one, and what it would build to.
///
/// An etch allowance that is on the drawing is taken off first, by the growth of the process in the
/// sheet of each plate.
///
/// # Errors
///
/// [`CheckError`] for a drawing whose outlines cannot be sorted out, or a body with a plate that has no flat.
pub fn check_artwork(
    body: &Body,
    artwork: &Artwork,
    words: &DrawingWords,
    process: &EtchProcess,
) -> Result<ArtworkReport, CheckError> {
    checked(body, artwork, words, process, None)
}

/// As [`check_artwork`], for a drawing that was brought to the right size from so many times it.
fn checked(
    body: &Body,
    artwork: &Artwork,
    words: &DrawingWords,
    process: &EtchProcess,
    resized_from: Option<f64>,
) -> Result<ArtworkReport, CheckError> {
    let tolerance = tolerance_of(artwork);
    let mut joined = join(&artwork.pieces, &artwork.labels, tolerance)?;
    if joined.shapes.len() > MAX_SHAPES {
        return Err(CheckError::TooManyShapes {
            count: joined.shapes.len(),
            limit: MAX_SHAPES,
        });
    }
    let flats = body
        .plates
        .iter()
        .map(FlatDrawing::of)
        .collect::<Result<Vec<_>, _>>()?;
    let growth = |plate: &Plate| match artwork.allowance {
        Allowance::Applied => process.growth_per_edge.at(plate.sheet.stock_thickness),
        Allowance::LeftToTheEtcher | Allowance::Unknown => 0.0,
    };
    let meant: Vec<MeantShape> = flats
        .iter()
        .zip(&body.plates)
        .map(|(flat, plate)| MeantShape::of(flat, growth(plate)))
        .collect();
    lay_details_in(&mut joined, &meant);
    let mut matches = match_shapes(&joined.shapes, &joined.labels_outside, &meant);
    matches.sort_by_key(|m| (m.plate, m.shape));
    if resized_from.is_none()
        && let Some(size) = size_of_drawing(&matches, &joined.shapes, &meant)
    {
        return checked(
            body,
            &resized(artwork, 1.0 / size),
            words,
            process,
            Some(size),
        );
    }
    let mut notes = DrawingNotes::new(artwork, &joined, tolerance);
    let mut per_plate = Vec::new();
    let mut findings = Vec::new();
    let mut said = Vec::new();
    let mut places = Whereabouts::default();
    let mut on_sheet = Vec::new();
    for found in few_of_each(&matches) {
        let (plate, flat) = (&body.plates[found.plate], &flats[found.plate]);
        let shape = built(
            &joined.shapes[found.shape],
            plate,
            growth(plate),
            &mut notes,
        );
        let sized = right_size(shape, plate, &meant[found.plate]);
        let etch = process.growth_per_edge.at(plate.sheet.stock_thickness);
        let right = right_allowance(sized.shape, plate, flat, &meant[found.plate], etch);
        said.extend(sized.said);
        said.extend(right.said);
        let Some(drawn) = DrawnPlate::laid(plate, flat, &meant[found.plate], &right.shape) else {
            continue;
        };
        places.add(plate, drawn.motion, &joined.shapes[found.shape]);
        on_sheet.push(OnSheet {
            plate,
            flat,
            motion: drawn.motion,
            shape: &joined.shapes[found.shape],
        });
        let (comparison, own) = PlateCheck::new(drawn, words)?.report(&found.naming);
        findings.extend(own);
        findings.extend(drawn_etch_findings(plate, flat, &comparison.laid, process));
        per_plate.push(comparison);
    }
    let not_drawn: Vec<String> = body
        .plates
        .iter()
        .enumerate()
        .filter(|(i, _)| matches.iter().all(|m| m.plate != *i))
        .map(|(_, plate)| plate.id.clone())
        .collect();
    findings.extend(tag_findings(artwork, &joined, &on_sheet, process, words));
    findings.extend(match_notes(body, &joined, &matches, &meant));
    findings.extend(said_once(said, per_plate.len()));
    findings.extend(resized_from.map(drawing_at_other_size));
    findings.extend(notes.findings(&places));
    findings.sort_by_key(|finding| finding.severity);
    Ok(ArtworkReport {
        drawing: summary(artwork, &joined),
        per_plate: in_body_order(per_plate, &body.plates),
        not_drawn,
        findings,
    })
}

/// How the curves of a drawing are joined: as its side file says, else by default.
fn tolerance_of(artwork: &Artwork) -> JoinTolerance {
    let usual = JoinTolerance::default();
    JoinTolerance {
        gap: artwork
            .join_within
            .map_or(usual.gap, |mm| mm.max(usual.together)),
        ..usual
    }
}

/// The matches that are checked: of each plate the first few, in the order given.
fn few_of_each(matches: &[Match]) -> impl Iterator<Item = &Match> {
    let mut last = (usize::MAX, 0);
    matches.iter().filter(move |found| {
        last = if last.0 == found.plate {
            (last.0, last.1 + 1)
        } else {
            (found.plate, 1)
        };
        last.1 <= MAX_OF_ONE_PLATE
    })
}

/// A drawn shape as the etch leaves it.
fn built(
    shape: &DrawnShape,
    plate: &Plate,
    growth: f64,
    notes: &mut DrawingNotes<'_>,
) -> DrawnShape {
    if growth == 0.0 {
        return shape.clone();
    }
    let etched = etched(shape, growth);
    for place in etched.lost {
        notes.lost_to_the_etch(&plate.id, place, growth);
    }
    etched.shape
}

fn in_body_order(mut comparisons: Vec<PlateComparison>, plates: &[Plate]) -> Vec<PlateComparison> {
    comparisons.sort_by_key(|c| plates.iter().position(|p| p.id == c.plate));
    comparisons
}

fn summary(artwork: &Artwork, joined: &JoinedArtwork) -> DrawingSummary {
    DrawingSummary {
        unit: match artwork.units {
            DrawingUnit::Named(unit) | DrawingUnit::Stated(unit) => Some(unit),
            DrawingUnit::Guessed(_) | DrawingUnit::NotNamed => None,
        },
        unit_mm: artwork.scale_to_mm,
        curves: artwork.pieces.len(),
        texts: artwork.labels.len(),
        shapes: joined.shapes.len(),
    }
}

/// Outlines of other layers that lie on a plate (half-etched places, rivets) become part of it.
///
/// They may share the plate's own edge, so that nesting does not see them as within it.
fn lay_details_in(joined: &mut JoinedArtwork, meant: &[MeantShape]) {
    let named = |shape: &DrawnShape| {
        meant.iter().any(|plate| {
            let plain = plain_name(&plate.id);
            names(&shape.layer, &plain)
                || shape.labels_inside.iter().any(|l| names(&l.text, &plain))
        })
    };
    let boxes: Vec<(Point2, Point2)> = joined.shapes.iter().map(|s| s.outline.bounds()).collect();
    let areas: Vec<f64> = joined.shapes.iter().map(|s| s.outline.area()).collect();
    let mut home: Vec<Option<usize>> = vec![None; boxes.len()];
    for (i, shape) in joined.shapes.iter().enumerate() {
        if named(shape) {
            continue;
        }
        let centre = centre_of(&shape.outline);
        home[i] = (0..boxes.len()).find(|&j| {
            let (low, high) = boxes[j];
            areas[j] > areas[i]
                && low.x <= centre.x
                && centre.x <= high.x
                && low.y <= centre.y
                && centre.y <= high.y
                && joined.shapes[j].outline.contains(centre)
                && !joined.shapes[j]
                    .holes
                    .iter()
                    .any(|hole| hole.contains(centre))
        });
    }
    for (i, home) in home.iter().enumerate() {
        if let Some(j) = *home {
            let outline = joined.shapes[i].outline.clone();
            joined.shapes[j].holes.push(outline);
        }
    }
    let mut at = 0;
    joined.shapes.retain(|_| {
        at += 1;
        home[at - 1].is_none()
    });
}
