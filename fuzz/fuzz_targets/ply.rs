//! Any bytes are read as a scan or refused; what was read holds together.
#![no_main]

#[path = "../src/scan.rs"]
mod scan;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    scan::check(bytes, check::scan::ScanKind::Ply);
});
