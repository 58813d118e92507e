//! Throws of vehicles on a curve, in closed form and by the second-order formulas of the gauge rules.
//!
//! Lengths in mm, or all in any other one unit. `wheelbase` is that of a rigid vehicle, or the distance
//! between the pivots of two bogies.

use geom::math::{self, asin};

/// How far the middle of a rigid wheelbase stands inside the centre line: R − √(R² − a²/4).
pub fn centre_throw(wheelbase: f64, radius: f64) -> f64 {
    radius - centre_distance(wheelbase, radius)
}

/// The same to second order: a²/(8R).
pub fn centre_throw_near(wheelbase: f64, radius: f64) -> f64 {
    wheelbase * wheelbase / (8.0 * radius)
}

/// How far the ends of a vehicle of `length` stand outside the centre line, on the vehicle's own: √(d² + L²/4) − R
/// with d the distance of its middle from the centre of the curve.
pub fn end_throw(length: f64, wheelbase: f64, radius: f64) -> f64 {
    math::hypot(centre_distance(wheelbase, radius), length / 2.0) - radius
}

/// The same to second order: (L² − a²)/(8R).
pub fn end_throw_near(length: f64, wheelbase: f64, radius: f64) -> f64 {
    (length * length - wheelbase * wheelbase) / (8.0 * radius)
}

/// How much further out the corner of a vehicle of `width` comes than on the straight.
pub fn corner_throw(length: f64, width: f64, wheelbase: f64, radius: f64) -> f64 {
    let d = centre_distance(wheelbase, radius);
    math::hypot(d + width / 2.0, length / 2.0) - radius - width / 2.0
}

/// Throw to the inside of a section `n` from the nearer pivot, between the pivots, with bogies of
/// wheelbase `bogie`: (a n − n² + p²/4)/(2R).
///
/// International gauge rules (Technical Unity in railways, article 6, partly read; UIC 505, from memory).
pub fn inside_throw_near(wheelbase: f64, n: f64, bogie: f64, radius: f64) -> f64 {
    (wheelbase * n - n * n + bogie * bogie / 4.0) / (2.0 * radius)
}

/// Throw to the outside of a section `n` beyond the nearer pivot: (a n + n² − p²/4)/(2R). Source as
/// [`inside_throw_near`].
pub fn outside_throw_near(wheelbase: f64, n: f64, bogie: f64, radius: f64) -> f64 {
    (wheelbase * n + n * n - bogie * bogie / 4.0) / (2.0 * radius)
}

/// Sideways displacement of a truck's axle or pivot `x` from the middle of a rigid wheelbase, to second
/// order: (x² − a²/4)/(2R).
pub fn truck_displacement_near(x: f64, wheelbase: f64, radius: f64) -> f64 {
    (x * x - wheelbase * wheelbase / 4.0) / (2.0 * radius)
}

/// Angle between two rigid vehicles on one curve whose coupling is `m1` and `m2` along the track from the
/// middles of their wheelbases (rad): each chord is parallel to the tangent at its middle.
pub fn coupling_angle_near(m1: f64, m2: f64, radius: f64) -> f64 {
    (m1 + m2) / radius
}

/// Rise of an arc over a chord: R − √(R² − C²/4).
pub fn versine(chord: f64, radius: f64) -> f64 {
    centre_throw(chord, radius)
}

/// Degree of a curve by a chord of 100 ft (rad): 2 asin(50 ft/R), with the radius in feet.
pub fn degree_of_curve(radius_ft: f64) -> f64 {
    2.0 * asin(50.0 / radius_ft)
}

/// Shift of a curve by its transition, to second order: L²/(24R).
pub fn transition_shift_near(length: f64, radius: f64) -> f64 {
    length * length / (24.0 * radius)
}

/// Least radius that a rigid wheelbase passes when its middle may stand `clear` off the centre line: a²/(8v).
pub fn least_radius_near(wheelbase: f64, clear: f64) -> f64 {
    wheelbase * wheelbase / (8.0 * clear)
}

/// Least radius at which a wheel of a rigid wheelbase meets the rail at no more than `angle` (rad):
/// a/(2 sin α). NEM 111 (2016) allows 12°.
pub fn least_radius_by_attack(wheelbase: f64, angle: f64) -> f64 {
    wheelbase / (2.0 * math::sin(angle))
}

fn centre_distance(wheelbase: f64, radius: f64) -> f64 {
    ((radius - wheelbase / 2.0) * (radius + wheelbase / 2.0))
        .max(0.0)
        .sqrt()
}
