//! Curves of a drawing joined to closed outlines, and outlines sorted into plates and their holes.

use crate::drawn::DrawnCurve;
use crate::faces::outer_loop;
use crate::nest::nest;
use crate::overlap::{crossing, cut_at_overlaps};
use crate::role::Role;
use crate::{ArtworkError, Label};
use geom::math::PI;
use geom::{BulgeVertex, Chain, Outline, Point2, Segment};
use std::collections::{BTreeMap, HashMap};

/// How curves are joined (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JoinTolerance {
    /// Ends this close are one point; a drawing program's own rounding is far below it.
    pub together: f64,
    /// Loose ends up to this far apart are joined too, and reported as gaps.
    pub gap: f64,
}

impl Default for JoinTolerance {
    /// Chosen, not sourced: 0.005 mm is a tenth of what an etcher holds between centres; 0.5 mm is
    /// less than the narrowest opening that anyone leaves on purpose.
    fn default() -> Self {
        Self {
            together: 0.005,
            gap: 0.5,
        }
    }
}

/// A closed outline of a drawing with the openings in it.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnShape {
    /// The outline, anticlockwise.
    pub outline: Outline,
    /// Closed outlines directly within it, anticlockwise: holes, half-etched places, rivets.
    pub holes: Vec<Outline>,
    /// Borders of what is on it and is no opening, where the drawing tells them apart.
    pub details: Vec<DrawnDetail>,
    /// Layer of the outline.
    pub layer: String,
    /// Texts within it, and not within a shape that stands in one of its holes.
    pub labels_inside: Vec<Label>,
}

/// The border of a half-etched place, of a place left proud, or of a rivet.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnDetail {
    /// Its border, anticlockwise.
    pub outline: Outline,
    /// What it is.
    pub role: Role,
    /// Its layer.
    pub layer: String,
}

/// A closed outline before it is known what it lies in.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Closed {
    pub(crate) outline: Outline,
    pub(crate) layer: String,
    pub(crate) role: Role,
}

/// Loose ends that were joined.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenGap {
    /// Middle of the gap.
    pub at: Point2,
    /// Distance between the ends (mm).
    pub size: f64,
    /// Layer of the curves.
    pub layer: String,
}

/// Curves that run on from one another but enclose nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenChain {
    /// The curves, not in order.
    pub segments: Vec<Segment>,
    /// Their layer.
    pub layer: String,
}

impl OpenChain {
    /// Length of all its curves (mm).
    pub fn length(&self) -> f64 {
        self.segments.iter().map(Segment::length).sum()
    }
}

/// A drawing sorted out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct JoinedArtwork {
    /// Closed outlines with their holes.
    pub shapes: Vec<DrawnShape>,
    /// Gaps that were joined.
    pub gaps: Vec<OpenGap>,
    /// Curves and outlines drawn again, and dropped: where, and on which layer.
    pub duplicates: Vec<(Point2, String)>,
    /// What encloses nothing: marks, fold lines, broken outlines.
    pub open: Vec<OpenChain>,
    /// Frames round several shapes, taken for the edge of the sheet and left out.
    pub borders: Vec<Outline>,
    /// Texts that lie within no shape.
    pub labels_outside: Vec<Label>,
    /// Half-etched places, rivets and the like that lie on no shape.
    pub details_outside: Vec<DrawnDetail>,
    /// Where outlines cross themselves, and on which layer.
    pub crossings: Vec<(Point2, String)>,
    /// Number of curves that are part of no plate, by what they stand for.
    pub set_aside: BTreeMap<Role, usize>,
}

/// Joins curves to closed outlines, layer by layer, and sorts outlines into plates and holes.
///
/// # Accuracy
///
/// Ends that are joined move by half the gap at most; true arcs stay arcs.
///
/// # Errors
///
/// [`ArtworkError::TooIntricate`] for outlines nested by the ten thousand.
pub fn join(
    pieces: &[DrawnCurve],
    labels: &[Label],
    tolerance: JoinTolerance,
) -> Result<JoinedArtwork, ArtworkError> {
    let mut joined = JoinedArtwork::default();
    let mut by_layer: BTreeMap<(&str, Role), Vec<Segment>> = BTreeMap::new();
    for piece in pieces {
        if piece.role.is_of_plates() {
            let own = by_layer.entry((&piece.layer, piece.role)).or_default();
            own.push(piece.segment);
        } else {
            *joined.set_aside.entry(piece.role).or_insert(0) += 1;
        }
    }
    let mut outlines = Vec::new();
    for ((layer, role), segments) in by_layer {
        let closed = |outline| Closed {
            outline,
            layer: layer.to_owned(),
            role,
        };
        let (whole, segments) = closed_by_themselves(segments, role);
        outlines.extend(whole.into_iter().map(closed));
        let segments = cut_at_overlaps(segments, tolerance.together);
        let mut own = LayerJoin::new(segments, tolerance);
        outlines.extend(own.circles.drain(..).filter_map(|circle| match circle {
            Segment::Arc(arc) => Some(closed(Outline::circle(arc.centre, arc.radius))),
            Segment::Line { .. } => None,
        }));
        own.drop_duplicates(layer, &mut joined.duplicates);
        own.close_gaps(layer, tolerance, &mut joined.gaps);
        for component in own.components() {
            let (found, rest) = own.sorted_out(&component);
            outlines.extend(found.map(closed));
            if !rest.is_empty() {
                joined.open.push(OpenChain {
                    segments: rest,
                    layer: layer.to_owned(),
                });
            }
        }
    }
    drop_same_outlines(&mut outlines, &mut joined.duplicates);
    for closed in &outlines {
        if let Some(place) = crossing(&closed.outline, tolerance.together) {
            joined.crossings.push((place, closed.layer.clone()));
        }
    }
    nest(outlines, labels, &mut joined)?;
    Ok(joined)
}

/// Ends of a curve that runs on from the one before are closer than this (mm).
const RUNS_ON: f64 = 1e-6;

/// Takes out circles drawn as arcs, and rivets, that were drawn in one go: they may touch one another, and joined
/// by their ends alone two that touch would be one.
fn closed_by_themselves(segments: Vec<Segment>, role: Role) -> (Vec<Outline>, Vec<Segment>) {
    let (mut whole, mut rest) = (Vec::new(), Vec::with_capacity(segments.len()));
    let mut from = 0;
    while from < segments.len() {
        let (run, is_closed) = drawn_in_one_go(&segments[from..]);
        let own = &segments[from..from + run];
        from += run;
        let outline = is_closed
            .then(|| {
                circle_of(own).or_else(|| {
                    let chain = Chain::from_segments(own.iter().copied());
                    (role == Role::Rivet).then(|| Outline::from_chain(&chain).ok())?
                })
            })
            .flatten();
        match outline {
            Some(outline) => whole.push(anticlockwise(outline)),
            None => rest.extend_from_slice(own),
        }
    }
    (whole, rest)
}

/// How many of the first curves run on from one another, until they are back where they began; and whether they are.
fn drawn_in_one_go(segments: &[Segment]) -> (usize, bool) {
    let start = segments[0].start();
    let mut end = segments[0].end();
    for (n, next) in segments.iter().enumerate().skip(1) {
        if (next.start() - end).norm() > RUNS_ON {
            return (n, false);
        }
        end = next.end();
        if (end - start).norm() <= RUNS_ON {
            return (n + 1, true);
        }
    }
    (segments.len(), false)
}

/// The circle that arcs make, if they are all of it.
fn circle_of(arcs: &[Segment]) -> Option<Outline> {
    let mut turn = 0.0;
    let mut whole: Option<(Point2, f64)> = None;
    for piece in arcs {
        let Segment::Arc(arc) = piece else {
            return None;
        };
        let (centre, radius) = *whole.get_or_insert((arc.centre, arc.radius));
        if (arc.centre - centre).norm() > RUNS_ON || (arc.radius - radius).abs() > RUNS_ON {
            return None;
        }
        turn += arc.sweep;
    }
    let (centre, radius) = whole?;
    ((turn.abs() - 2.0 * PI).abs() < 1e-6).then(|| Outline::circle(centre, radius))
}

/// A curve between two joined ends.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Link {
    pub(crate) segment: Segment,
    pub(crate) from: usize,
    pub(crate) to: usize,
}

struct LayerJoin {
    links: Vec<Link>,
    nodes: Vec<Point2>,
    circles: Vec<Segment>,
}

impl LayerJoin {
    fn new(segments: Vec<Segment>, tolerance: JoinTolerance) -> Self {
        let mut grid = Grid::new(tolerance.together);
        let mut own = Self {
            links: Vec::new(),
            nodes: Vec::new(),
            circles: Vec::new(),
        };
        for whole in segments {
            if whole.turn().abs() > 2.0 * PI - 1e-6 {
                own.circles.push(whole);
                continue;
            }
            // Arcs beyond a half turn are halved, so that a bulge describes each part well.
            let parts = if whole.turn().abs() > PI {
                vec![whole.part(0.0, 0.5), whole.part(0.5, 1.0)]
            } else {
                vec![whole]
            };
            for segment in parts {
                let from = grid.node(segment.start(), &mut own.nodes);
                let to = grid.node(segment.end(), &mut own.nodes);
                if from != to {
                    own.links.push(Link { segment, from, to });
                }
            }
        }
        own
    }

    /// Drops curves whose ends and middle are those of another.
    fn drop_duplicates(&mut self, layer: &str, found: &mut Vec<(Point2, String)>) {
        let mut by_ends: HashMap<(usize, usize), Vec<Point2>> = HashMap::new();
        self.links.retain(|link| {
            let middle = link.segment.point_at(0.5);
            let same = by_ends
                .entry((link.from.min(link.to), link.from.max(link.to)))
                .or_default();
            let again = same
                .iter()
                .rev()
                .take(LOOKED_AT)
                .any(|other| (other - middle).norm() < SAME);
            if again {
                found.push((middle, layer.to_owned()));
            } else {
                same.push(middle);
            }
            !again
        });
    }

    /// Joins the nearest loose ends within the gap tolerance.
    fn close_gaps(&mut self, layer: &str, tolerance: JoinTolerance, gaps: &mut Vec<OpenGap>) {
        let degree = self.degrees();
        let loose: Vec<usize> = (0..self.nodes.len()).filter(|&n| degree[n] == 1).collect();
        let mut pairs = Vec::new();
        let cell = |p: Point2| {
            (
                (p.x / tolerance.gap).floor() as i64,
                (p.y / tolerance.gap).floor() as i64,
            )
        };
        let mut cells: HashMap<(i64, i64), Vec<usize>> = HashMap::new();
        for &node in &loose {
            cells.entry(cell(self.nodes[node])).or_default().push(node);
        }
        for &node in &loose {
            let (cx, cy) = cell(self.nodes[node]);
            for key in (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (cx + dx, cy + dy))) {
                for &other in cells.get(&key).into_iter().flatten().take(LOOSE_IN_A_CELL) {
                    let size = (self.nodes[other] - self.nodes[node]).norm();
                    if other > node && size <= tolerance.gap {
                        pairs.push((size, node, other));
                    }
                }
            }
        }
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        let mut taken = vec![false; self.nodes.len()];
        for (size, a, b) in pairs {
            if !taken[a] && !taken[b] {
                gaps.push(OpenGap {
                    at: Point2::from((self.nodes[a].coords + self.nodes[b].coords) / 2.0),
                    size,
                    layer: layer.to_owned(),
                });
                self.links.push(Link {
                    segment: Segment::line(self.nodes[a], self.nodes[b]),
                    from: a,
                    to: b,
                });
                taken[a] = true;
                taken[b] = true;
            }
        }
    }

    fn degrees(&self) -> Vec<usize> {
        let mut degree = vec![0; self.nodes.len()];
        for link in &self.links {
            degree[link.from] += 1;
            degree[link.to] += 1;
        }
        degree
    }

    /// Numbers of the links of each connected run.
    fn components(&self) -> Vec<Vec<usize>> {
        let mut parent: Vec<usize> = (0..self.nodes.len()).collect();
        fn root(parent: &mut [usize], mut n: usize) -> usize {
            while parent[n] != n {
                parent[n] = parent[parent[n]];
                n = parent[n];
            }
            n
        }
        for link in &self.links {
            let (a, b) = (root(&mut parent, link.from), root(&mut parent, link.to));
            parent[a.max(b)] = a.min(b);
        }
        let mut runs: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (i, link) in self.links.iter().enumerate() {
            runs.entry(root(&mut parent, link.from))
                .or_default()
                .push(i);
        }
        runs.into_values().collect()
    }

    /// A closed outline of a connected run, if there is one in it, and the curves that are no part of it.
    fn sorted_out(&self, run: &[usize]) -> (Option<Outline>, Vec<Segment>) {
        let links: Vec<Link> = run.iter().map(|&i| self.links[i]).collect();
        let (closed, rest) = outer_loop(&links);
        let vertices: Vec<BulgeVertex> = closed
            .iter()
            .map(|link| BulgeVertex {
                point: self.nodes[link.from],
                bulge: link.segment.bulge(),
            })
            .collect();
        let outline = anticlockwise(Outline::from_vertices(&vertices));
        let found = (!outline.segments().is_empty()).then_some(outline);
        (found, rest.iter().map(|link| link.segment).collect())
    }
}

/// Middles and sizes this close are the same (mm): twice the rounding of three decimals.
const SAME: f64 = 0.01;

/// Curves between the same two ends, or outlines from the same corner, that are looked at for repeats.
const LOOKED_AT: usize = 64;

/// Loose ends looked at in one cell of the gap grid; more than this is hatching, not outlines.
const LOOSE_IN_A_CELL: usize = 64;

fn anticlockwise(outline: Outline) -> Outline {
    if outline.area() < 0.0 {
        outline.reversed()
    } else {
        outline
    }
}

/// Drops outlines that are drawn again, on the same layer or on another.
fn drop_same_outlines(outlines: &mut Vec<Closed>, found: &mut Vec<(Point2, String)>) {
    /// Box corners, perimeter, and the role of a detail: a place etched all over has its plate's outline.
    type Measure = (Point2, Point2, f64, Option<Role>);
    let mut seen: HashMap<(i64, i64), Vec<Measure>> = HashMap::new();
    outlines.retain(
        |Closed {
             outline,
             layer,
             role,
         }| {
            let detail = role.is_detail().then_some(*role);
            let (low, high) = outline.bounds();
            let size = outline.perimeter();
            let cell = ((low.x / SAME).round() as i64, (low.y / SAME).round() as i64);
            let again = (-1..=1)
                .flat_map(|dx| (-1..=1).map(move |dy| (cell.0 + dx, cell.1 + dy)))
                .any(|key| {
                    seen.get(&key).is_some_and(|others| {
                        others.iter().rev().take(LOOKED_AT).any(|(l, h, p, d)| {
                            *d == detail
                                && (l - low).norm() < SAME
                                && (h - high).norm() < SAME
                                && (p - size).abs() < SAME
                        })
                    })
                });
            if again {
                found.push((low, layer.clone()));
            } else {
                seen.entry(cell)
                    .or_default()
                    .push((low, high, size, detail));
            }
            !again
        },
    );
}

/// Ends gathered to nodes through a grid of cells as wide as the tolerance.
struct Grid {
    tolerance: f64,
    cells: HashMap<(i64, i64), Vec<usize>>,
}

impl Grid {
    fn new(tolerance: f64) -> Self {
        Self {
            tolerance,
            cells: HashMap::new(),
        }
    }

    fn node(&mut self, point: Point2, nodes: &mut Vec<Point2>) -> usize {
        let cell = |x: f64| (x / self.tolerance).floor() as i64;
        let (cx, cy) = (cell(point.x), cell(point.y));
        let mut best: Option<(f64, usize)> = None;
        for key in (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (cx + dx, cy + dy))) {
            for &node in self.cells.get(&key).into_iter().flatten() {
                let distance = (nodes[node] - point).norm();
                if distance <= self.tolerance && best.is_none_or(|(d, _)| distance < d) {
                    best = Some((distance, node));
                }
            }
        }
        best.map_or_else(
            || {
                nodes.push(point);
                self.cells
                    .entry((cx, cy))
                    .or_default()
                    .push(nodes.len() - 1);
                nodes.len() - 1
            },
            |(_, node)| node,
        )
    }
}
