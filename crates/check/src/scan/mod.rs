//! A scan of the built model held against the body.
//!
//! A scan is read ([`read_scan`]), laid on the body from any pose, at last by its datum plates alone, and each of its
//! points measured to the true surface of the formed plates that a scanner sees ([`BodySurface`]). What comes of it
//! is a [`ScanReport`]: how far each plate is off, and what is built wrong, named. `docs/scans.md` explains.

mod agreed;
mod align;
mod built_error;
mod coarse;
mod error;
mod exact;
mod field;
mod findings;
mod fine;
mod hausdorff;
mod mirrored;
mod obj;
mod off_body;
mod on_datum;
mod parts;
mod placed;
mod ply;
mod ply_head;
mod pose;
mod read_off;
mod report;
mod round;
mod samples;
mod scale;
mod scan_file;
mod seen;
mod single;
mod source;
mod square_axes;
mod stance;
mod statistics;
mod stl;
mod strays;
mod surface;
mod thin;
mod turned;
mod unit;

pub use align::Alignment;
pub use built_error::{BuiltError, ErrorKind};
pub use error::{At, ScanError};
pub use hausdorff::{OneSided, one_sided};
pub use mirrored::Handedness;
pub use pose::Pose;
pub use read_off::{ReadOff, Reading, read_off};
pub use report::{PartSpread, Places, ScanOptions, ScanReport, compare_scan};
pub use scale::Scale;
pub use scan_file::{ScanFile, ScanKind, read_scan};
pub use source::{MOST_POINTS, MOST_TRIANGLES, SCAN_FILE_LIMIT};
pub use statistics::Spread;
pub use surface::BodySurface;
pub use unit::ScanUnit;
