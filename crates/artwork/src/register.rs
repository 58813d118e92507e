//! The motion that lays a drawn outline on a meant one.

use geom::math::{PI, atan2, sin_cos, wrap_angle};
use geom::{Arc, Outline, Point2, Segment, Vector2};

/// A rigid motion of the plane, perhaps mirrored: y is turned over first, then all is turned and moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion2 {
    /// True if y changes sign first.
    pub mirrored: bool,
    /// Angle turned through (rad).
    pub angle: f64,
    /// Displacement after the turn (mm).
    pub shift: Vector2,
}

impl Motion2 {
    /// Where a point comes to.
    pub fn point(&self, p: Point2) -> Point2 {
        let y = if self.mirrored { -p.y } else { p.y };
        let (s, c) = sin_cos(self.angle);
        Point2::new(c * p.x - s * y, s * p.x + c * y) + self.shift
    }

    /// Where a curve comes to, travel kept.
    pub fn segment(&self, segment: &Segment) -> Segment {
        match segment {
            Segment::Line { start, end } => Segment::line(self.point(*start), self.point(*end)),
            Segment::Arc(arc) => {
                let hand = if self.mirrored { -1.0 } else { 1.0 };
                Segment::Arc(Arc {
                    centre: self.point(arc.centre),
                    radius: arc.radius,
                    start_angle: hand * arc.start_angle + self.angle,
                    sweep: hand * arc.sweep,
                })
            }
        }
    }

    /// Where an outline comes to, anticlockwise if it was.
    pub fn outline(&self, outline: &Outline) -> Vec<Segment> {
        let moved = outline.segments().iter().map(|s| self.segment(s));
        if self.mirrored {
            moved.rev().map(|s| s.reversed()).collect()
        } else {
            moved.collect()
        }
    }

    /// This motion followed by a small turn about the origin and a displacement.
    fn then(&self, turn: f64, by: Vector2) -> Self {
        let (s, c) = sin_cos(turn);
        Self {
            mirrored: self.mirrored,
            angle: wrap_angle(self.angle + turn),
            shift: Vector2::new(
                c * self.shift.x - s * self.shift.y,
                s * self.shift.x + c * self.shift.y,
            ) + by,
        }
    }

    /// This motion and then another, which must not mirror.
    pub fn followed_by(&self, next: &Self) -> Self {
        debug_assert!(!next.mirrored);
        self.then(next.angle, next.shift)
    }

    /// The motion that takes `from` to `to` and the direction `along` to `towards`, mirrored or not.
    pub fn by_datum(
        mirrored: bool,
        from: Point2,
        along: Vector2,
        to: Point2,
        towards: Vector2,
    ) -> Self {
        let along_y = if mirrored { -along.y } else { along.y };
        let angle = wrap_angle(atan2(towards.y, towards.x) - atan2(along_y, along.x));
        let turn = Self {
            mirrored,
            angle,
            shift: Vector2::zeros(),
        };
        Self {
            shift: to - turn.point(from),
            ..turn
        }
    }
}

/// Points on each outline at equal shares of its length.
const SAMPLES: usize = 128;

/// Motions looked at more closely, of each hand.
const CANDIDATES: usize = 8;

/// Points of a closed run of curves at equal shares of its length.
fn samples(segments: &[Segment]) -> Vec<Point2> {
    let total: f64 = segments.iter().map(Segment::length).sum();
    let mut points = Vec::with_capacity(SAMPLES);
    let (mut i, mut before) = (0, 0.0);
    for k in 0..SAMPLES {
        let want = total * k as f64 / SAMPLES as f64;
        while i + 1 < segments.len() && before + segments[i].length() < want {
            before += segments[i].length();
            i += 1;
        }
        let fraction = (want - before) / segments[i].length();
        points.push(segments[i].point_at(fraction.clamp(0.0, 1.0)));
    }
    points
}

fn middle(points: &[Point2]) -> Vector2 {
    points.iter().map(|p| p.coords).sum::<Vector2>() / points.len() as f64
}

/// Motions that lay the drawn outline on the meant one, best first, with the mean distance left (mm).
///
/// Both are closed and anticlockwise. Symmetrical outlines have several answers; what is in them
/// decides.
///
/// # Formula
///
/// Points at equal shares of the two lengths correspond but for where the count begins; each
/// beginning gives a motion of least squares in closed form, and the best are refined by nearest
/// points on the true curves, distances weighted by 1/(1 + (d/s)²) so that a part drawn wrong does
/// not drag the rest along.
pub(crate) fn registrations(drawn: &Outline, meant: &[Segment]) -> Vec<(Motion2, f64)> {
    if drawn.segments().is_empty() || meant.is_empty() {
        return Vec::new();
    }
    let target = samples(meant);
    let mut found: Vec<(Motion2, f64)> = Vec::new();
    for mirrored in [false, true] {
        let plain = Motion2 {
            mirrored,
            angle: 0.0,
            shift: Vector2::zeros(),
        };
        let source = samples(&plain.outline(drawn));
        for start in best_starts(&source, &target) {
            let motion = fitted(mirrored, &source, &target, start);
            let (motion, left) = register(drawn, meant, motion);
            let known = found.iter().any(|(other, _)| {
                other.mirrored == mirrored
                    && wrap_angle(other.angle - motion.angle).abs() < 1e-3
                    && (other.shift - motion.shift).norm() < 0.1
            });
            if !known {
                found.push((motion, left));
            }
        }
    }
    found.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.mirrored.cmp(&b.0.mirrored)));
    found
}

/// Sums of the closed form for one beginning of the count: dot and cross products about the middles.
fn products(
    source: &[Point2],
    target: &[Point2],
    start: usize,
    from: Vector2,
    to: Vector2,
) -> (f64, f64) {
    let mut sums = (0.0, 0.0);
    for (k, p) in source.iter().enumerate() {
        let (a, b) = (
            p.coords - from,
            target[(k + start) % target.len()].coords - to,
        );
        sums.0 += a.dot(&b);
        sums.1 += a.perp(&b);
    }
    sums
}

/// Beginnings of the count with the least squares left, local minima only.
fn best_starts(source: &[Point2], target: &[Point2]) -> Vec<usize> {
    let (from, to) = (middle(source), middle(target));
    // Least squares are the fixed sum of squares less twice this.
    let gain: Vec<f64> = (0..SAMPLES)
        .map(|start| {
            let (dot, cross) = products(source, target, start, from, to);
            geom::math::hypot(dot, cross)
        })
        .collect();
    let mut peaks: Vec<usize> = (0..SAMPLES)
        .filter(|&k| {
            gain[k] >= gain[(k + SAMPLES - 1) % SAMPLES] && gain[k] >= gain[(k + 1) % SAMPLES]
        })
        .collect();
    peaks.sort_by(|&a, &b| gain[b].total_cmp(&gain[a]).then(a.cmp(&b)));
    peaks.truncate(CANDIDATES);
    peaks
}

fn fitted(mirrored: bool, source: &[Point2], target: &[Point2], start: usize) -> Motion2 {
    let (from, to) = (middle(source), middle(target));
    let (dot, cross) = products(source, target, start, from, to);
    let angle = atan2(cross, dot);
    let (s, c) = sin_cos(angle);
    Motion2 {
        mirrored,
        angle,
        shift: to - Vector2::new(c * from.x - s * from.y, s * from.x + c * from.y),
    }
}

/// Refines a motion by nearest points on the meant curves; gives the mean distance left (mm).
pub(crate) fn register(drawn: &Outline, meant: &[Segment], start: Motion2) -> (Motion2, f64) {
    const ROUNDS: usize = 24;
    let mut motion = start;
    let points = samples(drawn.segments());
    for round in 0..ROUNDS {
        // From a millimetre, where the start may be wrong, down to what a drawing keeps.
        let scale = (2f64.powi(-(round as i32) / 3)).max(0.02);
        let (turn, by) = step(&points, meant, &motion, scale);
        motion = motion.then(turn, by);
        if turn.abs() < 1e-12 && by.norm() < 1e-10 && scale <= 0.02 {
            break;
        }
    }
    let left = points
        .iter()
        .map(|&p| distance(meant, motion.point(p)))
        .sum::<f64>();
    (motion, left / points.len() as f64)
}

/// Least distance from a point to any of the curves (mm).
fn distance(curves: &[Segment], point: Point2) -> f64 {
    curves
        .iter()
        .map(|s| s.nearest(point).1)
        .fold(f64::INFINITY, f64::min)
}

/// One step of weighted least squares of distances square to the curves: a turn and a displacement.
fn step(points: &[Point2], meant: &[Segment], motion: &Motion2, scale: f64) -> (f64, Vector2) {
    let moved: Vec<Point2> = points.iter().map(|&p| motion.point(p)).collect();
    let about = middle(&moved);
    // Normal equations in turn about the middle, x, y.
    let mut matrix = [[0.0; 3]; 3];
    let mut right = [0.0; 3];
    for &p in &moved {
        let Some((normal, off)) = off_nearest(meant, p) else {
            continue;
        };
        let weight = 1.0 / (1.0 + (off / scale) * (off / scale));
        let arm = p.coords - about;
        let row = [arm.perp(&normal), normal.x, normal.y];
        for i in 0..3 {
            for j in 0..3 {
                matrix[i][j] += weight * row[i] * row[j];
            }
            right[i] -= weight * row[i] * off;
        }
    }
    // A disc may turn freely, a long edge slide: a little stiffness leaves such freedom unused.
    let stiffness = 1e-6 * (matrix[0][0] + matrix[1][1] + matrix[2][2]) + 1e-12;
    for (i, row) in matrix.iter_mut().enumerate() {
        row[i] += stiffness;
    }
    let [turn, x, y] = solve3(matrix, right);
    let turn = turn.clamp(-PI / 8.0, PI / 8.0);
    // Turning about the middle, written as turning about the origin.
    let (s, c) = sin_cos(turn);
    let turned = Vector2::new(c * about.x - s * about.y, s * about.x + c * about.y);
    (turn, about - turned + Vector2::new(x, y))
}

/// Unit normal of the nearest curve and the signed distance of a point along it.
fn off_nearest(curves: &[Segment], point: Point2) -> Option<(Vector2, f64)> {
    let mut best: Option<(&Segment, f64, f64)> = None;
    for segment in curves {
        let (fraction, away) = segment.nearest(point);
        if best.is_none_or(|(_, _, least)| away < least) {
            best = Some((segment, fraction, away));
        }
    }
    let (segment, fraction, away) = best?;
    let off = point - segment.point_at(fraction);
    let inside = fraction > 1e-9 && fraction < 1.0 - 1e-9;
    if !inside && away > 1e-9 {
        return Some((off / away, away));
    }
    let (s, c) = sin_cos(segment.tangent_angle_at(fraction));
    let normal = Vector2::new(-s, c);
    Some((normal, off.dot(&normal)))
}

/// Solves three equations by elimination with row exchange.
fn solve3(mut m: [[f64; 3]; 3], mut r: [f64; 3]) -> [f64; 3] {
    for k in 0..3 {
        let pivot = (k..3)
            .max_by(|&a, &b| m[a][k].abs().total_cmp(&m[b][k].abs()))
            .unwrap_or(k);
        m.swap(k, pivot);
        r.swap(k, pivot);
        if m[k][k] == 0.0 {
            return [0.0; 3];
        }
        for i in k + 1..3 {
            let share = m[i][k] / m[k][k];
            let upper = m[k];
            for (own, above) in m[i].iter_mut().zip(upper).skip(k) {
                *own -= share * above;
            }
            r[i] -= share * r[k];
        }
    }
    let mut x = [0.0; 3];
    for k in (0..3).rev() {
        let known: f64 = (k + 1..3).map(|j| m[k][j] * x[j]).sum();
        x[k] = (r[k] - known) / m[k][k];
    }
    x
}

/// Motions of a disc on a disc that bring a drawn place onto a meant one at equal distance from the middle.
pub(crate) fn disc_motions(
    drawn: &Outline,
    meant: &[Segment],
    drawn_places: &[Point2],
    meant_places: &[Point2],
) -> Vec<Motion2> {
    let (from, to) = (middle(&samples(drawn.segments())), middle(&samples(meant)));
    let radius_of = |p: &Point2, centre: Vector2| (p.coords - centre).norm();
    let points = samples(meant);
    let round = points
        .iter()
        .all(|p| (radius_of(p, to) - radius_of(&points[0], to)).abs() < 0.02);
    if !round {
        return Vec::new();
    }
    let mut motions = Vec::new();
    for a in drawn_places.iter().take(16) {
        for b in meant_places.iter().take(16) {
            if radius_of(a, from) < 0.2 || (radius_of(a, from) - radius_of(b, to)).abs() > 0.3 {
                continue;
            }
            for mirrored in [false, true] {
                motions.push(Motion2::by_datum(
                    mirrored,
                    Point2::from(from),
                    a.coords - from,
                    Point2::from(to),
                    b.coords - to,
                ));
            }
        }
    }
    motions
}
