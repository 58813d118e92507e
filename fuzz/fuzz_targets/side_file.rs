//! Any bytes are read as a side file, or refused with places within them.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Err(error) = artwork::SideFile::read("fuzz", bytes) {
        assert!(!error.problems.is_empty());
        assert!(error.problems.iter().all(|p| p.line >= 1 && p.column >= 1));
    }
});
