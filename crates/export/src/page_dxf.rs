//! A page as DXF, release 12, at the size of the paper in millimetres.

use crate::dxf::{Writer, polyline};
use crate::dxf_tables::{CENTRE_LINES, DxfLayer, LABELS, OUTLINE, header, layer, tables};
use crate::page::{Item, Page};
use geom::{Point2, Segment, Vector2};

const THIN: &str = "THIN-LINES";
const CUT: &str = "CUT-FACES";

/// Lines thinner than this are dimension and extension lines (mm).
const THIN_BELOW: f64 = 0.22;

/// Layers of a drawing beside `OUTLINE`, `CENTRE-LINES` and `LABELS`.
pub const DRAWING_LAYERS: [DxfLayer; 2] = [
    layer(
        THIN,
        "dimension, extension and leader lines",
        8,
        "CONTINUOUS",
        true,
    ),
    layer(CUT, "borders of cut metal, closed", 1, "CONTINUOUS", true),
];

/// The page as DXF: visible lines on `OUTLINE`, words on `LABELS`.
pub(crate) fn dxf_of_page(page: &Page) -> Vec<u8> {
    let mut out = Writer::default();
    header(
        &mut out,
        Point2::origin(),
        Point2::new(page.width, page.height),
    );
    tables(&mut out, &DRAWING_LAYERS);
    out.text(0, "SECTION").text(2, "ENTITIES");
    for item in &page.items {
        write_item(&mut out, item);
    }
    out.text(0, "ENDSEC").text(0, "EOF");
    out.into_bytes()
}

fn write_item(out: &mut Writer, item: &Item) {
    match item {
        Item::Filled { loops, .. } => {
            for own in loops {
                polyline(out, CUT, own, Vector2::zeros());
            }
        }
        Item::Drawn { loops, width, .. } => {
            for own in loops {
                polyline(out, line_layer(*width, false), own, Vector2::zeros());
            }
        }
        Item::Runs {
            runs,
            width,
            dashes,
            ..
        } => {
            for run in runs {
                open_polyline(out, line_layer(*width, !dashes.is_empty()), run);
            }
        }
        // A window cuts what a page shows; drawings that are written as DXF have none.
        Item::Window { items, .. } => {
            for own in items {
                write_item(out, own);
            }
        }
        Item::Words {
            text, at, height, ..
        } => words(out, text, *at, *height),
    }
}

fn line_layer(width: f64, is_dashed: bool) -> &'static str {
    if is_dashed {
        CENTRE_LINES
    } else if width < THIN_BELOW {
        THIN
    } else {
        OUTLINE
    }
}

fn words(out: &mut Writer, text: &str, at: Point2, height: f64) {
    out.text(0, "TEXT").text(8, LABELS);
    out.length(10, at.x).length(20, at.y).length(30, 0.0);
    out.length(40, height).text(1, text);
    out.text(7, "STANDARD");
}

fn open_polyline(out: &mut Writer, layer: &str, run: &[Segment]) {
    let Some(last) = run.last() else {
        return;
    };
    out.text(0, "POLYLINE").text(8, layer).whole(66, 1);
    out.length(10, 0.0).length(20, 0.0).length(30, 0.0);
    out.whole(70, 0);
    for segment in run {
        vertex(out, layer, segment.start());
        if let Segment::Arc(_) = segment {
            out.bulge(42, segment.bulge());
        }
    }
    vertex(out, layer, last.end());
    out.text(0, "SEQEND").text(8, layer);
}

fn vertex(out: &mut Writer, layer: &str, at: Point2) {
    out.text(0, "VERTEX").text(8, layer);
    out.length(10, at.x).length(20, at.y).length(30, 0.0);
}
