//! Closed outlines: area, containment, bounds.

use crate::strategies::{close, repeatable, same_point};
use geom::math::{PI, TAU, sin_cos};
use geom::{BulgeVertex, Chain, GeomError, Outline, Point2, Segment, Vector2};
use proptest::prelude::*;

/// An anticlockwise star about a centre; bulges mild enough that no side crosses another.
fn star() -> impl Strategy<Value = (Point2, Vec<BulgeVertex>)> {
    let centre = (-50.0..50.0f64, -50.0..50.0f64).prop_map(|(x, y)| Point2::new(x, y));
    let bulge = prop_oneof![2 => Just(0.0), 2 => -0.2..0.2f64, 1 => -1e-7..1e-7f64];
    let corners = prop::collection::vec(
        (prop_oneof![3 => 8.0..12.0f64, 1 => Just(10.0)], bulge),
        5..12,
    );
    (centre, corners, 0.0..1.0f64).prop_map(|(centre, corners, start)| {
        let n = corners.len() as f64;
        let vertices = corners
            .iter()
            .enumerate()
            .map(|(i, &(radius, bulge))| {
                let (s, c) = sin_cos(TAU * (i as f64 + start) / n);
                BulgeVertex {
                    point: centre + Vector2::new(c, s) * radius,
                    bulge,
                }
            })
            .collect();
        (centre, vertices)
    })
}

/// What rounding may do to an area (mm²): a far centre of a nearly straight side costs digits of its ends.
fn rounding(outline: &Outline) -> f64 {
    let far = outline.segments().iter().map(|s| match s {
        Segment::Line { .. } => 0.0,
        Segment::Arc(arc) => arc.radius,
    });
    1e-9 + 1e-15 * far.fold(0.0, f64::max) * outline.perimeter()
}

/// Area of a polygon by the shoelace formula.
fn shoelace(points: &[Point2]) -> f64 {
    (0..points.len())
        .map(|i| {
            points[i]
                .coords
                .perp(&points[(i + 1) % points.len()].coords)
                / 2.0
        })
        .sum()
}

/// Winding of a polygon about a point by summed angles: a second method for containment.
fn winding(points: &[Point2], about: Point2) -> f64 {
    (0..points.len())
        .map(|i| {
            let (a, b) = (points[i] - about, points[(i + 1) % points.len()] - about);
            geom::math::atan2(a.perp(&b), a.dot(&b))
        })
        .sum::<f64>()
        / TAU
}

fn rotated(vertices: &[BulgeVertex], angle: f64) -> Vec<BulgeVertex> {
    let (s, c) = sin_cos(angle);
    vertices
        .iter()
        .map(|v| BulgeVertex {
            point: Point2::new(c * v.point.x - s * v.point.y, s * v.point.x + c * v.point.y),
            bulge: v.bulge,
        })
        .collect()
}

proptest! {
    #![proptest_config(repeatable(300))]

    #[test]
    fn area_does_not_depend_on_how_the_outline_is_written((_, vertices) in star(), first in 0..5usize, angle in -PI..PI) {
        let outline = Outline::from_vertices(&vertices);
        let area = outline.area();
        let mut other_start = vertices.clone();
        other_start.rotate_left(first);
        let loose = rounding(&outline);
        let close = |got: f64, want: f64, what: &str| close(got, want, loose, what);
        close(Outline::from_vertices(&other_start).area(), area, "other start vertex");
        close(outline.reversed().area(), -area, "reversed");
        close(Outline::from_vertices(&rotated(&vertices, angle)).area(), area, "rotated");
        close(outline.mirrored_in_x_axis().area(), area, "mirrored in x");
        close(outline.mirrored_in_y_axis().area(), area, "mirrored in y");
        close(outline.translated(Vector2::new(40.0, -70.0)).area(), area, "moved");
        close(Outline::from_vertices(&outline.vertices()).area(), area, "read back from its vertices");
        close(outline.mirrored_in_x_axis().perimeter(), outline.perimeter(), "perimeter mirrored");
    }

    #[test]
    fn area_and_length_scale((_, vertices) in star(), power in -4..5i32) {
        let scale = 10f64.powi(power);
        let outline = Outline::from_vertices(&vertices);
        let scaled: Vec<_> = vertices.iter()
            .map(|v| BulgeVertex { point: v.point * scale, bulge: v.bulge })
            .collect();
        let scaled = Outline::from_vertices(&scaled);
        close(scaled.area() / (scale * scale), outline.area(), 10.0 * rounding(&outline), "area");
        close(scaled.perimeter() / scale, outline.perimeter(), 10.0 * rounding(&outline), "perimeter");
    }

    /// The polygon of chords closes on the outline by the square of the chord: error down to e, area error below e·length.
    #[test]
    fn area_is_that_of_the_chords((_, vertices) in star()) {
        let outline = Outline::from_vertices(&vertices);
        let polygon = outline.flattened(1e-5);
        close(shoelace(&polygon), outline.area(), 1e-5 * outline.perimeter(), "area of the chords");
    }

    /// Inside is where the chords wind once about the point; points nearer than the chords' error are not asked.
    #[test]
    fn inside_is_where_it_winds((centre, vertices) in star(), x in -14.0..14.0f64, y in -14.0..14.0f64) {
        let outline = Outline::from_vertices(&vertices);
        let polygon = outline.flattened(1e-4);
        let at = centre + Vector2::new(x, y);
        // Level with a vertex is where a ray is most easily miscounted.
        let level = Point2::new(at.x, vertices[1].point.y);
        for point in [at, level, centre] {
            if outline.nearest(point).1 < 1e-3 {
                continue;
            }
            let inside = winding(&polygon, point).abs() > 0.5;
            prop_assert_eq!(outline.contains(point), inside, "{:?}", point);
            prop_assert_eq!(outline.reversed().contains(point), inside, "{:?} reversed", point);
        }
    }

    #[test]
    fn bounds_are_those_of_the_chords((_, vertices) in star()) {
        let outline = Outline::from_vertices(&vertices);
        let (low, high) = outline.bounds();
        let points = outline.flattened(1e-6);
        let least = |of: fn(&Point2) -> f64| points.iter().map(of).fold(f64::INFINITY, f64::min);
        for (bound, chords) in [
            (low.x, least(|p| p.x)),
            (low.y, least(|p| p.y)),
            (-high.x, least(|p| -p.x)),
            (-high.y, least(|p| -p.y)),
        ] {
            prop_assert!(bound <= chords + 1e-12 && bound >= chords - 2e-6, "{bound} against {chords}");
        }
    }
}

/// A chord closed by an arc of the given sweep about the origin with radius 10, the arc's middle at `middle` (rad).
fn lens(sweep: f64, middle: f64) -> Outline {
    let arc = Segment::Arc(geom::Arc {
        centre: Point2::origin(),
        radius: 10.0,
        start_angle: middle - sweep / 2.0,
        sweep,
    });
    let chain = Chain::from_segments([arc, Segment::line(arc.end(), arc.start())]);
    Outline::from_chain(&chain).expect("the chord closes the arc")
}

#[test]
fn points_between_chord_and_arc_are_inside() {
    // Minor, half and major arcs, both senses, in every quarter.
    for sweep in [0.4f64, 1.5, PI, 4.0, 6.0] {
        for k in 0..8 {
            let middle = f64::from(k) * PI / 4.0;
            let (s, c) = sin_cos(middle);
            let chord = 10.0 * geom::math::cos(sweep / 2.0);
            for sense in [1.0, -1.0] {
                let outline = lens(sense * sweep, middle);
                for (height, inside) in [
                    (9.999, true),
                    (10.001, false),
                    (chord + 0.001, true),
                    (chord - 0.001, false),
                    ((chord + 10.0) / 2.0, true),
                    (-10.001, false),
                    (-9.999, chord < -9.999),
                ] {
                    let point = Point2::new(c * height, s * height);
                    assert_eq!(
                        outline.contains(point),
                        inside,
                        "sweep {}, middle {middle}, {height} from the centre (chord at {chord})",
                        sense * sweep
                    );
                }
            }
        }
    }
}

#[test]
fn a_circle_holds_its_centre_and_nothing_outside() {
    for (x, y) in [(0.0, 0.0), (0.1, 0.2), (-33.3, 7.7), (1e3, -1e3)] {
        let centre = Point2::new(x, y);
        let whole =
            Outline::from_chain(&Chain::from_segments([Segment::circle(centre, 4.0)])).unwrap();
        for circle in [
            Outline::circle(centre, 4.0),
            Outline::circle(centre, 4.0).reversed(),
            whole,
        ] {
            assert!(circle.contains(centre));
            for k in 0..48 {
                let (s, c) = sin_cos(f64::from(k) * TAU / 48.0);
                let out = Vector2::new(c, s);
                assert!(circle.contains(centre + out * 3.999), "inside at {k}/48");
                assert!(!circle.contains(centre + out * 4.001), "outside at {k}/48");
            }
            close(circle.area().abs(), 16.0 * PI, 1e-9, "area");
            close(circle.perimeter(), 8.0 * PI, 1e-12, "perimeter");
        }
    }
}

/// The ray from a point level with a joint must count the joint once, whatever the rounding of the two ends.
#[test]
fn a_joint_that_rounds_apart_is_crossed_once() {
    let rounded = 1e-13;
    let outline = Outline::from_chain(&Chain::from_segments([
        Segment::line(Point2::new(0.0, -5.0), Point2::new(5.0, -rounded)),
        Segment::line(Point2::new(5.0, rounded), Point2::new(0.0, 5.0)),
        Segment::line(Point2::new(0.0, 5.0), Point2::new(-5.0, 0.0)),
        Segment::line(Point2::new(-5.0, 0.0), Point2::new(0.0, -5.0)),
    ]))
    .unwrap();
    assert!(outline.contains(Point2::origin()));
    assert!(outline.contains(Point2::new(-4.9, 0.0)));
    assert!(!outline.contains(Point2::new(5.1, 0.0)));
    assert!(!outline.contains(Point2::new(-5.1, 0.0)));
}

#[test]
fn an_open_or_empty_outline_is_refused() {
    let open = Chain::starting(Point2::origin(), 0.0).line(3.0).finish();
    let Err(GeomError::Open { gap_mm, at }) = Outline::from_chain(&open) else {
        panic!("a line alone must be refused");
    };
    close(gap_mm, 3.0, 1e-12, "gap");
    same_point(at, Point2::new(3.0, 0.0), 1e-12, "where");
    assert_eq!(
        Outline::from_chain(&Chain::default()),
        Err(GeomError::Empty)
    );
}
