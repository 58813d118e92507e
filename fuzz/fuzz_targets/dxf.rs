//! Any bytes are read as a drawing and joined, or refused; nothing panics or runs for ever.
#![no_main]

use artwork::{JoinTolerance, SideFile, join, read_artwork};

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Ok(drawing) = read_artwork(bytes, "fuzz", &SideFile::default()) {
        for piece in &drawing.pieces {
            assert!(piece.segment.length().is_finite());
        }
        let _ = join(&drawing.pieces, &drawing.labels, JoinTolerance::default());
    }
});
