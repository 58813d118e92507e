//! Any bytes are read as a drawing and joined, or refused; nothing panics or runs for ever.
#![no_main]

#[path = "../src/drawing.rs"]
mod drawing;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    drawing::check(bytes);
});
