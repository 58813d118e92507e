//! Which plate a drawn shape is, and how it lies on that plate's flat.

use crate::drawing::FlatDrawing;
use crate::join::DrawnShape;
use crate::labels::{Label, names, plain_name};
use crate::register::{Motion2, disc_motions, registrations};
use crate::role::Role;
use geom::math::PI;
use geom::{Chain, Outline, Point2, Segment};

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
    /// How far its edges are drawn outwards for the etch (mm); zero if the etcher sees to that.
    pub growth: f64,
    /// Middles of what is on it, openings first: they tell which way round a symmetrical outline lies.
    pub features: Vec<Point2>,
    /// Size of each of them, as diameter of a circle of its area (mm): hands may differ by a long slot alone.
    pub sizes: Vec<f64>,
}

/// Rivets looked at to tell which way round a plate lies.
const RIVETS_LOOKED_AT: usize = 256;

impl MeantShape {
    /// The flat of a plate, its edges drawn outwards by `growth` (mm).
    pub fn of(flat: &FlatDrawing, growth: f64) -> Self {
        let step = flat.rivets.len().div_ceil(RIVETS_LOOKED_AT).max(1);
        let holes = flat.holes.iter().map(|hole| &hole.outline);
        let regions = flat.regions.iter().map(|region| &region.outline);
        let rivets = flat.rivets.iter().step_by(step);
        let (features, sizes) = holes
            .chain(regions)
            .map(|outline| (centre_of(outline), size_of(outline)))
            .chain(rivets.map(|rivet| (rivet.centre, rivet.head_diameter)))
            .unzip();
        Self {
            id: flat.plate.clone(),
            title: flat.title.clone(),
            outline: flat.outline.segments().to_vec(),
            area: flat.outline.area().abs(),
            growth,
            features,
            sizes,
        }
    }

    /// Length of the outline (mm).
    pub fn perimeter(&self) -> f64 {
        self.outline.iter().map(Segment::length).sum()
    }

    /// Perimeter (mm) and area (mm²) as drawn, the edges moved outwards by the growth.
    fn drawn_measure(&self) -> (f64, f64) {
        let (perimeter, g) = (self.perimeter(), self.growth);
        (
            perimeter + 2.0 * PI * g,
            self.area + perimeter * g + PI * g * g,
        )
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
        let by_label = by_precedence(&shape.labels_inside, &beside[i])
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

/// Texts of a shape, those on a layer for names of plates first: edges may be named by their neighbours.
fn by_precedence<'a>(inside: &'a [Label], beside: &[&'a Label]) -> impl Iterator<Item = &'a Label> {
    let mut all: Vec<&Label> = inside.iter().chain(beside.iter().copied()).collect();
    all.sort_by_key(|label| Role::of_name(&label.layer) != Role::Label);
    all.into_iter()
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
    if open.is_empty() {
        return;
    }
    let mut taken: Vec<bool> = vec![false; plates.len()];
    for found in matches.iter() {
        taken[found.plate] = true;
    }
    let mut classes = equal_plates(plates, &taken);
    let mut pairs = Vec::new();
    let mut looks = 0;
    for &i in open {
        let own = like_classes(&shapes[i], plates, &classes);
        looks += own.len();
        if looks > MOST_LOOKS {
            break;
        }
        for (unlike, class) in own {
            let plate = &plates[classes[class][0]];
            // Left and right hands are alike in size; how they lie on one another tells them apart.
            let fit = best_motion(&shapes[i], plate).map_or(f64::INFINITY, |(motion, cost)| {
                let hand = if motion.mirrored {
                    10.0 * MIRROR_COST
                } else {
                    0.0
                };
                cost + hand + opening_cost(&shapes[i], plate, &motion)
            });
            let size = plate.area.sqrt();
            if fit < size * MOST_UNLIKE {
                pairs.push((unlike + fit / size, i, class, unlike));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut placed = std::collections::BTreeSet::new();
    for (_, i, class, unlike) in pairs {
        if !placed.contains(&i) && !classes[class].is_empty() {
            placed.insert(i);
            matches.push(Match {
                shape: i,
                // The first of equal plates that is still to be had.
                plate: classes[class].remove(0),
                naming: Naming::Likeness(unlike),
            });
        }
    }
}

/// Plates that nothing names yet, those of one shape and one hand together.
fn equal_plates(plates: &[MeantShape], taken: &[bool]) -> Vec<Vec<usize>> {
    let mut classes: Vec<Vec<usize>> = Vec::new();
    for (i, plate) in plates.iter().enumerate().filter(|(i, _)| !taken[*i]) {
        let same = classes
            .iter_mut()
            .find(|class| is_image_of(&plates[class[0]], plate, false));
        match same {
            Some(class) => class.push(i),
            None => classes.push(vec![i]),
        }
    }
    classes
}

/// Plates whose corners and features lie this closely on one another are of one shape (mm).
const EQUAL_MM: f64 = 0.005;

/// True if a plate is the same as another, or with `mirrored` its mirror image.
pub fn is_image_of(one: &MeantShape, other: &MeantShape, mirrored: bool) -> bool {
    let alike = |a: f64, b: f64| (a - b).abs() <= 1e-4 * a;
    if !(alike(one.perimeter(), other.perimeter()) && alike(one.area, other.area))
        || one.features.len() != other.features.len()
    {
        return false;
    }
    let Ok(outline) = Outline::from_chain(&Chain::from_segments(one.outline.iter().copied()))
    else {
        return false;
    };
    let nearest = |curves: &[Segment], p: Point2| {
        let all = curves.iter().map(|s| s.nearest(p).1);
        all.fold(f64::INFINITY, f64::min)
    };
    let (plain, turned): (Vec<_>, Vec<_>) = lays(&outline, &one.features, other)
        .into_iter()
        .partition(|(motion, _)| !motion.mirrored);
    let own = if mirrored { turned } else { plain };
    own.iter().any(|(motion, _)| {
        let moved = motion.outline(&outline);
        let corners = moved
            .iter()
            .all(|s| nearest(&other.outline, s.start()) < EQUAL_MM)
            && other
                .outline
                .iter()
                .all(|s| nearest(&moved, s.start()) < EQUAL_MM);
        corners
            && one.features.iter().zip(&one.sizes).all(|(f, size)| {
                let at = motion.point(*f);
                let same = |(g, own): (&Point2, &f64)| {
                    (g - at).norm() < EQUAL_MM && (own - size).abs() < EQUAL_MM
                };
                other.features.iter().zip(&other.sizes).any(same)
            })
    })
}

/// Classes of plates of like size, the likest first: unlikeness and class.
fn like_classes(
    shape: &DrawnShape,
    plates: &[MeantShape],
    classes: &[Vec<usize>],
) -> Vec<(f64, usize)> {
    let (perimeter, area) = (shape.outline.perimeter(), shape.outline.area().abs());
    let mut own: Vec<(f64, usize)> = classes
        .iter()
        .enumerate()
        .map(|(c, class)| {
            let meant = plates[class[0]].drawn_measure();
            let unlike = (perimeter - meant.0).abs() / meant.0 + (area - meant.1).abs() / meant.1;
            (unlike, c)
        })
        .filter(|(unlike, _)| *unlike < MOST_UNLIKE)
        .collect();
    own.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    own.truncate(CLOSER_LOOK);
    own
}

/// Plates of like size that a shape is laid on in turn.
const CLOSER_LOOK: usize = 6;

/// Shapes without names laid on plates in all; a drawing with more of them is not one of these plates.
const MOST_LOOKS: usize = 800;

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
    best_lay(&shape.outline, &centres, meant)
}

/// Every motion that lays a drawn shape on a meant one about as well as it will go, each with the mean distance of
/// outline and openings (mm).
pub fn likely_motions(shape: &DrawnShape, meant: &MeantShape) -> Vec<(Motion2, f64)> {
    let details = shape.details.iter().map(|detail| &detail.outline);
    let centres: Vec<Point2> = shape.holes.iter().chain(details).map(centre_of).collect();
    lays(&shape.outline, &centres, meant)
}

/// As [`best_motion`], for an outline and the middles of what is on it.
fn best_lay(outline: &Outline, centres: &[Point2], meant: &MeantShape) -> Option<(Motion2, f64)> {
    lays(outline, centres, meant)
        .into_iter()
        .map(|(motion, cost)| {
            let hand = if motion.mirrored { MIRROR_COST } else { 0.0 };
            (motion, cost, cost + hand)
        })
        .min_by(|a, b| a.2.total_cmp(&b.2))
        .map(|(motion, cost, _)| (motion, cost))
}

/// Motions that lay an outline with what is on it on a meant one, each with its mean distance (mm).
fn lays(outline: &Outline, centres: &[Point2], meant: &MeantShape) -> Vec<(Motion2, f64)> {
    let mut motions = registrations(outline, &meant.outline);
    let Some(&(_, left)) = motions.first() else {
        return Vec::new();
    };
    for motion in disc_motions(outline, &meant.outline, centres, &meant.features) {
        motions.push((motion, left));
    }
    motions
        .into_iter()
        .map(|(motion, left)| {
            let cost = left + feature_cost(centres, &meant.features, &motion);
            (motion, cost)
        })
        .collect()
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

/// Mean distance and difference of size from each drawn opening and detail to the nearest meant feature (mm): of
/// plates that differ by what is on them, one that has all that is drawn is likelier.
fn opening_cost(shape: &DrawnShape, meant: &MeantShape, motion: &Motion2) -> f64 {
    let details = shape.details.iter().map(|detail| &detail.outline);
    let (mut sum, mut count) = (0.0, 0.0);
    for outline in shape.holes.iter().chain(details) {
        let at = motion.point(centre_of(outline));
        let size = size_of(outline);
        let all = meant.features.iter().zip(&meant.sizes);
        let all = all.map(|(feature, own)| (feature - at).norm() + (own - size).abs());
        sum += all.fold(FEATURE_REACH, f64::min);
        count += 1.0;
    }
    if count > 0.0 { sum / count } else { 0.0 }
}

/// Diameter of a circle of the area of an outline (mm).
pub fn size_of(outline: &Outline) -> f64 {
    2.0 * (outline.area().abs() / PI).sqrt()
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
