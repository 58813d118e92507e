//! Where the firebox ends: its upright or sloping throat and backhead, and what stands against them.

use super::section::{front_x, rear_x, throat};
use crate::wrapper::{ARCH, loft_of};
use crate::{BodyError, Curve, Edge, Model, Plate};
use develop::{DevelopError, Loft, SurfacePoint, Trace};
use geom::math::{atan2, cos, sin, tan};
use geom::{Placement, Point2, Point3, Segment, Vector2, Vector3};

/// Where the ends stand (x in mm).
pub(super) struct Ends {
    /// Outside face of the front former, which stands upright behind a sloping throat.
    pub(super) front_former: f64,
    /// Outside face of the rear former, which stands upright before a sloping backhead.
    pub(super) rear_former: f64,
    /// Between these the wrapper reaches over its whole height.
    pub(super) full_height: (f64, f64),
    /// Height where a sloping throat begins.
    pub(super) throat_from: Option<f64>,
    /// True if the backhead slopes.
    pub(super) backhead_slopes: bool,
}

/// Thickness of the backhead's sheet (mm).
pub(super) fn backhead_thickness(model: &Model) -> f64 {
    model.metal.thickness("cab")
}

/// Finds where the ends stand.
///
/// # Errors
///
/// [`BodyError::Shape`] where slopes leave no room for the formers between them.
pub(super) fn ends(model: &Model) -> Result<Ends, BodyError> {
    let f = model.firebox();
    let foot = model.footplate.top;
    let throat_from = (f.throat_slope > 0.0)
        .then(|| throat_slope_from(model))
        .transpose()?;
    let throat_run = throat_from.map_or(0.0, |from| (from - foot) * tan(f.throat_slope));
    let backhead_run = (f.rear.crown - foot) * tan(f.backhead_slope);
    let (front, rear) = (front_x(model) + throat_run, rear_x(model) - backhead_run);
    let behind = (backhead_thickness(model) + model.metal.film) / cos(f.backhead_slope);
    let t = model.metal.thickness("formers");
    let room = rear - behind - front - 4.0 * t;
    // Written so that a room that is not a number is refused too.
    if !(room > 0.0) {
        return Err(BodyError::Shape {
            path: "firebox.length".to_owned(),
            sentence: format!(
                "the formers do not stand clear of each other: {:.2} mm is missing on the model",
                -room
            ),
            help: "make the firebox longer, or the slopes of throat and backhead less".to_owned(),
        });
    }
    Ok(Ends {
        front_former: front,
        rear_former: rear - behind,
        full_height: (front, rear),
        throat_from,
        backhead_slopes: f.backhead_slope > 0.0,
    })
}

/// Height at which a sloping throat leaves the upright plate about the barrel.
fn throat_slope_from(model: &Model) -> Result<f64, BodyError> {
    let (radius, axis) = throat(model);
    // A bar of the upright plate stays under the barrel.
    let bar = 2.0 * model.metal.process.least_bar.at(model.metal.thickness("formers"));
    let from = axis - radius - model.metal.film - bar;
    if from > model.footplate.top {
        return Ok(from);
    }
    Err(BodyError::Shape {
        path: "firebox.throat_slope_deg".to_owned(),
        sentence: "the barrel reaches down to the footplate, so that no throat plate is left to slope"
            .to_owned(),
        help: "leave throat_slope_deg out".to_owned(),
    })
}

/// The backhead's outside face: heights upright on the flat where it is, seen from behind.
pub(super) fn backhead_placement(model: &Model) -> Placement {
    let slope = model.firebox().backhead_slope;
    let up = Vector3::new(-sin(slope), 0.0, cos(slope));
    let foot = Point3::new(rear_x(model), 0.0, model.footplate.top);
    Placement::new(foot - up * model.footplate.top, Vector3::y(), up)
}

/// The plane of the sloping throat's edge, seen from the front, through the height where it begins.
pub(super) fn throat_placement(model: &Model, from: f64) -> Placement {
    let slope = model.firebox().throat_slope;
    let up = Vector3::new(-sin(slope), 0.0, cos(slope));
    let knee = Point3::new(front_x(model), 0.0, from);
    Placement::new(knee - up * from, -Vector3::y(), up)
}

/// Trims the ends of the wrapper to the slopes of throat and backhead.
///
/// # Errors
///
/// [`BodyError::Develop`] where a plane leaves the wrapper.
pub(super) fn trim(model: &Model, ends: &Ends, wrapper: &mut Plate) -> Result<(), BodyError> {
    let loft = loft_of(wrapper).clone();
    let end = loft.w_end();
    let surface = |name: &str, trace: Trace| Edge {
        name: name.to_owned(),
        curve: Curve::Surface(trace),
    };
    let cut = |plane: &Placement, from: f64, to: f64| Trace::Cut {
        through: plane.origin,
        normal: plane.normal(),
        from,
        to,
    };
    let place = |trace: &Trace, t: f64, path: &str| {
        trace.at(&loft, t).map_err(|cause| BodyError::Develop {
            path: path.to_owned(),
            cause,
        })
    };
    let mut front = vec![surface("front", Trace::Section { v: 0.0, from: end, to: 0.0 })];
    // Fractions of the first and the last ruling at which the feet begin and end.
    let (mut first, mut last) = ([0.0, 1.0], [0.0, 1.0]);
    if let Some(from) = ends.throat_from {
        const PATH: &str = "firebox.throat_slope_deg";
        let plane = throat_placement(model, from);
        let knee = |left: bool| {
            let centre = knee_ruling(&loft, left, from);
            centre.map_err(|cause| BodyError::Develop { path: PATH.to_owned(), cause })
        };
        let (right, left) = (knee(false)?, knee(true)?);
        let cuts = (cut(&plane, end, left), cut(&plane, right, 0.0));
        (last[0], first[0]) = (place(&cuts.0, 0.0, PATH)?.v, place(&cuts.1, 1.0, PATH)?.v);
        front = vec![
            surface("front", cuts.0),
            surface("front", Trace::Section { v: 0.0, from: left, to: right }),
            surface("front", cuts.1),
        ];
    }
    let mut rear = Trace::Section { v: 1.0, from: 0.0, to: end };
    if ends.backhead_slopes {
        const PATH: &str = "firebox.backhead_slope_deg";
        rear = cut(&backhead_placement(model), 0.0, end);
        (first[1], last[1]) = (place(&rear, 0.0, PATH)?.v, place(&rear, 1.0, PATH)?.v);
        let crown = place(&rear, loft.datum() / end, PATH)?;
        move_point(wrapper, "rear-crown", loft.flat(crown));
    }
    let foot = |w, v| loft.flat(SurfacePoint { w, v });
    move_point(wrapper, ARCH.corners[0], foot(0.0, first[0]));
    move_point(wrapper, ARCH.corners[1], foot(0.0, first[1]));
    move_point(wrapper, ARCH.corners[2], foot(end, last[0]));
    move_point(wrapper, ARCH.corners[3], foot(end, last[1]));
    let ruling = |w, [from, to]: [f64; 2]| Trace::Ruling { w, from, to };
    wrapper.outline = vec![
        surface(ARCH.sides.0, ruling(0.0, first)),
        surface("rear", rear),
        surface(ARCH.sides.1, ruling(end, [last[1], last[0]])),
    ];
    wrapper.outline.extend(front);
    Ok(())
}

fn move_point(plate: &mut Plate, name: &str, to: geom::FlatPoint) {
    for (own, point) in &mut plate.points {
        if own == name {
            *point = to;
        }
    }
}

/// The ruling that stands at a height at the front, on one side.
pub(super) fn knee_ruling(loft: &Loft, left: bool, z: f64) -> Result<f64, DevelopError> {
    let drill = Vector2::new(if left { 1.0 } else { -1.0 }, 0.0);
    let across = if left { -z } else { z };
    Ok(loft.under_drill(drill, across, 0.0)?.w)
}

/// Where a plane cuts a surface between two rulings, on the plane's own flat, in lines and arcs.
///
/// # Accuracy
///
/// The cut of a cylinder or cone is an ellipse; arcs follow it within 0.0005 mm.
///
/// # Errors
///
/// [`DevelopError::CutLeaves`] where the plane leaves the surface.
pub(super) fn cut_on(
    loft: &Loft,
    plane: &Placement,
    (from, to): (f64, f64),
) -> Result<Vec<Segment>, DevelopError> {
    let trace = Trace::Cut { through: plane.origin, normal: plane.normal(), from, to };
    let at = |t: f64| Ok(plane.project(loft.formed(trace.at(loft, t)?).point));
    let mut run = Vec::new();
    for piece in trace.breaks(loft)?.windows(2) {
        follow(&at, (piece[0], piece[1]), 0, &mut run)?;
    }
    Ok(run)
}

/// Deviation of arcs from the curve that they follow (mm).
const ARC_ERROR_MM: f64 = 5e-4;

/// Follows a curve by a line or an arc through its ends and middle, in halves until it lies near enough.
fn follow(
    at: &impl Fn(f64) -> Result<Point2, DevelopError>,
    (from, to): (f64, f64),
    depth: u32,
    run: &mut Vec<Segment>,
) -> Result<(), DevelopError> {
    let middle = (from + to) / 2.0;
    let (a, m, b) = (at(from)?, at(middle)?, at(to)?);
    let (before, after) = (m - a, b - m);
    // An arc turns by twice the angle between its half chords; its bulge is the tangent of a quarter turn.
    let turn = atan2(before.perp(&after), before.dot(&after));
    let piece = Segment::from_bulge(a, b, tan(turn / 2.0));
    let mut near = true;
    for share in [0.125, 0.25, 0.375, 0.625, 0.75, 0.875] {
        let point = at(from + (to - from) * share)?;
        near &= piece.nearest(point).1 <= ARC_ERROR_MM;
    }
    // Halved so often, a piece is shorter than anything that could be etched.
    const DEEPEST: u32 = 12;
    if near || depth == DEEPEST {
        run.push(piece);
        return Ok(());
    }
    follow(at, (from, middle), depth + 1, run)?;
    follow(at, (middle, to), depth + 1, run)
}
