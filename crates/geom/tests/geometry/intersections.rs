//! Where pieces cross.

use crate::strategies::{close, repeatable, same_point, segment};
use geom::math::PI;
use geom::{Arc, Point2, Segment, intersections};
use proptest::prelude::*;

proptest! {
    #![proptest_config(repeatable(1500))]

    #[test]
    fn crossings_do_not_depend_on_the_order(a in segment(), b in segment()) {
        let (ab, ba) = (intersections(&a, &b), intersections(&b, &a));
        prop_assert_eq!(ab.len(), ba.len());
        for p in &ab {
            prop_assert!(ba.iter().any(|q| (p - q).norm() < 1e-6), "{:?} not among {:?}", p, ba);
            prop_assert!(a.nearest(*p).1 < 1e-7 && b.nearest(*p).1 < 1e-7);
        }
    }

    /// Two pieces laid through one point at unlike directions share that point.
    #[test]
    fn a_point_on_both_is_found(a in segment(), b in segment(), s in 0.05..0.95f64, t in 0.05..0.95f64) {
        prop_assume!(a.length() > 1e-3 && b.length() > 1e-3);
        let b = b.translated(a.point_at(s) - b.point_at(t));
        let crossing = geom::math::sin(a.tangent_angle_at(s) - b.tangent_angle_at(t)).abs();
        prop_assume!(crossing > 1e-2);
        let found = intersections(&a, &b);
        prop_assert!(
            found.iter().any(|p| (p - a.point_at(s)).norm() < 1e-6),
            "{:?} not among {:?}", a.point_at(s), found
        );
    }
}

fn circle(x: f64, y: f64, radius: f64) -> Segment {
    Segment::circle(Point2::new(x, y), radius)
}

#[test]
fn two_circles_meet_on_the_three_four_five_triangle() {
    let found = intersections(&circle(0.0, 0.0, 5.0), &circle(6.0, 0.0, 5.0));
    assert_eq!(found.len(), 2);
    for (p, y) in found.iter().zip([4.0, -4.0]) {
        same_point(
            *p,
            Point2::new(3.0, y),
            1e-12,
            "crossing, in order of the first circle",
        );
    }
}

#[test]
fn a_touching_line_shares_one_point() {
    for radius in [0.3, 10.0, 57.3, 1e4] {
        for angle in [0.0, 0.3, 1.0, PI / 3.0, 2.5] {
            let (s, c) = geom::math::sin_cos(angle);
            let (normal, along) = (geom::Vector2::new(c, s), geom::Vector2::new(-s, c));
            let centre = Point2::new(3.7, -11.1);
            let foot = centre + normal * radius;
            let line = Segment::line(foot - along * 40.0, foot + along * 30.0);
            let found = intersections(&line, &Segment::circle(centre, radius));
            assert_eq!(found.len(), 1, "radius {radius}, angle {angle}: {found:?}");
            same_point(found[0], foot, 1e-4, "touching point");
        }
    }
}

#[test]
fn touching_circles_share_one_point_and_distant_ones_none() {
    assert_eq!(
        intersections(&circle(0.1, 0.0, 2.0), &circle(5.1, 0.0, 3.0)).len(),
        1
    );
    assert_eq!(
        intersections(&circle(0.1, 0.2, 5.3), &circle(0.1 + 3.2, 0.2, 2.1)).len(),
        1
    );
    assert!(intersections(&circle(0.0, 0.0, 2.0), &circle(5.001, 0.0, 3.0)).is_empty());
    assert!(intersections(&circle(0.0, 0.0, 2.0), &circle(0.0, 0.0, 2.0)).is_empty());
}

#[test]
fn ends_count_as_crossings() {
    let arc = Segment::Arc(Arc {
        centre: Point2::origin(),
        radius: 2.0,
        start_angle: 0.0,
        sweep: PI / 2.0,
    });
    let line = Segment::line(Point2::new(2.0, 0.0), Point2::new(9.0, 1.0));
    let found = intersections(&arc, &line);
    assert_eq!(found.len(), 1);
    close(found[0].x, 2.0, 1e-12, "shared end");
}
