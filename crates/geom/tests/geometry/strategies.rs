//! Random geometry, with nearly degenerate values on purpose.

use geom::math::{PI, TAU};
use geom::{Chain, Point2, Segment};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// Lengths agree to this (mm): rounding of coordinates of some hundreds of millimetres, summed over
/// a dozen pieces.
pub(crate) const LENGTH_MM: f64 = 1e-9;

/// The same cases on every run and machine.
pub(crate) fn repeatable(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        rng_seed: RngSeed::Fixed(1908),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

#[track_caller]
pub(crate) fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}, {:e} apart",
        got - want
    );
}

#[track_caller]
pub(crate) fn same_point(got: Point2, want: Point2, tolerance: f64, what: &str) {
    assert!(
        (got - want).norm() <= tolerance,
        "{what}: got {got:?}, want {want:?}, {:e} apart",
        (got - want).norm()
    );
}

/// A point within 300 mm, sometimes the origin, sometimes on an axis.
pub(crate) fn point() -> impl Strategy<Value = Point2> {
    let coordinate = || prop_oneof![4 => -300.0..300.0, 1 => Just(0.0), 1 => -1e-9..1e-9];
    (coordinate(), coordinate()).prop_map(|(x, y)| Point2::new(x, y))
}

/// A heading, often along an axis, where directions wrap and signs of zero matter.
pub(crate) fn heading() -> impl Strategy<Value = f64> {
    prop_oneof![
        3 => -PI..PI,
        1 => (-2i32..=2).prop_map(|quarter| f64::from(quarter) * PI / 2.0),
    ]
}

/// A radius from that of a bent wire edge to that of a hardly cambered crown (mm).
pub(crate) fn radius() -> impl Strategy<Value = f64> {
    prop_oneof![4 => 0.5..60.0, 1 => 1e3..1e5, 1 => 0.02..0.5]
}

/// An angle turned through, sometimes next to nothing, sometimes a half or nearly a full turn.
pub(crate) fn turn() -> impl Strategy<Value = f64> {
    let size = prop_oneof![
        4 => 0.01..3.0,
        1 => 1e-9..1e-5,
        1 => Just(PI),
        1 => Just(PI / 2.0),
        1 => (TAU - 1e-3)..(TAU - 1e-6),
    ];
    (size, any::<bool>()).prop_map(|(size, left): (f64, bool)| if left { size } else { -size })
}

/// A piece of a chain: a line (turn zero, value its length) or an arc.
fn piece() -> impl Strategy<Value = (f64, f64)> {
    prop_oneof![
        (prop_oneof![4 => 0.1..80.0, 1 => 1e-8..1e-5]).prop_map(|length| (length, 0.0)),
        (radius(), turn()),
    ]
}

/// A tangent chain of one to eight lines and arcs.
pub(crate) fn chain() -> impl Strategy<Value = Chain> {
    (point(), heading(), prop::collection::vec(piece(), 1..8))
        .prop_map(|(start, heading, pieces)| {
            pieces
                .into_iter()
                .fold(Chain::starting(start, heading), |laid, (size, turn)| {
                    if turn == 0.0 {
                        laid.line(size)
                    } else {
                        laid.arc(size, turn)
                    }
                })
                .finish()
        })
        .prop_filter("pieces above the point tolerance", |chain| {
            !chain.segments().is_empty()
        })
}

/// One line or arc.
pub(crate) fn segment() -> impl Strategy<Value = Segment> {
    (point(), heading(), piece()).prop_filter_map("a piece", |(start, heading, (size, turn))| {
        let laid = Chain::starting(start, heading);
        let laid = if turn == 0.0 {
            laid.line(size)
        } else {
            laid.arc(size, turn)
        };
        laid.finish().segments().first().copied()
    })
}

/// Least radius of a chain's arcs (mm); infinite without arcs.
pub(crate) fn least_radius(chain: &Chain) -> f64 {
    chain
        .segments()
        .iter()
        .map(|segment| match segment {
            Segment::Line { .. } => f64::INFINITY,
            Segment::Arc(arc) => arc.radius,
        })
        .fold(f64::INFINITY, f64::min)
}
