//! The half-etched fold line.

use crate::DevelopError;
use crate::error::check_within;
use geom::math::{PI, tan};

/// A fold along a half-etched groove, the groove inside.
///
/// The web left under the groove bends over the whole finished width of the line, its own middle
/// being the neutral line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HalfEtchedFold {
    /// Angle folded through (rad).
    pub angle: f64,
    /// Thickness of the sheet (mm).
    pub thickness: f64,
    /// Depth of the groove (mm).
    pub depth: f64,
    /// Finished width of the groove (mm).
    pub width: f64,
}

impl HalfEtchedFold {
    /// The fold whose groove walls just meet: width = angle · (thickness − web/2).
    ///
    /// # Formula
    ///
    /// With web h = t − d bending to an inside radius r_i = w/θ − h/2, the walls meet when
    /// r_i = t − h, so w = θ(t − h/2). At 90° and half depth w = 3π t/8 = 1.178 t, the value that a
    /// published table for photo-etched parts gives (gibitrains.fr, updated 2024-12-02). Derivation:
    /// `docs/derivations.md#half-etched-fold`.
    ///
    /// # Errors
    ///
    /// [`DevelopError::OutOfRange`] for an angle outside 0 to 180° or a depth outside the sheet.
    ///
    /// # Example
    ///
    /// ```
    /// let fold = develop::HalfEtchedFold::closing(std::f64::consts::FRAC_PI_2, 0.4, 0.2)?;
    /// assert!((fold.width - 0.4712).abs() < 5e-5);
    /// # Ok::<(), develop::DevelopError>(())
    /// ```
    pub fn closing(angle: f64, thickness: f64, depth: f64) -> Result<Self, DevelopError> {
        let web = thickness - depth;
        Self::with_width(angle, thickness, depth, angle * (thickness - web / 2.0))
    }

    /// The fold of a groove of a given finished width (mm).
    ///
    /// # Errors
    ///
    /// [`DevelopError::OutOfRange`] for an angle outside 0 to 180°, a depth outside the sheet, or a
    /// width too small for the web to bend on (inside radius below zero).
    pub fn with_width(
        angle: f64,
        thickness: f64,
        depth: f64,
        width: f64,
    ) -> Result<Self, DevelopError> {
        let within = |name, value, low, high| check_within(name, value, low, high, false);
        within("fold angle", angle, 0.0, PI)?;
        within("sheet thickness", thickness, 0.0, f64::MAX)?;
        within("groove depth", depth, 0.0, thickness * (1.0 - f64::EPSILON))?;
        let least = angle * (thickness - depth) / 2.0;
        within("groove width", width, least * (1.0 - 1e-12), f64::MAX)?;
        Ok(Self {
            angle,
            thickness,
            depth,
            width,
        })
    }

    /// Metal left under the groove (mm).
    pub fn web(&self) -> f64 {
        self.thickness - self.depth
    }

    /// Inside radius of the bent web (mm).
    pub fn inside_radius(&self) -> f64 {
        self.width / self.angle - self.web() / 2.0
    }

    /// How much longer each leg comes out over the outside than it is drawn to the middle of the groove (mm).
    ///
    /// (r_i + h) tan(θ/2) − w/2: 0.411 t for a closing fold of 90° at half depth.
    pub fn leg_allowance(&self) -> f64 {
        (self.inside_radius() + self.web()) * tan(self.angle / 2.0) - self.width / 2.0
    }

    /// Share of the closing width that this groove has; below 1 the walls press on each other.
    pub fn closing_share(&self) -> f64 {
        self.width / (self.angle * (self.thickness - self.web() / 2.0))
    }
}
