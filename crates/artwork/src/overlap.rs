//! Curves that lie on one another for part of their length, and outlines that cross themselves.

use geom::{Outline, Point2, Segment, intersections};
use std::collections::HashMap;

/// Curves looked at in one cell; more than this is hatching, not outlines.
const LOOKED_AT: usize = 48;

/// A curve leaves another along the same line if their directions differ by less than this (rad).
const ALONG: f64 = 2e-3;

/// How far along a curve it is held against another (mm).
const PROBE_MM: f64 = 0.5;

/// Curves by the cells that they pass through.
struct Cells {
    width: f64,
    cells: HashMap<(i64, i64), Vec<usize>>,
}

impl Cells {
    fn new(segments: &[Segment]) -> Self {
        let total: f64 = segments.iter().map(Segment::length).sum();
        // Wide enough that all curves together pass through a few cells each.
        let width = (total / (4 * segments.len() + 1000) as f64).max(0.5);
        let mut own = Self {
            width,
            cells: HashMap::new(),
        };
        for (i, segment) in segments.iter().enumerate() {
            for place in own.samples(segment) {
                let key = own.cell(place);
                let cell = own.cells.entry(key).or_default();
                if cell.last() != Some(&i) {
                    cell.push(i);
                }
            }
        }
        own
    }

    /// Places along a curve, two to the width of a cell.
    fn samples(&self, segment: &Segment) -> impl Iterator<Item = Point2> + use<> {
        let segment = *segment;
        let steps = (2.0 * segment.length() / self.width).ceil().max(1.0) as usize;
        (0..=steps).map(move |k| segment.point_at(k as f64 / steps as f64))
    }

    fn cell(&self, p: Point2) -> (i64, i64) {
        (
            (p.x / self.width).floor() as i64,
            (p.y / self.width).floor() as i64,
        )
    }

    /// Curves about a place, in their order, each once.
    fn near(&self, p: Point2) -> Vec<usize> {
        let (x, y) = self.cell(p);
        let mut found: Vec<usize> = (-1..=1)
            .flat_map(|dx| (-1..=1).map(move |dy| (x + dx, y + dy)))
            .filter_map(|key| self.cells.get(&key))
            .flat_map(|cell| cell.iter().copied().take(LOOKED_AT))
            .collect();
        found.sort_unstable();
        found.dedup();
        found
    }
}

/// Cuts curves where another that runs along them begins or ends, so that the part in common is twice
/// the same curve.
pub(crate) fn cut_at_overlaps(segments: Vec<Segment>, within: f64) -> Vec<Segment> {
    let cells = Cells::new(&segments);
    let mut cuts: Vec<Vec<f64>> = vec![Vec::new(); segments.len()];
    for (i, own) in segments.iter().enumerate() {
        for way in [*own, own.reversed()] {
            let end = way.start();
            for j in cells.near(end) {
                if j != i
                    && let Some(at) = cut_by(&segments[j], &way, within)
                {
                    cuts[j].push(at);
                }
            }
        }
    }
    if cuts.iter().all(Vec::is_empty) {
        return segments;
    }
    let mut cut = Vec::with_capacity(segments.len());
    for (segment, mut places) in segments.into_iter().zip(cuts) {
        places.sort_by(f64::total_cmp);
        let least = within / segment.length();
        places.dedup_by(|b, a| *b - *a < least);
        let ends = [vec![0.0], places, vec![1.0]].concat();
        if ends.len() == 2 {
            cut.push(segment);
        } else {
            cut.extend(ends.windows(2).map(|pair| segment.part(pair[0], pair[1])));
        }
    }
    cut
}

/// Where `other`, which begins on a curve and runs along it, begins (fraction of the curve's length).
fn cut_by(segment: &Segment, other: &Segment, within: f64) -> Option<f64> {
    let (at, off) = segment.nearest(other.start());
    let length = segment.length();
    if off > within || at * length <= within || (1.0 - at) * length <= within {
        return None;
    }
    let turn = other.tangent_angle_at(0.0) - segment.tangent_angle_at(at);
    if geom::math::sin(turn).abs() > ALONG {
        return None;
    }
    let forward = geom::math::cos(turn) > 0.0;
    let room = if forward { 1.0 - at } else { at } * length;
    let reach = other.length().min(room).min(PROBE_MM);
    let probes = [0.5, 1.0].map(|share| other.point_at(share * reach / other.length()));
    let runs_along = probes.iter().all(|&p| segment.nearest(p).1 <= within);
    runs_along.then_some(at)
}

/// Pairs of curves that may meet, in their order.
fn pairs_near(segments: &[Segment]) -> Vec<(usize, usize)> {
    let n = segments.len();
    if n <= FEW {
        return (0..n)
            .flat_map(|i| (i + 1..n).map(move |j| (i, j)))
            .collect();
    }
    let cells = Cells::new(segments);
    // A curve may pass through the corner of a cell between two of its samples: neighbours are looked at too.
    let mut pairs = Vec::new();
    for (i, segment) in segments.iter().enumerate() {
        for place in cells.samples(segment) {
            let others = cells.near(place).into_iter();
            pairs.extend(others.filter(|&j| j > i).map(|j| (i, j)));
        }
    }
    pairs.sort_unstable();
    pairs.dedup();
    pairs
}

/// Curves that are held against one another without cells.
const FEW: usize = 12;

/// The first place where an outline crosses itself, in the order of its pieces.
pub(crate) fn crossing(outline: &Outline, within: f64) -> Option<Point2> {
    let segments = outline.segments();
    pairs_near(segments).into_iter().find_map(|(i, j)| {
        let inside = |segment: &Segment, p: Point2| {
            (segment.start() - p).norm() > within && (segment.end() - p).norm() > within
        };
        intersections(&segments[i], &segments[j])
            .into_iter()
            .find(|&p| inside(&segments[i], p) && inside(&segments[j], p))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: f64, y: f64) -> Point2 {
        Point2::new(x, y)
    }

    #[test]
    fn lines_and_arcs_that_share_a_part_are_cut_there() {
        let line = Segment::line(p(0.0, 0.0), p(10.0, 0.0));
        let over = Segment::line(p(12.0, 0.0), p(8.0, 0.0));
        let cut = cut_at_overlaps(vec![line, over], 0.005);
        let mut spans: Vec<(f64, f64)> = cut
            .iter()
            .map(|s| (s.start().x.min(s.end().x), s.start().x.max(s.end().x)))
            .collect();
        spans.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        assert_eq!(spans, [(0.0, 8.0), (8.0, 10.0), (8.0, 10.0), (10.0, 12.0)]);
        let circle = Segment::circle(p(0.0, 0.0), 5.0);
        let arcs = vec![
            circle.part(0.0, 0.4),
            circle.part(0.3, 0.6),
            circle.part(0.6, 0.8),
        ];
        assert_eq!(cut_at_overlaps(arcs, 0.005).len(), 5);
    }

    #[test]
    fn lines_that_meet_cross_or_leave_at_a_tangent_are_let_be() {
        let line = Segment::line(p(0.0, 0.0), p(10.0, 0.0));
        let apart = [
            Segment::line(p(5.0, 0.0), p(5.0, 3.0)),
            Segment::line(p(5.0, -3.0), p(5.0, 3.0)),
            Segment::line(p(10.0, 0.0), p(14.0, 0.0)),
            Segment::from_bulge(
                p(5.0, 0.0),
                p(9.0, 4.0),
                geom::math::tan(geom::math::PI / 8.0),
            ),
            Segment::line(p(0.0, 0.02), p(10.0, 0.02)),
        ];
        for other in apart {
            assert_eq!(
                cut_at_overlaps(vec![line, other], 0.005).len(),
                2,
                "{other:?}"
            );
        }
    }

    #[test]
    fn an_outline_that_crosses_itself_is_found_where_it_does() {
        let bow = Outline::polygon(&[p(0.0, 0.0), p(10.0, 10.0), p(10.0, 0.0), p(0.0, 10.0)]);
        let at = crossing(&bow, 0.005).unwrap();
        assert!((at - p(5.0, 5.0)).norm() < 1e-9);
        assert_eq!(
            crossing(&Outline::rectangle(p(0.0, 0.0), p(3.0, 4.0)), 0.005),
            None
        );
        assert_eq!(crossing(&Outline::circle(p(0.0, 0.0), 4.0), 0.005), None);
    }
}
