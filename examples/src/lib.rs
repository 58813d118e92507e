//! examples
