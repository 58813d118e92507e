//! A plate before it is bent: the metal that is etched.

use crate::FlatDrawing;
use body::{Edge, Hole, Plate, Region, flat_curves};
use develop::Forming;
use geom::{Chain, Outline, Placement, Point3, Segment, Vector3};

/// Lines and arcs that were laid to one curve for two borders lie no farther apart than this (mm).
const SAME_MM: f64 = 3e-4;

/// So far the places of other depth that end at the edge of the metal reach over it (mm).
const OVER_MM: f64 = 0.01;

impl FlatDrawing {
    /// The plate as it comes out of the etch: its flat as drawn, lying in the plane z = 0 with its outside up.
    ///
    /// Everything that reads a plate reads this one too; `plate` is the one that was drawn. Each side keeps its name, in as many
    /// pieces as it was drawn in.
    pub fn flat_plate(&self, plate: &Plate) -> Plate {
        self.flat_with(plate, Outline::clone)
    }

    /// The same with the places of other depth that end at the edge of the metal led over it by 0.01 mm, where that edge is a
    /// curve: lines and arcs are laid to either by itself, and may cross one another where they are meant to be one.
    pub fn flat_plate_led_over(&self, plate: &Plate) -> Plate {
        self.flat_with(plate, |own| over_the_edge(own, &self.outline))
    }

    fn flat_with(&self, plate: &Plate, border: impl Fn(&Outline) -> Outline) -> Plate {
        let sides = self.edge_of.iter().map(|i| &self.edges[*i].name);
        let outline = sides.zip(flat_curves(&self.outline));
        let holes = self.holes.iter().map(|own| Hole {
            feature: own.feature.clone(),
            centre: own.centre,
            diameter: own.diameter,
            boundary: flat_curves(&own.outline),
        });
        let regions = self.regions.iter().map(|own| Region {
            name: own.name.clone(),
            purpose: own.purpose,
            face: own.face,
            z_low: own.z_low,
            z_high: own.z_high,
            boundary: flat_curves(&border(&own.outline)),
        });
        Plate {
            forming: Forming::Flat(Placement::new(Point3::origin(), Vector3::x(), Vector3::y())),
            outline: outline
                .map(|(name, curve)| Edge {
                    name: name.clone(),
                    curve,
                })
                .collect(),
            holes: holes.collect(),
            regions: regions.collect(),
            ..plate.clone()
        }
    }
}

/// A place of other depth led over the edge of the metal where it runs along that; as it is drawn where the edge bends too much
/// for that.
fn over_the_edge(region: &Outline, edge: &Outline) -> Outline {
    let segments = region.segments();
    let count = segments.len();
    let is_along: Vec<bool> = segments
        .iter()
        .map(|own| all_along(own, edge, |off| off < SAME_MM))
        .collect();
    let Some(first) = (0..count).find(|i| is_along[*i] && !is_along[(i + count - 1) % count])
    else {
        return region.clone();
    };
    let order: Vec<usize> = (0..count).map(|i| (first + i) % count).collect();
    let mut across: Vec<Segment> = Vec::new();
    for run in order.chunk_by(|a, b| is_along[*a] == is_along[*b]) {
        if is_along[run[0]] {
            continue;
        }
        let last = run.len() - 1;
        across.extend(run.iter().enumerate().map(|(k, i)| {
            let (own, over) = (segments[*i], OVER_MM / segments[*i].length());
            match (k == 0, k == last) {
                (true, true) => own.part(-over, 1.0 + over),
                (true, false) => own.part(-over, 1.0),
                (false, true) => own.part(0.0, 1.0 + over),
                (false, false) => own,
            }
        }));
    }
    let mut led = Vec::new();
    for (i, own) in across.iter().enumerate() {
        let next = &across[(i + 1) % across.len()];
        led.push(*own);
        let beyond = Segment::line(own.end(), next.start());
        if beyond.length() > OVER_MM / 2.0 {
            if !all_along(&beyond, edge, |off| off > OVER_MM / 2.0) {
                return region.clone();
            }
            led.push(beyond);
        }
    }
    Outline::from_chain(&Chain::from_segments(led)).unwrap_or_else(|_| region.clone())
}

/// Whether what a segment lies off an outline is such all along.
fn all_along(own: &Segment, outline: &Outline, is: impl Fn(f64) -> bool) -> bool {
    let places = [0.0, 0.25, 0.5, 0.75, 1.0].map(|t| own.point_at(t));
    places.into_iter().all(|point| is(outline.nearest(point).1))
}
