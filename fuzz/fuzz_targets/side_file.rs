//! Any bytes are read as a side file, or refused with places within them.
#![no_main]

#[path = "../src/side_file.rs"]
mod side_file;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    side_file::check(bytes);
});
