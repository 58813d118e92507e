//! Trigonometry through one library, so that every machine gives the same bits.
//!
//! The `f64` methods call whatever the platform's C library does, which differs in the last place
//! from system to system; flats and files must not. `clippy.toml` therefore refuses them.

pub use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI, TAU};

/// Sine of an angle (rad).
pub fn sin(angle: f64) -> f64 {
    libm::sin(angle)
}

/// Cosine of an angle (rad).
pub fn cos(angle: f64) -> f64 {
    libm::cos(angle)
}

/// Sine and cosine of an angle (rad).
pub fn sin_cos(angle: f64) -> (f64, f64) {
    libm::sincos(angle)
}

/// Tangent of an angle (rad).
pub fn tan(angle: f64) -> f64 {
    libm::tan(angle)
}

/// Angle (rad) whose sine is `x`; NaN outside −1..1.
pub fn asin(x: f64) -> f64 {
    libm::asin(x)
}

/// Angle (rad) whose cosine is `x`; NaN outside −1..1.
pub fn acos(x: f64) -> f64 {
    libm::acos(x)
}

/// Angle (rad) of the direction (`x`, `y`), in −π..π.
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}

/// Angle (rad) whose tangent is `x`.
pub fn atan(x: f64) -> f64 {
    libm::atan(x)
}

/// Length of the hypotenuse over `x` and `y`.
pub fn hypot(x: f64, y: f64) -> f64 {
    libm::hypot(x, y)
}

/// Common (decimal) logarithm.
pub fn log10(x: f64) -> f64 {
    libm::log10(x)
}

/// Error function: 2/√π ∫ exp(−t²) dt from 0 to `x`.
pub fn erf(x: f64) -> f64 {
    libm::erf(x)
}

/// The angle brought into −π < a ≤ π (rad).
pub fn wrap_angle(angle: f64) -> f64 {
    let turns = libm::round(angle / TAU);
    let wrapped = angle - turns * TAU;
    if wrapped <= -PI {
        wrapped + TAU
    } else {
        wrapped
    }
}
