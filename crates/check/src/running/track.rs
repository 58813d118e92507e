//! The centre line of a track in plan: straights, curves and transitions, one after another.

use super::RunningError;
use geom::math::{self, cos, sin, sin_cos};
use geom::{Point2, Vector2, gauss_legendre};

/// Greatest turn that one quadrature of a transition spans (rad): ten points are then exact to the last
/// places of a double.
const QUADRATURE_TURN: f64 = 0.5;

/// A part of a track over which curvature runs evenly from one value to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Length along the line (mm).
    pub length: f64,
    /// Curvature where it begins (1/mm), positive to the left.
    pub from: f64,
    /// Curvature where it ends (1/mm).
    pub to: f64,
}

impl Stretch {
    /// A straight.
    pub fn straight(length: f64) -> Self {
        Self::curve(length, 0.0)
    }

    /// A curve of one curvature (1/mm), positive to the left.
    pub fn curve(length: f64, curvature: f64) -> Self {
        Self {
            length,
            from: curvature,
            to: curvature,
        }
    }

    /// A transition (clothoid) between two curvatures (1/mm).
    pub fn transition(length: f64, from: f64, to: f64) -> Self {
        Self { length, from, to }
    }

    fn rate(&self) -> f64 {
        if self.length > 0.0 {
            (self.to - self.from) / self.length
        } else {
            0.0
        }
    }

    /// Turn of the heading over the first `u` of it (rad).
    fn turn(&self, u: f64) -> f64 {
        u * (self.from + self.rate() * u / 2.0)
    }

    /// Place after `u` for a start at the origin, heading along x.
    fn along(&self, u: f64) -> Vector2 {
        if self.from == self.to {
            // The chord of an arc: no division by a curvature that may be zero.
            let half = self.from * u / 2.0;
            let chord = u * sine_over_angle(half);
            let (s, c) = sin_cos(half);
            return Vector2::new(chord * c, chord * s);
        }
        let turn = self.from.abs().max(self.to.abs()) * u.abs();
        let parts = (turn / QUADRATURE_TURN).ceil().max(1.0) as usize;
        let step = u / parts as f64;
        (0..parts)
            .map(|i| {
                let (a, b) = (step * i as f64, step * (i + 1) as f64);
                Vector2::new(
                    gauss_legendre(a, b, |v| cos(self.turn(v))),
                    gauss_legendre(a, b, |v| sin(self.turn(v))),
                )
            })
            .sum()
    }
}

/// sin a / a, one at zero.
fn sine_over_angle(a: f64) -> f64 {
    if a.abs() < 1e-4 {
        1.0 - a * a / 6.0
    } else {
        sin(a) / a
    }
}

/// Where the line is at a distance along it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackPoint {
    /// The point (mm).
    pub point: Point2,
    /// Heading from the x axis, positive to the left (rad).
    pub heading: f64,
}

/// The centre line of a track: stretches from the origin along x, with straights before and behind that
/// do not end.
#[derive(Clone, Debug, PartialEq)]
pub struct TrackLine {
    /// Where each stretch begins: distance along the line, and place.
    begins: Vec<(f64, TrackPoint, Stretch)>,
    /// Where the last one ends.
    end: (f64, TrackPoint),
}

impl TrackLine {
    /// A line of stretches.
    ///
    /// # Errors
    ///
    /// [`RunningError::Track`] if a length is negative or a figure is not finite.
    pub fn new(stretches: &[Stretch]) -> Result<Self, RunningError> {
        let mut at = (
            0.0,
            TrackPoint {
                point: Point2::origin(),
                heading: 0.0,
            },
        );
        let mut begins = Vec::with_capacity(stretches.len());
        for stretch in stretches {
            let finite = [stretch.length, stretch.from, stretch.to]
                .iter()
                .all(|v| v.is_finite());
            if !finite || stretch.length < 0.0 {
                return Err(RunningError::Track {
                    sentence: format!(
                        "a stretch of track {} mm long with curvatures {} and {} per mm is none",
                        stretch.length, stretch.from, stretch.to
                    ),
                });
            }
            begins.push((at.0, at.1, *stretch));
            at = (
                at.0 + stretch.length,
                advanced(&at.1, stretch, stretch.length),
            );
        }
        Ok(Self { begins, end: at })
    }

    /// Length over the stretches (mm).
    pub fn length(&self) -> f64 {
        self.end.0
    }

    /// Sharpest curvature on it (1/mm), without sign.
    pub fn sharpest(&self) -> f64 {
        self.begins
            .iter()
            .map(|(_, _, stretch)| stretch.from.abs().max(stretch.to.abs()))
            .fold(0.0, f64::max)
    }

    /// The line at a distance from its beginning (mm); before and behind it goes on straight.
    pub fn at(&self, s: f64) -> TrackPoint {
        let straight = Stretch::straight(0.0);
        if s >= self.end.0 {
            return advanced(&self.end.1, &straight, s - self.end.0);
        }
        let i = self.begins.partition_point(|(from, _, _)| *from <= s);
        match i.checked_sub(1).and_then(|i| self.begins.get(i)) {
            Some((from, at, stretch)) => advanced(at, stretch, s - from),
            None => TrackPoint {
                point: Point2::new(s, 0.0),
                heading: 0.0,
            },
        }
    }

    /// Distance of a point from the line, positive to its left (mm), looked for near `s`.
    pub fn offset(&self, point: Point2, s: f64) -> f64 {
        let mut s = s;
        for _ in 0..60 {
            let own = self.at(s);
            let (sin, cos) = sin_cos(own.heading);
            let ahead = (point - own.point).dot(&Vector2::new(cos, sin));
            s += ahead;
            if ahead.abs() < 1e-12 * (1.0 + s.abs()) {
                break;
            }
        }
        let own = self.at(s);
        let (sin, cos) = sin_cos(own.heading);
        (point - own.point).dot(&Vector2::new(-sin, cos))
    }
}

fn advanced(from: &TrackPoint, stretch: &Stretch, u: f64) -> TrackPoint {
    let own = stretch.along(u);
    let (sin, cos) = sin_cos(from.heading);
    TrackPoint {
        point: from.point + Vector2::new(own.x * cos - own.y * sin, own.x * sin + own.y * cos),
        heading: from.heading + stretch.turn(u),
    }
}

/// A kind of track that an engine is led over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Course {
    /// From the straight into a curve and out again.
    Curve {
        /// Radius of the centre line (mm).
        radius: f64,
    },
    /// A curve and the same curve the other way.
    Reverse {
        /// Radius of both (mm).
        radius: f64,
        /// Straight between them (mm), zero for none.
        straight: f64,
    },
    /// From a track to the one beside it through two turnouts.
    Crossover {
        /// Radius of the turnouts' curves (mm).
        radius: f64,
        /// Crossing number: 1 in `number`, by the centre lines, so that the angle is 2 atan(1/(2 N)).
        number: f64,
        /// Distance between the centre lines of the tracks (mm).
        spacing: f64,
    },
    /// A curve with a transition on each side.
    Transition {
        /// Radius of the curve (mm).
        radius: f64,
        /// Length of each transition (mm).
        length: f64,
    },
}

impl Course {
    /// The centre line, its curves long enough that a train of `train` mm stands wholly on each.
    ///
    /// # Errors
    ///
    /// [`RunningError::Track`] for a radius, length or number that no track has, and for a crossover whose
    /// curves alone are wider than the tracks are apart.
    pub fn line(&self, train: f64) -> Result<TrackLine, RunningError> {
        let checked = |radius: f64| {
            if radius.is_finite() && radius > 0.0 {
                Ok(1.0 / radius)
            } else {
                Err(RunningError::Track {
                    sentence: format!("a curve of {radius} mm radius is none"),
                })
            }
        };
        // No more than a little over half a circle, so that the line does not run into itself.
        let long = |radius: f64| (1.2 * train).min(math::PI * 1.1 * radius);
        match *self {
            Self::Curve { radius } => {
                let k = checked(radius)?;
                TrackLine::new(&[Stretch::curve(long(radius), k)])
            }
            Self::Reverse { radius, straight } => {
                let k = checked(radius)?;
                TrackLine::new(&[
                    Stretch::curve(long(radius), k),
                    Stretch::straight(straight),
                    Stretch::curve(long(radius), -k),
                ])
            }
            Self::Crossover {
                radius,
                number,
                spacing,
            } => {
                let k = checked(radius)?;
                if !(number.is_finite() && number >= 1.0) {
                    return Err(RunningError::Track {
                        sentence: format!("a crossing of 1 in {number} is none: 1 in 1 or flatter"),
                    });
                }
                let angle = 2.0 * math::atan2(1.0, 2.0 * number);
                let sideways = 2.0 * radius * (1.0 - cos(angle));
                let straight = (spacing - sideways) / sin(angle);
                if !(straight.is_finite() && straight >= 0.0) {
                    return Err(RunningError::Track {
                        sentence: format!(
                            "two curves of {radius} mm to 1 in {number} reach {sideways:.1} mm to the side \
                             and the tracks are {spacing} mm apart: take a smaller radius or a flatter crossing"
                        ),
                    });
                }
                TrackLine::new(&[
                    Stretch::curve(radius * angle, k),
                    Stretch::straight(straight),
                    Stretch::curve(radius * angle, -k),
                ])
            }
            Self::Transition { radius, length } => {
                let k = checked(radius)?;
                TrackLine::new(&[
                    Stretch::transition(length, 0.0, k),
                    Stretch::curve(long(radius), k),
                    Stretch::transition(length, k, 0.0),
                ])
            }
        }
    }

    /// The same course with another radius (mm).
    #[must_use]
    pub fn with_radius(self, radius: f64) -> Self {
        match self {
            Self::Curve { .. } => Self::Curve { radius },
            Self::Reverse { straight, .. } => Self::Reverse { radius, straight },
            Self::Transition { length, .. } => Self::Transition { radius, length },
            Self::Crossover {
                number, spacing, ..
            } => Self::Crossover {
                radius,
                number,
                spacing,
            },
        }
    }

    /// What it is in words: `reverse curve of 600 mm radius, 30 mm straight between`.
    pub fn words(&self) -> String {
        match *self {
            Self::Curve { radius } => format!("{radius:.0} mm radius"),
            Self::Reverse { radius, straight } if straight > 0.0 => {
                format!("reverse curve of {radius:.0} mm radius, {straight:.0} mm straight between")
            }
            Self::Reverse { radius, .. } => format!("reverse curve of {radius:.0} mm radius"),
            Self::Crossover {
                radius,
                number,
                spacing,
            } => format!(
                "crossover 1 in {number}, {radius:.0} mm radius, tracks {spacing:.0} mm apart"
            ),
            Self::Transition { radius, length } => {
                format!("{radius:.0} mm radius with transitions of {length:.0} mm")
            }
        }
    }

    /// The sharpest radius on it (mm).
    pub fn radius(&self) -> f64 {
        match *self {
            Self::Curve { radius }
            | Self::Reverse { radius, .. }
            | Self::Crossover { radius, .. }
            | Self::Transition { radius, .. } => radius,
        }
    }
}
