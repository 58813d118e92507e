//! solid
