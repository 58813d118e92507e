//! The HTTP interface, the live rebuild, and the page; and the workshop that the command line shares.
//!
//! [`app`] makes the routes over a [`ServerState`]; [`serve`] runs them on a bound socket. A
//! [`Workshop`] is a model that has been read and built, with every product of it on demand: it makes
//! no geometry of its own, it only calls the crates that do.
//!
//! *Never here:* a dimension of a locomotive, or a file that is written other than a model file.

mod answer;
mod app;
mod asked;
mod build_files;
mod compared;
mod connections;
mod described;
mod drafts;
mod error;
mod events;
mod exact_solids;
mod field_view;
mod folder;
mod folder_lock;
mod fret_files;
mod guard;
mod jigs;
mod marks;
mod metrics;
pub mod page;
mod part_cells;
mod problem;
mod routes;
mod running;
mod scanned;
mod sheets;
mod shelf;
mod state;
mod tested;
mod today;
mod token;
mod views;
mod watch;
mod work_error;
mod workshop;

#[cfg(test)]
mod tests;

pub use app::{app, openapi, serve};
pub use build_files::is_former;
pub use error::ServerError;
pub use folder::{FolderError, ModelFolder, ModelName, Source, sha256_hex};
pub use jigs::Jigs;
pub use problem::{PROBLEM_JSON, Problem, ProblemKind, ProblemPlace};
pub use running::{CourseAsked, OnCurve, RunningTrain, TrainJson};
pub use sheets::SheetEntry;
pub use state::ServerState;
pub use tested::Tested;
pub use today::today;
pub use token::{LEAST_TOKEN_LENGTH, Token};
pub use work_error::WorkError;
pub use workshop::{PartMeshes, Workshop, nearest};
