//! Reads a drawing of any kind that is read, told by its content.

use crate::dxf_read::read_dxf_beside;
use crate::side_file::SideFile;
use crate::svg_read::read_svg;
use crate::{Artwork, ArtworkError, MAX_ARTWORK_BYTES};

/// Reads a drawing: a text DXF or an SVG, told by its content. `name` is what messages call it.
///
/// # Errors
///
/// [`ArtworkError`] for a file that is too large, of another kind, cut short, or made to do harm.
pub fn read_artwork(bytes: &[u8], name: &str, side: &SideFile) -> Result<Artwork, ArtworkError> {
    if bytes.len() > MAX_ARTWORK_BYTES {
        return Err(ArtworkError::TooLarge {
            bytes: bytes.len(),
            limit: MAX_ARTWORK_BYTES,
        });
    }
    if let Some(found) = other_kind(bytes) {
        return Err(ArtworkError::OtherKind {
            name: name.to_owned(),
            found,
        });
    }
    let text = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    if text.trim_ascii_start().starts_with(b"<") {
        return read_svg(text, side);
    }
    read_dxf_beside(bytes, side)
}

/// What a file is by its first bytes, if it is of a kind that is not read.
fn other_kind(bytes: &[u8]) -> Option<&'static str> {
    let kinds: [(&[u8], &str); 8] = [
        (b"\x1f\x8b", "a compressed file (unpack it first)"),
        (b"PK\x03\x04", "a compressed file (unpack it first)"),
        (b"%PDF", "a PDF"),
        (b"%!", "a PostScript file"),
        (b"AC10", "a binary drawing (save it as DXF)"),
        (b"\x89PNG", "a picture of dots"),
        (b"\xff\xd8\xff", "a picture of dots"),
        (b"ISO-10303-21", "a STEP file"),
    ];
    kinds
        .iter()
        .find(|(start, _)| bytes.starts_with(start))
        .map(|(_, found)| *found)
}
