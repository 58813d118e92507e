//! Where two pieces cross or touch.

use crate::tolerance::COINCIDENT_MM;
use crate::{Arc, Point2, Segment, Vector2};

/// Points that two pieces share, in the order of the first; pieces that lie on one another share none.
///
/// Ends count, within the point tolerance.
pub fn intersections(a: &Segment, b: &Segment) -> Vec<Point2> {
    let mut points = match (a, b) {
        (Segment::Line { start, end }, Segment::Line { start: s, end: e }) => {
            line_line(*start, *end, *s, *e)
        }
        (Segment::Line { start, end }, Segment::Arc(arc))
        | (Segment::Arc(arc), Segment::Line { start, end }) => line_circle(*start, *end, arc),
        (Segment::Arc(one), Segment::Arc(two)) => circle_circle(one, two),
    };
    let on = |segment: &Segment, p: Point2| segment.nearest(p).1 < 10.0 * COINCIDENT_MM;
    points.retain(|&p| on(a, p) && on(b, p));
    points.sort_by(|p, q| a.nearest(*p).0.total_cmp(&a.nearest(*q).0));
    points.dedup_by(|p, q| (*p - *q).norm() < 10.0 * COINCIDENT_MM);
    points
}

fn line_line(a: Point2, b: Point2, c: Point2, d: Point2) -> Vec<Point2> {
    let (ab, cd) = (b - a, d - c);
    let cross = ab.perp(&cd);
    if cross.abs() <= 1e-12 * ab.norm() * cd.norm() {
        return Vec::new();
    }
    vec![a + ab * ((c - a).perp(&cd) / cross)]
}

fn line_circle(a: Point2, b: Point2, arc: &Arc) -> Vec<Point2> {
    let along = (b - a).normalize();
    let foot = a + along * (arc.centre - a).dot(&along);
    half_chord(arc.radius, (foot - arc.centre).norm()).map_or_else(Vec::new, |half| {
        vec![foot - along * half, foot + along * half]
    })
}

fn circle_circle(one: &Arc, two: &Arc) -> Vec<Point2> {
    // Why: measured from the smaller circle the chord keeps its digits beside a crown of kilometres.
    let (small, large) = if one.radius <= two.radius {
        (one, two)
    } else {
        (two, one)
    };
    let between = large.centre - small.centre;
    let distance = between.norm();
    if distance <= COINCIDENT_MM {
        return Vec::new();
    }
    let along = between / distance;
    let beyond = (distance - large.radius) * (distance + large.radius);
    let to_chord = (beyond + small.radius * small.radius) / (2.0 * distance);
    let foot = small.centre + along * to_chord;
    let across = Vector2::new(-along.y, along.x);
    half_chord(small.radius, to_chord.abs()).map_or_else(Vec::new, |half| {
        vec![foot - across * half, foot + across * half]
    })
}

/// Half the chord of a circle at a distance from its centre; zero where chord or gap is not as deep as
/// the point tolerance.
///
/// Why: a line that touches comes out of rounding as a chord of 1e-7 mm, two crossings where there is one.
fn half_chord(radius: f64, distance: f64) -> Option<f64> {
    let depth = radius - distance;
    if depth.abs() < COINCIDENT_MM {
        Some(0.0)
    } else {
        (depth > 0.0).then(|| (depth * (radius + distance)).sqrt())
    }
}
