//! The etch allowance taken off a drawing, true arcs kept.

use crate::join::{DrawnDetail, DrawnShape};
use cavalier_contours::polyline::{PlineSource as _, PlineSourceMut as _, Polyline};
use geom::tolerance::COINCIDENT_MM;
use geom::{BulgeVertex, Outline, Point2, Segment, intersections};

/// Outlines of less area than this are slivers of rounding (mm²).
const LEAST_AREA: f64 = 1e-6;

/// A shape with its edges where the metal will end.
#[derive(Clone, Debug, PartialEq)]
pub struct Etched {
    /// The shape.
    pub shape: DrawnShape,
    /// Where an outline fell apart or vanished, so that the etch does not leave what was drawn.
    pub lost: Vec<Point2>,
}

/// A drawn shape after an etch that takes `growth` (mm) off every edge of metal.
///
/// The plate's outline shrinks, openings and half-etched places grow; a rivet is half-etched too.
/// Corners stay sharp: the round of radius `growth` that the etch leaves in an inside corner is left out.
pub fn etched(shape: &DrawnShape, growth: f64) -> Etched {
    let mut lost = Vec::new();
    let mut moved = |outline: &Outline, by: f64| {
        let found = offset(outline, by);
        if found.len() != 1 {
            lost.push(outline.segments()[0].start());
        }
        let largest = found
            .into_iter()
            .max_by(|a, b| a.area().total_cmp(&b.area()));
        largest.unwrap_or_else(|| outline.clone())
    };
    let outline = moved(&shape.outline, -growth);
    let holes = shape.holes.iter().map(|hole| moved(hole, growth)).collect();
    let details = shape
        .details
        .iter()
        .map(|detail| DrawnDetail {
            outline: moved(&detail.outline, growth),
            ..detail.clone()
        })
        .collect();
    Etched {
        shape: DrawnShape {
            outline,
            holes,
            details,
            layer: shape.layer.clone(),
            labels_inside: shape.labels_inside.clone(),
        },
        lost,
    }
}

/// Outlines at a distance (mm) outwards of an anticlockwise one, inwards if negative.
fn offset(outline: &Outline, by: f64) -> Vec<Outline> {
    if by == 0.0 {
        return vec![outline.clone()];
    }
    let mut line = Polyline::new_closed();
    for vertex in outline.vertices() {
        line.add(vertex.point.x, vertex.point.y, vertex.bulge);
    }
    // The library's distance is to the left of travel: inwards.
    line.parallel_offset(-by)
        .iter()
        .map(|found| {
            let vertices: Vec<BulgeVertex> = found
                .vertex_data
                .iter()
                .map(|v| BulgeVertex {
                    point: Point2::new(v.x, v.y),
                    bulge: v.bulge,
                })
                .collect();
            sharpened(&Outline::from_vertices(&vertices), by)
        })
        .map(|found| {
            if found.area() < 0.0 {
                found.reversed()
            } else {
                found
            }
        })
        .filter(|found| found.area() > LEAST_AREA)
        .collect()
}

/// Corners of two lines made sharp again where the offset put a round of its own radius.
fn sharpened(outline: &Outline, by: f64) -> Outline {
    let segments = outline.segments();
    let n = segments.len();
    let is_round = |s: &Segment| match s {
        Segment::Arc(arc) => (arc.radius - by.abs()).abs() < 1e-6 && arc.sweep * by > 0.0,
        Segment::Line { .. } => false,
    };
    let corner = |i: usize| {
        let (before, after) = (segments[(i + n - 1) % n], segments[(i + 1) % n]);
        if n < 4 || !is_round(&segments[i]) {
            return None;
        }
        let (Segment::Line { start: a, end: b }, Segment::Line { start: c, end: d }) =
            (before, after)
        else {
            return None;
        };
        // Both drawn on by far more than a round can need.
        let reach = 20.0 * by.abs();
        let on = Segment::line(a, b + (b - a).normalize() * reach);
        let back = Segment::line(c - (d - c).normalize() * reach, d);
        intersections(&on, &back).first().copied()
    };
    let corners: Vec<Option<Point2>> = (0..n).map(corner).collect();
    let mut vertices = Vec::with_capacity(n);
    for i in 0..n {
        match corners[i] {
            Some(point) => vertices.push(BulgeVertex { point, bulge: 0.0 }),
            // The piece after a sharp corner begins at the corner.
            None if corners[(i + n - 1) % n].is_some() => {}
            None => vertices.push(BulgeVertex {
                point: segments[i].start(),
                bulge: bulge_of(&segments[i]),
            }),
        }
    }
    Outline::from_vertices(&vertices)
}

fn bulge_of(segment: &Segment) -> f64 {
    if segment.length() > COINCIDENT_MM {
        segment.bulge()
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::math::PI;

    fn p(x: f64, y: f64) -> Point2 {
        Point2::new(x, y)
    }

    #[test]
    fn out_and_in_again_is_the_same_outline() {
        let notched = Outline::polygon(&[
            p(0.0, 0.0),
            p(10.0, 0.0),
            p(10.0, 3.0),
            p(6.0, 3.0),
            p(6.0, 5.0),
            p(0.0, 5.0),
        ]);
        for by in [0.08, -0.08] {
            let there = &offset(&notched, by)[0];
            let back = &offset(there, -by)[0];
            assert!(
                (back.area() - notched.area()).abs() < 1e-6,
                "{by}: {}",
                back.area()
            );
            for corner in notched.segments() {
                let off = back.nearest(corner.start()).1;
                assert!(off < 1e-6, "{by}: {off}");
            }
        }
        let circle = Outline::circle(p(3.0, 3.0), 2.0);
        let grown = &offset(&circle, 0.1)[0];
        assert!((grown.area() - PI * 2.1 * 2.1).abs() < 1e-9);
        assert!(
            grown.segments().iter().all(|s| s.turn() != 0.0),
            "arcs stay arcs"
        );
    }

    #[test]
    fn what_the_etch_does_not_leave_is_said() {
        // Two leaves with a neck of 0.1 mm between them.
        let leaves = Outline::polygon(&[
            p(0.0, 0.0),
            p(4.0, 0.0),
            p(4.0, 2.0),
            p(6.0, 2.0),
            p(6.0, 0.0),
            p(10.0, 0.0),
            p(10.0, 4.0),
            p(6.0, 4.0),
            p(6.0, 2.1),
            p(4.0, 2.1),
            p(4.0, 4.0),
            p(0.0, 4.0),
        ]);
        let shape = DrawnShape {
            outline: leaves,
            holes: vec![Outline::circle(p(2.0, 2.0), 0.5)],
            details: Vec::new(),
            layer: "0".to_owned(),
            labels_inside: Vec::new(),
        };
        let narrow = etched(&shape, 0.06);
        assert_eq!(narrow.lost.len(), 1);
        assert!((narrow.shape.holes[0].area() - PI * 0.56 * 0.56).abs() < 1e-9);
        assert!(etched(&shape, 0.04).lost.is_empty());
    }
}
