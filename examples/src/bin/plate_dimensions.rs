//! Prints the dimensions of every plate in its formed place as JSON, for a program that builds the body by itself.
//!
//! `cargo run -p platework-examples --bin plate_dimensions -- demo-models/class-b.toml`
//!
//! Nothing of a mesh or of an exact solid is in it: a flat plate is lines and arcs in a plane, a bent plate the
//! lines and arcs of its mid-sheet at both ends with the normals there, a rivet a centre, a normal and two
//! sizes. `tests/speed/beside_kernel.py` builds from it with another kernel.

use body::{Curve, Hole, Model, Overrides, Plate, Region};
use develop::{Loft, SurfacePoint, Trace};
use geom::{FlatPoint, Point3, Segment, Vector2, Vector3};
use serde_json::{Value, json};

type Failure = Box<dyn std::error::Error>;

fn main() -> Result<(), Failure> {
    let file = std::env::args()
        .nth(1)
        .unwrap_or_else(|| "demo-models/class-b.toml".to_owned());
    let bytes = std::fs::read(&file)?;
    let body = body::build(&Model::read(&file, &bytes, &Overrides::default())?)?;
    let plates: Vec<Value> = body
        .plates
        .iter()
        .map(described)
        .collect::<Result<_, _>>()?;
    println!("{}", json!({ "plates": plates }));
    Ok(())
}

fn described(plate: &Plate) -> Result<Value, Failure> {
    let mut volume = plate.expected_volume(false)?;
    let mut left_out = Vec::new();
    let shape = match plate.forming.loft() {
        None => flat(plate)?,
        Some(loft) if plate.outline.iter().any(|edge| is_flat(&edge.curve)) => folded(plate, loft)?,
        Some(loft) => {
            // What is half-etched along a curve of the flat into bent metal is not described.
            for region in plate.regions.iter().filter(|own| is_drawn(&own.boundary)) {
                let part = plate.enclosed(&region.boundary)?.formed;
                volume += part.volume(plate.sheet.z_low, plate.sheet.z_high)
                    - part.volume(region.z_low, region.z_high);
                left_out.push(region.name.clone());
            }
            rolled(plate, loft)
        }
    };
    let rivets = plate.rivets.iter().map(|rivet| {
        let place = plate.forming.place(rivet.centre);
        json!({
            "centre": xyz(place.at_height(plate.sheet.z_high)),
            "normal": vector(place.normal),
            "radius": rivet.head_diameter / 2.0,
            "height": rivet.head_height,
        })
    });
    Ok(json!({
        "id": plate.id,
        "z_low": plate.sheet.z_low,
        "z_high": plate.sheet.z_high,
        "shape": shape,
        "rivets": rivets.collect::<Vec<_>>(),
        "volume_mm3": volume,
        "left_out": left_out,
    }))
}

/// A plate that stays flat: outline, openings and places of other depth in its plane.
fn flat(plate: &Plate) -> Result<Value, Failure> {
    let outline: Vec<&Curve> = plate.outline.iter().map(|edge| &edge.curve).collect();
    let regions = plate.regions.iter().map(|region| {
        Ok(json!({
            "z_low": region.z_low,
            "z_high": region.z_high,
            "boundary": segments(&region.boundary)?,
        }))
    });
    Ok(json!({
        "kind": "flat",
        "frame": frame(plate, FlatPoint::origin()),
        "outline": segments(outline)?,
        "holes": plate.holes.iter().map(|hole| segments(&hole.boundary)).collect::<Result<Vec<_>, _>>()?,
        "regions": regions.collect::<Result<Vec<_>, Failure>>()?,
    }))
}

/// A plate folded between flat legs: each leg as a flat plate, each fold as a web.
fn folded(plate: &Plate, loft: &Loft) -> Result<Value, Failure> {
    let corners = corners(plate, loft)?;
    let (mut legs, mut webs) = (Vec::new(), Vec::new());
    for (i, patch) in loft.patches().iter().enumerate() {
        let (from, to) = (i as f64, i as f64 + 1.0);
        if patch.is_bent() {
            let own = |region: &&Region| middle(plate, region).w.floor() == from;
            webs.extend(
                plate
                    .regions
                    .iter()
                    .filter(own)
                    .map(|fold| depth(loft, fold)),
            );
            continue;
        }
        let own: Vec<FlatPoint> = corners
            .iter()
            .filter(|(w, _)| (from..=to).contains(w))
            .map(|(_, point)| *point)
            .collect();
        let sides = own.iter().zip(own.iter().cycle().skip(1));
        let holes = plate
            .holes
            .iter()
            .filter(|own| loft.locate(own.centre).w.floor() == from);
        legs.push(json!({
            "frame": frame(plate, loft.flat(SurfacePoint { w: from + 0.5, v: 0.5 })),
            "outline": sides.map(|(a, b)| [a.x, a.y, b.x, b.y]).collect::<Vec<_>>(),
            "holes": holes.map(|hole| segments(&hole.boundary)).collect::<Result<Vec<_>, _>>()?,
        }));
    }
    Ok(json!({ "kind": "folded", "legs": legs, "webs": webs }))
}

/// Corners of a folded plate's outline with their rulings, where it passes a fold included.
fn corners(plate: &Plate, loft: &Loft) -> Result<Vec<(f64, FlatPoint)>, Failure> {
    let mut corners = Vec::new();
    for edge in &plate.outline {
        match &edge.curve {
            Curve::Flat(line @ Segment::Line { .. }) => {
                corners.push((loft.locate(line.start()).w, line.start()));
            }
            Curve::Surface(trace @ Trace::Section { .. }) => {
                let breaks = trace.breaks(loft)?;
                for &t in &breaks[..breaks.len() - 1] {
                    let at = trace.at(loft, t)?;
                    // A corner that lies on a border by rounding is on it.
                    let w = if (at.w - at.w.round()).abs() < 1e-9 {
                        at.w.round()
                    } else {
                        at.w
                    };
                    corners.push((w, loft.flat(at)));
                }
            }
            other => return Err(format!("{}: {other:?} on a folded plate", plate.id).into()),
        }
    }
    Ok(corners)
}

/// A rolled plate: mid-sheet of each of its planes and cones at both ends.
fn rolled(plate: &Plate, loft: &Loft) -> Value {
    let patches =
        (0..loft.patches().len()).map(|i| cell(loft, [i as f64, i as f64 + 1.0], [0.0, 1.0]));
    let drawn = plate.regions.iter().filter(|own| !is_drawn(&own.boundary));
    let regions = drawn.map(|region| depth(loft, region));
    json!({
        "kind": "rolled",
        "axis": vector(loft.frame().axis),
        "cells": patches.collect::<Vec<_>>(),
        "holes": plate.holes.iter().map(|hole| punch(plate, loft, hole)).collect::<Vec<_>>(),
        "regions": regions.collect::<Vec<_>>(),
    })
}

/// An opening of a rolled plate: a straight bore, or what is drawn on the plane that touches it at its centre.
fn punch(plate: &Plate, loft: &Loft, hole: &Hole) -> Value {
    if let [Curve::Surface(Trace::Bore { drill, radius, .. })] = hole.boundary[..] {
        let axes = loft.frame();
        return json!({
            "through": xyz(plate.forming.place(hole.centre).point),
            "direction": vector(axes.across * drill.x + axes.up * drill.y),
            "radius": radius,
        });
    }
    let drawn = segments(&hole.boundary).unwrap_or_default();
    json!({ "frame": frame(plate, hole.centre), "boundary": drawn })
}

/// A region between rulings and sections, with its depth, and the ends of the plate that it runs out at.
fn depth(loft: &Loft, region: &Region) -> Value {
    let [_, v] = spans(region);
    json!({
        "at_front": v[0] < 1e-9,
        "at_rear": v[1] > 1.0 - 1e-9,
        "z_low": region.z_low,
        "z_high": region.z_high,
        "cells": cells(loft, region),
    })
}

/// Least and greatest ruling, and fraction of the rulings, of a region between rulings and sections.
fn spans(region: &Region) -> [[f64; 2]; 2] {
    let (mut rulings, mut fractions) = (Vec::new(), Vec::new());
    for curve in &region.boundary {
        if let Curve::Surface(Trace::Section { v, from, to }) = curve {
            fractions.push(*v);
            rulings.extend([*from, *to]);
        }
    }
    [rulings, fractions].map(|own: Vec<f64>| {
        let least = own.iter().copied().fold(f64::INFINITY, f64::min);
        [least, own.iter().copied().fold(f64::NEG_INFINITY, f64::max)]
    })
}

/// The parts of planes and cones that a region between rulings and sections covers.
fn cells(loft: &Loft, region: &Region) -> Vec<Value> {
    let [w, v] = spans(region);
    let mut stops = vec![w[0]];
    stops.extend(
        (1..loft.patches().len())
            .map(|i| i as f64)
            .filter(|i| w[0] < *i && *i < w[1]),
    );
    stops.push(w[1]);
    stops
        .windows(2)
        .map(|pair| cell(loft, [pair[0], pair[1]], v))
        .collect()
}

/// A part of one plane or cone: mid-sheet points at the start, the middle and the end of its front and of its rear
/// side, and the normal at each of the three rulings.
fn cell(loft: &Loft, w: [f64; 2], v: [f64; 2]) -> Value {
    // The last ruling still belongs to this patch.
    let patch = ((w[0] + w[1]) / 2.0).floor();
    let last = (patch + 1.0) * (1.0 - f64::EPSILON);
    let rulings = [w[0], (w[0] + w[1]) / 2.0, w[1].min(last)];
    let points = |v: f64| rulings.map(|w| xyz(loft.formed(SurfacePoint { w, v }).point));
    json!({
        "bent": loft.patches()[patch as usize].is_bent(),
        "turn": loft.patches()[patch as usize].turn() * (w[1] - w[0]),
        "front": points(v[0]),
        "rear": points(v[1]),
        "normals": rulings.map(|w| vector(loft.formed(SurfacePoint { w, v: 0.5 }).normal)),
    })
}

/// The plane that touches mid-sheet at a point of the flat, its axes those of the flat, its origin where the
/// flat's own would be.
fn frame(plate: &Plate, at: FlatPoint) -> Value {
    const STEP_MM: f64 = 1e-3;
    let place = plate.forming.place(at);
    let along = |step: Vector2| {
        let [before, behind] = [at - step, at + step].map(|p| plate.forming.place(p).point);
        (behind - before).normalize()
    };
    let x = along(Vector2::new(STEP_MM, 0.0));
    // Square to the normal exactly, and to x.
    let x = (x - place.normal * x.dot(&place.normal)).normalize();
    let y = place.normal.cross(&x);
    json!({
        "origin": xyz(place.point - x * at.x - y * at.y),
        "x": vector(x),
        "normal": vector(place.normal),
    })
}

fn middle(plate: &Plate, region: &Region) -> SurfacePoint {
    let loft = plate.forming.loft().expect("a folded plate has a loft");
    let points = region
        .boundary
        .iter()
        .filter_map(|curve| plate.flat_point(curve, 0.5).ok());
    let points: Vec<Vector2> = points.map(|p| p.coords).collect();
    let count = points.len() as f64;
    loft.locate(FlatPoint::from(points.into_iter().sum::<Vector2>() / count))
}

fn is_flat(curve: &Curve) -> bool {
    matches!(curve, Curve::Flat(_))
}

fn is_drawn(boundary: &[Curve]) -> bool {
    boundary.iter().any(is_flat)
}

/// Lines as two points, arcs as three: start, middle, end.
fn segments<'a>(curves: impl IntoIterator<Item = &'a Curve>) -> Result<Vec<Vec<f64>>, Failure> {
    let of = |curve: &Curve| match curve {
        Curve::Flat(own @ Segment::Line { .. }) => Ok(points(own, &[0.0, 1.0])),
        Curve::Flat(own @ Segment::Arc(_)) => Ok(points(own, &[0.0, 0.5, 1.0])),
        Curve::Surface(trace) => Err(format!("{trace:?} is not drawn on the flat").into()),
    };
    curves.into_iter().map(of).collect()
}

fn points(segment: &Segment, at: &[f64]) -> Vec<f64> {
    at.iter()
        .flat_map(|t| [segment.point_at(*t).x, segment.point_at(*t).y])
        .collect()
}

fn xyz(point: Point3) -> [f64; 3] {
    [point.x, point.y, point.z]
}

fn vector(own: Vector3) -> [f64; 3] {
    [own.x, own.y, own.z]
}
