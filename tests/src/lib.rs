//! What the tests of the whole project share.
//!
//! The tests themselves are the modules of `tests/integration`, one binary.

pub mod drawings;
pub mod faulty_flats;
pub mod models;
pub mod mutations;
pub mod sound;

/// Refuses a value that is further than `tolerance` from the one wanted, printing both.
///
/// # Panics
///
/// If the values differ by more, or one is not a number.
#[track_caller]
pub fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}, {:e} apart",
        got - want
    );
}
