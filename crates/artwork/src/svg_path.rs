//! Paths of an SVG.

use crate::ArtworkError;
use crate::affine::Affine;
use crate::ellipse::EllipticArc;
use crate::spline::Spline;
use crate::svg_frame::start_of;
use crate::svg_read::at;
use geom::math::{PI, TAU, atan2};
use geom::{Point2, Segment, Vector2};
use roxmltree::Node;
use svgtypes::{PathParser, PathSegment};

/// A curve of an SVG in the units of its element.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Shape {
    Segment(Segment),
    Ellipse(EllipticArc),
    Spline(Spline),
}

/// Curves of a path element.
pub(crate) fn path_of(node: Node<'_, '_>) -> Result<Vec<Shape>, ArtworkError> {
    let text = node.attribute("d").unwrap_or_default();
    let mut pencil = Pencil::default();
    for step in PathParser::from(text) {
        let step = step.map_err(|error| {
            at(
                node,
                format!("the path {:?} cannot be read: {error}", start_of(text)),
            )
        })?;
        pencil.follow(step);
        if !(pencil.at.x.is_finite() && pencil.at.y.is_finite()) {
            return Err(at(node, "the path runs off to nowhere"));
        }
    }
    Ok(pencil.drawn)
}

#[derive(Default)]
struct Pencil {
    start: Point2,
    at: Point2,
    /// The last control point of a cubic or quadratic, for curves that run on smoothly.
    cubic: Option<Point2>,
    quadratic: Option<Point2>,
    drawn: Vec<Shape>,
}

impl Pencil {
    fn place(&self, abs: bool, x: f64, y: f64) -> Point2 {
        if abs {
            Point2::new(x, y)
        } else {
            self.at + Vector2::new(x, y)
        }
    }

    fn line(&mut self, to: Point2) {
        if (to - self.at).norm() > 0.0 {
            self.drawn.push(Shape::Segment(Segment::line(self.at, to)));
        }
        self.at = to;
    }

    fn bezier(&mut self, points: &[Point2]) {
        let all = [&[self.at], points].concat();
        let length: f64 = all.windows(2).map(|pair| (pair[1] - pair[0]).norm()).sum();
        if length > 0.0 {
            self.drawn.push(Shape::Spline(Spline::bezier(&all)));
        }
        self.at = all[all.len() - 1];
    }

    fn follow(&mut self, step: PathSegment) {
        let (cubic, quadratic) = (self.cubic.take(), self.quadratic.take());
        let mirrored =
            |control: Option<Point2>| control.map_or(self.at, |c| self.at + (self.at - c));
        match step {
            PathSegment::MoveTo { abs, x, y } => {
                self.at = self.place(abs, x, y);
                self.start = self.at;
            }
            PathSegment::LineTo { abs, x, y } => self.line(self.place(abs, x, y)),
            PathSegment::HorizontalLineTo { abs, x } => {
                let x = if abs { x } else { self.at.x + x };
                self.line(Point2::new(x, self.at.y));
            }
            PathSegment::VerticalLineTo { abs, y } => {
                let y = if abs { y } else { self.at.y + y };
                self.line(Point2::new(self.at.x, y));
            }
            PathSegment::CurveTo {
                abs,
                x1,
                y1,
                x2,
                y2,
                x,
                y,
            } => {
                let [a, b, c] = [(x1, y1), (x2, y2), (x, y)].map(|(x, y)| self.place(abs, x, y));
                self.bezier(&[a, b, c]);
                self.cubic = Some(b);
            }
            PathSegment::SmoothCurveTo { abs, x2, y2, x, y } => {
                let a = mirrored(cubic);
                let [b, c] = [(x2, y2), (x, y)].map(|(x, y)| self.place(abs, x, y));
                self.bezier(&[a, b, c]);
                self.cubic = Some(b);
            }
            PathSegment::Quadratic { abs, x1, y1, x, y } => {
                let [a, b] = [(x1, y1), (x, y)].map(|(x, y)| self.place(abs, x, y));
                self.bezier(&[a, b]);
                self.quadratic = Some(a);
            }
            PathSegment::SmoothQuadratic { abs, x, y } => {
                let a = mirrored(quadratic);
                self.bezier(&[a, self.place(abs, x, y)]);
                self.quadratic = Some(a);
            }
            PathSegment::EllipticalArc {
                abs,
                rx,
                ry,
                x_axis_rotation,
                large_arc,
                sweep,
                x,
                y,
            } => {
                let to = self.place(abs, x, y);
                let radii = Vector2::new(rx.abs(), ry.abs());
                match arc_between(
                    self.at,
                    to,
                    radii,
                    x_axis_rotation * PI / 180.0,
                    (large_arc, sweep),
                ) {
                    Some(arc) => {
                        self.drawn.push(Shape::Ellipse(arc));
                        self.at = to;
                    }
                    None => self.line(to),
                }
            }
            PathSegment::ClosePath { .. } => self.line(self.start),
        }
    }
}

/// The elliptic arc between two points; `None` where the rules of SVG make it a line or nothing.
///
/// # Formula
///
/// Scalable Vector Graphics 1.1 (W3C), appendix F.6.5 and F.6.6: both ends are brought to where the
/// ellipse is the unit circle; its centre lies on the chord's middle normal. Radii too small for the
/// chord are grown until they reach.
fn arc_between(
    from: Point2,
    to: Point2,
    radii: Vector2,
    rotation: f64,
    (large, positive): (bool, bool),
) -> Option<EllipticArc> {
    if !(radii.x > 0.0 && radii.y > 0.0) || (to - from).norm() <= 0.0 {
        return None;
    }
    let to_unit = Affine::scaling(1.0 / radii.x, 1.0 / radii.y).after(&Affine::turn(-rotation));
    let half = to_unit.direction(to - from) / 2.0;
    let reach = half.norm();
    let grown = reach.max(1.0);
    // Distance of the centre from the chord, on the unit circle.
    let rise = ((grown - reach) * (grown + reach)).max(0.0).sqrt();
    let side = if large == positive { -1.0 } else { 1.0 };
    let normal = Vector2::new(-half.y, half.x) / reach;
    let centre = half + normal * (rise * side);
    let (a, b) = (-centre, half * 2.0 - centre);
    let start = atan2(a.y, a.x);
    let mut sweep = atan2(b.y, b.x) - start;
    if positive && sweep <= 0.0 {
        sweep += TAU;
    } else if !positive && sweep >= 0.0 {
        sweep -= TAU;
    }
    let back = Affine::turn(rotation).after(&Affine::scaling(radii.x, radii.y));
    Some(EllipticArc {
        centre: from + back.direction(centre),
        u: back.direction(Vector2::new(grown, 0.0)),
        v: back.direction(Vector2::new(0.0, grown)),
        from: start,
        sweep,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shapes(d: &str) -> Vec<Shape> {
        let text = format!("<path d=\"{d}\"/>");
        let document = roxmltree::Document::parse(&text).unwrap();
        path_of(document.root_element()).unwrap()
    }

    /// All four arcs between two points of a circle of radius 5, 6 apart: centres at height ±4.
    #[test]
    fn the_four_arcs_of_two_points() {
        for (large, positive, centre_y, sweep_sign) in [
            (0, 0, -4.0, -1.0),
            (0, 1, 4.0, 1.0),
            (1, 0, 4.0, -1.0),
            (1, 1, -4.0, 1.0),
        ] {
            let drawn = shapes(&format!("M0 0A5 5 0 {large} {positive} 6 0"));
            let [Shape::Ellipse(arc)] = &drawn[..] else {
                panic!("an arc is an arc");
            };
            let [Segment::Arc(arc)] = arc.laid(1e-3)[..] else {
                panic!("a round arc stays one");
            };
            let small = 2.0 * geom::math::asin(0.6);
            let turn = if large == 1 { TAU - small } else { small };
            assert!(
                (arc.centre - Point2::new(3.0, centre_y)).norm() < 1e-12,
                "{arc:?}"
            );
            assert!((arc.sweep - turn * sweep_sign).abs() < 1e-12, "{arc:?}");
            let end = Segment::Arc(arc).end();
            assert!((end - Point2::new(6.0, 0.0)).norm() < 1e-12);
        }
    }

    #[test]
    fn radii_too_small_are_grown_and_turned_ellipses_meet_their_ends() {
        let [Shape::Ellipse(arc)] = &shapes("M0 0A1 1 0 0 1 6 0")[..] else {
            panic!("an arc");
        };
        assert!((arc.u.norm() - 3.0).abs() < 1e-12);
        let [Shape::Ellipse(arc)] = &shapes("m1 2a5 2 30 0 1 4 1")[..] else {
            panic!("an arc");
        };
        let laid = arc.laid(1e-4);
        assert!((laid[0].start() - Point2::new(1.0, 2.0)).norm() < 1e-9);
        assert!((laid[laid.len() - 1].end() - Point2::new(5.0, 3.0)).norm() < 1e-9);
    }

    #[test]
    fn every_command_runs_on_from_the_last() {
        let drawn = shapes("M1 1h3v4l-1 1H0V1zm10 0c1 0 2 1 2 2s-1 2-2 2q-1 0-1-1t-1-1T9 1Z");
        let mut ends = Vec::new();
        for shape in &drawn {
            let laid = match shape {
                Shape::Segment(segment) => vec![*segment],
                Shape::Ellipse(arc) => arc.laid(1e-3),
                Shape::Spline(spline) => spline.laid(1e-3),
            };
            ends.push((laid[0].start(), laid[laid.len() - 1].end()));
        }
        assert_eq!(drawn.len(), 6 + 6);
        for (k, pair) in ends.windows(2).enumerate() {
            let gap = (pair[1].0 - pair[0].1).norm();
            assert!(gap < 1e-9 || k == 5, "{k}: {gap}");
        }
        assert!((ends[5].1 - ends[0].0).norm() < 1e-9);
        assert!((ends[11].1 - ends[6].0).norm() < 1e-9);
    }
}
