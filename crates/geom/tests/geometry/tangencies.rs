//! The closed forms satisfy the tangency that they promise.

use crate::strategies::{close, repeatable, same_point};
use geom::math::{FRAC_PI_2, cos, sin};
use geom::tangency::{circle_to_vertical, crown_and_corner, reverse_curve};
use geom::{Chain, GeomError, Point2};
use proptest::prelude::*;

/// A share between 0 and 1 that is often all but at one end.
fn share() -> impl Strategy<Value = f64> {
    prop_oneof![3 => 0.01..0.99f64, 1 => 1e-12..1e-9f64, 1 => Just(1.0), 1 => (1.0 - 1e-12)..1.0f64]
}

proptest! {
    #![proptest_config(repeatable(400))]

    /// Laid piece by piece from the top centre, the chain comes to the side, vertical, at the corner's height.
    #[test]
    fn crown_and_corner_reach_the_side(
        half_width in 5.0..60.0f64,
        corner in share(),
        beyond in prop_oneof![Just(0.0), 1e-9..1e-6f64, 0.01..100.0f64, 1e5..1e7f64],
    ) {
        let corner = corner * half_width;
        let crown = half_width + beyond;
        let joint = crown_and_corner(crown, corner, half_width).unwrap();
        close(joint.crown_half_angle + joint.corner_angle, FRAC_PI_2, 1e-12, "angles");
        let end = Chain::starting(Point2::origin(), 0.0)
            .arc(crown, -joint.crown_half_angle)
            .arc(corner, -joint.corner_angle)
            .position();
        same_point(end, Point2::new(half_width, -joint.corner_drop), 1e-6 + 1e-15 * crown, "end of the corner");
        let (x, z) = (half_width - corner, crown - joint.corner_drop);
        close(x.hypot_of(z), crown - corner, 1e-9 + 1e-15 * crown, "circles touching inside");
    }

    #[test]
    fn a_reverse_curve_shifts_the_line(
        first in 0.5..60.0f64,
        second in 0.5..60.0f64,
        shift in prop_oneof![Just(0.0), 1e-14..1e-9f64, 0.001..1.0f64],
    ) {
        let shift = shift * (first + second);
        let curve = reverse_curve(shift, first, second).unwrap();
        let end = Chain::starting(Point2::origin(), 0.0).arc(first, curve.angle).arc(second, -curve.angle).position();
        same_point(end, Point2::new(curve.run, shift), 1e-8, "end of the reverse curve");
        // A shift far below the arcs' sagitta resolution must still have its own angle: shift = sum·θ²/2.
        if shift > 0.0 {
            let half = sin(curve.angle / 2.0);
            close(2.0 * (first + second) * half * half / shift, 1.0, 1e-12, "angle of a small shift");
        }
    }

    #[test]
    fn a_circle_runs_into_the_vertical(circle in 5.0..60.0f64, reverse in 0.5..40.0f64, inside in share()) {
        let half_width = circle * inside;
        let joint = circle_to_vertical(circle, reverse, half_width).unwrap();
        // From the circle's rightmost point down the circle, then back by the reverse arc.
        let end = Chain::starting(Point2::new(circle, 0.0), -FRAC_PI_2)
            .arc(circle, -joint.angle)
            .arc(reverse, joint.angle)
            .position();
        same_point(end, Point2::new(half_width, -joint.drop), 1e-6, "end of the reverse arc");
        close((circle + reverse) * cos(joint.angle), half_width + reverse, 1e-9, "circles touching outside");
    }
}

trait HypotOf {
    fn hypot_of(self, other: f64) -> f64;
}

impl HypotOf for f64 {
    fn hypot_of(self, other: f64) -> f64 {
        geom::math::hypot(self, other)
    }
}

#[test]
fn a_flat_crown_is_a_crown_without_bend() {
    let joint = crown_and_corner(f64::INFINITY, 6.0, 29.5).unwrap();
    close(joint.crown_half_angle, 0.0, 0.0, "crown angle");
    close(joint.corner_drop, 6.0, 0.0, "corner drop");
    let nearly = crown_and_corner(1e12, 6.0, 29.5).unwrap();
    close(
        nearly.corner_drop,
        6.0,
        1e-9,
        "corner drop of a crown of 1e12",
    );
}

#[test]
fn what_cannot_touch_is_refused() {
    let refused = |result: Result<(), GeomError>| {
        assert!(
            matches!(result, Err(GeomError::NoTangency { .. })),
            "{result:?}"
        );
    };
    let crown = |c, r, w| crown_and_corner(c, r, w).map(|_| ());
    refused(crown(29.0, 6.0, 29.5));
    refused(crown(144.0, 30.0, 29.5));
    refused(crown(144.0, 0.0, 29.5));
    refused(crown(f64::NAN, 6.0, 29.5));
    refused(crown(144.0, f64::NAN, 29.5));
    refused(crown(144.0, 6.0, f64::NAN));
    let reverse = |s, a, b| reverse_curve(s, a, b).map(|_| ());
    refused(reverse(-0.1, 10.0, 10.0));
    refused(reverse(20.1, 10.0, 10.0));
    refused(reverse(f64::NAN, 10.0, 10.0));
    refused(reverse(1.0, -5.0, 15.0));
    refused(reverse(0.0, 0.0, 0.0));
    let waist = |c, r, w| circle_to_vertical(c, r, w).map(|_| ());
    refused(waist(27.5, 8.0, 27.6));
    refused(waist(27.5, 8.0, 0.0));
    refused(waist(27.5, -8.0, 25.0));
    refused(waist(f64::NAN, 8.0, 25.5));
}
