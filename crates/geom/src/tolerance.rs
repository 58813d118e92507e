//! The tolerances of the geometry, each with its unit and reason.

/// Two points closer than this are one point (mm).
///
/// A hundredth of a thousandth of the finest figure a works drawing gives at 4 mm scale
/// (1/64 in is 0.0052 mm on the model), and far above the rounding of coordinates of 400 mm.
pub const COINCIDENT_MM: f64 = 1e-9;

/// Two directions closer than this are parallel (rad).
///
/// Over a plate of 300 mm it moves an end by 3e-8 mm.
pub const PARALLEL_RAD: f64 = 1e-10;

/// Accuracy asked of every numerical length, root and area (mm, mm²).
pub const NUMERIC: f64 = 1e-11;
