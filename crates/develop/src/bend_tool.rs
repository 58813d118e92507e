//! What to bend over, so that what is left after the spring is what is wanted.

use crate::error::check_above_zero;
use crate::{Alloy, DevelopError, StockRound, StockSystem, Temper, nearest_stock, spring_back};

/// Tool radius, as a share of the radius at which the sheet stays elastic, beyond which no tool is named: nine
/// tenths of the sheet stay elastic there, and a yield stress off by 1 % puts the radius off by 19 %. Chosen,
/// not sourced.
const ELASTIC_SHARE: f64 = 0.9;

/// Inside radius in thicknesses above which the theory of bending holds: a lecture notebook after Hosford and
/// Marciniak, read as an excerpt.
const THIN_FROM: f64 = 4.0;

/// The tool of a bend: what to bend over and how far.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BendTool {
    /// Radius of the tool, on the inside of the bend (mm).
    pub radius: f64,
    /// Angle to bend through (rad), more than the angle that is left.
    pub angle: f64,
    /// R·Y/(E·T) of the tool: half of the share of the thickness that stays elastic; 0.5 is all of it.
    pub elastic_ratio: f64,
    /// Whether the bend is thin enough for the theory, its radius four thicknesses or more. In a tighter one
    /// the spring is small, and the figures are a first try.
    pub is_thin: bool,
}

impl BendTool {
    /// Diameter of the round to bend over (mm).
    pub fn diameter(&self) -> f64 {
        2.0 * self.radius
    }

    /// The round that can be bought nearest to it.
    pub fn stock(&self, system: StockSystem) -> &'static StockRound {
        nearest_stock(self.diameter(), system)
    }
}

/// The tool that leaves an inside radius (mm) and an angle (rad) in sheet of a thickness (mm), of half-etched
/// sheet what is left of it.
///
/// # Formula
///
/// The inverse of [`spring_back`]: with F = R_f Y/(E T) and X = Rᵢ Y/(E T) the tool has 4FX³ − (3F + 1)X + F = 0,
/// which has one root from 0 to ½ for every F; the angle follows from the length of the neutral line
/// (`docs/derivations.md#spring-back`).
///
/// # Accuracy
///
/// The root is exact to the last digits. The yield stress is a figure that the standard of the temper gives for
/// information: a sheet that yields later springs farther, and a first bend in an offcut shows.
///
/// # Errors
///
/// [`DevelopError::Elastic`] where so little of the sheet would yield that no tool can be named;
/// [`DevelopError::OutOfRange`] for a value that is not above zero.
///
/// # Example
///
/// ```
/// use develop::{Alloy, tool_for};
/// // Half-hard brass, Y 300 MPa, E 110 GPa: 14.751 mm are left by a tool of 10 mm.
/// let brass = Alloy::named("brass").expect("in the table");
/// let tool = tool_for(14.751, 1.0, 0.25, brass, brass.temper("half-hard").expect("in the table"))?;
/// assert!((tool.radius - 10.0).abs() < 1e-4 && tool.angle > 1.0);
/// # Ok::<(), develop::DevelopError>(())
/// ```
pub fn tool_for(
    radius: f64,
    angle: f64,
    thickness: f64,
    alloy: &Alloy,
    temper: &Temper,
) -> Result<BendTool, DevelopError> {
    tool_of_stress(
        radius,
        angle,
        thickness,
        temper.yield_mpa,
        alloy.elasticity_gpa * 1000.0,
    )
}

/// As [`tool_for`], of a yield stress and modulus in the same unit.
///
/// # Errors
///
/// As [`tool_for`].
pub fn tool_of_stress(
    radius: f64,
    angle: f64,
    thickness: f64,
    yield_stress: f64,
    elasticity: f64,
) -> Result<BendTool, DevelopError> {
    check_above_zero("radius", radius)?;
    check_above_zero("bend angle", angle)?;
    check_above_zero("thickness", thickness)?;
    check_above_zero("yield stress", yield_stress)?;
    check_above_zero("modulus of elasticity", elasticity)?;
    let elastic = elasticity * thickness / yield_stress;
    let ratio = tool_ratio(radius / elastic);
    let tool = ratio * elastic;
    let is_named = ratio < 0.5 * ELASTIC_SHARE;
    if !is_named {
        return Err(DevelopError::Elastic {
            radius_mm: tool,
            ratio,
        });
    }
    let left = spring_back(tool, thickness, yield_stress, elasticity)?;
    Ok(BendTool {
        radius: tool,
        angle: angle / left.angle_share,
        elastic_ratio: ratio,
        is_thin: radius >= THIN_FROM * thickness,
    })
}

/// Root from 0 to ½ of 4fX³ − (3f + 1)X + f.
///
/// The polynomial is convex there and falls everywhere, by one at least: Newton's steps from zero rise to the
/// root without ever passing it, and halve what is left even beside the double root at ½.
fn tool_ratio(f: f64) -> f64 {
    let mut x = 0.0;
    for _ in 0..200 {
        let value = 4.0 * f * x * x * x - (3.0 * f + 1.0) * x + f;
        let slope = 12.0 * f * x * x - (3.0 * f + 1.0);
        let next = x - value / slope;
        let has_settled = next <= x;
        if has_settled {
            break;
        }
        x = next;
    }
    x.min(0.5)
}
