//! Scans held against bodies.
//!
//! Two demo bodies are scanned always, all at both scales with
//! `PLATEWORK_SCANS=all cargo test -p check --test scan every_demo_body -- --nocapture`.

#![allow(clippy::unwrap_used, reason = "a test may fail by panic")]

mod bodies;
mod hostile;
mod meshes;
mod readers;
mod scanner;
