//! body
