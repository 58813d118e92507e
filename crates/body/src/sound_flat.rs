//! Whether a flat has metal, its openings within its outline and clear of one another.
//!
//! Impossible dimensions can push an opening over the edge of its plate or into another opening. Such a flat has
//! no metal to speak of at that place, so that the body is refused with the names of the two that meet.

use crate::rows::sampled;
use crate::{BodyError, Curve, Plate};
use geom::tolerance::COINCIDENT_MM;
use geom::{Outline, Point2, Segment, intersections};

/// Two ends of neighbouring pieces closer than this are the corner that they share (mm).
const CORNER_MM: f64 = 1e-6;

/// Nothing narrower is a plate (mm): a tenth of the finest tolerance that an etcher offers.
const LEAST_WIDTH_MM: f64 = 1e-3;

/// A closed curve of a plate.
struct Loop<'a> {
    /// The edge or the opening in words.
    name: &'a str,
    outline: Outline,
}

/// A piece of a loop with the upright rectangle round it.
struct Piece {
    of: usize,
    number: usize,
    segment: Segment,
    low: Point2,
    high: Point2,
}

/// Refuses a plate without metal, or whose openings cross its outline or one another, or whose outline crosses itself.
///
/// # Errors
///
/// [`BodyError::Shape`] at the sub-assembly of the plate.
pub(crate) fn refuse_impossible_flat(plate: &Plate) -> Result<(), BodyError> {
    // Written so that an area that is not a number is refused too.
    let has_metal = plate.flat_area().is_ok_and(|area| area > 0.0);
    if !has_metal {
        return Err(nothing_left(plate));
    }
    let edges: Vec<&Curve> = plate.outline.iter().map(|edge| &edge.curve).collect();
    let mut loops = vec![Loop {
        name: "edge",
        outline: sampled(plate, &edges),
    }];
    loops.extend(plate.holes.iter().map(|hole| Loop {
        name: &hole.feature,
        outline: sampled(plate, &hole.boundary.iter().collect::<Vec<_>>()),
    }));
    let (low, high) = loops[0].outline.bounds();
    if (high.x - low.x).min(high.y - low.y) < LEAST_WIDTH_MM {
        return Err(nothing_left(plate));
    }
    if let Some((one, other)) = first_crossing(&loops).or_else(|| first_misplaced(&loops)) {
        return Err(refusal(plate, loops[one].name, loops[other].name));
    }
    Ok(())
}

fn nothing_left(plate: &Plate) -> BodyError {
    shape(
        plate,
        format!(
            "nothing is left of the {} between its edges and openings",
            plate.title.to_lowercase()
        ),
    )
}

/// The error at the sub-assembly of the plate.
fn shape(plate: &Plate, sentence: String) -> BodyError {
    BodyError::Shape {
        path: plate.assembly.replace('-', "_"),
        sentence,
        help: "check the dimensions of this part against those beside it".to_owned(),
    }
}

fn refusal(plate: &Plate, one: &str, other: &str) -> BodyError {
    let title = plate.title.to_lowercase();
    let sentence = match (one, other) {
        ("edge", "edge") => format!("the edge of the {title} crosses itself"),
        (hole, "edge") | ("edge", hole) => {
            format!("the opening {hole} of the {title} runs over the edge of the plate")
        }
        (hole, second) if hole == second => {
            format!("the edge of the opening {hole} of the {title} crosses itself")
        }
        (hole, second) => {
            format!("the openings {hole} and {second} of the {title} run into each other")
        }
    };
    shape(plate, sentence)
}

/// The first two loops that cross, or one that crosses itself.
fn first_crossing(loops: &[Loop<'_>]) -> Option<(usize, usize)> {
    let mut pieces: Vec<Piece> = Vec::new();
    for (of, one) in loops.iter().enumerate() {
        let kept = one
            .outline
            .segments()
            .iter()
            .filter(|s| s.length() > COINCIDENT_MM);
        pieces.extend(kept.enumerate().map(|(number, segment)| {
            let (low, high) = segment.bounds();
            Piece {
                of,
                number,
                segment: *segment,
                low,
                high,
            }
        }));
    }
    pieces.sort_by(|a, b| a.low.x.total_cmp(&b.low.x));
    for (i, a) in pieces.iter().enumerate() {
        for b in pieces[i + 1..].iter().take_while(|b| b.low.x <= a.high.x) {
            if a.low.y <= b.high.y && b.low.y <= a.high.y && cross(a, b) {
                return Some((a.of, b.of));
            }
        }
    }
    None
}

fn cross(a: &Piece, b: &Piece) -> bool {
    let shared: Vec<Point2> = if a.of == b.of {
        let ends = |s: &Segment| [s.start(), s.end()];
        let near = |p: &Point2| ends(&b.segment).iter().any(|q| (p - q).norm() < CORNER_MM);
        ends(&a.segment).into_iter().filter(near).collect()
    } else {
        Vec::new()
    };
    debug_assert!(a.of != b.of || a.number != b.number);
    intersections(&a.segment, &b.segment)
        .iter()
        .any(|p| shared.iter().all(|s| (p - s).norm() > CORNER_MM))
}

/// The first opening that lies outside the edge or within another opening.
fn first_misplaced(loops: &[Loop<'_>]) -> Option<(usize, usize)> {
    let first = |i: usize| loops[i].outline.segments().first().map(Segment::start);
    (1..loops.len()).find_map(|i| {
        let start = first(i)?;
        if !loops[0].outline.contains(start) {
            return Some((i, 0));
        }
        (1..loops.len())
            .find(|&j| j != i && loops[j].outline.contains(start))
            .map(|j| (i, j))
    })
}
