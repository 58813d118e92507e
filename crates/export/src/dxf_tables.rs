//! Header and tables of an R12 drawing.

use crate::dxf::Writer;
use geom::FlatPoint;

/// A layer of our drawings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DxfLayer {
    /// Its name. R12 allows capitals, digits, `$`, `-` and `_`.
    pub name: &'static str,
    /// What is drawn on it.
    pub holds: &'static str,
    colour: i16,
    line: &'static str,
    shown: bool,
}

pub(crate) const OUTLINE: &str = "OUTLINE";
pub(crate) const OPENINGS: &str = "OPENINGS";
pub(crate) const HALF_ETCH_OUTSIDE: &str = "HALF-ETCH-OUTSIDE";
pub(crate) const HALF_ETCH_INSIDE: &str = "HALF-ETCH-INSIDE";
pub(crate) const RAISED_OUTSIDE: &str = "RAISED-OUTSIDE";
pub(crate) const RAISED_INSIDE: &str = "RAISED-INSIDE";
pub(crate) const RIVETS: &str = "RIVETS";
pub(crate) const CENTRE_LINES: &str = "CENTRE-LINES";
pub(crate) const LABELS: &str = "LABELS";
pub(crate) const NAMES: &str = "NAMES";

pub(crate) const fn layer(
    name: &'static str,
    holds: &'static str,
    colour: i16,
    line: &'static str,
    shown: bool,
) -> DxfLayer {
    DxfLayer {
        name,
        holds,
        colour,
        line,
        shown,
    }
}

/// All layers, in the order in which they are listed.
pub const DXF_LAYERS: [DxfLayer; 10] = [
    layer(OUTLINE, "outlines of plates, closed", 7, "CONTINUOUS", true),
    layer(
        OPENINGS,
        "openings right through, closed",
        1,
        "CONTINUOUS",
        true,
    ),
    layer(
        HALF_ETCH_OUTSIDE,
        "places etched from the outside face, closed",
        5,
        "CONTINUOUS",
        true,
    ),
    layer(
        HALF_ETCH_INSIDE,
        "places etched from the inside face, closed",
        4,
        "CONTINUOUS",
        true,
    ),
    layer(
        RAISED_OUTSIDE,
        "places left proud on the outside face, closed",
        3,
        "CONTINUOUS",
        true,
    ),
    layer(
        RAISED_INSIDE,
        "places left proud on the inside face, closed",
        3,
        "CONTINUOUS",
        true,
    ),
    layer(
        RIVETS,
        "rivet heads on the outside face",
        6,
        "CONTINUOUS",
        true,
    ),
    layer(
        CENTRE_LINES,
        "centre lines and places of neighbours, not etched",
        8,
        "CENTRE",
        true,
    ),
    layer(LABELS, "names of plates, not etched", 2, "CONTINUOUS", true),
    layer(
        NAMES,
        "names of edges and openings, not etched, switched off",
        8,
        "CONTINUOUS",
        false,
    ),
];

pub(crate) fn header(out: &mut Writer, low: FlatPoint, high: FlatPoint) {
    out.text(0, "SECTION").text(2, "HEADER");
    out.text(9, "$ACADVER").text(1, "AC1009");
    out.text(9, "$DWGCODEPAGE").text(3, "ANSI_1252");
    // 4 is millimetres, 1 is metric.
    out.text(9, "$INSUNITS").whole(70, 4);
    out.text(9, "$MEASUREMENT").whole(70, 1);
    for (name, point) in [("$EXTMIN", low), ("$EXTMAX", high)] {
        out.text(9, name)
            .length(10, point.x)
            .length(20, point.y)
            .length(30, 0.0);
    }
    for (name, point) in [("$LIMMIN", low), ("$LIMMAX", high)] {
        out.text(9, name).length(10, point.x).length(20, point.y);
    }
    out.text(9, "$LTSCALE").length(40, 1.0);
    out.text(0, "ENDSEC");
}

/// Tables of line types, of the layers of plates and `more`, and of styles.
pub(crate) fn tables(out: &mut Writer, more: &[DxfLayer]) {
    out.text(0, "SECTION").text(2, "TABLES");
    line_types(out);
    out.text(0, "TABLE")
        .text(2, "LAYER")
        .whole(70, (DXF_LAYERS.len() + more.len()) as i64 + 1);
    layer_row(out, "0", 7, "CONTINUOUS");
    for layer in DXF_LAYERS.iter().chain(more) {
        // A negative colour is a layer switched off.
        let colour = if layer.shown {
            layer.colour
        } else {
            -layer.colour
        };
        layer_row(out, layer.name, colour, layer.line);
    }
    out.text(0, "ENDTAB");
    out.text(0, "TABLE").text(2, "STYLE").whole(70, 1);
    out.text(0, "STYLE").text(2, "STANDARD").whole(70, 0);
    out.length(40, 0.0).length(41, 1.0).length(50, 0.0);
    out.whole(71, 0).length(42, 1.0).text(3, "txt").text(4, "");
    out.text(0, "ENDTAB").text(0, "ENDSEC");
    out.text(0, "SECTION").text(2, "BLOCKS").text(0, "ENDSEC");
}

fn line_types(out: &mut Writer) {
    out.text(0, "TABLE").text(2, "LTYPE").whole(70, 2);
    out.text(0, "LTYPE").text(2, "CONTINUOUS").whole(70, 0);
    out.text(3, "Solid line")
        .whole(72, 65)
        .whole(73, 0)
        .length(40, 0.0);
    out.text(0, "LTYPE").text(2, "CENTRE").whole(70, 0);
    out.text(3, "Long dash, gap, short dash, gap");
    out.whole(72, 65).whole(73, 4).length(40, 6.0);
    // Dashes are positive, gaps negative (mm).
    for dash in [3.5, -1.0, 0.5, -1.0] {
        out.length(49, dash);
    }
    out.text(0, "ENDTAB");
}

fn layer_row(out: &mut Writer, name: &str, colour: i16, line: &str) {
    out.text(0, "LAYER").text(2, name).whole(70, 0);
    out.whole(62, i64::from(colour)).text(6, line);
}
