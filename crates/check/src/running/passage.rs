//! A train led over a piece of track: what each part of it had to do, and where it had to do most.

use super::RunningError;
use super::track::{Course, TrackLine};
use super::train::{Train, TrainStanding};
use body::{Chassis, Held, TruckKind};
use geom::Point2;

/// Positions at which the train is looked at.
const POSITIONS: usize = 480;

/// The least and the greatest of a quantity on the way, and where the engine stood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// The least.
    pub least: f64,
    /// Distance of the engine along the track at the least (mm).
    pub least_at: f64,
    /// The greatest.
    pub most: f64,
    /// Distance of the engine along the track at the greatest (mm).
    pub most_at: f64,
}

impl Range {
    fn new(value: f64, at: f64) -> Self {
        Self {
            least: value,
            least_at: at,
            most: value,
            most_at: at,
        }
    }

    fn take(&mut self, value: f64, at: f64) {
        if value < self.least {
            (self.least, self.least_at) = (value, at);
        }
        if value > self.most {
            (self.most, self.most_at) = (value, at);
        }
    }

    /// The greater of both without their signs.
    pub fn greatest(&self) -> f64 {
        self.most.max(-self.least)
    }

    /// Where the engine stood at the greater of both.
    pub fn greatest_at(&self) -> f64 {
        if self.most >= -self.least {
            self.most_at
        } else {
            self.least_at
        }
    }
}

/// What one vehicle had to do.
#[derive(Clone, Debug, PartialEq)]
pub struct VehicleRanges {
    /// y at which the middle of the track passes each axle (mm), as in [`Chassis::axles`].
    pub offsets: Vec<Range>,
    /// Slide of each truck's pivot along y (mm), as in [`Chassis::trucks`].
    pub slides: Vec<Range>,
    /// Turn of each truck, anticlockwise (rad).
    pub swings: Vec<Range>,
    /// How far the middles of the front and of the rear beam stand to the left of the track (mm).
    pub ends: [Range; 2],
}

/// What a train had to do on a track.
#[derive(Clone, Debug, PartialEq)]
pub struct Passage {
    /// The track.
    pub track: TrackLine,
    /// The engine.
    pub engine: VehicleRanges,
    /// The tender.
    pub tender: Option<VehicleRanges>,
    /// Angle between engine and tender (rad), sideways offset, gap, and closing of the gap (mm).
    pub coupled: Option<CoupledRanges>,
}

/// How engine and tender stood to each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoupledRanges {
    /// Turn of the tender, anticlockwise (rad).
    pub angle: Range,
    /// y of the middle of its beam in the frame of the engine (mm).
    pub sideways: Range,
    /// Least distance between the beams (mm).
    pub gap: Range,
}

impl Train<'_> {
    /// Leads the train over a course, from the straight before it to the straight behind it.
    ///
    /// # Errors
    ///
    /// As [`Course::line`] and [`Train::at`].
    pub fn over(&self, course: &Course) -> Result<Passage, RunningError> {
        let track = course.line(self.length())?;
        let mut all: Option<Passage> = None;
        for i in 0..=POSITIONS {
            let way = track.length() + self.length();
            let s = way * i as f64 / POSITIONS as f64;
            let stood = self.at(&track, s)?;
            match &mut all {
                Some(all) => self.take(all, &stood, s),
                None => all = Some(self.first(&track, &stood, s)),
            }
        }
        Ok(all.expect("there is a first position"))
    }

    fn first(&self, track: &TrackLine, stood: &TrainStanding, s: f64) -> Passage {
        let ranges = |values: Seen| values.map(|value| Range::new(value, s));
        Passage {
            engine: ranges(Seen::of(self.engine, &stood.engine, track)).ranges(),
            tender: self
                .tender
                .zip(stood.tender.as_ref())
                .map(|(tender, (own, _))| ranges(Seen::of(tender, own, track)).ranges()),
            coupled: stood.tender.as_ref().map(|(_, coupled)| CoupledRanges {
                angle: Range::new(coupled.angle, s),
                sideways: Range::new(coupled.sideways, s),
                gap: Range::new(coupled.gap, s),
            }),
            track: track.clone(),
        }
    }

    fn take(&self, all: &mut Passage, stood: &TrainStanding, s: f64) {
        let Passage {
            track,
            engine,
            tender,
            coupled,
        } = all;
        engine.take(&Seen::of(self.engine, &stood.engine, track), s);
        if let (Some(ranges), Some(chassis), Some((own, _))) = (tender, self.tender, &stood.tender)
        {
            ranges.take(&Seen::of(chassis, own, track), s);
        }
        if let (Some(ranges), Some((_, own))) = (coupled, &stood.tender) {
            ranges.angle.take(own.angle, s);
            ranges.sideways.take(own.sideways, s);
            ranges.gap.take(own.gap, s);
        }
    }
}

/// Figures of one vehicle at one place.
struct Seen<T = f64> {
    offsets: Vec<T>,
    slides: Vec<T>,
    swings: Vec<T>,
    ends: [T; 2],
}

impl Seen {
    fn of(chassis: &Chassis, standing: &super::Standing, track: &TrackLine) -> Self {
        let first = chassis.rigid().next().or(chassis.axles.first());
        let near = |x: f64| standing.s + first.map_or(0.0, |axle| axle.x) - x;
        let end = |x: f64| track.offset(standing.frame.place(Point2::new(x, 0.0)), near(x));
        Self {
            offsets: standing.offsets.clone(),
            slides: standing.trucks.iter().map(|truck| truck.slide).collect(),
            swings: standing.trucks.iter().map(|truck| truck.swing).collect(),
            ends: [end(0.0), end(chassis.length)],
        }
    }

    fn map<T>(self, f: impl Fn(f64) -> T) -> Seen<T> {
        let all = |values: Vec<f64>| values.into_iter().map(&f).collect();
        Seen {
            offsets: all(self.offsets),
            slides: all(self.slides),
            swings: all(self.swings),
            ends: self.ends.map(&f),
        }
    }
}

impl Seen<Range> {
    fn ranges(self) -> VehicleRanges {
        VehicleRanges {
            offsets: self.offsets,
            slides: self.slides,
            swings: self.swings,
            ends: self.ends,
        }
    }
}

impl VehicleRanges {
    fn take(&mut self, seen: &Seen, s: f64) {
        let pairs = [
            (&mut self.offsets[..], &seen.offsets[..]),
            (&mut self.slides[..], &seen.slides[..]),
            (&mut self.swings[..], &seen.swings[..]),
            (&mut self.ends[..], &seen.ends[..]),
        ];
        for (ranges, values) in pairs {
            for (range, value) in ranges.iter_mut().zip(values) {
                range.take(*value, s);
            }
        }
    }
}

/// What a vehicle asks for on a course beyond what it has.
#[derive(Clone, Debug, PartialEq)]
pub enum Want {
    /// An axle in the frames has to shift further than its bearings and flanges let it.
    SidePlay {
        /// The axle.
        axle: usize,
        /// Where it is along the vehicle (mm).
        x: f64,
        /// Shift that is needed (mm).
        needed: f64,
        /// Shift that there is (mm).
        there: f64,
    },
    /// The pivot of a bogie has to slide further than its slot lets it.
    Slide {
        /// The truck.
        truck: String,
        /// x of its pivot (mm).
        x: f64,
        /// Slide that is needed (mm).
        needed: f64,
        /// Slide that there is (mm).
        there: f64,
    },
}

impl VehicleRanges {
    /// What was asked for beyond what there is. `flange_play` is what the flanges have between the rails.
    ///
    /// Axles between the first and the last shift by their own side play, that of the end axles, and the
    /// whole of the flanges' play: the end axles lie against one rail and they against the other.
    pub fn wants(&self, chassis: &Chassis, flange_play: f64) -> Vec<Want> {
        let rigid: Vec<usize> = (0..chassis.axles.len())
            .filter(|i| matches!(chassis.axles[*i].held, Held::Frames { .. }))
            .collect();
        let end_play = [rigid.first(), rigid.last()]
            .into_iter()
            .flatten()
            .map(|i| chassis.axles[*i].play)
            .fold(f64::INFINITY, f64::min);
        let inner = rigid.get(1..rigid.len().saturating_sub(1)).unwrap_or(&[]);
        let mut wants = Vec::new();
        for &i in inner {
            let axle = chassis.axles[i];
            let (needed, there) = (
                self.offsets[i].greatest(),
                axle.play + end_play + flange_play,
            );
            if needed > there {
                wants.push(Want::SidePlay {
                    axle: axle.number,
                    x: axle.x,
                    needed,
                    there,
                });
            }
        }
        for (truck, slide) in chassis.trucks.iter().zip(&self.slides) {
            let needed = slide.greatest();
            if truck.kind == TruckKind::Bogie && needed > truck.slide {
                wants.push(Want::Slide {
                    truck: truck.id.clone(),
                    x: truck.pivot,
                    needed,
                    there: truck.slide,
                });
            }
        }
        wants
    }
}
