//! Broken lines put together again: what was drawn as chords of an arc is measured as the arc.

use artwork::{merged, through};
use geom::math::wrap_angle;
use geom::{Point2, Segment};

/// The ends of chords lie on the arc within this (mm): the rounding of a drawing kept to two decimals.
const ON_ARC_MM: f64 = 0.008;

/// Chords rise no more than this under their arc (mm): twice the usual coarseness of drawing programs.
const RISE_MM: f64 = 0.025;

/// Chords turn by less than this from one to the next (rad): 25°; more is a corner.
const TURN_RAD: f64 = 0.44;

/// An arc is made of this many chords at least.
const CHORDS: usize = 4;

/// Lines and arcs of an open run, chords of arcs replaced by the arcs and straight runs made one line.
pub(crate) fn refitted(run: &[Segment]) -> Vec<Segment> {
    let whole = merged(run);
    let mut kept = Vec::with_capacity(whole.len());
    let mut i = 0;
    while i < whole.len() {
        let most = chords_from(&whole, i);
        let found = (CHORDS..=most)
            .rev()
            .find_map(|n| Some((n, arc_of(&whole[i..i + n])?)));
        match found {
            Some((n, arc)) => {
                kept.push(arc);
                i += n;
            }
            None => {
                kept.push(whole[i]);
                i += 1;
            }
        }
    }
    kept
}

/// Lines from a place on that turn the same way by little.
fn chords_from(run: &[Segment], from: usize) -> usize {
    let mut turn_so_far = 0.0;
    let mut n = 0;
    while let Some(Segment::Line { .. }) = run.get(from + n) {
        if n > 0 {
            let turn = wrap_angle(
                run[from + n].tangent_angle_at(0.0) - run[from + n - 1].tangent_angle_at(1.0),
            );
            if turn.abs() > TURN_RAD || turn * turn_so_far < 0.0 || turn_so_far.abs() > 3.0 {
                break;
            }
            turn_so_far += turn;
        }
        n += 1;
        if n > 400 {
            break;
        }
    }
    n
}

fn arc_of(chords: &[Segment]) -> Option<Segment> {
    let (first, last) = (chords.first()?, chords.last()?);
    let middle = chords[chords.len() / 2].start();
    let arc = through(first.start(), middle, last.end());
    if matches!(arc, Segment::Line { .. }) {
        return None;
    }
    let near = |p: Point2| arc.nearest(p).1;
    let fits = chords
        .iter()
        .all(|chord| near(chord.end()) < ON_ARC_MM && near(chord.point_at(0.5)) < RISE_MM);
    fits.then_some(arc)
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::math::PI;

    #[test]
    fn chords_of_an_arc_are_as_long_as_the_arc_again() {
        let arc = Segment::from_bulge(Point2::new(0.0, 0.0), Point2::new(30.0, 0.0), 0.6);
        let n = arc.chords_within(0.01);
        let at = |i: usize| arc.point_at(i as f64 / n as f64);
        let chords: Vec<Segment> = (0..n).map(|i| Segment::line(at(i), at(i + 1))).collect();
        let short: f64 = chords.iter().map(Segment::length).sum();
        let whole: f64 = refitted(&chords).iter().map(Segment::length).sum();
        assert!(
            arc.length() - short > 5e-3,
            "chords are shorter by {}",
            arc.length() - short
        );
        assert!(
            (whole - arc.length()).abs() < 1e-6,
            "{whole} for {}",
            arc.length()
        );
        assert!(arc.turn().abs() < PI);
    }

    #[test]
    fn a_square_stays_a_square() {
        let points = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        let points = points.map(|(x, y)| Point2::new(x, y));
        let run: Vec<Segment> = points
            .windows(2)
            .map(|p| Segment::line(p[0], p[1]))
            .collect();
        assert_eq!(refitted(&run), run);
    }
}
