//! Findings: does the body fit together, can its plates be etched, and does artwork drawn elsewhere
//! make what was meant.
//!
//! This crate reads bodies and drawings and writes nothing; it knows nothing of HTTP. Look first at
//! [`check_body`], [`check_artwork`] and [`difference`]; [`RULES`] lists the words that findings use.

mod adopt;
mod artwork_check;
pub mod built;
mod cause;
mod comparison;
mod datum;
mod difference;
mod drawing_notes;
mod drawn_plate;
mod drawn_tags;
mod error;
mod etch;
mod fault;
mod fits;
mod flat_place;
mod known_faults;
mod match_notes;
mod mend;
mod occasion;
mod one_bend;
mod openings;
mod pairs;
mod plan_length;
mod plate_check;
mod plate_difference;
mod report;
mod rule;
pub mod running;
pub mod scan;
mod skin;
mod tabs;
mod test_build;
pub mod tolerance;
mod waiver;
mod whereabouts;
mod whole_size;

pub use adopt::adopt_own_plates;
pub use artwork_check::check_artwork;
pub use comparison::{
    ClosingDiameter, CornerComparison, EdgeComparison, ExtraOpening, HoleComparison,
    PlateComparison,
};
pub use difference::{
    AngleChange, Difference, FindingDifference, Gap, JointDifference, LengthChange, ModelState,
    PartDifference, Presence, SheetDifference, StateSummary, difference,
};
pub use error::CheckError;
pub use fault::{Fault, faults_of, worst_first};
pub use fits::check_body;
pub use flat_place::flat_place;
pub use mend::mend_of;
pub use occasion::Occasion;
pub use plate_difference::{
    HoleDifference, PlateChange, PlateDifference, RegionDifference, RivetDifference,
};
pub use report::{
    ArtworkReport, DrawingSummary, DrawingWords, FindingEntry, PlaceEntry, findings_as_entries,
};
pub use rule::{RULES, Rule};
pub use test_build::{DrawnFlat, Measure, NotMeasured, PlateAsDrawn, TestBuild, test_build};
pub use waiver::{Judgement, MAX_WAIVER_BYTES, Waived, Waiver, Waivers};
