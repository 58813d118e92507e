//! What cannot be laid out, held or etched as meant.

use super::faces::Change;
use super::sheet::{FretPlate, PlacedPlate};
use body::{Face, Finding, FindingPlace, Severity};
use geom::{FlatPoint, Point2};

pub(crate) fn finding(
    plate: &FretPlate,
    rule: &'static str,
    severity: Severity,
    (found, limit): (f64, f64),
    flat: Option<FlatPoint>,
    sentence: String,
) -> Finding {
    Finding {
        path: plate.drawing.plate.clone(),
        rule,
        severity,
        found,
        limit,
        at: FindingPlace {
            plate: Some(plate.drawing.plate.clone()),
            flat,
            body: None,
        },
        sentence,
    }
}

pub(crate) fn few_tags(plate: &FretPlate, tags: usize) -> Finding {
    let sentence = format!(
        "{} is held by {tags} of the 2 tags that it needs: its edges have no clear place for more",
        plate.drawing.plate
    );
    let numbers = (tags as f64, 2.0);
    finding(
        plate,
        "fret-few-tags",
        Severity::Warning,
        numbers,
        None,
        sentence,
    )
}

pub(crate) fn no_number(plate: &FretPlate) -> Finding {
    let sentence = format!(
        "{} bears no number: there is no clear place beside it or on its inside face; the key plan shows it",
        plate.drawing.plate
    );
    finding(
        plate,
        "fret-no-number",
        Severity::Note,
        (0.0, 0.0),
        None,
        sentence,
    )
}

pub(crate) fn unheld(plate: &FretPlate, why: &str) -> Finding {
    let sentence = format!("{} is left out of the fret: {why}", plate.drawing.plate);
    finding(
        plate,
        "fret-plate-too-large",
        Severity::Error,
        (0.0, 0.0),
        None,
        sentence,
    )
}

pub(crate) fn changed(
    change: &Change,
    plate: Option<&PlacedPlate>,
    sheet: usize,
    growth: f64,
) -> Finding {
    let face = match change.face {
        Face::Outside => "front",
        Face::Inside => "rear",
    };
    let what = match change.pieces {
        0 => "vanishes".to_owned(),
        1 => "loses an island".to_owned(),
        n => format!("falls into {n} pieces"),
    };
    let name = plate.map_or_else(|| format!("sheet {sheet}"), |own| own.drawing.plate.clone());
    let Point2 { coords } = change.at;
    let flat = plate.map(|own| own.placement.flat_point(change.at));
    let at = flat.unwrap_or(change.at);
    Finding {
        path: format!("fret/sheet-{sheet}"),
        rule: "fret-etch-lost",
        severity: Severity::Warning,
        found: 0.0,
        limit: 2.0 * growth,
        at: FindingPlace {
            plate: plate.map(|own| own.drawing.plate.clone()),
            flat,
            body: None,
        },
        sentence: format!(
            "{name}: a place etched from the {face} near x {:.2}, y {:.2} mm (sheet x {:.2}, y {:.2}) {what} when the \
             film is less by the etch allowance of {growth:.3} mm an edge",
            at.x, at.y, coords.x, coords.y
        ),
    }
}
