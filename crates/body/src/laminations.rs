//! Overlays on their base: how far the base stands back, and the pilot holes that bring layers true.

use crate::fit::{face_joint, hole_joint};
use crate::measure::flat_of;
use crate::rows::obstacles;
use crate::upright::drill;
use crate::{Body, Face, Model, Plate, Purpose, Region, flat_curves};
use develop::{Loft, Patch};
use geom::math::{TAU, sin_cos};
use geom::{Arc, BulgeVertex, FlatPoint, Outline, Point2, Vector2};

/// How far a base stands back behind the drawn outside, under its overlay and film (mm).
///
/// The overlay carries the rivets and has the dimensions of the drawing. Round a bend its neutral line
/// is longer than the base's by turn × ((base + overlay)/2 + film), which comes of itself where both
/// sections are offset from the drawn outside: the overlay by half its thickness, the base by this
/// recess and half its own.
pub(crate) fn recess(model: &Model) -> f64 {
    model.metal.thickness("overlay") + model.metal.film
}

/// Lays an overlay's inside on its base's outside and drills two pilot holes through both.
///
/// The holes lie as far apart as they can within both plates, clear of edges, openings and etched
/// places; rivets that they meet are left out. Where a plate has no room, it gets no holes.
pub(crate) fn laminate(model: &Model, body: &mut Body, overlay: &str, base: &str) {
    laminate_faces(model, body, (overlay, "inside"), (base, "outside"));
}

/// As [`laminate`], on the named faces.
pub(crate) fn laminate_faces(
    model: &Model,
    body: &mut Body,
    (overlay, face): (&str, &str),
    (base, other): (&str, &str),
) {
    let [upper, lower] = body.two_plates(overlay, base);
    let diameter = pilot_diameter(model, upper, lower);
    let mut joints = vec![face_joint((upper, face), (lower, other))];
    let bar = |plate: &Plate| {
        model
            .metal
            .process
            .least_bar
            .at(plate.sheet.stock_thickness)
    };
    let least_bar = bar(upper).max(bar(lower));
    for (number, centre) in pilot_places(upper, lower, diameter, least_bar)
        .into_iter()
        .enumerate()
    {
        let feature = format!("pilot-{overlay}-{}", number + 1);
        let below = flat_of(lower, upper.forming.place(centre).point);
        upper.rivets.retain(|rivet| {
            (rivet.centre - centre).norm() > (rivet.head_diameter + diameter) / 2.0
        });
        drill(upper, &feature, centre, diameter);
        drill(lower, &feature, below, diameter);
        joints.push(hole_joint((upper, &feature), (lower, &feature)));
    }
    body.joints.extend(joints);
}

/// A hole for a wire pin: common practice, no source; never less than the etcher's least.
pub(crate) fn pilot_diameter(model: &Model, upper: &Plate, lower: &Plate) -> f64 {
    let least = |plate: &Plate| {
        model
            .metal
            .process
            .least_hole
            .at(plate.sheet.stock_thickness)
    };
    model
        .scale
        .pick(0.5, 0.7)
        .max(least(upper))
        .max(least(lower))
}

/// Two places, as far apart as a grid over the overlay finds them.
fn pilot_places(upper: &Plate, lower: &Plate, diameter: f64, least_bar: f64) -> Vec<FlatPoint> {
    let rim: Vec<FlatPoint> = upper
        .outline
        .iter()
        .flat_map(|edge| [0.0, 0.5].map(|t| upper.flat_point(&edge.curve, t)))
        .filter_map(Result::ok)
        .collect();
    let low = rim
        .iter()
        .fold(Vector2::repeat(f64::INFINITY), |a, p| a.inf(&p.coords));
    let high = rim
        .iter()
        .fold(Vector2::repeat(f64::NEG_INFINITY), |a, p| a.sup(&p.coords));
    let (above, below) = (obstacles(upper), obstacles(lower));
    // A hole's own diameter of metal all round it (chosen, not sourced), and a tenth more than the
    // etcher's least.
    let room = diameter / 2.0 + diameter.max(1.1 * least_bar);
    let fits = |p: FlatPoint| {
        if !above.iter().all(|o| o.clear_of(p, room)) {
            return false;
        }
        let under = flat_of(lower, upper.forming.place(p).point);
        below.iter().all(|o| o.clear_of(under, room))
            && off_tight_bends(upper, p, room)
            && off_tight_bends(lower, under, room)
    };
    const GRID: usize = 24;
    let share = |i: usize| (i as f64 + 0.5) / GRID as f64;
    // Looked through in the order of the body, so that mirror images are drilled alike.
    let micron = |mm: f64| (mm * 1e3).round();
    let order = |p: FlatPoint| {
        let at = upper.forming.place(p).point;
        [micron(at.x), micron(at.z), micron(at.y.abs())]
    };
    let mut ordered: Vec<([f64; 3], FlatPoint)> = (0..GRID * GRID)
        .map(|k| {
            let size = high - low;
            let at = Vector2::new(size.x * share(k % GRID), size.y * share(k / GRID));
            FlatPoint::from(low + at)
        })
        .filter(|p| fits(*p))
        .map(|p| (order(p), p))
        .collect();
    ordered.sort_by(|(p, _), (q, _)| {
        (0..3)
            .map(|i| p[i].total_cmp(&q[i]))
            .find(|order| order.is_ne())
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    let places: Vec<FlatPoint> = ordered.into_iter().map(|(_, p)| p).collect();
    let mut best: Option<(f64, FlatPoint, FlatPoint)> = None;
    for (i, a) in places.iter().enumerate() {
        for b in &places[i + 1..] {
            let apart = (a - b).norm_squared();
            if best.is_none_or(|(most, ..)| apart > most + 1e-9) {
                best = Some((apart, *a, *b));
            }
        }
    }
    best.map_or_else(Vec::new, |(_, a, b)| vec![a, b])
}

/// True if nothing within `room` (mm) of a place bends tighter than ten times that: a hole creases such a bend.
fn off_tight_bends(plate: &Plate, place: FlatPoint, room: f64) -> bool {
    let Some(loft) = plate.forming.loft() else {
        return true;
    };
    let is_tight = |patch: &Patch| {
        patch
            .radii()
            .is_some_and(|(front, rear)| front.min(rear) < 10.0 * room)
    };
    if !loft.patches().iter().any(is_tight) {
        return true;
    }
    let around = [
        Vector2::zeros(),
        Vector2::x(),
        -Vector2::x(),
        Vector2::y(),
        -Vector2::y(),
    ];
    around.iter().all(|aside| {
        let w = loft.locate(place + aside * room).w;
        let patch = (w.max(0.0) as usize).min(loft.patches().len() - 1);
        !is_tight(&loft.patches()[patch])
    })
}

/// Half-etches the outline of a round fitting on the outside of a plate, where it is to be soldered: a
/// ring of `diameter` (mm) broken at four places, as wide as the etcher's least line.
pub(crate) fn witness_ring(
    model: &Model,
    plate: &mut Plate,
    name: &str,
    centre: FlatPoint,
    diameter: f64,
) {
    let Some(etch) = RingEtch::of(model, plate, diameter) else {
        return;
    };
    let width = etch.width;
    let (inner, outer) = ((diameter - width) / 2.0, (diameter + width) / 2.0);
    let parts = ring_starts().map(|from| Some(ring_part(centre, (inner, outer), from, SWEEP)));
    etch.add(plate, name, parts);
}

/// As [`witness_ring`], on a wrapper under an upright fitting at `x` along the engine and `y` from the
/// centre line: a ring of `diameter` (mm) seen in plan, laid on the flat through the neutral surface.
///
/// Parts of the ring that would run off the wrapper are left out.
pub(crate) fn witness_ring_in_plan(
    model: &Model,
    plate: &mut Plate,
    name: &str,
    (x, y): (f64, f64),
    diameter: f64,
) {
    let Some(etch) = RingEtch::of(model, plate, diameter) else {
        return;
    };
    let parts = ring_starts().map(|from| {
        let loft = plate.forming.loft()?;
        let on_flat = |angle: f64| plan_point(loft, (x, y), diameter / 2.0, angle);
        ring_part_through(on_flat, from, SWEEP, etch.width)
    });
    etch.add(plate, name, parts);
}

/// Three quarters of each quadrant are etched, so that no ring of metal is cut free.
const SWEEP: f64 = TAU / 4.0 * 0.75;

/// Where the four parts of a broken ring begin (rad).
fn ring_starts() -> [f64; 4] {
    [0.0, 1.0, 2.0, 3.0].map(|quadrant| TAU / 4.0 * quadrant + TAU / 32.0)
}

/// How a broken ring is etched into a plate.
struct RingEtch {
    /// Width of the line (mm).
    width: f64,
    /// Depth below the outer face (mm).
    depth: f64,
}

impl RingEtch {
    /// As wide as the etcher's least line; `None` where the sheet's face is etched as deep already.
    fn of(model: &Model, plate: &Plate, diameter: f64) -> Option<Self> {
        let p = model.metal.process;
        let t = plate.sheet.thickness();
        // A face that lies below the stock's takes what is left of the etcher's depth.
        let depth = p.half_etch_depth.at(plate.sheet.stock_thickness) - plate.sheet.proud_height();
        (depth >= LEAST_DEPTH * t).then_some(Self {
            width: p.least_slot.at(t).min(diameter / 4.0),
            depth: depth.min(t - LEAST_DEPTH * t),
        })
    }

    /// Etches the parts that keep clear of edges, openings and etched places; rivets that they meet go.
    fn add(&self, plate: &mut Plate, name: &str, parts: [Option<Outline>; 4]) {
        let blocked = obstacles(plate);
        for (quadrant, outline) in parts.into_iter().enumerate() {
            let Some(outline) = outline else { continue };
            let clear = outline
                .flattened(0.02)
                .iter()
                .all(|p| blocked.iter().all(|o| o.clear_of(*p, self.width / 2.0)));
            if !clear {
                continue;
            }
            let meets = |rivet: &crate::Rivet| {
                outline.contains(rivet.centre)
                    || outline.nearest(rivet.centre).1 < rivet.head_diameter / 2.0
            };
            plate.rivets.retain(|rivet| !meets(rivet));
            plate.regions.push(Region {
                name: format!("{name}-witness-{}", quadrant + 1),
                purpose: Purpose::HalfEtch,
                face: Face::Outside,
                z_low: plate.sheet.z_low,
                z_high: plate.sheet.z_high - self.depth,
                boundary: flat_curves(&outline),
            });
        }
    }
}

/// Least depth of a line that is seen, in thicknesses: chosen, not sourced.
const LEAST_DEPTH: f64 = 0.15;

/// The flat point under a point of a circle in plan; `None` beside the wrapper.
fn plan_point(loft: &Loft, (x, y): (f64, f64), radius: f64, angle: f64) -> Option<FlatPoint> {
    let (s, c) = sin_cos(angle);
    let v = (x + radius * c - loft.frame().origin.x) / loft.axial_length();
    if !(0.0..=1.0).contains(&v) {
        return None;
    }
    let at = loft.under_drill(Vector2::y(), y + radius * s, v).ok()?;
    Some(loft.flat(at))
}

/// Part of a line of a width about a curve of the flat that is given by an angle, by arcs through its points.
fn ring_part_through(
    on_flat: impl Fn(f64) -> Option<FlatPoint>,
    from: f64,
    sweep: f64,
    width: f64,
) -> Option<Outline> {
    // Arcs of 8° differ from the curve by far less than an etcher holds.
    const ARCS: usize = 8;
    const STEP: f64 = 1e-4;
    let places = |aside: f64| {
        (0..=2 * ARCS)
            .map(|i| {
                let angle = from + sweep * i as f64 / (2 * ARCS) as f64;
                let along = on_flat(angle + STEP)? - on_flat(angle - STEP)?;
                let out = Vector2::new(along.y, -along.x) / along.norm();
                Some(on_flat(angle)? + out * aside)
            })
            .collect::<Option<Vec<FlatPoint>>>()
    };
    let outer = places(width / 2.0)?;
    let mut inner = places(-width / 2.0)?;
    inner.reverse();
    let mut vertices = Vec::with_capacity(2 * ARCS + 2);
    for run in [&outer, &inner] {
        for arc in run.windows(3).step_by(2) {
            let chord = arc[2] - arc[0];
            // Anticlockwise arcs bulge to the right of their chord.
            let rise = (arc[1] - arc[0]).perp(&chord) / chord.norm();
            vertices.push(BulgeVertex {
                point: arc[0],
                bulge: 2.0 * rise / chord.norm(),
            });
        }
        vertices.push(BulgeVertex {
            point: run[2 * ARCS],
            bulge: 0.0,
        });
    }
    let finite = |v: &BulgeVertex| v.bulge.is_finite() && v.point.coords.norm().is_finite();
    vertices
        .iter()
        .all(finite)
        .then(|| Outline::from_vertices(&vertices))
}

/// Part of a ring, anticlockwise.
fn ring_part(centre: Point2, (inner, outer): (f64, f64), from: f64, sweep: f64) -> Outline {
    let on = |radius, angle| {
        Arc {
            centre,
            radius,
            start_angle: 0.0,
            sweep: TAU,
        }
        .point_at_angle(angle)
    };
    let bulge = geom::math::tan(sweep / 4.0);
    let vertex = |point, bulge| BulgeVertex { point, bulge };
    Outline::from_vertices(&[
        vertex(on(outer, from), bulge),
        vertex(on(outer, from + sweep), 0.0),
        vertex(on(inner, from + sweep), -bulge),
        vertex(on(inner, from), 0.0),
    ])
}
