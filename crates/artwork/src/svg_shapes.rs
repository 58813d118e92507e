//! Basic shapes and places of texts of an SVG.

use crate::ArtworkError;
use crate::ellipse::EllipticArc;
use crate::svg_frame::{length, number, start_of};
use crate::svg_path::Shape;
use crate::svg_read::at;
use geom::math::{FRAC_PI_2, PI, TAU};
use geom::{Point2, Segment, Vector2};
use roxmltree::Node;
use svgtypes::PointsParser;

/// Curves of a basic shape; one without size draws nothing.
pub(crate) fn shape_of(node: Node<'_, '_>) -> Result<Vec<Shape>, ArtworkError> {
    match node.tag_name().name() {
        "rect" => rectangle(node),
        "circle" => {
            let r = number(node, "r")?;
            Ok(ellipse(node, r, r)?.into_iter().collect())
        }
        "ellipse" => {
            let (rx, ry) = (length(node, "rx")?, length(node, "ry")?);
            let (rx, ry) = (rx.or(ry).unwrap_or(0.0), ry.or(rx).unwrap_or(0.0));
            Ok(ellipse(node, rx, ry)?.into_iter().collect())
        }
        "line" => {
            let a = Point2::new(number(node, "x1")?, number(node, "y1")?);
            let b = Point2::new(number(node, "x2")?, number(node, "y2")?);
            Ok(run(&[a, b], false))
        }
        kind => Ok(run(&points(node)?, kind == "polygon")),
    }
}

fn ellipse(node: Node<'_, '_>, rx: f64, ry: f64) -> Result<Option<Shape>, ArtworkError> {
    let centre = Point2::new(number(node, "cx")?, number(node, "cy")?);
    Ok((rx > 0.0 && ry > 0.0).then(|| {
        Shape::Ellipse(EllipticArc {
            centre,
            u: Vector2::new(rx, 0.0),
            v: Vector2::new(0.0, ry),
            from: 0.0,
            sweep: TAU,
        })
    }))
}

fn rectangle(node: Node<'_, '_>) -> Result<Vec<Shape>, ArtworkError> {
    let low = Point2::new(number(node, "x")?, number(node, "y")?);
    let (w, h) = (number(node, "width")?, number(node, "height")?);
    if !(w > 0.0 && h > 0.0) {
        return Ok(Vec::new());
    }
    let (rx, ry) = (length(node, "rx")?, length(node, "ry")?);
    let rx = rx.or(ry).unwrap_or(0.0).clamp(0.0, w / 2.0);
    let ry = ry
        .or(length(node, "rx")?)
        .unwrap_or(0.0)
        .clamp(0.0, h / 2.0);
    let at = |x: f64, y: f64| low + Vector2::new(x, y);
    if rx <= 0.0 || ry <= 0.0 {
        return Ok(run(&[at(0.0, 0.0), at(w, 0.0), at(w, h), at(0.0, h)], true));
    }
    let sides = [
        (at(rx, 0.0), at(w - rx, 0.0)),
        (at(w, ry), at(w, h - ry)),
        (at(w - rx, h), at(rx, h)),
        (at(0.0, h - ry), at(0.0, ry)),
    ];
    let corners = [
        (at(w - rx, ry), -FRAC_PI_2),
        (at(w - rx, h - ry), 0.0),
        (at(rx, h - ry), FRAC_PI_2),
        (at(rx, ry), PI),
    ];
    let mut drawn = Vec::new();
    for ((a, b), (centre, from)) in sides.into_iter().zip(corners) {
        drawn.extend(run(&[a, b], false));
        drawn.push(Shape::Ellipse(EllipticArc {
            centre,
            u: Vector2::new(rx, 0.0),
            v: Vector2::new(0.0, ry),
            from,
            sweep: FRAC_PI_2,
        }));
    }
    Ok(drawn)
}

fn points(node: Node<'_, '_>) -> Result<Vec<Point2>, ArtworkError> {
    let text = node.attribute("points").unwrap_or_default();
    let mut parser = PointsParser::from(text);
    let all: Vec<Point2> = parser.by_ref().map(|(x, y)| Point2::new(x, y)).collect();
    // The parser ends without a word at what it cannot read.
    let numbers = text
        .split([' ', ',', '\t', '\n', '\r'])
        .filter(|word| !word.is_empty());
    if numbers
        .clone()
        .any(|word| word.chars().any(|c| !"0123456789.eE+-".contains(c)))
        || all.iter().any(|p| !(p.x.is_finite() && p.y.is_finite()))
    {
        return Err(at(
            node,
            format!("points = {:?} are no points", start_of(text)),
        ));
    }
    Ok(all)
}

fn run(points: &[Point2], closed: bool) -> Vec<Shape> {
    let n = points.len();
    let sides = if closed { n } else { n.saturating_sub(1) };
    (0..sides)
        .map(|i| (points[i], points[(i + 1) % n]))
        .filter(|(a, b)| (b - a).norm() > 0.0)
        .map(|(a, b)| Shape::Segment(Segment::line(a, b)))
        .collect()
}

/// Where a text begins: its own place, or that of the first of its parts that has one.
pub(crate) fn place_of_text(node: Node<'_, '_>) -> Result<Point2, ArtworkError> {
    let first = |node: Node<'_, '_>, name: &str| {
        // A list of places goes letter by letter; the first is that of the text.
        let text = node.attribute(name)?;
        let word = text.split([' ', ',']).find(|word| !word.is_empty())?;
        word.trim_end_matches("px")
            .parse::<f64>()
            .ok()
            .filter(|v| v.is_finite())
    };
    let own = |name| {
        node.descendants()
            .filter(Node::is_element)
            .find_map(|part| first(part, name))
            .unwrap_or(0.0)
    };
    Ok(Point2::new(own("x"), own("y")))
}
