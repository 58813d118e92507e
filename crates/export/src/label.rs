//! Where the name of a plate stands on its drawing.

use artwork::FlatDrawing;
use geom::FlatPoint;

/// A line of text on a drawing, from its lower left corner.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Label {
    pub(crate) text: String,
    pub(crate) at: FlatPoint,
    /// Height of capitals (mm).
    pub(crate) height: f64,
}

/// Width of a character in heights, on the wide side of drawing fonts.
const CHARACTER_WIDTH: f64 = 0.9;

/// Greatest and least height of a plate's name (mm).
const HEIGHTS: (f64, f64) = (2.5, 0.8);

/// Least height of the name of a plate too small for any other (mm): a drawing is looked at enlarged.
const LEAST_HEIGHT: f64 = 0.3;

/// Lines across the plate along which room for its name is looked for.
const LINES: usize = 24;

impl Label {
    pub(crate) fn new(text: &str, at: FlatPoint, height: f64) -> Self {
        Self {
            text: text.to_owned(),
            at,
            height,
        }
    }

    fn width(&self) -> f64 {
        self.text.chars().count() as f64 * self.height * CHARACTER_WIDTH
    }

    /// Upper right corner of the text.
    pub(crate) fn far_corner(&self) -> FlatPoint {
        FlatPoint::new(self.at.x + self.width(), self.at.y + self.height)
    }
}

/// The plate's id inside its outline and clear of openings; of a plate too small for it, begun where it is widest.
///
/// The place where the text begins is always in the plate's metal, so that no neighbour can be taken for it.
pub(crate) fn plate_label(drawing: &FlatDrawing) -> Label {
    let characters = drawing.plate.chars().count().max(1) as f64;
    let (low, high) = drawing.bounds;
    let borders = flattened(drawing);
    let mut best: Option<Label> = None;
    for i in 1..LINES {
        let y = low.y + (high.y - low.y) * i as f64 / LINES as f64;
        let Some((from, to)) = widest_room(&borders, y) else {
            continue;
        };
        let height = (0.8 * (to - from) / (characters * CHARACTER_WIDTH)).min(HEIGHTS.0);
        let mut label = Label::new(&drawing.plate, FlatPoint::new(from, y), height);
        label.at.x = (from + to - label.width()) / 2.0;
        let fits = height >= HEIGHTS.1 && is_clear(&borders, &label);
        // A larger text is better; of equal ones the first, nearest the bottom, stays.
        if fits && best.as_ref().is_none_or(|b| label.height > b.height + 1e-9) {
            best = Some(label);
        }
    }
    best.unwrap_or_else(|| in_widest_place(drawing, &borders, characters))
}

/// The plate's id along the widest stretch of metal, as small as need be.
fn in_widest_place(
    drawing: &FlatDrawing,
    borders: &[(FlatPoint, FlatPoint)],
    characters: f64,
) -> Label {
    let (low, high) = drawing.bounds;
    let rooms = (1..LINES).filter_map(|i| {
        let y = low.y + (high.y - low.y) * i as f64 / LINES as f64;
        widest_room(borders, y).map(|(from, to)| (y, from, to))
    });
    // The first of equal ones stays.
    let widest = rooms.reduce(|a, b| if b.2 - b.1 > a.2 - a.1 + 1e-9 { b } else { a });
    let (y, from, to) = widest.unwrap_or((low.y, low.x, high.x));
    let height =
        (0.8 * (to - from) / (characters * CHARACTER_WIDTH)).clamp(LEAST_HEIGHT, HEIGHTS.1);
    let mut label = Label::new(&drawing.plate, FlatPoint::new(from, y), height);
    let centred = (from + to - label.width()) / 2.0;
    label.at.x = centred.max(from + 0.1 * (to - from));
    label
}

/// Outline, openings and rivets as straight sides.
fn flattened(drawing: &FlatDrawing) -> Vec<(FlatPoint, FlatPoint)> {
    let rings = std::iter::once(&drawing.outline).chain(drawing.holes.iter().map(|h| &h.outline));
    rings
        .flat_map(|outline| {
            let points = outline.flattened(0.1);
            let n = points.len();
            (0..n)
                .map(|i| (points[i], points[(i + 1) % n]))
                .collect::<Vec<_>>()
        })
        .collect()
}

/// The widest stretch of metal along a horizontal line.
fn widest_room(sides: &[(FlatPoint, FlatPoint)], y: f64) -> Option<(f64, f64)> {
    let mut crossings: Vec<f64> = sides
        .iter()
        .filter(|(a, b)| (a.y <= y) != (b.y <= y))
        .map(|(a, b)| a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x))
        .collect();
    crossings.sort_by(f64::total_cmp);
    // Inside and outside take turns, so stretches of metal are every second one.
    crossings
        .chunks_exact(2)
        .map(|pair| (pair[0], pair[1]))
        .max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))
}

/// True if no border runs through the text's rectangle: its four corners see the same metal.
fn is_clear(sides: &[(FlatPoint, FlatPoint)], label: &Label) -> bool {
    let (low, high) = (label.at, label.far_corner());
    (0..=4).all(|i| {
        let y = low.y + (high.y - low.y) * f64::from(i) / 4.0;
        sides
            .iter()
            .filter(|(a, b)| (a.y <= y) != (b.y <= y))
            .map(|(a, b)| a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x))
            .all(|x| x <= low.x || x >= high.x)
    })
}
