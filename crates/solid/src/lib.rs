//! Solids of plates: watertight meshes from the flat, B-reps by construction, blocks by mesh boolean.
//!
//! This crate reads [`body::Plate`] and makes geometry in space; it knows nothing of HTTP.

mod apart;
mod boolean;
mod brep;
mod error;
mod jigs;
mod line_view;
mod mesh;

pub use apart::{Apart, draw_apart};
pub use boolean::{common, subtract, unite};
pub use brep::*;
pub use error::SolidError;
pub use jigs::*;
pub use line_view::{LineView, ViewFrame, line_view, line_views_apart};
pub use mesh::*;
