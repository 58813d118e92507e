//! Flats against closed forms, a second method, the invariants of bending, and their own symmetries.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

mod bend_tool;
mod bends;
mod bores;
mod coping;
mod fittings;
mod folded;
mod isometry;
mod likeness;
mod matching;
mod motion;
mod nearest;
mod sections;
mod tables;
mod triangulation;
mod wrappers;
