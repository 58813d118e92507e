//! Puts solids together in the B-rep kernel, from shared vertices, edges and wires of our own geometry.
//!
//! The kernel sees to it that edges are shared and shells closed; its own booleans, tessellation and consistency check are not
//! used: they fail, or never return, on such solids.

use super::edges::{Edges, curve_at};
use super::layer::Side;
use super::levels::{HIGH, LOW, PLAIN};
use super::net::{Net, Wall};
use super::shell::{ClosedShell, ShellEdge, ShellFace};
use super::space_curve::SpaceCurve;
use super::surfaces::FaceSurface;
use crate::SolidError;
use body::Plate;
use geom::Point3;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use truck_topology::{Face, Shell, Solid, Vertex, Wire};

type PlateShell = Shell<Point3, SpaceCurve, FaceSurface>;
type Edge = truck_topology::Edge<Point3, SpaceCurve>;

/// The closed shell of a plate.
///
/// # Errors
///
/// [`SolidError::Kernel`] with the step that failed, a panic of the kernel included.
pub(super) fn closed_shell(
    plate: &Plate,
    net: &Net<'_>,
    edges: &Edges,
) -> Result<ClosedShell, SolidError> {
    let built = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| build(net, edges)));
    let shell = built.unwrap_or(Err("calling the kernel"));
    shell.map_err(|step| SolidError::Kernel {
        plate: plate.id.clone(),
        step,
    })
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

fn build(net: &Net<'_>, edges: &Edges) -> Result<ClosedShell, &'static str> {
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
            let face = Face::try_new(wires, surface.clone()).map_err(|_| "making a skin face")?;
            shell.push(if skin == LOW { face.inverse() } else { face });
        }
    }
    for i in 0..net.pieces.len() {
        builder.add_walls(i, &mut shell)?;
    }
    builder.add_domes(&mut shell)?;
    let solid = Solid::try_new(vec![shell]).map_err(|_| "closing the shell")?;
    let mut shells = solid.compress().boundaries;
    let shell = shells.pop().ok_or("closing the shell")?;
    let edges = shell.edges.into_iter().map(|edge| ShellEdge {
        start: edge.vertices.0,
        end: edge.vertices.1,
        curve: edge.curve,
    });
    // The kernel keeps the loops of a face that was turned over as they ran before.
    let faces = shell.faces.into_iter().map(|face| ShellFace {
        loops: face
            .boundaries
            .iter()
            .map(|sides| {
                sides
                    .iter()
                    .map(|own| (own.index, own.orientation))
                    .collect()
            })
            .collect(),
        surface: face.surface,
        as_surface: face.orientation,
    });
    Ok(ClosedShell {
        vertices: shell.vertices,
        edges: edges.collect(),
        faces: faces.collect(),
    })
}

impl<'a> Builder<'a> {
    fn new(net: &'a Net<'a>, edges: &'a Edges) -> Result<Self, &'static str> {
        let vertices: Vec<Vec<(usize, Vertex<Point3>)>> = edges
            .corners
            .iter()
            .map(|corner| {
                let vertex = |(level, point): &(usize, _)| (*level, Vertex::new(*point));
                corner.iter().map(vertex).collect()
            })
            .collect();
        let edge = |start: usize, end: usize, level: usize, curve: &SpaceCurve| {
            let ends = [start, end].map(|node| at_level(&vertices[edges.same[node]], level));
            let [Some(start), Some(end)] = ends else {
                return Err("finding a corner");
            };
            Edge::try_new(start, end, curve.clone()).map_err(|_| "making an edge")
        };
        let pieces = net.pieces.iter().zip(&edges.pieces).map(|(piece, stack)| {
            let made = stack.iter().map(|(level, curve)| {
                let edge = edge(piece.start, piece.end, *level, curve)?;
                Ok((*level, edge))
            });
            made.collect()
        });
        let pieces = pieces.collect::<Result<_, &'static str>>()?;
        let mut crossings = [Vec::new(), Vec::new()];
        for skin in [LOW, HIGH] {
            let own = net.layers[skin].crossings.iter();
            for (crossing, curve) in own.zip(&edges.crossings[skin]) {
                let made = edge(crossing.start, crossing.end, crossing.level, curve)?;
                crossings[skin].push(made);
            }
        }
        let posts = vertices
            .iter()
            .map(|column| {
                let made = column.windows(2).map(|pair| {
                    let [low, high] = [&pair[0].1, &pair[1].1];
                    let line = SpaceCurve::Line(low.point(), high.point());
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
    fn wire(
        &self,
        sides: &[Side],
        skin: usize,
        level: usize,
    ) -> Result<Wire<Point3, SpaceCurve>, &'static str> {
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
    fn add_walls(&self, i: usize, shell: &mut PlateShell) -> Result<(), &'static str> {
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
            let surface = FaceSurface::wall(bottom.1, top.1);
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
    fn add_domes(&self, shell: &mut PlateShell) -> Result<(), &'static str> {
        let mut crowns: BTreeMap<(usize, usize), Vertex<Point3>> = BTreeMap::new();
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
                    .or_insert_with(|| Vertex::new(rise.crown))
                    .clone();
                let mut wire = Wire::from(vec![rim.clone()]);
                for (node, foot) in [(piece.end, rim.back()), (piece.start, rim.front())] {
                    let edge = match meridians.entry((node, skin)) {
                        Entry::Occupied(known) => known.into_mut(),
                        Entry::Vacant(place) => {
                            let corner = at_level(&self.edges.corners[node], level);
                            let corner = corner.ok_or("finding a corner")?;
                            let made = Edge::try_new(foot, &crown, rise.meridian(*corner));
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
                let face = Face::try_new(vec![wire], surface).map_err(|_| "making a rivet")?;
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
