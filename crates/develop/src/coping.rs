//! Corners of flared copings: cone pieces for a round corner, the run-out of a mitred one.

use crate::error::check_within;
use crate::{AnnularSector, BendRule, DevelopError, Loft, LoftFrame};
use geom::math::{FRAC_PI_2, PI, sin};
use geom::{Arc, Chain, Point2, Segment};

/// One cone of a coping's corner: the frustum that stands on a chord of the flare.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ConeSegment {
    /// Height of its lower edge over the start of the flare (mm).
    pub foot: f64,
    /// Height from its lower edge to its upper one (mm).
    pub height: f64,
    /// Plan radius of the lower edge (mm).
    pub lower_radius: f64,
    /// Plan radius of the upper edge (mm).
    pub upper_radius: f64,
    /// Length of the chord, which is the width of the flat (mm).
    pub slant: f64,
    /// Radius of the flat's inner arc, R₀ (mm); zero for a cone that comes to a point.
    pub inner_radius: f64,
    /// Radius of the flat's outer arc, R₁ (mm).
    pub outer_radius: f64,
    /// Angle of the flat's sector (rad).
    pub sector_angle: f64,
    /// Greatest distance of the chord from the flare's true arc (mm).
    pub deviation: f64,
    /// Angle that the corner turns through in plan (rad).
    pub corner_angle: f64,
}

/// Cones for the rounded corner of a coping that flares out of upright sides, from the foot up.
///
/// `plan_radius` is the corner's at the foot of the flare, `flare_radius` and `flare_angle` those of the straight flares on either
/// side (all to one surface: mid-sheet for plates), `corner_angle` the turn in plan (mm, rad). The corner itself
/// curves both ways and cannot be made of sheet ([`coping_stretch`]); `segments` cones whose edges lie on it can.
///
/// # Formula
///
/// With n equal steps of the flare angle φ and ρ = plan + r(1 − cos φᵢ): slant s = 2r sin(φ/2n), R₀ = ρ₀s/(ρ₁ − ρ₀), R₁ = R₀ + s,
/// sector = corner·(ρ₁ − ρ₀)/s, deviation r(1 − cos(φ/2n)). Derivation: `docs/derivations.md#coping-corners`.
///
/// # Errors
///
/// [`DevelopError::OutOfRange`] for a plan radius below zero, a flare radius that is not above it, angles outside 0 to 90° (flare)
/// or 0 to 180° (corner), or no segments.
///
/// # Example
///
/// A flare of radius 5 through 90° on a sharp corner, one cone: its chord rises 5 and goes out 5, so the slant is 5√2.
///
/// ```
/// use std::f64::consts::FRAC_PI_2;
/// let cone = develop::coping_corner(0.0, 5.0, FRAC_PI_2, FRAC_PI_2, 1)?[0];
/// assert!((cone.slant - 50f64.sqrt()).abs() < 1e-12 && cone.inner_radius == 0.0);
/// # Ok::<(), develop::DevelopError>(())
/// ```
pub fn coping_corner(
    plan_radius: f64,
    flare_radius: f64,
    flare_angle: f64,
    corner_angle: f64,
    segments: usize,
) -> Result<Vec<ConeSegment>, DevelopError> {
    check_within(
        "plan radius of the corner",
        plan_radius,
        0.0,
        f64::MAX,
        true,
    )?;
    check_within("flare radius", flare_radius, 0.0, f64::MAX, false)?;
    check_within("flare angle", flare_angle, 0.0, FRAC_PI_2, false)?;
    check_within("corner angle", corner_angle, 0.0, PI, false)?;
    check_within("number of cones", segments as f64, 1.0, 1000.0, true)?;
    let step = flare_angle / segments as f64;
    let half = sin(step / 2.0);
    let slant = 2.0 * flare_radius * half;
    Ok((0..segments)
        .map(|i| {
            let (from, to) = (step * i as f64, step * (i + 1) as f64);
            // 1 − cos without the loss of a difference.
            let out = |angle: f64| 2.0 * flare_radius * sin(angle / 2.0) * sin(angle / 2.0);
            let (lower, upper) = (plan_radius + out(from), plan_radius + out(to));
            let inner = lower * slant / (upper - lower);
            let quarter = sin(step / 4.0);
            ConeSegment {
                foot: flare_radius * sin(from),
                height: flare_radius * (sin(to) - sin(from)),
                lower_radius: lower,
                upper_radius: upper,
                slant,
                inner_radius: inner,
                outer_radius: inner + slant,
                sector_angle: corner_angle * (upper - lower) / slant,
                deviation: 2.0 * flare_radius * quarter * quarter,
                corner_angle,
            }
        })
        .collect())
}

/// How much longer the edge of a flared round corner is than its foot: what one piece of metal would have to stretch
/// (0.25 is 25 %). Infinite for a sharp corner.
///
/// # Formula
///
/// r(1 − cos φ)/plan radius.
pub fn coping_stretch(plan_radius: f64, flare_radius: f64, flare_angle: f64) -> f64 {
    2.0 * flare_radius * sin(flare_angle / 2.0) * sin(flare_angle / 2.0) / plan_radius
}

impl ConeSegment {
    /// The flat as a sector.
    pub fn sector(&self) -> AnnularSector {
        AnnularSector {
            inner_radius: self.inner_radius,
            outer_radius: self.outer_radius,
            angle: self.sector_angle,
        }
    }

    /// Lower and upper edge in plan, about `centre`, from the direction `start` (rad) clockwise through the corner's angle: the
    /// outside of the corner on the left of travel. The lower one is empty for a cone that comes to a point.
    pub fn sections(&self, centre: Point2, start: f64) -> (Chain, Chain) {
        let edge = |radius: f64| {
            Chain::from_segments([Segment::Arc(Arc {
                centre,
                radius,
                start_angle: start,
                sweep: -self.corner_angle,
            })])
        };
        (edge(self.lower_radius), edge(self.upper_radius))
    }

    /// Where the cone's two edges stand, for a flare that begins at height `z` (mm).
    pub fn frame(&self, z: f64) -> LoftFrame {
        LoftFrame::upright(z + self.foot)
    }

    /// The cone as a loft that plates can be made of, from its lower edge up: `centre` and `start` as [`ConeSegment::sections`], `z` the height where
    /// the flare begins (mm).
    ///
    /// # Errors
    ///
    /// As [`Loft::between`]; a cone that comes to a point has no lower section and is refused.
    pub fn loft(
        &self,
        (centre, start): (Point2, f64),
        z: f64,
        thickness: f64,
        rule: BendRule,
    ) -> Result<Loft, DevelopError> {
        let (lower, upper) = self.sections(centre, start);
        Loft::between(self.frame(z), &lower, &upper, self.height, thickness, rule)
    }
}

/// The end of a flare's flat where it meets another flare on a mitre: first coordinate the run-out beyond the
/// corner of the upright sides, second the developed length up the flare (mm), straight between points that keep
/// within `chord_error` (mm) of the curve.
///
/// `own` and `other` are the profiles of the two flares from the foot up, first coordinate outwards, second up, to mid-sheet. The
/// sides meet at a right angle in plan. Points of equal height meet, so that at each place the strip runs out by
/// what the other flare leans out there. For equal flares that is a plane through the corner at 45° ([`crate::Trace::Cut`]).
///
/// # Errors
///
/// [`DevelopError::OutOfRange`] for a profile that is empty or does not rise, another flare that ends lower, or a chord error that
/// is not above zero.
pub fn mitre_run_out(own: &Chain, other: &Chain, chord_error: f64) -> Result<Chain, DevelopError> {
    check_within("chord error", chord_error, 0.0, f64::MAX, false)?;
    let rise = |chain: &Chain| chain.end().y - chain.start().y;
    check_within("height of the flare", rise(own), 0.0, f64::MAX, false)?;
    check_within(
        "height of the flare beyond the mitre",
        rise(other),
        rise(own) * (1.0 - 1e-12),
        f64::MAX,
        true,
    )?;
    for segment in own.segments().iter().chain(other.segments()) {
        // A profile that stays level, or turns down again, has no one place at a height.
        let least = sin(segment.tangent_angle_at(0.0)).min(sin(segment.tangent_angle_at(1.0)));
        check_within("rise of the flare", least, 1e-9, f64::MAX, true)?;
    }
    let point = |along: f64| {
        let height = own.point_at(along).y - own.start().y + other.start().y;
        let out = other.point_at(length_at_height(other, height)).x - other.start().x;
        Point2::new(out, along)
    };
    let mut points = vec![point(0.0)];
    let mut before = 0.0;
    for segment in own.segments() {
        let end = before + segment.length();
        halve((before, end), &point, chord_error, 12, &mut points);
        before = end;
    }
    Ok(Chain::from_segments(
        points.windows(2).map(|p| Segment::line(p[0], p[1])),
    ))
}

/// Adds points of the curve after the first of a stretch, halving until its chords are near enough.
fn halve(
    (from, to): (f64, f64),
    point: &impl Fn(f64) -> Point2,
    chord_error: f64,
    depth: u32,
    points: &mut Vec<Point2>,
) {
    let (a, b) = (point(from), point(to));
    let off = [0.25, 0.5, 0.75]
        .map(|share| {
            Segment::line(a, b)
                .nearest(point(from + (to - from) * share))
                .1
        })
        .into_iter()
        .fold(0.0, f64::max);
    if depth == 0 || off <= chord_error {
        points.push(b);
        return;
    }
    let middle = f64::midpoint(from, to);
    halve((from, middle), point, chord_error, depth - 1, points);
    halve((middle, to), point, chord_error, depth - 1, points);
}

/// Length along a rising profile at which it comes to a height.
fn length_at_height(profile: &Chain, height: f64) -> f64 {
    let (mut low, mut high) = (0.0, profile.length());
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if profile.point_at(middle).y < height {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}
