//! An open chain of lines and arcs: a section, or one side of an outline.

use crate::math::{FRAC_PI_2, TAU, sin_cos, wrap_angle};
use crate::tolerance::{COINCIDENT_MM, PARALLEL_RAD};
use crate::{Arc, GeomError, Point2, Segment, Vector2};

/// Lines and circular arcs, each beginning where the one before it ends.
///
/// Offsetting keeps the kind of every piece: a line stays a line, an arc an arc about the same
/// centre.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Chain {
    segments: Vec<Segment>,
}

impl Chain {
    /// Begins a chain at a point with a direction of travel (rad); pieces then follow tangentially.
    pub fn starting(start: Point2, heading: f64) -> ChainBuilder {
        ChainBuilder {
            at: start,
            heading,
            segments: Vec::new(),
        }
    }

    /// A chain of given pieces; pieces shorter than the point tolerance are left out.
    pub fn from_segments(segments: impl IntoIterator<Item = Segment>) -> Self {
        Self {
            segments: segments
                .into_iter()
                .filter(|s| s.length() > COINCIDENT_MM)
                .collect(),
        }
    }

    /// The pieces in order of travel.
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// Where travel begins; the origin for a chain without pieces.
    pub fn start(&self) -> Point2 {
        self.segments
            .first()
            .map_or_else(Point2::origin, Segment::start)
    }

    /// Where travel ends; the origin for a chain without pieces.
    pub fn end(&self) -> Point2 {
        self.segments
            .last()
            .map_or_else(Point2::origin, Segment::end)
    }

    /// Length along the chain (mm).
    pub fn length(&self) -> f64 {
        self.segments.iter().map(Segment::length).sum()
    }

    /// Net angle turned by the direction of travel (rad), corners included, positive anticlockwise.
    pub fn turn(&self) -> f64 {
        let bends: f64 = self.segments.iter().map(Segment::turn).sum();
        let corners: f64 = self.corner_turns().sum();
        bends + corners
    }

    /// True where every piece begins in the direction in which the one before it ends.
    pub fn is_tangent(&self) -> bool {
        // Rounding of a direction from two coordinates of 100 mm over a 1 mm line is about 1e-12.
        self.corner_turns()
            .all(|turn| turn.abs() < 1e3 * PARALLEL_RAD)
    }

    fn corner_turns(&self) -> impl Iterator<Item = f64> + '_ {
        self.segments
            .windows(2)
            .map(|pair| wrap_angle(pair[1].tangent_angle_at(0.0) - pair[0].tangent_angle_at(1.0)))
    }

    /// The point at a length from the start (mm); ends are extended to lengths outside the chain.
    pub fn point_at(&self, length: f64) -> Point2 {
        self.locate(length)
            .map_or_else(Point2::origin, |(i, f)| self.segments[i].point_at(f))
    }

    /// Direction of travel (rad) at a length from the start (mm).
    pub fn tangent_angle_at(&self, length: f64) -> f64 {
        self.locate(length)
            .map_or(0.0, |(i, f)| self.segments[i].tangent_angle_at(f))
    }

    /// Piece and fraction of it at a length from the start (mm); `None` for a chain without pieces.
    pub fn locate(&self, length: f64) -> Option<(usize, f64)> {
        let last = self.segments.len().checked_sub(1)?;
        let mut rest = length;
        for (i, segment) in self.segments.iter().enumerate() {
            let own = segment.length();
            if rest <= own || i == last {
                return Some((i, rest / own));
            }
            rest -= own;
        }
        None
    }

    /// Lengths from the start (mm) at which an arc of the chain travels in the direction `heading` (rad).
    ///
    /// Lines that travel in that direction give their start.
    pub fn lengths_at_tangent(&self, heading: f64) -> Vec<f64> {
        let mut found = Vec::new();
        let mut before = 0.0;
        for segment in &self.segments {
            let ahead = wrap_angle(heading - segment.tangent_angle_at(0.0));
            let length = segment.length();
            match segment {
                Segment::Line { .. } if ahead.abs() < PARALLEL_RAD => found.push(before),
                Segment::Arc(arc) => {
                    let along = (ahead * arc.sweep.signum()).rem_euclid(TAU);
                    // Rounding puts the start's own direction just behind it, nearly a turn ahead.
                    let along = if along > TAU - PARALLEL_RAD {
                        0.0
                    } else {
                        along
                    };
                    let sweep = arc.sweep.abs();
                    if along <= sweep + PARALLEL_RAD {
                        found.push(before + along.min(sweep) * arc.radius);
                    }
                }
                Segment::Line { .. } => {}
            }
            before += length;
        }
        found.dedup_by(|b, a| (*b - *a).abs() < COINCIDENT_MM);
        found
    }

    /// The chain moved to the left of travel by `distance` (mm); negative moves it to the right.
    ///
    /// An arc keeps its centre: with its centre on the left its radius shrinks, on the right it
    /// grows. The chain must be tangent, so that pieces still meet.
    ///
    /// # Errors
    ///
    /// [`GeomError::OffsetPastCentre`] where an arc would lose its radius.
    pub fn offset(&self, distance: f64) -> Result<Self, GeomError> {
        self.segments
            .iter()
            .map(|segment| offset_segment(segment, distance))
            .collect::<Result<Vec<_>, _>>()
            .map(Self::from_segments)
    }

    /// The chain travelled the other way.
    pub fn reversed(&self) -> Self {
        Self {
            segments: self.segments.iter().rev().map(Segment::reversed).collect(),
        }
    }

    /// The chain mirrored in the line x = 0, travel kept.
    pub fn mirrored_in_y_axis(&self) -> Self {
        Self {
            segments: self
                .segments
                .iter()
                .map(Segment::mirrored_in_y_axis)
                .collect(),
        }
    }

    /// A symmetrical section from its left half, which starts on the line x = 0: the mirror image
    /// travelled inwards, then the half itself.
    ///
    /// A half from the top centre down to the left foot becomes the section from the right foot over the
    /// top to the left foot, its outside still on the left of travel.
    pub fn with_mirror_image(&self) -> Self {
        self.mirrored_in_y_axis().reversed().joined(self)
    }

    /// The chain moved by a displacement.
    pub fn translated(&self, by: Vector2) -> Self {
        Self {
            segments: self.segments.iter().map(|s| s.translated(by)).collect(),
        }
    }

    /// This chain and then `next`, whose start must be this chain's end.
    pub fn joined(mut self, next: &Self) -> Self {
        self.segments.extend_from_slice(&next.segments);
        self
    }

    /// The part between two lengths from the start (mm).
    pub fn part(&self, from: f64, to: f64) -> Self {
        let mut before = 0.0;
        let mut kept = Vec::new();
        for segment in &self.segments {
            let length = segment.length();
            let low = ((from - before) / length).clamp(0.0, 1.0);
            let high = ((to - before) / length).clamp(0.0, 1.0);
            if high > low {
                kept.push(segment.part(low, high));
            }
            before += length;
        }
        Self::from_segments(kept)
    }

    /// Points along the chain whose chords keep within `chord_error` (mm), ends included.
    pub fn flattened(&self, chord_error: f64) -> Vec<Point2> {
        let mut points: Vec<Point2> = self
            .segments
            .first()
            .map(Segment::start)
            .into_iter()
            .collect();
        for segment in &self.segments {
            let n = segment.chords_within(chord_error);
            points.extend((1..=n).map(|i| segment.point_at(i as f64 / n as f64)));
        }
        points
    }

    /// The chain without pieces shorter than `least` (mm): their neighbours are drawn on to meet half way.
    ///
    /// Bulges of the pieces that stay are kept, so that they turn as they did. A chain of short pieces
    /// only is left as it is.
    pub fn without_pieces_below(&self, least: f64) -> Self {
        let kept: Vec<Segment> = self
            .segments
            .iter()
            .filter(|segment| segment.length() >= least)
            .copied()
            .collect();
        let (Some(first), Some(last)) = (kept.first(), kept.last()) else {
            return self.clone();
        };
        if kept.len() == self.segments.len() {
            return self.clone();
        }
        // A piece dropped at an end of the chain leaves that end where it is.
        let mut corners = vec![if self.segments[0] == *first {
            first.start()
        } else {
            self.start()
        }];
        corners.extend(kept.windows(2).map(|pair| {
            let (end, start) = (pair[0].end(), pair[1].start());
            end + (start - end) / 2.0
        }));
        corners.push(if self.segments.last() == Some(last) {
            last.end()
        } else {
            self.end()
        });
        let moved = kept.iter().zip(corners.windows(2)).map(|(segment, ends)| {
            if segment.start() == ends[0] && segment.end() == ends[1] {
                *segment
            } else {
                Segment::from_bulge(ends[0], ends[1], segment.bulge())
            }
        });
        Self::from_segments(moved)
    }

    /// Nearest point of the chain to `point`: length from the start (mm) and distance (mm).
    pub fn nearest(&self, point: Point2) -> (f64, f64) {
        let mut best = (0.0, f64::INFINITY);
        let mut before = 0.0;
        for segment in &self.segments {
            let (fraction, distance) = segment.nearest(point);
            if distance < best.1 {
                best = (before + fraction * segment.length(), distance);
            }
            before += segment.length();
        }
        best
    }
}

fn offset_segment(segment: &Segment, distance: f64) -> Result<Segment, GeomError> {
    Ok(match segment {
        Segment::Line { start, end } => {
            let along = (end - start).normalize();
            let left = Vector2::new(-along.y, along.x) * distance;
            Segment::line(start + left, end + left)
        }
        Segment::Arc(arc) => {
            let radius = arc.radius - distance * arc.sweep.signum();
            if radius <= 0.0 {
                return Err(GeomError::OffsetPastCentre {
                    offset_mm: distance,
                    radius_mm: arc.radius,
                    at: arc.centre,
                });
            }
            Segment::Arc(Arc { radius, ..*arc })
        }
    })
}

/// Lays a tangent chain piece by piece.
#[derive(Clone, Debug)]
pub struct ChainBuilder {
    at: Point2,
    heading: f64,
    segments: Vec<Segment>,
}

impl ChainBuilder {
    /// Goes straight on for `length` (mm); nothing is laid for a length of zero or less.
    pub fn line(mut self, length: f64) -> Self {
        if length > COINCIDENT_MM {
            let (s, c) = sin_cos(self.heading);
            let end = self.at + Vector2::new(c, s) * length;
            self.segments.push(Segment::line(self.at, end));
            self.at = end;
        }
        self
    }

    /// Follows an arc of `radius` (mm) through `turn` (rad), positive to the left.
    pub fn arc(mut self, radius: f64, turn: f64) -> Self {
        if radius * turn.abs() > COINCIDENT_MM {
            let (s, c) = sin_cos(self.heading);
            let side = turn.signum();
            let centre = self.at + Vector2::new(-s, c) * (radius * side);
            let arc = Arc {
                centre,
                radius,
                start_angle: self.heading - side * FRAC_PI_2,
                sweep: turn,
            };
            self.at = arc.point_at_angle(arc.start_angle + turn);
            self.segments.push(Segment::Arc(arc));
        }
        self.heading += turn;
        self
    }

    /// Turns on the spot by `turn` (rad), positive to the left: a corner.
    pub fn corner(mut self, turn: f64) -> Self {
        self.heading += turn;
        self
    }

    /// Where the chain has come to.
    pub fn position(&self) -> Point2 {
        self.at
    }

    /// The chain laid so far.
    pub fn finish(self) -> Chain {
        Chain::from_segments(self.segments)
    }
}
