//! The loops of a plate's flat as polygons whose corners know their place on the loft.

use body::{Curve, Plate};
use develop::{DevelopError, SurfacePoint, Trace};
use geom::{FlatPoint, Segment};

use super::options::Chords;
use super::stations::Stations;

/// Where a corner lies on the formed surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum At {
    /// On a plate that stays flat, or not looked for yet.
    Flat,
    /// On the ruling of a station, at a fraction of it.
    Station(u32, f64),
    /// Between two stations.
    Between(SurfacePoint),
}

/// A corner of a polygon on the flat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Node {
    pub(super) point: FlatPoint,
    pub(super) at: At,
}

/// What a line of the drawing bounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Label {
    /// The plate.
    Outline,
    /// The opening of a number.
    Hole(u32),
    /// The place of other depth of a number.
    Region(u32),
    /// The rivet head of a number.
    Rivet(u32),
    /// Nothing: a ruling.
    Ruling,
}

/// Everything that the triangulation of a flat must keep to.
pub(super) struct Drawing<'a> {
    pub(super) stations: Option<Stations<'a>>,
    /// Points that must be corners and come first where points are merged.
    pub(super) seeds: Vec<Node>,
    pub(super) loops: Vec<(Label, Vec<Node>)>,
}

impl<'a> Drawing<'a> {
    /// Outline, holes and regions of a plate whose metal lies up to `reach` (mm) from mid-sheet.
    pub(super) fn of_plate(
        plate: &'a Plate,
        chords: Chords,
        reach: f64,
    ) -> Result<Self, DevelopError> {
        let error_of = |radius| chords.in_bend(radius);
        let stations = plate
            .forming
            .loft()
            .map(|loft| Stations::of(loft, error_of, reach));
        let mut drawing = Self {
            seeds: stations.as_ref().map(seeds).unwrap_or_default(),
            stations,
            loops: Vec::new(),
        };
        let outline = plate.outline.iter().map(|edge| &edge.curve);
        drawing.add_curves(Label::Outline, outline, chords)?;
        for (i, hole) in plate.holes.iter().enumerate() {
            drawing.add_curves(Label::Hole(i as u32), &hole.boundary, chords)?;
        }
        for (i, region) in plate.regions.iter().enumerate() {
            drawing.add_curves(Label::Region(i as u32), &region.boundary, chords)?;
        }
        Ok(drawing)
    }

    fn add_curves<'c>(
        &mut self,
        label: Label,
        curves: impl IntoIterator<Item = &'c Curve>,
        chords: Chords,
    ) -> Result<(), DevelopError> {
        let mut nodes = Vec::new();
        for curve in curves {
            match (curve, &self.stations) {
                (Curve::Flat(segment), stations) => {
                    for point in flatten(segment, |r| chords.on_edge(r)) {
                        nodes.push(located(stations.as_ref(), point)?);
                    }
                }
                (Curve::Surface(trace), Some(stations)) => {
                    trace_nodes(trace, stations, chords, &mut nodes)?;
                }
                (Curve::Surface(_), None) => unreachable!("a trace lies on a rolled plate"),
            }
        }
        self.loops.push((label, nodes));
        Ok(())
    }

    /// Adds a polygon given by points of the flat.
    pub(super) fn add_polygon(
        &mut self,
        label: Label,
        points: impl IntoIterator<Item = FlatPoint>,
    ) -> Result<(), DevelopError> {
        let nodes = points
            .into_iter()
            .map(|point| located(self.stations.as_ref(), point))
            .collect::<Result<_, _>>()?;
        self.loops.push((label, nodes));
        Ok(())
    }
}

/// Points along a piece of an outline, both ends included; `error_of` gives the chord error allowed
/// on an arc of a radius (mm).
pub(super) fn flatten(segment: &Segment, error_of: impl Fn(f64) -> f64) -> Vec<FlatPoint> {
    let n = match segment {
        Segment::Line { .. } => 1,
        Segment::Arc(arc) => segment.chords_within(error_of(arc.radius)),
    };
    (0..=n)
        .map(|i| segment.point_at(i as f64 / n as f64))
        .collect()
}

/// Apexes, and the ends of rulings that stop short of one.
fn seeds(stations: &Stations<'_>) -> Vec<Node> {
    let apexes = stations.apexes.iter().map(|apex| Node {
        point: apex.point,
        at: At::Station(apex.home as u32, apex.v),
    });
    let stops = stations
        .extents
        .iter()
        .enumerate()
        .flat_map(|(station, &(low, high))| {
            [low, high]
                .into_iter()
                .filter(|v| v.is_finite())
                .map(move |v| on_station(stations, station, v))
        });
    apexes.chain(stops).collect()
}

fn on_station(stations: &Stations<'_>, station: usize, v: f64) -> Node {
    Node {
        point: stations.flat(station, v),
        at: At::Station(station as u32, v),
    }
}

/// A corner at a point of the flat.
pub(super) fn located(
    stations: Option<&Stations<'_>>,
    point: FlatPoint,
) -> Result<Node, DevelopError> {
    let at = match stations {
        Some(stations) => At::Between(stations.locate(point)?),
        None => At::Flat,
    };
    Ok(Node { point, at })
}

fn on_loft(stations: &Stations<'_>, at: SurfacePoint) -> Node {
    let before = stations.before(at.w);
    for station in [before, before + 1] {
        if (stations.w[station] - at.w).abs() < 1e-12 {
            return on_station(stations, station, at.v);
        }
    }
    Node {
        point: stations.loft.flat(at),
        at: At::Between(at),
    }
}

fn trace_nodes(
    trace: &Trace,
    stations: &Stations<'_>,
    chords: Chords,
    nodes: &mut Vec<Node>,
) -> Result<(), DevelopError> {
    match *trace {
        Trace::Section { v, from, to } => {
            nodes.push(on_loft(stations, SurfacePoint { w: from, v }));
            let (low, high) = (from.min(to), from.max(to));
            let mut between: Vec<usize> = (stations.before(low)..stations.w.len())
                .take_while(|&k| stations.w[k] < high)
                .filter(|&k| stations.w[k] > low && stations.is_drawn(k, v))
                .collect();
            if to < from {
                between.reverse();
            }
            nodes.extend(between.into_iter().map(|k| on_station(stations, k, v)));
            nodes.push(on_loft(stations, SurfacePoint { w: to, v }));
        }
        Trace::Ruling { w, from, to } => {
            for v in [from, to] {
                nodes.push(on_loft(stations, SurfacePoint { w, v }));
            }
        }
        Trace::Cut { from, to, .. } => {
            cut_nodes(trace, stations, (from, to), chords, nodes)?;
        }
        Trace::Bore { radius, .. } => {
            let steps =
                Segment::circle(FlatPoint::origin(), radius).chords_within(chords.on_edge(radius));
            for i in 0..steps {
                nodes.push(on_loft(
                    stations,
                    trace.at(stations.loft, i as f64 / steps as f64)?,
                ));
            }
        }
    }
    Ok(())
}

/// Corners of a plane's cut: on the stations that it passes, and between them where its run on the flat bows.
fn cut_nodes(
    trace: &Trace,
    stations: &Stations<'_>,
    (from, to): (f64, f64),
    chords: Chords,
    nodes: &mut Vec<Node>,
) -> Result<(), DevelopError> {
    let (low, high) = (from.min(to), from.max(to));
    let at = |w: f64| trace.at(stations.loft, (w - from) / (to - from));
    let mut ws = Vec::new();
    for (k, &w) in stations.w.iter().enumerate() {
        if low < w && w < high && stations.is_drawn(k, at(w)?.v) {
            ws.push(w);
        }
    }
    if to < from {
        ws.reverse();
    }
    ws.push(to);
    let mut last = at(from)?;
    nodes.push(on_loft(stations, last));
    for w in ws {
        let next = at(w)?;
        let middle = at(f64::midpoint(last.w, next.w))?;
        let [a, m, b] = [last, middle, next].map(|place| stations.loft.flat(place));
        let bow = ((b - a).perp(&(m - a)) / (b - a).norm()).abs();
        // The bow falls by four for half the step.
        let parts = (bow / chords.along()).sqrt().ceil().clamp(1.0, 64.0) as usize;
        let step = (next.w - last.w) / parts as f64;
        for part in 1..parts {
            nodes.push(on_loft(stations, at(last.w + step * part as f64)?));
        }
        nodes.push(on_loft(stations, next));
        last = next;
    }
    Ok(())
}
