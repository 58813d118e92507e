//! What there is to say of which drawn shape is which plate.

use crate::drawing_notes::{about, on_sheet};
use artwork::{DrawnShape, JoinedArtwork, Match, MeantShape, Naming, centre_of, is_image_of};
use body::{Body, Finding, Severity};

/// Shapes that no plate is like that are listed one by one.
const LISTED: usize = 40;

/// Notes and warnings on the matches, in the order of shapes and plates.
pub(crate) fn match_notes(
    body: &Body,
    joined: &JoinedArtwork,
    matches: &[Match],
    meant: &[MeantShape],
) -> Vec<Finding> {
    let mut notes = taken_by_likeness(body, joined, matches);
    notes.extend(drawn_more_than_once(body, matches, meant));
    notes.extend(unknown_shapes(joined, matches));
    notes.extend(match matches {
        [] if !body.plates.is_empty() => Some(nothing_drawn(joined)),
        _ => not_drawn(body, matches),
    });
    notes
}

fn taken_by_likeness(body: &Body, joined: &JoinedArtwork, matches: &[Match]) -> Vec<Finding> {
    let note = |found: &Match, unlike: f64| {
        let id = &body.plates[found.plate].id;
        let at = on_sheet(centre_of(&joined.shapes[found.shape].outline));
        about(
            "taken-by-likeness",
            Severity::Note,
            id,
            (0.0, 0.0),
            format!(
                "the shape at {at} bears no name; taken for {id} by likeness (perimeter and area within {:.1} %)",
                100.0 * unlike
            ),
        )
    };
    matches
        .iter()
        .filter_map(|found| match found.naming {
            Naming::Likeness(unlike) => Some(note(found, unlike)),
            Naming::Label(_) | Naming::Layer(_) => None,
        })
        .collect()
}

fn drawn_more_than_once(body: &Body, matches: &[Match], meant: &[MeantShape]) -> Vec<Finding> {
    let times = |plate: usize| matches.iter().filter(|m| m.plate == plate).count();
    let mut notes = Vec::new();
    for (i, plate) in body.plates.iter().enumerate() {
        let count = times(i);
        if count < 2 {
            continue;
        }
        let partner =
            (0..meant.len()).find(|&j| times(j) == 0 && is_image_of(&meant[i], &meant[j], true));
        notes.push(match partner {
            Some(j) => about(
                "same-hand-twice",
                Severity::Error,
                &plate.id,
                (0.0, 0.0),
                format!(
                    "{} is drawn {count} times and its other hand {} not at all",
                    plate.id, body.plates[j].id
                ),
            ),
            None => about(
                "drawn-more-than-once",
                Severity::Note,
                &plate.id,
                (0.0, 0.0),
                format!("{} is drawn {count} times", plate.id),
            ),
        });
    }
    notes
}

fn unknown_shapes(joined: &JoinedArtwork, matches: &[Match]) -> Vec<Finding> {
    let mut known = vec![false; joined.shapes.len()];
    for found in matches {
        known[found.shape] = true;
    }
    let unknown: Vec<&DrawnShape> = joined
        .shapes
        .iter()
        .zip(&known)
        .filter(|(_, known)| !**known)
        .map(|(shape, _)| shape)
        .collect();
    let mut notes: Vec<Finding> = unknown
        .iter()
        .take(LISTED)
        .map(|shape| {
            let (low, high) = shape.outline.bounds();
            about(
                "unknown-shape",
                Severity::Note,
                &format!("layer {}", shape.layer),
                (0.0, 0.0),
                format!(
                    "the shape of {:.1} by {:.1} mm at {} is like no plate and bears no plate's name",
                    high.x - low.x,
                    high.y - low.y,
                    on_sheet(centre_of(&shape.outline))
                ),
            )
        })
        .collect();
    if unknown.len() > LISTED
        && let Some(last) = notes.last_mut()
    {
        last.sentence = format!(
            "{}; and so are {} more",
            last.sentence,
            unknown.len() - LISTED
        );
    }
    notes
}

/// Nothing was checked, which must not read as if nothing were wrong.
fn nothing_drawn(joined: &JoinedArtwork) -> Finding {
    about(
        "no-plate-drawn",
        Severity::Error,
        "drawing",
        (0.0, 1.0),
        format!(
            "none of the {} closed outlines of this drawing is a plate of the body, so nothing was checked: name plates by texts, layers \
             or ids",
            joined.shapes.len()
        ),
    )
}

fn not_drawn(body: &Body, matches: &[Match]) -> Option<Finding> {
    let missing: Vec<&str> = body
        .plates
        .iter()
        .enumerate()
        .filter(|(i, _)| matches.iter().all(|m| m.plate != *i))
        .map(|(_, plate)| plate.id.as_str())
        .collect();
    (!missing.is_empty()).then(|| {
        about(
            "plate-not-drawn",
            Severity::Note,
            "drawing",
            (0.0, 0.0),
            format!(
                "{} of {} plates of the body are not on this drawing: {}",
                missing.len(),
                body.plates.len(),
                missing.join(", ")
            ),
        )
    })
}
