//! Folds along half-etched lines, and spring-back.

use crate::sections::close;
use develop::{DevelopError, HalfEtchedFold, spring_back};
use geom::math::{FRAC_PI_2, PI, cos, sin, tan};
use proptest::prelude::*;

proptest! {
    #![proptest_config(crate::sections::repeatable(300))]

    /// The walls of a closing groove just meet: with the web bent to r, the rims of the walls stand at
    /// the same place, t − h above the web's inside face on either leg.
    #[test]
    fn the_walls_of_a_closing_fold_meet(angle in 0.05..3.1f64, t in 0.1..1.0f64, share in 0.2..0.8f64) {
        let fold = HalfEtchedFold::closing(angle, t, share * t).unwrap();
        let inside = fold.inside_radius();
        // Legs leave the bend square to its radii; the walls lie along these and are t − h deep.
        let rim = |direction: f64| {
            let (x, y) = (sin(direction), cos(direction));
            (x * (inside - fold.depth), y * (inside - fold.depth))
        };
        let (left, right) = (rim(-angle / 2.0), rim(angle / 2.0));
        close(left.0 - right.0, 0.0, 1e-12, "gap between the rims");
        close(fold.closing_share(), 1.0, 1e-12, "share of the closing width");
    }

    /// Legs over the outside: twice the leg and its allowance is the whole drawn flat, at the web's neutral line.
    #[test]
    fn allowance_and_strip_give_the_flat(angle in 0.05..2.8f64, t in 0.1..1.0f64, share in 0.2..0.8f64, wide in 1.0..2.0f64) {
        let depth = share * t;
        let closing = HalfEtchedFold::closing(angle, t, depth).unwrap();
        let fold = HalfEtchedFold::with_width(angle, t, depth, closing.width * wide).unwrap();
        close(fold.closing_share(), wide, 1e-12, "share of the closing width");
        // Outside corner to the start of the bend, and from there half the groove on the flat.
        let setback = (fold.inside_radius() + fold.web()) * tan(angle / 2.0);
        close(fold.leg_allowance(), setback - fold.width / 2.0, 1e-12, "leg allowance");
        // The neutral line of the web has the groove's width.
        close((fold.inside_radius() + fold.web() / 2.0) * angle, fold.width, 1e-12, "width of the groove");
    }
}

/// 1.178 t and 0.411 t: a right-angled fold at half depth.
#[test]
fn a_right_angled_fold_at_half_depth() {
    for t in [0.25, 0.4, 0.45] {
        let fold = HalfEtchedFold::closing(FRAC_PI_2, t, t / 2.0).unwrap();
        close(fold.width, 3.0 * PI / 8.0 * t, 1e-12, "width");
        close(fold.width / t, 1.178, 5e-4, "width in thicknesses");
        close(
            fold.leg_allowance() / t,
            0.411,
            5e-4,
            "allowance in thicknesses",
        );
        close(fold.inside_radius(), t / 2.0, 1e-12, "inside radius");
    }
}

#[test]
fn folds_that_no_sheet_takes_are_refused() {
    let refused = |made: Result<HalfEtchedFold, DevelopError>, name: &str| match made {
        Err(DevelopError::OutOfRange { name: found, .. }) => assert_eq!(found, name),
        other => panic!("{name}: {other:?}"),
    };
    refused(HalfEtchedFold::closing(0.0, 0.4, 0.2), "fold angle");
    refused(HalfEtchedFold::closing(3.2, 0.4, 0.2), "fold angle");
    refused(HalfEtchedFold::closing(f64::NAN, 0.4, 0.2), "fold angle");
    refused(HalfEtchedFold::closing(1.0, 0.0, 0.2), "sheet thickness");
    refused(HalfEtchedFold::closing(1.0, 0.4, 0.4), "groove depth");
    refused(HalfEtchedFold::closing(1.0, 0.4, 0.0), "groove depth");
    // A web of 0.2 bent through a right angle needs a quarter circle of 0.1 at its middle.
    let least = FRAC_PI_2 * 0.1;
    assert!(HalfEtchedFold::with_width(FRAC_PI_2, 0.4, 0.2, least).is_ok());
    refused(
        HalfEtchedFold::with_width(FRAC_PI_2, 0.4, 0.2, least * 0.999),
        "groove width",
    );
}

proptest! {
    #![proptest_config(crate::sections::repeatable(300))]

    /// The bend opens, the softer and the tighter the less, and its neutral line keeps its length.
    #[test]
    fn a_bend_opens(tool in 0.5..40.0f64, t in 0.1..0.6f64, stress in 80.0..500.0f64) {
        let elasticity = 110_000.0;
        let x = tool * stress / (elasticity * t);
        prop_assume!(x < 0.49);
        let left = spring_back(tool, t, stress, elasticity).unwrap();
        prop_assert!(left.radius > tool && (0.0..1.0).contains(&left.angle_share));
        // One radian bent over the tool.
        close((left.radius + t / 2.0) * left.angle_share, tool + t / 2.0, 1e-9, "neutral line");
        let softer = spring_back(tool, t, stress * 0.9, elasticity).unwrap();
        prop_assert!(softer.radius < left.radius);
    }
}

#[test]
fn an_elastic_bend_is_refused() {
    // X = R·Y/(E·t) is 0.5 exactly at R = 50, t = 0.5, Y/E = 1/200.
    let Err(DevelopError::Elastic { radius_mm, ratio }) = spring_back(50.0, 0.5, 1.0, 200.0) else {
        panic!("at half the sheet springs flat");
    };
    close(radius_mm, 50.0, 0.0, "radius");
    close(ratio, 0.5, 1e-15, "ratio");
    assert!(
        spring_back(49.9, 0.5, 1.0, 200.0).unwrap().radius > 1e4,
        "next to the limit all but flat"
    );
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(
            spring_back(bad, 0.5, 1.0, 200.0),
            Err(DevelopError::OutOfRange { .. })
        ));
        assert!(matches!(
            spring_back(5.0, bad, 1.0, 200.0),
            Err(DevelopError::OutOfRange { .. })
        ));
        assert!(matches!(
            spring_back(5.0, 0.5, bad, 200.0),
            Err(DevelopError::OutOfRange { .. })
        ));
        assert!(matches!(
            spring_back(5.0, 0.5, 1.0, bad),
            Err(DevelopError::OutOfRange { .. })
        ));
    }
}
