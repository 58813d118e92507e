//! Which plate a drawn shape is, and how it lies on that plate's flat.

use crate::join::DrawnShape;
use crate::labels::{Label, names, plain_name};
use crate::register::{Motion2, disc_motions, registrations};
use geom::{Outline, Point2, Segment};

/// A plate's flat as it is meant: what a drawn shape is held against.
#[derive(Clone, Debug, PartialEq)]
pub struct MeantShape {
    /// The plate's name: `boiler-wrapper`.
    pub id: String,
    /// Its name on a sheet: `Boiler wrapper`.
    pub title: String,
    /// Its outline, anticlockwise.
    pub outline: Vec<Segment>,
    /// Area within the outline (mm²).
    pub area: f64,
    /// Middles of what is on it, openings first: they tell which way round a symmetrical outline lies.
    pub features: Vec<Point2>,
}

impl MeantShape {
    /// Length of the outline (mm).
    pub fn perimeter(&self) -> f64 {
        self.outline.iter().map(Segment::length).sum()
    }
}

/// How a drawn shape came to its plate.
#[derive(Clone, Debug, PartialEq)]
pub enum Naming {
    /// A text within or beside it names the plate.
    Label(String),
    /// Its layer has the plate's name.
    Layer(String),
    /// Its size and shape are most like that plate's; relative difference of perimeter and area.
    Likeness(f64),
}

/// A drawn shape and the plate that it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Match {
    /// Number of the drawn shape.
    pub shape: usize,
    /// Number of the plate.
    pub plate: usize,
    /// How it was told.
    pub naming: Naming,
}

/// The greatest relative difference of perimeter and area together that is taken for likeness.
const MOST_UNLIKE: f64 = 0.08;

/// The farthest that a text beside a shape still names it (mm).
const LABEL_REACH: f64 = 12.0;

/// Takes each drawn shape for a plate: by a text in it or beside it, by its layer, else by likeness.
///
/// Answers are in the order of the shapes; a shape like no plate has none. Several shapes may bear
/// the name of one plate; likeness gives each plate to one shape only.
pub fn match_shapes(
    shapes: &[DrawnShape],
    labels_outside: &[Label],
    plates: &[MeantShape],
) -> Vec<Match> {
    let namer = Namer::new(plates);
    let mut beside: Vec<Vec<&Label>> = vec![Vec::new(); shapes.len()];
    for label in labels_outside {
        if namer.plate(&label.text).is_none() {
            continue;
        }
        let nearest = shapes
            .iter()
            .enumerate()
            .map(|(i, shape)| (box_distance(&shape.outline, label.at), i))
            .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        if let Some((distance, i)) = nearest
            && distance <= LABEL_REACH
        {
            beside[i].push(label);
        }
    }
    let mut matches = Vec::new();
    let mut open = Vec::new();
    for (i, shape) in shapes.iter().enumerate() {
        let by_label = shape
            .labels_inside
            .iter()
            .chain(beside[i].iter().copied())
            .find_map(|label| Some((namer.plate(&label.text)?, Naming::Label(label.text.clone()))));
        let named = by_label.or_else(|| {
            Some((
                namer.plate(&shape.layer)?,
                Naming::Layer(shape.layer.clone()),
            ))
        });
        match named {
            Some((plate, naming)) => matches.push(Match {
                shape: i,
                plate,
                naming,
            }),
            None => open.push(i),
        }
    }
    by_likeness(shapes, plates, &open, &mut matches);
    matches.sort_by_key(|m| m.shape);
    matches
}

/// Names of plates, longest first, so that `cab-side-left` is not taken for `cab-side`.
struct Namer {
    names: Vec<(String, usize)>,
}

impl Namer {
    fn new(plates: &[MeantShape]) -> Self {
        let mut all: Vec<(String, usize)> = plates
            .iter()
            .enumerate()
            .flat_map(|(i, plate)| [(plain_name(&plate.id), i), (plain_name(&plate.title), i)])
            .collect();
        all.sort_by(|a, b| b.0.len().cmp(&a.0.len()).then_with(|| a.cmp(b)));
        Self { names: all }
    }

    fn plate(&self, text: &str) -> Option<usize> {
        self.names
            .iter()
            .find(|(name, _)| names(text, name))
            .map(|(_, plate)| *plate)
    }
}

fn box_distance(outline: &Outline, point: Point2) -> f64 {
    let (low, high) = outline.bounds();
    let dx = (low.x - point.x).max(point.x - high.x).max(0.0);
    let dy = (low.y - point.y).max(point.y - high.y).max(0.0);
    geom::math::hypot(dx, dy)
}

fn by_likeness(
    shapes: &[DrawnShape],
    plates: &[MeantShape],
    open: &[usize],
    matches: &mut Vec<Match>,
) {
    let mut taken: Vec<bool> = vec![false; plates.len()];
    for found in matches.iter() {
        taken[found.plate] = true;
    }
    let mut pairs = Vec::new();
    let mut looks = 0;
    for &i in open {
        let (perimeter, area) = (
            shapes[i].outline.perimeter(),
            shapes[i].outline.area().abs(),
        );
        let mut own: Vec<(f64, usize)> = (0..plates.len())
            .filter(|&p| !taken[p])
            .map(|p| {
                let meant = plates[p].perimeter();
                let unlike = (perimeter - meant).abs() / meant
                    + (area - plates[p].area).abs() / plates[p].area;
                (unlike, p)
            })
            .filter(|(unlike, _)| *unlike < MOST_UNLIKE)
            .collect();
        own.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        own.truncate(CLOSER_LOOK);
        looks += own.len();
        if looks > MOST_LOOKS {
            break;
        }
        for (unlike, p) in own {
            // Left and right hands are alike in size; how they lie on one another tells them apart.
            let fit =
                best_motion(&shapes[i], &plates[p]).map_or(f64::INFINITY, |(motion, cost)| {
                    cost + if motion.mirrored {
                        10.0 * MIRROR_COST
                    } else {
                        0.0
                    }
                });
            let size = plates[p].area.sqrt();
            if fit < size * MOST_UNLIKE {
                pairs.push((unlike + fit / size, i, p, unlike));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut placed: Vec<usize> = Vec::new();
    for (_, i, p, unlike) in pairs {
        if !taken[p] && !placed.contains(&i) {
            taken[p] = true;
            placed.push(i);
            matches.push(Match {
                shape: i,
                plate: p,
                naming: Naming::Likeness(unlike),
            });
        }
    }
}

/// Plates of like size that a shape is laid on in turn.
const CLOSER_LOOK: usize = 6;

/// Shapes without names laid on plates in all; a drawing with more of them is not one of these plates.
const MOST_LOOKS: usize = 2000;

/// What a mirrored motion must be better by (mm, mean distance) to be believed.
const MIRROR_COST: f64 = 0.01;

/// A feature farther off than this counts as missing, no farther (mm).
const FEATURE_REACH: f64 = 2.0;

/// The motion that lays a drawn shape on a meant one, with the mean distance of outline and openings (mm).
///
/// `None` for an outline without pieces.
pub fn best_motion(shape: &DrawnShape, meant: &MeantShape) -> Option<(Motion2, f64)> {
    let details = shape.details.iter().map(|detail| &detail.outline);
    let centres: Vec<Point2> = shape.holes.iter().chain(details).map(centre_of).collect();
    let mut motions = registrations(&shape.outline, &meant.outline);
    let left = motions.first()?.1;
    for motion in disc_motions(&shape.outline, &meant.outline, &centres, &meant.features) {
        motions.push((motion, left));
    }
    motions
        .into_iter()
        .map(|(motion, left)| {
            let cost = left + feature_cost(&centres, &meant.features, &motion);
            (
                motion,
                cost,
                cost + if motion.mirrored { MIRROR_COST } else { 0.0 },
            )
        })
        .min_by(|a, b| a.2.total_cmp(&b.2))
        .map(|(motion, cost, _)| (motion, cost))
}

/// Mean distance from each meant feature to the nearest drawn one (mm).
fn feature_cost(drawn: &[Point2], meant: &[Point2], motion: &Motion2) -> f64 {
    if meant.is_empty() {
        return 0.0;
    }
    let moved: Vec<Point2> = drawn.iter().map(|&p| motion.point(p)).collect();
    let sum: f64 = meant
        .iter()
        .map(|feature| {
            moved
                .iter()
                .map(|p| (p - feature).norm())
                .fold(FEATURE_REACH, f64::min)
        })
        .sum();
    sum / meant.len() as f64
}

/// Middle of an outline: centre of its area.
pub fn centre_of(outline: &Outline) -> Point2 {
    let points = outline.flattened(0.005);
    let Some(&first) = points.first() else {
        return Point2::origin();
    };
    let (mut area, mut moment) = (0.0, geom::Vector2::zeros());
    for (i, a) in points.iter().enumerate() {
        let (a, b) = (a - first, points[(i + 1) % points.len()] - first);
        let twice = a.perp(&b);
        area += twice;
        moment += (a + b) * twice;
    }
    if area.abs() < 1e-12 {
        first
    } else {
        first + moment / (3.0 * area)
    }
}
