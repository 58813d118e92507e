//! A cylinder cut by an oblique plane unrolls to a sine.

use develop::{BendRule, DevelopError, Loft, LoftFrame, SurfacePoint, Trace, oblique_cone};
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

/// The same cut as a trim of the tube: the trace keeps the sine, the ellipse's perimeter in both states, and the flat area of the half below it,
/// which is that of the mean length.
#[test]
fn the_cut_as_an_edge_of_a_plate() {
    let loft = tube();
    let (s, c) = geom::math::sin_cos(SLOPE);
    let cut = |from: f64, to: f64| Trace::Cut {
        through: Point3::new(20.0, 0.0, 0.0),
        normal: geom::Vector3::new(c, -s, 0.0),
        from,
        to,
    };
    let edge = cut(0.0, loft.w_end());
    let perimeter = 67.779_176;
    close(
        edge.flat_length(&loft).unwrap(),
        perimeter,
        5e-7,
        "on the flat",
    );
    close(
        edge.formed_length(&loft).unwrap(),
        perimeter,
        5e-7,
        "in space",
    );
    for i in 0..=50 {
        let flat = edge.flat_point(&loft, f64::from(i) / 50.0).unwrap();
        let want = 20.0 + 5.773_503 * sin(flat.y / RADIUS);
        close(flat.x, want, 5e-7, "the sine");
    }
    let front = Trace::Section {
        v: 0.0,
        from: loft.w_end(),
        to: 0.0,
    };
    let area =
        loft.measure_trace(&edge).unwrap().mid_area + loft.measure_trace(&front).unwrap().mid_area;
    close(
        area.abs(),
        2.0 * PI * RADIUS * 20.0,
        1e-8,
        "area before the cut",
    );
    // Travelled backwards it is the same curve.
    let back = cut(loft.w_end(), 0.0);
    for t in [0.0, 0.3, 1.0] {
        let [a, b] = [edge.at(&loft, t), back.at(&loft, 1.0 - t)].map(Result::unwrap);
        close(a.v, b.v, 1e-12, "fraction of the ruling");
    }
}

/// A plane past the end of a ruling, along it, or beside it is no trim; one past an apex neither.
#[test]
fn planes_that_miss_the_sheet() {
    let loft = tube();
    for (x, normal) in [
        (38.0, geom::Vector3::new(1.0, 1.0, 0.0)),
        (-1.0, geom::Vector3::x()),
        (20.0, geom::Vector3::y()),
        (20.0, geom::Vector3::zeros()),
        (f64::NAN, geom::Vector3::x()),
    ] {
        let cut = Trace::Cut {
            through: Point3::new(x, 0.0, 0.0),
            normal,
            from: 0.0,
            to: loft.w_end(),
        };
        assert!(matches!(
            cut.breaks(&loft),
            Err(DevelopError::CutLeaves { .. })
        ));
        assert!(cut.flat_length(&loft).is_err() && loft.measure_trace(&cut).is_err());
    }
    // A steep cone produced beyond its small end comes to a point 10 ahead of it.
    let (small, large) = ((Point2::origin(), 10.0), (Point2::origin(), 20.0));
    let frame = LoftFrame::along_engine(10.0);
    let cone = oblique_cone(frame, small, large, 10.0, 1e-9, BendRule::Din6935).unwrap();
    for (x, fits) in [
        (15.0, true),
        (10.0, true),
        (20.0, true),
        (5.0, false),
        (-1.0, false),
    ] {
        let cut = Trace::Cut {
            through: Point3::new(x, 0.0, 0.0),
            normal: geom::Vector3::new(1.0, 0.0, 0.0),
            from: 0.0,
            to: cone.w_end(),
        };
        assert_eq!(cut.flat_length(&cone).is_ok(), fits, "plane at {x}");
    }
}
