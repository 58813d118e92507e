//! The cells of one skin: parts of one strip at one height.
//!
//! Metal that goes on at the same height is not divided, whatever the other skin does there.

use super::net::Net;
use super::run::SAME_Y;
use super::skins::Spot;
use std::collections::BTreeMap;

/// A part of a border ruling inside the sheet, from a lower to a higher x.
#[derive(Clone, Copy, Debug)]
pub(super) struct Crossing {
    pub(super) start: usize,
    pub(super) end: usize,
    /// The strip before the border; the next one lies behind it.
    pub(super) before: usize,
    /// Its height.
    pub(super) level: usize,
}

/// A directed edge of a cell, in its own direction or against it.
#[derive(Clone, Copy, Debug)]
pub(super) enum Side {
    Piece(usize, bool),
    Crossing(usize, bool),
}

/// A part of a strip: one outer loop, then its openings, metal on the left of each.
pub(super) struct Cell {
    pub(super) strip: usize,
    pub(super) level: usize,
    pub(super) loops: Vec<Vec<Side>>,
}

/// One skin of a plate.
pub(super) struct Layer {
    pub(super) crossings: Vec<Crossing>,
    pub(super) cells: Vec<Cell>,
}

/// Start, end and name of an edge.
type Link = (usize, usize, Side);

impl Layer {
    /// The inner or outer skin of a net; `None` where two boundaries touch.
    pub(super) fn of(net: &Net<'_>, skin: usize) -> Option<Self> {
        let mut sketch = Sketch::of(net, skin);
        for border in 1..net.skins.strips.len() {
            sketch.cross(border);
        }
        let mut cells = Vec::new();
        for ((strip, level), links) in sketch.links() {
            // The dome closes it.
            if level == net.levels.open {
                continue;
            }
            for loops in sketch.nest(sketch.chain(&links)?)? {
                cells.push(Cell {
                    strip,
                    level,
                    loops,
                });
            }
        }
        Some(Self {
            crossings: sketch.crossings,
            cells,
        })
    }
}

struct Sketch<'n, 'a> {
    net: &'n Net<'a>,
    skin: usize,
    /// Pieces at which this skin ends or steps.
    pieces: Vec<usize>,
    /// Those of them that each node ends.
    at_node: Vec<Vec<usize>>,
    crossings: Vec<Crossing>,
}

impl<'n, 'a> Sketch<'n, 'a> {
    fn of(net: &'n Net<'a>, skin: usize) -> Self {
        let pieces: Vec<usize> = (0..net.pieces.len())
            .filter(|i| net.pieces[*i].is_on(&net.levels, skin))
            .collect();
        let mut at_node = vec![Vec::new(); net.nodes.len()];
        for &i in &pieces {
            at_node[net.pieces[i].start].push(i);
            at_node[net.pieces[i].end].push(i);
        }
        Self {
            net,
            skin,
            pieces,
            at_node,
            crossings: Vec::new(),
        }
    }

    fn level(&self, field: usize) -> usize {
        self.net.levels.fields[field][self.skin]
    }

    /// Finds the parts of a border ruling that lie inside the sheet, and at which height.
    fn cross(&mut self, border: usize) {
        let nodes = &self.net.nodes;
        let mut on: Vec<usize> = (0..nodes.len())
            .filter(|i| nodes[*i].border == Some(border) && !self.at_node[*i].is_empty())
            .collect();
        on.sort_by(|a, b| nodes[*a].spot.x.total_cmp(&nodes[*b].spot.x));
        let above = self.windings(border, border, &on);
        let below = self.windings(border, border - 1, &on);
        for i in 1..on.len() {
            // On either side of a step along the border the heights differ.
            let level = (0..self.net.levels.open).find(|&z| above[i][z] > 0 && below[i][z] > 0);
            self.crossings.extend(level.map(|level| Crossing {
                start: on[i - 1],
                end: on[i],
                before: border - 1,
                level,
            }));
        }
    }

    /// Times that metal of each height is gone round by its boundaries, in each gap before a node of
    /// a border, just inside `strip`.
    ///
    /// A ray along the border towards the rear meets, of that strip, only the pieces that begin or
    /// end at a node ahead.
    fn windings(&self, border: usize, strip: usize, on: &[usize]) -> Vec<Vec<i32>> {
        let is_upper = strip == border;
        // The last is that of openings under domes.
        let mut winding = vec![0; self.net.levels.open + 1];
        let mut windings = vec![winding.clone(); on.len()];
        for (i, node) in on.iter().enumerate().rev() {
            for &k in &self.at_node[*node] {
                let piece = &self.net.pieces[k];
                if piece.strip != strip || self.lies_on(k, border) {
                    continue;
                }
                let turn = i32::from(piece.start == *node) - i32::from(piece.end == *node);
                let turn = if is_upper { turn } else { -turn };
                winding[self.level(piece.left)] += turn;
                if let Some(right) = piece.right {
                    winding[self.level(right.field)] -= turn;
                }
            }
            windings[i].clone_from(&winding);
        }
        windings
    }

    fn lies_on(&self, piece: usize, border: usize) -> bool {
        let piece = &self.net.pieces[piece];
        let on = |node: usize| self.net.nodes[node].border == Some(border);
        let y = self.net.skins.strips[border].from;
        on(piece.start) && on(piece.end) && (piece.spot(&self.net.skins, 0.5).y - y).abs() <= SAME_Y
    }

    /// The edges round the metal of each strip at each height, metal on their left.
    fn links(&self) -> BTreeMap<(usize, usize), Vec<Link>> {
        let mut links: BTreeMap<(usize, usize), Vec<Link>> = BTreeMap::new();
        for &i in &self.pieces {
            let piece = &self.net.pieces[i];
            links
                .entry((piece.strip, self.level(piece.left)))
                .or_default()
                .push((piece.start, piece.end, Side::Piece(i, true)));
            if let Some(right) = piece.right {
                links
                    .entry((right.strip, self.level(right.field)))
                    .or_default()
                    .push((piece.end, piece.start, Side::Piece(i, false)));
            }
        }
        for (i, crossing) in self.crossings.iter().enumerate() {
            let (start, end) = (crossing.start, crossing.end);
            links
                .entry((crossing.before + 1, crossing.level))
                .or_default()
                .push((start, end, Side::Crossing(i, true)));
            links
                .entry((crossing.before, crossing.level))
                .or_default()
                .push((end, start, Side::Crossing(i, false)));
        }
        links
    }

    /// Joins edges to loops; `None` where two boundaries touch.
    fn chain(&self, links: &[Link]) -> Option<Vec<Vec<Side>>> {
        let mut next = vec![None; self.net.nodes.len()];
        for (k, link) in links.iter().enumerate() {
            if next[link.0].replace(k).is_some() {
                return None;
            }
        }
        let mut loops = Vec::new();
        for first in 0..next.len() {
            let mut run = Vec::new();
            let mut at = first;
            while let Some(k) = next[at].take() {
                run.push(links[k].2);
                at = links[k].1;
            }
            if !run.is_empty() {
                if at != first {
                    return None;
                }
                loops.push(run);
            }
        }
        Some(loops)
    }

    /// Gives every opening to the closest outer loop round it.
    fn nest(&self, loops: Vec<Vec<Side>>) -> Option<Vec<Vec<Vec<Side>>>> {
        let polygons: Vec<Vec<Spot>> = loops.iter().map(|sides| self.polygon(sides)).collect();
        let mut cells: Vec<(usize, Vec<Vec<Side>>)> = Vec::new();
        let mut openings = Vec::new();
        for (i, sides) in loops.into_iter().enumerate() {
            if area(&polygons[i]) > 0.0 {
                cells.push((i, vec![sides]));
            } else {
                openings.push((i, sides));
            }
        }
        for (i, sides) in openings {
            let (_, cell) = cells
                .iter_mut()
                .filter(|(outer, _)| contains(&polygons[*outer], polygons[i][0]))
                .min_by(|(a, _), (b, _)| area(&polygons[*a]).total_cmp(&area(&polygons[*b])))?;
            cell.push(sides);
        }
        Some(cells.into_iter().map(|(_, cell)| cell).collect())
    }

    fn polygon(&self, sides: &[Side]) -> Vec<Spot> {
        let mut corners = Vec::new();
        for side in sides {
            match side {
                Side::Piece(i, forward) => {
                    // The last end is the next side's.
                    let spots = self.net.pieces[*i].chords(&self.net.skins);
                    if *forward {
                        corners.extend(&spots[..spots.len() - 1]);
                    } else {
                        corners.extend(spots[1..].iter().rev());
                    }
                }
                Side::Crossing(i, forward) => {
                    let crossing = &self.crossings[*i];
                    let node = if *forward {
                        crossing.start
                    } else {
                        crossing.end
                    };
                    corners.push(self.net.nodes[node].spot);
                }
            }
        }
        corners
    }
}

fn area(polygon: &[Spot]) -> f64 {
    let n = polygon.len();
    (0..n)
        .map(|i| polygon[i].coords.perp(&polygon[(i + 1) % n].coords) / 2.0)
        .sum()
}

/// True where a spot lies inside a polygon.
pub(super) fn contains(polygon: &[Spot], spot: Spot) -> bool {
    let n = polygon.len();
    let crossings = (0..n).filter(|&i| {
        let (a, b) = (polygon[i], polygon[(i + 1) % n]);
        (a.y <= spot.y) != (b.y <= spot.y)
            && a.x + (spot.y - a.y) / (b.y - a.y) * (b.x - a.x) > spot.x
    });
    crossings.count() % 2 == 1
}
