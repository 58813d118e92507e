//! Right and oblique cones.

use develop::SurfacePoint;
use develop::{
    AnnularSector, BendRule, Loft, LoftFrame, LoopMeasure, Trace, oblique_cone, right_cone,
};
use geom::math::{TAU, atan2};
use geom::{FlatPoint, Point2};
use platework_tests::close;

/// Frustum of end diameters 8 and 5 in, 4 in apart: radii 7.12 and 11.39 in, sector 126.4°
/// (ceemrr.com, drawings and nets 6, read; to more places derived).
#[test]
fn a_published_frustum() {
    let flat = right_cone(4.0, 2.5, 4.0).unwrap();
    close(flat.inner_radius, 7.12, 5e-3, "inner radius as printed");
    close(flat.outer_radius, 11.39, 5e-3, "outer radius as printed");
    close(flat.angle.to_degrees(), 126.4, 5e-2, "sector as printed");
    close(flat.inner_radius, 7.120_00, 5e-6, "inner radius");
    close(flat.outer_radius, 11.392_00, 5e-6, "outer radius");
    close(flat.angle.to_degrees(), 126.4044, 5e-5, "sector");
}

/// A taper barrel of model size, neutral diameters 22 and 18, 60 mm long (derived from the frustum's formula).
#[test]
fn a_model_size_barrel() {
    let flat = right_cone(11.0, 9.0, 60.0).unwrap();
    close(
        flat.outer_radius - flat.inner_radius,
        60.03332,
        5e-6,
        "slant",
    );
    close(flat.outer_radius, 330.18328, 5e-6, "outer radius");
    close(flat.inner_radius, 270.14996, 5e-6, "inner radius");
    close(flat.angle.to_degrees(), 11.993_339, 5e-7, "angle");
}

/// The sector, and the same ring ruled as a loft: two roads to one flat.
#[test]
fn a_loft_between_level_circles_is_the_sector() {
    for (small, large, length) in [
        (9.0, 11.0, 60.0),
        (2.5, 4.0, 4.0),
        (26.5, 29.0, 132.0),
        (10.0, 10.0 + 1e-7, 50.0),
    ] {
        let sector = right_cone(large, small, length).unwrap();
        let loft = ring((0.0, small), (0.0, large), length);
        close(swing(&loft), sector.angle, 1e-11, "angle");
        close(
            loft.ruling(0.3).length,
            sector.outer_radius - sector.inner_radius,
            1e-10,
            "slant",
        );
        close(area(&loft), sector.area(), 1e-9 * sector.area(), "area");
    }
}

/// Areas of frusta and cones: E. M. Longfield, *Sheet Metal Drafting* (McGraw-Hill, 1921), pp. 82 and 128, with π = 3.1416
/// (data read, products derived; square inches).
#[test]
fn areas_of_a_drafting_book() {
    let by_slant = |large: f64, small: f64, slant: f64| {
        let length = (slant * slant - (large - small) * (large - small)).sqrt();
        right_cone(large, small, length).unwrap().area()
    };
    close(
        right_cone(3.0, 1.5, 3.0).unwrap().area(),
        47.418,
        1e-3,
        "sample frustum",
    );
    close(
        right_cone(4.0, 2.0, 4.0).unwrap().area(),
        84.298,
        1e-3,
        "problem 30B",
    );
    close(by_slant(1.5625, 1.25, 7.5), 66.268, 1e-3, "problem 30C");
    close(
        by_slant(2.5, 1e-12, 12.0),
        94.248,
        1e-3,
        "cone of 5 in and slant 12",
    );
    close(by_slant(3.5, 1e-12, 11.25), 123.700, 1e-3, "problem 19A");
    let sector = AnnularSector {
        inner_radius: 0.0,
        outer_radius: 7.0,
        angle: 14.0 / 7.0,
    };
    close(sector.area(), 49.0, 1e-12, "sector of arc 14 and radius 7");
}

/// Curve surfaces in a nineteenth-century mensuration book (Google Books 4mlaAAAAcAAJ, p. 76; read, scan damaged), which
/// takes 22/7 for π, in square feet.
#[test]
fn curve_surfaces_of_a_mensuration_book() {
    let old_pi = 22.0 / 7.0 / geom::math::PI;
    let frustum = |small: f64, large: f64, length: f64| {
        right_cone(large, small, length).unwrap().area() * old_pi
    };
    // Diameters 5 ft 4 and 8 ft 3 with slant 10 ft 6: 224 (224.125).
    let (small, large, slant) = (16.0 / 6.0, 8.25 / 2.0, 10.5f64);
    let length = (slant * slant - (large - small) * (large - small)).sqrt();
    close(
        frustum(small, large, length),
        224.125,
        5e-4,
        "frustum by its slant",
    );
    // Diameter 13 ft 4 and slant 18 ft 8: 391 1/9.
    let (radius, slant) = (40.0 / 6.0, 56.0 / 3.0f64);
    let height = (slant * slant - radius * radius).sqrt();
    close(
        frustum(1e-12, radius, height),
        391.0 + 1.0 / 9.0,
        1e-6,
        "cone by its slant",
    );
}

/// A right-angled cone's layout angle is 254.6° (anvilfire.com, layout of cones, read; exact 254.558).
#[test]
fn a_right_angled_cone() {
    close(
        right_cone(10.0, 1.0, 9.0).unwrap().angle.to_degrees(),
        254.6,
        5e-2,
        "layout angle",
    );
}

fn ring(front: (f64, f64), rear: (f64, f64), length: f64) -> Loft {
    let circle = |(height, radius): (f64, f64)| (Point2::new(0.0, height), radius);
    oblique_cone(
        LoftFrame::along_engine(0.0),
        circle(front),
        circle(rear),
        length,
        1e-9,
        BendRule::Din6935,
    )
    .unwrap()
}

/// Angle between the two seam edges of a flat (rad).
fn swing(loft: &Loft) -> f64 {
    let [a, b] = [0.0, loft.w_end()].map(|w| loft.ruling(w).flat_direction);
    atan2(a.perp(&b), a.dot(&b)).abs()
}

fn area(loft: &Loft) -> f64 {
    let mut sum = LoopMeasure::default();
    for (v, from, to) in [(1.0, 0.0, loft.w_end()), (0.0, loft.w_end(), 0.0)] {
        sum += loft.measure_trace(&Trace::Section { v, from, to }).unwrap();
    }
    sum.neutral_area
}

/// Oblique cones of base radius 10 and altitude 20, the apex over a point `e` from the centre (derived by quadrature of the
/// closed form): shortest and longest generator, unrolled angle at the apex, area.
///
/// They are cut here at half height, where all but the angle is a known share of the whole.
#[test]
fn oblique_cones() {
    for (e, short, long, angle_deg, whole) in [
        (0.0, 22.3607, 22.3607, 160.9969, 702.4815),
        (10.0, 20.0000, 28.2843, 143.5400, 730.5067),
        (15.0, 20.6155, 32.0156, 126.3310, 764.9874),
    ] {
        let loft = ring((0.0, 10.0), (e / 2.0, 5.0), 10.0);
        // The apex leans up, towards the ruling opposite the seam.
        let (seam, top) = (loft.ruling(0.0).length * 2.0, loft.ruling(0.5).length * 2.0);
        close(top, short, 5.1e-5, "shortest generator");
        close(seam, long, 5.1e-5, "longest generator");
        close(
            swing(&loft).to_degrees(),
            angle_deg,
            5.1e-5,
            "angle at the apex",
        );
        close(area(&loft) / 0.75, whole, 5.1e-5, "area");
    }
}

/// Where the rulings of a cone's flat meet: its apex.
fn apex(loft: &Loft) -> FlatPoint {
    let (a, b) = (loft.ruling(0.2), loft.ruling(0.8));
    let along =
        (b.flat - a.flat).perp(&b.flat_direction) / a.flat_direction.perp(&b.flat_direction);
    a.flat + a.flat_direction * along
}

/// The flat-bottomed boiler of an invented 2-6-0: 56 to 63 in over 144 in, its bottom line level (worked by hand
/// beforehand to the places given; inches, but for the last).
#[test]
fn a_flat_bottomed_barrel() {
    let loft = ring((28.0, 28.0), (31.5, 31.5), 144.0);
    close(swing(&loft).to_degrees(), 8.7435, 5.1e-5, "total angle");
    let right = right_cone(31.5, 28.0, 144.0).unwrap();
    close(
        right.angle.to_degrees(),
        8.7474,
        5.1e-5,
        "total angle of the right cone that it is not",
    );
    let apex = apex(&loft);
    let radius = |w: f64, v: f64| (loft.flat(SurfacePoint { w, v }) - apex).norm();
    for (w, front, rear, generator) in [
        (0.0, 1152.000, 1296.000, 144.000),
        (0.25, 1152.680, 1296.765, 144.085),
        (0.5, 1153.360, 1297.530, 144.170),
    ] {
        close(radius(w, 0.0), front, 5.1e-4, "radius to the front edge");
        close(radius(w, 1.0), rear, 5.1e-4, "radius to the rear edge");
        close(loft.ruling(w).length, generator, 5.1e-4, "generator");
    }
    // At 7 mm to the foot: how far the edges sag between top line and seam, and over what half width.
    let scale = 7.0 / 12.0;
    for (v, sag, half_width) in [(0.0, 2.75, 51.23), (1.0, 3.09, 57.63)] {
        let top = loft.flat(SurfacePoint { w: 0.5, v });
        let seam = loft.flat(SurfacePoint { w: 1.0, v });
        close((seam.x - top.x).abs() * scale, sag, 5.1e-3, "sag (mm)");
        close(
            (seam.y - top.y).abs() * scale,
            half_width,
            5.1e-3,
            "half width (mm)",
        );
    }
}

/// The symmetrical barrel of an invented 0-6-2T: 53 to 58 in over 132 in (worked by hand beforehand; inches and mm).
#[test]
fn a_symmetrical_barrel() {
    let flat = right_cone(29.0, 26.5, 132.0).unwrap();
    close(
        flat.outer_radius - flat.inner_radius,
        132.0237,
        5.1e-5,
        "slant",
    );
    close(flat.angle.to_degrees(), 6.8170, 5.1e-5, "angle");
    close(flat.inner_radius, 1399.451, 5.1e-4, "inner radius");
    close(flat.outer_radius, 1531.475, 5.1e-4, "outer radius");
    for (scale, inner, outer) in [(7.0 / 12.0, 816.35, 893.36), (4.0 / 12.0, 466.48, 510.49)] {
        close(
            flat.inner_radius * scale,
            inner,
            5.1e-3,
            "inner radius at scale (mm)",
        );
        close(
            flat.outer_radius * scale,
            outer,
            5.1e-3,
            "outer radius at scale (mm)",
        );
    }
    close(
        flat.angle * flat.outer_radius,
        TAU * 29.0,
        1e-9,
        "the large end keeps its length",
    );
}
