//! Offsets and booleans of closed outlines of lines and arcs.
//!
//! A library that keeps arcs does the work. A second one, which knows polygons only, checks every
//! answer by its area, and its polygons are taken where the two disagree.

use cavalier_contours::polyline::{BooleanOp, PlineSource, PlineSourceMut, PlineVertex, Polyline};
use cavalier_contours::shape_algorithms::{Shape, ShapeOffsetOptions};
use geom::{BulgeVertex, Outline, Point2};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};

/// Chords of polygons keep within this of arcs (mm): a tenth of what a film printer resolves.
const CHORD_MM: f64 = 2e-4;

/// Loops of a smaller area are left overs of rounding (mm²).
const NOTHING_MM2: f64 = 1e-5;

/// A closed region: one border and the islands in it.
#[derive(Clone, Debug, PartialEq)]
pub struct EtchedShape {
    /// Its border, anticlockwise.
    pub outer: Outline,
    /// What is left standing in it, anticlockwise.
    pub islands: Vec<Outline>,
}

impl EtchedShape {
    /// A region without islands.
    pub fn whole(outer: Outline) -> Self {
        Self {
            outer,
            islands: Vec::new(),
        }
    }

    /// Area (mm²).
    pub fn area(&self) -> f64 {
        self.outer.area() - self.islands.iter().map(Outline::area).sum::<f64>()
    }

    /// Points along border and islands; islands run clockwise.
    pub fn polygons(&self, chord_error: f64) -> Vec<Vec<[f64; 2]>> {
        let mut rings = vec![polygon(&self.outer, chord_error)];
        for island in &self.islands {
            let mut ring = polygon(island, chord_error);
            ring.reverse();
            rings.push(ring);
        }
        rings
    }
}

fn polygon(outline: &Outline, chord_error: f64) -> Vec<[f64; 2]> {
    let points = outline.flattened(chord_error);
    points.iter().map(|p| [p.x, p.y]).collect()
}

fn to_pline(outline: &Outline) -> Polyline<f64> {
    let mut pline = Polyline::new_closed();
    for vertex in outline.vertices() {
        pline.add_vertex(PlineVertex::new(
            vertex.point.x,
            vertex.point.y,
            vertex.bulge,
        ));
    }
    match pline.remove_repeat_pos(1e-6) {
        Some(clean) => clean,
        None => pline,
    }
}

/// An anticlockwise outline, or nothing for a loop without area.
fn to_outline(pline: &Polyline<f64>) -> Option<Outline> {
    let vertices: Vec<BulgeVertex> = pline
        .iter_vertexes()
        .map(|v| BulgeVertex {
            point: Point2::new(v.x, v.y),
            bulge: v.bulge,
        })
        .collect();
    anticlockwise(Outline::from_vertices(&vertices))
}

fn anticlockwise(outline: Outline) -> Option<Outline> {
    let area = outline.area();
    if !area.is_finite() || area.abs() < NOTHING_MM2 {
        None
    } else if area > 0.0 {
        Some(outline)
    } else {
        Some(outline.reversed())
    }
}

/// Shapes of the polygon library.
type Polygons = Vec<Vec<Vec<[f64; 2]>>>;

fn from_polygons(shapes: &Polygons) -> Vec<EtchedShape> {
    let outline = |ring: &Vec<[f64; 2]>| {
        let points: Vec<Point2> = ring.iter().map(|p| Point2::new(p[0], p[1])).collect();
        anticlockwise(Outline::polygon(&points))
    };
    shapes
        .iter()
        .filter_map(|rings| {
            let mut rings = rings.iter();
            Some(EtchedShape {
                outer: rings.next().and_then(outline)?,
                islands: rings.filter_map(outline).collect(),
            })
        })
        .collect()
}

fn total(shapes: &[EtchedShape]) -> f64 {
    shapes.iter().map(EtchedShape::area).sum()
}

/// Takes the shapes with arcs if their area is that of the polygons, else the polygons.
fn the_surer(arcs: Vec<EtchedShape>, polygons: &Polygons, perimeter: f64) -> Vec<EtchedShape> {
    let straight = from_polygons(polygons);
    let slack = 1e-3 + 5.0 * CHORD_MM * perimeter;
    if (total(&arcs) - total(&straight)).abs() <= slack && arcs.len() == straight.len() {
        arcs
    } else {
        straight
    }
}

/// What two outlines cover together, or the first without the second.
fn boolean(one: &Outline, other: &Outline, op: BooleanOp, rule: OverlayRule) -> Vec<EtchedShape> {
    let result = to_pline(one).boolean(&to_pline(other), op);
    let outlines = |plines: Vec<_>| -> Vec<Outline> {
        let plines: Vec<cavalier_contours::polyline::BooleanResultPline<Polyline<f64>>> = plines;
        plines
            .iter()
            .filter_map(|own| to_outline(&own.pline))
            .collect()
    };
    let arcs = gathered(outlines(result.pos_plines), outlines(result.neg_plines));
    let polygons = polygon(one, CHORD_MM).overlay_as::<i64>(
        &polygon(other, CHORD_MM),
        rule,
        FillRule::NonZero,
    );
    the_surer(arcs, &polygons, one.perimeter() + other.perimeter())
}

/// Gives each island to the border that it lies in.
fn gathered(outers: Vec<Outline>, islands: Vec<Outline>) -> Vec<EtchedShape> {
    let mut shapes: Vec<EtchedShape> = outers.into_iter().map(EtchedShape::whole).collect();
    for island in islands {
        let probe = island.segments()[0].point_at(0.5);
        let home = shapes
            .iter_mut()
            .filter(|shape| shape.outer.contains(probe))
            .min_by(|a, b| a.outer.area().total_cmp(&b.outer.area()));
        if let Some(home) = home {
            home.islands.push(island);
        }
    }
    shapes
}

/// What two outlines cover together.
pub(crate) fn union(one: &Outline, other: &Outline) -> Vec<EtchedShape> {
    boolean(one, other, BooleanOp::Or, OverlayRule::Union)
}

/// The first outline without the second.
pub(crate) fn difference(one: &Outline, other: &Outline) -> Vec<EtchedShape> {
    boolean(one, other, BooleanOp::Not, OverlayRule::Difference)
}

/// The shape shrunk by `distance` (mm) all round, islands growing; grown if it is negative.
///
/// Corners that move outwards are rounded, as an etch rounds them.
pub fn shrunk(shape: &EtchedShape, distance: f64) -> Vec<EtchedShape> {
    if distance == 0.0 {
        return vec![shape.clone()];
    }
    let islands = shape.islands.iter().map(|island| island.reversed());
    let loops = std::iter::once(shape.outer.clone()).chain(islands);
    let arcs = Shape::from_plines(loops.map(|own| to_pline(&own)))
        .parallel_offset(distance, &ShapeOffsetOptions::default());
    let of = |plines: &[cavalier_contours::shape_algorithms::IndexedPolyline<f64>]| {
        plines
            .iter()
            .filter_map(|own| to_outline(&own.polyline))
            .collect::<Vec<_>>()
    };
    let arcs = gathered(of(&arcs.ccw_plines), of(&arcs.cw_plines));
    // The angle of a chord whose sagitta at this radius is small enough.
    let angle = geom::math::acos((1.0 - CHORD_MM / distance.abs()).max(0.0)) * 2.0;
    let style = OutlineStyle::new(-distance).line_join(LineJoin::Round(angle.max(0.02)));
    let polygons = shape.polygons(CHORD_MM).outline_as::<i64>(&style);
    let perimeter: f64 =
        shape.outer.perimeter() + shape.islands.iter().map(Outline::perimeter).sum::<f64>();
    the_surer(arcs, &polygons, perimeter)
}

/// The outline grown (or shrunk, below zero) by a distance (mm): the largest piece, without islands.
pub(crate) fn grown(outline: &Outline, distance: f64) -> Option<Outline> {
    shrunk(&EtchedShape::whole(outline.clone()), -distance)
        .into_iter()
        .map(|shape| shape.outer)
        .max_by(|a, b| a.area().total_cmp(&b.area()))
}

/// Polygons joined to one another, as lettering is made of strokes.
pub(crate) fn joined(rings: &[Vec<[f64; 2]>]) -> Vec<EtchedShape> {
    let nothing: Vec<Vec<[f64; 2]>> = Vec::new();
    let rings = rings.to_vec();
    from_polygons(&rings.overlay_as::<i64>(&nothing, OverlayRule::Subject, FillRule::NonZero))
}
