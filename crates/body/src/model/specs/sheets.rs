//! The paper of the sheets for the builder.

use super::{CHOSEN, table};
use crate::model::reader::Reader;

/// A size of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SheetPaper {
    /// ISO 216 A4, 210 × 297 mm.
    A4,
    /// ISO 216 A3, 297 × 420 mm.
    A3,
    /// 8½ × 11 in.
    Letter,
}

impl SheetPaper {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::A4, Self::A3, Self::Letter];

    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::A4 => "a4",
            Self::A3 => "a3",
            Self::Letter => "letter",
        }
    }

    /// Width and height, upright (mm).
    pub fn size(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::A3 => (297.0, 420.0),
            Self::Letter => (215.9, 279.4),
        }
    }
}

/// `[sheets]`: what the sheets for the builder are printed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SheetsSpec {
    /// Paper of forming sheets, order of assembly, parts list and measuring sheet.
    pub paper: SheetPaper,
    /// Paper of the general arrangement.
    pub drawing_paper: SheetPaper,
}

impl SheetsSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "sheets");
        let a4 = [
            ("a4", SheetPaper::A4),
            ("a3", SheetPaper::A3),
            ("letter", SheetPaper::Letter),
        ];
        let a3 = [a4[1], a4[0], a4[2]];
        Self {
            paper: t.one_of("paper", &a4, SheetPaper::A4, CHOSEN),
            drawing_paper: t.one_of("drawing_paper", &a3, SheetPaper::A3, CHOSEN),
        }
    }
}
