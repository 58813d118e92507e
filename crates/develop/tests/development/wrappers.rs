//! Wrappers of the two Belpaire fireboxes, against a hand computation and against triangulation.

use crate::sections::{at, class_b, class_b_wrapper, class_m, class_m_wrapper, close};
use crate::triangulation::{Diagonal, lay_out, paired};
use geom::{Point2, Point3};

/// Corners of both demo wrappers, as a hand computation gives them to four places (inches).
#[test]
fn corners_of_the_belpaire_wrappers() {
    for (loft, crown, front, rear) in [
        (
            class_b_wrapper(),
            66.017,
            (1.6141, 96.0443),
            (67.5970, 94.5447),
        ),
        (
            class_m_wrapper(),
            90.139,
            (9.4624, 114.2804),
            (98.7732, 103.1639),
        ),
    ] {
        close(
            loft.flat(at(loft.datum(), 1.0)).x,
            crown,
            5e-4,
            "crown centre",
        );
        for (v, want) in [(0.0, front), (1.0, rear)] {
            let corner = loft.flat(at(loft.w_end(), v));
            close(corner.x, want.0, 5e-5, "corner x");
            close(corner.y, want.1, 5e-5, "corner y");
            let other = loft.flat(at(0.0, v));
            close(other.x, corner.x, 1e-9, "mirrored corner x");
            close(other.y, -corner.y, 1e-9, "mirrored corner y");
        }
    }
}

/// Half perimeters of both fireboxes to the foot (inches), from the same hand computation to three places.
#[test]
fn half_perimeters_of_the_belpaire_sections() {
    for (section, want) in [
        (class_b(120.0), 96.062),
        (class_b(118.5), 94.562),
        (class_m(138.0, 35.0), 114.817),
        (class_m(133.0, 30.0), 103.647),
    ] {
        close(section.half().length(), want, 6e-4, "half perimeter");
        close(
            section.half().turn(),
            -geom::math::FRAC_PI_2,
            1e-12,
            "turn of a half wrapper",
        );
    }
}

/// True lengths of triangles between rulings, laid out on the plane, come to the same corners; their
/// error falls with the square of the step, whichever diagonal is drawn.
#[test]
fn triangulation_comes_to_the_same_corners() {
    let cases = [
        (class_b(120.0), class_b(118.5), 66.0, class_b_wrapper()),
        (
            class_m(138.0, 35.0),
            class_m(133.0, 30.0),
            90.0,
            class_m_wrapper(),
        ),
    ];
    for (front, rear, length, loft) in &cases {
        let want = (
            loft.flat(at(loft.w_end(), 0.0)),
            loft.flat(at(loft.w_end(), 1.0)),
        );
        for diagonal in [Diagonal::FrontToNextRear, Diagonal::RearToNextFront] {
            let corners = |n: usize| {
                let (p, q) = paired(front, rear, *length, n);
                lay_out(&p, &q, diagonal)
            };
            let off = |got: (Point2, Point2)| (got.0 - want.0).norm() + (got.1 - want.1).norm();
            let (coarse, fine) = (corners(64), corners(128));
            let order = off(coarse) / off(fine);
            assert!(
                (3.9..4.1).contains(&order),
                "{diagonal:?}: error falls by {order} for half the step"
            );
            // The error's leading term removed, what is left is far below a micron.
            let limit = |coarse: Point2, fine: Point2| fine + (fine - coarse) / 3.0;
            let got = (limit(coarse.0, fine.0), limit(coarse.1, fine.1));
            assert!(
                off(got) < 2e-6,
                "{diagonal:?}: {:e} in left after extrapolation",
                off(got)
            );
        }
    }
}

/// The classical error: a trapezium drawn from the perimeters alone misses the bow of the front edge,
/// 5.5 mm at 7 mm scale.
#[test]
fn a_trapezium_misses_the_bow() {
    let loft = class_m_wrapper();
    let corner = loft.flat(at(loft.w_end(), 0.0));
    let to_seven_mm_scale = 7.0 / 12.0;
    close(
        corner.x * to_seven_mm_scale,
        5.520,
        1e-3,
        "bow of the front edge (mm)",
    );
    close(
        corner.y * to_seven_mm_scale,
        66.664,
        1e-3,
        "half width of the flat (mm)",
    );
}

/// Rulings at equal fractions of the perimeters warp the sheet: the two ways of cutting its quadrilaterals into triangles no longer agree on the
/// corners of M's flat, nor do they come to those of the parallel tangents. At 7 mm to the foot the corners move by hundredths of a millimetre, as a hand
/// computation found (0.02 mm); recomputed here by both diagonals in fine steps.
#[test]
fn equal_fractions_of_the_perimeter_are_not_the_same_flat() {
    let (front, rear) = (class_m(138.0, 35.0).half(), class_m(133.0, 30.0).half());
    let strip = |n: usize| -> (Vec<Point3>, Vec<Point3>) {
        (0..=n)
            .map(|i| i as f64 / n as f64)
            .map(|share| {
                let p = front.point_at(share * front.length());
                let q = rear.point_at(share * rear.length());
                (Point3::new(0.0, p.x, p.y), Point3::new(90.0, q.x, q.y))
            })
            .unzip()
    };
    let loft = class_m_wrapper();
    let true_corner = loft.flat(at(loft.w_end(), 0.0));
    let off = |diagonal: Diagonal| {
        let (p, q) = strip(8000);
        let (corner, _) = lay_out(&p, &q, diagonal);
        (corner - true_corner).norm() * 7.0 / 12.0
    };
    let (one, other) = (
        off(Diagonal::FrontToNextRear),
        off(Diagonal::RearToNextFront),
    );
    for got in [one, other] {
        close(got, 0.02, 5e-3, "how far the corner moves (mm)");
    }
    // On the true flat both diagonals come together as the steps get finer; here they stay apart.
    assert!((one - other).abs() > 1e-5, "{one} {other}");
}
