//! Fold lines: their ends, their face, openings across them, and an order to fold them in.

use super::EtchCheck;
use super::clearance::clear_of_edges;
use artwork::{FlatRegion, centre_of};
use body::{Face, Finding, Purpose};
use develop::{Loft, SurfacePoint};
use geom::math::{PI, TAU, sin_cos};
use geom::{FlatPoint, Outline, Segment, Vector2};

/// An end of a groove on an edge is drawn within this of it (mm): half of what files are held to.
const ON_EDGE_MM: f64 = 5e-4;

/// From this angle on a fold lays one leaf back on the other, and its groove is outside (rad).
const FOLDED_BACK: f64 = 170.0 / 180.0 * PI;

/// Folds whose orders are all tried; a plate with more is not looked at.
const MOST_FOLDS: usize = 8;

/// Steps in which a fold is turned to look for legs in the way.
const STEPS: usize = 36;

/// Fold lines that cannot be folded as meant.
pub(super) fn folds(check: &EtchCheck<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    let grooves: Vec<&FlatRegion> = check
        .regions
        .iter()
        .filter(|own| own.purpose == Purpose::Fold)
        .collect();
    for groove in &grooves {
        if let Some(lines) = Lines::of(&groove.outline) {
            findings.extend(short_of_edge(check, &grooves, groove, &lines));
            findings.extend(across_openings(check, groove, &lines));
        }
        findings.extend(groove_outside(check, groove));
    }
    findings.extend(fold_order(check, &grooves));
    findings
}

/// The long sides and the middle line of a groove with four sides, in one direction.
struct Lines {
    sides: [Segment; 2],
    middle: (FlatPoint, FlatPoint),
}

impl Lines {
    fn of(outline: &Outline) -> Option<Self> {
        let pieces = outline.segments();
        let [a, b, c, d] = *pieces else { return None };
        let (first, second) = (a.length() + c.length(), b.length() + d.length());
        let (one, other) = if first >= second { (a, c) } else { (b, d) };
        let back = other.reversed();
        Some(Self {
            sides: [one, back],
            middle: (
                nalgebra::center(&one.start(), &back.start()),
                nalgebra::center(&one.end(), &back.end()),
            ),
        })
    }

    /// The lines, each short of the groove's ends.
    fn inner(&self) -> impl Iterator<Item = Segment> {
        let middle = Segment::line(self.middle.0, self.middle.1);
        [self.sides[0], middle, self.sides[1]]
            .into_iter()
            .filter(|own| own.length() > 4.0 * ON_EDGE_MM)
            .map(|own| {
                let cut = 2.0 * ON_EDGE_MM / own.length();
                own.part(cut, 1.0 - cut)
            })
    }
}

/// An end of a groove with metal of full thickness between it and the edge, an opening or the next groove.
fn short_of_edge(
    check: &EtchCheck<'_>,
    grooves: &[&FlatRegion],
    groove: &FlatRegion,
    lines: &Lines,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    for end in [lines.middle.0, lines.middle.1] {
        let others = grooves.iter().filter(|own| own.name != groove.name);
        let to_next = others
            .map(|own| own.outline.nearest(end).1)
            .fold(f64::INFINITY, f64::min);
        let gap = clear_of_edges(check, end).min(to_next);
        if gap > ON_EDGE_MM {
            findings.push(check.finding(
                "fold-short-of-edge",
                &groove.name,
                end,
                (gap, 0.0),
                &format!(
                    "the fold line {} ends {gap:.3} mm short of the edge; the metal left there does not fold",
                    groove.name
                ),
            ));
        }
    }
    findings
}

/// Openings that a groove runs into other than by its ends.
fn across_openings(check: &EtchCheck<'_>, groove: &FlatRegion, lines: &Lines) -> Vec<Finding> {
    let mut findings = Vec::new();
    for hole in &check.holes {
        if !super::clearance::boxes_within(&hole.outline, &groove.outline, 0.0) {
            continue;
        }
        let start = hole.outline.segments()[0].start();
        let crossing = lines.inner().find_map(|line| {
            let pieces = hole.outline.segments().iter();
            let mut crossings = pieces.flat_map(|own| geom::intersections(&line, own));
            crossings.next().or_else(|| {
                let middle = line.point_at(0.5);
                hole.outline.contains(middle).then_some(middle)
            })
        });
        let within = (groove.outline.contains(start)
            && groove.outline.nearest(start).1 > ON_EDGE_MM)
            .then_some(start);
        if let Some(at) = crossing.or(within) {
            findings.push(check.finding(
                "fold-across-opening",
                &groove.name,
                at,
                (0.0, 0.0),
                &format!(
                    "the fold line {} runs across {}, which is pulled out of shape when it is folded; end the \
                     groove on either side of it or move the opening",
                    groove.name, hole.name
                ),
            ));
        }
    }
    findings
}

/// Angle that a plate is folded through at a place of its flat (rad), anticlockwise seen along the rulings.
fn turn_at(loft: &Loft, place: FlatPoint) -> Option<f64> {
    let w = loft.locate(place).w;
    let patch = loft.patches().get(w.floor() as usize)?;
    patch.is_bent().then(|| patch.turn())
}

/// A groove on the face that the fold opens.
fn groove_outside(check: &EtchCheck<'_>, groove: &FlatRegion) -> Option<Finding> {
    let at = centre_of(&groove.outline);
    let turn = turn_at(check.plate.forming.loft()?, at)?;
    // Folded clockwise about the section, whose outside is on its left, the inside face closes.
    let closing = if turn < 0.0 {
        Face::Inside
    } else {
        Face::Outside
    };
    if groove.face == closing || turn.abs() >= FOLDED_BACK {
        return None;
    }
    let degrees = turn.abs() * 180.0 / PI;
    Some(check.error(
        "fold-groove-outside",
        &groove.name,
        at,
        (0.0, 0.0),
        &format!(
            "the groove of the fold line {} is on the {} face, which is outside of the fold of {degrees:.0} \
             degrees; it belongs on the other, or the web breaks and the size is wrong",
            groove.name,
            groove.face.word()
        ),
    ))
}

/// A plate whose legs get in each other's way in whatever order it is folded.
fn fold_order(check: &EtchCheck<'_>, grooves: &[&FlatRegion]) -> Option<Finding> {
    let loft = check.plate.forming.loft()?;
    let section = Section::of(check, loft, grooves)?;
    let made = section.most_made();
    let all = section.turns.len();
    (made < all).then(|| {
        let first = grooves[0];
        check.error(
            "fold-order",
            &first.name,
            centre_of(&first.outline),
            (made as f64, all as f64),
            &format!(
                "in whatever order its {all} folds are made, no more than {made} can be before one leg runs into \
                 another"
            ),
        )
    })
}

/// Legs of a folded plate from fold to fold (mm) and the turns between them (rad).
struct Section {
    legs: Vec<f64>,
    turns: Vec<f64>,
}

impl Section {
    /// `None` for a plate with fewer than two folds, too many, or bends that are rolled and not folded.
    fn of(check: &EtchCheck<'_>, loft: &Loft, grooves: &[&FlatRegion]) -> Option<Self> {
        let y = |w: usize| {
            loft.flat(SurfacePoint {
                w: w as f64,
                v: 0.0,
            })
            .y
        };
        let (low, high) = check.outline.bounds();
        let mut folds: Vec<(f64, f64)> = Vec::new();
        for (i, patch) in loft.patches().iter().enumerate() {
            if !patch.is_bent() {
                continue;
            }
            let grooved = grooves
                .iter()
                .any(|own| loft.locate(centre_of(&own.outline)).w.floor() as usize == i);
            if !grooved {
                return None;
            }
            folds.push(((y(i) + y(i + 1)) / 2.0, patch.turn()));
        }
        if folds.len() < 2 || folds.len() > MOST_FOLDS {
            return None;
        }
        let rising = folds[1].0 > folds[0].0;
        let (first, last) = if rising {
            (low.y, high.y)
        } else {
            (high.y, low.y)
        };
        let mut corners = vec![first];
        corners.extend(folds.iter().map(|own| own.0));
        corners.push(last);
        Some(Self {
            legs: corners
                .windows(2)
                .map(|own| (own[1] - own[0]).abs())
                .collect(),
            turns: folds.into_iter().map(|own| own.1).collect(),
        })
    }

    /// The most folds that can be made one after another with no leg in the way of another.
    fn most_made(&self) -> usize {
        let n = self.turns.len();
        let mut reached = vec![false; 1 << n];
        reached[0] = true;
        let mut most = 0;
        for made in 0..1usize << n {
            if !reached[made] {
                continue;
            }
            most = most.max(made.count_ones() as usize);
            for fold in (0..n).filter(|fold| made & (1 << fold) == 0) {
                let next = made | 1 << fold;
                reached[next] = reached[next] || self.is_free(made, fold);
            }
        }
        most
    }

    /// True if a fold can be made after others without one leg crossing another on the way.
    fn is_free(&self, made: usize, fold: usize) -> bool {
        (1..=STEPS).all(|step| {
            let share = step as f64 / STEPS as f64;
            let turns: Vec<f64> = self
                .turns
                .iter()
                .enumerate()
                .map(|(i, turn)| match (i == fold, made & (1 << i) != 0) {
                    (true, _) => turn * share,
                    (false, true) => *turn,
                    (false, false) => 0.0,
                })
                .collect();
            !self.crosses_itself(&turns)
        })
    }

    fn crosses_itself(&self, turns: &[f64]) -> bool {
        let mut at = FlatPoint::origin();
        let mut heading: f64 = 0.0;
        let mut legs = Vec::with_capacity(self.legs.len());
        for (i, leg) in self.legs.iter().enumerate() {
            let (s, c) = sin_cos(heading);
            let end = at + Vector2::new(c, s) * *leg;
            legs.push(Segment::line(at, end));
            at = end;
            heading = (heading + turns.get(i).copied().unwrap_or(0.0)) % TAU;
        }
        legs.iter().enumerate().any(|(i, one)| {
            legs[(i + 2).min(legs.len())..]
                .iter()
                .any(|other| !geom::intersections(one, other).is_empty())
        })
    }
}
