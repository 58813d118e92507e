//! Any bytes are read as a model file and built, or refused with places within them.
#![no_main]

#[path = "../src/model_file.rs"]
mod model_file;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    model_file::check(bytes);
});
