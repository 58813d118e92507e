//! Lines and arcs: bulges, nearest points, symmetries.

use crate::strategies::{LENGTH_MM, close, point, repeatable, same_point, segment};
use geom::math::{PI, tan};
use geom::{Arc, Placement, Point2, Point3, Segment, Vector2, Vector3};
use proptest::prelude::*;

proptest! {
    #![proptest_config(repeatable(500))]

    #[test]
    fn a_bulge_survives_the_round_trip(
        start in point(),
        end in point(),
        bulge in prop_oneof![-1.0..1.0f64, 1e-8..1e-5f64, -1e-5..-1e-8f64, 1.0..50.0f64, -50.0..-1.0f64],
    ) {
        let chord = (end - start).norm();
        prop_assume!(chord > 1e-3);
        let segment = Segment::from_bulge(start, end, bulge);
        // The centre of a nearly straight arc lies chord/(4·bulge) away and costs as many digits.
        let loose = LENGTH_MM + 1e-14 * chord / bulge.abs().max(1e-12);
        same_point(segment.start(), start, loose, "start");
        same_point(segment.end(), end, loose, "end");
        close(segment.bulge(), bulge, 1e-12 * (1.0 + bulge * bulge), "bulge");
        let sagitta = bulge * chord / 2.0;
        let middle = start + (end - start) / 2.0;
        let left = Vector2::new(-(end - start).y, (end - start).x) / chord;
        same_point(segment.point_at(0.5), middle - left * sagitta, loose * 4.0, "middle of the arc");
    }

    /// Off a segment, square to it, the foot is the place that was left.
    #[test]
    fn nearest_undoes_point_at(segment in segment(), at in 0.0..1.0f64, off in -0.9..0.9f64) {
        prop_assume!(segment.length() > 1e-4);
        let reach = match segment { Segment::Arc(arc) => arc.radius.min(50.0), Segment::Line { .. } => 50.0 };
        let heading = segment.tangent_angle_at(at);
        let left = Vector2::new(-geom::math::sin(heading), geom::math::cos(heading));
        let (fraction, distance) = segment.nearest(segment.point_at(at) + left * (off * reach));
        close(distance, (off * reach).abs(), 1e-8, "distance");
        close(fraction * segment.length(), at * segment.length(), 1e-6, "foot");
    }

    /// No point of a fine sampling lies nearer than the nearest point.
    #[test]
    fn nothing_is_nearer_than_nearest(segment in segment(), from in point()) {
        let (fraction, distance) = segment.nearest(from);
        prop_assert!((0.0..=1.0).contains(&fraction));
        for i in 0..=200 {
            let sample = (segment.point_at(f64::from(i) / 200.0) - from).norm();
            prop_assert!(sample >= distance - 1e-9, "{sample} under {distance}");
        }
    }

    #[test]
    fn reversing_and_mirroring_twice_changes_nothing(segment in segment(), at in 0.0..1.0f64) {
        for twice in [
            segment.reversed().reversed(),
            segment.mirrored_in_x_axis().mirrored_in_x_axis(),
            segment.mirrored_in_y_axis().mirrored_in_y_axis(),
        ] {
            same_point(twice.point_at(at), segment.point_at(at), LENGTH_MM, "point");
            close(twice.turn(), segment.turn(), 1e-12, "turn");
        }
        same_point(segment.reversed().point_at(1.0 - at), segment.point_at(at), LENGTH_MM, "reversed");
        let p = segment.point_at(at);
        same_point(segment.mirrored_in_x_axis().point_at(at), Point2::new(p.x, -p.y), LENGTH_MM, "mirrored");
    }

    #[test]
    fn a_placement_drops_square(origin in point(), flat in point(), height in -5.0..5.0f64, a in -PI..PI) {
        let (s, c) = geom::math::sin_cos(a);
        let placement = Placement::new(
            Point3::new(origin.x, origin.y, 7.0),
            Vector3::new(c, 0.0, s),
            Vector3::new(-s * 0.6, 0.8, c * 0.6),
        );
        let space = placement.point(flat, height);
        same_point(placement.project(space), flat, 1e-10, "dropped point");
        close((space - placement.origin).dot(&placement.normal()), height, 1e-10, "height");
    }
}

#[test]
fn a_half_circle_has_bulge_one_and_lies_on_the_right_of_its_chord() {
    let half = Segment::from_bulge(Point2::new(0.0, 0.0), Point2::new(2.0, 0.0), 1.0);
    close(half.turn(), PI, 1e-12, "turn");
    same_point(half.point_at(0.5), Point2::new(1.0, -1.0), 1e-12, "middle");
    close(
        half.tangent_angle_at(0.0),
        -PI / 2.0,
        1e-12,
        "direction at the start",
    );
}

#[test]
fn a_bulge_that_rounding_outweighs_is_a_line() {
    let (start, end) = (Point2::new(100.0, 3.0), Point2::new(-60.0, 80.0));
    for bulge in [0.0, 9e-9, -9e-9] {
        assert_eq!(
            Segment::from_bulge(start, end, bulge),
            Segment::line(start, end)
        );
    }
    assert!(matches!(
        Segment::from_bulge(start, end, 1.1e-8),
        Segment::Arc(_)
    ));
}

#[test]
fn a_bulge_is_the_tangent_of_a_quarter_of_the_sweep() {
    let arc = Segment::Arc(Arc {
        centre: Point2::origin(),
        radius: 2.0,
        start_angle: 1.0,
        sweep: -2.5,
    });
    close(arc.bulge(), tan(-2.5 / 4.0), 1e-15, "bulge");
}

#[test]
fn the_number_of_chords_is_the_least_that_keeps_the_error() {
    // Published as a polygon of n sides: sagitta = r(1 − cos(π/n)) (closed form).
    for n in [16u32, 32, 64, 128] {
        let sagitta = 10.0 * (1.0 - geom::math::cos(PI / f64::from(n)));
        let circle = Segment::circle(Point2::origin(), 10.0);
        assert_eq!(circle.chords_within(sagitta * (1.0 + 1e-9)), n as usize);
        assert_eq!(circle.chords_within(sagitta * (1.0 - 1e-9)), n as usize + 1);
    }
}
