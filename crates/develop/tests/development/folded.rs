//! Plates folded along half-etched grooves.

use crate::sections::close;
use develop::{Folded, HalfEtchedFold, LoftFrame, SurfacePoint};
use geom::Point2;
use geom::math::{FRAC_PI_2, PI};

/// A channel of 10 between flanges of 4, over the outside, in 0.4 sheet half through.
fn channel(outside_on_outer_side: bool) -> Folded {
    let turn = if outside_on_outer_side {
        -FRAC_PI_2
    } else {
        FRAC_PI_2
    };
    Folded::new(
        Point2::origin(),
        FRAC_PI_2,
        &[4.0, 10.0, 4.0],
        &[turn, turn],
        0.4,
        0.2,
    )
    .unwrap()
}

/// The outside faces of the flanges stand as far apart as the middle leg is long, and reach as far as theirs.
#[test]
fn legs_are_measured_over_the_outside() {
    let folded = channel(true);
    let loft = folded.loft(LoftFrame::along_engine(0.0), 20.0).unwrap();
    let skin = |w: f64| loft.formed(SurfacePoint { w, v: 0.5 }).at_height(0.2);
    let (first, last) = (skin(0.0), skin(loft.w_end()));
    close((last.y - first.y).abs(), 10.0, 1e-9, "over the flanges");
    let top = skin(2.5);
    close(top.z - first.z, 4.0, 1e-9, "height of a flange");
}

/// On the flat each groove takes the width that closes it, and the flat is the sum of its parts.
#[test]
fn the_flat_has_the_allowance_of_the_fold() {
    for outer in [true, false] {
        let folded = channel(outer);
        let loft = folded.loft(LoftFrame::along_engine(0.0), 20.0).unwrap();
        let fold = HalfEtchedFold::closing(FRAC_PI_2, 0.4, 0.2).unwrap();
        let y = |w: f64| loft.flat(SurfacePoint { w, v: 0.0 }).y;
        close(y(2.0) - y(1.0), fold.width, 1e-9, "groove");
        close(fold.width, 3.0 * PI / 8.0 * 0.4, 1e-12, "closing width");
        // Drawn to the middle of the groove, a leg is shorter than it comes out over the outside by the allowance.
        if outer {
            let drawn = y(1.0) - y(0.0) + fold.width / 2.0;
            close(4.0 - drawn, fold.leg_allowance(), 1e-9, "leg allowance");
            close(
                fold.leg_allowance() / 0.4,
                0.411,
                5e-4,
                "allowance in thicknesses",
            );
        }
    }
}

#[test]
fn a_leg_shorter_than_its_folds_is_refused() {
    let legs = [0.3, 10.0];
    let folded = Folded::new(Point2::origin(), 0.0, &legs, &[-FRAC_PI_2], 0.4, 0.2);
    assert!(
        folded
            .unwrap_err()
            .to_string()
            .contains("leg of a folded plate")
    );
}
