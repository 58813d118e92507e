//! A closed outline of lines and arcs.

use crate::math::cos;
use crate::tolerance::COINCIDENT_MM;
use crate::{Chain, GeomError, Point2, Segment, Vector2};

/// A vertex of a closed outline and the bulge of the side that follows it.
///
/// Bulge is tan(sweep/4): 0 for a line, 1 for a half circle to the left (anticlockwise).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BulgeVertex {
    /// Where the vertex is.
    pub point: Point2,
    /// tan of a quarter of the angle swept on the way to the next vertex.
    pub bulge: f64,
}

/// Lines and arcs that close on themselves, corners allowed.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    segments: Vec<Segment>,
}

impl Outline {
    /// Closes a chain whose end is its start.
    ///
    /// # Errors
    ///
    /// [`GeomError::Open`] if the ends lie further apart than a micron; [`GeomError::Empty`] without pieces.
    pub fn from_chain(chain: &Chain) -> Result<Self, GeomError> {
        if chain.segments().is_empty() {
            return Err(GeomError::Empty);
        }
        let gap_mm = (chain.end() - chain.start()).norm();
        if gap_mm > 1e-3 {
            return Err(GeomError::Open {
                gap_mm,
                at: chain.end(),
            });
        }
        Ok(Self {
            segments: chain.segments().to_vec(),
        })
    }

    /// The outline through vertices with bulges, the last joined to the first.
    pub fn from_vertices(vertices: &[BulgeVertex]) -> Self {
        let n = vertices.len();
        Self {
            segments: (0..n)
                .map(|i| {
                    let next = vertices[(i + 1) % n].point;
                    Segment::from_bulge(vertices[i].point, next, vertices[i].bulge)
                })
                .filter(|s| s.length() > COINCIDENT_MM)
                .collect(),
        }
    }

    /// The outline through points joined by straight lines.
    pub fn polygon(points: &[Point2]) -> Self {
        let vertices: Vec<_> = points
            .iter()
            .map(|&point| BulgeVertex { point, bulge: 0.0 })
            .collect();
        Self::from_vertices(&vertices)
    }

    /// A rectangle between two opposite corners, anticlockwise.
    pub fn rectangle(low: Point2, high: Point2) -> Self {
        Self::polygon(&[
            low,
            Point2::new(high.x, low.y),
            high,
            Point2::new(low.x, high.y),
        ])
    }

    /// A circle, anticlockwise, as two half circles.
    pub fn circle(centre: Point2, radius: f64) -> Self {
        let whole = Segment::circle(centre, radius);
        Self {
            segments: vec![whole.part(0.0, 0.5), whole.part(0.5, 1.0)],
        }
    }

    /// The pieces in order of travel.
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// The vertices with the bulge of the side after each.
    pub fn vertices(&self) -> Vec<BulgeVertex> {
        self.segments
            .iter()
            .flat_map(|s| {
                // A full circle has no bulge; it is written as two halves.
                let halves = if s.turn().abs() > 1.5 * crate::math::PI {
                    vec![s.part(0.0, 0.5), s.part(0.5, 1.0)]
                } else {
                    vec![*s]
                };
                halves.into_iter().map(|h| BulgeVertex {
                    point: h.start(),
                    bulge: h.bulge(),
                })
            })
            .collect()
    }

    /// Enclosed area (mm²), positive for an anticlockwise outline.
    ///
    /// # Accuracy
    ///
    /// Exact: the polygon of the vertices and the segment r²(φ − sin φ)/2 of each arc.
    pub fn area(&self) -> f64 {
        self.segments
            .iter()
            .map(|segment| {
                let (a, b) = (segment.start(), segment.end());
                let triangle = (a.x * b.y - a.y * b.x) / 2.0;
                match segment {
                    Segment::Line { .. } => triangle,
                    Segment::Arc(arc) => {
                        let lens = arc.sweep - crate::math::sin(arc.sweep);
                        triangle + arc.radius * arc.radius * lens / 2.0
                    }
                }
            })
            .sum()
    }

    /// Length all round (mm).
    pub fn perimeter(&self) -> f64 {
        self.segments.iter().map(Segment::length).sum()
    }

    /// The outline travelled the other way.
    pub fn reversed(&self) -> Self {
        Self {
            segments: self.segments.iter().rev().map(Segment::reversed).collect(),
        }
    }

    /// The outline mirrored in the line y = 0, travelled the other way so that its sense is kept.
    pub fn mirrored_in_x_axis(&self) -> Self {
        Self {
            segments: self
                .segments
                .iter()
                .rev()
                .map(|s| s.mirrored_in_x_axis().reversed())
                .collect(),
        }
    }

    /// The outline mirrored in the line x = 0, travelled the other way so that its sense is kept.
    pub fn mirrored_in_y_axis(&self) -> Self {
        Self {
            segments: self
                .segments
                .iter()
                .rev()
                .map(|s| s.mirrored_in_y_axis().reversed())
                .collect(),
        }
    }

    /// The outline moved by a displacement.
    pub fn translated(&self, by: Vector2) -> Self {
        Self {
            segments: self.segments.iter().map(|s| s.translated(by)).collect(),
        }
    }

    /// Points along the outline whose chords keep within `chord_error` (mm); the first is not repeated.
    pub fn flattened(&self, chord_error: f64) -> Vec<Point2> {
        self.segments
            .iter()
            .flat_map(|segment| {
                let n = segment.chords_within(chord_error);
                (0..n).map(move |i| segment.point_at(i as f64 / n as f64))
            })
            .collect()
    }

    /// True if `point` is inside, by the winding of the outline about it.
    pub fn contains(&self, point: Point2) -> bool {
        self.segments
            .iter()
            .map(|segment| winding_crossings(segment, point))
            .sum::<i32>()
            != 0
    }

    /// Corners of the least upright rectangle round the outline: least and greatest x and y.
    pub fn bounds(&self) -> (Point2, Point2) {
        let mut low = Point2::new(f64::INFINITY, f64::INFINITY);
        let mut high = Point2::new(f64::NEG_INFINITY, f64::NEG_INFINITY);
        let mut take = |p: Point2| {
            low = Point2::new(low.x.min(p.x), low.y.min(p.y));
            high = Point2::new(high.x.max(p.x), high.y.max(p.y));
        };
        for segment in &self.segments {
            take(segment.start());
            take(segment.end());
            if let Segment::Arc(arc) = segment {
                for quarter in 0..4 {
                    let angle = f64::from(quarter) * crate::math::FRAC_PI_2;
                    let along = ((angle - arc.start_angle) * arc.sweep.signum())
                        .rem_euclid(crate::math::TAU);
                    if along < arc.sweep.abs() {
                        take(arc.point_at_angle(angle));
                    }
                }
            }
        }
        (low, high)
    }

    /// Least distance from `point` to the outline (mm), and the nearest point of it.
    pub fn nearest(&self, point: Point2) -> (Point2, f64) {
        let mut best = (point, f64::INFINITY);
        for segment in &self.segments {
            let (fraction, distance) = segment.nearest(point);
            if distance < best.1 {
                best = (segment.point_at(fraction), distance);
            }
        }
        best
    }
}

/// Signed crossings of the ray from `point` towards +x with a segment: +1 upward, −1 downward.
fn winding_crossings(segment: &Segment, point: Point2) -> i32 {
    let crossing = |a: Point2, b: Point2| -> i32 {
        if (a.y <= point.y) == (b.y <= point.y) {
            return 0;
        }
        let t = (point.y - a.y) / (b.y - a.y);
        if a.x + t * (b.x - a.x) <= point.x {
            0
        } else if b.y > a.y {
            1
        } else {
            -1
        }
    };
    match segment {
        Segment::Line { start, end } => crossing(*start, *end),
        Segment::Arc(arc) => {
            // Polygonal winding of the chord, corrected if the point lies between chord and arc.
            let (a, b) = (segment.start(), segment.end());
            let chord = crossing(a, b);
            if (point - arc.centre).norm() >= arc.radius {
                return chord;
            }
            let side = (b - a).perp(&(point - a));
            let half = arc.sweep.abs() / 2.0;
            // Inside the circle: in the lens if on the arc's side of the chord.
            let middle = segment.point_at(0.5);
            let arc_side = (b - a).perp(&(middle - a));
            let in_lens = if cos(half).abs() < 1.0 && (b - a).norm() > COINCIDENT_MM {
                side * arc_side > 0.0
            } else {
                true
            };
            if in_lens {
                chord + arc.sweep.signum() as i32
            } else {
                chord
            }
        }
    }
}
