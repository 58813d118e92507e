//! Tests that no single crate can own.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

mod builds;
mod demo_table;
mod drawn_artwork;
mod drawn_tags;
mod engines_by_file;
mod faults;
mod flat_solids;
mod fret_round_trip;
mod joints;
mod published;
mod random_bodies;
mod references;
mod representation;
