//! Places along a drawn outline: its corners, the run of each meant edge on it, and its datum.

use crate::tolerance::{CORNER_RAD, CORNER_REACH_MM};
use artwork::{FlatDrawing, Motion2};
use geom::math::wrap_angle;
use geom::{FlatPoint, Point2, Segment, Vector2};

/// A closed run of curves measured along its length.
#[derive(Clone, Debug)]
pub(crate) struct ClosedRun {
    pub(crate) segments: Vec<Segment>,
    starts: Vec<f64>,
    pub(crate) length: f64,
}

impl ClosedRun {
    pub(crate) fn new(segments: Vec<Segment>) -> Self {
        let mut length = 0.0;
        let starts = segments
            .iter()
            .map(|segment| {
                let start = length;
                length += segment.length();
                start
            })
            .collect();
        Self {
            segments,
            starts,
            length,
        }
    }

    pub(crate) fn moved(&self, by: &Motion2) -> Self {
        Self::new(self.segments.iter().map(|s| by.segment(s)).collect())
    }

    /// The point at a length along the run (mm).
    pub(crate) fn point_at(&self, along: f64) -> Point2 {
        let along = along.rem_euclid(self.length);
        let i = self
            .starts
            .partition_point(|s| *s <= along)
            .saturating_sub(1);
        let segment = &self.segments[i];
        segment.point_at(((along - self.starts[i]) / segment.length()).clamp(0.0, 1.0))
    }

    /// Length along the run of its point nearest to a point, and the distance.
    pub(crate) fn nearest(&self, point: Point2) -> (f64, f64) {
        let mut best = (0.0, f64::INFINITY);
        for (segment, start) in self.segments.iter().zip(&self.starts) {
            let (fraction, distance) = segment.nearest(point);
            if distance < best.1 {
                best = (start + fraction * segment.length(), distance);
            }
        }
        best
    }

    /// Lengths along the run at which it has corners, where they are, and how the run turns there (rad).
    pub(crate) fn corners(&self) -> Vec<(f64, Point2, f64)> {
        let n = self.segments.len();
        (0..n)
            .map(|i| {
                (
                    i,
                    turn_between(&self.segments[(i + n - 1) % n], &self.segments[i]),
                )
            })
            .filter(|(_, turn)| turn.abs() > CORNER_RAD)
            .map(|(i, turn)| (self.starts[i], self.segments[i].start(), turn))
            .collect()
    }

    /// The pieces of a part of the run, in order of travel.
    pub(crate) fn part(&self, from: f64, length: f64) -> Vec<Segment> {
        let n = self.segments.len();
        let from = from.rem_euclid(self.length);
        let first = self
            .starts
            .partition_point(|s| *s <= from)
            .saturating_sub(1);
        let mut pieces = Vec::new();
        let mut at = from - self.starts[first];
        let mut left = length;
        for k in 0..=n {
            let segment = &self.segments[(first + k) % n];
            let own = segment.length();
            let taken = left.min(own - at);
            if taken > PIECE_MM && own > 0.0 {
                pieces.push(segment.part(at / own, ((at + taken) / own).min(1.0)));
            }
            left -= taken.max(0.0);
            at = 0.0;
            if left <= PIECE_MM {
                break;
            }
        }
        pieces
    }

    /// Points along a part of the run, no farther apart than `step` (mm), ends included.
    pub(crate) fn sampled(&self, from: f64, length: f64, step: f64) -> Vec<Point2> {
        let n = (length / step).ceil().max(8.0) as usize;
        let mut at: Vec<f64> = (0..=n)
            .map(|i| from + length * i as f64 / n as f64)
            .collect();
        // Vertices too, so that a corner is not stepped over.
        for start in &self.starts {
            let ahead = (start - from).rem_euclid(self.length);
            if ahead < length {
                at.push(from + ahead);
            }
        }
        at.sort_by(f64::total_cmp);
        at.into_iter().map(|s| self.point_at(s)).collect()
    }
}

/// Pieces shorter than this are rounding (mm).
const PIECE_MM: f64 = 1e-6;

/// Corners that turn more unlike than this are not the same corner (rad): the root of a tab and its tip.
const UNLIKE_TURN_RAD: f64 = 1.0;

fn turn_between(before: &Segment, after: &Segment) -> f64 {
    wrap_angle(after.tangent_angle_at(0.0) - before.tangent_angle_at(1.0))
}

/// Where a meant edge runs on a drawn outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct EdgeRun {
    /// Length along the outline at which it begins (mm).
    pub(crate) from: f64,
    /// Its length (mm).
    pub(crate) length: f64,
}

/// A meant corner and the drawn one taken for it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CornerPair {
    /// The edge that begins there.
    pub(crate) edge: usize,
    pub(crate) meant: FlatPoint,
    pub(crate) along: f64,
    /// False where no drawn corner is near and the nearest place of the outline serves.
    pub(crate) is_corner: bool,
}

/// The drawn place of each beginning of a meant edge.
pub(crate) fn corner_pairs(flat: &FlatDrawing, run: &ClosedRun) -> Vec<CornerPair> {
    let drawn = run.corners();
    let reach = CORNER_REACH_MM.min(0.2 * flat.outline.area().abs().sqrt());
    let n = flat.edges.len();
    let ends: Vec<(Segment, Segment)> = (0..n)
        .filter_map(|e| {
            let mut own = flat.edge_segments(e);
            let first = *own.next()?;
            Some((first, own.last().copied().unwrap_or(first)))
        })
        .collect();
    if ends.len() != n {
        return Vec::new();
    }
    let turns: Vec<f64> = (0..n)
        .map(|e| turn_between(&ends[(e + n - 1) % n].1, &ends[e].0))
        .collect();
    // For each meant corner the drawn ones that it may be, nearest first, and the nearest place of the outline.
    let choices: Vec<Vec<Choice>> = (0..n)
        .map(|e| {
            let (meant, turn) = (ends[e].0.start(), turns[e]);
            let mut own: Vec<Choice> = drawn
                .iter()
                .filter(|(_, _, own)| {
                    turn.abs() > CORNER_RAD && (own - turn).abs() < UNLIKE_TURN_RAD
                })
                .map(|(along, at, _)| Choice {
                    along: *along,
                    off: (at - meant).norm(),
                    is_corner: true,
                })
                .filter(|choice| choice.off <= reach)
                .collect();
            own.sort_by(|a, b| a.off.total_cmp(&b.off));
            own.truncate(CORNERS_TRIED);
            let (along, off) = run.nearest(meant);
            own.push(Choice {
                along,
                off,
                is_corner: false,
            });
            own
        })
        .collect();
    let pair = |e: usize, choice: &Choice| CornerPair {
        edge: e,
        meant: ends[e].0.start(),
        along: choice.along,
        is_corner: choice.is_corner,
    };
    let mut pairs: Vec<CornerPair> = (0..n).map(|e| pair(e, &choices[e][0])).collect();
    if pairs.iter().any(|pair| !pair.is_corner) {
        pair_in_order(&mut pairs, &turns, &drawn);
    }
    if !in_order(&pairs, run)
        && let Some(taken) = ordered(&choices, run.length)
    {
        pairs = (0..n).map(|e| pair(e, &choices[e][taken[e]])).collect();
    }
    pairs
}

/// Drawn corners of which each meant one may be one.
const CORNERS_TRIED: usize = 6;

/// A place of the drawn outline that a meant corner may be.
#[derive(Clone, Copy, Debug)]
struct Choice {
    along: f64,
    /// Distance from the meant corner (mm).
    off: f64,
    is_corner: bool,
}

/// True if the drawn corners follow one another as the meant ones do, with something of every edge between.
fn in_order(pairs: &[CornerPair], run: &ClosedRun) -> bool {
    let n = pairs.len();
    let lengths = (0..n)
        .map(|e| (pairs[(e + 1) % n].along - pairs[e].along).rem_euclid(run.length))
        .collect::<Vec<_>>();
    n < 2
        || (lengths.iter().all(|own| *own > PIECE_MM)
            && (lengths.iter().sum::<f64>() - run.length).abs() < 1e-6)
}

/// The choices that follow in order round the outline and are least off together; `None` if there are none.
fn ordered(choices: &[Vec<Choice>], length: f64) -> Option<Vec<usize>> {
    let mut best: Option<(f64, Vec<usize>)> = None;
    for (first, from) in choices.first()?.iter().enumerate() {
        let ahead = |choice: &Choice| (choice.along - from.along).rem_euclid(length);
        // What it costs to come to each choice of a corner, and by which choice of the corner before.
        let mut reached: Vec<Vec<Option<(f64, usize)>>> = vec![vec![None; choices[0].len()]];
        reached[0][first] = Some((from.off, 0));
        for e in 1..choices.len() {
            let row = choices[e]
                .iter()
                .map(|own| {
                    let before = choices[e - 1].iter().zip(&reached[e - 1]).enumerate();
                    before
                        .filter_map(|(i, (other, cost))| Some((other, (*cost)?.0, i)))
                        .filter(|(other, _, _)| ahead(own) > ahead(other) + PIECE_MM)
                        .map(|(_, cost, i)| (cost + own.off, i))
                        .min_by(|a, b| a.0.total_cmp(&b.0))
                })
                .collect();
            reached.push(row);
        }
        let end = reached.last()?.iter().enumerate();
        let Some((last, (cost, _))) = end
            .filter_map(|(i, own)| Some((i, (*own)?)))
            .min_by(|a, b| a.1.0.total_cmp(&b.1.0))
        else {
            continue;
        };
        if best.as_ref().is_some_and(|(least, _)| *least <= cost) {
            continue;
        }
        let mut taken = vec![last];
        for e in (1..choices.len()).rev() {
            let here = taken[taken.len() - 1];
            taken.push(reached[e][here]?.1);
        }
        taken.reverse();
        best = Some((cost, taken));
    }
    best.map(|(_, taken)| taken)
}

/// Corners taken one after another, where as many are drawn as are meant: a corner that is drawn far off
/// is known by its neighbours.
fn pair_in_order(pairs: &mut [CornerPair], turns: &[f64], drawn: &[(f64, Point2, f64)]) {
    let n = pairs.len();
    // A meant place where the outline does not turn is no corner, and rounding may draw one elsewhere.
    if drawn.len() != n || n < 3 || turns.iter().any(|turn| turn.abs() <= CORNER_RAD) {
        return;
    }
    let off = |shift: usize| -> f64 {
        pairs
            .iter()
            .enumerate()
            .map(|(i, pair)| (drawn[(i + shift) % n].1 - pair.meant).norm())
            .sum()
    };
    let best = (0..n).min_by(|a, b| off(*a).total_cmp(&off(*b)));
    for (i, pair) in pairs.iter_mut().enumerate() {
        pair.along = drawn[(i + best.unwrap_or(0)) % n].0;
        pair.is_corner = true;
    }
}

/// The run of each meant edge on the drawn outline; `None` for all if they do not follow in order.
pub(crate) fn edge_runs(corners: &[CornerPair], run: &ClosedRun) -> Vec<Option<EdgeRun>> {
    let n = corners.len();
    if n == 1 {
        return vec![Some(EdgeRun {
            from: corners[0].along,
            length: run.length,
        })];
    }
    let runs: Vec<EdgeRun> = (0..n)
        .map(|e| EdgeRun {
            from: corners[e].along,
            length: (corners[(e + 1) % n].along - corners[e].along).rem_euclid(run.length),
        })
        .collect();
    let round: f64 = runs.iter().map(|r| r.length).sum();
    let in_order = (round - run.length).abs() < 1e-6;
    runs.into_iter().map(|r| in_order.then_some(r)).collect()
}

/// The motion on the flat that puts a drawn wrapper's centre line on the meant one.
///
/// The middle of the front edge comes to the front crown, the line from there to the middle of the
/// rear edge onto the line of the crowns.
pub(crate) fn datum_motion(
    flat: &FlatDrawing,
    run: &ClosedRun,
    runs: &[Option<EdgeRun>],
) -> Option<Motion2> {
    let edge = |name: &str| flat.edges.iter().position(|edge| edge.name == name);
    let point = |name: &str| {
        flat.points
            .iter()
            .find(|(own, _)| own == name)
            .map(|(_, p)| *p)
    };
    let (front, rear) = (edge("front")?, edge("rear")?);
    let (front_crown, rear_crown) = (point("front-crown")?, point("rear-crown")?);
    let middle_of = |e: usize| {
        let part = runs.get(e).copied().flatten()?;
        Some(run.point_at(part.from + part.length / 2.0))
    };
    for (e, crown) in [(front, front_crown), (rear, rear_crown)] {
        if (meant_middle(flat, e)? - crown).norm() > 0.01 {
            return None;
        }
    }
    let (from, to) = (middle_of(front)?, middle_of(rear)?);
    if (to - from).norm() < 1.0 {
        return None;
    }
    Some(Motion2::by_datum(
        false,
        from,
        to - from,
        front_crown,
        rear_crown - front_crown,
    ))
}

/// The middle of a meant edge by length.
pub(crate) fn meant_middle(flat: &FlatDrawing, edge: usize) -> Option<FlatPoint> {
    let chain = geom::Chain::from_segments(flat.edge_segments(edge).copied());
    (!chain.segments().is_empty()).then(|| chain.point_at(chain.length() / 2.0))
}

/// Greatest distance of points from the chord between the first and the last (mm), signed to the left of travel.
pub(crate) fn bow(points: &[Point2]) -> f64 {
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return 0.0;
    };
    let chord: Vector2 = last - first;
    let length = chord.norm();
    if length < 1e-6 {
        return 0.0;
    }
    points
        .iter()
        .map(|p| chord.perp(&(p - first)) / length)
        .fold(
            0.0,
            |most: f64, d| if d.abs() > most.abs() { d } else { most },
        )
}
