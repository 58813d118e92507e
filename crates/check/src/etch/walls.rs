//! Walls that face each other, and the least way between them.

use geom::{Arc, FlatPoint, Segment};

/// Cosine below which a way counts as square to a wall.
const SQUARE: f64 = 1e-7;

/// Ways shorter than this are a corner that two walls share (mm).
const SHARED_MM: f64 = 1e-9;

/// Ways whose ends lie nearer than this are one (mm).
const SAME_MM: f64 = 1e-6;

/// A piece of a boundary.
#[derive(Clone, Copy)]
struct Wall<'a> {
    boundary: usize,
    place: usize,
    segment: &'a Segment,
    low: FlatPoint,
    high: FlatPoint,
}

/// The least way between two walls, that no step along either makes shorter.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Narrow {
    /// Length of the way (mm); zero where two boundaries cross.
    pub(crate) width: f64,
    /// Where it begins and where it ends.
    pub(crate) ends: (FlatPoint, FlatPoint),
    /// Boundary and piece of it at either end.
    pub(crate) walls: ((usize, usize), (usize, usize)),
}

impl Narrow {
    /// Half way across.
    pub(crate) fn middle(&self) -> FlatPoint {
        nalgebra::center(&self.ends.0, &self.ends.1)
    }
}

/// Ways shorter than `limit` (mm) between pieces of closed boundaries, and crossings of boundaries.
///
/// A way counts if it leaves both walls square, or from a corner that stands out towards the other
/// wall. Which side of the walls it runs on is for the caller to look at.
///
/// # Accuracy
///
/// Exact for lines and arcs: least ways begin or end at corners, or run through the centres of arcs.
pub(crate) fn narrows(boundaries: &[&[Segment]], limit: f64) -> Vec<Narrow> {
    let mut walls: Vec<Wall<'_>> = boundaries
        .iter()
        .enumerate()
        .flat_map(|(boundary, pieces)| {
            pieces.iter().enumerate().map(move |(place, segment)| {
                let (low, high) = segment.bounds();
                Wall {
                    boundary,
                    place,
                    segment,
                    low,
                    high,
                }
            })
        })
        .collect();
    walls.sort_by(|a, b| a.low.x.total_cmp(&b.low.x));
    let mut found = Vec::new();
    for (i, a) in walls.iter().enumerate() {
        for b in &walls[i + 1..] {
            if b.low.x - a.high.x >= limit {
                break;
            }
            if b.low.y - a.high.y < limit && a.low.y - b.high.y < limit {
                found.extend(between(boundaries, a, b, limit));
            }
        }
    }
    without_repeats(boundaries, found)
}

/// Each way once: one from a corner was found from both walls that meet there, and belongs to the one that
/// it leaves square.
fn without_repeats(boundaries: &[&[Segment]], mut found: Vec<Narrow>) -> Vec<Narrow> {
    let slant = |(boundary, place): (usize, usize), from: FlatPoint, to: FlatPoint| {
        let wall = &boundaries[boundary][place];
        let (s, c) = geom::math::sin_cos(wall.tangent_angle_at(wall.nearest(from).0));
        ((to.x - from.x) * c + (to.y - from.y) * s).abs()
    };
    let slants = |own: &Narrow| {
        let (p, q) = own.ends;
        slant(own.walls.0, p, q) + slant(own.walls.1, q, p)
    };
    let order = |own: &Narrow| {
        let [(a, b), (c, d)] = [own.walls.0, own.walls.1];
        [a, b, c, d]
    };
    // The squarest first, whatever the order that the sweep met them in.
    let mut keyed: Vec<(f64, Narrow)> = found.drain(..).map(|own| (slants(&own), own)).collect();
    keyed.sort_by(|a, b| {
        let nearly = |slant: f64| (slant / SHARED_MM).round();
        nearly(a.0)
            .total_cmp(&nearly(b.0))
            .then_with(|| order(&a.1).cmp(&order(&b.1)))
    });
    let near = |a: FlatPoint, b: FlatPoint| (a - b).norm() < SAME_MM;
    let mut kept: Vec<Narrow> = Vec::new();
    for (_, own) in keyed {
        let (p, q) = own.ends;
        let is_known = kept.iter().any(|other| {
            let (r, s) = other.ends;
            (near(p, r) && near(q, s)) || (near(p, s) && near(q, r))
        });
        if !is_known {
            kept.push(own);
        }
    }
    kept
}

fn between(boundaries: &[&[Segment]], a: &Wall<'_>, b: &Wall<'_>, limit: f64) -> Vec<Narrow> {
    // In the order of boundaries, whatever way round the sweep met them.
    let (a, b) = if (a.boundary, a.place) <= (b.boundary, b.place) {
        (a, b)
    } else {
        (b, a)
    };
    let narrow = |p: FlatPoint, q: FlatPoint| Narrow {
        width: (p - q).norm(),
        ends: (p, q),
        walls: ((a.boundary, a.place), (b.boundary, b.place)),
    };
    if a.boundary != b.boundary
        && let Some(&at) = geom::intersections(a.segment, b.segment).first()
    {
        return vec![narrow(at, at)];
    }
    candidates(a.segment, b.segment)
        .into_iter()
        .map(|(p, q)| narrow(p, q))
        .filter(|own| own.width < limit && own.width > SHARED_MM)
        .filter(|own| {
            let (p, q) = own.ends;
            is_least_at(boundaries[a.boundary], a.place, p, q)
                && is_least_at(boundaries[b.boundary], b.place, q, p)
        })
        .collect()
}

/// Pairs of points among which the least way of two pieces is.
fn candidates(a: &Segment, b: &Segment) -> Vec<(FlatPoint, FlatPoint)> {
    let on = |segment: &Segment, point| segment.point_at(segment.nearest(point).0);
    let mut pairs = Vec::with_capacity(8);
    for p in [a.start(), a.end()] {
        pairs.push((p, on(b, p)));
    }
    for q in [b.start(), b.end()] {
        pairs.push((on(a, q), q));
    }
    match (a, b) {
        (Segment::Arc(one), Segment::Arc(two)) => pairs.extend(through_centres(one, two)),
        (Segment::Arc(arc), line) => {
            let q = on(line, arc.centre);
            pairs.push((on(a, q), q));
        }
        (line, Segment::Arc(arc)) => {
            let p = on(line, arc.centre);
            pairs.push((p, on(b, p)));
        }
        (Segment::Line { .. }, Segment::Line { .. }) => {}
    }
    pairs
}

/// Where the line through both centres meets the circles.
fn through_centres(one: &Arc, two: &Arc) -> Vec<(FlatPoint, FlatPoint)> {
    let apart = two.centre - one.centre;
    if apart.norm() < SHARED_MM {
        return Vec::new();
    }
    let along = apart.normalize();
    let (a, b) = (Segment::Arc(*one), Segment::Arc(*two));
    let mut pairs = Vec::with_capacity(4);
    for to_one in [1.0, -1.0] {
        for to_two in [1.0, -1.0] {
            let p = one.centre + along * (to_one * one.radius);
            let q = two.centre + along * (to_two * two.radius);
            pairs.push((a.point_at(a.nearest(p).0), b.point_at(b.nearest(q).0)));
        }
    }
    pairs
}

/// True if no step along the boundary from `p` on its piece brings it nearer to `q`.
fn is_least_at(boundary: &[Segment], place: usize, p: FlatPoint, q: FlatPoint) -> bool {
    let n = boundary.len();
    let way = (q - p).normalize();
    let own = &boundary[place];
    let fraction = own.nearest(p).0;
    let heading = |segment: &Segment, fraction: f64| {
        let (s, c) = geom::math::sin_cos(segment.tangent_angle_at(fraction));
        way.x * c + way.y * s
    };
    let near = SHARED_MM / own.length();
    let forward = if fraction > 1.0 - near {
        heading(&boundary[(place + 1) % n], 0.0)
    } else {
        heading(own, fraction)
    };
    let backward = if fraction < near {
        -heading(&boundary[(place + n - 1) % n], 1.0)
    } else {
        -heading(own, fraction)
    };
    forward < SQUARE && backward < SQUARE
}
