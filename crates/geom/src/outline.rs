//! A closed outline of lines and arcs.

use crate::math::{FRAC_PI_2, PI, cos};
use crate::tolerance::COINCIDENT_MM;
use crate::{Arc, Chain, GeomError, Point2, Segment, Vector2};

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
                let halves = if s.turn().abs() > 1.5 * PI {
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

    /// The outline turned by quarter turns anticlockwise about the origin.
    ///
    /// Exact: coordinates change places and signs only.
    pub fn quarter_turned(&self, quarters: u8) -> Self {
        let turned = |p: Point2| match quarters % 4 {
            0 => p,
            1 => Point2::new(-p.y, p.x),
            2 => Point2::new(-p.x, -p.y),
            _ => Point2::new(p.y, -p.x),
        };
        let segments = self.segments.iter().map(|segment| match segment {
            Segment::Line { start, end } => Segment::line(turned(*start), turned(*end)),
            Segment::Arc(arc) => Segment::Arc(Arc {
                centre: turned(arc.centre),
                start_angle: arc.start_angle + f64::from(quarters % 4) * FRAC_PI_2,
                ..*arc
            }),
        });
        Self {
            segments: segments.collect(),
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
        let starts = self.segments.iter().map(Segment::start);
        self.segments
            .iter()
            .zip(starts.cycle().skip(1))
            .map(|(segment, end)| winding_crossings(segment, end, point))
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
            let (least, greatest) = segment.bounds();
            take(least);
            take(greatest);
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
///
/// `end` is where the next segment begins. Rounding may set it apart from the segment's own end, and
/// a ray between the two would miss both or count both.
fn winding_crossings(segment: &Segment, end: Point2, point: Point2) -> i32 {
    match segment {
        Segment::Line { start, .. } => crossing(start.y, end.y, point, |height| {
            start.x + (end.x - start.x) * (height - start.y) / (end.y - start.y)
        }),
        Segment::Arc(arc) => monotone_parts(arc)
            .windows(2)
            .map(|angles| {
                let [from, to] = [angles[0], angles[1]];
                // Between its highest and lowest point a circle is a function of the height.
                let side = cos((from + to) / 2.0).signum();
                let height_at = |angle: f64, joint: Option<Point2>| {
                    joint.map_or_else(|| arc.point_at_angle(angle).y, |p| p.y)
                };
                let is_last = to == arc.start_angle + arc.sweep;
                let (a, b) = (height_at(from, None), height_at(to, is_last.then_some(end)));
                crossing(a, b, point, |height| {
                    let rise = height - arc.centre.y;
                    let square = (arc.radius - rise) * (arc.radius + rise);
                    arc.centre.x + side * square.max(0.0).sqrt()
                })
            })
            .sum(),
    }
}

/// Counts a piece that runs from height `from` to height `to`, its x a function of the height.
///
/// The lower end belongs to the piece and the upper does not, so that a joint is counted once.
fn crossing(from: f64, to: f64, point: Point2, x_at: impl Fn(f64) -> f64) -> i32 {
    if (from <= point.y) == (to <= point.y) || x_at(point.y) <= point.x {
        0
    } else if to > from {
        1
    } else {
        -1
    }
}

/// The angles of an arc's start, of its highest and lowest points in order of travel, and of its end.
fn monotone_parts(arc: &Arc) -> Vec<f64> {
    let (start, end) = (arc.start_angle, arc.start_angle + arc.sweep);
    let mut angles = vec![start];
    // Highest and lowest points stand at odd quarters of a turn.
    let half_turns = |angle: f64| (angle - FRAC_PI_2) / PI;
    let extreme = |k: f64| FRAC_PI_2 + k * PI;
    if arc.sweep > 0.0 {
        let mut k = half_turns(start).floor() + 1.0;
        while extreme(k) < end {
            angles.push(extreme(k));
            k += 1.0;
        }
    } else {
        let mut k = half_turns(start).ceil() - 1.0;
        while extreme(k) > end {
            angles.push(extreme(k));
            k -= 1.0;
        }
    }
    angles.push(end);
    angles
}
