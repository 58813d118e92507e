//! Drawings, and plates, that are wrong as a whole: of another size, or with the etch allowance on them.

use crate::drawing_notes::about;
use crate::drawn_plate::DrawnPlate;
use crate::tolerance::OUTLINE_MM;
use artwork::{
    Artwork, DrawnCurve, DrawnShape, FlatDrawing, Label, Match, MeantShape, Naming, etched,
};
use body::{Finding, FindingPlace, Plate, Severity};
use geom::{Arc, Outline, Point2, Segment};

/// A size within this share of the meant one is no other size: a wrapper may be this much long.
const OTHER_SIZE: f64 = 0.05;

/// Perimeter and area of something drawn to another size agree within this share on what size it is.
const ALIKE: f64 = 0.01;

/// Plates that must agree before a whole drawing is said to be of another size.
const FEWEST: usize = 3;

/// Sizes that have a reason: length drawn by length meant, and what was done.
const REASONS: [(f64, &str); 8] = [
    (25.4, "as if millimetres had been read as inches"),
    (1.0 / 25.4, "as if inches had been read as millimetres"),
    (10.0, "as if millimetres had been read as centimetres"),
    (0.1, "as if centimetres had been read as millimetres"),
    (4.0 / 7.0, "as if it were drawn for 4 mm scale"),
    (7.0 / 4.0, "as if it were drawn for 7 mm scale"),
    (72.0 / 96.0, "as if points had been read as pixels"),
    (96.0 / 72.0, "as if pixels had been read as points"),
];

fn reason(size: f64) -> String {
    let known = REASONS
        .iter()
        .find(|(own, _)| (size / own - 1.0).abs() < ALIKE);
    known.map_or_else(String::new, |(_, why)| format!(", {why}"))
}

/// How many times as large as meant a shape is, if it is as a whole.
fn size_of(shape: &DrawnShape, meant: &MeantShape) -> Option<f64> {
    let by_area = (shape.outline.area().abs() / meant.area).sqrt();
    let by_length = shape.outline.perimeter() / meant.perimeter();
    let alike = (by_area / by_length - 1.0).abs() < ALIKE;
    (alike && by_length.is_finite() && by_length > 0.0).then_some(by_length)
}

/// How many times as large as meant a whole drawing is, if it is: most of its named plates agree.
pub(crate) fn size_of_drawing(
    matches: &[Match],
    shapes: &[DrawnShape],
    meant: &[MeantShape],
) -> Option<f64> {
    let mut named = 0;
    let mut sizes: Vec<f64> = Vec::new();
    for own in matches {
        if !matches!(own.naming, Naming::Likeness(_)) {
            named += 1;
            sizes.extend(size_of(&shapes[own.shape], &meant[own.plate]));
        }
    }
    sizes.sort_by(f64::total_cmp);
    let size = *sizes.get(sizes.len() / 2)?;
    let agree = sizes
        .iter()
        .filter(|own| (*own / size - 1.0).abs() < ALIKE)
        .count();
    let whole = agree >= FEWEST && 2 * agree > named && (size - 1.0).abs() > OTHER_SIZE;
    whole.then_some(size)
}

/// A drawing brought to another size.
pub(crate) fn resized(artwork: &Artwork, factor: f64) -> Artwork {
    let to = |p: Point2| Point2::from(p.coords * factor);
    Artwork {
        pieces: artwork
            .pieces
            .iter()
            .map(|piece| DrawnCurve {
                segment: resized_segment(&piece.segment, factor),
                ..piece.clone()
            })
            .collect(),
        labels: artwork
            .labels
            .iter()
            .map(|label| Label {
                at: to(label.at),
                ..label.clone()
            })
            .collect(),
        ..artwork.clone()
    }
}

fn resized_segment(segment: &Segment, factor: f64) -> Segment {
    let to = |p: Point2| Point2::from(p.coords * factor);
    match segment {
        Segment::Line { start, end } => Segment::line(to(*start), to(*end)),
        Segment::Arc(arc) => Segment::Arc(Arc {
            centre: to(arc.centre),
            radius: arc.radius * factor,
            ..*arc
        }),
    }
}

/// That a whole drawing is of another size.
pub(crate) fn drawing_at_other_size(size: f64) -> Finding {
    about(
        "drawing-at-other-size",
        Severity::Error,
        "drawing",
        (size, 1.0),
        format!(
            "everything on the drawing is {size:.4} times as large as it should be{}; it was compared at the right size",
            reason(size)
        ),
    )
}

/// A drawn shape put right as a whole, and what was wrong with it.
pub(crate) struct PutRight {
    /// The shape as it was, or put right.
    pub(crate) shape: DrawnShape,
    /// What is said of it.
    pub(crate) said: Option<Finding>,
}

/// A plate that is as a whole of another size, brought to the right one.
pub(crate) fn right_size(shape: DrawnShape, plate: &Plate, meant: &MeantShape) -> PutRight {
    let Some(size) = size_of(&shape, meant).filter(|size| (size - 1.0).abs() > OTHER_SIZE) else {
        return PutRight { shape, said: None };
    };
    let resize = |outline: &Outline| {
        let run = outline
            .segments()
            .iter()
            .map(|s| resized_segment(s, 1.0 / size));
        Outline::from_chain(&geom::Chain::from_segments(run)).unwrap_or_else(|_| outline.clone())
    };
    let mut own = shape.clone();
    own.outline = resize(&own.outline);
    own.holes = own.holes.iter().map(resize).collect();
    for detail in &mut own.details {
        detail.outline = resize(&detail.outline);
    }
    let id = &plate.id;
    let sentence = format!(
        "{id} is drawn {size:.3} times as large as it should be{}; it was compared at the right size",
        reason(size)
    );
    PutRight {
        shape: own,
        said: Some(whole(plate, "drawn-at-other-size", (size, 1.0), sentence)),
    }
}

fn whole(
    plate: &Plate,
    rule: &'static str,
    (found, limit): (f64, f64),
    sentence: String,
) -> Finding {
    Finding {
        path: format!("{}/outline", plate.id),
        rule,
        severity: Severity::Error,
        found,
        limit,
        at: FindingPlace {
            plate: Some(plate.id.clone()),
            ..FindingPlace::default()
        },
        sentence,
    }
}

/// A plate that follows its flat only after the growth of the etch (mm) is taken off, or put on, once more.
pub(crate) fn right_allowance(
    shape: DrawnShape,
    plate: &Plate,
    flat: &FlatDrawing,
    meant: &MeantShape,
    growth: f64,
) -> PutRight {
    let more = (shape.outline.area().abs() - flat.outline.area()) / flat.outline.perimeter();
    let off = |shape: &DrawnShape| {
        let laid = DrawnPlate::laid(plate, flat, meant, shape)?;
        Some(laid.deviation_from(flat.outline.segments()).distance)
    };
    if growth <= 0.0
        || (more.abs() - growth).abs() > growth / 3.0
        || off(&shape).is_none_or(|off| off <= OUTLINE_MM)
    {
        return PutRight { shape, said: None };
    }
    let by = growth.copysign(more);
    let own = etched(&shape, by);
    if !own.lost.is_empty() || off(&own.shape).is_none_or(|off| off > OUTLINE_MM) {
        return PutRight { shape, said: None };
    }
    let id = &plate.id;
    let sentence = if more > 0.0 {
        format!(
            "{id}: every edge is drawn {growth:.2} mm too far out, which is the etch allowance: it is on the \
             drawing once too often"
        )
    } else {
        format!(
            "{id}: every edge is drawn {growth:.2} mm too far in, which is the etch allowance: it is not on the \
             drawing, or was taken off twice"
        )
    };
    PutRight {
        shape: own.shape,
        said: Some(whole(plate, "allowance-on-drawing", (by, 0.0), sentence)),
    }
}

/// Of findings that most plates share one for the whole drawing.
pub(crate) fn said_once(mut said: Vec<Finding>, plates: usize) -> Vec<Finding> {
    let on_most: Vec<&Finding> = said
        .iter()
        .filter(|own| own.rule == "allowance-on-drawing")
        .collect();
    if on_most.len() < FEWEST || 2 * on_most.len() <= plates {
        return said;
    }
    let (count, found) = (on_most.len(), on_most[0].found);
    let way = if found > 0.0 { "out" } else { "in" };
    let once = about(
        "allowance-on-drawing",
        Severity::Error,
        "drawing",
        (found, 0.0),
        format!(
            "{count} of {plates} plates are drawn too far {way} by the etch allowance on every edge: whether it is on \
             the drawing is not as its side file says"
        ),
    );
    said.retain(|own| own.rule != "allowance-on-drawing");
    said.push(once);
    said
}
