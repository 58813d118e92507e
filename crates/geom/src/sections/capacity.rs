//! How much water a tank of the full-size engine holds.

/// Cubic inches in an imperial gallon of 4.54609 l (Weights and Measures Act 1985, schedule 1, from memory), the inch
/// being 25.4 mm.
pub const CUBIC_INCHES_PER_UK_GALLON: f64 = 4_546.09 / 16.387_064;

/// Imperial gallons that a tank holds, from the area of its section (full-size square inches) and its length
/// (full-size inches). Plates, stays and fittings inside are not taken off.
///
/// # Example
///
/// A tank of one square foot and ten feet: 17280 cu in at 277.42 a gallon.
///
/// ```
/// assert!((geom::sections::uk_gallons(144.0, 120.0) - 62.288).abs() < 5e-4);
/// ```
pub fn uk_gallons(area_sq_in: f64, length_in: f64) -> f64 {
    area_sq_in * length_in / CUBIC_INCHES_PER_UK_GALLON
}
