//! Drawings of flats as SVG at true size.

use crate::number::{LENGTH_DECIMALS, short};
use artwork::{FlatDrawing, FlatHole};
use geom::{FlatPoint, Outline, Segment};
use std::fmt::Write as _;

/// Room round the plate (mm).
const MARGIN: f64 = 2.0;

/// Width of lines (mm): the thinnest that a printer shows cleanly; chosen, not sourced.
const LINE_WIDTH: f64 = 0.1;

/// The flat of one plate as an SVG of its true size.
///
/// One user unit is one millimetre. y runs down in an SVG, so every y is the flat's with its sign
/// changed. Ids begin with the plate's id, so that several drawings can stand in one page.
pub fn svg_of(drawing: &FlatDrawing) -> String {
    let (low, high) = extent(drawing);
    let (width, height) = (high.x - low.x, high.y - low.y);
    let id = escaped(&drawing.plate);
    let mut out = String::new();
    // Writing to a String cannot fail.
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" \
         viewBox=\"{x} {y} {w} {h}\" role=\"img\" aria-labelledby=\"{id}-title {id}-desc\" \
         class=\"flat\" id=\"{id}\" data-plate=\"{id}\">",
        w = mm(width),
        h = mm(height),
        x = mm(low.x),
        y = mm(-high.y),
    );
    let _ = writeln!(
        out,
        "<title id=\"{id}-title\">{}</title>",
        escaped(&drawing.title)
    );
    let _ = writeln!(
        out,
        "<desc id=\"{id}-desc\">{}</desc>",
        escaped(&description(drawing))
    );
    let _ = writeln!(
        out,
        "<g fill=\"none\" stroke=\"#202020\" stroke-width=\"{LINE_WIDTH}\" stroke-linejoin=\"round\">"
    );
    regions(&mut out, drawing, &id);
    let _ = writeln!(
        out,
        "<path class=\"outline\" id=\"{id}-outline\" d=\"{}\"/>",
        path(&drawing.outline)
    );
    openings(&mut out, drawing, &id);
    rivets(&mut out, drawing);
    marks(&mut out, drawing);
    out.push_str("</g>\n</svg>\n");
    out
}

fn extent(drawing: &FlatDrawing) -> (FlatPoint, FlatPoint) {
    let (mut low, mut high) = drawing.bounds;
    for mark in &drawing.marks {
        for p in [mark.from, mark.to] {
            low = FlatPoint::new(low.x.min(p.x), low.y.min(p.y));
            high = FlatPoint::new(high.x.max(p.x), high.y.max(p.y));
        }
    }
    (
        FlatPoint::new(low.x - MARGIN, low.y - MARGIN),
        FlatPoint::new(high.x + MARGIN, high.y + MARGIN),
    )
}

fn description(drawing: &FlatDrawing) -> String {
    let (low, high) = drawing.bounds;
    format!(
        "Flat of {}, seen from its outside face: {} mm by {} mm, {} {} mm thick, openings: {}, rivets: {}.",
        drawing.plate,
        short(high.x - low.x, 2),
        short(high.y - low.y, 2),
        drawing.metal,
        short(drawing.thickness, 3),
        drawing.holes.len(),
        drawing.rivets.len()
    )
}

fn regions(out: &mut String, drawing: &FlatDrawing, id: &str) {
    for region in &drawing.regions {
        let name = escaped(&region.name);
        let _ = writeln!(
            out,
            "<path class=\"region {} {}\" id=\"{id}-region-{name}\" data-region=\"{name}\" \
             stroke=\"{}\" d=\"{}\"/>",
            region.purpose.word(),
            region.face.word(),
            match region.face {
                body::Face::Outside => "#1f4fa0",
                body::Face::Inside => "#1f8a70",
            },
            path(&region.outline)
        );
    }
}

fn openings(out: &mut String, drawing: &FlatDrawing, id: &str) {
    for hole in &drawing.holes {
        let feature = escaped(&hole.feature);
        let attributes = format!(
            "class=\"opening\" id=\"{id}-opening-{feature}\" data-feature=\"{feature}\" stroke=\"#b02a1e\""
        );
        let _ = match hole.round {
            Some(radius) => writeln!(out, "<circle {attributes} {}/>", circle(hole, radius)),
            None => writeln!(out, "<path {attributes} d=\"{}\"/>", path(&hole.outline)),
        };
    }
}

fn circle(hole: &FlatHole, radius: f64) -> String {
    format!(
        "cx=\"{}\" cy=\"{}\" r=\"{}\"",
        mm(hole.centre.x),
        mm(-hole.centre.y),
        mm(radius)
    )
}

fn rivets(out: &mut String, drawing: &FlatDrawing) {
    for rivet in &drawing.rivets {
        let _ = writeln!(
            out,
            "<circle class=\"rivet\" data-made=\"{}\" data-row=\"{}\" stroke=\"#7a3d8f\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
            rivet.made(),
            escaped(&rivet.row),
            mm(rivet.centre.x),
            mm(-rivet.centre.y),
            mm(rivet.drawn_diameter() / 2.0)
        );
    }
}

fn marks(out: &mut String, drawing: &FlatDrawing) {
    for mark in &drawing.marks {
        let _ = writeln!(
            out,
            "<line class=\"mark\" data-mark=\"{}\" stroke=\"#808080\" stroke-dasharray=\"3.5 1 0.5 1\" \
             x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"/>",
            escaped(&mark.name),
            mm(mark.from.x),
            mm(-mark.from.y),
            mm(mark.to.x),
            mm(-mark.to.y)
        );
    }
}

/// A closed path of lines and true arcs.
pub(crate) fn path(outline: &Outline) -> String {
    let vertices = outline.vertices();
    let n = vertices.len();
    let mut d = String::new();
    for (i, vertex) in vertices.iter().enumerate() {
        if i == 0 {
            let _ = write!(d, "M{} {}", mm(vertex.point.x), mm(-vertex.point.y));
        }
        let end = vertices[(i + 1) % n].point;
        let (x, y) = (mm(end.x), mm(-end.y));
        match Segment::from_bulge(vertex.point, end, vertex.bulge) {
            Segment::Line { .. } if i + 1 == n => {}
            Segment::Line { .. } => {
                let _ = write!(d, "L{x} {y}");
            }
            Segment::Arc(arc) => {
                let r = mm(arc.radius);
                let great = i32::from(arc.sweep.abs() > geom::math::PI);
                // Anticlockwise on the flat runs against an SVG's sense of positive angles.
                let positive = i32::from(arc.sweep < 0.0);
                let _ = write!(d, "A{r} {r} 0 {great} {positive} {x} {y}");
            }
        }
    }
    d.push('Z');
    d
}

pub(crate) fn mm(value: f64) -> String {
    short(value, LENGTH_DECIMALS)
}

/// Text with the characters that XML keeps for itself written as entities.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // XML 1.0 has no way to write other control characters.
            c if c < ' ' => out.push(' '),
            c => out.push(c),
        }
    }
    out
}
