//! Tests that no single crate can own.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

mod drawn_artwork;
mod published;
mod random_bodies;
mod references;
