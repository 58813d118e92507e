//! Drawings of flats as DXF, release 12 (AC1009).
//!
//! R12 is the release that every program reads. It is written here because the library that reads
//! DXF leaves bulges and units out of R12 files.

use crate::cp1252;
use crate::dxf_tables::{
    CENTRE_LINES, HALF_ETCH_INSIDE, HALF_ETCH_OUTSIDE, LABELS, NAMES, OPENINGS, OUTLINE,
    RAISED_INSIDE, RAISED_OUTSIDE, RIVETS, header, tables,
};
use crate::label::{Label, plate_label};
use crate::number::{BULGE_DECIMALS, LENGTH_DECIMALS, fixed};
use artwork::{FlatDrawing, FlatHole, FlatRegion};
use body::Face;
use geom::{FlatPoint, Outline, Vector2};

/// How plates stand side by side on one drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SheetSpacing {
    /// Room between plates (mm).
    pub gap: f64,
    /// Width at which the next row begins (mm).
    pub row_width: f64,
}

impl Default for SheetSpacing {
    /// 10 mm apart, rows of 400 mm: chosen, not sourced.
    fn default() -> Self {
        Self {
            gap: 10.0,
            row_width: 400.0,
        }
    }
}

/// Height of the names of edges and openings (mm).
const NAME_HEIGHT: f64 = 0.8;

/// The flat of one plate as a DXF drawing, in the plate's own coordinates (mm).
///
/// Layers are [`crate::DXF_LAYERS`]; the plate's id is a text that begins inside the outline.
pub fn dxf_of(drawing: &FlatDrawing) -> Vec<u8> {
    dxf_at(&[(drawing, Vector2::zeros())])
}

/// Flats of several plates on one DXF drawing, side by side in rows from the top left.
pub fn dxf_side_by_side(drawings: &[FlatDrawing], spacing: SheetSpacing) -> Vec<u8> {
    let mut placed = Vec::with_capacity(drawings.len());
    let (mut x, mut y, mut row_height) = (0.0, 0.0, 0.0_f64);
    for drawing in drawings {
        let (low, high) = extent(drawing);
        let (width, height) = (high.x - low.x, high.y - low.y);
        if x > 0.0 && x + width > spacing.row_width {
            y -= row_height + spacing.gap;
            x = 0.0;
            row_height = 0.0;
        }
        // The plate's top left corner comes to (x, y).
        placed.push((drawing, Vector2::new(x - low.x, y - high.y)));
        x += width + spacing.gap;
        row_height = row_height.max(height);
    }
    dxf_at(&placed)
}

/// Corners of the rectangle round everything drawn of a plate, its label included.
fn extent(drawing: &FlatDrawing) -> (FlatPoint, FlatPoint) {
    let (mut low, mut high) = drawing.bounds;
    let mut take = |p: FlatPoint| {
        low = FlatPoint::new(low.x.min(p.x), low.y.min(p.y));
        high = FlatPoint::new(high.x.max(p.x), high.y.max(p.y));
    };
    for mark in &drawing.marks {
        take(mark.from);
        take(mark.to);
    }
    let label = plate_label(drawing);
    take(label.at);
    take(label.far_corner());
    (low, high)
}

fn dxf_at(placed: &[(&FlatDrawing, Vector2)]) -> Vec<u8> {
    let mut low = FlatPoint::new(f64::INFINITY, f64::INFINITY);
    let mut high = FlatPoint::new(f64::NEG_INFINITY, f64::NEG_INFINITY);
    for (drawing, by) in placed {
        let (a, b) = extent(drawing);
        low = FlatPoint::new(low.x.min(a.x + by.x), low.y.min(a.y + by.y));
        high = FlatPoint::new(high.x.max(b.x + by.x), high.y.max(b.y + by.y));
    }
    if placed.is_empty() {
        (low, high) = (FlatPoint::origin(), FlatPoint::origin());
    }
    let mut out = Writer::default();
    header(&mut out, low, high);
    tables(&mut out, &[]);
    out.text(0, "SECTION").text(2, "ENTITIES");
    for (drawing, by) in placed {
        plate(&mut out, drawing, *by);
    }
    out.text(0, "ENDSEC").text(0, "EOF");
    out.into_bytes()
}

pub(crate) fn plate(out: &mut Writer, drawing: &FlatDrawing, by: Vector2) {
    polyline(out, OUTLINE, &drawing.outline, by);
    for hole in &drawing.holes {
        opening(out, hole, by);
    }
    for region in &drawing.regions {
        polyline(
            out,
            region_layer(region, drawing.plain),
            &region.outline,
            by,
        );
    }
    for rivet in &drawing.rivets {
        circle(out, RIVETS, rivet.centre + by, rivet.drawn_diameter() / 2.0);
    }
    for mark in &drawing.marks {
        line(out, CENTRE_LINES, mark.from + by, mark.to + by);
    }
    label(out, LABELS, &plate_label(drawing), by);
    names(out, drawing, by);
}

/// Names of edges and openings, beside the middle of each.
fn names(out: &mut Writer, drawing: &FlatDrawing, by: Vector2) {
    for (i, edge) in drawing.edges.iter().enumerate() {
        let own: Vec<_> = drawing.edge_segments(i).collect();
        if let Some(middle) = own.get(own.len() / 2) {
            let at = middle.point_at(0.5);
            label(out, NAMES, &Label::new(&edge.name, at, NAME_HEIGHT), by);
        }
    }
    for hole in &drawing.holes {
        label(
            out,
            NAMES,
            &Label::new(&hole.feature, hole.centre, NAME_HEIGHT),
            by,
        );
    }
}

/// The layer of a place of other depth: metal left proud, or etched away, on its face.
pub(crate) fn region_layer(region: &FlatRegion, plain: (f64, f64)) -> &'static str {
    let proud = region.z_high > plain.1 || region.z_low < plain.0;
    match (proud, region.face) {
        (true, Face::Outside) => RAISED_OUTSIDE,
        (true, Face::Inside) => RAISED_INSIDE,
        (false, Face::Outside) => HALF_ETCH_OUTSIDE,
        (false, Face::Inside) => HALF_ETCH_INSIDE,
    }
}

fn opening(out: &mut Writer, hole: &FlatHole, by: Vector2) {
    match hole.round {
        Some(radius) => circle(out, OPENINGS, hole.centre + by, radius),
        None => polyline(out, OPENINGS, &hole.outline, by),
    }
}

pub(crate) fn polyline(out: &mut Writer, layer: &str, outline: &Outline, by: Vector2) {
    out.text(0, "POLYLINE").text(8, layer).whole(66, 1);
    out.length(10, 0.0).length(20, 0.0).length(30, 0.0);
    // 1 is closed.
    out.whole(70, 1);
    for vertex in outline.vertices() {
        out.text(0, "VERTEX")
            .text(8, layer)
            .point(vertex.point + by);
        if vertex.bulge != 0.0 {
            out.bulge(42, vertex.bulge);
        }
    }
    out.text(0, "SEQEND").text(8, layer);
}

pub(crate) fn circle(out: &mut Writer, layer: &str, centre: FlatPoint, radius: f64) {
    out.text(0, "CIRCLE")
        .text(8, layer)
        .point(centre)
        .length(40, radius);
}

pub(crate) fn line(out: &mut Writer, layer: &str, from: FlatPoint, to: FlatPoint) {
    out.text(0, "LINE").text(8, layer).point(from);
    out.length(11, to.x).length(21, to.y).length(31, 0.0);
}

fn label(out: &mut Writer, layer: &str, label: &Label, by: Vector2) {
    out.text(0, "TEXT").text(8, layer).point(label.at + by);
    out.length(40, label.height)
        .text(1, &label.text)
        .text(7, "STANDARD");
}

/// Pairs of group code and value, a line each, in code page 1252.
#[derive(Debug, Default)]
pub(crate) struct Writer {
    bytes: Vec<u8>,
}

impl Writer {
    /// Everything written.
    pub(crate) fn into_bytes(self) -> Vec<u8> {
        self.bytes
    }

    pub(crate) fn text(&mut self, code: u16, value: &str) -> &mut Self {
        self.bytes
            .extend_from_slice(format!("{code:>3}\r\n").as_bytes());
        self.bytes.extend(cp1252::encode(value));
        self.bytes.extend_from_slice(b"\r\n");
        self
    }

    pub(crate) fn whole(&mut self, code: u16, value: i64) -> &mut Self {
        self.text(code, &format!("{value:>6}"))
    }

    pub(crate) fn length(&mut self, code: u16, value: f64) -> &mut Self {
        self.text(code, &fixed(value, LENGTH_DECIMALS))
    }

    pub(crate) fn bulge(&mut self, code: u16, value: f64) -> &mut Self {
        self.text(code, &fixed(value, BULGE_DECIMALS))
    }

    fn point(&mut self, point: FlatPoint) -> &mut Self {
        self.length(10, point.x).length(20, point.y).length(30, 0.0)
    }
}
