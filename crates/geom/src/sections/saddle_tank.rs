//! The section of a saddle tank.

use super::{room, within};
use crate::math::{FRAC_PI_2, atan2};
use crate::tangency::{CrownAndCorner, crown_and_corner};
use crate::{Arc, Chain, GeomError, Outline, Point2, Segment};

/// What a drawing gives of a saddle tank's section (mm): outside of the plates, heights in one frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SaddleTank {
    /// Height of the top centre.
    pub top: f64,
    /// Radius of the arc over the top.
    pub top_radius: f64,
    /// Radius of the shoulders.
    pub shoulder_radius: f64,
    /// Half the width over the vertical sides.
    pub half_width: f64,
    /// Height of the flat bottom.
    pub bottom: f64,
    /// Radius of the bottom corners.
    pub bottom_radius: f64,
    /// Height of the boiler's centre.
    pub boiler_centre: f64,
    /// Radius of the opening over the boiler, about its centre.
    pub opening_radius: f64,
}

/// A saddle tank's section solved: its pieces from the top centre to where the bottom meets the opening (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SaddleTankSection {
    /// The dimensions it was solved for.
    pub given: SaddleTank,
    /// Top arc and shoulder.
    pub shoulder: CrownAndCorner,
    /// Height of the shoulder's centre; the vertical side begins level with it.
    pub shoulder_centre: f64,
    /// Length of the vertical side.
    pub side: f64,
    /// Length of the flat bottom from the corner inwards to the opening.
    pub lip: f64,
}

impl SaddleTank {
    /// Solves the section.
    ///
    /// # Formula
    ///
    /// Shoulder as [`crown_and_corner`]; the opening is cut at half width √(radius² − (centre − bottom)²), and
    /// the lip is what is left of the bottom from there to the corner.
    ///
    /// # Errors
    ///
    /// [`GeomError::NoTangency`] where radii do not fit the width, the shoulder ends below the bottom corner, the
    /// opening does not reach the bottom, or is wider than it.
    pub fn section(&self) -> Result<SaddleTankSection, GeomError> {
        let shoulder = crown_and_corner(self.top_radius, self.shoulder_radius, self.half_width)?;
        let shoulder_centre = self.top - shoulder.corner_drop;
        within(
            "bottom corner radius of the tank",
            self.bottom_radius,
            0.0,
            self.half_width,
        )?;
        let side = room(
            "vertical side of the tank between shoulder and bottom corner",
            shoulder_centre - self.bottom - self.bottom_radius,
        )?;
        let below = self.boiler_centre - self.bottom;
        within(
            "radius of the tank's opening against the boiler's height over the bottom",
            self.opening_radius,
            below.abs(),
            f64::MAX,
        )?;
        let lip = room(
            "flat bottom of the tank between corner and opening",
            self.half_width - self.bottom_radius - self.opening_half_width(),
        )?;
        let above = self.top - self.boiler_centre;
        within(
            "radius of the tank's opening against its top",
            self.opening_radius,
            0.0,
            above,
        )?;
        Ok(SaddleTankSection {
            given: *self,
            shoulder,
            shoulder_centre,
            side,
            lip,
        })
    }

    /// Half width of the opening at the bottom.
    fn opening_half_width(&self) -> f64 {
        let below = self.boiler_centre - self.bottom;
        ((self.opening_radius - below) * (self.opening_radius + below)).sqrt()
    }
}

impl SaddleTankSection {
    /// From the top centre over shoulder, side and bottom corner to the end of the lip.
    pub fn left_half(&self) -> Chain {
        self.left_to_bottom_of_side().joined(&self.corner_and_lip())
    }

    /// From the top centre to the bottom of the vertical side: a wrapper that ends there.
    pub fn left_to_bottom_of_side(&self) -> Chain {
        let g = &self.given;
        Chain::starting(Point2::new(0.0, g.top), 0.0)
            .arc(g.top_radius, -self.shoulder.crown_half_angle)
            .arc(g.shoulder_radius, -self.shoulder.corner_angle)
            .line(self.side)
            .finish()
    }

    fn corner_and_lip(&self) -> Chain {
        let g = &self.given;
        let start = Point2::new(g.half_width, g.bottom + g.bottom_radius);
        Chain::starting(start, -FRAC_PI_2)
            .arc(g.bottom_radius, -FRAC_PI_2)
            .line(self.lip)
            .finish()
    }

    /// The closed section, anticlockwise: the outside, and the opening over the boiler.
    ///
    /// # Errors
    ///
    /// [`GeomError::Open`] or [`GeomError::Empty`] only if the section has no size.
    pub fn outline(&self) -> Result<Outline, GeomError> {
        let g = &self.given;
        let half = g.opening_half_width();
        let below = g.bottom - g.boiler_centre;
        let left = atan2(below, half);
        let over = Segment::Arc(Arc {
            centre: Point2::new(0.0, g.boiler_centre),
            radius: g.opening_radius,
            start_angle: left,
            sweep: crate::math::PI - 2.0 * left,
        });
        let outside = self.left_half().with_mirror_image();
        // The outside runs clockwise from the right lip to the left; the opening brings it back over the boiler.
        let round = outside.joined(&Chain::from_segments([over]));
        Ok(Outline::from_chain(&round)?.reversed())
    }

    /// Area of the section (mm²): what the tank holds for each mm of its length.
    ///
    /// # Errors
    ///
    /// As [`SaddleTankSection::outline`].
    pub fn area(&self) -> Result<f64, GeomError> {
        Ok(self.outline()?.area())
    }
}
