//! The profile of a footplate that drops or sweeps between levels.

use super::{angle_within, room, within};
use crate::math::{FRAC_PI_2, acos, cos, sin};
use crate::tangency::reverse_curve;
use crate::tolerance::COINCIDENT_MM;
use crate::{Arc, Chain, GeomError, Point2, Segment};

/// One change of level: an ogee, a quarter drop, or a ramp between two bends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FootplateDrop {
    /// x at which the first bend begins (mm).
    pub x: f64,
    /// How far the top surface comes down going rearwards (mm); negative where it rises.
    pub fall: f64,
    /// Radius of the first bend, to the top surface (mm).
    pub first_radius: f64,
    /// Radius of the second bend, to the top surface (mm); zero for a drop that ends as it hangs down.
    pub second_radius: f64,
    /// Slope between the bends (rad). `None`: the bends meet (an ogee), or, for a fall above the sum of the radii, a
    /// quarter drop with an upright between them.
    pub slope: Option<f64>,
}

impl FootplateDrop {
    /// Angle of the bends (rad) and length of the straight between them (mm).
    ///
    /// # Formula
    ///
    /// cos θ = 1 − fall/(r₁ + r₂) where the bends meet; with a slope θ given, the straight is
    /// (fall − (r₁ + r₂)(1 − cos θ))/sin θ long.
    fn bends(&self) -> Result<(f64, f64), GeomError> {
        let (fall, sum) = (self.fall.abs(), self.first_radius + self.second_radius);
        for radius in [self.first_radius, self.second_radius] {
            room("radius of a bend of the footplate", radius)?;
        }
        match self.slope {
            Some(slope) => {
                angle_within(
                    "slope of the footplate between its bends",
                    slope,
                    1e-6,
                    FRAC_PI_2,
                )?;
                let half = sin(slope / 2.0);
                let straight = (fall - 2.0 * sum * half * half) / sin(slope);
                Ok((
                    slope,
                    room("slope between two bends of the footplate", straight)?,
                ))
            }
            None if fall > sum => Ok((FRAC_PI_2, fall - sum)),
            None => Ok((
                reverse_curve(fall, self.first_radius, self.second_radius)?.angle,
                0.0,
            )),
        }
    }

    /// Distance along the level that the drop takes (mm).
    ///
    /// # Errors
    ///
    /// [`GeomError::NoTangency`] or [`GeomError::NoAngle`] where the radii and the slope do not make the fall.
    pub fn run(&self) -> Result<f64, GeomError> {
        let (angle, straight) = self.bends()?;
        let sum = self.first_radius + self.second_radius;
        Ok(sum * sin(angle) + straight * cos(angle))
    }
}

/// The top surface of a footplate along the engine: first coordinate rearwards, second up, the top on the left of travel.
#[derive(Clone, Debug, PartialEq)]
pub struct FootplateProfile {
    chain: Chain,
}

impl FootplateProfile {
    /// Lays a profile from (`from`, `height`) rearwards to x = `to` (mm), level but for the drops, which are given from the front.
    ///
    /// A last drop without a second radius hangs down and ends the profile there, whatever `to` is.
    ///
    /// # Errors
    ///
    /// [`GeomError::NoTangency`] or [`GeomError::NoAngle`] where a drop cannot be made of its radii, begins before the one ahead has
    /// ended, or runs past `to`.
    ///
    /// # Example
    ///
    /// A drop of 5 by two arcs of 10 turns through acos 0.75; its developed length is 20 times that.
    ///
    /// ```
    /// use geom::sections::{FootplateDrop, FootplateProfile};
    /// let drop = FootplateDrop { x: 10.0, fall: 5.0, first_radius: 10.0, second_radius: 10.0, slope: None };
    /// let profile = FootplateProfile::laid(0.0, 54.0, 40.0, &[drop])?;
    /// assert!((profile.height_at(40.0).unwrap() - 49.0).abs() < 1e-12);
    /// # Ok::<(), geom::GeomError>(())
    /// ```
    pub fn laid(
        from: f64,
        height: f64,
        to: f64,
        drops: &[FootplateDrop],
    ) -> Result<Self, GeomError> {
        within("length of the footplate", to - from, 0.0, f64::MAX)?;
        let mut x = from;
        let mut chain = Chain::starting(Point2::new(from, height), 0.0);
        let mut hangs = false;
        for drop in drops {
            let level = if hangs { -1.0 } else { drop.x - x };
            let level = room("level footplate before a drop", level)?;
            let (angle, straight) = drop.bends()?;
            let down = drop.fall.signum();
            hangs = drop.second_radius == 0.0 && angle == FRAC_PI_2;
            chain = chain
                .line(level)
                .arc(drop.first_radius, -down * angle)
                .line(straight);
            if !hangs {
                chain = chain.arc(drop.second_radius, down * angle);
            }
            x = drop.x + drop.run()?;
        }
        if !hangs {
            chain = chain.line(room("level footplate behind its last drop", to - x)?);
        }
        Ok(Self {
            chain: chain.finish(),
        })
    }

    /// The profile as a chain, the top on the left of travel.
    pub fn chain(&self) -> &Chain {
        &self.chain
    }

    /// The profile moved up square to itself by `distance` (mm): half a thickness down is mid-sheet.
    ///
    /// # Errors
    ///
    /// [`GeomError::OffsetPastCentre`] where a bend would lose its radius.
    pub fn offset(&self, distance: f64) -> Result<Self, GeomError> {
        Ok(Self {
            chain: self.chain.offset(distance)?,
        })
    }

    /// Developed length (mm).
    pub fn length(&self) -> f64 {
        self.chain.length()
    }

    /// Developed length from the front to where the profile first comes to `x` (mm); `None` beyond its ends.
    pub fn developed_at(&self, x: f64) -> Option<f64> {
        let mut before = 0.0;
        for segment in self.chain.segments() {
            let length = segment.length();
            if let Some(along) = length_at_x(segment, x) {
                return Some(before + along);
            }
            before += length;
        }
        None
    }

    /// x at a developed length from the front (mm).
    pub fn x_at(&self, developed: f64) -> f64 {
        self.chain.point_at(developed).x
    }

    /// Height of the surface where it first comes to `x` (mm); `None` beyond its ends.
    pub fn height_at(&self, x: f64) -> Option<f64> {
        self.developed_at(x)
            .map(|along| self.chain.point_at(along).y)
    }
}

/// Length from a segment's start to where it first stands at `x`, for a segment that never runs back.
fn length_at_x(segment: &Segment, x: f64) -> Option<f64> {
    let (start, end) = (segment.start(), segment.end());
    if x < start.x - COINCIDENT_MM || x > end.x + COINCIDENT_MM {
        return None;
    }
    match segment {
        Segment::Line { .. } => {
            let run = end.x - start.x;
            let share = if run > 0.0 { (x - start.x) / run } else { 0.0 };
            Some(share.clamp(0.0, 1.0) * segment.length())
        }
        Segment::Arc(arc) => Some(along_arc(arc, x)),
    }
}

fn along_arc(arc: &Arc, x: f64) -> f64 {
    let spoke = acos(((x - arc.centre.x) / arc.radius).clamp(-1.0, 1.0));
    // A bend downwards is the upper side of its circle, a bend back up the lower.
    let angle = if arc.sweep < 0.0 { spoke } else { -spoke };
    let turned = (angle - arc.start_angle) * arc.sweep.signum();
    let turned = crate::math::wrap_angle(turned);
    turned.clamp(0.0, arc.sweep.abs()) * arc.radius
}
