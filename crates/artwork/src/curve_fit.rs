//! Lines and arcs laid to drawn curves, whatever those do.

use crate::fit::{SmoothCurve, fit_smooth, merged};
use geom::Segment;

/// Drawn curves that are neither lines nor arcs are followed within this (mm).
///
/// Chosen, not sourced: a twentieth of the tolerance of an outline, and far below what an etcher holds.
pub const READ_FIT_MM: f64 = 0.001;

/// Times that a curve with a corner in it is halved, at most.
const DEEPEST: usize = 12;

/// Lines and arcs within `tolerance` (mm) of a curve; where it has a corner, chords.
pub(crate) fn fitted(curve: &SmoothCurve<'_>, tolerance: f64) -> Vec<Segment> {
    let laid = fit_smooth(curve, tolerance).unwrap_or_else(|| {
        let mut chords = Vec::new();
        let (from, to) = curve.range();
        bisect(curve, (from, to), DEEPEST, tolerance, &mut chords);
        chords
    });
    merged(&laid)
}

fn bisect(
    curve: &SmoothCurve<'_>,
    (from, to): (f64, f64),
    depth: usize,
    tolerance: f64,
    chords: &mut Vec<Segment>,
) {
    let chord = Segment::line(curve.at(from), curve.at(to));
    let off = (1..8)
        .map(|k| {
            chord
                .nearest(curve.at(from + (to - from) * f64::from(k) / 8.0))
                .1
        })
        .fold(0.0, f64::max);
    if off <= tolerance || depth == 0 {
        if chord.length() > 0.0 {
            chords.push(chord);
        }
        return;
    }
    let middle = (from + to) / 2.0;
    bisect(curve, (from, middle), depth - 1, tolerance, chords);
    bisect(curve, (middle, to), depth - 1, tolerance, chords);
}
