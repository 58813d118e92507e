//! Exact solids of plates by construction, as the text of an exchange file.
//!
//! The sheet is cut along its borders between patches ([`net`]); every cell becomes a face on both
//! skins, every boundary curve a wall, over shared edges, so that the shell is closed by
//! construction. The kernel's types stay inside [`kernel`].

mod apex;
mod edges;
mod kernel;
mod measure;
mod net;
mod run;
mod skins;
mod space_curve;
mod spline;
mod step;
mod surfaces;

pub use measure::{plain_area, plain_bounds, plain_volume};
pub use step::{StepSolid, plate_step, step_solid, step_string};
