//! The saddle that carries a drum smokebox.

use super::{room, within};
use crate::math::{asin, atan2, sin_cos};
use crate::tangency::circle_to_vertical;
use crate::{Arc, Chain, GeomError, Outline, Point2, Segment};

/// How the side of a saddle leaves the drum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SaddleTop {
    /// Tangent to the drum, running out to a thin edge.
    Tangent,
    /// A horn at this half width on the drum (mm), below the drum's centre.
    HalfWidth(f64),
}

/// An end view of a saddle, closed.
#[derive(Clone, Debug, PartialEq)]
pub struct SaddleOutline {
    /// Anticlockwise: base, left side, the bed under the drum, right side.
    pub outline: Outline,
    /// The left side from the horn down to the base, outside on the left of travel.
    pub side: Chain,
    /// The bed under the drum from the right horn to the left, the drum on the left of travel.
    pub bed: Chain,
}

/// A saddle under a drum of radius `drum` about (0, `drum_centre`), its bed opened by `film` for solder, its concave sides of
/// `side_radius` ending upright on a base of half width `base_half_width` at height `base` (all mm).
///
/// A side that narrows to the base begins at the horn and ends in an upright; one that spreads begins upright below
/// the horn and sweeps out to the base.
///
/// # Formula
///
/// Tangent: [`circle_to_vertical`] of the bed's circle. Narrowing from a horn at half width h: the side's centre stands at
/// x = base + r and √(r² − (base + r − h)²) below the horn. Spreading: it turns through acos(1 − (base − h)/r).
///
/// # Errors
///
/// [`GeomError::NoTangency`] where the side's radius cannot join horn and base, or the side ends below the base.
pub fn saddle(
    drum: f64,
    drum_centre: f64,
    film: f64,
    top: SaddleTop,
    side_radius: f64,
    (base_half_width, base): (f64, f64),
) -> Result<SaddleOutline, GeomError> {
    within("radius of the drum on the saddle", drum, 0.0, f64::MAX)?;
    room("solder film of the saddle", film)?;
    within("radius of the saddle's side", side_radius, 0.0, f64::MAX)?;
    within(
        "half width of the saddle's base",
        base_half_width,
        0.0,
        f64::MAX,
    )?;
    let bed_radius = drum + film;
    let side = match top {
        SaddleTop::Tangent => {
            let joint = circle_to_vertical(bed_radius, side_radius, base_half_width)?;
            let (s, c) = sin_cos(joint.angle);
            let horn = Point2::new(bed_radius * c, drum_centre - bed_radius * s);
            let tail = room(
                "side of the saddle above its base",
                drum_centre - joint.drop - base,
            )?;
            Chain::starting(horn, -crate::math::FRAC_PI_2 - joint.angle)
                .arc(side_radius, joint.angle)
                .line(tail)
                .finish()
        }
        SaddleTop::HalfWidth(half_width) => {
            within(
                "half width of the saddle's horns against the drum",
                half_width,
                0.0,
                bed_radius,
            )?;
            let depth = ((bed_radius - half_width) * (bed_radius + half_width)).sqrt();
            let horn = Point2::new(half_width, drum_centre - depth);
            side_from_horn(horn, side_radius, base_half_width, base)?
        }
    };
    let horn = side.start();
    let right = atan2(horn.y - drum_centre, -horn.x);
    let left = atan2(horn.y - drum_centre, horn.x);
    let bed = Chain::from_segments([Segment::Arc(Arc {
        centre: Point2::new(0.0, drum_centre),
        radius: bed_radius,
        start_angle: right,
        sweep: left - right,
    })]);
    let foot = side.end();
    let across = Segment::line(Point2::new(-foot.x, foot.y), foot);
    let round = Chain::from_segments([across])
        .joined(&side.reversed())
        .joined(&bed.reversed())
        .joined(&side.mirrored_in_y_axis());
    Ok(SaddleOutline {
        outline: Outline::from_chain(&round)?,
        side,
        bed,
    })
}

/// The side from a horn of given half width.
fn side_from_horn(
    horn: Point2,
    radius: f64,
    base_half_width: f64,
    base: f64,
) -> Result<Chain, GeomError> {
    let down = -crate::math::FRAC_PI_2;
    let overhang = horn.x - base_half_width;
    within(
        "overhang of the saddle's horns against the radius of its side",
        overhang.abs(),
        -1.0,
        radius,
    )?;
    // Angle from the arc's upright end to its other end: 1 − cos θ = overhang/r.
    let angle = 2.0 * asin((overhang.abs() / (2.0 * radius)).sqrt());
    let drop = radius * crate::math::sin(angle);
    let upright = room("side of the saddle above its base", horn.y - drop - base)?;
    Ok(if overhang >= 0.0 {
        Chain::starting(horn, down - angle)
            .arc(radius, angle)
            .line(upright)
            .finish()
    } else {
        Chain::starting(horn, down)
            .line(upright)
            .arc(radius, angle)
            .finish()
    })
}
