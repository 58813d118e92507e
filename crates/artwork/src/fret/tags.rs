//! Tags: the half-etched bridges that hold a plate in the fret.

use body::Face;
use geom::{Outline, Point2, Segment, Vector2, intersections, math};

use crate::FlatDrawing;

/// A tag reaches this far into the plate and into the waste, so that borders cross and never run along
/// one another (mm).
pub(crate) const OVERLAP_MM: f64 = 0.3;

/// Places along an edge are looked at this far apart (mm).
const STEP_MM: f64 = 1.5;

/// Clear metal between a tag and a corner, an opening or a place of other depth (mm).
const CLEAR_MM: f64 = 0.4;

/// A free edge counts as this much nearer to tags that are already there, so that hidden edges win.
const FREE_EDGE: f64 = 0.6;

/// The line round the plate may be this much wider than elsewhere where a tag crosses it.
const WIDER: f64 = 1.6;

/// The line round the plate is at least this wide where a tag crosses it (mm).
const NEAREST_MM: f64 = 0.02;

/// A half-etched bridge from a plate to the waste.
#[derive(Clone, Debug, PartialEq)]
pub struct Tag {
    /// The edge of the plate that it holds.
    pub edge: String,
    /// The face that it is etched from; its metal stands on the other.
    pub etched_from: Face,
    /// The bridge from the plate's edge to the waste, anticlockwise.
    pub outline: Outline,
    /// The bridge, its ends laid into plate and waste.
    pub(crate) laid_in: Outline,
    middle: Point2,
}

/// What tags are laid out by.
#[derive(Clone, Copy, Debug)]
pub(crate) struct TagRules<'a> {
    /// Width of a tag (mm).
    pub(crate) width: f64,
    /// Length of edge held on either side of a tag (mm).
    pub(crate) spacing: f64,
    /// Width of the line round the plate (mm).
    pub(crate) line: f64,
    /// Edges that another plate covers on the finished model.
    pub(crate) hidden: &'a [String],
    /// Places on the sheet that come to lie in tight bends.
    pub(crate) bends: &'a [Outline],
}

/// A place where a tag can go.
#[derive(Clone, Copy)]
struct Place {
    at: Point2,
    outward: Vector2,
    reach: f64,
    edge: usize,
    straight: bool,
    weight: f64,
}

/// Tags of a plate: at least two if there is any room, and one for each stretch of its outline.
pub(crate) fn tags_of(drawing: &FlatDrawing, moat: &Outline, rules: &TagRules<'_>) -> Vec<Tag> {
    let wanted = wanted(drawing, rules);
    let chosen = chosen_of(&places(drawing, moat, rules, CLEAR_MM), wanted, rules);
    let chosen = if chosen.len() < 2 {
        // Beside a groove that follows the edge a tag may stand as near as it reaches in.
        chosen_of(&places(drawing, moat, rules, 0.0), wanted, rules)
    } else {
        chosen
    };
    let etched_from = if is_etched_from_outside(drawing) {
        // Its outside metal is gone: a tag on that side would hold nothing.
        Face::Outside
    } else {
        Face::Inside
    };
    let tag = |place: &Place| Tag {
        edge: drawing.edges[place.edge].name.clone(),
        etched_from,
        outline: bridge(place, rules.width, 0.0),
        laid_in: bridge(place, rules.width, OVERLAP_MM),
        middle: place.at,
    };
    chosen.iter().map(tag).collect()
}

impl Tag {
    /// Where it meets the plate.
    pub fn at(&self) -> Point2 {
        self.middle
    }
}

/// Places for tags: on straight edges, or on any where those give less than two.
fn chosen_of(places: &[Place], wanted: usize, rules: &TagRules<'_>) -> Vec<Place> {
    let straight: Vec<&Place> = places.iter().filter(|place| place.straight).collect();
    let all: Vec<&Place> = places.iter().collect();
    let chosen = farthest_apart(&straight, wanted, rules);
    let chosen = if chosen.len() < 2 {
        // A round plate has no straight edge to hold it by.
        farthest_apart(&all, wanted, rules)
    } else {
        chosen
    };
    chosen.into_iter().copied().collect()
}

/// True if the plain metal of the plate is a base half-etched from its outside face.
pub(crate) fn is_etched_from_outside(drawing: &FlatDrawing) -> bool {
    drawing.plain.1 - drawing.plain.0 < drawing.thickness - 1e-6
}

fn wanted(drawing: &FlatDrawing, rules: &TagRules<'_>) -> usize {
    let stretches = drawing.outline.perimeter() / (2.0 * rules.spacing);
    (stretches.round() as usize).clamp(2, 40)
}

fn places(drawing: &FlatDrawing, moat: &Outline, rules: &TagRules<'_>, clear: f64) -> Vec<Place> {
    let keep = rules.width / 2.0 + clear;
    let mut places = Vec::new();
    for (segment, edge) in drawing.outline.segments().iter().zip(&drawing.edge_of) {
        let name = &drawing.edges[*edge].name;
        let length = segment.length();
        // A tab goes through a slot: a stub left on it would hold it out.
        if name.starts_with("tab-") || length < 2.0 * keep {
            continue;
        }
        let weight = if rules.hidden.contains(name) {
            1.0
        } else {
            FREE_EDGE
        };
        let n = ((length - 2.0 * keep) / STEP_MM).floor() as usize;
        for i in 0..=n {
            // Even about the middle of the edge.
            let along = length / 2.0 + (i as f64 - n as f64 / 2.0) * STEP_MM;
            let fraction = along / length;
            let heading = segment.tangent_angle_at(fraction) - math::FRAC_PI_2;
            let (s, c) = math::sin_cos(heading);
            let place = Place {
                at: segment.point_at(fraction),
                outward: Vector2::new(c, s),
                reach: 0.0,
                edge: *edge,
                straight: matches!(segment, Segment::Line { .. }),
                weight,
            };
            let reaching = reaching(place, moat, rules);
            places.extend(reaching.filter(|own| is_clear(drawing, own, rules, clear)));
        }
    }
    places
}

/// The place with the width of the line there; nothing where the line is too wide to be bridged.
fn reaching(place: Place, moat: &Outline, rules: &TagRules<'_>) -> Option<Place> {
    let side = Vector2::new(-place.outward.y, place.outward.x) * (rules.width / 2.0);
    let far = WIDER * rules.line;
    let widest = far + rules.width;
    let near: Vec<&Segment> = moat
        .segments()
        .iter()
        .filter(|own| box_distance(own.bounds(), place.at) < widest)
        .collect();
    let mut reach: f64 = 0.0;
    for from in [place.at - side, place.at, place.at + side] {
        let ray = Segment::line(from, from + place.outward * far);
        let crossings = near.iter().flat_map(|own| intersections(&ray, own));
        // A crossing at a corner is met twice.
        let mut along: Vec<f64> = crossings.map(|p| (p - from).norm()).collect();
        along.sort_by(f64::total_cmp);
        along.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
        // Once across the line's far border, and not back into it.
        let [crossing] = along[..] else {
            return None;
        };
        if crossing < NEAREST_MM {
            return None;
        }
        reach = reach.max(crossing);
    }
    Some(Place { reach, ..place })
}

/// Distance of a point from an upright rectangle along the axis where it is greater (mm).
fn box_distance((low, high): (Point2, Point2), p: Point2) -> f64 {
    (low.x - p.x)
        .max(p.x - high.x)
        .max(low.y - p.y)
        .max(p.y - high.y)
}

/// True if the tag's corners, and what lies `keep` (mm) about them, keep off openings and grooves.
fn is_clear(drawing: &FlatDrawing, place: &Place, rules: &TagRules<'_>, clear: f64) -> bool {
    // On the line outwards nothing of the plate itself may stand in the way.
    let on_line = |share: f64| place.at + place.outward * (place.reach * share);
    if [0.5, 1.0]
        .iter()
        .any(|share| drawing.outline.contains(on_line(*share)))
    {
        return false;
    }
    let side = Vector2::new(-place.outward.y, place.outward.x) * (rules.width / 2.0);
    let probes = [place.at - side, place.at, place.at + side];
    let keep = OVERLAP_MM + 0.02 + clear;
    let near = |outline: &Outline| {
        let bounds = outline.bounds();
        probes
            .iter()
            .any(|p| box_distance(bounds, *p) < keep && outline.nearest(*p).1 < keep)
    };
    let bent = |bend: &Outline| {
        let bounds = bend.bounds();
        probes.iter().any(|p| {
            box_distance(bounds, *p) < CLEAR_MM
                && (bend.contains(*p) || bend.nearest(*p).1 < CLEAR_MM)
        })
    };
    if rules.bends.iter().any(bent) {
        return false;
    }
    // A plain base etched all over has its raised places proud on the face away from the tag.
    let regions = drawing.regions.iter().filter(|own| {
        let proud = own.z_high > drawing.plain.1 || own.z_low < drawing.plain.0;
        !proud
    });
    !regions.map(|own| &own.outline).any(near)
        && !drawing.holes.iter().any(|own| near(&own.outline))
}

/// Places one after another, each as far as can be from those before it.
fn farthest_apart<'p>(places: &[&'p Place], wanted: usize, rules: &TagRules<'_>) -> Vec<&'p Place> {
    let mut chosen: Vec<&Place> = Vec::new();
    let Some(first) = best(places.iter().copied(), |place| place.weight) else {
        return chosen;
    };
    chosen.push(first);
    let mut room: Vec<f64> = places.iter().map(|p| (p.at - first.at).norm()).collect();
    while chosen.len() < wanted {
        let scored = places.iter().zip(&room);
        let Some((next, apart)) = scored.map(|(place, room)| (*place, *room)).reduce(|a, b| {
            if b.1 * b.0.weight > a.1 * a.0.weight + 1e-9 {
                b
            } else {
                a
            }
        }) else {
            break;
        };
        // Tags nearer than this hold no better and take longer to cut.
        if apart < (rules.spacing / 2.0).min(4.0 * rules.width) {
            break;
        }
        chosen.push(next);
        for (place, room) in places.iter().zip(&mut room) {
            *room = room.min((place.at - next.at).norm());
        }
    }
    chosen
}

fn best<'p>(
    places: impl Iterator<Item = &'p Place>,
    score: impl Fn(&Place) -> f64,
) -> Option<&'p Place> {
    places.reduce(|a, b| if score(b) > score(a) + 1e-9 { b } else { a })
}

/// The rectangle across the line, its ends longer by `overlap`.
fn bridge(place: &Place, width: f64, overlap: f64) -> Outline {
    let side = Vector2::new(-place.outward.y, place.outward.x) * (width / 2.0);
    let near = place.at - place.outward * overlap;
    let far = place.at + place.outward * (place.reach + overlap);
    Outline::polygon(&[near - side, far - side, far + side, near + side])
}
