//! The only file that speaks to the B-rep kernel.
//!
//! Solids are put together from shared vertices, edges and wires; the kernel's own booleans,
//! tessellation and consistency check are not used: they fail, or never return, on such solids.

use super::edges::{EdgePair, Edges};
use super::net::{Net, Side};
use super::space_curve::SpaceCurve;
use super::spline::Spline;
use super::surfaces::FaceSurface;
use crate::SolidError;
use body::Plate;
use truck_modeling::{
    BSplineCurve, BSplineSurface, Curve, Edge, Face, KnotVec, Line, NurbsCurve, NurbsSurface,
    Plane, Point3, Shell, Solid, Surface, Vector4, Vertex, Wire,
};
use truck_stepio::out::StepModel;

const LOW: usize = 0;
const HIGH: usize = 1;

/// Entities of a solid in the exchange file's own language, numbered from the kernel's first number.
///
/// # Errors
///
/// [`SolidError::Kernel`] with the step that failed, a panic of the kernel included.
pub(super) fn solid_entities(
    plate: &Plate,
    net: &Net<'_>,
    edges: &Edges,
) -> Result<String, SolidError> {
    let failed = |step| SolidError::Kernel {
        plate: plate.id.clone(),
        step,
    };
    let built = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
        let solid = build(plate, net, edges)?;
        let compressed = solid.compress();
        Ok(StepModel::from(&compressed).to_string())
    }));
    built.unwrap_or(Err("calling the kernel")).map_err(failed)
}

struct TwinEdge {
    low: Edge,
    high: Edge,
}

impl TwinEdge {
    fn on(&self, skin: usize) -> &Edge {
        if skin == LOW { &self.low } else { &self.high }
    }
}

struct Builder<'a> {
    net: &'a Net<'a>,
    edges: &'a Edges,
    posts: Vec<Option<Edge>>,
    pieces: Vec<Option<TwinEdge>>,
    crossings: Vec<TwinEdge>,
}

fn build(plate: &Plate, net: &Net<'_>, edges: &Edges) -> Result<Solid, &'static str> {
    let builder = Builder::new(net, edges)?;
    let mut shell = Shell::new();
    for (skin, height) in [(LOW, plate.sheet.z_low), (HIGH, plate.sheet.z_high)] {
        let surfaces = (0..net.skins.strips.len())
            .map(|strip| FaceSurface::skin(&net.skins, strip, height))
            .collect::<Vec<_>>();
        for cell in &net.cells {
            let surface = surfaces[cell.strip].as_ref().ok_or("following a skin")?;
            let wires = cell
                .loops
                .iter()
                .map(|sides| builder.wire(sides, skin))
                .collect();
            let face =
                Face::try_new(wires, surface_of(surface)?).map_err(|_| "making a skin face")?;
            shell.push(if skin == LOW { face.inverse() } else { face });
        }
    }
    for i in 0..net.pieces.len() {
        if let Some(wall) = builder.wall(i)? {
            shell.push(wall);
        }
    }
    Solid::try_new(vec![shell]).map_err(|_| "closing the shell")
}

impl<'a> Builder<'a> {
    fn new(net: &'a Net<'a>, edges: &'a Edges) -> Result<Self, &'static str> {
        let vertices: Vec<[Vertex; 2]> = edges
            .corners
            .iter()
            .map(|corner| corner.map(|point| Vertex::new(point_of(point))))
            .collect();
        let ends = |node: usize| &vertices[edges.same[node]];
        let twin = |start: usize, end: usize, pair: &EdgePair| -> Result<TwinEdge, &'static str> {
            let edge = |skin: usize, curve: &SpaceCurve| {
                Edge::try_new(&ends(start)[skin], &ends(end)[skin], curve_of(curve)?)
                    .map_err(|_| "making an edge")
            };
            Ok(TwinEdge {
                low: edge(LOW, &pair.low)?,
                high: edge(HIGH, &pair.high)?,
            })
        };
        let pieces = net
            .pieces
            .iter()
            .zip(&edges.pieces)
            .map(|(piece, pair)| {
                pair.as_ref()
                    .map(|pair| twin(piece.start, piece.end, pair))
                    .transpose()
            })
            .collect::<Result<_, _>>()?;
        let crossings = net
            .crossings
            .iter()
            .zip(&edges.crossings)
            .map(|(crossing, pair)| twin(crossing.start, crossing.end, pair))
            .collect::<Result<_, _>>()?;
        let posts = (0..vertices.len())
            .map(|i| {
                (edges.same[i] == i)
                    .then(|| {
                        let [low, high] = edges.corners[i].map(point_of);
                        let line = Curve::Line(Line(low, high));
                        Edge::try_new(&vertices[i][LOW], &vertices[i][HIGH], line)
                    })
                    .transpose()
                    .map_err(|_| "making a corner")
            })
            .collect::<Result<_, _>>()?;
        Ok(Self {
            net,
            edges,
            posts,
            pieces,
            crossings,
        })
    }

    /// A loop on one skin, in its own direction; sides at an apex take no part.
    fn wire(&self, sides: &[Side], skin: usize) -> Wire {
        sides
            .iter()
            .filter_map(|side| match *side {
                Side::Piece(i) => self.pieces[i].as_ref().map(|twin| twin.on(skin).clone()),
                Side::Crossing(i, true) => Some(self.crossings[i].on(skin).clone()),
                Side::Crossing(i, false) => Some(self.crossings[i].on(skin).inverse()),
            })
            .collect()
    }

    /// The wall over a piece, seen with the travel to the right and the outer skin above.
    fn wall(&self, i: usize) -> Result<Option<Face>, &'static str> {
        let (Some(twin), Some(pair)) = (&self.pieces[i], &self.edges.pieces[i]) else {
            return Ok(None);
        };
        let piece = &self.net.pieces[i];
        let post = |node: usize| {
            self.posts[self.edges.same[node]]
                .as_ref()
                .ok_or("finding a corner")
        };
        let wire: Wire = vec![
            twin.low.clone(),
            post(piece.end)?.clone(),
            twin.high.inverse(),
            post(piece.start)?.inverse(),
        ]
        .into();
        let surface = surface_of(&FaceSurface::wall(&pair.low, &pair.high))?;
        Face::try_new(vec![wire], surface)
            .map(Some)
            .map_err(|_| "making a wall")
    }
}

fn point_of(point: geom::Point3) -> Point3 {
    Point3::new(point.x, point.y, point.z)
}

fn weighted_point(point: geom::Point3, weight: f64) -> Vector4 {
    Vector4::new(point.x * weight, point.y * weight, point.z * weight, weight)
}

fn arc_poles(poles: &[geom::Point3; 3], weight: f64) -> Vec<Vector4> {
    poles
        .iter()
        .zip([1.0, weight, 1.0])
        .map(|(pole, weight)| weighted_point(*pole, weight))
        .collect()
}

fn spline_poles(spline: &Spline) -> Vec<Point3> {
    spline.poles.iter().map(|pole| point_of(*pole)).collect()
}

fn curve_of(curve: &SpaceCurve) -> Result<Curve, &'static str> {
    const FAILED: &str = "making a curve";
    Ok(match curve {
        SpaceCurve::Line(start, end) => Curve::Line(Line(point_of(*start), point_of(*end))),
        SpaceCurve::Arc { poles, weight } => {
            let spline = BSplineCurve::try_new(KnotVec::bezier_knot(2), arc_poles(poles, *weight));
            Curve::NurbsCurve(NurbsCurve::new(spline.map_err(|_| FAILED)?))
        }
        SpaceCurve::Spline(spline) => {
            let knots = KnotVec::from(spline.knots.clone());
            let spline = BSplineCurve::try_new(knots, spline_poles(spline));
            Curve::BSplineCurve(spline.map_err(|_| FAILED)?)
        }
    })
}

fn surface_of(surface: &FaceSurface) -> Result<Surface, &'static str> {
    const FAILED: &str = "making a surface";
    let (rows, across) = match surface {
        FaceSurface::Plane([corner, along, across]) => {
            let plane = Plane::new(point_of(*corner), point_of(*along), point_of(*across));
            return Ok(Surface::Plane(plane));
        }
        FaceSurface::Rows { rows, knots } => (rows, KnotVec::from(knots.clone())),
    };
    let arcs: Vec<Vec<Vector4>> = rows
        .iter()
        .filter_map(|row| match row {
            SpaceCurve::Arc { poles, weight } => Some(arc_poles(poles, *weight)),
            _ => None,
        })
        .collect();
    if arcs.len() == rows.len() {
        let knots = (KnotVec::bezier_knot(2), across);
        let spline = BSplineSurface::try_new(knots, columns(&arcs)).map_err(|_| FAILED)?;
        return Ok(Surface::NurbsSurface(NurbsSurface::new(spline)));
    }
    let mut along = None;
    let mut poles = Vec::with_capacity(rows.len());
    for row in rows {
        let (knots, row) = match row {
            SpaceCurve::Line(a, b) => (KnotVec::bezier_knot(1), vec![point_of(*a), point_of(*b)]),
            SpaceCurve::Spline(spline) => {
                (KnotVec::from(spline.knots.clone()), spline_poles(spline))
            }
            SpaceCurve::Arc { .. } => return Err("joining unlike curves"),
        };
        if along.get_or_insert_with(|| knots.clone()) != &knots {
            return Err("joining unlike curves");
        }
        poles.push(row);
    }
    let knots = (along.ok_or(FAILED)?, across);
    let spline = BSplineSurface::try_new(knots, columns(&poles)).map_err(|_| FAILED)?;
    Ok(Surface::BSplineSurface(spline))
}

/// Poles along each column, from poles along each row.
fn columns<P: Copy>(rows: &[Vec<P>]) -> Vec<Vec<P>> {
    let count = rows.first().map_or(0, Vec::len);
    (0..count)
        .map(|i| rows.iter().map(|row| row[i]).collect())
        .collect()
}
