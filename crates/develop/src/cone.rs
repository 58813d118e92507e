//! Cones on their own: the flat of a right cone as a sector, and an oblique cone as a loft.

use crate::{BendRule, DevelopError, Loft, LoftFrame};
use geom::math::{PI, TAU};
use geom::{Chain, Point2};

/// Flat of a conical ring: the sector of an annulus. Holds `0 < inner_radius < outer_radius`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AnnularSector {
    /// Radius of the arc that rolls up into the small end (mm).
    pub inner_radius: f64,
    /// Radius of the arc that rolls up into the large end (mm).
    pub outer_radius: f64,
    /// Angle between the two straight edges (rad).
    pub angle: f64,
}

impl AnnularSector {
    /// Area of the flat (mm²).
    pub fn area(&self) -> f64 {
        self.angle
            * (self.outer_radius - self.inner_radius)
            * (self.outer_radius + self.inner_radius)
            / 2.0
    }
}

/// Develops a ring of a symmetrically tapered boiler, the frustum of a right cone.
///
/// `large` and `small` are end radii to the neutral surface, `length` along the axis (mm).
///
/// # Formula
///
/// s = √(length² + (large − small)²); the ends keep their lengths, so angle = 2π(large − small)/s
/// and the radii are large·s/(large − small) and small·s/(large − small). Derivation:
/// `docs/derivations.md#right-conical-ring`.
///
/// # Errors
///
/// [`DevelopError::OutOfRange`] for a length that is not above zero or ends that do not taper.
///
/// # Example
///
/// A 3-4-5 ring: the ends differ by 3, the axis is 4, so the slant is 5.
///
/// ```
/// let flat = develop::right_cone(9.0, 6.0, 4.0)?;
/// assert!((flat.outer_radius - 15.0).abs() < 1e-12 && (flat.angle.to_degrees() - 216.0).abs() < 1e-12);
/// # Ok::<(), develop::DevelopError>(())
/// ```
pub fn right_cone(large: f64, small: f64, length: f64) -> Result<AnnularSector, DevelopError> {
    for (name, value, low) in [
        ("small radius", small, 0.0),
        ("large radius", large, small),
        ("length", length, 0.0),
    ] {
        if !(value.is_finite() && value > low) {
            return Err(DevelopError::OutOfRange {
                name,
                value,
                low,
                high: f64::INFINITY,
            });
        }
    }
    let taper = large - small;
    let slant = geom::math::hypot(length, taper);
    Ok(AnnularSector {
        inner_radius: small * slant / taper,
        outer_radius: large * slant / taper,
        angle: TAU * taper / slant,
    })
}

/// An oblique cone or cylinder between two circles in parallel planes, its seam at the bottom.
///
/// `front` and `rear` are centre and radius (mm) to mid-sheet in the section planes of `frame`.
///
/// # Errors
///
/// As [`Loft::between`].
pub fn oblique_cone(
    frame: LoftFrame,
    front: (Point2, f64),
    rear: (Point2, f64),
    length: f64,
    thickness: f64,
    rule: BendRule,
) -> Result<Loft, DevelopError> {
    let ring = |(centre, radius): (Point2, f64)| {
        Chain::starting(centre - geom::Vector2::new(0.0, radius), PI)
            .arc(radius, -TAU)
            .finish()
    };
    Loft::between(frame, &ring(front), &ring(rear), length, thickness, rule)
}
