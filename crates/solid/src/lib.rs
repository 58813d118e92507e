//! Solids of plates: watertight meshes from the flat, B-reps by construction, blocks by mesh boolean.
//!
//! This crate reads [`body::Plate`] and makes geometry in space; it knows nothing of HTTP.

mod apart;
mod brep;
mod error;
mod line_view;
mod mesh;

pub use apart::{Apart, draw_apart};
pub use brep::*;
pub use error::SolidError;
pub use line_view::{LineView, ViewFrame, line_view, line_views_apart};
pub use mesh::*;
