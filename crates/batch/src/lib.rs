//! Builds as jobs: the files of a build, folders that are written whole, and many builds of one sweep.
//!
//! [`make_files`] makes what a build writes from a [`server::Workshop`]. A [`Job`] is one model in one state; its
//! results stand in a folder that is named by a digest of everything that they are made from, so that any number of
//! processes and machines may share one folder. A [`Sweep`] is the product of models and values, run on a few
//! threads: the same rows and bytes on any number of them.
//!
//! *Never here:* geometry, or anything that differs from run to run inside a job's folder.

mod build_files;
mod file_error;
mod job;
mod made;
mod model_source;
mod output_folder;
mod part_folder;
mod setting;
mod share;
mod sweep;
mod sweep_error;
mod timings;
mod values;

pub use build_files::{BuildFiles, Group, NoSolid, Wanted, make_files, sheet_files};
pub use file_error::FileError;
pub use job::{Done, Job, JobError, PROGRAM, State, Summary};
pub use made::Made;
pub use model_source::{ModelSource, read_bytes};
pub use output_folder::{OutputFile, write_folder};
pub use setting::Setting;
pub use share::Share;
pub use sweep::{MOST_COMBINATIONS, Row, Sweep};
pub use sweep_error::SweepError;
pub use timings::Timings;
pub use values::Axis;
