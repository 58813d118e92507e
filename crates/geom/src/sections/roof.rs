//! Cab roofs of one, three, five or more arcs.

use super::{angle_within, within};
use crate::math::{FRAC_PI_2, asin, cos, sin};
use crate::{Chain, GeomError, Point2};

/// The arcs of one side of a roof, from the top centre to the eaves.
#[derive(Clone, Debug, PartialEq)]
pub struct RoofArcs {
    /// Radii from the centre arc outwards (mm); an infinite one is a flat.
    pub radii: Vec<f64>,
    /// Angle of each arc (rad), zero for a flat; the centre arc's is half its whole angle.
    pub angles: Vec<f64>,
    /// Length of each piece (mm).
    pub lengths: Vec<f64>,
    /// Depth of the eaves below the top (mm).
    pub drop: f64,
}

impl RoofArcs {
    /// Slope of the roof at the eaves (rad): 90° where it ends vertical.
    pub fn end_angle(&self) -> f64 {
        self.angles.iter().sum()
    }

    /// Length from the top centre to the eaves (mm).
    pub fn half_length(&self) -> f64 {
        self.lengths.iter().sum()
    }

    /// From the top centre at height `top` (mm) to the left eaves, outside on the left of travel.
    pub fn left_half(&self, top: f64) -> Chain {
        let mut chain = Chain::starting(Point2::new(0.0, top), 0.0);
        for ((&radius, &angle), &length) in self.radii.iter().zip(&self.angles).zip(&self.lengths) {
            chain = if radius.is_infinite() {
                chain.line(length)
            } else {
                chain.arc(radius, -angle)
            };
        }
        chain.finish()
    }

    /// From joints given by slope (rad) and half width (mm), top and eaves included.
    fn through(radii: &[f64], slopes: &[f64], across: &[f64]) -> Self {
        let mut drop = 0.0;
        let (mut angles, mut lengths) = (Vec::new(), Vec::new());
        for (i, &radius) in radii.iter().enumerate() {
            let (from, to) = (slopes[i], slopes[i + 1]);
            if radius.is_infinite() {
                angles.push(0.0);
                lengths.push((across[i + 1] - across[i]) / cos(from));
                drop += (across[i + 1] - across[i]) * crate::math::tan(from);
            } else {
                angles.push(to - from);
                lengths.push(radius * (to - from));
                // cos from − cos to without the loss of a difference.
                drop += 2.0 * radius * sin((from + to) / 2.0) * sin((to - from) / 2.0);
            }
        }
        Self {
            radii: radii.to_vec(),
            angles,
            lengths,
            drop,
        }
    }
}

/// A roof of one arc of `radius` through the top centre, out to `half_width` (mm); the eaves slope as the arc does there.
///
/// # Formula
///
/// sin φ = half_width/radius.
///
/// # Errors
///
/// [`GeomError::NoTangency`] for a radius below the half width, or a half width that is not above zero.
pub fn single_arc_roof(radius: f64, half_width: f64) -> Result<RoofArcs, GeomError> {
    within(
        "half width of the roof against its radius",
        half_width,
        0.0,
        radius,
    )?;
    let end = if radius.is_infinite() {
        0.0
    } else {
        asin(half_width / radius)
    };
    Ok(RoofArcs::through(
        &[radius],
        &[0.0, end],
        &[0.0, half_width],
    ))
}

/// A roof of arcs that follow one another tangentially from the top centre to eaves of a given slope.
///
/// `radii` run from the centre arc outwards (mm): two of them make a three-arc roof, three a five-arc roof; the first
/// may be infinite. `joints` are the half widths (mm) at which the arcs before the last two end: none
/// for a three-arc roof, one for a five-arc roof. The last joint is solved for. `end_angle` is the slope at the eaves
/// (rad), 90° for eaves that end vertical.
///
/// # Formula
///
/// An arc of radius R from slope a to slope b runs R(sin b − sin a) across. With x and θ at the start of the last arc
/// but one, radius P, and the last arc of radius Q ending at half width w with slope φ:
/// sin ψ = (w − x + P sin θ − Q sin φ)/(P − Q). Derivation: `docs/derivations.md#roofs-of-many-arcs`.
///
/// # Errors
///
/// [`GeomError::WrongCount`] for a number of radii or joints that do not go together; [`GeomError::NoAngle`] for eaves outside 0
/// to 90°, [`GeomError::NoTangency`] where the arcs cannot reach the half width in that order.
///
/// # Example
///
/// Radii 10 and 5 out to half width 8, vertical: sin α = 3/5, so the eaves are 10·(1 − 0.8) + 5·0.8 = 6 below the top.
///
/// ```
/// let roof = geom::sections::roof_arcs(&[10.0, 5.0], &[], 8.0, std::f64::consts::FRAC_PI_2)?;
/// assert!((roof.drop - 6.0).abs() < 1e-12);
/// # Ok::<(), geom::GeomError>(())
/// ```
pub fn roof_arcs(
    radii: &[f64],
    joints: &[f64],
    half_width: f64,
    end_angle: f64,
) -> Result<RoofArcs, GeomError> {
    let n = radii.len();
    if n < 2 {
        return Err(GeomError::WrongCount {
            what: "radii of the roof from its centre to the eaves",
            found: n,
            wanted: 2,
        });
    }
    if joints.len() != n - 2 {
        return Err(GeomError::WrongCount {
            what: "half widths at which the roof's inner arcs end",
            found: joints.len(),
            wanted: n - 2,
        });
    }
    for &radius in &radii[1..] {
        within("radius of a roof arc", radius, 0.0, f64::MAX)?;
    }
    within(
        "radius of the centre arc of the roof",
        radii[0],
        0.0,
        f64::INFINITY,
    )?;
    angle_within("slope of the roof at the eaves", end_angle, 0.0, FRAC_PI_2)?;
    let (mut slopes, mut across) = (vec![0.0], vec![0.0]);
    for (&radius, &joint) in radii.iter().zip(joints) {
        let (slope, x) = (slopes[slopes.len() - 1], across[across.len() - 1]);
        let sine = sin(slope) + (joint - x) / radius;
        let reach = x + radius * (sin(end_angle) - sin(slope));
        if !(joint >= x && sine <= sin(end_angle)) {
            return Err(GeomError::NoTangency {
                what: "half width at which a roof arc ends",
                found_mm: joint,
                low_mm: x,
                high_mm: reach,
            });
        }
        slopes.push(asin(sine));
        across.push(joint);
    }
    let (slope, x) = (slopes[n - 2], across[n - 2]);
    let (inner, outer) = (radii[n - 2], radii[n - 1]);
    let joint = last_joint((inner, outer), (slope, x), half_width, end_angle)?;
    slopes.extend([joint.0, end_angle]);
    across.extend([joint.1, half_width]);
    Ok(RoofArcs::through(radii, &slopes, &across))
}

/// Slope and half width at which the last arc takes over.
fn last_joint(
    (inner, outer): (f64, f64),
    (slope, x): (f64, f64),
    half_width: f64,
    end_angle: f64,
) -> Result<(f64, f64), GeomError> {
    let (start, end) = (sin(slope), sin(end_angle));
    // The eaves lie between where either arc alone would bring them.
    let alone = |radius: f64| {
        if radius.is_infinite() {
            f64::INFINITY
        } else {
            x + radius * (end - start)
        }
    };
    let (low, high) = (
        alone(inner).min(alone(outer)),
        alone(inner).max(alone(outer)),
    );
    if !(low..=high).contains(&half_width) {
        return Err(GeomError::NoTangency {
            what: "half width of the roof at the eaves",
            found_mm: half_width,
            low_mm: low,
            high_mm: high,
        });
    }
    if inner.is_infinite() {
        return Ok((slope, half_width - outer * (end - start)));
    }
    // Equal radii are one arc; it may change over anywhere.
    let share = if inner == outer {
        0.0
    } else {
        (half_width - alone(outer)) / (inner - outer)
    };
    let sine = (start + share).clamp(start.min(end), start.max(end));
    Ok((asin(sine), x + inner * (sine - start)))
}
