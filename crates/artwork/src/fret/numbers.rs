//! Where the number of each plate stands: on the waste beside it, or on its inside face.

use super::furniture::FurnitureRules;
use super::lettering::Lettering;
use super::nesting::{SheetRoom, TurnedShape};
use super::sheet::PlacedPlate;
use super::tags::is_etched_from_outside;
use geom::{Outline, Point2, Vector2};

/// Places for a number are looked at this far apart (mm).
const STEP_MM: f64 = 0.7;

/// A number stands no further than this from its plate (mm).
const NEAR_MM: f64 = 7.0;

/// A number plainly belongs to a plate that is nearer to it than others by this (mm).
const PLAINLY_MM: f64 = 0.8;

/// Metal round a number (mm).
const CLEAR_MM: f64 = 0.3;

/// Writes the numbers of all plates from the `first` on that have room for one to the others; the plates without.
pub(crate) fn numbers(
    plates: &[PlacedPlate],
    first: usize,
    words: &mut Vec<Lettering>,
    room: &mut SheetRoom,
    rules: &FurnitureRules<'_>,
) -> Vec<usize> {
    let mut without = Vec::new();
    for (i, plate) in plates.iter().enumerate().skip(first) {
        let letters = Lettering {
            text: plate.number.to_string(),
            at: Point2::origin(),
            height: rules.letter_height(),
            stroke: rules.stroke(),
            mirrored: false,
        };
        let beside = beside(plates, i, &letters, words, room);
        match beside.or_else(|| on_plate(plate, &letters)) {
            Some(own) => words.push(own),
            None => without.push(i),
        }
    }
    without
}

/// Room of a text with metal round it: width and height.
fn size(letters: &Lettering) -> (f64, f64) {
    let round = 2.0 * CLEAR_MM;
    (
        letters.width() + round,
        letters.height + letters.stroke + round,
    )
}

fn placed(letters: &Lettering, corner: Point2) -> Lettering {
    let inset = CLEAR_MM + letters.stroke / 2.0;
    Lettering {
        at: corner + Vector2::new(inset, inset),
        ..letters.clone()
    }
}

/// The place on the waste nearest to the plate, of those that are nearer to no other one if there are any.
fn beside(
    plates: &[PlacedPlate],
    own: usize,
    letters: &Lettering,
    others: &[Lettering],
    room: &mut SheetRoom,
) -> Option<Lettering> {
    let (width, height) = size(letters);
    let rectangle = Outline::rectangle(Point2::origin(), Point2::new(width, height));
    let shape = TurnedShape::of(&rectangle)?;
    let mut buffer = shape.buffer();
    let drawing = &plates[own].drawing;
    let (low, high) = drawing.bounds;
    let columns = ((high.x - low.x + 2.0 * NEAR_MM) / STEP_MM) as usize;
    let rows = ((high.y - low.y + 2.0 * NEAR_MM) / STEP_MM) as usize;
    let middle = |corner: Vector2| Point2::from(corner + Vector2::new(width, height) / 2.0);
    let mut places: Vec<(f64, Vector2)> = Vec::new();
    for row in 0..=rows {
        for column in 0..=columns {
            let corner = Vector2::new(
                low.x - NEAR_MM + column as f64 * STEP_MM,
                low.y - NEAR_MM + row as f64 * STEP_MM,
            );
            if room.is_taken(corner, corner + Vector2::new(width, height))
                || !room.is_free(&mut buffer, &shape, corner)
            {
                continue;
            }
            let apart = drawing.outline.nearest(middle(corner)).1;
            if apart < NEAR_MM {
                places.push((apart, corner));
            }
        }
    }
    // Stable: of places equally near the lowest and leftmost stays first.
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    let plain = places.iter().find(|(apart, corner)| {
        is_nearest(plates, own, middle(*corner), *apart)
            && others
                .iter()
                .all(|other| !read_as_one(other, &placed(letters, Point2::from(*corner))))
    });
    let (_, corner) = *plain.or(places.first())?;
    room.take(&shape, corner);
    Some(placed(letters, corner.into()))
}

/// True if two numbers stand so near to one another in a line that they read as one.
fn read_as_one(one: &Lettering, other: &Lettering) -> bool {
    let apart = |a: f64, b: f64, width: f64| (a - b).abs() - width;
    let width = if one.at.x < other.at.x {
        one.width()
    } else {
        other.width()
    };
    !one.mirrored
        && apart(one.at.x, other.at.x, width) < 0.7 * one.height
        && apart(one.at.y, other.at.y, 0.0) < one.height
}

/// True if every other plate is further from a place by [`PLAINLY_MM`].
fn is_nearest(plates: &[PlacedPlate], own: usize, at: Point2, apart: f64) -> bool {
    let reach = apart + PLAINLY_MM;
    plates.iter().enumerate().all(|(i, other)| {
        let (low, high) = other.drawing.bounds;
        let out = (low.x - at.x)
            .max(at.x - high.x)
            .max(low.y - at.y)
            .max(at.y - high.y);
        i == own || out > reach || other.drawing.outline.nearest(at).1 > reach
    })
}

/// A clear place on the plate's inside face, in the middle if it can be; it reads from the rear.
fn on_plate(plate: &PlacedPlate, letters: &Lettering) -> Option<Lettering> {
    let drawing = &plate.drawing;
    if is_etched_from_outside(drawing) {
        // From both faces the number would be a hole.
        return None;
    }
    let (width, height) = size(letters);
    let (low, high) = drawing.bounds;
    let (columns, rows) = (
        ((high.x - low.x - width) / STEP_MM).floor(),
        ((high.y - low.y - height) / STEP_MM).floor(),
    );
    if columns < 0.0 || rows < 0.0 {
        return None;
    }
    let middle = Point2::from((low.coords + high.coords - Vector2::new(width, height)) / 2.0);
    let mut corners = Vec::new();
    for row in 0..=rows as usize {
        for column in 0..=columns as usize {
            let step = Vector2::new(column as f64, row as f64) * STEP_MM;
            corners.push(low + step);
        }
    }
    corners.sort_by(|a, b| (a - middle).norm().total_cmp(&(b - middle).norm()));
    let blocked = borders(plate);
    let corner = corners
        .into_iter()
        .find(|corner| is_clear(plate, &blocked, *corner, (width, height)))?;
    Some(Lettering {
        mirrored: true,
        ..placed(letters, corner)
    })
}

/// Points along everything that a number on the plate must keep off.
fn borders(plate: &PlacedPlate) -> Vec<Point2> {
    let drawing = &plate.drawing;
    let outlines = std::iter::once(&drawing.outline)
        .chain(drawing.holes.iter().map(|own| &own.outline))
        .chain(drawing.regions.iter().map(|own| &own.outline));
    let mut points: Vec<Point2> = Vec::new();
    for segment in outlines.flat_map(|own| own.segments()) {
        let n = (segment.length() / 0.2).ceil().max(1.0) as usize;
        points.extend((0..n).map(|i| segment.point_at(i as f64 / n as f64)));
    }
    points.extend(drawing.rivets.iter().map(|own| own.centre));
    points
}

fn is_clear(plate: &PlacedPlate, borders: &[Point2], corner: Point2, size: (f64, f64)) -> bool {
    let far = corner + Vector2::new(size.0, size.1);
    let in_box = |p: &Point2| {
        p.x > corner.x - CLEAR_MM
            && p.x < far.x + CLEAR_MM
            && p.y > corner.y - CLEAR_MM
            && p.y < far.y + CLEAR_MM
    };
    let drawing = &plate.drawing;
    let middle = Point2::from((corner.coords + far.coords) / 2.0);
    let in_region = || {
        let regions = drawing.regions.iter().map(|own| &own.outline);
        let holes = drawing.holes.iter().map(|own| &own.outline);
        regions.chain(holes).any(|own| own.contains(middle))
    };
    !borders.iter().any(in_box) && drawing.outline.contains(middle) && !in_region()
}
