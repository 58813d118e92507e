//! Pairs the runs of two sections, inserting a run without turn where one lacks it.

use crate::turning::{Run, Turning};
use geom::tolerance::COINCIDENT_MM;

/// Gives both sections runs of the same signs, inserting runs without turn where one lacks them.
pub(crate) fn align_runs(front: &mut Turning, rear: &mut Turning) {
    let plan = cheapest_alignment(front, rear);
    // Both are split by the straights that the other was drawn with.
    let (drawn_front, drawn_rear) = (front.clone(), rear.clone());
    insert_missing(front, &plan, |step| step.0, &drawn_rear);
    insert_missing(rear, &plan, |step| step.1, &drawn_front);
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
                let apart = if f.shares_a_heading_with(r.from, r.to) {
                    0.0
                } else {
                    NO_SHEET
                };
                offer(unlike + apart + best[i + 1][j + 1].0, (Some(i), Some(j)));
            }
            let waiting = |run: &Run, at: f64| {
                let apart = if run.shares_a_heading_with(at, at) {
                    0.0
                } else {
                    NO_SHEET
                };
                run.turn() + apart
            };
            if let Some(f) = f {
                offer(
                    waiting(f, rear.heading_at(j)) + best[i + 1][j].0,
                    (Some(i), None),
                );
            }
            if let Some(r) = r {
                offer(
                    waiting(r, front.heading_at(i)) + best[i][j + 1].0,
                    (None, Some(j)),
                );
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
fn insert_missing(
    own: &mut Turning,
    plan: &[Step],
    mine: impl Fn(&Step) -> Option<usize>,
    other: &Turning,
) {
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
        let heading = own.heading_at(next);
        let before = theirs(&plan[first]).map_or(0.0, |i| other.straight_before(i, heading));
        let after = theirs(&plan[k - 1]).map_or(0.0, |i| other.straight_after(i, heading));
        let at = start + (end - start) * equal_fraction(before, after);
        let along = if next == 0 {
            0.0
        } else {
            own.runs[next - 1].along
        };
        for i in first..k {
            straights.push((if i == first { start } else { at }, at));
            runs.push(Run {
                sign: 0.0,
                from: heading,
                to: heading,
                start: at,
                turn_start: at,
                along,
                pieces: Vec::new(),
            });
        }
        // What is left of the split straight stands before the next run.
        own.straights[next] = (at, end);
    }
    straights.push(own.straights[next]);
    own.runs = runs;
    own.straights = straights;
}

/// The share of a straight that lies before a point, from the lengths before and after its partner.
pub(crate) fn equal_fraction(before: f64, after: f64) -> f64 {
    if before + after > COINCIDENT_MM {
        before / (before + after)
    } else {
        0.5
    }
}
