//! Joins two sections by parallel tangents.
//!
//! Each section is cut into *runs* that turn one way. Two sections fit when their runs have the
//! same signs in the same order; a run that one section lacks has no turn there and goes to the
//! point with equal tangent. Inside a pair of runs the headings are merged, so that every patch is
//! a plane (both straight) or a cone (both turning, or one a point).
//!
//! Derivation: `docs/derivations.md#wrapper-between-two-sections`.

use crate::error::{DevelopError, SectionEnd};
use crate::patch::{Fan, PatchShape};
use geom::math::wrap_angle;
use geom::tolerance::{COINCIDENT_MM, PARALLEL_RAD};
use geom::{Chain, Point2, Segment};

/// Headings closer than this are taken as one (rad): over a radius of 30 mm it moves 3e-8 mm.
const SAME_HEADING: f64 = 10.0 * PARALLEL_RAD;

/// A straight or turning piece with its unwrapped heading.
#[derive(Clone, Copy, Debug)]
enum Piece {
    Line { start: Point2, end: Point2 },
    Turn { fan: Fan, from: f64, to: f64 },
}

/// A stretch of a section that turns one way only.
#[derive(Clone, Debug)]
struct Run {
    /// +1 left, −1 right, 0 for a run that the section lacks.
    sign: f64,
    /// Heading at either end (rad, unwrapped).
    from: f64,
    to: f64,
    start: Point2,
    end: Point2,
    /// Length along the section to the start of the run (mm).
    along: f64,
    pieces: Vec<(f64, Piece)>,
}

/// A section as runs, with the straight before, between and after them.
#[derive(Clone, Debug)]
struct Turning {
    runs: Vec<Run>,
    /// `straights[i]` stands before `runs[i]`; the last after the last run. Start and end point.
    straights: Vec<(Point2, Point2)>,
    /// Heading at the start, for a section without runs.
    heading: f64,
}

/// Patches that join `front` to `rear`, in order of travel.
///
/// # Errors
///
/// [`DevelopError::SectionsTurnUnlike`] where one section turns and the other turns the other way;
/// [`DevelopError::Corner`] at a corner; [`DevelopError::EmptySection`].
pub(crate) fn match_by_tangent(
    front: &Chain,
    rear: &Chain,
) -> Result<Vec<PatchShape>, DevelopError> {
    let mut front = read_turning(front, SectionEnd::Front)?;
    let mut rear = read_turning(rear, SectionEnd::Rear)?;
    // Headings are compared as they stand; a start on the other side of ±180° is one turn off.
    let shift = (rear.heading - front.heading) - wrap_angle(rear.heading - front.heading);
    shift_headings(&mut rear, -shift);
    align_runs(&mut front, &mut rear);
    if front.runs.is_empty() && (front.heading - rear.heading).abs() > SAME_HEADING {
        return Err(DevelopError::SectionsTurnUnlike {
            end: SectionEnd::Rear,
            found_deg: (rear.heading - front.heading).to_degrees(),
            at: rear.straights[0].0,
            along_mm: 0.0,
        });
    }
    for i in 0..front.straights.len() {
        settle_straights(&mut front, &mut rear, i);
    }
    let mut patches = Vec::new();
    for i in 0..front.straights.len() {
        push_plane(&mut patches, front.straights[i], rear.straights[i], front.heading_at(i));
        if let (Some(f), Some(r)) = (front.runs.get(i), rear.runs.get(i)) {
            join_runs(f, r, &mut patches)?;
        }
    }
    Ok(patches)
}

fn read_turning(chain: &Chain, end: SectionEnd) -> Result<Turning, DevelopError> {
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
                take_turn(&mut turning, &mut held, (heading, turn), arc.sweep, segment, along);
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
            end: segment.start(),
            along,
            pieces: Vec::new(),
        });
    }
    if let Some(run) = turning.runs.last_mut() {
        if continues {
            run.pieces.extend(lines.into_iter().map(|line| (heading, line)));
        }
        run.pieces.push((heading, turn));
        run.to = heading + sweep;
        run.end = segment.end();
    }
    if continues {
        set_last_straight(turning, segment.end(), segment.end());
    } else {
        turning.straights.push((segment.end(), segment.end()));
    }
}

fn shift_headings(turning: &mut Turning, by: f64) {
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

/// Gives both sections runs of the same signs, inserting runs without turn where one lacks them.
fn align_runs(front: &mut Turning, rear: &mut Turning) {
    let plan = cheapest_alignment(front, rear);
    insert_missing(front, &plan, |step| step.0, rear);
    insert_missing(rear, &plan, |step| step.1, front);
}

/// Pairs of run indices; `None` where a section lacks the run.
type Step = (Option<usize>, Option<usize>);

/// Price of a step that no sheet can follow, above any turn of a section (rad): taken only where there
/// is no other, so that the error names the place.
const NO_SHEET: f64 = 1e6;

/// Least total turn left without a partner, by dynamic programming over both lists of runs.
///
/// Runs without a heading in common cannot be paired, and a section can wait only at a heading that
/// the other passes.
fn cheapest_alignment(front: &Turning, rear: &Turning) -> Vec<Step> {
    let (n, m) = (front.runs.len(), rear.runs.len());
    // best[i][j]: price and first step of pairing what is left from front run i and rear run j on.
    let mut best = vec![vec![(f64::INFINITY, (None, None)); m + 1]; n + 1];
    best[n][m].0 = 0.0;
    for i in (0..=n).rev() {
        for j in (0..=m).rev() {
            let (f, r) = (front.runs.get(i), rear.runs.get(j));
            let mut choice = best[i][j];
            let mut offer = |price: f64, step: Step| {
                if price < choice.0 {
                    choice = (price, step);
                }
            };
            if let (Some(f), Some(r)) = (f, r)
                && f.sign == r.sign
            {
                let unlike = (f.turn() - r.turn()).abs();
                let apart = if f.shares_a_heading_with(r.from, r.to) { 0.0 } else { NO_SHEET };
                offer(unlike + apart + best[i + 1][j + 1].0, (Some(i), Some(j)));
            }
            let waiting = |run: &Run, at: f64| {
                let apart = if run.shares_a_heading_with(at, at) { 0.0 } else { NO_SHEET };
                run.turn() + apart
            };
            if let Some(f) = f {
                offer(waiting(f, rear.heading_at(j)) + best[i + 1][j].0, (Some(i), None));
            }
            if let Some(r) = r {
                offer(waiting(r, front.heading_at(i)) + best[i][j + 1].0, (None, Some(j)));
            }
            best[i][j] = choice;
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut plan = Vec::new();
    while (i, j) != (n, m) {
        let step = best[i][j].1;
        plan.push(step);
        i += usize::from(step.0.is_some());
        j += usize::from(step.1.is_some());
    }
    plan
}

/// Rebuilds a section's runs by the plan, splitting a straight at equal fraction for the runs it lacks.
fn insert_missing(own: &mut Turning, plan: &[Step], mine: impl Fn(&Step) -> Option<usize>, other: &Turning) {
    let theirs = |step: &Step| match mine(step) {
        None => step.0.or(step.1),
        Some(_) => None,
    };
    let mut runs = Vec::new();
    let mut straights = Vec::new();
    let mut next = 0;
    let mut k = 0;
    while k < plan.len() {
        if let Some(i) = mine(&plan[k]) {
            straights.push(own.straights[i]);
            runs.push(own.runs[i].clone());
            next = i + 1;
            k += 1;
            continue;
        }
        let first = k;
        while k < plan.len() && mine(&plan[k]).is_none() {
            k += 1;
        }
        let (start, end) = own.straights[next];
        let before = theirs(&plan[first]).map_or(0.0, |i| straight_length(other, i));
        let after = theirs(&plan[k - 1]).map_or(0.0, |i| straight_length(other, i + 1));
        let at = start + (end - start) * equal_fraction(before, after);
        let heading = own.heading_at(next);
        let along = if next == 0 { 0.0 } else { own.runs[next - 1].along };
        for i in first..k {
            straights.push((if i == first { start } else { at }, at));
            runs.push(Run { sign: 0.0, from: heading, to: heading, start: at, end: at, along, pieces: Vec::new() });
        }
        // What is left of the split straight stands before the next run.
        own.straights[next] = (at, end);
    }
    straights.push(own.straights[next]);
    own.runs = runs;
    own.straights = straights;
}

fn straight_length(turning: &Turning, i: usize) -> f64 {
    turning.straights.get(i).map_or(0.0, |(a, b)| (b - a).norm())
}

/// Where the straights before run `i` have unlike headings, gives them to the runs beside them.
///
/// One section is then ahead of the other by the turn that the other lacks. Inside the runs each
/// straight meets the other section at the point with its own heading; laid between the runs it would
/// crease the sheet. The straight of the section that stays behind is met twice, as the other turns
/// past its heading and as it turns back, and is split.
fn settle_straights(front: &mut Turning, rear: &mut Turning, i: usize) {
    let ahead_by = front.heading_at(i) - rear.heading_at(i);
    if ahead_by.abs() < SAME_HEADING {
        return;
    }
    if i == 0 {
        front.straight_into_runs(i, 0.0);
        rear.straight_into_runs(i, 0.0);
        return;
    }
    let sign = [&front.runs[i - 1], &rear.runs[i - 1]]
        .iter()
        .map(|run| run.sign)
        .sum::<f64>()
        .signum();
    let (ahead, behind) = if ahead_by * sign > 0.0 { (front, rear) } else { (rear, front) };
    let heading = behind.heading_at(i);
    let lines = |run: Option<&Run>| run.map_or(0.0, |run| run.straight_length_at(heading));
    let (before, after) = (lines(ahead.runs.get(i - 1)), lines(ahead.runs.get(i)));
    behind.straight_into_runs(i, equal_fraction(before, after));
    ahead.straight_into_runs(i, 1.0);
}

/// The share of a straight that lies before a point, from the lengths before and after its partner.
fn equal_fraction(before: f64, after: f64) -> f64 {
    if before + after > COINCIDENT_MM {
        before / (before + after)
    } else {
        0.5
    }
}

impl Turning {
    /// Heading of the straight before run `i`.
    fn heading_at(&self, i: usize) -> f64 {
        if i == 0 { self.heading } else { self.runs[i - 1].to }
    }

    /// Ends the run before straight `i` with its first part and begins the run after it with the rest.
    fn straight_into_runs(&mut self, i: usize, fraction: f64) {
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
            next.pieces.insert(0, (heading, Piece::Line { start: at, end }));
            next.start = at;
        }
        self.straights[i] = (at, at);
    }
}

impl Run {
    /// Angle turned through, without sign (rad).
    fn turn(&self) -> f64 {
        (self.to - self.from).abs()
    }

    /// True if a heading between `from` and `to` is also one of the run's.
    fn shares_a_heading_with(&self, from: f64, to: f64) -> bool {
        let low = self.from.min(self.to).max(from.min(to));
        let high = self.from.max(self.to).min(from.max(to));
        low <= high + SAME_HEADING
    }

    /// Length of the straights of the run that face `heading` (mm).
    fn straight_length_at(&self, heading: f64) -> f64 {
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

fn push_plane(
    patches: &mut Vec<PatchShape>,
    front: (Point2, Point2),
    rear: (Point2, Point2),
    heading: f64,
) {
    let long = |(a, b): (Point2, Point2)| (b - a).norm() > COINCIDENT_MM;
    if long(front) || long(rear) {
        patches.push(PatchShape::Plane {
            front,
            rear,
            heading,
        });
    }
}

/// Where a section stands in a run at a given progress of the heading.
struct Walker<'a> {
    run: &'a Run,
    sign: f64,
    next: usize,
    here: Point2,
}

impl<'a> Walker<'a> {
    fn new(run: &'a Run, sign: f64) -> Self {
        Self {
            run,
            sign,
            next: 0,
            here: run.start,
        }
    }

    /// Straight pieces at progress `u`, as one span.
    fn straight_at(&mut self, u: f64) -> (Point2, Point2) {
        let start = self.here;
        while let Some((heading, Piece::Line { end, .. })) = self.run.pieces.get(self.next) {
            if (heading * self.sign - u).abs() > SAME_HEADING {
                break;
            }
            self.here = *end;
            self.next += 1;
        }
        (start, self.here)
    }

    /// The fan that turns from `u` to `v`; the point where the section waits if it does not turn.
    fn fan_between(&mut self, u: f64, v: f64) -> (Fan, bool) {
        if let Some((_, Piece::Turn { fan, from, to })) = self.run.pieces.get(self.next) {
            if from * self.sign <= u + SAME_HEADING && to * self.sign >= v - SAME_HEADING {
                if (to * self.sign - v).abs() <= SAME_HEADING {
                    self.next += 1;
                }
                let side = self.sign;
                let spoke = geom::Vector2::new(geom::math::sin(v * side), -geom::math::cos(v * side)) * side;
                self.here = fan.centre + spoke * fan.radius;
                return (*fan, true);
            }
        }
        (
            Fan {
                centre: self.here,
                radius: 0.0,
            },
            false,
        )
    }
}

fn join_runs(front: &Run, rear: &Run, patches: &mut Vec<PatchShape>) -> Result<(), DevelopError> {
    let sign = if front.sign == 0.0 { rear.sign } else { front.sign };
    let mut stops: Vec<f64> = [front, rear]
        .iter()
        .flat_map(|run| {
            let ends = [run.from * sign, run.to * sign];
            let inner = run.pieces.iter().map(|(heading, _)| heading * sign).collect::<Vec<_>>();
            ends.into_iter().chain(inner)
        })
        .collect();
    stops.sort_by(f64::total_cmp);
    stops.dedup_by(|b, a| (*b - *a).abs() < SAME_HEADING);
    let (mut f, mut r) = (Walker::new(front, sign), Walker::new(rear, sign));
    for (k, &u) in stops.iter().enumerate() {
        let (fs, rs) = (f.straight_at(u), r.straight_at(u));
        push_plane(patches, fs, rs, u * sign);
        let Some(&v) = stops.get(k + 1) else { break };
        let ((front_fan, front_turns), (rear_fan, rear_turns)) = (f.fan_between(u, v), r.fan_between(u, v));
        if !front_turns && !rear_turns {
            return Err(unlike(front, rear));
        }
        patches.push(PatchShape::Cone {
            front: front_fan,
            rear: rear_fan,
            from: u * sign,
            to: v * sign,
            neutral_shift: 0.0,
        });
    }
    Ok(())
}

/// The headings of the two runs do not overlap: one section would turn while the other faces elsewhere.
fn unlike(front: &Run, rear: &Run) -> DevelopError {
    let (end, run) = if front.turn() >= rear.turn() {
        (SectionEnd::Front, front)
    } else {
        (SectionEnd::Rear, rear)
    };
    DevelopError::SectionsTurnUnlike {
        end,
        found_deg: (run.to - run.from).to_degrees(),
        at: run.start,
        along_mm: run.along,
    }
}
