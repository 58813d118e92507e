//! Turned fittings whose foot follows the surface that they stand on.

use develop::{Loft, SurfacePoint};
use geom::math::sin_cos;
use geom::{BodyPoint, Outline, Vector2};

/// The outside of a part of the body, seen from above and from the sides.
#[derive(Clone, Debug)]
pub struct Seat {
    skin: Loft,
}

/// Seats are alike if their surfaces have the same sections in the same planes.
impl PartialEq for Seat {
    fn eq(&self, other: &Self) -> bool {
        let same = |v| self.skin.section_at(v) == other.skin.section_at(v);
        self.skin.frame() == other.skin.frame()
            && self.skin.axial_length() == other.skin.axial_length()
            && same(0.0)
            && same(1.0)
    }
}

impl Seat {
    /// The seat on an outside surface in a frame along the engine.
    pub fn new(skin: Loft) -> Self {
        Self { skin }
    }

    /// x between which the surface lies (mm); it is carried on a little beyond.
    pub fn reach(&self) -> (f64, f64) {
        let from = self.skin.frame().origin.x;
        (from, from + self.skin.axial_length())
    }

    fn share(&self, x: f64) -> f64 {
        let (from, to) = self.reach();
        (x - from) / (to - from)
    }

    /// Height of the surface's top above rail (mm); `None` beside it.
    pub fn height(&self, x: f64, y: f64) -> Option<f64> {
        let at = self.skin.under_drill(Vector2::y(), y, self.share(x)).ok()?;
        Some(self.skin.section_point(at).y)
    }

    /// How far out from the centre line the surface stands at a height above rail (mm), the same on both
    /// sides; `None` over or under it.
    pub fn half_width(&self, x: f64, z: f64) -> Option<f64> {
        // To the right of a drill that points left lies down.
        let at: SurfacePoint = self
            .skin
            .under_drill(Vector2::x(), -z, self.share(x))
            .ok()?;
        Some(self.skin.section_point(at).x)
    }
}

/// A fitting turned about an upright axis, its foot drawn down over the surface that it stands on.
///
/// # Formula
///
/// A point of the turned shape at radius ρ, angle ψ from x, and height h over the seat below the axis
/// stands at the height S₀ + h + (S(ρ, ψ) − S₀) k(h), S being the seat and S₀ its height under the axis.
/// k is 1 up to the top of the foot's edge and falls to 0 at the top of the flare as 1 − 3u² + 2u³, so that
/// the edge follows the seat with one thickness and the stem stays round:
/// `docs/derivations.md#skirt-of-a-turned-fitting`.
#[derive(Clone, Debug, PartialEq)]
pub struct Seated {
    /// On the seat, under the axis.
    pub foot: BodyPoint,
    /// Closed profile of (distance from the axis, height over the seat), mm, anticlockwise, begun on the
    /// axis at height zero.
    pub profile: Outline,
    /// What it stands on.
    pub seat: Seat,
    /// Heights over the seat between which the foot's shape goes over into the turned one (mm).
    pub blend: (f64, f64),
}

/// A place of a seated fitting and how it is sheared there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeatedPlace {
    /// The place.
    pub point: BodyPoint,
    /// Slope of the shear along x and along y.
    pub slope: Vector2,
    /// Rise for each unit of height over the seat: above zero.
    pub stretch: f64,
}

impl Seated {
    /// Share of the seat's shape that a height over the seat has, and its slope.
    fn share(&self, height: f64) -> (f64, f64) {
        let (from, to) = self.blend;
        let u = (height - from) / (to - from);
        if u <= 0.0 {
            (1.0, 0.0)
        } else if u >= 1.0 {
            (0.0, 0.0)
        } else {
            (
                (1.0 - u) * (1.0 - u) * (1.0 + 2.0 * u),
                -6.0 * u * (1.0 - u) / (to - from),
            )
        }
    }

    /// How far the seat lies above the foot at a place beside the axis; `None` beside the seat.
    fn rise(&self, x: f64, y: f64) -> Option<f64> {
        let height = self.seat.height(self.foot.x + x, self.foot.y + y)?;
        Some(height - self.foot.z)
    }

    /// Where the turned shape's point at a radius, an angle from x (rad) and a height over the seat stands.
    ///
    /// `None` where that point has no seat below it.
    pub fn place(&self, radius: f64, angle: f64, height: f64) -> Option<SeatedPlace> {
        // Step of the slope's differences (mm).
        const STEP: f64 = 1e-4;
        let (s, c) = sin_cos(angle);
        let (x, y) = (radius * c, radius * s);
        let (share, fall) = self.share(height);
        let up = |rise: f64| BodyPoint::new(self.foot.x + x, self.foot.y + y, self.foot.z + rise);
        if share == 0.0 || radius == 0.0 {
            return Some(SeatedPlace {
                point: up(height),
                slope: Vector2::zeros(),
                stretch: 1.0,
            });
        }
        let rise = self.rise(x, y)?;
        let slope = |dx: f64, dy: f64| {
            // At the rim of the seat only one side has one.
            let (before, after) = (self.rise(x - dx, y - dy), self.rise(x + dx, y + dy));
            match (before, after) {
                (Some(before), Some(after)) => (after - before) / (2.0 * STEP),
                (Some(before), None) => (rise - before) / STEP,
                (None, Some(after)) => (after - rise) / STEP,
                (None, None) => 0.0,
            }
        };
        Some(SeatedPlace {
            point: up(height + rise * share),
            slope: Vector2::new(slope(STEP, 0.0), slope(0.0, STEP)) * share,
            stretch: 1.0 + rise * fall,
        })
    }

    /// Greatest radius of the part that follows the seat (mm).
    pub fn foot_radius(&self) -> f64 {
        self.profile
            .vertices()
            .iter()
            .filter(|vertex| vertex.point.y < self.blend.1)
            .fold(0.0, |most, vertex| vertex.point.x.max(most))
    }

    /// True if the seat lies under all of the foot and no part of the shape is turned over by a seat that
    /// is too steep for it.
    pub(crate) fn stands(&self) -> bool {
        const ROUND: u32 = 72;
        const OUT: u32 = 6;
        // A mesh's corners stand a little outside the circle.
        let radius = 1.01 * self.foot_radius();
        let steepest = 1.5 / (self.blend.1 - self.blend.0);
        (1..=OUT).all(|i| {
            let own = radius * f64::from(i) / f64::from(OUT);
            (0..ROUND).all(|k| {
                let angle = geom::math::TAU * f64::from(k) / f64::from(ROUND);
                let (s, c) = sin_cos(angle);
                // Rising ground makes the blend steeper, falling ground gentler.
                self.rise(own * c, own * s)
                    .is_some_and(|rise| rise * steepest < 0.9)
            })
        })
    }
}
