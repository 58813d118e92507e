//! The only file that speaks to the B-rep kernel.
//!
//! Solids are put together from shared vertices, edges and wires; the kernel's own booleans,
//! tessellation and consistency check are not used: they fail, or never return, on such solids.

use super::edges::{Edges, curve_at};
use super::layer::Side;
use super::levels::{HIGH, LOW, PLAIN};
use super::net::{Net, Wall};
use super::space_curve::SpaceCurve;
use super::spline::Spline;
use super::surfaces::FaceSurface;
use crate::SolidError;
use body::Plate;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use truck_modeling::{
    BSplineCurve, BSplineSurface, Curve, Edge, Face, KnotVec, Line, NurbsCurve, NurbsSurface,
    Plane, Point3, Shell, Solid, Surface, Vector4, Vertex, Wire,
};
use truck_stepio::out::StepModel;

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
        let solid = build(net, edges)?;
        let compressed = solid.compress();
        Ok(StepModel::from(&compressed).to_string())
    }));
    built.unwrap_or(Err("calling the kernel")).map_err(failed)
}

struct Builder<'a> {
    net: &'a Net<'a>,
    edges: &'a Edges,
    /// At each node, edges along the normal from each of its levels to the next.
    posts: Vec<Vec<(usize, Edge)>>,
    /// Edges of each piece by level.
    pieces: Vec<Vec<(usize, Edge)>>,
    crossings: [Vec<Edge>; 2],
}

fn build(net: &Net<'_>, edges: &Edges) -> Result<Solid, &'static str> {
    let builder = Builder::new(net, edges)?;
    let mut shell = Shell::new();
    let mut surfaces = BTreeMap::new();
    for skin in [LOW, HIGH] {
        for cell in &net.layers[skin].cells {
            let surface = match surfaces.entry((cell.strip, cell.level)) {
                Entry::Occupied(known) => known.into_mut(),
                Entry::Vacant(place) => {
                    let height = net.levels.heights[cell.level];
                    let surface = FaceSurface::skin(&net.skins, cell.strip, height);
                    place.insert(surface.ok_or("following a skin")?)
                }
            };
            let wires = cell
                .loops
                .iter()
                .map(|sides| builder.wire(sides, skin, cell.level))
                .collect::<Result<_, _>>()?;
            let face =
                Face::try_new(wires, surface_of(surface)?).map_err(|_| "making a skin face")?;
            shell.push(if skin == LOW { face.inverse() } else { face });
        }
    }
    for i in 0..net.pieces.len() {
        builder.add_walls(i, &mut shell)?;
    }
    builder.add_domes(&mut shell)?;
    Solid::try_new(vec![shell]).map_err(|_| "closing the shell")
}

impl<'a> Builder<'a> {
    fn new(net: &'a Net<'a>, edges: &'a Edges) -> Result<Self, &'static str> {
        let vertices: Vec<Vec<(usize, Vertex)>> = edges
            .corners
            .iter()
            .map(|corner| {
                let vertex = |(level, point): &(usize, _)| (*level, Vertex::new(point_of(*point)));
                corner.iter().map(vertex).collect()
            })
            .collect();
        let edge = |start: usize, end: usize, level: usize, curve: Curve| {
            let ends = [start, end].map(|node| at_level(&vertices[edges.same[node]], level));
            let [Some(start), Some(end)] = ends else {
                return Err("finding a corner");
            };
            Edge::try_new(start, end, curve).map_err(|_| "making an edge")
        };
        let pieces = net.pieces.iter().zip(&edges.pieces).map(|(piece, stack)| {
            let made = stack.iter().map(|(level, curve)| {
                let edge = edge(piece.start, piece.end, *level, curve_of(curve)?)?;
                Ok((*level, edge))
            });
            made.collect()
        });
        let pieces = pieces.collect::<Result<_, &'static str>>()?;
        let mut crossings = [Vec::new(), Vec::new()];
        for skin in [LOW, HIGH] {
            let own = net.layers[skin].crossings.iter();
            for (crossing, curve) in own.zip(&edges.crossings[skin]) {
                let curve = curve_of(curve)?;
                let made = edge(crossing.start, crossing.end, crossing.level, curve)?;
                crossings[skin].push(made);
            }
        }
        let posts = vertices
            .iter()
            .map(|column| {
                let made = column.windows(2).map(|pair| {
                    let [low, high] = [&pair[0].1, &pair[1].1];
                    let line = Curve::Line(Line(low.point(), high.point()));
                    let post = Edge::try_new(low, high, line).map_err(|_| "making a corner")?;
                    Ok((pair[0].0, post))
                });
                made.collect()
            })
            .collect::<Result<_, &'static str>>()?;
        Ok(Self {
            net,
            edges,
            posts,
            pieces,
            crossings,
        })
    }

    /// A loop on one skin, in its own direction; sides at an apex take no part.
    fn wire(&self, sides: &[Side], skin: usize, level: usize) -> Result<Wire, &'static str> {
        let mut wire = Wire::new();
        for side in sides {
            let (edge, forward) = match *side {
                Side::Piece(i, _) if self.net.pieces[i].is_apex => continue,
                Side::Piece(i, forward) => (at_level(&self.pieces[i], level), forward),
                Side::Crossing(i, forward) => (self.crossings[skin].get(i), forward),
            };
            let edge = edge.ok_or("finding an edge")?;
            wire.push_back(if forward {
                edge.clone()
            } else {
                edge.inverse()
            });
        }
        Ok(wire)
    }

    /// Edges along the normal at a node, from a level up to another.
    fn post(&self, node: usize, wall: Wall) -> impl DoubleEndedIterator<Item = &Edge> {
        self.posts[self.edges.same[node]]
            .iter()
            .filter(move |(level, _)| (wall.bottom..wall.top).contains(level))
            .map(|(_, edge)| edge)
    }

    /// The walls over a piece: of the edge of the plate, or of a step.
    fn add_walls(&self, i: usize, shell: &mut Shell) -> Result<(), &'static str> {
        let piece = &self.net.pieces[i];
        if piece.is_apex {
            return Ok(());
        }
        for wall in piece.walls(&self.net.levels) {
            let [bottom, top] = [wall.bottom, wall.top]
                .map(|level| Some((at_level(&self.pieces[i], level)?, self.curve(i, level)?)));
            let (Some(bottom), Some(top)) = (bottom, top) else {
                return Err("finding an edge");
            };
            // Seen with the travel to the right and the outer skin above.
            let mut wire = Wire::new();
            wire.push_back(bottom.0.clone());
            wire.extend(self.post(piece.end, wall).cloned());
            wire.push_back(top.0.inverse());
            wire.extend(self.post(piece.start, wall).rev().map(Edge::inverse));
            let surface = surface_of(&FaceSurface::wall(bottom.1, top.1))?;
            let face = Face::try_new(vec![wire], surface).map_err(|_| "making a wall")?;
            shell.push(if wall.metal_is_left {
                face
            } else {
                face.inverse()
            });
        }
        Ok(())
    }

    /// The faces of all domes: one over each piece of a rim, with edges along its meridians.
    fn add_domes(&self, shell: &mut Shell) -> Result<(), &'static str> {
        let mut crowns: BTreeMap<(usize, usize), Vertex> = BTreeMap::new();
        let mut meridians: BTreeMap<(usize, usize), Edge> = BTreeMap::new();
        for (i, piece) in self.net.pieces.iter().enumerate() {
            let Some(dome) = self.net.dome_of(piece) else {
                continue;
            };
            for skin in [LOW, HIGH] {
                let level = self.net.levels.fields[PLAIN][skin];
                let shoulders = self.edges.shoulders[i][skin].clone();
                let (Some(rise), Some(shoulders)) = (&dome.rises[skin], shoulders) else {
                    continue;
                };
                let rim = at_level(&self.pieces[i], level).ok_or("finding a rim")?;
                let crown = crowns
                    .entry((piece.left, skin))
                    .or_insert_with(|| Vertex::new(point_of(rise.crown)))
                    .clone();
                let mut wire = Wire::from(vec![rim.clone()]);
                for (node, foot) in [(piece.end, rim.back()), (piece.start, rim.front())] {
                    let edge = match meridians.entry((node, skin)) {
                        Entry::Occupied(known) => known.into_mut(),
                        Entry::Vacant(place) => {
                            let corner = at_level(&self.edges.corners[node], level);
                            let corner = corner.ok_or("finding a corner")?;
                            let curve = curve_of(&rise.meridian(*corner))?;
                            let made = Edge::try_new(foot, &crown, curve);
                            place.insert(made.map_err(|_| "making a meridian")?)
                        }
                    };
                    let up = node == piece.end;
                    wire.push_back(if up { edge.clone() } else { edge.inverse() });
                }
                let surface = FaceSurface::Dome {
                    rim: self.curve(i, level).ok_or("finding a rim")?.clone(),
                    shoulders,
                    crown: rise.crown,
                    weight: rise.weight,
                };
                let face = Face::try_new(vec![wire], surface_of(&surface)?)
                    .map_err(|_| "making a rivet")?;
                shell.push(if skin == LOW { face.inverse() } else { face });
            }
        }
        Ok(())
    }

    fn curve(&self, piece: usize, level: usize) -> Option<&SpaceCurve> {
        curve_at(&self.edges.pieces[piece], level)
    }
}

fn at_level<T>(column: &[(usize, T)], level: usize) -> Option<&T> {
    column
        .iter()
        .find(|(own, _)| *own == level)
        .map(|(_, found)| found)
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
        FaceSurface::Dome {
            rim,
            shoulders,
            crown,
            weight,
        } => return dome_surface([rim, shoulders], *crown, *weight),
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

fn dome_surface(
    rows: [&SpaceCurve; 2],
    crown: geom::Point3,
    weight: f64,
) -> Result<Surface, &'static str> {
    let row = |curve: &SpaceCurve| match curve {
        SpaceCurve::Arc { poles, weight } => {
            Ok((KnotVec::bezier_knot(2), arc_poles(poles, *weight)))
        }
        SpaceCurve::Spline(spline) => Ok((
            KnotVec::from(spline.knots.clone()),
            spline
                .poles
                .iter()
                .map(|p| weighted_point(*p, 1.0))
                .collect(),
        )),
        SpaceCurve::Line(..) => Err("joining unlike curves"),
    };
    let ((along, rim), (beside, over)) = (row(rows[0])?, row(rows[1])?);
    if along != beside || rim.len() != over.len() {
        return Err("joining unlike curves");
    }
    let top = rim
        .iter()
        .map(|pole| weighted_point(crown, pole.w))
        .collect();
    let over = over.into_iter().map(|pole| pole * weight).collect();
    let poles = columns(&[rim, over, top]);
    let spline = BSplineSurface::try_new((along, KnotVec::bezier_knot(2)), poles);
    let spline = spline.map_err(|_| "making a surface")?;
    Ok(Surface::NurbsSurface(NurbsSurface::new(spline)))
}

/// Poles along each column, from poles along each row.
fn columns<P: Copy>(rows: &[Vec<P>]) -> Vec<Vec<P>> {
    let count = rows.first().map_or(0, Vec::len);
    (0..count)
        .map(|i| rows.iter().map(|row| row[i]).collect())
        .collect()
}
