//! A section read as stretches that turn one way.

use crate::error::{DevelopError, SectionEnd};
use crate::patch::Fan;
use geom::math::wrap_angle;
use geom::tolerance::{COINCIDENT_MM, PARALLEL_RAD};
use geom::{Chain, Point2, Segment};

/// Headings closer than this are taken as one (rad): over a radius of 30 mm it moves 3e-8 mm.
pub(crate) const SAME_HEADING: f64 = 10.0 * PARALLEL_RAD;

/// A straight or turning piece with its unwrapped heading.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Piece {
    Line { start: Point2, end: Point2 },
    Turn { fan: Fan, from: f64, to: f64 },
}

/// A stretch of a section that turns one way only.
#[derive(Clone, Debug)]
pub(crate) struct Run {
    /// +1 left, −1 right, 0 for a run that the section lacks.
    pub(crate) sign: f64,
    /// Heading at either end (rad, unwrapped).
    pub(crate) from: f64,
    pub(crate) to: f64,
    /// Where the section stands when the run begins.
    pub(crate) start: Point2,
    /// Where it begins to turn, and the length along the section to there (mm).
    pub(crate) turn_start: Point2,
    pub(crate) along: f64,
    pub(crate) pieces: Vec<(f64, Piece)>,
}

/// A section as runs, with the straight before, between and after them.
#[derive(Clone, Debug)]
pub(crate) struct Turning {
    pub(crate) runs: Vec<Run>,
    /// `straights[i]` stands before `runs[i]`; the last after the last run. Start and end point.
    pub(crate) straights: Vec<(Point2, Point2)>,
    /// Heading at the start, for a section without runs.
    pub(crate) heading: f64,
}

pub(crate) fn read_turning(chain: &Chain, end: SectionEnd) -> Result<Turning, DevelopError> {
    let first = chain
        .segments()
        .first()
        .ok_or(DevelopError::EmptySection { end })?;
    let mut heading = first.tangent_angle_at(0.0);
    let mut turning = Turning {
        runs: Vec::new(),
        straights: vec![(chain.start(), chain.start())],
        heading,
    };
    let mut along = 0.0;
    // Straight pieces are held back until it is known whether the same run goes on behind them.
    let mut held: Vec<Piece> = Vec::new();
    for segment in chain.segments() {
        let corner = wrap_angle(segment.tangent_angle_at(0.0) - heading);
        if corner.abs() > 1e-6 {
            return Err(DevelopError::Corner {
                end,
                corner_deg: corner.to_degrees(),
                at: segment.start(),
            });
        }
        match segment {
            Segment::Line { start, end } => held.push(Piece::Line {
                start: *start,
                end: *end,
            }),
            Segment::Arc(arc) => {
                let turn = Piece::Turn {
                    fan: Fan {
                        centre: arc.centre,
                        radius: arc.radius,
                    },
                    from: heading,
                    to: heading + arc.sweep,
                };
                take_turn(
                    &mut turning,
                    &mut held,
                    (heading, turn),
                    arc.sweep,
                    segment,
                    along,
                );
                heading += arc.sweep;
            }
        }
        along += segment.length();
    }
    if let (Some(Piece::Line { start, .. }), Some(Piece::Line { end, .. })) =
        (held.first(), held.last())
    {
        set_last_straight(&mut turning, *start, *end);
    }
    Ok(turning)
}

fn set_last_straight(turning: &mut Turning, start: Point2, end: Point2) {
    if let Some(last) = turning.straights.last_mut() {
        *last = (start, end);
    }
}

fn take_turn(
    turning: &mut Turning,
    held: &mut Vec<Piece>,
    (heading, turn): (f64, Piece),
    sweep: f64,
    segment: &Segment,
    along: f64,
) {
    let lines: Vec<Piece> = std::mem::take(held);
    let continues = turning
        .runs
        .last()
        .is_some_and(|run| run.sign == sweep.signum());
    if !continues {
        if let (Some(Piece::Line { start, .. }), Some(Piece::Line { end, .. })) =
            (lines.first(), lines.last())
        {
            set_last_straight(turning, *start, *end);
        }
        turning.runs.push(Run {
            sign: sweep.signum(),
            from: heading,
            to: heading,
            start: segment.start(),
            turn_start: segment.start(),
            along,
            pieces: Vec::new(),
        });
    }
    if let Some(run) = turning.runs.last_mut() {
        if continues {
            run.pieces
                .extend(lines.into_iter().map(|line| (heading, line)));
        }
        run.pieces.push((heading, turn));
        run.to = heading + sweep;
    }
    if continues {
        set_last_straight(turning, segment.end(), segment.end());
    } else {
        turning.straights.push((segment.end(), segment.end()));
    }
}

pub(crate) fn shift_headings(turning: &mut Turning, by: f64) {
    turning.heading += by;
    for run in &mut turning.runs {
        run.from += by;
        run.to += by;
        for (heading, piece) in &mut run.pieces {
            *heading += by;
            if let Piece::Turn { from, to, .. } = piece {
                *from += by;
                *to += by;
            }
        }
    }
}

impl Turning {
    /// Heading of the straight before run `i`.
    pub(crate) fn heading_at(&self, i: usize) -> f64 {
        if i == 0 {
            self.heading
        } else {
            self.runs[i - 1].to
        }
    }

    /// Length of what faces `heading` before run `i`: the straight, and straights of the run before (mm).
    pub(crate) fn straight_before(&self, i: usize, heading: f64) -> f64 {
        let earlier = i.checked_sub(1).and_then(|i| self.runs.get(i));
        self.straight_facing(i, heading)
            + earlier.map_or(0.0, |run| run.straight_length_at(heading))
    }

    /// Length of what faces `heading` after run `i`: the straight, and straights of the run after (mm).
    pub(crate) fn straight_after(&self, i: usize, heading: f64) -> f64 {
        let later = self.runs.get(i + 1);
        self.straight_facing(i + 1, heading)
            + later.map_or(0.0, |run| run.straight_length_at(heading))
    }

    fn straight_facing(&self, i: usize, heading: f64) -> f64 {
        let (start, end) = self.straights[i];
        if (self.heading_at(i) - heading).abs() < SAME_HEADING {
            (end - start).norm()
        } else {
            0.0
        }
    }

    /// Ends the run before straight `i` with its first part and begins the run after it with the rest.
    pub(crate) fn straight_into_runs(&mut self, i: usize, fraction: f64) {
        let heading = self.heading_at(i);
        let (start, end) = self.straights[i];
        let fraction = if i == self.runs.len() { 1.0 } else { fraction };
        let at = start + (end - start) * fraction;
        let long = |a: Point2, b: Point2| (b - a).norm() > COINCIDENT_MM;
        if i > 0 && long(start, at) {
            let line = Piece::Line { start, end: at };
            self.runs[i - 1].pieces.push((heading, line));
        }
        if let Some(next) = self.runs.get_mut(i)
            && long(at, end)
        {
            next.pieces
                .insert(0, (heading, Piece::Line { start: at, end }));
            next.start = at;
        }
        self.straights[i] = (at, at);
    }
}

impl Run {
    /// Angle turned through, without sign (rad).
    pub(crate) fn turn(&self) -> f64 {
        (self.to - self.from).abs()
    }

    /// True if a heading between `from` and `to` is also one of the run's.
    pub(crate) fn shares_a_heading_with(&self, from: f64, to: f64) -> bool {
        let low = self.from.min(self.to).max(from.min(to));
        let high = self.from.max(self.to).min(from.max(to));
        low <= high + SAME_HEADING
    }

    /// Length of the straights of the run that face `heading` (mm).
    pub(crate) fn straight_length_at(&self, heading: f64) -> f64 {
        self.pieces
            .iter()
            .filter(|(own, _)| (own - heading).abs() < SAME_HEADING)
            .map(|(_, piece)| match piece {
                Piece::Line { start, end } => (end - start).norm(),
                Piece::Turn { .. } => 0.0,
            })
            .sum()
    }
}
