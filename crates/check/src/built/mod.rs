//! The finished model against its drawing: readings of caliper, height gauge and rule.
//!
//! Look first at [`Readings::read`] and [`compare_built`].

mod cause;
mod compare;
mod decision;
mod estimate;
mod findings;
mod fit;
mod number;
mod readings;
mod readings_csv;
mod readings_toml;
mod student;
mod template;

pub use cause::BuiltCause;
pub use compare::{BuiltEqual, BuiltPoint, BuiltReport, compare_built};
pub use decision::{Decision, conformance_probability, decide};
pub use estimate::Estimate;
pub use readings::{
    MAX_READING_BYTES, MAX_READING_ROWS, Reading, ReadingUnit, Readings, ReadingsKind,
};
pub use student::{COVERAGE, student_factor, student_probability};
pub use template::{empty_readings_csv, empty_readings_toml};
