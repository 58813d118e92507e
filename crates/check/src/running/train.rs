//! An engine and its tender on a track.

use super::RunningError;
use super::standing::{Frame, Standing, root};
use super::track::TrackLine;
use body::{Chassis, Drawbar};
use geom::{Point2, Vector2};

/// An engine, with the tender that is coupled behind it if there is one.
#[derive(Clone, Copy, Debug)]
pub struct Train<'c> {
    /// The engine.
    pub engine: &'c Chassis,
    /// Its tender.
    pub tender: Option<&'c Chassis>,
}

/// Where the parts of a train stand.
#[derive(Clone, Debug, PartialEq)]
pub struct TrainStanding {
    /// The engine.
    pub engine: Standing,
    /// The tender and how it meets the engine.
    pub tender: Option<(Standing, Coupled)>,
}

/// How the front of a tender stands to the rear of its engine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coupled {
    /// Turn of the tender anticlockwise from the engine (rad).
    pub angle: f64,
    /// y of the middle of the tender's beam in the frame of the engine (mm).
    pub sideways: f64,
    /// Least distance between the faces of the two beams, in plan (mm); negative if they overlap.
    pub gap: f64,
    /// What the corners have closed of the gap on the straight (mm).
    pub closing: f64,
}

impl Train<'_> {
    /// Length over the beams, coupled on the straight (mm).
    pub fn length(&self) -> f64 {
        let tender = self.tender.map_or(0.0, |tender| {
            tender.length + self.engine.drawbars[1].map_or(0.0, |bar| bar.gap)
        });
        self.engine.length + tender
    }

    /// Stands the train on a track, the engine's first guiding point at `s` (mm).
    ///
    /// # Errors
    ///
    /// As [`Standing::at`]; [`RunningError::NoDragBeam`] if one of the two has no drag beam to couple by.
    pub fn at(&self, track: &TrackLine, s: f64) -> Result<TrainStanding, RunningError> {
        let engine = Standing::at(self.engine, track, s)?;
        let tender = match self.tender {
            Some(tender) => Some(self.coupled(tender, &engine, track)?),
            None => None,
        };
        Ok(TrainStanding { engine, tender })
    }

    fn coupled(
        &self,
        tender: &Chassis,
        engine: &Standing,
        track: &TrackLine,
    ) -> Result<(Standing, Coupled), RunningError> {
        let ahead = drawbar(self.engine, 1)?;
        let behind = drawbar(tender, 0)?;
        let bar = ahead.pin + ahead.gap + behind.pin;
        let engine_pin = engine
            .frame
            .place(Point2::new(self.engine.length - ahead.pin, 0.0));
        let tender_pin = Point2::new(behind.pin, 0.0);
        let first = |chassis: &Chassis| {
            let rigid = chassis.rigid().next().or(chassis.axles.first());
            rigid.map_or(0.0, |axle| axle.x)
        };
        let straight =
            engine.s + first(self.engine) - self.engine.length - ahead.gap - first(tender);
        let miss = |s: f64| {
            let own = Standing::at(tender, track, s)?;
            Ok((own.frame.place(tender_pin) - engine_pin).norm() - bar)
        };
        let s = root(
            straight - 0.5 * self.engine.length - bar,
            straight + 0.9 * bar,
            miss,
        )?
        .ok_or_else(|| RunningError::TooSharp {
            vehicle: tender.title.clone(),
            what: format!("the drawbar of {bar:.1} mm"),
            radius: 1.0 / track.sharpest(),
        })?;
        let own = Standing::at(tender, track, s)?;
        let coupled = self.meeting(tender, &engine.frame, &own.frame, ahead.gap);
        Ok((own, coupled))
    }

    /// How the beams stand to each other.
    fn meeting(&self, tender: &Chassis, engine: &Frame, own: &Frame, straight: f64) -> Coupled {
        let (rear, front) = (self.engine.half_beams[1], tender.half_beams[0]);
        let on_engine = |y: f64| Point2::new(self.engine.length, y);
        let on_tender = |y: f64| engine.own(own.place(Point2::new(0.0, y)));
        let faces = (
            (on_engine(-rear), on_engine(rear)),
            (on_tender(-front), on_tender(front)),
        );
        let angle = own.turned_from(engine);
        let overlap = [faces.1.0, faces.1.1]
            .into_iter()
            .filter(|corner| corner.y.abs() <= rear)
            .map(|corner| corner.x - self.engine.length)
            .fold(f64::INFINITY, f64::min);
        let apart = between(faces.0, faces.1);
        let gap = if overlap < 0.0 { overlap } else { apart };
        Coupled {
            angle,
            sideways: on_tender(0.0).y,
            gap,
            closing: straight - gap,
        }
    }
}

fn drawbar(chassis: &Chassis, end: usize) -> Result<Drawbar, RunningError> {
    chassis.drawbars[end].ok_or_else(|| RunningError::NoDragBeam {
        vehicle: chassis.title.clone(),
        end: ["front", "rear"][end],
    })
}

/// Least distance between two line segments that do not cross.
fn between(one: (Point2, Point2), other: (Point2, Point2)) -> f64 {
    [
        from_segment(one.0, other),
        from_segment(one.1, other),
        from_segment(other.0, one),
        from_segment(other.1, one),
    ]
    .into_iter()
    .fold(f64::INFINITY, f64::min)
}

fn from_segment(point: Point2, (a, b): (Point2, Point2)) -> f64 {
    let run: Vector2 = b - a;
    let share = ((point - a).dot(&run) / run.norm_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    (a + run * share - point).norm()
}
