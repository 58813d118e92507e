//! Where the firebox ends: its upright or sloping throat and backhead, and what stands against them.

use super::section::{front_x, inwards, rear_x, throat};
use crate::{BodyError, Model};
use geom::math::{cos, sin, tan};
use geom::{Placement, Point3, Vector3};

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
    let bar = 2.0
        * model
            .metal
            .process
            .least_bar
            .at(model.metal.thickness("formers"));
    let from = axis - radius - model.metal.film - bar;
    if from > model.footplate.top {
        return Ok(from);
    }
    Err(BodyError::Shape {
        path: "firebox.throat_slope_deg".to_owned(),
        sentence:
            "the barrel reaches down to the footplate, so that no throat plate is left to slope"
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

/// How far inside the drawn outside the backhead's rim lies (mm, negative).
pub(super) fn rim(model: &Model) -> f64 {
    inwards(model)
}
