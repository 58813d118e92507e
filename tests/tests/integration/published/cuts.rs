//! A cylinder cut by an oblique plane unrolls to a sine.

use develop::{BendRule, Loft, LoftFrame, SurfacePoint, oblique_cone};
use geom::math::{PI, sin, tan};
use geom::{Point2, Point3, chord_length};
use platework_tests::close;

const RADIUS: f64 = 10.0;
const SLOPE: f64 = PI / 6.0;

fn tube() -> Loft {
    let circle = (Point2::origin(), RADIUS);
    oblique_cone(
        LoftFrame::along_engine(0.0),
        circle,
        circle,
        40.0,
        1e-9,
        BendRule::Din6935,
    )
    .unwrap()
}

/// The place of the surface on the plane x = 20 + y·tan β.
fn on_cut(loft: &Loft, w: f64) -> SurfacePoint {
    let y = loft.section_point(SurfacePoint { w, v: 0.5 }).x;
    SurfacePoint {
        w,
        v: (20.0 + y * tan(SLOPE)) / 40.0,
    }
}

/// T. M. Apostol and M. A. Mnatsakanian, "Unwrapping curves from cylinders and cones", *American Mathematical
/// Monthly* 114 (2007) 388–416, section 2 (read): u(x) = r tan β · sin(x/r). Amplitude 5.773503 for r = 10
/// and β = 30° (derived).
#[test]
fn the_cut_unrolls_to_a_sine() {
    let loft = tube();
    let amplitude = 5.773_503;
    let mut highest: f64 = 0.0;
    for i in 0..=400 {
        let place = on_cut(&loft, f64::from(i) / 400.0);
        let flat = loft.flat(place);
        close(
            flat.x - 20.0,
            amplitude * sin(flat.y / RADIUS),
            5e-7,
            "height of the sine",
        );
        highest = highest.max(flat.x - 20.0);
        // Found again from the flat, the place stands in the cutting plane.
        let formed = loft.formed(loft.locate(flat)).point;
        close(
            formed.x - formed.y * tan(SLOPE),
            20.0,
            1e-9,
            "plane of the cut",
        );
    }
    close(highest, amplitude, 5e-7, "amplitude");
}

/// Unrolling keeps the edge: its length is the perimeter of the ellipse with half axes 11.547005 and 10, which is
/// 67.779176 (complete elliptic integral, derived).
#[test]
fn the_edge_keeps_the_length_of_the_ellipse() {
    let loft = tube();
    let flat = |w: f64| {
        let p = loft.flat(on_cut(&loft, w));
        Point3::new(p.x, p.y, 0.0)
    };
    let formed = |w: f64| loft.formed(on_cut(&loft, w)).point;
    let end = loft.w_end();
    close(
        chord_length(0.0, end, flat),
        67.779_176,
        5e-7,
        "edge on the flat",
    );
    close(
        chord_length(0.0, end, formed),
        67.779_176,
        5e-7,
        "edge in space",
    );
}
