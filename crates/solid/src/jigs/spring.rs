//! The tool that leaves a wanted bend.

use body::Sheet;
use develop::{Alloy, DevelopError, spring_back};

use super::fault::JigFault;

/// A bend and the tool that leaves it (mm, rad).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ToolBend {
    /// Radius of the tool.
    pub(super) radius: f64,
    /// Share of the tool's bend angle that is left.
    pub(super) angle_share: f64,
    /// True if the bend is so gentle that it is left to the hand: no tool sets it for certain.
    pub(super) by_hand: bool,
}

/// Beyond this X of the spring-back formula (1/2 is elastic) a few per cent of the yield stress decide
/// over the radius left, and no tool is made: chosen, not sourced.
const GREATEST_X: f64 = 0.40;

/// The tool that leaves an inside radius (mm) in sheet of a thickness (mm).
///
/// # Formula
///
/// The inverse of [`spring_back`] by halving: the radius left grows with the tool's.
pub(super) fn tool_for(sheet: &Sheet, thickness: f64, wanted: f64) -> Result<ToolBend, JigFault> {
    let (yield_stress, elasticity) = strength(sheet);
    let left_by = |tool: f64| spring_back(tool, thickness, yield_stress, elasticity);
    let elastic = 0.5 * elasticity * thickness / yield_stress;
    let (mut low, mut high) = (0.0, wanted.min(elastic));
    for _ in 0..200 {
        let middle = (low + high) / 2.0;
        let too_wide = match left_by(middle) {
            Ok(left) => left.radius > wanted,
            Err(DevelopError::Elastic { .. }) => true,
            Err(_) => break,
        };
        if too_wide {
            high = middle;
        } else {
            low = middle;
        }
    }
    let left = left_by(low)?;
    Ok(ToolBend {
        radius: low,
        angle_share: left.angle_share,
        by_hand: low * yield_stress / (elasticity * thickness) > GREATEST_X,
    })
}

/// Yield stress and modulus of elasticity of a plate's metal (MPa).
pub(super) fn strength(sheet: &Sheet) -> (f64, f64) {
    let (alloy, temper) = sheet.metal.split_once(' ').unwrap_or((&sheet.metal, ""));
    let alloy = Alloy::named(alloy).unwrap_or(&develop::alloys()[0]);
    let temper = alloy.temper(temper).unwrap_or(&alloy.tempers[0]);
    (temper.yield_mpa, alloy.elasticity_gpa * 1e3)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tool_leaves_what_is_wanted() {
        let sheet = Sheet::plain("brass half-hard", 0.3);
        for wanted in [0.5, 2.0, 8.0, 19.0] {
            let tool = tool_for(&sheet, 0.3, wanted).unwrap();
            let left = spring_back(tool.radius, 0.3, 300.0, 110_000.0).unwrap();
            assert!((left.radius / wanted - 1.0).abs() < 1e-9, "{wanted}");
            assert!(tool.radius < wanted && tool.angle_share < 1.0);
        }
    }

    #[test]
    fn a_gentle_curve_is_left_to_the_hand() {
        let sheet = Sheet::plain("brass half-hard", 0.3);
        assert!(tool_for(&sheet, 0.3, 1000.0).unwrap().by_hand);
        assert!(!tool_for(&sheet, 0.3, 19.0).unwrap().by_hand);
    }
}
