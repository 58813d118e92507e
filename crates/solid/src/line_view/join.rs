//! Pieces of line joined to runs.

use geom::Point2;
use std::collections::BTreeMap;

/// Ends closer than this are one (mm).
const SAME_MM: f64 = 2e-3;

/// A corner flatter than this is left out (mm off the straight line).
const STRAIGHT_MM: f64 = 2e-3;

type Key = (i64, i64);

fn key(point: Point2) -> Key {
    let cell = |x: f64| (x / SAME_MM).round() as i64;
    (cell(point.x), cell(point.y))
}

/// Joins pieces end to end where just two meet; pieces that lie on one another are one.
pub(super) fn joined(pieces: &[[Point2; 2]]) -> Vec<Vec<Point2>> {
    let mut points: BTreeMap<Key, Point2> = BTreeMap::new();
    let mut links: BTreeMap<Key, Vec<Key>> = BTreeMap::new();
    for &[a, b] in pieces {
        let (ka, kb) = (key(a), key(b));
        if ka == kb {
            continue;
        }
        points.entry(ka).or_insert(a);
        points.entry(kb).or_insert(b);
        let from = links.entry(ka).or_default();
        if !from.contains(&kb) {
            from.push(kb);
            links.entry(kb).or_default().push(ka);
        }
    }
    let mut runs = Vec::new();
    // Runs begin where other than two pieces meet; what is left then are closed runs.
    let ends: Vec<Key> = links
        .iter()
        .filter(|(_, own)| own.len() != 2)
        .map(|(own, _)| *own)
        .collect();
    let all: Vec<Key> = links.keys().copied().collect();
    for start in ends.into_iter().chain(all) {
        while let Some(run) = walk(start, &mut links) {
            let run: Vec<Point2> = run.iter().map(|own| points[own]).collect();
            runs.push(straightened(&run));
        }
    }
    runs
}

/// Takes one run away from the links.
fn walk(start: Key, links: &mut BTreeMap<Key, Vec<Key>>) -> Option<Vec<Key>> {
    let mut run = vec![start];
    let mut at = start;
    loop {
        let next = links.get_mut(&at).and_then(Vec::pop);
        let Some(next) = next else { break };
        if let Some(back) = links.get_mut(&next) {
            back.retain(|own| *own != at);
        }
        run.push(next);
        at = next;
        // Goes on only where it was one of two: of those, one is left.
        if at == start || links.get(&at).is_none_or(|own| own.len() != 1) {
            break;
        }
    }
    (run.len() > 1).then_some(run)
}

fn straightened(run: &[Point2]) -> Vec<Point2> {
    let mut kept: Vec<Point2> = vec![run[0]];
    let mut from = 0;
    for i in 1..run.len() {
        let is_last = i + 1 == run.len();
        let is_flat = !is_last && {
            let along = run[i + 1] - run[from];
            let length = along.norm();
            length > 1e-9
                && (from + 1..=i).all(|k| {
                    let off = run[k] - run[from];
                    along.perp(&off).abs() / length < STRAIGHT_MM
                        && off.dot(&along) > 0.0
                        && off.dot(&along) < length * length
                })
        };
        if !is_flat {
            kept.push(run[i]);
            from = i;
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: f64, y: f64) -> Point2 {
        Point2::new(x, y)
    }

    #[test]
    fn pieces_become_runs() {
        // A square in four pieces and one twice, and a tail of two pieces in a line.
        let square = [p(0.0, 0.0), p(1.0, 0.0), p(1.0, 1.0), p(0.0, 1.0)];
        let mut pieces: Vec<[Point2; 2]> =
            (0..4).map(|i| [square[i], square[(i + 1) % 4]]).collect();
        pieces.push([square[1], square[0]]);
        pieces.push([p(5.0, 0.0), p(6.0, 0.0)]);
        pieces.push([p(7.0, 0.0), p(6.0, 0.0)]);
        let runs = joined(&pieces);
        assert_eq!(runs.len(), 2);
        let length =
            |run: &Vec<Point2>| -> f64 { run.windows(2).map(|two| (two[1] - two[0]).norm()).sum() };
        let mut lengths: Vec<f64> = runs.iter().map(length).collect();
        lengths.sort_by(f64::total_cmp);
        assert_eq!(lengths, [2.0, 4.0]);
        assert!(runs.iter().any(|run| run.len() == 2) && runs.iter().any(|run| run.len() == 5));
    }
}
