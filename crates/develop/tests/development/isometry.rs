//! Bending does not stretch: what is kept between the flat and the formed plate, on random wrappers.

use crate::sections::{at, close, near, pair, repeatable};
use develop::{BendRule, Loft, LoftFrame, LoopMeasure, SectionEnd, SurfacePoint, Trace};
use geom::{Chain, FlatPoint, Point2, Segment, line_integral};
use proptest::prelude::*;

/// Width of the sheet at a place per unit of w (mm): next to nothing near an apex.
fn width(loft: &Loft, w: f64, v: f64) -> f64 {
    let h = 1e-6;
    let (low, high) = ((w - h).max(0.0), (w + h).min(loft.w_end()));
    let across = loft.flat(at(high, v)) - loft.flat(at(low, v));
    loft.ruling(w).flat_direction.perp(&across).abs() / (high - low)
}

fn whole_edge(loft: &Loft, v: f64) -> Trace {
    Trace::Section {
        v,
        from: 0.0,
        to: loft.w_end(),
    }
}

/// Area under the boundary of the whole flat, from flat positions alone.
fn flat_area(loft: &Loft) -> f64 {
    let edge = |v: f64| -> f64 {
        (0..loft.patches().len())
            .map(|k| {
                let end = (k as f64 + 1.0) * (1.0 - f64::EPSILON);
                line_integral(k as f64, end, |w| {
                    let p = loft.flat(at(w, v));
                    (p.x, p.y)
                })
            })
            .sum()
    };
    let ruling = |w: f64| {
        let (p, q) = (loft.flat(at(w, 0.0)), loft.flat(at(w, 1.0)));
        (p.y + q.y) / 2.0 * (q.x - p.x)
    };
    // Anticlockwise from the origin of the first ruling; ∫ y dx is minus the area.
    -(ruling(0.0) + edge(1.0) - ruling(loft.w_end()) - edge(0.0))
}

/// Neutral area from the surface in space.
fn neutral(loft: &Loft) -> LoopMeasure {
    let mut sum = loft.measure_trace(&whole_edge(loft, 1.0)).unwrap();
    let front = Trace::Section {
        v: 0.0,
        from: loft.w_end(),
        to: 0.0,
    };
    sum += loft.measure_trace(&front).unwrap();
    sum
}

proptest! {
    #![proptest_config(repeatable(150))]

    /// The sheet has no crease: on either side of every border the outward normal is the same, and the
    /// flat and the formed surface go on where they were.
    #[test]
    fn borders_between_patches_are_smooth(pair in pair()) {
        let loft = pair.loft();
        for k in 1..loft.patches().len() {
            let (before, after) = (k as f64 * (1.0 - 1e-15), k as f64);
            let normals = (loft.formed_axes(before)[2], loft.formed_axes(after)[2]);
            prop_assert!(
                (normals.0 - normals.1).norm() < 1e-6,
                "a crease of {:.4}° at border {k}", normals.0.angle(&normals.1).to_degrees()
            );
            for v in [0.0, 0.4, 1.0] {
                near(loft.formed(at(before, v)).point, loft.formed(at(after, v)).point, 1e-8, "formed border");
                let gap = (loft.flat(at(before, v)) - loft.flat(at(after, v))).norm();
                close(gap, 0.0, 1e-8, "gap of the flat at a border");
            }
        }
    }

    /// form(develop(x)) = x: a place goes to the flat and is found there again.
    #[test]
    fn a_place_is_found_again_on_the_flat(pair in pair(), share in 0.0..1.0f64, v in 0.0..1.0f64) {
        let loft = pair.loft();
        let place = at(share * loft.w_end(), v);
        let flat = loft.flat(place);
        let found = loft.locate(flat);
        let again = loft.flat(found);
        close((again - flat).norm(), 0.0, 1e-9, "flat point");
        near(loft.formed(found).point, loft.formed(place).point, 1e-8, "formed point");
        let width = width(&loft, place.w, v);
        if width > 1e-3 {
            close(found.w, place.w, 1e-9 / width, "ruling");
            close(found.v, v, 1e-9, "fraction of the ruling");
        }
    }

    /// Edges: the flat's is as long as the formed one's, and that as long as the section drawn.
    #[test]
    fn edges_keep_their_length(pair in pair(), v in 0.0..1.0f64) {
        let loft = pair.loft();
        for v in [0.0, v, 1.0] {
            let trace = whole_edge(&loft, v);
            let (flat, formed) = (trace.flat_length(&loft).unwrap(), trace.formed_length(&loft).unwrap());
            close(flat, formed, 1e-9 * formed.max(1.0), "flat against formed");
        }
        let length = |v: f64| whole_edge(&loft, v).flat_length(&loft).unwrap();
        close(length(0.0), pair.front.length(), 2e-7, "front edge");
        close(length(1.0), pair.rear.length(), 2e-7, "rear edge");
    }

    #[test]
    fn rulings_keep_their_length(pair in pair(), share in 0.0..1.0f64) {
        let loft = pair.loft();
        let w = share * loft.w_end();
        let formed = (loft.formed(at(w, 1.0)).point - loft.formed(at(w, 0.0)).point).norm();
        let trace = Trace::Ruling { w, from: 0.25, to: 1.0 };
        close(loft.ruling(w).length, formed, 1e-10, "ruling");
        close(trace.flat_length(&loft).unwrap(), 0.75 * formed, 1e-9, "part of a ruling");
        close(trace.formed_length(&loft).unwrap(), 0.75 * formed, 1e-9, "part of a ruling in space");
    }

    #[test]
    fn area_is_kept(pair in pair()) {
        let loft = pair.loft();
        let measure = neutral(&loft);
        let flat = flat_area(&loft);
        close(measure.neutral_area, flat, 1e-8 * flat.max(1.0), "area");
        close(measure.mid_area, flat, 1e-6 * flat.max(1.0), "area on mid-sheet of very thin sheet");
    }

    /// Lengths and angles in every direction: both states have the same first fundamental form.
    #[test]
    fn the_sheet_is_not_stretched_anywhere(pair in pair(), share in 0.001..0.999f64, v in 0.01..0.99f64) {
        let loft = pair.loft();
        let w = share * loft.w_end();
        let h = 1e-4;
        prop_assume!((w - h).floor() == (w + h).floor() && w - h > 0.0);
        let step = |a: SurfacePoint, b: SurfacePoint| {
            let flat = loft.flat(b) - loft.flat(a);
            (flat, loft.formed(b).point - loft.formed(a).point)
        };
        let (flat_w, formed_w) = step(at(w - h, v), at(w + h, v));
        let (flat_v, formed_v) = step(at(w, v - h), at(w, v + h));
        // Chords are shorter than arcs by (h·turn)²/24, and a patch turns through three radians at most.
        let loose = 1e-6;
        close(flat_w.norm_squared(), formed_w.norm_squared(), loose * formed_w.norm_squared() + 1e-18, "across");
        close(flat_v.norm_squared(), formed_v.norm_squared(), loose * formed_v.norm_squared(), "along");
        let product = formed_w.norm() * formed_v.norm();
        close(flat_w.dot(&flat_v), formed_w.dot(&formed_v), loose * product + 1e-15, "angle between");
        // And the angle from ruling to section tangent, on the front edge.
        let (flat_edge, formed_edge) = step(at(w - h, 0.0), at(w + h, 0.0));
        if flat_edge.norm() > 1e-6 {
            close(flat_edge.angle(&flat_v), formed_edge.angle(&formed_v), 1e-5, "ruling to section tangent");
        }
    }

    /// The outward normal stands square to the sheet, and keeps to the left of the section's travel.
    #[test]
    fn normals_stand_square(pair in pair(), share in 0.001..0.999f64, v in 0.01..0.99f64) {
        let loft = pair.loft();
        let w = share * loft.w_end();
        let h = 1e-5;
        prop_assume!((w - h).floor() == (w + h).floor());
        let along = loft.formed(at(w, 1.0)).point - loft.formed(at(w, 0.0)).point;
        let across = loft.formed(at(w + h, v)).point - loft.formed(at(w - h, v)).point;
        let normal = loft.formed(at(w, v)).normal;
        close(normal.norm(), 1.0, 1e-12, "unit normal");
        close(normal.dot(&along) / along.norm(), 0.0, 1e-10, "normal to the ruling");
        prop_assume!(across.norm() > 1e-7);
        close(normal.dot(&across) / across.norm(), 0.0, 1e-4, "normal to the section");
        prop_assert!(along.cross(&across).dot(&normal) > 0.0, "the outside is on the left of travel");
    }

    /// A figure drawn on the flat covers the same area when formed, whatever borders it crosses.
    #[test]
    fn a_figure_on_the_flat_keeps_its_area(pair in pair(), share in 0.2..0.8f64, v in 0.3..0.7f64, radius in 0.2..6.0f64) {
        let loft = pair.loft();
        let centre = loft.flat(at(share * loft.w_end(), v));
        let circle = geom::Outline::circle(centre, radius);
        let inside = circle.flattened(0.01).iter().all(|&p| {
            let found = loft.locate(p);
            (0.0..=1.0).contains(&found.v) && (loft.flat(found) - p).norm() < 1e-6
        });
        prop_assume!(inside);
        let mut sum = LoopMeasure::default();
        for segment in circle.segments() {
            sum += loft.measure_segment(segment);
        }
        close(sum.neutral_area, circle.area(), 1e-6 * circle.area(), "area of the formed figure");
    }
}

proptest! {
    #![proptest_config(repeatable(100))]

    /// A length along a section, set off on the flat's edge, comes to that length.
    #[test]
    fn lengths_along_a_section_are_found_on_its_edge(pair in pair(), share in 0.0..1.0f64) {
        let loft = pair.loft();
        for (end, v, section) in [(SectionEnd::Front, 0.0, &pair.front), (SectionEnd::Rear, 1.0, &pair.rear)] {
            let length = share * section.length();
            let w = loft.at_section_length(end, length);
            let edge = Trace::Section { v, from: 0.0, to: w };
            close(edge.flat_length(&loft).unwrap(), length, 1e-7, "length to the place");
            let place = loft.section_point(at(w, v));
            close((place - section.point_at(length)).norm(), 0.0, 1e-7, "place on the section");
        }
    }
}

/// A cone of 3 in 4 leans its normal by the angle whose sine is 3/5 out of the section plane.
#[test]
fn the_skin_of_a_cone_is_inclined() {
    let ring = |radius: f64| {
        Chain::starting(geom::Point2::new(0.0, -radius), geom::math::PI)
            .arc(radius, -geom::math::TAU)
            .finish()
    };
    let cone = crate::sections::wrapper(&ring(9.0), &ring(12.0), 4.0);
    close(
        geom::math::sin(cone.greatest_inclination()),
        0.6,
        1e-12,
        "inclination",
    );
    let tube = crate::sections::wrapper(&ring(9.0), &ring(9.0), 4.0);
    close(
        tube.greatest_inclination(),
        0.0,
        1e-12,
        "inclination of a cylinder",
    );
    let middle = cone.formed(at(0.3, 0.25)).point;
    close(
        cone.v_at(middle),
        0.25,
        1e-12,
        "fraction by the section plane",
    );
}

/// Near-cylinders: radii that differ by a billionth develop to the rectangle, without loss of digits.
#[test]
fn a_taper_of_a_nanometre_is_a_cylinder() {
    let ring = |radius: f64| {
        Chain::starting(geom::Point2::new(0.0, -radius), geom::math::PI)
            .arc(radius, -geom::math::TAU)
            .finish()
    };
    let cylinder = crate::sections::wrapper(&ring(11.0), &ring(11.0), 60.0);
    for taper in [1e-12, 1e-9, 1e-7] {
        let cone = crate::sections::wrapper(&ring(11.0), &ring(11.0 + taper), 60.0);
        for i in 0..=8 {
            let place = at(cone.w_end() * f64::from(i) / 8.0, 0.5);
            let gap = (cone.flat(place) - cylinder.flat(place)).norm();
            close(
                gap,
                0.0,
                40.0 * taper + 1e-11,
                "distance from the cylinder's flat",
            );
        }
    }
}

/// A flat of more than half a turn, the cone whose apex angle is a right angle, still finds its places:
/// its layout angle is 254.6° (anvilfire.com, layout of cones; exact 254.558).
#[test]
fn a_flat_of_more_than_half_a_turn_finds_its_places() {
    let cone = develop::oblique_cone(
        develop::LoftFrame::upright(0.0),
        (geom::Point2::origin(), 10.0),
        (geom::Point2::origin(), 2.0),
        8.0,
        1e-9,
        develop::BendRule::Din6935,
    )
    .unwrap();
    let quarter = |sign: f64| {
        Segment::Arc(geom::Arc {
            centre: geom::Point2::origin(),
            radius: 10.0,
            start_angle: -geom::math::FRAC_PI_2,
            sweep: sign * geom::math::FRAC_PI_2,
        })
    };
    // The same cone of four quarters has borders for the search to cross.
    let ring = |scale: f64| {
        let first = quarter(-1.0);
        let parts = (0..4).map(|k| {
            let Segment::Arc(arc) = first else {
                return first;
            };
            Segment::Arc(geom::Arc {
                radius: 10.0 * scale,
                start_angle: arc.start_angle - geom::math::FRAC_PI_2 * f64::from(k),
                ..arc
            })
        });
        Chain::from_segments(parts)
    };
    let quarters = crate::sections::wrapper(&ring(1.0), &ring(0.2), 8.0);
    for loft in [&cone, &quarters] {
        for i in 0..=48 {
            for v in [0.0, 0.5, 1.0] {
                let place = at(loft.w_end() * f64::from(i) / 48.0, v);
                let flat = loft.flat(place);
                let found = loft.locate(flat);
                close(found.w, place.w, 1e-9, "ruling");
                close(found.v, v, 1e-9, "fraction");
            }
        }
    }
    let half: FlatPoint = cone.flat(at(cone.w_end(), 1.0));
    let small_end_chord = 2.0 * half.y.abs();
    let radius = 2.0 * std::f64::consts::SQRT_2;
    let sector = geom::math::TAU - 2.0 * geom::math::asin(small_end_chord / 2.0 / radius);
    close(sector.to_degrees(), 254.558, 1e-3, "layout angle");
}

/// A cone whose flat swings through most of a turn: seen from a ruling by one end, a point by the other lies on the wrong side.
#[test]
fn points_of_a_wide_cone_are_found_where_they_lie() {
    let (front, rear) = ((Point2::new(0.0, 0.0), 5.0), (Point2::new(0.0, 0.0), 20.0));
    let frame = LoftFrame::along_engine(0.0);
    let loft = develop::oblique_cone(frame, front, rear, 6.0, 0.25, BendRule::Din6935).unwrap();
    for i in 0..=200 {
        for v in [0.0, 0.3, 1.0] {
            let at = SurfacePoint {
                w: loft.w_end() * f64::from(i) / 200.0,
                v,
            };
            let found = loft.locate(loft.flat(at));
            assert!((found.w - at.w).abs() < 1e-11, "{found:?} at {at:?}");
            assert!((found.v - at.v).abs() < 1e-11, "{found:?} at {at:?}");
        }
    }
    // Beyond either seam the last ruling stands for all.
    for (w, beyond) in [(0.0, -1.0), (loft.w_end(), 1.0)] {
        let ruling = loft.ruling(w);
        let aside = geom::Vector2::new(-ruling.flat_direction.y, ruling.flat_direction.x);
        let found = loft.locate(loft.flat(SurfacePoint { w, v: 0.5 }) + aside * beyond);
        assert_eq!(found.w, w);
    }
}
