//! Holes drilled through a formed wrapper, seen on its flat.

use crate::sections::{at, class_m_wrapper, close, near, wrapper};
use develop::{DevelopError, LoopMeasure, Trace};
use geom::math::{PI, TAU, asin};
use geom::{Chain, Outline, Point2, Vector2, line_integral};

fn tube(radius: f64, length: f64) -> develop::Loft {
    let ring = Chain::starting(Point2::new(0.0, -radius), PI)
        .arc(radius, -TAU)
        .finish();
    wrapper(&ring, &ring, length)
}

/// Area inside a closed trace on the flat, from flat positions alone.
fn flat_area(loft: &develop::Loft, bore: &Trace) -> f64 {
    let breaks = bore.breaks(loft).unwrap();
    -breaks
        .windows(2)
        .map(|piece| {
            line_integral(piece[0], piece[1], |t| {
                let p = bore.flat_point(loft, t).unwrap();
                (p.x, p.y)
            })
        })
        .sum::<f64>()
}

/// Over the border of crown and shoulder of the taper wrapper the hole keeps edge and area.
#[test]
fn a_bore_over_borders_keeps_its_edge_and_area() {
    let loft = class_m_wrapper();
    for (along, across, radius) in [
        (45.0, 0.0, 8.0),
        (30.0, -26.0, 5.0),
        (60.0, 24.0, 7.0),
        (20.0, 30.0, 3.5),
    ] {
        let bore = Trace::Bore {
            drill: Vector2::new(0.0, 1.0),
            along,
            across,
            radius,
        };
        let breaks = bore.breaks(&loft).unwrap();
        let (flat, formed) = (
            bore.flat_length(&loft).unwrap(),
            bore.formed_length(&loft).unwrap(),
        );
        close(flat, formed, 1e-8, "edge of the hole");
        assert!(
            flat > TAU * radius,
            "on a slope the cut is longer than the bore is round"
        );
        let area = loft.measure_trace(&bore).unwrap().neutral_area;
        close(area, flat_area(&loft, &bore), 1e-7, "area of the hole");
        assert!(
            area > PI * radius * radius,
            "anticlockwise seen from outside, and larger than the bore"
        );
        if across.abs() > 20.0 {
            assert!(breaks.len() > 2, "the bore at {across} crosses a border");
        }
        for t in [0.0, 0.2, 0.77] {
            let place = loft.formed(bore.at(&loft, t).unwrap()).point;
            let (x, y) = (place.x - along, place.y - across);
            close(
                geom::math::hypot(x, y),
                radius,
                1e-9,
                "distance from the bore's axis",
            );
        }
    }
}

/// The drill takes the surface that it meets first, the crown and not the foot below it.
#[test]
fn the_drill_meets_the_near_side() {
    let loft = tube(11.0, 60.0);
    let up = Vector2::new(0.0, 1.0);
    for (drill, want) in [(up, 11.0), (-up, -11.0)] {
        let place = loft.under_drill(drill, 0.0, 0.5).unwrap();
        near(
            loft.formed(place).point,
            geom::Point3::new(30.0, 0.0, want),
            1e-9,
            "top and bottom",
        );
    }
    let left = Vector2::new(1.0, 0.0);
    let place = loft.under_drill(left, 3.0, 0.25).unwrap();
    let point = loft.formed(place).point;
    close(point.y, (121.0f64 - 9.0).sqrt(), 1e-9, "side");
    close(
        point.z,
        -3.0,
        1e-9,
        "right of a drill that points left is down",
    );
}

#[test]
fn a_bore_that_runs_off_is_refused() {
    let loft = tube(11.0, 60.0);
    for (along, across) in [(2.0, 0.0), (58.0, 0.0), (30.0, 9.0)] {
        let bore = Trace::Bore {
            drill: Vector2::new(0.0, 1.0),
            along,
            across,
            radius: 4.0,
        };
        for failed in [
            bore.breaks(&loft).map(|_| ()),
            bore.flat_length(&loft).map(|_| ()),
        ] {
            assert!(
                matches!(failed, Err(DevelopError::OffThePlate { .. })),
                "at {along}, {across}: {failed:?}"
            );
        }
        assert!(loft.measure_trace(&bore).is_err());
    }
}

/// Through a section point: the axis passes through it, whichever way the drill points.
#[test]
fn a_bore_is_set_by_a_point_of_its_axis() {
    let loft = tube(11.0, 60.0);
    let (s, c) = geom::math::sin_cos(0.4);
    let bore = Trace::bore(Vector2::new(s, c), 20.0, Point2::new(3.0 * s, 3.0 * c), 2.0);
    let middle =
        0.5 * (bore.flat_point(&loft, 0.25).unwrap().y + bore.flat_point(&loft, 0.75).unwrap().y);
    // A radial bore at 0.4 rad right of the top; y of the flat runs with the travel, from left over top.
    close(middle, 11.0 * asin(s), 1e-9, "place round the barrel");
}

/// The metal of a tube, and of the disc cut from it, by area and bend against closed forms.
#[test]
fn volumes_of_tube_and_skin() {
    let loft = tube(11.0, 60.0);
    let mut sum = LoopMeasure::default();
    for (v, from, to) in [(1.0, 0.0, loft.w_end()), (0.0, loft.w_end(), 0.0)] {
        sum += loft.measure_trace(&Trace::Section { v, from, to }).unwrap();
    }
    sum += loft
        .measure_trace(&Trace::Ruling {
            w: 0.0,
            from: 0.0,
            to: 1.0,
        })
        .unwrap();
    close(sum.neutral_area, TAU * 11.0 * 60.0, 1e-7, "area");
    close(sum.bend, TAU * 60.0, 1e-8, "integrated curvature");
    for (low, high) in [(-0.15, 0.15), (0.0, 0.15), (-0.15, -0.05), (0.1, 2.0)] {
        let ring = PI * ((11.0f64 + high).powi(2) - (11.0f64 + low).powi(2)) * 60.0;
        close(
            sum.volume(low, high),
            ring,
            1e-6,
            "volume between two cylinders",
        );
    }
}

/// The volume of a cone's skin against shells: the neutral cone moved along its normal.
#[test]
fn volume_of_a_cones_skin() {
    let ring = |radius: f64| {
        Chain::starting(Point2::new(0.0, -radius), PI)
            .arc(radius, -TAU)
            .finish()
    };
    let loft = wrapper(&ring(9.0), &ring(12.0), 4.0);
    let mut sum = LoopMeasure::default();
    for (v, from, to) in [(1.0, 0.0, loft.w_end()), (0.0, loft.w_end(), 0.0)] {
        sum += loft.measure_trace(&Trace::Section { v, from, to }).unwrap();
    }
    // Slant 5, mean radius 10.5; a shell at height z has mean radius 10.5 + z·cos(half angle), cos = 4/5.
    close(sum.neutral_area, TAU * 10.5 * 5.0, 1e-8, "lateral area");
    let (low, high) = (-0.2, 0.5);
    let shells = TAU * 5.0 * (10.5 * (high - low) + 0.8 * (high * high - low * low) / 2.0);
    close(sum.volume(low, high), shells, 1e-8, "volume");
}

/// A cut-out drawn as an outline on the flat and measured on the formed surface.
#[test]
fn an_outline_on_the_flat_is_measured_on_the_surface() {
    let loft = class_m_wrapper();
    let middle = loft.flat(at(loft.datum(), 0.5));
    let window = Outline::rectangle(
        middle - Vector2::new(12.0, 40.0),
        middle + Vector2::new(12.0, 33.0),
    );
    let mut sum = LoopMeasure::default();
    for side in window.segments() {
        sum += loft.measure_segment(side);
    }
    close(sum.neutral_area, 24.0 * 73.0, 1e-6, "area");
}
