//! The engine on the curve: where its wheels, trucks and tender stand, and what comes too near.

mod approach;
mod clearances;
mod error;
mod passage;
mod standing;
pub mod throw;
mod track;
mod train;

pub use approach::{Approach, Solids};
pub use clearances::{Clearances, Compared, Running, Vehicle};
pub use error::RunningError;
pub use passage::{CoupledRanges, Passage, Range, VehicleRanges, Want};
pub use standing::{Frame, Standing, TruckStanding};
pub use track::{Course, Stretch, TrackLine, TrackPoint};
pub use train::{Coupled, Train, TrainStanding};
