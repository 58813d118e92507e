//! Lines and circular arcs laid to curves.
//!
//! A smooth curve takes tangent pairs of arcs (biarcs), each as long as the tolerance allows; what
//! is exactly straight or exactly round stays one line or one arc.

use geom::tolerance::COINCIDENT_MM;
use geom::{FlatPoint, Point2, Segment, Vector2};

/// Lines and arcs closer to a curve than this are taken as the curve itself (mm).
///
/// Positions on a flat are good to about 1e-11 mm; a drawing is written to six decimals.
pub const EXACT_MM: f64 = 1e-8;

/// Arcs that rise less than this over their chord are drawn as lines (mm).
///
/// Below it the radius runs to 10⁹ mm and the centre loses the places that the rise needs.
const LEAST_RISE_MM: f64 = 1e-6;

/// Places inside one biarc at which its distance from the curve is looked at.
const SAMPLES: usize = 12;

/// A smooth piece of a curve on the plane, run through by a parameter.
pub struct SmoothCurve<'a> {
    at: Box<dyn Fn(f64) -> FlatPoint + 'a>,
    /// Its rate of change, if that is known better than by differences.
    rate: Option<Box<dyn Fn(f64) -> Vector2 + 'a>>,
    from: f64,
    to: f64,
}

impl<'a> SmoothCurve<'a> {
    /// The curve `at` between two parameters; it is asked for no place outside of them.
    pub fn new(from: f64, to: f64, at: impl Fn(f64) -> FlatPoint + 'a) -> Self {
        Self {
            at: Box::new(at),
            rate: None,
            from,
            to,
        }
    }

    /// The same curve with its rate of change by the parameter.
    pub fn with_rate(self, rate: impl Fn(f64) -> Vector2 + 'a) -> Self {
        Self {
            rate: Some(Box::new(rate)),
            ..self
        }
    }

    /// The parameters that it runs between.
    pub fn range(&self) -> (f64, f64) {
        (self.from, self.to)
    }

    /// The point at a parameter.
    pub fn at(&self, t: f64) -> FlatPoint {
        (self.at)(t)
    }

    /// Points at equal steps of the parameter between `from` and `to`, both included.
    fn points(&self, from: f64, to: f64, steps: usize) -> impl Iterator<Item = FlatPoint> + '_ {
        (0..=steps).map(move |i| self.at(from + (to - from) * i as f64 / steps as f64))
    }

    /// Points at equal steps over the whole curve, both ends included.
    pub fn sampled(&self, steps: usize) -> Vec<FlatPoint> {
        self.points(self.from, self.to, steps).collect()
    }

    /// ∫x dy along the curve (mm²), from positions alone.
    pub fn area_left(&self) -> f64 {
        geom::line_integral(self.from, self.to, |t| {
            let p = self.at(t);
            (p.y, p.x)
        })
    }

    /// Direction of travel (unit vector): along the rate, or by differences of fourth order.
    fn tangent(&self, t: f64) -> Vector2 {
        if let Some(rate) = &self.rate {
            return self.along_rate(t, rate(t));
        }
        let h = (self.to - self.from) * 1e-3;
        let p = |k: f64| self.at(t + k * h).coords;
        let rate = if t - 2.0 * h >= self.from && t + 2.0 * h <= self.to {
            (p(-2.0) - p(2.0)) + (p(1.0) - p(-1.0)) * 8.0
        } else {
            // One-sided at the ends, so that a piece keeps to its own side of a border.
            let side = if t + 4.0 * h <= self.to { 1.0 } else { -1.0 };
            let p = |k: f64| p(k * side);
            (p(0.0) * -25.0 + p(1.0) * 48.0 - p(2.0) * 36.0 + p(3.0) * 16.0 - p(4.0) * 3.0) * side
        };
        rate.normalize()
    }

    /// Direction of a rate; where it vanishes, of a short chord towards the inside of the curve.
    fn along_rate(&self, t: f64, rate: Vector2) -> Vector2 {
        let span = self.to - self.from;
        let size = (self.at(self.to) - self.at(self.from)).norm() / span;
        if rate.norm() > 1e-7 * size {
            return rate.normalize();
        }
        let h = span * 1e-5;
        let chord = if t + h <= self.to {
            self.at(t + h) - self.at(t)
        } else {
            self.at(t) - self.at(t - h)
        };
        chord.normalize()
    }

    fn is_point(&self) -> bool {
        let start = self.at(self.from);
        self.points(self.from, self.to, 4)
            .all(|p| (p - start).norm() <= COINCIDENT_MM)
    }
}

/// Lays lines and arcs within `tolerance` (mm) of a smooth curve, end to end.
///
/// A straight curve gives one line and a round one a single arc. Any other gives biarcs that follow
/// the curve's own tangents, each the longest within the tolerance. A curve of no length gives none.
///
/// `None` where even a millionth of the curve is too long for a pair of arcs: it is not smooth.
pub fn fit_smooth(curve: &SmoothCurve<'_>, tolerance: f64) -> Option<Vec<Segment>> {
    if curve.is_point() {
        return Some(Vec::new());
    }
    let ends = (curve.at(curve.from), curve.at(curve.to));
    let middle = curve.at((curve.from + curve.to) / 2.0);
    let single = through(ends.0, middle, ends.1);
    if distance_from(curve, curve.from, curve.to, &[single]) <= EXACT_MM {
        return Some(vec![single]);
    }
    fit_biarcs(curve, tolerance)
}

/// Greedy run of biarcs along a curve.
fn fit_biarcs(curve: &SmoothCurve<'_>, tolerance: f64) -> Option<Vec<Segment>> {
    let span = curve.to - curve.from;
    let least = span * 1e-6;
    let mut cuts = vec![curve.from];
    let mut from = curve.from;
    let mut step = span;
    while from < curve.to {
        let reach = longest_biarc(curve, from, step, least, tolerance)?;
        step = reach - from;
        from = reach;
        cuts.push(from);
        // The next stretch is tried a little longer than the last.
        step *= 1.5;
    }
    balance_last(curve, &mut cuts, tolerance);
    cuts.windows(2)
        .map(|piece| biarc_between(curve, piece[0], piece[1]))
        .collect::<Option<Vec<_>>>()
        .map(|pairs| pairs.into_iter().flatten().collect())
}

/// Parameter up to which one biarc from `from` keeps within the tolerance.
fn longest_biarc(
    curve: &SmoothCurve<'_>,
    from: f64,
    first_step: f64,
    least: f64,
    tolerance: f64,
) -> Option<f64> {
    let rest = curve.to - from;
    let mut step = first_step.min(rest);
    let mut best = 0.0;
    for _ in 0..24 {
        let error = biarc_error(curve, from, from + step);
        if error <= tolerance {
            best = step;
            if step >= rest || error > 0.7 * tolerance {
                break;
            }
        }
        // The distance of a biarc from a smooth curve grows as the cube of its length.
        let factor = cube_root((0.9 * tolerance / error.max(1e-300)).clamp(1e-3, 8.0));
        let next = (step * factor).min(rest);
        if next <= best.max(least) {
            break;
        }
        step = next;
    }
    // A sliver at the end would be a segment shorter than anyone can draw.
    let reach = if rest - best <= least {
        curve.to
    } else {
        from + best
    };
    (best > 0.0).then_some(reach)
}

/// Shares the last two stretches evenly, so that no short one is left over.
fn balance_last(curve: &SmoothCurve<'_>, cuts: &mut [f64], tolerance: f64) {
    let n = cuts.len();
    if n < 3 {
        return;
    }
    let middle = (cuts[n - 3] + cuts[n - 1]) / 2.0;
    if biarc_error(curve, cuts[n - 3], middle) <= tolerance
        && biarc_error(curve, middle, cuts[n - 1]) <= tolerance
    {
        cuts[n - 2] = middle;
    }
}

fn biarc_error(curve: &SmoothCurve<'_>, from: f64, to: f64) -> f64 {
    biarc_between(curve, from, to)
        .map_or(f64::INFINITY, |pair| distance_from(curve, from, to, &pair))
}

/// The biarc with the curve's ends and end tangents; `None` where the curve turns too far for one.
fn biarc_between(curve: &SmoothCurve<'_>, from: f64, to: f64) -> Option<Vec<Segment>> {
    biarc(
        (curve.at(from), curve.tangent(from)),
        (curve.at(to), curve.tangent(to)),
    )
}

/// Two arcs that meet tangentially, from a point and direction (unit vector) to another.
///
/// # Formula
///
/// With v the chord and t₀, t₁ the directions, the arms on both sides are equal:
/// d = v·v / (v·s + √((v·s)² + |t₀ − t₁|² v·v)), s = t₀ + t₁; the arcs meet at
/// (p₀ + p₁ + d(t₀ − t₁))/2. Derivation: the arms' ends lie 2d apart, square it.
///
/// `None` where an end looks away from the chord: one pair cannot follow so great a turn.
pub fn biarc(start: (Point2, Vector2), end: (Point2, Vector2)) -> Option<Vec<Segment>> {
    let ((p, t0), (q, t1)) = (start, end);
    let chord = q - p;
    if t0.dot(&chord) <= 0.0 || t1.dot(&chord) <= 0.0 {
        return None;
    }
    let square = chord.norm_squared();
    let along = chord.dot(&(t0 + t1));
    let root = (along * along + (t0 - t1).norm_squared() * square).sqrt();
    let arm = square / (along + root);
    let meet = Point2::from((p.coords + q.coords + (t0 - t1) * arm) / 2.0);
    Some(vec![arc_leaving(p, t0, meet), arc_arriving(meet, q, t1)])
}

/// The arc from `start` in direction `tangent` to `end`; a line if it hardly rises.
fn arc_leaving(start: Point2, tangent: Vector2, end: Point2) -> Segment {
    let chord = end - start;
    // Chord and tangent enclose half the sweep; tan of half an angle is sin/(1 + cos).
    by_bulge(
        start,
        end,
        tangent.perp(&chord) / (chord.norm() + tangent.dot(&chord)),
    )
}

fn arc_arriving(start: Point2, end: Point2, tangent: Vector2) -> Segment {
    let chord = end - start;
    by_bulge(
        start,
        end,
        chord.perp(&tangent) / (chord.norm() + tangent.dot(&chord)),
    )
}

/// The line or arc from `start` through `middle` to `end`.
pub fn through(start: Point2, middle: Point2, end: Point2) -> Segment {
    let (u, w) = (middle - start, end - middle);
    // The angle between two chords of an arc is half its sweep.
    by_bulge(start, end, u.perp(&w) / (u.norm() * w.norm() + u.dot(&w)))
}

fn by_bulge(start: Point2, end: Point2, bulge: f64) -> Segment {
    let rise = bulge.abs() * (end - start).norm() / 2.0;
    if rise < LEAST_RISE_MM {
        Segment::line(start, end)
    } else {
        Segment::from_bulge(start, end, bulge)
    }
}

/// Greatest distance of the curve's points between two parameters from the nearest of some segments (mm).
fn distance_from(curve: &SmoothCurve<'_>, from: f64, to: f64, segments: &[Segment]) -> f64 {
    curve
        .points(from, to, SAMPLES)
        .map(|p| nearest_of(segments, p))
        .fold(0.0, f64::max)
}

fn nearest_of(segments: &[Segment], point: Point2) -> f64 {
    segments
        .iter()
        .map(|segment| segment.nearest(point).1)
        .fold(f64::INFINITY, f64::min)
}

/// Greatest distance of the points of a curve, in order of travel, from the segments laid to it (mm).
pub fn greatest_distance(points: &[Point2], segments: &[Segment]) -> f64 {
    let mut first = 0;
    let mut greatest: f64 = 0.0;
    for &point in points {
        // Points and segments run the same way: a point belongs to the segment of the one before
        // it or to one of the next few.
        let last = (first + 4).min(segments.len());
        let (at, distance) = (first..last)
            .map(|i| (i, segments[i].nearest(point).1))
            .fold((first, f64::INFINITY), |best, here| {
                if here.1 < best.1 { here } else { best }
            });
        first = at;
        greatest = greatest.max(distance);
    }
    greatest
}

/// Joins neighbours that are one line, or one arc of less than a half circle.
pub fn merged(segments: &[Segment]) -> Vec<Segment> {
    let mut kept: Vec<Segment> = Vec::with_capacity(segments.len());
    for &segment in segments {
        if let Some(last) = kept.last_mut()
            && let Some(joined) = joined(last, &segment)
        {
            *last = joined;
            continue;
        }
        kept.push(segment);
    }
    kept
}

fn joined(a: &Segment, b: &Segment) -> Option<Segment> {
    let alike = match (a, b) {
        (Segment::Line { start, end }, Segment::Line { end: far, .. }) => {
            (end - start).dot(&(far - end)) > 0.0
        }
        (Segment::Arc(one), Segment::Arc(two)) => {
            one.sweep * two.sweep > 0.0 && (one.sweep + two.sweep).abs() < geom::math::PI
        }
        _ => false,
    };
    if !alike {
        return None;
    }
    let whole = through(a.start(), a.end(), b.end());
    let off = [a.point_at(0.5), a.end(), b.point_at(0.5)]
        .into_iter()
        .map(|p| whole.nearest(p).1)
        .fold(0.0, f64::max);
    (off <= EXACT_MM).then_some(whole)
}

/// Cube root of a number above zero by Newton's rule, the same bits on every machine.
fn cube_root(x: f64) -> f64 {
    let mut y = x.sqrt();
    for _ in 0..20 {
        y = (2.0 * y + x / (y * y)) / 3.0;
    }
    y
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::math::{PI, TAU, cos, sin};

    fn ellipse(from: f64, to: f64) -> SmoothCurve<'static> {
        SmoothCurve::new(from, to, |t| Point2::new(30.0 * cos(t), 20.0 * sin(t)))
    }

    #[track_caller]
    fn assert_tangent(segments: &[Segment]) {
        for pair in segments.windows(2) {
            assert!((pair[0].end() - pair[1].start()).norm() < 1e-9);
            let turn = geom::math::wrap_angle(
                pair[1].tangent_angle_at(0.0) - pair[0].tangent_angle_at(1.0),
            );
            assert!(turn.abs() < 1e-6, "corner of {turn} rad in {pair:?}");
        }
    }

    #[test]
    fn ellipse_within_tolerance_and_tangent() {
        for tolerance in [1e-2, 1e-3, 1e-4, 1e-5] {
            let curve = ellipse(0.1, 0.1 + TAU);
            let segments = fit_smooth(&curve, tolerance).unwrap();
            assert_tangent(&segments);
            let error = greatest_distance(&curve.sampled(3000), &segments);
            assert!(error <= 1.05 * tolerance, "{error} over {tolerance}");
            assert!(
                error >= 0.2 * tolerance,
                "{error} much below {tolerance}: {}",
                segments.len()
            );
        }
    }

    #[test]
    fn segments_grow_as_the_cube_root_of_the_tolerance() {
        let count = |tolerance| fit_smooth(&ellipse(0.0, 1.5), tolerance).unwrap().len() as f64;
        let ratio = count(1e-6) / count(1e-3);
        assert!(
            (7.0..=13.0).contains(&ratio),
            "thousand times finer takes {ratio} times as many"
        );
    }

    /// Ramanujan's second series for the perimeter of an ellipse, exact here to 1e-12.
    #[test]
    fn perimeter_and_area_of_a_fitted_ellipse() {
        let segments = fit_smooth(&ellipse(0.0, TAU), 1e-4).unwrap();
        let length: f64 = segments.iter().map(Segment::length).sum();
        let h = (10.0_f64 / 50.0) * (10.0 / 50.0);
        let want = PI * 50.0 * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()));
        assert!(
            (length / want - 1.0).abs() < 3e-7,
            "got {length}, want {want}"
        );
        let outline = geom::Outline::from_chain(&geom::Chain::from_segments(segments)).unwrap();
        let area = PI * 600.0;
        assert!(
            (outline.area() / area - 1.0).abs() < 1e-6,
            "got {}, want {area}",
            outline.area()
        );
    }

    #[test]
    fn line_and_arc_stay_one_piece() {
        let line = SmoothCurve::new(0.0, 1.0, |t| Point2::new(3.0 * t * t, 4.0 * t * t));
        assert_eq!(
            fit_smooth(&line, 1e-4).unwrap(),
            [Segment::line(Point2::origin(), Point2::new(3.0, 4.0))]
        );
        let arc = SmoothCurve::new(0.0, 2.0, |t| Point2::new(7.0 * cos(t), 7.0 * sin(t)));
        let [Segment::Arc(found)] = fit_smooth(&arc, 1e-4).unwrap()[..] else {
            panic!("a round curve is one arc");
        };
        assert!((found.radius - 7.0).abs() < 1e-9 && (found.sweep - 2.0).abs() < 1e-9);
    }

    #[test]
    fn curve_of_no_length_gives_nothing() {
        let point = SmoothCurve::new(0.0, 1.0, |_| Point2::new(5.0, 5.0));
        assert!(fit_smooth(&point, 1e-4).unwrap().is_empty());
    }

    #[test]
    fn s_curve_keeps_its_inflection() {
        let curve = SmoothCurve::new(-1.0, 1.0, |t| Point2::new(20.0 * t, 8.0 * t * t * t));
        let segments = fit_smooth(&curve, 1e-4).unwrap();
        assert_tangent(&segments);
        assert!(segments.iter().any(|s| s.turn() < 0.0) && segments.iter().any(|s| s.turn() > 0.0));
        assert!(greatest_distance(&curve.sampled(2000), &segments) <= 1.05e-4);
    }

    #[test]
    fn a_biarc_joins_symmetrical_ends_by_one_arc() {
        let pair = biarc(
            (Point2::origin(), Vector2::new(0.6, 0.8)),
            (Point2::new(10.0, 0.0), Vector2::new(0.6, -0.8)),
        )
        .unwrap();
        let radii: Vec<f64> = pair
            .iter()
            .map(|s| match s {
                Segment::Arc(arc) => arc.radius,
                Segment::Line { .. } => f64::NAN,
            })
            .collect();
        assert!(
            (radii[0] - 6.25).abs() < 1e-12 && (radii[1] - 6.25).abs() < 1e-12,
            "{radii:?}"
        );
        assert!(
            biarc(
                (Point2::origin(), Vector2::new(-1.0, 0.0)),
                (Point2::new(10.0, 0.0), Vector2::new(1.0, 0.0))
            )
            .is_none()
        );
    }

    #[test]
    fn neighbours_on_one_line_or_circle_merge() {
        let p = Point2::new;
        let lines = [
            Segment::line(p(0.0, 0.0), p(1.0, 1.0)),
            Segment::line(p(1.0, 1.0), p(3.0, 3.0)),
            Segment::line(p(3.0, 3.0), p(3.0, 4.0)),
        ];
        assert_eq!(merged(&lines).len(), 2);
        let circle = Segment::circle(p(2.0, 1.0), 5.0);
        let arcs = [circle.part(0.0, 0.1), circle.part(0.1, 0.3)];
        let joined = merged(&arcs);
        assert_eq!(joined.len(), 1);
        assert!((joined[0].length() - circle.length() * 0.3).abs() < 1e-9);
        // The way back is not the way on.
        assert_eq!(merged(&[lines[0], lines[0].reversed()]).len(), 2);
    }

    #[test]
    fn cube_roots() {
        for x in [1e-3, 0.5, 1.0, 8.0] {
            let y = cube_root(x);
            assert!((y * y * y / x - 1.0).abs() < 1e-14, "{x}");
        }
    }
}
