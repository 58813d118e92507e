//! The places at which a finished model is measured against its drawing.

mod across;
mod along;
mod equal;
mod instrument;
mod named;
mod upright;

use crate::{Body, Model, PrototypeLength};
use geom::{BodyPoint, Vector3};

pub use equal::{EqualReadings, equal_readings};
pub use instrument::Instrument;
pub(crate) use named::refuse_unknown_places;

/// Where usual tolerances are from.
const TRADE: &str = "common practice, no source";

/// Which way a place is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MeasuringAxis {
    /// Along the engine.
    Length,
    /// Up from the rail, or between two heights.
    Height,
    /// Across the engine.
    Width,
    /// Any other way.
    Slant,
}

/// What is measured, in space: places are on the outside of the body unless they say that they are centres (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measurement {
    /// Height of a place above rail.
    Height {
        /// The place.
        at: BodyPoint,
    },
    /// Distance of two places, jaws square to a direction.
    Between {
        /// The place that is named first.
        a: BodyPoint,
        /// The other place.
        b: BodyPoint,
        /// Unit vector from the one to the other.
        direction: Vector3,
    },
    /// Distance of the centres of two round parts of one size, over both less a diameter: axles by their tyres, buffers by their heads.
    Centres {
        /// Centre of the one.
        a: BodyPoint,
        /// Centre of the other.
        b: BodyPoint,
        /// Radius of either where it is measured.
        radius: f64,
    },
    /// Diameter of a round part, jaws square to a direction.
    Diameter {
        /// Middle of the part.
        centre: BodyPoint,
        /// Unit vector along its axis.
        axis: Vector3,
        /// Unit vector from jaw to jaw.
        across: Vector3,
        /// Its radius.
        radius: f64,
    },
    /// How far the middle of an upright round part stands from the centre line, to the engine's left.
    Offset {
        /// Middle of the part.
        at: BodyPoint,
        /// Its radius there.
        radius: f64,
    },
}

impl Measurement {
    /// What should be found (mm).
    pub fn nominal(&self) -> f64 {
        match self {
            Self::Height { at } => at.z,
            Self::Between { a, b, direction } => (b - a).dot(direction).abs(),
            Self::Centres { a, b, .. } => (b - a).norm(),
            Self::Diameter { radius, .. } => 2.0 * radius,
            Self::Offset { at, .. } => at.y,
        }
    }

    /// Both ends of the dimension line.
    pub fn ends(&self) -> (BodyPoint, BodyPoint) {
        match *self {
            Self::Height { at } => (BodyPoint::new(at.x, at.y, 0.0), at),
            Self::Between { a, b, .. } | Self::Centres { a, b, .. } => (a, b),
            Self::Diameter {
                centre,
                across,
                radius,
                ..
            } => (centre - across * radius, centre + across * radius),
            Self::Offset { at, .. } => (BodyPoint::new(at.x, 0.0, at.z), at),
        }
    }

    /// Which way it is measured.
    pub fn axis(&self) -> MeasuringAxis {
        let along = match self {
            Self::Height { .. } => return MeasuringAxis::Height,
            Self::Offset { .. } => return MeasuringAxis::Width,
            Self::Diameter { .. } => return MeasuringAxis::Width,
            Self::Between { direction, .. } => *direction,
            Self::Centres { a, b, .. } => (b - a).normalize(),
        };
        let most = along.iamax();
        if along[most].abs() < 1.0 - 1e-9 {
            return MeasuringAxis::Slant;
        }
        match most {
            0 => MeasuringAxis::Length,
            1 => MeasuringAxis::Width,
            _ => MeasuringAxis::Height,
        }
    }
}

/// A place to measure.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuringPoint {
    /// Kebab-case name: `footplate-height-front-left`.
    pub id: String,
    /// What is measured: `Rail to top of footplate, front left`.
    pub title: String,
    /// With what, if the reading does not say.
    pub instrument: Instrument,
    /// How it is laid on.
    pub how: &'static str,
    /// What it is measured from.
    pub datum: &'static str,
    /// The place in space.
    pub measurement: Measurement,
    /// What a good hand-built model keeps, either way (mm).
    pub tolerance: f64,
    /// Where the tolerance is from.
    pub source: &'static str,
    /// Keys of the model file, and names of derived dimensions, that decide it.
    pub keys: Vec<String>,
    /// Plates that decide it; the first is the one that is touched. Empty where fittings or wheels do.
    pub plates: Vec<String>,
    /// When it can be reached, if not on the finished model.
    pub when: Option<&'static str>,
    /// Whether a general arrangement gives it, beside the measuring sheet.
    pub on_drawing: bool,
}

impl MeasuringPoint {
    /// Length on the model (mm).
    pub fn mm(&self) -> f64 {
        self.measurement.nominal()
    }

    /// Which way it is measured.
    pub fn axis(&self) -> MeasuringAxis {
        self.measurement.axis()
    }

    /// Whether it is named in the model file.
    pub fn is_named(&self) -> bool {
        self.keys.iter().any(|key| key.starts_with(named::TABLE))
    }

    /// Length of the full-size engine.
    pub fn full_size(&self, mm_per_foot: f64) -> PrototypeLength {
        PrototypeLength::inches(self.mm() / mm_per_foot * 12.0)
    }
}

/// The places of a model, lengths first, then heights, widths and diagonals; those named in the model file come last.
///
/// Tolerances are what careful builders keep at 4 mm and 7 mm scale: common practice, no source.
pub fn measuring_points(model: &Model, body: &Body) -> Vec<MeasuringPoint> {
    let mut list = List {
        model,
        body,
        points: Vec::new(),
    };
    along::add(&mut list);
    upright::add(&mut list);
    across::add(&mut list);
    let mut points = list.points;
    points.sort_by_key(MeasuringPoint::axis);
    points.extend(named::points(model, body));
    for point in &mut points {
        point.plates = present(body, &point.plates);
        point.keys = known(model, body, &point.keys);
    }
    points
}

/// Plates that are there, of those of a name and those that carry it on: an overlay, which is touched, before its base.
fn present(body: &Body, wanted: &[String]) -> Vec<String> {
    let mut plates: Vec<String> = Vec::new();
    for name in wanted {
        let own = |id: &str| {
            id.strip_prefix(name.as_str())
                .is_some_and(|rest| rest.is_empty() || rest.starts_with('-'))
        };
        let ids = body.plates.iter().map(|plate| plate.id.as_str());
        let mut found: Vec<&str> = ids.filter(|id| own(id)).collect();
        found.sort_by_key(|id| !id.ends_with("-overlay"));
        for id in found {
            if !plates.iter().any(|known| known == id) {
                plates.push(id.to_owned());
            }
        }
    }
    plates
}

/// Keys that the model has, of those that may decide a place: an end's own, else that of both ends.
fn known(model: &Model, body: &Body, wanted: &[String]) -> Vec<String> {
    let inputs = model.inputs.iter().map(|own| &own.path);
    let derived = body.dimensions.iter().map(|own| &own.path);
    let all: Vec<&String> = inputs.chain(derived).collect();
    let mut keys: Vec<String> = Vec::new();
    for key in wanted {
        let is_own = key.starts_with(named::TABLE);
        if (is_own || all.contains(&key)) && !keys.contains(key) {
            keys.push(key.clone());
        }
    }
    keys
}

/// The places while they are being put down.
struct List<'m> {
    model: &'m Model,
    body: &'m Body,
    points: Vec<MeasuringPoint>,
}

impl List<'_> {
    /// Puts down a place, with its tolerances at 4 mm and 7 mm scale.
    fn push(
        &mut self,
        id: &str,
        title: &str,
        measurement: Measurement,
        (four, seven): (f64, f64),
    ) -> &mut MeasuringPoint {
        let (instrument, how, datum) = match measurement {
            Measurement::Height { .. } => (
                Instrument::HeightGauge,
                "height gauge on a flat plate, the model on its wheels",
                "rail",
            ),
            Measurement::Centres { .. } => (
                Instrument::Caliper,
                "outside jaws over both, less a diameter",
                "the first centre",
            ),
            Measurement::Offset { .. } => (
                Instrument::Caliper,
                "jaws to a square stood on either side; half the difference, + to the left",
                "centre line",
            ),
            Measurement::Diameter { .. } => (Instrument::Caliper, JAWS, "either side"),
            Measurement::Between { direction, .. } if direction.x.abs() > 1.0 - 1e-9 => {
                (Instrument::Caliper, JAWS, "the front end")
            }
            Measurement::Between { .. } => (Instrument::Caliper, JAWS, "either side"),
        };
        self.points.push(MeasuringPoint {
            id: id.to_owned(),
            title: title.to_owned(),
            instrument,
            how,
            datum,
            measurement,
            tolerance: self.model.scale.pick(four, seven),
            source: TRADE,
            keys: Vec::new(),
            plates: Vec::new(),
            when: None,
            on_drawing: false,
        });
        let last = self.points.len() - 1;
        &mut self.points[last]
    }

    /// The length of a name that follows from the dimensions (mm).
    fn derived(&self, path: &str) -> Option<f64> {
        let mut all = self.body.dimensions.iter();
        all.find(|own| own.path == path).map(|own| own.mm)
    }
}

const JAWS: &str = "outside jaws";

impl MeasuringPoint {
    /// Names the keys that decide it.
    fn by(&mut self, keys: &[&str]) -> &mut Self {
        self.keys.extend(keys.iter().map(|key| (*key).to_owned()));
        self
    }

    /// Names the plates that decide it, with what carries their names on.
    fn on(&mut self, plates: &[&str]) -> &mut Self {
        self.plates.extend(plates.iter().map(|id| (*id).to_owned()));
        self
    }

    fn from(&mut self, datum: &'static str) -> &mut Self {
        self.datum = datum;
        self
    }

    fn with(&mut self, instrument: Instrument, how: &'static str) -> &mut Self {
        (self.instrument, self.how) = (instrument, how);
        self
    }

    fn only(&mut self, when: &'static str) -> &mut Self {
        self.when = Some(when);
        self
    }

    fn drawn(&mut self) -> &mut Self {
        self.on_drawing = true;
        self
    }
}
