//! check
