//! An engine or tender standing on a track: exact positions in plan, by chords and circles.

use super::RunningError;
use super::track::TrackLine;
use body::{Axle, Chassis, Truck, TruckKind};
use geom::math::{self, sin_cos};
use geom::{Point2, Vector2};

/// Where chords and circles are held to (mm).
const CLOSE: f64 = 1e-11;

/// A rigid thing in plan, seen from above: its x and y are those of a body, x to the rear and y to the hand
/// called left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Where its x and y are zero.
    pub origin: Point2,
    /// Unit vector towards its front.
    pub forward: Vector2,
}

impl Frame {
    /// The frame whose points (`x_front`, 0) and (`x_rear`, 0) lie at two places, `x_front` at the first.
    fn through(front: Point2, x_front: f64, rear: Point2) -> Self {
        let forward = (front - rear).normalize();
        Self {
            origin: front + forward * x_front,
            forward,
        }
    }

    /// Where a point of the thing is on the ground.
    pub fn place(&self, own: Point2) -> Point2 {
        self.origin - self.forward * own.x + self.across() * own.y
    }

    /// The point of the thing at a place on the ground.
    pub fn own(&self, place: Point2) -> Point2 {
        let from = place - self.origin;
        Point2::new(-from.dot(&self.forward), from.dot(&self.across()))
    }

    /// Unit vector along its y.
    pub fn across(&self) -> Vector2 {
        Vector2::new(self.forward.y, -self.forward.x)
    }

    /// Angle that it has turned anticlockwise from another (rad).
    pub fn turned_from(&self, other: &Self) -> f64 {
        math::atan2(
            other.forward.x * self.forward.y - other.forward.y * self.forward.x,
            other.forward.dot(&self.forward),
        )
    }
}

/// A truck under an engine that stands on a track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TruckStanding {
    /// The truck's own frame: that of the engine on the straight.
    pub frame: Frame,
    /// How far it has turned anticlockwise under the engine (rad).
    pub swing: f64,
    /// How far its pivot has slid along the engine's y (mm); zero for a truck that swings.
    pub slide: f64,
}

/// An engine or tender on a track.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// Distance along the track of its first guiding point (mm).
    pub s: f64,
    /// Its frame.
    pub frame: Frame,
    /// Its trucks, as in [`Chassis::trucks`].
    pub trucks: Vec<TruckStanding>,
    /// For each axle the engine's y at which the middle of the track passes it (mm): what a wheelset has to
    /// shift, or be carried, to stay between the rails.
    pub offsets: Vec<f64>,
}

/// What a vehicle is held over the rails by.
#[derive(Clone, Copy, Debug)]
enum Guide<'c> {
    Axle(&'c Axle),
    /// A truck that carries an end, its pivot not sliding.
    Truck(&'c Truck),
}

impl Guide<'_> {
    fn x(&self) -> f64 {
        match self {
            Self::Axle(axle) => axle.x,
            Self::Truck(truck) => truck.pivot,
        }
    }
}

/// First and last axle in the frames; with fewer than two the trucks carry what is left.
fn guides(chassis: &Chassis) -> Result<[Guide<'_>; 2], RunningError> {
    let mut all: Vec<Guide<'_>> = chassis.rigid().map(Guide::Axle).collect();
    if all.len() < 2 {
        all.extend(chassis.trucks.iter().map(Guide::Truck));
        all.sort_by(|a, b| a.x().total_cmp(&b.x()));
    }
    match (all.first(), all.last()) {
        (Some(first), Some(last)) if last.x() > first.x() => Ok([*first, *last]),
        _ => Err(RunningError::NothingToStandOn {
            vehicle: chassis.title.clone(),
        }),
    }
}

impl Standing {
    /// Stands a vehicle on a track, its first guiding point at `s` along it (mm), its front ahead.
    ///
    /// The first and last axle in its frames stand on the centre line. A bogie stands on it with both axles,
    /// its pivot sliding straight across the engine; a truck that swings stands on it with its axle.
    ///
    /// # Errors
    ///
    /// [`RunningError::TooSharp`] where a distance cannot be laid on the line,
    /// [`RunningError::NothingToStandOn`] for a vehicle that nothing guides.
    pub fn at(chassis: &Chassis, track: &TrackLine, s: f64) -> Result<Self, RunningError> {
        let [first, last] = guides(chassis)?;
        let on = Laid { chassis, track };
        let front = on.guide_point(&first, s)?;
        let reach = last.x() - first.x();
        let behind = on.behind(s, reach, &format!("the wheelbase of {reach:.1} mm"), |t| {
            Ok((front - on.guide_point(&last, t)?).norm() - reach)
        })?;
        let frame = Frame::through(front, first.x(), on.guide_point(&last, behind)?);
        let trucks: Result<Vec<_>, _> = chassis
            .trucks
            .iter()
            .map(|truck| on.truck(truck, &frame, s + first.x() - truck.pivot))
            .collect();
        let offsets = chassis
            .axles
            .iter()
            .map(|axle| {
                let abreast = on.abreast(&frame, axle.x, s + first.x() - axle.x);
                frame.own(on.point(abreast)).y
            })
            .collect();
        Ok(Self {
            s,
            frame,
            trucks: trucks?,
            offsets,
        })
    }
}

/// A chassis and the track it is laid on.
struct Laid<'c> {
    chassis: &'c Chassis,
    track: &'c TrackLine,
}

impl Laid<'_> {
    fn point(&self, s: f64) -> Point2 {
        self.track.at(s).point
    }

    fn too_sharp(&self, what: &str) -> RunningError {
        RunningError::TooSharp {
            vehicle: self.chassis.title.clone(),
            what: what.to_owned(),
            radius: 1.0 / self.track.sharpest(),
        }
    }

    /// Distance along the line behind `s` by about `reach` at which `miss` is zero; it grows to the rear.
    fn behind(
        &self,
        s: f64,
        reach: f64,
        what: &str,
        miss: impl Fn(f64) -> Result<f64, RunningError>,
    ) -> Result<f64, RunningError> {
        // A chord is no longer than its arc, and an arc of half a circle is π/2 of its chord.
        let (from, to) = (s - 1.6 * reach - 1.0, s - 0.9 * reach + 1.0);
        root(from, to, miss)?.ok_or_else(|| self.too_sharp(what))
    }

    /// Where a guiding point stands: an axle on the line, a truck's pivot on its own wheelbase.
    fn guide_point(&self, guide: &Guide<'_>, s: f64) -> Result<Point2, RunningError> {
        match guide {
            Guide::Axle(_) => Ok(self.point(s)),
            Guide::Truck(truck) => {
                let (first, last) = self.ends(truck);
                let own = self.wheelbase(truck, s + truck.pivot - first, first, last)?;
                Ok(own.place(Point2::new(truck.pivot, 0.0)))
            }
        }
    }

    /// x of the first and of the last axle of a truck.
    fn ends(&self, truck: &Truck) -> (f64, f64) {
        let xs = || {
            truck
                .axles
                .iter()
                .filter_map(|n| self.chassis.axle(*n))
                .map(|axle| axle.x)
        };
        (
            xs().fold(f64::INFINITY, f64::min),
            xs().fold(f64::NEG_INFINITY, f64::max),
        )
    }

    /// Frame of a truck with its first axle at `s`; a single axle stands square to the line.
    fn wheelbase(
        &self,
        truck: &Truck,
        s: f64,
        first: f64,
        last: f64,
    ) -> Result<Frame, RunningError> {
        let front = self.point(s);
        let reach = last - first;
        if reach <= 0.0 {
            let (sin, cos) = sin_cos(self.track.at(s).heading);
            let forward = Vector2::new(cos, sin);
            return Ok(Frame {
                origin: front + forward * first,
                forward,
            });
        }
        let what = format!("the wheelbase of {}", truck.id);
        let behind = self.behind(s, reach, &what, |t| {
            Ok((front - self.point(t)).norm() - reach)
        })?;
        Ok(Frame::through(front, first, self.point(behind)))
    }

    fn truck(
        &self,
        truck: &Truck,
        engine: &Frame,
        near: f64,
    ) -> Result<TruckStanding, RunningError> {
        match truck.kind {
            TruckKind::Bogie => self.bogie(truck, engine, near),
            TruckKind::Swinging => self.swinging(truck, engine, near),
        }
    }

    /// Both axles on the line, the pivot at its own x of the engine.
    fn bogie(
        &self,
        truck: &Truck,
        engine: &Frame,
        near: f64,
    ) -> Result<TruckStanding, RunningError> {
        let (first, last) = self.ends(truck);
        let pivot = Point2::new(truck.pivot, 0.0);
        let standing = |s: f64| self.wheelbase(truck, s + truck.pivot - first, first, last);
        let miss = |s: f64| Ok(engine.own(standing(s)?.place(pivot)).x - truck.pivot);
        let what = format!("the pivot of {}", truck.id);
        // Going ahead along the line the pivot comes nearer to the engine's front.
        let margin = 0.3 * self.chassis.length + 1.0;
        let s = root(near - margin, near + margin, miss)?.ok_or_else(|| self.too_sharp(&what))?;
        let frame = standing(s)?;
        Ok(TruckStanding {
            frame,
            swing: frame.turned_from(engine),
            slide: engine.own(frame.place(pivot)).y,
        })
    }

    /// The axle on the line, at its arm's length from the pivot.
    fn swinging(
        &self,
        truck: &Truck,
        engine: &Frame,
        near: f64,
    ) -> Result<TruckStanding, RunningError> {
        let (first, last) = self.ends(truck);
        let x = (first + last) / 2.0;
        let arm = (x - truck.pivot).abs();
        let pivot = engine.place(Point2::new(truck.pivot, 0.0));
        let near = self.abreast(engine, x, near + truck.pivot - x);
        let ahead = x < truck.pivot;
        let miss = |s: f64| {
            let reach = (self.point(s) - pivot).norm() - arm;
            Ok(if ahead { -reach } else { reach })
        };
        let what = format!("the arm of {}", truck.id);
        let margin = 0.5 * arm;
        let s = root(near - margin, near + margin, miss)?.ok_or_else(|| self.too_sharp(&what))?;
        let axle = self.point(s);
        let forward = if ahead { axle - pivot } else { pivot - axle }.normalize();
        let frame = Frame {
            origin: pivot + forward * truck.pivot,
            forward,
        };
        Ok(TruckStanding {
            frame,
            swing: frame.turned_from(engine),
            slide: 0.0,
        })
    }

    /// Distance along the line at which it passes x of the engine, looked for from `near`.
    fn abreast(&self, engine: &Frame, x: f64, near: f64) -> f64 {
        let mut s = near;
        for _ in 0..60 {
            let own = self.track.at(s);
            let (sin, cos) = sin_cos(own.heading);
            let ahead = engine.own(own.point).x - x;
            let along = Vector2::new(cos, sin).dot(&engine.forward);
            // Nearly square to the engine: no line passes there.
            if along.abs() < 0.1 {
                break;
            }
            s += ahead / along;
            if ahead.abs() < CLOSE {
                break;
            }
        }
        s
    }
}

/// Zero of a falling function between two places: halving kept safe, false position for speed. `None` if
/// the ends do not lie on either side of it.
pub(super) fn root(
    from: f64,
    to: f64,
    f: impl Fn(f64) -> Result<f64, RunningError>,
) -> Result<Option<f64>, RunningError> {
    let (mut low, mut high) = (from, to);
    let (mut at_low, mut at_high) = (f(low)?, f(high)?);
    if !(at_low >= 0.0 && at_high <= 0.0) {
        return Ok(None);
    }
    let mut halve = false;
    for _ in 0..200 {
        if high - low < CLOSE {
            break;
        }
        let guess = if halve || at_low == at_high {
            (low + high) / 2.0
        } else {
            let share = (at_low / (at_low - at_high)).clamp(0.01, 0.99);
            low + share * (high - low)
        };
        let before = high - low;
        let value = f(guess)?;
        if value.abs() < CLOSE {
            return Ok(Some(guess));
        }
        if value > 0.0 {
            (low, at_low) = (guess, value);
        } else {
            (high, at_high) = (guess, value);
        }
        halve = high - low > 0.5 * before;
    }
    Ok(Some((low + high) / 2.0))
}
