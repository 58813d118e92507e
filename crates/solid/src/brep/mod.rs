//! Exact solids of plates by construction, as the text of an exchange file.
//!
//! The sheet is cut along its boundaries, those of its regions, and its borders between patches
//! ([`net`]); each skin by itself is divided where its own height changes ([`layer`]). Every cell
//! becomes a face, every boundary and every step a wall, over shared edges, so that the shell is
//! closed by construction. The kernel ([`kernel`]) checks that; [`entities`] writes the shell down.

mod apex;
mod boundary;
mod crossing;
mod domes;
mod draft;
mod edges;
mod elementary;
mod entities;
mod kernel;
mod layer;
mod levels;
mod measure;
mod net;
mod run;
mod shell;
mod skins;
mod space_curve;
mod spline;
mod step;
mod step_file;
mod surfaces;

pub use measure::{ExactMeasures, exact_measures, riveted_measures};
pub use step::{
    StepSolid, exact_rivets, plate_step, riveted_step, step_file_of, step_solid, step_string,
};
pub use step_file::{StepColour, StepFile, StepPart};
