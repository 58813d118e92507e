//! Sheets of a fret as SVG at true size, a group for each layer.

use crate::dxf::region_layer;
use crate::dxf_tables::{
    HALF_ETCH_INSIDE, HALF_ETCH_OUTSIDE, LABELS, OPENINGS, OUTLINE, RAISED_INSIDE, RAISED_OUTSIDE,
    RIVETS,
};
use crate::fret_dxf::sheet_layers;
use crate::label::plate_label;
use crate::svg::{escaped, mm, path};
use artwork::{FlatDrawing, FretSheet};
use std::fmt::Write as _;

/// Width of lines (mm): the thinnest that a printer shows cleanly; chosen, not sourced.
const LINE_WIDTH: f64 = 0.1;

/// Room round the sheet (mm).
const MARGIN: f64 = 2.0;

/// A sheet with its plates whole, seen from the front: one user unit is one millimetre.
///
/// A group for each layer of the DXF, with the layer's name as its id.
pub fn fret_svg(sheet: &FretSheet) -> String {
    let mut out = String::new();
    let (w, h) = (sheet.width + 2.0 * MARGIN, sheet.height + 2.0 * MARGIN);
    // Writing to a String cannot fail.
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" \
         viewBox=\"{x} {y} {w} {h}\" role=\"img\" class=\"fret\">",
        w = mm(w),
        h = mm(h),
        x = mm(-MARGIN),
        y = mm(-sheet.height - MARGIN),
    );
    let _ = writeln!(
        out,
        "<title>Sheet {}: {} {} mm</title>",
        sheet.number,
        escaped(&sheet.metal),
        sheet.thickness
    );
    let _ = writeln!(
        out,
        "<g fill=\"none\" stroke=\"#202020\" stroke-width=\"{LINE_WIDTH}\" stroke-linejoin=\"round\">"
    );
    for own in sheet_layers(sheet) {
        let _ = writeln!(out, "<g id=\"{}\"{}>", own.name, look(own.name));
        for outline in &own.outlines {
            let _ = writeln!(out, "<path d=\"{}\"/>", path(outline));
        }
        for (centre, radius) in &own.circles {
            circle(&mut out, "", (centre.x, centre.y, *radius));
        }
        out.push_str("</g>\n");
    }
    let drawings: Vec<FlatDrawing> = sheet
        .plates
        .iter()
        .map(|own| sheet.film_drawing(own))
        .collect();
    plates(&mut out, &drawings);
    out.push_str("</g>\n</svg>\n");
    out
}

/// Attributes of a layer's group.
fn look(layer: &str) -> &'static str {
    match layer {
        "SHEET" => " stroke=\"#909090\"",
        "TAGS" => " fill=\"#d9a441\" stroke=\"none\"",
        "NUMBERS" | "SCALE-BAR" => " fill=\"#1f4fa0\" stroke=\"none\"",
        OPENINGS | "TOOLING-HOLES" | "TEST-STRIP" => " stroke=\"#b02a1e\"",
        "TEMPLATES" => " stroke=\"#7a5a2b\"",
        OUTLINE => " fill=\"#f4ead2\" fill-opacity=\"0.6\"",
        HALF_ETCH_OUTSIDE | RAISED_OUTSIDE => " stroke=\"#1f4fa0\"",
        HALF_ETCH_INSIDE | RAISED_INSIDE => " stroke=\"#1f8a70\"",
        RIVETS => " stroke=\"#7a3d8f\"",
        _ => " fill=\"#202020\" stroke=\"none\"",
    }
}

fn circle(out: &mut String, attributes: &str, (x, y, r): (f64, f64, f64)) {
    let _ = writeln!(
        out,
        "<circle {attributes}cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
        mm(x),
        mm(-y),
        mm(r)
    );
}

fn plates(out: &mut String, drawings: &[FlatDrawing]) {
    let mut group = |name: &str, write: &dyn Fn(&mut String, &FlatDrawing, &str)| {
        let _ = writeln!(out, "<g id=\"{name}\"{}>", look(name));
        for drawing in drawings {
            write(out, drawing, &escaped(&drawing.plate));
        }
        out.push_str("</g>\n");
    };
    group(OUTLINE, &|out, drawing, id| {
        let d = path(&drawing.outline);
        let _ = writeln!(
            out,
            "<path class=\"outline\" data-plate=\"{id}\" d=\"{d}\"/>"
        );
    });
    for layer in [
        HALF_ETCH_OUTSIDE,
        HALF_ETCH_INSIDE,
        RAISED_OUTSIDE,
        RAISED_INSIDE,
    ] {
        group(layer, &|out, drawing, id| {
            let own = drawing
                .regions
                .iter()
                .filter(|own| region_layer(own, drawing.plain) == layer);
            for region in own {
                let (name, d) = (escaped(&region.name), path(&region.outline));
                let _ = writeln!(
                    out,
                    "<path data-plate=\"{id}\" data-region=\"{name}\" d=\"{d}\"/>"
                );
            }
        });
    }
    group(OPENINGS, &|out, drawing, id| {
        for hole in &drawing.holes {
            let words = format!(
                "data-plate=\"{id}\" data-feature=\"{}\" ",
                escaped(&hole.feature)
            );
            match hole.round {
                Some(radius) => circle(out, &words, (hole.centre.x, hole.centre.y, radius)),
                None => {
                    let _ = writeln!(out, "<path {words}d=\"{}\"/>", path(&hole.outline));
                }
            }
        }
    });
    group(RIVETS, &|out, drawing, id| {
        for rivet in &drawing.rivets {
            let place = (rivet.centre.x, rivet.centre.y, rivet.head_diameter / 2.0);
            circle(out, &format!("data-plate=\"{id}\" "), place);
        }
    });
    group(LABELS, &|out, drawing, id| {
        let label = plate_label(drawing);
        let _ = writeln!(
            out,
            "<text data-plate=\"{id}\" x=\"{}\" y=\"{}\" font-family=\"sans-serif\" font-size=\"{}\">{}</text>",
            mm(label.at.x),
            mm(-label.at.y),
            mm(label.height / 0.72),
            escaped(&label.text)
        );
    });
}
