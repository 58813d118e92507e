//! The engine on the curve: where its wheels, trucks and tender stand, and what comes too near.

mod approach;
mod balance;
mod clearances;
mod error;
mod gauge;
mod motor;
mod passage;
mod spaces;
mod standing;
pub mod throw;
mod track;
mod train;

pub use approach::{Approach, Solids};
pub use balance::{Balance, Ballast, Mass};
pub use clearances::{Clearances, Compared, Running, Vehicle};
pub use error::RunningError;
pub use gauge::{Envelope, Margin, Profile, Swept};
pub use motor::MotorFit;
pub use passage::{CoupledRanges, Passage, Range, VehicleRanges, Want};
pub use standing::{Frame, Standing, TruckStanding};
pub use track::{Course, Stretch, TrackLine, TrackPoint};
pub use train::{Coupled, Train, TrainStanding};
