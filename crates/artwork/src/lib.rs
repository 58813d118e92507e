//! Flats as drawings of lines and true arcs, and drawn artwork matched to plates.
//!
//! This crate reads [`body::Plate`] and knows nothing of HTTP. Look first at [`FlatDrawing`], the
//! flat of a plate as it is written to a file.

mod drawing;
mod error;
mod faces;
mod fit;
mod flat_error;
mod fret;
mod join;
mod labels;
mod matching;
mod nest;
mod read;
mod register;
mod scan;

pub use drawing::*;
pub use error::ArtworkError;
pub use fit::*;
pub use flat_error::FlatError;
pub use fret::{
    EtchedFaces, EtchedShape, Fret, FretPlate, FretSheet, FretTitle, Furniture, Lettering,
    PlacedPlate, Placement, SCALE_BAR_MM, TEST_SLOT_MM, Tag, lay_out, shrunk,
};
pub use join::{DrawnShape, JoinTolerance, JoinedArtwork, OpenChain, OpenGap, join};
pub use labels::{Label, names, plain_name};
pub use matching::{Match, MeantShape, Naming, best_motion, centre_of, match_shapes};
pub use read::{Artwork, DrawingUnit, DrawnCurve, MAX_CURVES, NotRead, read_dxf};
pub use register::Motion2;
pub use scan::MAX_ARTWORK_BYTES;
