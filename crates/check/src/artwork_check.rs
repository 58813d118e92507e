//! A drawing made elsewhere held against the body.

use crate::comparison::PlateComparison;
use crate::drawn_plate::DrawnPlate;
use crate::plate_check::PlateCheck;
use crate::tolerance::OPEN_RUN_MM;
use crate::{ArtworkReport, CheckError, DrawingSummary, DrawingWords};
use artwork::{
    Artwork, DrawingUnit, DrawnShape, FlatDrawing, JoinTolerance, JoinedArtwork, Match, MeantShape,
    Naming, centre_of, join, match_shapes, names, plain_name,
};
use body::{Body, Finding, FindingPlace, Plate, Severity};
use geom::Point2;

/// The most separate outlines of a drawing: ten times the parts of the largest sheets.
const MAX_SHAPES: usize = 5000;

/// Holds a drawing against a body: every drawn plate against the meant one, and what it would build to.
///
/// # Errors
///
/// [`CheckError`] for a drawing whose outlines cannot be sorted out, or a body with a plate that has no flat.
pub fn check_artwork(
    body: &Body,
    artwork: &Artwork,
    words: &DrawingWords,
) -> Result<ArtworkReport, CheckError> {
    let mut joined = join(&artwork.pieces, &artwork.labels, JoinTolerance::default())?;
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
    let meant: Vec<MeantShape> = flats.iter().map(meant_shape).collect();
    lay_details_in(&mut joined, &meant);
    let mut matches = match_shapes(&joined.shapes, &joined.labels_outside, &meant);
    matches.sort_by_key(|m| (m.plate, m.shape));
    let mut per_plate = Vec::new();
    let mut findings = Vec::new();
    for found in &matches {
        let (plate, flat) = (&body.plates[found.plate], &flats[found.plate]);
        let shape = &joined.shapes[found.shape];
        let Some(drawn) = DrawnPlate::laid(plate, flat, &meant[found.plate], shape) else {
            continue;
        };
        let (comparison, own) = PlateCheck::new(drawn, words)?.report(&found.naming);
        per_plate.push(comparison);
        findings.extend(own);
    }
    let not_drawn: Vec<String> = body
        .plates
        .iter()
        .enumerate()
        .filter(|(i, _)| matches.iter().all(|m| m.plate != *i))
        .map(|(_, plate)| plate.id.clone())
        .collect();
    findings.extend(match_notes(body, &joined, &matches));
    findings.extend(drawing_notes(artwork, &joined));
    findings.extend(not_drawn_note(body, &not_drawn));
    findings.sort_by_key(|finding| finding.severity);
    Ok(ArtworkReport {
        drawing: summary(artwork, &joined),
        per_plate: in_body_order(per_plate, &body.plates),
        not_drawn,
        findings,
    })
}

fn in_body_order(mut comparisons: Vec<PlateComparison>, plates: &[Plate]) -> Vec<PlateComparison> {
    comparisons.sort_by_key(|c| plates.iter().position(|p| p.id == c.plate));
    comparisons
}

fn summary(artwork: &Artwork, joined: &JoinedArtwork) -> DrawingSummary {
    DrawingSummary {
        unit: match artwork.units {
            DrawingUnit::Named(unit) => Some(unit),
            _ => None,
        },
        unit_mm: artwork.scale_to_mm,
        curves: artwork.pieces.len(),
        texts: artwork.labels.len(),
        shapes: joined.shapes.len(),
    }
}

fn meant_shape(flat: &FlatDrawing) -> MeantShape {
    MeantShape {
        id: flat.plate.clone(),
        title: flat.title.clone(),
        outline: flat.outline.segments().to_vec(),
        area: flat.outline.area().abs(),
        features: features_of(flat),
    }
}

/// Rivets looked at to tell which way round a plate lies.
const RIVETS_LOOKED_AT: usize = 32;

/// Middles of openings, half-etched places and some of the rivets.
fn features_of(flat: &FlatDrawing) -> Vec<Point2> {
    let step = flat.rivets.len().div_ceil(RIVETS_LOOKED_AT).max(1);
    flat.holes
        .iter()
        .map(|hole| centre_of(&hole.outline))
        .chain(flat.regions.iter().map(|region| centre_of(&region.outline)))
        .chain(flat.rivets.iter().step_by(step).map(|rivet| rivet.centre))
        .collect()
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

/// A finding about the drawing itself.
fn about(
    rule: &'static str,
    severity: Severity,
    path: &str,
    found: f64,
    limit: f64,
    sentence: String,
) -> Finding {
    Finding {
        path: path.to_owned(),
        rule,
        severity,
        found,
        limit,
        at: FindingPlace::default(),
        sentence,
    }
}

fn on_sheet(p: Point2) -> String {
    format!("({:.1}, {:.1}) on the drawing", p.x, p.y)
}

fn match_notes(body: &Body, joined: &JoinedArtwork, matches: &[Match]) -> Vec<Finding> {
    let mut notes = Vec::new();
    for found in matches {
        let plate = &body.plates[found.plate];
        let at = on_sheet(centre_of(&joined.shapes[found.shape].outline));
        if let Naming::Likeness(unlike) = found.naming {
            notes.push(about("taken-by-likeness", Severity::Note, &plate.id, 0.0, 0.0, format!(
                "the shape at {at} bears no name; taken for {} by likeness (perimeter and area within {:.1} %)",
                plate.id, 100.0 * unlike
            )));
        }
    }
    for (i, plate) in body.plates.iter().enumerate() {
        let times = matches.iter().filter(|m| m.plate == i).count();
        if times > 1 {
            notes.push(about(
                "drawn-more-than-once",
                Severity::Note,
                &plate.id,
                0.0,
                0.0,
                format!("{} is drawn {times} times; each was checked", plate.id),
            ));
        }
    }
    for (i, shape) in joined.shapes.iter().enumerate() {
        if matches.iter().all(|m| m.shape != i) {
            let (low, high) = shape.outline.bounds();
            notes.push(about("unknown-shape", Severity::Note, &format!("layer {}", shape.layer), 0.0, 0.0, format!(
                "the shape of {:.1} by {:.1} mm at {} is like no plate and bears no plate's name",
                high.x - low.x, high.y - low.y, on_sheet(centre_of(&shape.outline))
            )));
        }
    }
    notes
}

fn drawing_notes(artwork: &Artwork, joined: &JoinedArtwork) -> Vec<Finding> {
    let mut notes = Vec::new();
    if artwork.units == DrawingUnit::NotNamed {
        notes.push(about(
            "unit-not-named",
            Severity::Note,
            "$INSUNITS",
            0.0,
            0.0,
            "the drawing names no unit; it was read as millimetres".to_owned(),
        ));
    }
    for left in &artwork.not_read {
        notes.push(about(
            "not-read",
            Severity::Note,
            &format!("layer {}", left.layer),
            0.0,
            0.0,
            format!(
                "{} {} on layer {} {} not read",
                left.count,
                left.kind,
                left.layer,
                if left.count == 1 { "was" } else { "were" }
            ),
        ));
    }
    for gap in &joined.gaps {
        notes.push(about(
            "open-gap",
            Severity::Warning,
            &format!("layer {}", gap.layer),
            gap.size,
            JoinTolerance::default().together,
            format!(
                "an outline is open by {:.3} mm at {}; it was joined",
                gap.size,
                on_sheet(gap.at)
            ),
        ));
    }
    if let Some((at, layer)) = joined.duplicates.first() {
        notes.push(about(
            "drawn-again",
            Severity::Note,
            &format!("layer {layer}"),
            0.0,
            0.0,
            format!(
                "{} lines or outlines lie on others and were left out, the first at {}",
                joined.duplicates.len(),
                on_sheet(*at)
            ),
        ));
    }
    for open in &joined.open {
        let start = open.segments[0].start();
        let on_a_plate = joined.shapes.iter().any(|s| {
            s.outline.contains(open.segments[0].point_at(0.5)) || s.outline.nearest(start).1 < 0.1
        });
        if !on_a_plate && open.length() >= OPEN_RUN_MM {
            notes.push(about(
                "open-run",
                Severity::Warning,
                &format!("layer {}", open.layer),
                open.length(),
                OPEN_RUN_MM,
                format!(
                    "lines of {:.1} mm in all at {} enclose nothing and lie on no plate",
                    open.length(),
                    on_sheet(start)
                ),
            ));
        }
    }
    notes
}

fn not_drawn_note(body: &Body, not_drawn: &[String]) -> Option<Finding> {
    if not_drawn.is_empty() {
        return None;
    }
    Some(about(
        "plate-not-drawn",
        Severity::Note,
        "drawing",
        0.0,
        0.0,
        format!(
            "{} of {} plates of the body are not on this drawing: {}",
            not_drawn.len(),
            body.plates.len(),
            not_drawn.join(", ")
        ),
    ))
}
