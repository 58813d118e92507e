//! Constrained Delaunay triangulation of a flat, and what each triangle belongs to.

use spade::handles::FixedVertexHandle;
use spade::{ConstrainedDelaunayTriangulation, Triangulation};

use super::drawing::{At, Drawing, Label, Node, located};
use super::noding::{Noded, crossing_of};
use super::options::SNAP_MM;
use geom::FlatPoint;

/// No triangle, region or rivet.
pub(super) const NONE: u32 = u32::MAX;

/// Rounds of cutting lines before a drawing is given up as tangled.
const ROUNDS: usize = 8;

/// The triangles of a flat that are metal.
#[derive(Clone, Debug, Default)]
pub(super) struct FlatMesh {
    pub(super) nodes: Vec<Node>,
    /// Corners of each triangle, anticlockwise.
    pub(super) triangles: Vec<[u32; 3]>,
    /// For each side of a triangle, from its i-th corner to the next, the triangle beyond or [`NONE`].
    pub(super) beyond: Vec<[u32; 3]>,
    /// Region of each triangle, or [`NONE`].
    pub(super) region: Vec<u32>,
    /// Rivet whose head covers the triangle, or [`NONE`].
    pub(super) rivet: Vec<u32>,
}

type Cdt = ConstrainedDelaunayTriangulation<spade::Point2<f64>>;

/// A drawing whose lines cannot be brought apart.
pub(super) struct Tangled;

impl FlatMesh {
    /// Triangulates a drawing.
    pub(super) fn of(drawing: &Drawing<'_>) -> Result<Self, Tangled> {
        let mut noded = Noded::of(drawing).ok_or(Tangled)?;
        for round in 1..=ROUNDS {
            let mut conflicts = Vec::new();
            let points = noded
                .nodes
                .iter()
                .enumerate()
                .map(|(number, node)| to_spade(number, node.point))
                .collect();
            let lines = noded
                .lines
                .iter()
                .map(|line| line.map(|n| n as usize))
                .collect();
            let cdt = Cdt::try_bulk_load_cdt(points, lines, |line| conflicts.push(line))
                .map_err(|_| Tangled)?;
            let cuts = if conflicts.is_empty() {
                let mut mesh = Self::read(&cdt, &noded)?;
                mesh.turn_slivers(&noded);
                let relief = if round < ROUNDS {
                    mesh.relief(&noded)
                } else {
                    Vec::new()
                };
                if relief.is_empty() {
                    return Ok(Self {
                        nodes: noded.nodes,
                        ..mesh
                    });
                }
                relief
            } else {
                crossings(&noded, &conflicts)
            };
            noded = cut_lines(noded, cuts, drawing);
        }
        Err(Tangled)
    }

    /// Everything but the corners.
    fn read(cdt: &Cdt, noded: &Noded) -> Result<Self, Tangled> {
        if cdt.num_vertices() != noded.nodes.len() {
            return Err(Tangled);
        }
        let bounds = line_of_each_edge(cdt, noded)?;
        let belongs = flood(cdt, noded, &bounds);
        let mut number = vec![NONE; cdt.num_all_faces()];
        let mut mesh = Self::default();
        for face in cdt.inner_faces() {
            let state = belongs[face.fix().index()];
            if !state.is_metal() {
                continue;
            }
            number[face.fix().index()] = mesh.triangles.len() as u32;
            mesh.triangles
                .push(face.vertices().map(|v| v.fix().index() as u32));
            mesh.region.push(state.region.wrapping_sub(1));
            mesh.rivet.push(state.rivet.wrapping_sub(1));
        }
        for face in cdt.inner_faces() {
            if number[face.fix().index()] == NONE {
                continue;
            }
            // Sides come in the order of the corners they begin at.
            let edges = face.adjacent_edges();
            mesh.beyond
                .push(edges.map(|edge| number[edge.rev().face().fix().index()]));
        }
        Ok(mesh)
    }

    /// Turns the long side of each triangle too low to be kept, where it is no line of the drawing: its
    /// two triangles then share the side between the low corner and the corner beyond.
    fn turn_slivers(&mut self, noded: &Noded) {
        for own in 0..self.triangles.len() {
            let Some(side) = self.low_side(own, noded) else {
                continue;
            };
            let beyond = self.beyond[own][side];
            let corner = |i: usize| self.triangles[own][(side + i) % 3];
            let (from, to, low) = (corner(0), corner(1), corner(2));
            let line = [from.min(to), from.max(to)];
            if beyond == NONE || noded.lines.binary_search(&line).is_ok() {
                continue;
            }
            let other = beyond as usize;
            let Some(back) = (0..3).find(|i| self.triangles[other][*i] == to) else {
                continue;
            };
            let far = self.triangles[other][(back + 2) % 3];
            let height =
                |corners: [u32; 3]| least_height(corners.map(|n| noded.nodes[n as usize].point));
            let before = height(self.triangles[own]).min(height(self.triangles[other]));
            let after = height([low, from, far]).min(height([low, far, to]));
            if after <= before {
                continue;
            }
            // Sides round the two: from → far → to → low → from.
            let (near_from, near_to) = (
                self.beyond[other][(back + 1) % 3],
                self.beyond[other][(back + 2) % 3],
            );
            let (low_to, low_from) = (
                self.beyond[own][(side + 1) % 3],
                self.beyond[own][(side + 2) % 3],
            );
            self.triangles[own] = [low, from, far];
            self.beyond[own] = [low_from, near_from, other as u32];
            self.triangles[other] = [low, far, to];
            self.beyond[other] = [own as u32, near_to, low_to];
            for (triangle, was, is) in [
                (near_from, other as u32, own as u32),
                (low_to, own as u32, other as u32),
            ] {
                if triangle != NONE {
                    for neighbour in &mut self.beyond[triangle as usize] {
                        if *neighbour == was {
                            *neighbour = is;
                        }
                    }
                }
            }
        }
    }

    /// The longest side of a triangle that is too low over it to be kept.
    fn low_side(&self, triangle: usize, noded: &Noded) -> Option<usize> {
        let points = self.triangles[triangle].map(|n| noded.nodes[n as usize].point);
        let length = |i: usize| (points[(i + 1) % 3] - points[i]).norm();
        let side = (1..3).fold(0, |longest, i| {
            if length(i) > length(longest) {
                i
            } else {
                longest
            }
        });
        (least_height(points) < RELIEVED_MM).then_some(side)
    }

    /// Cuts that spare the flat triangles too low to be kept.
    ///
    /// Such a triangle reaches from a short side down a narrow corridor to a far corner; the lines
    /// that leave that corner along the corridor get a corner next to the short side.
    fn relief(&self, noded: &Noded) -> Vec<Cut> {
        let mut cuts = Vec::new();
        for triangle in &self.triangles {
            let points = triangle.map(|n| noded.nodes[n as usize].point);
            let sides: [f64; 3] =
                std::array::from_fn(|i| (points[(i + 2) % 3] - points[(i + 1) % 3]).norm());
            if least_height(points) > RELIEVED_MM {
                continue;
            }
            // Side i lies opposite corner i.
            let far = (0..3).fold(0, |far, i| if sides[i] < sides[far] { i } else { far });
            let middle =
                points[(far + 1) % 3] + (points[(far + 2) % 3] - points[(far + 1) % 3]) / 2.0;
            let towards = middle - points[far];
            for (line, &ends) in noded.lines.iter().enumerate() {
                let Some(end) = ends.iter().position(|&n| n == triangle[far]) else {
                    continue;
                };
                let along = noded.nodes[ends[1 - end] as usize].point - points[far];
                let share = towards.dot(&along) / along.norm_squared();
                let foot = points[far] + along * share;
                let beside = (foot - middle).norm() < 0.5 * towards.norm();
                let inside = share > 0.0 && share < 1.0;
                if inside && beside {
                    cuts.push(Cut { line, point: foot });
                }
            }
        }
        cuts
    }
}

/// Triangles of the flat lower than this get more room (mm); bent, their inner side is lower still.
const RELIEVED_MM: f64 = SNAP_MM;

/// Height of a triangle over its longest side; below zero if its corners run clockwise.
fn least_height(points: [FlatPoint; 3]) -> f64 {
    let longest = (0..3)
        .map(|i| (points[(i + 1) % 3] - points[i]).norm())
        .fold(0.0, f64::max);
    (points[1] - points[0]).perp(&(points[2] - points[0])) / longest
}

/// A corner to be made on a line.
struct Cut {
    line: usize,
    point: FlatPoint,
}

/// Farthest that a corner is moved along an axis for the triangulation (mm): far below the snap distance, and far above what
/// rounding leaves in doubt on a sheet of a metre.
const NUDGED_MM: f64 = 1e-8;

/// A corner as the triangulation is given it, moved a little by its number.
///
/// Rivets in even rows and corners on even rulings lie on common circles by the thousand. Which of two equally good diagonals is
/// drawn there is of no matter, but that they are equal is told by exact arithmetic, which took a third of all meshing. The mesh
/// keeps the corners where they are.
fn to_spade(number: usize, point: FlatPoint) -> spade::Point2<f64> {
    // Steps of the golden ratio and of its square root: fractions that do not repeat.
    let nudge = |step: f64| NUDGED_MM * (2.0 * (number as f64 * step).fract() - 1.0);
    // A coordinate too small for the exact predicates is zero.
    let whole = |x: f64| if x.abs() < 1e-30 { 0.0 } else { x };
    spade::Point2::new(
        whole(point.x + nudge(0.618_033_988_749_894_9)),
        whole(point.y + nudge(0.786_151_377_757_423_3)),
    )
}

/// For each undirected edge the drawing's line that it is, or [`NONE`].
fn line_of_each_edge(cdt: &Cdt, noded: &Noded) -> Result<Vec<u32>, Tangled> {
    let mut lines = vec![NONE; cdt.num_undirected_edges()];
    for (number, &[from, to]) in noded.lines.iter().enumerate() {
        let [from, to] = [from, to].map(|n| FixedVertexHandle::from_index(n as usize));
        // A line that passes through a corner comes out in parts and is not found.
        let edge = cdt.get_edge_from_neighbors(from, to).ok_or(Tangled)?;
        lines[edge.as_undirected().fix().index()] = number as u32;
    }
    Ok(lines)
}

/// What a triangle lies in; numbers are one more than the loop's own, zero is none.
///
/// Loops are told apart by exclusive or, so that a loop is left where its line is met again,
/// whatever other loops were entered in between.
#[derive(Clone, Copy, Default, PartialEq)]
struct Belongs {
    seen: bool,
    outline: bool,
    hole: u32,
    region: u32,
    rivet: u32,
}

impl Belongs {
    fn across(mut self, labels: &[Label]) -> Self {
        for label in labels {
            match label {
                Label::Outline => self.outline = !self.outline,
                Label::Hole(number) => self.hole ^= number + 1,
                Label::Region(number) => self.region ^= number + 1,
                Label::Rivet(number) => self.rivet ^= number + 1,
                Label::Ruling => {}
            }
        }
        self
    }

    fn is_metal(self) -> bool {
        self.outline && self.hole == 0
    }
}

/// Walks over all triangles from outside, taking note of each line that is crossed.
fn flood(cdt: &Cdt, noded: &Noded, lines: &[u32]) -> Vec<Belongs> {
    let mut belongs = vec![Belongs::default(); cdt.num_all_faces()];
    let outside = cdt.outer_face();
    belongs[outside.fix().index()].seen = true;
    let mut open = Vec::new();
    let mut visit = |state: Belongs,
                     edge: spade::handles::DirectedEdgeHandle<'_, _, _, _, _>,
                     open: &mut Vec<_>| {
        let face = edge.rev().face();
        let own = &mut belongs[face.fix().index()];
        if own.seen {
            return;
        }
        let line = lines[edge.as_undirected().fix().index()];
        *own = if line == NONE {
            state
        } else {
            state.across(noded.labels(line as usize))
        };
        if let Some(inner) = face.as_inner() {
            open.push((inner.fix(), *own));
        }
    };
    let start = Belongs {
        seen: true,
        ..Belongs::default()
    };
    for edge in cdt.convex_hull() {
        // The hull's edges have the outer face on their left.
        visit(start, edge, &mut open);
    }
    while let Some((face, state)) = open.pop() {
        for edge in cdt.face(face).adjacent_edges() {
            visit(state, edge, &mut open);
        }
    }
    belongs
}

/// Where lines that the triangulation could not draw cross others: a cut of each.
fn crossings(noded: &Noded, conflicts: &[[usize; 2]]) -> Vec<Cut> {
    let ends = |line: [u32; 2]| line.map(|n| noded.nodes[n as usize].point);
    let mut cuts = Vec::new();
    for conflict in conflicts {
        let mut own = conflict.map(|n| n as u32);
        own.sort_unstable();
        let Ok(line) = noded.lines.binary_search(&own) else {
            continue;
        };
        let [a, b] = ends(own);
        for (other, &met) in noded.lines.iter().enumerate() {
            if met.iter().any(|n| own.contains(n)) {
                continue;
            }
            if let Some((s, _)) = crossing_of([a, b], ends(met)) {
                let point = a + (b - a) * s;
                cuts.push(Cut { line, point });
                cuts.push(Cut { line: other, point });
            }
        }
    }
    cuts
}

/// Cuts lines at points; a point close to a corner of the line, or to another cut, becomes that one.
fn cut_lines(noded: Noded, cuts: Vec<Cut>, drawing: &Drawing<'_>) -> Noded {
    let mut nodes = noded.nodes.clone();
    let count = nodes.len() as u32;
    let mut corners: Vec<(usize, u32)> = Vec::new();
    for cut in cuts {
        let mut known = noded.lines[cut.line]
            .into_iter()
            .chain(count..nodes.len() as u32);
        let near = known.find(|&n| (nodes[n as usize].point - cut.point).norm() < SNAP_MM);
        let corner = near.unwrap_or_else(|| {
            let fallback = Node {
                point: cut.point,
                at: At::Flat,
            };
            nodes.push(located(drawing.stations.as_ref(), cut.point).unwrap_or(fallback));
            nodes.len() as u32 - 1
        });
        corners.push((cut.line, corner));
    }
    corners.sort_unstable();
    corners.dedup();
    let mut pieces = Vec::new();
    for (number, &[from, to]) in noded.lines.iter().enumerate() {
        let low = corners.partition_point(|own| own.0 < number);
        let high = corners.partition_point(|own| own.0 <= number);
        let start = nodes[from as usize].point;
        let off = |n: u32| (nodes[n as usize].point - start).norm_squared();
        let mut chain: Vec<u32> = corners[low..high].iter().map(|own| own.1).collect();
        chain.push(to);
        chain.sort_by(|&p, &q| off(p).total_cmp(&off(q)));
        let mut here = from;
        for corner in chain {
            for &label in noded.labels(number) {
                pieces.push(([here, corner], label));
            }
            here = corner;
        }
    }
    Noded::gathered(nodes, pieces)
}

/// Triangles inside a polygon, anticlockwise, without further corners; `None` if it crosses itself.
pub(crate) fn triangulate_polygon(points: &[FlatPoint]) -> Option<Vec<[u32; 3]>> {
    let n = points.len() as u32;
    let nodes = points
        .iter()
        .map(|&point| Node {
            point,
            at: At::Flat,
        })
        .collect();
    let lines = (0..n).map(|i| ([i, (i + 1) % n], Label::Outline)).collect();
    let noded = Noded::gathered(nodes, lines);
    let corners = points
        .iter()
        .enumerate()
        .map(|(i, &p)| to_spade(i, p))
        .collect();
    let lines = noded
        .lines
        .iter()
        .map(|line| line.map(|i| i as usize))
        .collect();
    let mut crossed = false;
    let cdt = Cdt::try_bulk_load_cdt(corners, lines, |_| crossed = true).ok()?;
    if crossed {
        return None;
    }
    Some(FlatMesh::read(&cdt, &noded).ok()?.triangles)
}
