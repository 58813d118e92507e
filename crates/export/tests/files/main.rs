//! Files of a whole engine, read back by other readers or by hand.
#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test fails the test, as the test itself would"
)]

mod as_drawn;
mod drawings;
mod engine;
mod forming;
mod fret;
mod preview;
mod report;
