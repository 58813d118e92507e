//! Flats as drawings of lines and true arcs, and drawn artwork matched to plates.
//!
//! This crate reads [`body::Plate`] and knows nothing of HTTP. Look first at [`FlatDrawing`], the
//! flat of a plate as it is written to a file.

mod affine;
mod allowance;
mod bends;
mod collected;
mod curve_fit;
mod drawing;
mod drawn;
mod dxf_entities;
mod dxf_read;
mod dxf_scan;
mod ellipse;
mod error;
mod faces;
mod fit;
mod flat_error;
mod flat_plate;
mod fret;
mod join;
mod labels;
mod matching;
mod nest;
mod overlap;
mod read;
mod register;
mod role;
mod side_file;
mod spline;
mod svg_frame;
mod svg_path;
mod svg_read;
mod svg_shapes;
mod svg_style;
mod xml_depth;

pub use allowance::{Etched, etched};
pub use bends::tight_bends;
pub use curve_fit::READ_FIT_MM;
pub use drawing::*;
pub use drawn::{Allowance, Artwork, DrawingUnit, DrawnCurve, MAX_CURVES, NotRead};
pub use dxf_read::read_dxf;
pub use dxf_scan::MAX_ARTWORK_BYTES;
pub use error::ArtworkError;
pub use fit::*;
pub use flat_error::FlatError;
pub use fret::{
    EtchedFaces, EtchedShape, Fret, FretPlate, FretSheet, FretTitle, Furniture, Lettering,
    PlacedPlate, Placement, SCALE_BAR_MM, TEST_SLOT_MM, Tag, lay_out, shrunk,
};
pub use join::{DrawnDetail, DrawnShape, JoinTolerance, JoinedArtwork, OpenChain, OpenGap, join};
pub use labels::{Label, names, plain_name};
pub use matching::{
    Match, MeantShape, Naming, best_motion, centre_of, is_image_of, likely_motions, match_shapes,
    size_of,
};
pub use read::read_artwork;
pub use register::Motion2;
pub use role::Role;
pub use side_file::{MAX_SIDE_FILE_BYTES, SideFile};
