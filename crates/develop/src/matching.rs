//! Joins two sections by parallel tangents.
//!
//! Each section is cut into *runs* that turn one way. Two sections fit when their runs have the
//! same signs in the same order; a run that one section lacks has no turn there and goes to the
//! point with equal tangent. Inside a pair of runs the headings are merged, so that every patch is
//! a plane (both straight) or a cone (both turning, or one a point).
//!
//! Derivation: `docs/derivations.md#wrapper-between-two-sections`.

use crate::alignment::{align_runs, equal_fraction};
use crate::error::{DevelopError, SectionEnd};
use crate::patch::{Fan, PatchShape};
use crate::turning::{Piece, Run, SAME_HEADING, Turning, read_turning, shift_headings};
use geom::math::{cos, sin, sin_cos, wrap_angle};
use geom::tolerance::COINCIDENT_MM;
use geom::{Chain, Point2, Vector2};

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
        push_plane(
            &mut patches,
            front.straights[i],
            rear.straights[i],
            front.heading_at(i),
        );
        if let (Some(f), Some(r)) = (front.runs.get(i), rear.runs.get(i)) {
            join_runs(f, r, &mut patches)?;
        }
    }
    Ok(patches)
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
    let (ahead, behind) = if ahead_by * sign > 0.0 {
        (front, rear)
    } else {
        (rear, front)
    };
    let heading = behind.heading_at(i);
    let lines = |run: Option<&Run>| run.map_or(0.0, |run| run.straight_length_at(heading));
    let (before, after) = (lines(ahead.runs.get(i - 1)), lines(ahead.runs.get(i)));
    behind.straight_into_runs(i, equal_fraction(before, after));
    ahead.straight_into_runs(i, 1.0);
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
            tangent: Vector2::new(cos(heading), sin(heading)),
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
        if let Some((_, Piece::Turn { fan, from, to })) = self.run.pieces.get(self.next)
            && from * self.sign <= u + SAME_HEADING
            && to * self.sign >= v - SAME_HEADING
        {
            if (to * self.sign - v).abs() <= SAME_HEADING {
                self.next += 1;
            }
            let (sin_h, cos_h) = sin_cos(v * self.sign);
            let spoke = Vector2::new(sin_h, -cos_h) * self.sign;
            self.here = fan.centre + spoke * fan.radius;
            return (*fan, true);
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
    let sign = if front.sign == 0.0 {
        rear.sign
    } else {
        front.sign
    };
    let mut stops: Vec<f64> = [front, rear]
        .iter()
        .flat_map(|run| {
            let ends = [run.from * sign, run.to * sign];
            let inner = run
                .pieces
                .iter()
                .map(|(heading, _)| heading * sign)
                .collect::<Vec<_>>();
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
        let ((front_fan, front_turns), (rear_fan, rear_turns)) =
            (f.fan_between(u, v), r.fan_between(u, v));
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
        at: run.turn_start,
        along_mm: run.along,
    }
}
