//! Chains: offset, length, parts, directions and nearest points.

use crate::strategies::{LENGTH_MM, chain, close, least_radius, repeatable, same_point};
use geom::math::{PI, wrap_angle};
use geom::{Chain, GeomError, Point2, Segment, Vector2};
use proptest::prelude::*;

/// How well the direction of a chain's shortest line is known from coordinates of some hundreds of mm (rad).
fn direction_error(chain: &Chain) -> f64 {
    let shortest = chain
        .segments()
        .iter()
        .map(Segment::length)
        .fold(1.0, f64::min);
    let far = chain
        .segments()
        .iter()
        .map(|s| s.start().coords.norm())
        .fold(100.0, f64::max);
    1e-15 * far / shortest
}

proptest! {
    #![proptest_config(repeatable(400))]

    /// To the left by d an arc to the left loses d·turn: net length changes by −d times the net turn.
    #[test]
    fn offset_changes_length_by_turn(chain in chain(), share in -0.95..0.95f64) {
        let distance = share * least_radius(&chain).min(100.0);
        let moved = chain.offset(distance).unwrap();
        let turn: f64 = chain.segments().iter().map(Segment::turn).sum();
        let want = chain.length() - distance * turn;
        close(moved.length(), want, 1e-9 + 1e-12 * chain.length(), "length of the offset");
    }

    #[test]
    fn offset_there_and_back(chain in chain(), share in -0.95..0.95f64) {
        let distance = share * least_radius(&chain).min(100.0);
        let moved = chain.offset(distance).unwrap();
        prop_assume!(moved.segments().len() == chain.segments().len());
        let back = moved.offset(-distance).unwrap();
        let loose = LENGTH_MM + direction_error(&chain) * distance.abs();
        for (got, want) in back.segments().iter().zip(chain.segments()) {
            same_point(got.start(), want.start(), loose, "start of a piece");
            same_point(got.end(), want.end(), loose, "end of a piece");
            close(got.length(), want.length(), loose, "length of a piece");
        }
    }

    /// Every point of the offset stands off square to the chain at the same place.
    #[test]
    fn offset_stands_square_to_travel(chain in chain(), share in -0.9..0.9f64, at in 0.0..1.0f64) {
        let distance = share * least_radius(&chain).min(100.0);
        let moved = chain.offset(distance).unwrap();
        prop_assume!(moved.segments().len() == chain.segments().len());
        for (near, far) in chain.segments().iter().zip(moved.segments()) {
            let heading = near.tangent_angle_at(at);
            let left = Vector2::new(-geom::math::sin(heading), geom::math::cos(heading));
            let loose = 10.0 * LENGTH_MM + direction_error(&chain) * distance.abs();
            same_point(far.point_at(at), near.point_at(at) + left * distance, loose, "offset point");
        }
    }

    #[test]
    fn nearest_finds_a_point_of_the_chain(chain in chain(), share in 0.0..1.0f64) {
        let point = chain.point_at(share * chain.length());
        let (along, distance) = chain.nearest(point);
        close(distance, 0.0, LENGTH_MM, "distance to the chain");
        same_point(chain.point_at(along), point, LENGTH_MM, "nearest point");
    }

    #[test]
    fn parts_join_to_the_whole(chain in chain(), a in 0.0..1.0f64, b in 0.0..1.0f64) {
        let length = chain.length();
        let (low, high) = (a.min(b) * length, a.max(b) * length);
        let pieces = [chain.part(0.0, low), chain.part(low, high), chain.part(high, length)];
        let sum: f64 = pieces.iter().map(Chain::length).sum();
        close(sum, length, LENGTH_MM * 10.0, "length of the parts");
        if !pieces[1].segments().is_empty() {
            same_point(pieces[1].start(), chain.point_at(low), LENGTH_MM * 10.0, "start of the middle part");
            same_point(pieces[1].end(), chain.point_at(high), LENGTH_MM * 10.0, "end of the middle part");
        }
    }

    #[test]
    fn travelled_backwards(chain in chain(), share in 0.0..1.0f64) {
        let back = chain.reversed();
        close(back.length(), chain.length(), LENGTH_MM, "length");
        close(back.turn(), -chain.turn(), 1e-6, "turn");
        let along = share * chain.length();
        same_point(back.point_at(chain.length() - along), chain.point_at(along), LENGTH_MM * 10.0, "point");
    }

    #[test]
    fn mirrored_turns_the_other_way(chain in chain(), share in 0.0..1.0f64) {
        let other = chain.mirrored_in_y_axis();
        close(other.length(), chain.length(), LENGTH_MM, "length");
        close(other.turn(), -chain.turn(), 1e-6, "turn");
        let along = share * chain.length();
        let (p, q) = (chain.point_at(along), other.point_at(along));
        same_point(q, Point2::new(-p.x, p.y), LENGTH_MM * 10.0, "mirrored point");
    }

    /// A direction that the chain has is found where the chain has it, and nowhere else.
    #[test]
    fn directions_are_found_where_they_are(chain in chain(), at in prop_oneof![Just(0.0), Just(1.0), 0.0..1.0f64], rounding in -1e-14..1e-14f64) {
        let mut before = 0.0;
        for segment in chain.segments() {
            let heading = segment.tangent_angle_at(at) + rounding;
            let found = chain.lengths_at_tangent(heading);
            let want = if segment.turn() == 0.0 { before } else { before + at * segment.length() };
            // A heading known to 1e-10 is known in place to 1e-10 of the radius.
            let loose = 1e-9 + 1e-9 * segment.length() / segment.turn().abs().max(1e-3);
            prop_assert!(
                found.iter().any(|l| (l - want).abs() < loose),
                "heading {heading} at {want} not among {found:?}"
            );
            for l in found {
                prop_assert!((0.0..=chain.length() + 1e-9).contains(&l));
            }
            before += segment.length();
        }
    }

    #[test]
    fn chords_keep_within_their_error(chain in chain(), error in 0.001..0.5f64) {
        let points = chain.flattened(error);
        for pair in points.windows(2) {
            let middle = Point2::from((pair[0].coords + pair[1].coords) / 2.0);
            prop_assert!(chain.nearest(middle).1 <= error * (1.0 + 1e-6) + 1e-9);
        }
        same_point(points[0], chain.start(), LENGTH_MM, "first point");
        same_point(points[points.len() - 1], chain.end(), LENGTH_MM * 10.0, "last point");
    }

    #[test]
    fn laid_chains_are_tangent(chain in chain()) {
        // A line of 1e-8 mm at coordinates of 300 mm has no direction to speak of.
        let shortest = chain.segments().iter().map(Segment::length).fold(f64::INFINITY, f64::min);
        prop_assume!(shortest > 1e-4);
        prop_assert!(chain.is_tangent());
    }
}

#[test]
fn an_arc_offset_past_its_centre_is_refused() {
    let quarter = Chain::starting(Point2::origin(), 0.0)
        .arc(5.0, PI / 2.0)
        .finish();
    assert!(quarter.offset(4.999).is_ok());
    for distance in [5.0, 5.001] {
        let Err(GeomError::OffsetPastCentre { radius_mm, at, .. }) = quarter.offset(distance)
        else {
            panic!("an arc of 5 mm moved {distance} mm towards its centre must be refused");
        };
        close(radius_mm, 5.0, 0.0, "radius");
        same_point(at, Point2::new(0.0, 5.0), 1e-12, "centre");
    }
    assert!(
        quarter.offset(-50.0).is_ok(),
        "away from the centre there is no limit"
    );
}

#[test]
fn a_corner_is_no_tangent_joint_but_counts_as_turn() {
    let bent = Chain::starting(Point2::origin(), 0.0)
        .line(3.0)
        .corner(0.3)
        .line(4.0)
        .finish();
    assert!(!bent.is_tangent());
    close(bent.turn(), 0.3, 1e-12, "turn");
}

#[test]
fn a_point_beyond_an_end_lies_on_the_line_produced() {
    let chain = Chain::starting(Point2::new(1.0, 2.0), 0.0)
        .line(5.0)
        .finish();
    same_point(
        chain.point_at(-2.0),
        Point2::new(-1.0, 2.0),
        1e-12,
        "before the start",
    );
    same_point(
        chain.point_at(7.0),
        Point2::new(8.0, 2.0),
        1e-12,
        "beyond the end",
    );
}

#[test]
fn an_empty_chain_answers_without_panic() {
    let empty = Chain::default();
    assert_eq!(empty.length(), 0.0);
    assert_eq!(empty.point_at(3.0), Point2::origin());
    assert!(empty.lengths_at_tangent(0.0).is_empty());
    assert!(empty.flattened(0.1).is_empty());
}

#[test]
fn angles_wrap_into_one_turn() {
    for (angle, want) in [
        (0.0, 0.0),
        (PI, PI),
        (-PI, PI),
        (3.0 * PI, PI),
        (7.0, 7.0 - 2.0 * PI),
    ] {
        close(wrap_angle(angle), want, 1e-14, "wrapped angle");
    }
}
