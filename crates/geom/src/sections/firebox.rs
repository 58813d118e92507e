//! Fireboxes: round-top ones, and Belpaire ones with flat crowns and leaning sides.

use super::{angle_within, room, within};
use crate::math::{FRAC_PI_2, FRAC_PI_4, atan2, sin, sin_cos};
use crate::tangency::{circle_to_vertical, reverse_curve};
use crate::{Chain, GeomError, Point2};

/// Two arcs that bring a leaning side down to a vertical foot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeaningWaist {
    /// Angle of the upper arc (rad), inwards.
    pub convex_angle: f64,
    /// Angle of the lower arc (rad), back outwards to the vertical.
    pub concave_angle: f64,
    /// Height that both take (mm).
    pub drop: f64,
}

/// Brings a side down to a vertical foot `narrowing` further in, by a convex and then a concave arc (mm).
///
/// `lean` is the side's angle from the vertical (rad), positive where it runs outwards going down; 0 is the waist
/// of a vertical side, [`reverse_curve`].
///
/// # Formula
///
/// With θ the concave angle: 1 − cos θ = (narrowing + convex·(1 − cos δ))/(convex + concave); the convex arc turns
/// through θ + δ, and the drop is convex·(sin δ + sin θ) + concave·sin θ. Derivation: `docs/derivations.md#leaning-sides`.
///
/// # Errors
///
/// [`GeomError::NoAngle`] for a lean past 45°; [`GeomError::NoTangency`] for radii below zero, a narrowing past the quarter
/// turn, or one that is less than a side leaning inwards loses on its way to the vertical.
pub fn leaning_waist(
    narrowing: f64,
    lean: f64,
    convex: f64,
    concave: f64,
) -> Result<LeaningWaist, GeomError> {
    angle_within("lean of the side", lean, -FRAC_PI_4, FRAC_PI_4)?;
    // What the convex arc moves outwards before it runs vertical.
    let shift = narrowing + convex * (2.0 * sin(lean / 2.0) * sin(lean / 2.0));
    let concave_angle = reverse_curve(shift, convex, concave)?.angle;
    let convex_angle = concave_angle + lean;
    if convex_angle < 0.0 {
        return Err(GeomError::NoTangency {
            what: "narrowing of the waist below a side that leans inwards",
            found_mm: narrowing,
            low_mm: 2.0 * concave * sin(lean / 2.0) * sin(lean / 2.0),
            high_mm: convex + concave,
        });
    }
    Ok(LeaningWaist {
        convex_angle,
        concave_angle,
        drop: convex * (sin(lean) + sin(concave_angle)) + concave * sin(concave_angle),
    })
}

/// Crown and shoulder over a leaning side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BelpaireTop {
    /// Half the crown's angle (rad), zero for a flat crown.
    pub crown_half_angle: f64,
    /// Half the crown's length (mm).
    pub crown_half_length: f64,
    /// Angle of the shoulder (rad): 90° less the crown's half and the side's lean.
    pub shoulder_angle: f64,
    /// Centre of the shoulder.
    pub shoulder_centre: Point2,
    /// Length of the leaning side from the shoulder down to the point it was given through (mm).
    pub side: f64,
}

/// Joins a crown through the top centre by a shoulder arc to a side that passes through `foot` and leans by `lean`.
///
/// `crown_radius` may be infinite: a flat crown. `top` is the crown's height, `lean` the side's angle from the vertical
/// (rad), positive where it runs outwards going down (mm, rad).
///
/// # Formula
///
/// With n = (cos δ, sin δ) square to the side and outwards, the shoulder's centre lies r inside it, and R − r from the
/// crown's centre at the angle α: sin(α + δ) − sin δ = (n·foot − r − (top − r) sin δ)/(R − r). For R infinite α = 0 and the
/// flat half is (n·foot − r − (top − r) sin δ)/cos δ. Derivation: `docs/derivations.md#leaning-sides`.
///
/// # Errors
///
/// [`GeomError::NoAngle`] for a lean past 45°; [`GeomError::NoTangency`] where shoulder or crown do not fit, or the shoulder ends
/// below `foot`.
pub fn belpaire_top(
    crown_radius: f64,
    shoulder_radius: f64,
    top: f64,
    lean: f64,
    foot: Point2,
) -> Result<BelpaireTop, GeomError> {
    angle_within("lean of the firebox side", lean, -FRAC_PI_4, FRAC_PI_4)?;
    let (sin_d, cos_d) = sin_cos(lean);
    within(
        "shoulder radius of the firebox",
        shoulder_radius,
        0.0,
        f64::MAX,
    )?;
    // How far the side passes outside a shoulder that stands on the centre line.
    let beside =
        cos_d * foot.x + sin_d * foot.y - shoulder_radius - (top - shoulder_radius) * sin_d;
    let beside = room("half width of the firebox against its shoulder", beside)?;
    let reach = crown_radius - shoulder_radius;
    let (crown_half_angle, crown_half_length, centre_x, camber) = if crown_radius.is_infinite() {
        (0.0, beside / cos_d, beside / cos_d, 0.0)
    } else {
        let high = reach * (1.0 - sin_d);
        let fits = beside <= high;
        if !fits {
            return Err(GeomError::NoTangency {
                what: "crown radius against the half width of the firebox",
                found_mm: crown_radius,
                low_mm: shoulder_radius + beside / (1.0 - sin_d),
                high_mm: f64::INFINITY,
            });
        }
        let angle = if beside == 0.0 {
            0.0
        } else {
            crown_angle(beside / reach, sin_d, cos_d)
        };
        let half = sin(angle / 2.0);
        (
            angle,
            crown_radius * angle,
            reach * sin(angle),
            2.0 * reach * half * half,
        )
    };
    let shoulder_centre = Point2::new(centre_x, top - shoulder_radius - camber);
    let side = (shoulder_centre.y - foot.y) * cos_d - (shoulder_centre.x - foot.x) * sin_d;
    Ok(BelpaireTop {
        crown_half_angle,
        crown_half_length,
        shoulder_angle: FRAC_PI_2 - lean - crown_half_angle,
        shoulder_centre,
        side: room("side of the firebox below its shoulder", side)?,
    })
}

/// α from sin(α + δ) = sin δ + u, without the loss of a difference of two angles.
fn crown_angle(u: f64, sin_d: f64, cos_d: f64) -> f64 {
    let sine = sin_d + u;
    let cosine = ((1.0 - sine) * (1.0 + sine)).max(0.0).sqrt();
    let sin_a = u * (cos_d + sin_d * (2.0 * sin_d + u) / (cos_d + cosine));
    atan2(sin_a, cosine * cos_d + sine * sin_d)
}

/// What a drawing gives of one end of a Belpaire firebox (mm, rad): outside of the plates, heights in one frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Belpaire {
    /// Height of the crown at the centre line.
    pub top: f64,
    /// Radius of the crown; infinite for a flat one.
    pub crown_radius: f64,
    /// Radius of the shoulders.
    pub shoulder_radius: f64,
    /// Lean of the sides from the vertical (rad), positive where the box widens going down.
    pub lean: f64,
    /// Half width where the side ends and the waist begins.
    pub half_width: f64,
    /// Height of that place.
    pub waist_from: f64,
    /// Radius of the upper waist arc.
    pub convex_radius: f64,
    /// Radius of the lower waist arc.
    pub concave_radius: f64,
    /// Half width of the vertical foot.
    pub bottom_half_width: f64,
    /// Height of the foot.
    pub foot: f64,
}

impl Belpaire {
    /// The left half from the crown to the foot, outside on the left of travel.
    ///
    /// A box that spreads below its sides bends outwards first.
    ///
    /// # Errors
    ///
    /// As [`belpaire_top`] and [`leaning_waist`]; [`GeomError::NoTangency`] if the waist ends below the foot.
    pub fn left_half(&self) -> Result<Chain, GeomError> {
        let start = Point2::new(self.half_width, self.waist_from);
        let top = belpaire_top(
            self.crown_radius,
            self.shoulder_radius,
            self.top,
            self.lean,
            start,
        )?;
        let crown = Chain::starting(Point2::new(0.0, self.top), 0.0);
        let crown = if self.crown_radius.is_infinite() {
            crown.line(top.crown_half_length)
        } else {
            crown.arc(self.crown_radius, -top.crown_half_angle)
        };
        let side = crown
            .arc(self.shoulder_radius, -top.shoulder_angle)
            .line(top.side);
        let narrowing = self.half_width - self.bottom_half_width;
        let inwards = if narrowing < 0.0 { -1.0 } else { 1.0 };
        let waist = leaning_waist(
            narrowing.abs(),
            inwards * self.lean,
            self.convex_radius,
            self.concave_radius,
        )?;
        let tail = room(
            "foot of the firebox below its waist",
            self.waist_from - waist.drop - self.foot,
        )?;
        Ok(side
            .arc(self.convex_radius, -inwards * waist.convex_angle)
            .arc(self.concave_radius, inwards * waist.concave_angle)
            .line(tail)
            .finish())
    }
}

/// How a round-top firebox comes in from its circle to its foot (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RoundTopWaist {
    /// Vertical from the circle's centre, then a reverse curve.
    BelowSides {
        /// Height where the vertical side ends.
        from: f64,
        /// Radius of the upper arc.
        convex_radius: f64,
        /// Radius of the lower arc.
        concave_radius: f64,
    },
    /// The circle itself runs on below its centre into one reverse arc.
    FromCircle {
        /// Radius of the reverse arc.
        reverse_radius: f64,
    },
}

/// What a drawing gives of a round-top firebox (mm): outside of the plates, heights in one frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RoundTop {
    /// Height of the circle's centre, the boiler's pitch.
    pub centre: f64,
    /// Radius of the circle.
    pub radius: f64,
    /// How it narrows.
    pub waist: RoundTopWaist,
    /// Half width of the vertical foot.
    pub bottom_half_width: f64,
    /// Height of the foot.
    pub foot: f64,
}

impl RoundTop {
    /// The left half from the top centre to the foot, outside on the left of travel.
    ///
    /// # Formula
    ///
    /// [`reverse_curve`] below vertical sides, [`circle_to_vertical`] straight from the circle.
    ///
    /// # Errors
    ///
    /// [`GeomError::NoTangency`] where the waist does not fit the widths, begins above the centre, or ends below the foot.
    ///
    /// # Example
    ///
    /// Sides all vertical: a half circle of 10 with legs of 5 has the half length 5π + 5.
    ///
    /// ```
    /// use geom::sections::{RoundTop, RoundTopWaist};
    /// let waist = RoundTopWaist::BelowSides { from: 3.0, convex_radius: 1.0, concave_radius: 1.0 };
    /// let firebox = RoundTop { centre: 5.0, radius: 10.0, waist, bottom_half_width: 10.0, foot: 0.0 };
    /// assert!((firebox.left_half()?.length() - (5.0 * std::f64::consts::PI + 5.0)).abs() < 1e-12);
    /// # Ok::<(), geom::GeomError>(())
    /// ```
    pub fn left_half(&self) -> Result<Chain, GeomError> {
        within("radius of the round top", self.radius, 0.0, f64::MAX)?;
        let over = Chain::starting(Point2::new(0.0, self.centre + self.radius), 0.0);
        let tail_room =
            |height: f64| room("foot of the firebox below its waist", height - self.foot);
        match self.waist {
            RoundTopWaist::BelowSides {
                from,
                convex_radius,
                concave_radius,
            } => {
                let side = room("vertical side of the round top", self.centre - from)?;
                let narrowing = self.radius - self.bottom_half_width;
                let inwards = if narrowing < 0.0 { -1.0 } else { 1.0 };
                let waist = reverse_curve(narrowing.abs(), convex_radius, concave_radius)?;
                let tail = tail_room(from - waist.run)?;
                Ok(over
                    .arc(self.radius, -FRAC_PI_2)
                    .line(side)
                    .arc(convex_radius, -inwards * waist.angle)
                    .arc(concave_radius, inwards * waist.angle)
                    .line(tail)
                    .finish())
            }
            RoundTopWaist::FromCircle { reverse_radius } => {
                let waist =
                    circle_to_vertical(self.radius, reverse_radius, self.bottom_half_width)?;
                let tail = tail_room(self.centre - waist.drop)?;
                Ok(over
                    .arc(self.radius, -(FRAC_PI_2 + waist.angle))
                    .arc(reverse_radius, waist.angle)
                    .line(tail)
                    .finish())
            }
        }
    }
}
