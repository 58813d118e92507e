//! Cuts the lines of a drawing where they meet, so that they meet in corners only.

use geom::{FlatPoint, Vector2};

use super::drawing::{At, Drawing, Label, Node};
use super::grid::Grid;
use super::options::SNAP_MM;
use super::stations::Stations;

/// Corners and the lines between them; no corner lies on a line that does not end there.
pub(super) struct Noded {
    pub(super) nodes: Vec<Node>,
    /// Lines as pairs of corners, the lesser number first, in rising order.
    pub(super) lines: Vec<[u32; 2]>,
    /// For each line where its labels begin in `labels`; one more for the end.
    starts: Vec<u32>,
    labels: Vec<Label>,
}

/// A line with what it bounds, before lines are brought together.
type Piece = ([u32; 2], Label);

impl Noded {
    /// What a line bounds.
    pub(super) fn labels(&self, line: usize) -> &[Label] {
        &self.labels[self.starts[line] as usize..self.starts[line + 1] as usize]
    }

    /// Cuts a drawing; `None` if it holds a coordinate that is not a number.
    pub(super) fn of(drawing: &Drawing<'_>) -> Option<Self> {
        let (mut nodes, polygons, mut grid) = merge_corners(drawing)?;
        let sides = polygons.iter().flat_map(|(label, polygon)| {
            let next = polygon.iter().cycle().skip(1);
            polygon
                .iter()
                .zip(next)
                .map(|(&from, &to)| ([from, to], *label))
        });
        let pieces = cut_all(&nodes, &grid, sides);
        let mut noded = Self::gathered(nodes, pieces);
        if let Some(stations) = &drawing.stations {
            nodes = std::mem::take(&mut noded.nodes);
            let mut weave = Weave::over(stations, &mut nodes, &mut grid);
            weave.register_corners();
            let mut pieces = weave.cut_at_rulings(&noded);
            weave.set_feet();
            weave.draw_rulings(&mut pieces);
            noded = Self::gathered(nodes, pieces);
            let pieces = cut_all(&noded.nodes, &grid, noded.pieces());
            noded = Self::gathered(noded.nodes, pieces);
        }
        Some(noded)
    }

    /// Brings equal lines together. A loop that runs along a line twice does not bound it.
    pub(super) fn gathered(nodes: Vec<Node>, mut pieces: Vec<Piece>) -> Self {
        for (line, _) in &mut pieces {
            line.sort_unstable();
        }
        pieces.retain(|([from, to], _)| from != to);
        pieces.sort_unstable();
        let mut noded = Self {
            nodes,
            lines: Vec::new(),
            starts: Vec::new(),
            labels: Vec::new(),
        };
        for same in pieces.chunk_by(|a, b| a.0 == b.0) {
            let before = noded.labels.len();
            for labels in same.chunk_by(|a, b| a.1 == b.1) {
                if labels[0].1 == Label::Ruling || labels.len() % 2 == 1 {
                    noded.labels.push(labels[0].1);
                }
            }
            if noded.labels.len() > before {
                noded.lines.push(same[0].0);
                noded.starts.push(before as u32);
            }
        }
        noded.starts.push(noded.labels.len() as u32);
        noded
    }

    /// All lines with all their labels.
    fn pieces(&self) -> impl Iterator<Item = Piece> + '_ {
        self.lines
            .iter()
            .enumerate()
            .flat_map(|(i, &line)| self.labels(i).iter().map(move |&label| (line, label)))
    }
}

type Merged = (Vec<Node>, Vec<(Label, Vec<u32>)>, Grid);

/// Gives one number to all corners that lie within the snap distance.
fn merge_corners(drawing: &Drawing<'_>) -> Option<Merged> {
    let all = || {
        drawing
            .seeds
            .iter()
            .chain(drawing.loops.iter().flat_map(|(_, nodes)| nodes))
    };
    let (mut low, mut high) = (FlatPoint::origin(), FlatPoint::origin());
    let mut count = 0;
    for node in all() {
        let p = node.point;
        if !(p.x.is_finite() && p.y.is_finite()) {
            return None;
        }
        low = FlatPoint::new(low.x.min(p.x), low.y.min(p.y));
        high = FlatPoint::new(high.x.max(p.x), high.y.max(p.y));
        count += 1;
    }
    let mut grid = Grid::over(low, high, count, 4.0 * SNAP_MM);
    let mut nodes = Vec::with_capacity(count);
    let mut number = |node: &Node| {
        grid.nearest_within(node.point, SNAP_MM).unwrap_or_else(|| {
            nodes.push(*node);
            grid.add(node.point)
        })
    };
    for seed in &drawing.seeds {
        number(seed);
    }
    let polygons = drawing
        .loops
        .iter()
        .map(|(label, corners)| (*label, corners.iter().map(&mut number).collect()))
        .collect();
    Some((nodes, polygons, grid))
}

/// Deepest that cuts of a line are cut again.
const DEPTH: usize = 8;

/// Cuts a line at every corner that lies on it, and the parts again, as each bends by up to the
/// snap distance and may come to lie next to further corners.
fn cut_at_corners(nodes: &[Node], grid: &Grid, line: [u32; 2], depth: usize, chain: &mut Vec<u32>) {
    let [from, to] = line;
    if from == to {
        return;
    }
    let (a, b) = (nodes[from as usize].point, nodes[to as usize].point);
    let mut met = Vec::new();
    grid.near_line(a, b, SNAP_MM, |number, fraction, _| {
        if number != from && number != to {
            met.push((fraction, number));
        }
    });
    if met.is_empty() || depth == DEPTH {
        chain.push(to);
        return;
    }
    met.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut here = from;
    for (_, number) in met.into_iter().chain([(1.0, to)]) {
        cut_at_corners(nodes, grid, [here, number], depth + 1, chain);
        here = number;
    }
}

/// The lines of a drawing, cut at every corner that lies on them.
fn cut_all(nodes: &[Node], grid: &Grid, lines: impl Iterator<Item = Piece>) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut chain = Vec::new();
    let mut last = None;
    for (line, label) in lines {
        // Lines with several labels come one after the other.
        if last != Some(line) {
            chain.clear();
            chain.push(line[0]);
            cut_at_corners(nodes, grid, line, 0, &mut chain);
            last = Some(line);
        }
        pieces.extend(chain.windows(2).map(|pair| ([pair[0], pair[1]], label)));
    }
    pieces
}

/// Weaves the rulings of the stations into the loops.
struct Weave<'a> {
    stations: &'a Stations<'a>,
    nodes: &'a mut Vec<Node>,
    grid: &'a mut Grid,
    /// Order of each corner among the rulings: even on station k = order/2, odd behind it.
    order: Vec<u32>,
    /// Corners on each station's ruling.
    on: Vec<Vec<u32>>,
}

impl<'a> Weave<'a> {
    fn over(stations: &'a Stations<'a>, nodes: &'a mut Vec<Node>, grid: &'a mut Grid) -> Self {
        Self {
            on: vec![Vec::new(); stations.w.len()],
            order: Vec::with_capacity(2 * nodes.len()),
            stations,
            nodes,
            grid,
        }
    }

    /// Finds for each corner the ruling that it lies on, or the strip.
    fn register_corners(&mut self) {
        for number in 0..self.nodes.len() {
            let order = self.order_of(number);
            self.order.push(order);
            if order.is_multiple_of(2) {
                self.on[order as usize / 2].push(number as u32);
            }
        }
        for apex in &self.stations.apexes {
            if let Some(number) = self.grid.nearest_within(apex.point, SNAP_MM) {
                for &border in &apex.borders {
                    self.on[border].push(number);
                }
            }
        }
    }

    fn order_of(&mut self, number: usize) -> u32 {
        let node = self.nodes[number];
        let before = match node.at {
            At::Station(station, _) => return 2 * station,
            At::Between(at) => self.stations.before(at.w),
            At::Flat => unreachable!("corners of a rolled plate are located"),
        };
        for station in [before, before + 1] {
            let (off, v) = self.stations.off(station, node.point);
            if off.abs() < SNAP_MM && self.stations.is_drawn(station, v) {
                self.nodes[number].at = At::Station(station as u32, v);
                return 2 * station as u32;
            }
        }
        2 * before as u32 + 1
    }

    /// Cuts every line of the loops where it crosses a ruling.
    fn cut_at_rulings(&mut self, noded: &Noded) -> Vec<Piece> {
        let mut pieces = Vec::with_capacity(2 * noded.lines.len());
        for (i, &[from, to]) in noded.lines.iter().enumerate() {
            let (first, last) = (self.order[from as usize], self.order[to as usize]);
            let mut chain = vec![from];
            // Stations strictly between the two orders.
            let (low, high) = (first.min(last) / 2 + 1, first.max(last).div_ceil(2));
            let crossed: Vec<u32> = if first < last {
                (low..high).collect()
            } else {
                (low..high).rev().collect()
            };
            for station in crossed {
                chain.extend(self.crossing(station as usize, [from, to]));
            }
            chain.push(to);
            for pair in chain.windows(2) {
                for &label in noded.labels(i) {
                    pieces.push(([pair[0], pair[1]], label));
                }
            }
        }
        pieces
    }

    /// The corner in which a line crosses a station's ruling, unless it is an end of the line.
    fn crossing(&mut self, station: usize, [from, to]: [u32; 2]) -> Option<u32> {
        let (a, b) = (
            self.nodes[from as usize].point,
            self.nodes[to as usize].point,
        );
        let (off_a, v_a) = self.stations.off(station, a);
        let (off_b, v_b) = self.stations.off(station, b);
        for (number, off, v) in [(from, off_a, v_a), (to, off_b, v_b)] {
            if off.abs() < SNAP_MM {
                if self.stations.is_drawn(station, v) {
                    self.on[station].push(number);
                }
                return None;
            }
        }
        if off_a * off_b > 0.0 {
            return None;
        }
        let point = a + (b - a) * (off_a / (off_a - off_b));
        let (_, v) = self.stations.off(station, point);
        if !self.stations.is_drawn(station, v) {
            return None;
        }
        let known = self.grid.nearest_within(point, SNAP_MM);
        let number = known.unwrap_or_else(|| self.add(point, station, v));
        self.on[station].push(number);
        (number != from && number != to).then_some(number)
    }

    /// Gives the rulings on either side of a corner a corner next to it.
    ///
    /// Strips are long and narrow; without these the corners of a small opening inside a strip
    /// would be joined to the far ends of its rulings, by triangles without height.
    fn set_feet(&mut self) {
        for number in 0..self.order.len() {
            let order = self.order[number];
            if order.is_multiple_of(2) {
                continue;
            }
            for station in [order as usize / 2, order as usize / 2 + 1] {
                let (off, v) = self.stations.off(station, self.nodes[number].point);
                let foot = self.stations.flat(station, v);
                let crowded = self.grid.nearest_within(foot, SNAP_MM.max(off.abs() / 2.0));
                if crowded.is_none() && self.stations.is_drawn(station, v) {
                    let added = self.add(foot, station, v);
                    self.on[station].push(added);
                }
            }
        }
    }

    fn add(&mut self, point: FlatPoint, station: usize, v: f64) -> u32 {
        self.nodes.push(Node {
            point,
            at: At::Station(station as u32, v),
        });
        self.order.push(2 * station as u32);
        self.grid.add(point)
    }

    /// Draws each ruling from corner to corner.
    fn draw_rulings(&mut self, pieces: &mut Vec<Piece>) {
        for (station, on) in self.on.iter_mut().enumerate() {
            let along = |number: u32| {
                self.stations
                    .off(station, self.nodes[number as usize].point)
                    .1
            };
            on.sort_by(|&a, &b| along(a).total_cmp(&along(b)).then(a.cmp(&b)));
            on.dedup();
            pieces.extend(
                on.windows(2)
                    .map(|pair| ([pair[0], pair[1]], Label::Ruling)),
            );
        }
    }
}

/// Where two lines cross inside both, as fractions of each.
pub(super) fn crossing_of(a: [FlatPoint; 2], b: [FlatPoint; 2]) -> Option<(f64, f64)> {
    let (u, v): (Vector2, Vector2) = (a[1] - a[0], b[1] - b[0]);
    let area = u.perp(&v);
    if area == 0.0 {
        return None;
    }
    let from = b[0] - a[0];
    let (s, t) = (from.perp(&v) / area, from.perp(&u) / area);
    ((0.0..=1.0).contains(&s) && (0.0..=1.0).contains(&t)).then_some((s, t))
}
