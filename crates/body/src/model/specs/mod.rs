//! Dimensions of each sub-assembly, read from the model file (all mm on the model), one file each.

mod boiler;
mod bunker;
mod cab;
mod coal_rails;
mod coping;
mod cylinders;
mod firebox;
mod fittings;
mod footplate;
mod fret;
mod loading_gauge;
mod measures;
mod own_plates;
mod pannier_tanks;
mod print;
mod rivets;
mod running_gear;
mod saddle_tank;
mod sheets;
mod side_tanks;
mod smokebox;
mod splashers;
mod steps;
mod tank_parts;
mod tender_tank;
mod weight;

pub(crate) use boiler::{BoilerRing, BoilerSpec, RingEnd};
pub(crate) use bunker::BunkerSpec;
pub(crate) use cab::{CabSpec, CutOutSpec};
pub(crate) use coal_rails::CoalRailSpec;
pub(crate) use coping::{CopingCorners, CopingSpec};
pub(crate) use cylinders::CylinderSpec;
pub(crate) use firebox::{FireboxEnd, FireboxShape, FireboxSpec, FireboxWaist};
pub(crate) use fittings::{BufferSpec, ChimneySpec, DomeSpec, HandrailSpec, SafetyValveSpec};
pub(crate) use footplate::{DragBeamSpec, End, FootplateSpec, Level};
pub use fret::{AllowanceBy, FretSpec, RearFilm, Rolling};
pub use loading_gauge::GaugePoint;
pub(crate) use measures::{MeasureOf, MeasureSpec, MeasureWay};
pub use own_plates::OwnPlate;
pub(crate) use pannier_tanks::PannierTankSpec;
pub use print::PrintSpec;
pub(crate) use rivets::{RivetRowSpec, RivetSpec, RivetsMade};
pub(crate) use running_gear::{AxleKind, AxleSpec, OutsideFrameSpec, RunningSpec};
pub(crate) use saddle_tank::SaddleTankSpec;
pub use sheets::{SheetPaper, SheetsSpec};
pub(crate) use side_tanks::TankSpec;
pub(crate) use smokebox::{SaddleSpec, SmokeboxKind, SmokeboxSpec, is_straight};
pub(crate) use splashers::{SplasherKind, SplasherSpec};
pub(crate) use steps::{SandboxSpec, StepSpec};
pub(crate) use tank_parts::FillerSpec;
pub(crate) use tender_tank::TenderTankSpec;
pub use weight::{Load, Motor, WeightSpec};

use crate::model::reader::{Reader, Sign};

const TRADE: &str = "common practice, no source";
const CHOSEN: &str = "chosen, not sourced";

/// Least pitch of rivets (mm): the least dot that the usual punches find (common practice, no source).
const LEAST_RIVET_PITCH: f64 = 0.25;

/// Reads one table of the model file.
struct Table<'r, 't> {
    reader: &'r Reader<'t>,
    name: &'r str,
}

impl Table<'_, '_> {
    fn path(&self, key: &str) -> String {
        format!("{}.{key}", self.name)
    }

    /// A dimension that the file must have, above zero.
    fn need(&self, key: &str) -> f64 {
        self.reader.length(&self.path(key), Sign::Positive)
    }

    /// A place that the file must have, zero or above.
    fn place(&self, key: &str) -> f64 {
        self.reader.length(&self.path(key), Sign::NotNegative)
    }

    /// A dimension with a default given in full-size inches.
    fn inches(&self, key: &str, inches: f64, source: &str) -> f64 {
        let default = inches / 12.0 * self.reader.scale.mm_per_foot();
        self.reader
            .length_or(&self.path(key), Sign::Positive, default, source)
    }

    /// A pitch of rivets with a default given in full-size inches.
    fn rivet_pitch(&self, key: &str, inches: f64, source: &str) -> f64 {
        let pitch = self.inches(key, inches, source);
        if pitch < LEAST_RIVET_PITCH {
            self.reader.problem(
                &self.path(key),
                format!("rivets {pitch:.4} mm apart would run into one another"),
                format!("give at least {LEAST_RIVET_PITCH} mm on the model; check the unit"),
            );
        }
        pitch
    }

    /// A dimension with a default on the model (mm).
    fn model(&self, key: &str, default: f64, source: &str) -> f64 {
        self.reader
            .length_or(&self.path(key), Sign::NotNegative, default, source)
    }

    /// A dimension that the file may have.
    fn maybe(&self, key: &str) -> Option<f64> {
        if !self.has(key) {
            self.reader
                .may_stand(&self.path(key), Sign::Positive.into());
            return None;
        }
        Some(self.need(key))
    }

    /// An angle in degrees with a default (rad).
    fn degrees(
        &self,
        key: &str,
        limits: std::ops::RangeInclusive<f64>,
        default: f64,
        source: &str,
    ) -> f64 {
        self.reader
            .number_or(&self.path(key), limits, default, source)
            .to_radians()
    }

    /// A whole number with a default.
    fn whole(
        &self,
        key: &str,
        limits: std::ops::RangeInclusive<u32>,
        default: u32,
        source: &str,
    ) -> u32 {
        let (low, high) = (f64::from(*limits.start()), f64::from(*limits.end()));
        let path = self.path(key);
        let number = self
            .reader
            .number_or(&path, low..=high, f64::from(default), source);
        if number.fract() != 0.0 {
            self.reader
                .problem(&path, format!("{number} is not whole"), "a count is wanted");
        }
        // Not a number where a problem was put down; nothing is built then.
        number as u32
    }

    /// One of a list of words with a default.
    fn one_of<T: Copy>(&self, key: &str, words: &[(&str, T)], default: T, source: &str) -> T {
        let path = self.path(key);
        if !self.reader.has(&path) {
            self.reader.word_default(&path, words[0].0, source);
        }
        let names: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        let named = |word: &str| words.iter().find(|(own, _)| *own == word).map(|(_, v)| *v);
        self.reader.word(&path, &names, named).unwrap_or(default)
    }

    /// True if the file has the key or a table of that name.
    fn has(&self, key: &str) -> bool {
        self.reader.has(&self.path(key))
    }
}

fn table<'r, 't>(reader: &'r Reader<'t>, name: &'r str) -> Table<'r, 't> {
    Table { reader, name }
}

/// Reads each table of an array of tables; the function is given the name of each: `splashers[0]`.
fn each<T>(reader: &Reader<'_>, name: &str, read: impl Fn(&Reader<'_>, &str) -> T) -> Vec<T> {
    (0..reader.count(name))
        .map(|i| read(reader, &format!("{name}[{i}]")))
        .collect()
}
