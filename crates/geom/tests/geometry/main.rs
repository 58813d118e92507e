//! Plane geometry against closed forms, against a second method and against its own symmetries.

mod chains;
mod intersections;
mod outlines;
mod quadrature;
mod segments;
mod strategies;
mod tangencies;
