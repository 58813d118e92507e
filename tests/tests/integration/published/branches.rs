//! A round branch square to a round barrel: its hole and its saddle.

use develop::{BendRule, Loft, LoftFrame, Trace, oblique_cone};
use geom::math::{TAU, asin, sin};
use geom::{Point2, Vector2, line_integral};
use platework_tests::close;

const BARREL: f64 = 11.0;
const BRANCH: f64 = 4.0;

fn barrel() -> Loft {
    let circle = (Point2::origin(), BARREL);
    oblique_cone(
        LoftFrame::along_engine(0.0),
        circle,
        circle,
        60.0,
        1e-9,
        BendRule::Din6935,
    )
    .unwrap()
}

fn bore() -> Trace {
    Trace::Bore {
        drill: Vector2::new(0.0, 1.0),
        along: 30.0,
        across: 0.0,
        radius: BRANCH,
    }
}

/// Unrolled hole x = R asin(√(r² − y²)/R), x round the barrel and y along it (question-and-answer page on the unrolled
/// intersection of two cylinders, math.techqa.club 2942223, read). For R 11, r 4 half the width is 4.093854 (derived).
#[test]
fn the_hole_on_the_flat() {
    let loft = barrel();
    let mut widest: f64 = 0.0;
    for i in 0..400 {
        let p = bore().flat_point(&loft, f64::from(i) / 400.0).unwrap();
        let along = p.x - 30.0;
        let want = BARREL * asin((BRANCH * BRANCH - along * along).max(0.0).sqrt() / BARREL);
        // At the two ends of the hole the width falls like a root and takes half the digits with it.
        close(p.y.abs(), want, 1e-6, "half width of the hole");
        widest = widest.max(p.y.abs());
    }
    close(widest, 4.093_854, 5e-7, "greatest half width");
}

/// Area of the same hole 51.14061 against the branch's own circle 50.26548 (derived by quadrature).
#[test]
fn the_area_of_the_hole() {
    let loft = barrel();
    close(
        loft.measure_trace(&bore()).unwrap().neutral_area,
        51.14061,
        5.1e-6,
        "area on the surface",
    );
    let flat = line_integral(0.0, 1.0, |t| {
        let p = bore().flat_point(&loft, t).unwrap();
        (p.x, p.y)
    });
    close(-flat, 51.14061, 5.1e-6, "area on the flat");
}

/// The branch's end z(φ) = √(R² − r² sin² φ), φ from the barrel's axis; the saddle is 0.753049 deep (derived).
#[test]
fn the_saddle_of_the_branch() {
    let loft = barrel();
    let mut lowest = f64::INFINITY;
    for i in 0..360 {
        let t = f64::from(i) / 360.0;
        let point = loft.formed(bore().at(&loft, t).unwrap()).point;
        let side = BRANCH * sin(TAU * t);
        close(
            point.z,
            (BARREL * BARREL - side * side).sqrt(),
            1e-9,
            "height of the branch's end",
        );
        lowest = lowest.min(point.z);
    }
    close(BARREL - lowest, 0.753_049, 5e-7, "depth of the saddle");
}
