//! Tangent joints of the trade's sections, solved in closed form.
//!
//! Each function gives angles and centres; chains are laid from them by [`crate::ChainBuilder`].

use crate::GeomError;
use crate::math::{asin, atan2, sin};

/// Where a corner arc joins a crown arc and a vertical side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CrownAndCorner {
    /// Half the angle of the crown arc, from the top to where the corner begins (rad).
    pub crown_half_angle: f64,
    /// Angle of the corner arc, from the crown to the vertical (rad).
    pub corner_angle: f64,
    /// Height of the corner centre below the top of the crown (mm); the side begins there.
    pub corner_drop: f64,
}

/// Joins a crown arc of radius `crown` through the top centre to a corner arc of radius `corner`
/// that ends vertical at `half_width` from the centre line (all mm).
///
/// # Formula
///
/// With corner centre at x = half_width − corner, and both circles touching inside:
/// sin α = x/(crown − corner), drop = crown − √((crown − corner)² − x²), evaluated as
/// corner + x²/((crown − corner) + √((crown − corner)² − x²)) so that a crown of large or infinite
/// radius (a flat one) loses nothing. Derivation: `docs/derivations.md#crown-and-corner`.
///
/// # Errors
///
/// [`GeomError::NoTangency`] if the corner is not below the half width, or the crown cannot reach.
pub fn crown_and_corner(
    crown: f64,
    corner: f64,
    half_width: f64,
) -> Result<CrownAndCorner, GeomError> {
    if !(corner > 0.0 && corner <= half_width) {
        return Err(GeomError::NoTangency {
            what: "corner radius against half width",
            found_mm: corner,
            low_mm: 0.0,
            high_mm: half_width,
        });
    }
    let reach = crown - corner;
    let x = half_width - corner;
    // Written so that a radius that is not a number is refused too.
    let reaches = reach >= x;
    if !reaches {
        return Err(GeomError::NoTangency {
            what: "crown radius against half width",
            found_mm: crown,
            low_mm: half_width,
            high_mm: f64::INFINITY,
        });
    }
    let crown_half_angle = if reach == 0.0 { 0.0 } else { asin(x / reach) };
    let deep = reach + ((reach - x) * (reach + x)).sqrt();
    let camber = if x == 0.0 { 0.0 } else { x * x / deep };
    Ok(CrownAndCorner {
        crown_half_angle,
        corner_angle: crate::math::FRAC_PI_2 - crown_half_angle,
        corner_drop: corner + camber,
    })
}

/// An S of two arcs between two parallel lines.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReverseCurve {
    /// Angle of each arc (rad).
    pub angle: f64,
    /// Length along the parallel lines that the S takes (mm).
    pub run: f64,
}

/// Joins two parallel lines `shift` apart by arcs of radii `first` and `second` bent opposite ways.
///
/// # Formula
///
/// cos θ = 1 − shift/(first + second), evaluated as sin²(θ/2) = shift/(2(first + second)) so that a
/// small shift keeps its digits; run = (first + second) sin θ. Derivation:
/// `docs/derivations.md#crown-and-corner`.
///
/// # Errors
///
/// [`GeomError::NoTangency`] if a radius is negative or both are zero, or if the shift is negative or
/// above the sum of the radii (past a quarter turn).
///
/// # Example
///
/// A drop of 5 in by two arcs of 10 in turns through acos 0.75.
///
/// ```
/// let ogee = geom::tangency::reverse_curve(5.0, 10.0, 10.0)?;
/// assert!((ogee.angle.to_degrees() - 41.4096).abs() < 1e-4);
/// # Ok::<(), geom::GeomError>(())
/// ```
pub fn reverse_curve(shift: f64, first: f64, second: f64) -> Result<ReverseCurve, GeomError> {
    let sum = first + second;
    let least = first.min(second);
    if !(least >= 0.0 && sum > 0.0) {
        return Err(GeomError::NoTangency {
            what: "radius of a reverse curve",
            found_mm: least,
            low_mm: 0.0,
            high_mm: f64::INFINITY,
        });
    }
    if !(0.0..=sum).contains(&shift) {
        return Err(GeomError::NoTangency {
            what: "shift of the reverse curve against the sum of its radii",
            found_mm: shift,
            low_mm: 0.0,
            high_mm: sum,
        });
    }
    let angle = 2.0 * asin((shift / (2.0 * sum)).sqrt());
    Ok(ReverseCurve {
        angle,
        run: sum * sin(angle),
    })
}

/// A circle that runs by a reverse arc into a vertical line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CircleToVertical {
    /// Angle of the circle below its horizontal diameter, and of the reverse arc (rad).
    pub angle: f64,
    /// Depth of the reverse arc's centre below the circle's centre (mm); the vertical begins there.
    pub drop: f64,
}

/// Joins a circle of radius `circle` by an outside reverse arc of radius `reverse` to a vertical
/// line at `half_width` from the circle's vertical diameter (all mm).
///
/// # Formula
///
/// drop = √((circle + reverse)² − (half_width + reverse)²), tan φ = drop/(half_width + reverse). Derivation:
/// `docs/derivations.md#crown-and-corner`.
///
/// # Errors
///
/// [`GeomError::NoTangency`] if the line lies outside the circle or the reverse radius is negative.
pub fn circle_to_vertical(
    circle: f64,
    reverse: f64,
    half_width: f64,
) -> Result<CircleToVertical, GeomError> {
    let (far, near) = (circle + reverse, half_width + reverse);
    // Written so that a radius that is not a number is refused too.
    let is_radius = reverse >= 0.0;
    if !is_radius {
        return Err(GeomError::NoTangency {
            what: "radius of the reverse arc",
            found_mm: reverse,
            low_mm: 0.0,
            high_mm: f64::INFINITY,
        });
    }
    if !(half_width > 0.0 && near <= far) {
        return Err(GeomError::NoTangency {
            what: "half width of the waist against the circle",
            found_mm: half_width,
            low_mm: 0.0,
            high_mm: circle,
        });
    }
    let drop = ((far - near) * (far + near)).sqrt();
    Ok(CircleToVertical {
        angle: atan2(drop, near),
        drop,
    })
}
