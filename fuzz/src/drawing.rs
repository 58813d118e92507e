//! Any bytes as a drawing. Also a module of the tests, which replay the corpus.

use artwork::{JoinTolerance, SideFile, join, read_artwork};

/// Reads bytes as a drawing and joins its lines; gives whether they were one.
///
/// # Panics
///
/// If a line of the drawing has no length.
pub(crate) fn check(bytes: &[u8]) -> bool {
    let Ok(drawing) = read_artwork(bytes, "fuzz", &SideFile::default()) else {
        return false;
    };
    for piece in &drawing.pieces {
        assert!(piece.segment.length().is_finite());
    }
    let _ = join(&drawing.pieces, &drawing.labels, JoinTolerance::default());
    true
}
