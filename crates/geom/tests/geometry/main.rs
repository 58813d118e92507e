//! Plane geometry against closed forms, against a second method and against its own symmetries.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

mod chains;
mod intersections;
mod outlines;
mod quadrature;
mod sections;
mod segments;
mod strategies;
mod tangencies;
