//! The sheet cut along its borders between strips: nodes, edges and cells.
//!
//! A *piece* is a part of the boundary inside one strip, a *crossing* a part of a border ruling
//! inside the sheet. A *cell* is what is left of one strip; it becomes one face on each skin.

use super::run::{Run, SAME_Y, boundary_loops};
use super::skins::{Skins, Spot};
use crate::SolidError;
use body::Plate;
use develop::DevelopError;
use geom::Point3;

/// Ends of neighbouring boundary curves may lie this far apart (mm).
const JOIN_MM: f64 = 1e-6;

/// A corner of the net.
#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    pub(super) spot: Spot,
    /// A strip that it belongs to.
    pub(super) strip: usize,
    /// The border that it lies on.
    border: Option<usize>,
}

/// A part of the boundary inside one strip.
pub(super) struct Piece<'a> {
    pub(super) run: Run<'a>,
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) strip: usize,
    pub(super) start: usize,
    pub(super) end: usize,
    /// Lies at an apex: a point in space.
    pub(super) is_apex: bool,
}

/// A part of a border ruling inside the sheet, from a lower to a higher x.
#[derive(Clone, Copy, Debug)]
pub(super) struct Crossing {
    pub(super) start: usize,
    pub(super) end: usize,
    /// The strip before the border; the next one lies behind it.
    pub(super) before: usize,
}

/// A directed edge of a cell.
#[derive(Clone, Copy, Debug)]
pub(super) enum Side {
    /// A piece, in its own direction.
    Piece(usize),
    /// A crossing, in its own direction or against it.
    Crossing(usize, bool),
}

/// A part of a strip: one outer loop, then its openings, metal on the left of each.
pub(super) struct Cell {
    pub(super) strip: usize,
    pub(super) loops: Vec<Vec<Side>>,
}

/// The net of a plate.
pub(super) struct Net<'a> {
    pub(super) skins: Skins<'a>,
    pub(super) nodes: Vec<Node>,
    pub(super) pieces: Vec<Piece<'a>>,
    pub(super) crossings: Vec<Crossing>,
    pub(super) cells: Vec<Cell>,
}

impl Piece<'_> {
    /// The spot at a fraction of the piece, kept inside its strip; not a number where the curve
    /// leaves the sheet between the samples that were tried.
    pub(super) fn spot(&self, skins: &Skins<'_>, fraction: f64) -> Spot {
        let t = self.from + (self.to - self.from) * fraction;
        let strip = &skins.strips[self.strip];
        self.run
            .spot(t)
            .map_or(Spot::new(f64::NAN, f64::NAN), |spot| {
                Spot::new(spot.x, spot.y.clamp(strip.from, strip.to))
            })
    }
}

impl<'a> Net<'a> {
    /// Cuts a plate's sheet.
    ///
    /// # Errors
    ///
    /// [`SolidError::Develop`] for a curve that leaves the sheet, [`SolidError::Open`] and
    /// [`SolidError::Touching`] for boundaries that bound nothing, and those of [`Skins::of`].
    pub(super) fn of(plate: &'a Plate) -> Result<Self, SolidError> {
        let develop = |cause| SolidError::Develop {
            plate: plate.id.clone(),
            cause,
        };
        let loops = boundary_loops(plate);
        let spans = loops[1..]
            .iter()
            .map(|runs| span_of(runs))
            .collect::<Result<Vec<_>, _>>()
            .map_err(develop)?;
        let mut net = Self {
            skins: Skins::of(plate, &spans)?,
            nodes: Vec::new(),
            pieces: Vec::new(),
            crossings: Vec::new(),
            cells: Vec::new(),
        };
        for runs in &loops {
            net.cut(plate, runs)?;
        }
        net.cross();
        for strip in 0..net.skins.strips.len() {
            let cells = net.chain(strip).ok_or_else(|| SolidError::Touching {
                plate: plate.id.clone(),
            })?;
            net.cells.extend(cells);
        }
        Ok(net)
    }

    /// Cuts one closed boundary into pieces.
    fn cut(&mut self, plate: &Plate, runs: &[Run<'a>]) -> Result<(), SolidError> {
        let develop = |cause| SolidError::Develop {
            plate: plate.id.clone(),
            cause,
        };
        let borders = self.skins.borders();
        let (first_piece, first_node) = (self.pieces.len(), self.nodes.len());
        let mut before: Option<Point3> = None;
        for run in runs {
            let breaks = run.breaks(&self.skins).map_err(develop)?;
            let breaks = self.with_kinks(run, breaks, &borders).map_err(develop)?;
            for part in breaks.windows(2) {
                let strip = self.strip_of(run, part, &borders).map_err(develop)?;
                let spot = snapped(run.spot(part[0]).map_err(develop)?, &borders);
                let node = self.nodes.len();
                self.nodes.push(Node {
                    spot,
                    strip,
                    border: borders.iter().position(|b| *b == spot.y),
                });
                let here = self.skins.point(strip, spot, 0.0);
                self.refuse_gap(plate, before, here)?;
                let end = run.spot(part[1]).map_err(develop)?;
                before = Some(self.skins.point(strip, snapped(end, &borders), 0.0));
                let (x0, x1) = (spot.x, end.x);
                self.pieces.push(Piece {
                    run: *run,
                    from: part[0],
                    to: part[1],
                    strip,
                    start: node,
                    end: node + 1,
                    is_apex: self.skins.is_apex(strip, x0)
                        && self.skins.is_apex(strip, x1)
                        && (x1 - x0).abs() < 1e-9,
                });
            }
        }
        match (self.pieces.last_mut(), self.nodes.get(first_node)) {
            (Some(last), Some(node)) if self.nodes.len() > first_node => {
                last.end = first_node;
                let here = self
                    .skins
                    .point(self.pieces[first_piece].strip, node.spot, 0.0);
                self.refuse_gap(plate, before, here)
            }
            _ => Err(SolidError::Touching {
                plate: plate.id.clone(),
            }),
        }
    }

    /// Parts of a run cut once more where they pass from one polynomial of their strip into the next.
    fn with_kinks(
        &self,
        run: &Run<'_>,
        mut breaks: Vec<f64>,
        borders: &[f64],
    ) -> Result<Vec<f64>, DevelopError> {
        let mut kinks = Vec::new();
        for part in breaks.windows(2) {
            let strip = self.strip_of(run, part, borders)?;
            for x in self.skins.kinks(strip) {
                kinks.extend(run.passes(part, *x)?);
            }
        }
        breaks.extend(kinks);
        breaks.sort_by(f64::total_cmp);
        Ok(breaks)
    }

    fn refuse_gap(
        &self,
        plate: &Plate,
        before: Option<Point3>,
        here: Point3,
    ) -> Result<(), SolidError> {
        let gap_mm = before.map_or(0.0, |end| (here - end).norm());
        if gap_mm <= JOIN_MM {
            return Ok(());
        }
        Err(SolidError::Open {
            plate: plate.id.clone(),
            gap_mm,
            at: here,
        })
    }

    /// The strip that has the metal to the left of a part of a run.
    fn strip_of(
        &self,
        run: &Run<'_>,
        part: &[f64],
        borders: &[f64],
    ) -> Result<usize, DevelopError> {
        let last = self.skins.strips.len() - 1;
        if borders.is_empty() {
            return Ok(0);
        }
        let at = |f: f64| run.spot(part[0] + (part[1] - part[0]) * f);
        let (start, middle, end) = (at(0.0)?, at(0.5)?, at(1.0)?);
        let on = |border: &f64| {
            [start, middle, end]
                .iter()
                .all(|spot| (spot.y - border).abs() <= SAME_Y)
        };
        if let Some(border) = borders.iter().position(on) {
            // Towards the rear the metal lies on the side of growing y.
            let strip = if end.x > start.x {
                border
            } else {
                border.saturating_sub(1)
            };
            return Ok(strip.min(last));
        }
        let passed = borders.iter().filter(|b| **b <= middle.y).count();
        Ok(passed.saturating_sub(1).min(last))
    }

    /// Finds the parts of border rulings that lie inside the sheet.
    fn cross(&mut self) {
        let n = self.skins.strips.len();
        for border in 1..n {
            let mut on: Vec<usize> = (0..self.nodes.len())
                .filter(|i| self.nodes[*i].border == Some(border))
                .collect();
            on.sort_by(|a, b| self.nodes[*a].spot.x.total_cmp(&self.nodes[*b].spot.x));
            let above = self.windings(border, border, &on);
            let below = self.windings(border, border - 1, &on);
            for i in 1..on.len() {
                if above[i] > 0 && below[i] > 0 {
                    self.crossings.push(Crossing {
                        start: on[i - 1],
                        end: on[i],
                        before: border - 1,
                    });
                }
            }
        }
    }

    /// Times that the boundaries go round each gap before a node of a border, just inside `strip`.
    ///
    /// A ray along the border towards the rear meets, of that strip, only the pieces that begin or
    /// end at a node ahead.
    fn windings(&self, border: usize, strip: usize, on: &[usize]) -> Vec<i32> {
        let is_upper = strip == border;
        let mut winding = 0;
        let mut windings = vec![0; on.len()];
        for (i, node) in on.iter().enumerate().rev() {
            for piece in self.pieces.iter().filter(|piece| piece.strip == strip) {
                if self.lies_on(piece, border) {
                    continue;
                }
                let leaves = i32::from(piece.start == *node);
                let arrives = i32::from(piece.end == *node);
                winding += if is_upper {
                    leaves - arrives
                } else {
                    arrives - leaves
                };
            }
            windings[i] = winding;
        }
        windings
    }

    fn lies_on(&self, piece: &Piece<'_>, border: usize) -> bool {
        let on = |node: usize| self.nodes[node].border == Some(border);
        let edge = if piece.strip == border {
            self.skins.strips[piece.strip].from
        } else {
            self.skins.strips[piece.strip].to
        };
        on(piece.start) && on(piece.end) && (piece.spot(&self.skins, 0.5).y - edge).abs() <= SAME_Y
    }

    /// Joins the sides of a strip to loops and the loops to cells; `None` where two boundaries touch.
    fn chain(&self, strip: usize) -> Option<Vec<Cell>> {
        let mut sides = Vec::new();
        for (i, piece) in self.pieces.iter().enumerate() {
            if piece.strip == strip {
                sides.push((piece.start, piece.end, Side::Piece(i)));
            }
        }
        for (i, crossing) in self.crossings.iter().enumerate() {
            if crossing.before + 1 == strip {
                sides.push((crossing.start, crossing.end, Side::Crossing(i, true)));
            } else if crossing.before == strip {
                sides.push((crossing.end, crossing.start, Side::Crossing(i, false)));
            }
        }
        let mut next = vec![None; self.nodes.len()];
        for (k, side) in sides.iter().enumerate() {
            if next[side.0].replace(k).is_some() {
                return None;
            }
        }
        let mut loops = Vec::new();
        for first in 0..self.nodes.len() {
            let mut run = Vec::new();
            let mut at = first;
            while let Some(k) = next[at].take() {
                run.push(sides[k].2);
                at = sides[k].1;
            }
            if !run.is_empty() {
                if at != first {
                    return None;
                }
                loops.push(run);
            }
        }
        self.nest(strip, loops)
    }

    /// Gives every opening to the outer loop round it.
    fn nest(&self, strip: usize, loops: Vec<Vec<Side>>) -> Option<Vec<Cell>> {
        let polygons: Vec<Vec<Spot>> = loops.iter().map(|sides| self.polygon(sides)).collect();
        let mut cells: Vec<(usize, Cell)> = Vec::new();
        let mut openings = Vec::new();
        for (i, sides) in loops.into_iter().enumerate() {
            if area(&polygons[i]) > 0.0 {
                let loops = vec![sides];
                cells.push((i, Cell { strip, loops }));
            } else {
                openings.push((i, sides));
            }
        }
        for (i, sides) in openings {
            let (_, cell) = cells
                .iter_mut()
                .find(|(outer, _)| contains(&polygons[*outer], polygons[i][0]))?;
            cell.loops.push(sides);
        }
        Some(cells.into_iter().map(|(_, cell)| cell).collect())
    }

    fn polygon(&self, sides: &[Side]) -> Vec<Spot> {
        const CHORDS: usize = 24;
        let mut corners = Vec::new();
        for side in sides {
            match side {
                Side::Piece(i) => corners.extend(
                    (0..CHORDS)
                        .map(|k| self.pieces[*i].spot(&self.skins, k as f64 / CHORDS as f64)),
                ),
                Side::Crossing(i, forward) => {
                    let crossing = &self.crossings[*i];
                    let node = if *forward {
                        crossing.start
                    } else {
                        crossing.end
                    };
                    corners.push(self.nodes[node].spot);
                }
            }
        }
        corners
    }
}

/// Least and greatest y of a closed boundary, from samples.
fn span_of(runs: &[Run<'_>]) -> Result<(f64, f64), DevelopError> {
    let mut span = (f64::INFINITY, f64::NEG_INFINITY);
    for run in runs {
        for i in 0..=32 {
            let y = run.spot(f64::from(i) / 32.0)?.y;
            span = (span.0.min(y), span.1.max(y));
        }
    }
    Ok(span)
}

fn snapped(spot: Spot, borders: &[f64]) -> Spot {
    let border = borders.iter().find(|b| (spot.y - **b).abs() <= SAME_Y);
    Spot::new(spot.x, border.copied().unwrap_or(spot.y))
}

fn area(polygon: &[Spot]) -> f64 {
    let n = polygon.len();
    (0..n)
        .map(|i| polygon[i].coords.perp(&polygon[(i + 1) % n].coords) / 2.0)
        .sum()
}

fn contains(polygon: &[Spot], spot: Spot) -> bool {
    let n = polygon.len();
    let crossings = (0..n).filter(|&i| {
        let (a, b) = (polygon[i], polygon[(i + 1) % n]);
        (a.y <= spot.y) != (b.y <= spot.y)
            && a.x + (spot.y - a.y) / (b.y - a.y) * (b.x - a.x) > spot.x
    });
    crossings.count() % 2 == 1
}
