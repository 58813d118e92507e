//! Sections of the trade in closed form: from the radii, widths and heights of a drawing to tangent chains.
//!
//! The first coordinate runs across (to the engine's left), the second up, but for the footplate's
//! profile, which runs rearwards and up. A *left half* starts at the top centre and ends at the left foot with the
//! outside on the left of travel; [`crate::Chain::with_mirror_image`] makes the whole section of it.

mod capacity;
mod firebox;
mod footplate;
mod roof;
mod saddle;
mod saddle_tank;

pub use capacity::{CUBIC_INCHES_PER_UK_GALLON, uk_gallons};
pub use firebox::{
    Belpaire, BelpaireTop, LeaningWaist, RoundTop, RoundTopWaist, belpaire_top, leaning_waist,
};
pub use footplate::{FootplateDrop, FootplateProfile};
pub use roof::{RoofArcs, roof_arcs, single_arc_roof};
pub use saddle::{SaddleOutline, SaddleTop, saddle};
pub use saddle_tank::{SaddleTank, SaddleTankSection};

use crate::math::{PI, TAU};
use crate::{Chain, GeomError, Point2, Vector2};

/// A full circle as a section: a drum or a barrel, its seam at the bottom, outside on the left of travel (mm).
///
/// # Errors
///
/// [`GeomError::NoTangency`] for a radius that is not above zero.
pub fn drum(centre: Point2, radius: f64) -> Result<Chain, GeomError> {
    within("radius of the drum", radius, 0.0, f64::INFINITY)?;
    Ok(Chain::starting(centre - Vector2::new(0.0, radius), PI)
        .arc(radius, -TAU)
        .finish())
}

/// Refuses a length outside `low..=high` (mm), and one that is not a number; zero is refused as a lower limit.
fn within(what: &'static str, found_mm: f64, low_mm: f64, high_mm: f64) -> Result<(), GeomError> {
    // Written so that a value that is not a number is refused too.
    let is_within =
        found_mm <= high_mm && (found_mm > low_mm || found_mm == low_mm && low_mm != 0.0);
    if is_within {
        Ok(())
    } else {
        Err(GeomError::NoTangency {
            what,
            found_mm,
            low_mm,
            high_mm,
        })
    }
}

/// Refuses a length below zero by more than rounding (mm).
fn room(what: &'static str, found_mm: f64) -> Result<f64, GeomError> {
    if found_mm >= -crate::tolerance::COINCIDENT_MM {
        Ok(found_mm.max(0.0))
    } else {
        Err(GeomError::NoTangency {
            what,
            found_mm,
            low_mm: 0.0,
            high_mm: f64::INFINITY,
        })
    }
}

/// Refuses an angle outside `low..=high` (rad).
fn angle_within(what: &'static str, angle: f64, low: f64, high: f64) -> Result<(), GeomError> {
    if (low..=high).contains(&angle) {
        Ok(())
    } else {
        Err(GeomError::NoAngle {
            what,
            found_deg: angle.to_degrees(),
            low_deg: low.to_degrees(),
            high_deg: high.to_degrees(),
        })
    }
}
