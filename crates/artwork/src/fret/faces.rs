//! What is etched away from each face of a sheet, as closed regions.

use super::curves::{EtchedShape, difference, grown, shrunk, union};
use super::tags::{Tag, is_etched_from_outside};
use crate::FlatDrawing;
use body::Face;
use geom::{Outline, Point2};

/// Outlines nearer than this touch (mm).
const TOUCH_MM: f64 = 2e-3;

/// Regions that touch are first grown by this, so that their borders cross (mm).
const NUDGE_MM: f64 = 1e-3;

/// Regions etched from the two faces, seen from the front (mm). What both have is etched through.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct EtchedFaces {
    /// From the front, which is the outside face of the plates.
    pub front: Vec<EtchedShape>,
    /// From the rear, seen through from the front.
    pub rear: Vec<EtchedShape>,
}

impl EtchedFaces {
    /// Etches a region right through.
    pub(crate) fn through(&mut self, shape: EtchedShape) {
        self.front.push(shape.clone());
        self.rear.push(shape);
    }

    pub(crate) fn extend(&mut self, other: Self) {
        self.front.extend(other.front);
        self.rear.extend(other.rear);
    }

    /// Regions shrunk by the sideways growth of the etch (mm), and those that are not what they were.
    pub(crate) fn with_allowance(&self, growth: f64) -> (Self, Vec<Change>) {
        let mut changes = Vec::new();
        let mut face = |shapes: &[EtchedShape], face: Face| {
            let mut all = Vec::with_capacity(shapes.len());
            for shape in shapes {
                let after = shrunk(shape, growth);
                if after.len() != 1 || after[0].islands.len() != shape.islands.len() {
                    changes.push(Change {
                        face,
                        at: shape.outer.segments()[0].point_at(0.5),
                        pieces: after.len(),
                    });
                }
                all.extend(after);
            }
            all
        };
        let faces = Self {
            front: face(&self.front, Face::Outside),
            rear: face(&self.rear, Face::Inside),
        };
        (faces, changes)
    }
}

/// A region that the etch allowance makes vanish, split or swallow an island.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Change {
    pub(crate) face: Face,
    pub(crate) at: Point2,
    /// How many regions it has become.
    pub(crate) pieces: usize,
}

/// What is etched of a plate with its tags and the line round it.
pub(crate) fn plate_faces(drawing: &FlatDrawing, moat: &Outline, tags: &[Tag]) -> EtchedFaces {
    let mut rear = face(drawing, moat, tags, Face::Inside);
    rear.extend(
        drawing
            .rivets
            .iter()
            .filter_map(|rivet| {
                rivet
                    .dot
                    .map(|dot| Outline::circle(rivet.centre, dot.diameter / 2.0))
            })
            .map(EtchedShape::whole),
    );
    EtchedFaces {
        front: face(drawing, moat, tags, Face::Outside),
        rear,
    }
}

fn face(drawing: &FlatDrawing, moat: &Outline, tags: &[Tag], face: Face) -> Vec<EtchedShape> {
    let holes: Vec<&Outline> = drawing.holes.iter().map(|hole| &hole.outline).collect();
    if face == Face::Outside && is_etched_from_outside(drawing) {
        return base(drawing, moat, &holes);
    }
    let is_proud = |z: (f64, f64)| z.1 > drawing.plain.1 || z.0 < drawing.plain.0;
    let regions = drawing
        .regions
        .iter()
        .filter(|own| own.face == face && !is_proud((own.z_low, own.z_high)))
        .map(|own| &own.outline);
    let parts: Vec<Outline> = holes.into_iter().chain(regions).cloned().collect();
    let parts = clusters(parts);
    let (at_edge, inner): (Vec<_>, Vec<_>) = parts
        .into_iter()
        .partition(|part| touches(&part.outer, &drawing.outline));
    let mut metal = vec![EtchedShape::whole(drawing.outline.clone())];
    for part in &at_edge {
        if let Some(part) = grown(&part.outer, NUDGE_MM) {
            metal = subtracted(metal, &part);
        }
    }
    // What etched places at the edge leave in their midst stands by itself.
    let stands = at_edge.into_iter().flat_map(|part| part.islands);
    let mut metal: Vec<Outline> = metal
        .into_iter()
        .map(|own| own.outer)
        .chain(stands)
        .collect();
    for tag in tags.iter().filter(|tag| tag.etched_from != face) {
        metal = metal.iter().flat_map(|own| with_tag(own, tag)).collect();
    }
    let mut etched = vec![EtchedShape::whole(moat.clone())];
    for own in &metal {
        etched = subtracted(etched, own);
    }
    etched.extend(inner);
    etched
}

/// A base etched all over, but for what stands proud of it.
fn base(drawing: &FlatDrawing, moat: &Outline, holes: &[&Outline]) -> Vec<EtchedShape> {
    let mut islands: Vec<Outline> = Vec::new();
    let proud = drawing
        .regions
        .iter()
        .filter(|own| own.z_high > drawing.plain.1 + 1e-9);
    for region in proud {
        let mut left = vec![EtchedShape::whole(region.outline.clone())];
        for hole in holes {
            if bounds_meet(&region.outline, hole) {
                left = subtracted(left, hole);
            }
        }
        islands.extend(left.into_iter().map(|own| own.outer));
    }
    let raised = drawing.rivets.iter().filter(|rivet| rivet.dot.is_none());
    islands.extend(raised.map(|rivet| Outline::circle(rivet.centre, rivet.head_diameter / 2.0)));
    vec![EtchedShape {
        outer: moat.clone(),
        islands,
    }]
}

fn with_tag(metal: &Outline, tag: &Tag) -> Vec<Outline> {
    if !bounds_meet(metal, &tag.laid_in) || !metal.contains(inner_end(tag)) {
        return vec![metal.clone()];
    }
    let joined = union(metal, &tag.laid_in);
    joined.into_iter().map(|own| own.outer).collect()
}

/// A point of the tag's end that is laid into the plate.
fn inner_end(tag: &Tag) -> Point2 {
    let vertices = tag.laid_in.vertices();
    let middle = (vertices[0].point.coords + vertices[3].point.coords) / 2.0;
    middle.into()
}

/// Each shape without an outline that crosses none of its islands.
fn subtracted(shapes: Vec<EtchedShape>, outline: &Outline) -> Vec<EtchedShape> {
    let mut left = Vec::with_capacity(shapes.len());
    for shape in shapes {
        if !bounds_meet(&shape.outer, outline) {
            left.push(shape);
            continue;
        }
        let mut pieces = difference(&shape.outer, outline);
        for island in shape.islands {
            let probe = island.segments()[0].point_at(0.5);
            if let Some(home) = pieces.iter_mut().find(|own| own.outer.contains(probe)) {
                home.islands.push(island);
            }
        }
        left.extend(pieces);
    }
    left
}

/// Parts that touch joined to one.
fn clusters(parts: Vec<Outline>) -> Vec<EtchedShape> {
    let mut clusters: Vec<EtchedShape> = Vec::new();
    for part in parts {
        let mut own = EtchedShape::whole(part);
        while let Some(i) = clusters
            .iter()
            .position(|other| touches(&own.outer, &other.outer))
        {
            let other = clusters.remove(i);
            let islands = own.islands.into_iter().chain(other.islands);
            let nudged = grown(&own.outer, NUDGE_MM).unwrap_or(own.outer);
            let mut joined = union(&nudged, &other.outer);
            let Some(mut first) = (!joined.is_empty()).then(|| joined.remove(0)) else {
                own = EtchedShape::whole(other.outer);
                continue;
            };
            first.islands.extend(islands);
            own = first;
        }
        clusters.push(own);
    }
    clusters
}

/// True if the borders come within [`TOUCH_MM`] of each other.
fn touches(one: &Outline, other: &Outline) -> bool {
    if !bounds_meet(one, other) {
        return false;
    }
    let probes = |a: &Outline, b: &Outline| {
        let (low, high) = b.bounds();
        a.segments().iter().any(|segment| {
            [0.0, 0.5].iter().any(|t| {
                let p = segment.point_at(*t);
                let apart = (low.x - p.x)
                    .max(p.x - high.x)
                    .max(low.y - p.y)
                    .max(p.y - high.y);
                apart < TOUCH_MM && b.nearest(p).1 < TOUCH_MM
            })
        })
    };
    probes(one, other) || probes(other, one)
}

fn bounds_meet(one: &Outline, other: &Outline) -> bool {
    let ((a, b), (c, d)) = (one.bounds(), other.bounds());
    a.x <= d.x + TOUCH_MM && c.x <= b.x + TOUCH_MM && a.y <= d.y + TOUCH_MM && c.y <= b.y + TOUCH_MM
}
