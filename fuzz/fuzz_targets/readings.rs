//! Any bytes are read as readings of a model, as a table and as TOML, and compared, or refused with places within them.
#![no_main]

#[path = "../src/readings.rs"]
mod readings;

use check::built::ReadingsKind;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    for kind in [ReadingsKind::Csv, ReadingsKind::Toml] {
        readings::check(bytes, kind);
    }
});
