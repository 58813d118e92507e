//! What a bend springs back to.

use crate::DevelopError;

/// A bend after the tool is taken away.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpringBack {
    /// Inside radius that is left (mm).
    pub radius: f64,
    /// Share of the bend angle that is left.
    pub angle_share: f64,
}

/// Inside radius left by a tool of radius `tool` (mm) in sheet of `thickness` (mm), with `yield_stress`
/// and `elasticity` in the same unit.
///
/// # Formula
///
/// Rᵢ/R_f = 4X³ − 3X + 1 with X = Rᵢ Y/(E T), as taught after Boothroyd and Marciniak and in
/// Kalpakjian and Schmid, *Manufacturing Engineering and Technology*, ch. 16 (formula read on a
/// teaching page, attribution from memory). The angle keeps the length of the neutral line:
/// α_f/αᵢ = (2Rᵢ/T + 1)/(2R_f/T + 1).
///
/// # Errors
///
/// [`DevelopError::Elastic`] from X = 0.5 on, where nothing is left of the bend;
/// [`DevelopError::OutOfRange`] for a value that is not above zero.
///
/// # Example
///
/// ```
/// let left = develop::spring_back(50.0, 2.0, 300.0, 210_000.0)?;
/// assert!((left.radius - 55.9886).abs() < 1e-4);
/// # Ok::<(), develop::DevelopError>(())
/// ```
pub fn spring_back(
    tool: f64,
    thickness: f64,
    yield_stress: f64,
    elasticity: f64,
) -> Result<SpringBack, DevelopError> {
    for (name, value) in [
        ("tool radius", tool),
        ("thickness", thickness),
        ("yield stress", yield_stress),
        ("modulus of elasticity", elasticity),
    ] {
        if !(value.is_finite() && value > 0.0) {
            return Err(DevelopError::OutOfRange {
                name,
                value,
                low: 0.0,
                high: f64::INFINITY,
            });
        }
    }
    let x = tool * yield_stress / (elasticity * thickness);
    if x >= 0.5 {
        return Err(DevelopError::Elastic {
            radius_mm: tool,
            ratio: x,
        });
    }
    let radius = tool / (4.0 * x * x * x - 3.0 * x + 1.0);
    Ok(SpringBack {
        radius,
        angle_share: (2.0 * tool / thickness + 1.0) / (2.0 * radius / thickness + 1.0),
    })
}
