//! How plates are laid out on sheets to be etched.

use super::{CHOSEN, TRADE, table};
use crate::model::Metal;
use crate::model::reader::Reader;

/// How plates may be turned on the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rolling {
    /// Every quarter turn.
    Any,
    /// Bends of formed plates lie across the rolling direction of the sheet, where metal cracks least.
    Across,
    /// Bends of formed plates lie along the rolling direction.
    Along,
}

/// How the rear film is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RearFilm {
    /// Seen through the sheet from its front: the two films lie one on the other as printed.
    FromFront,
    /// Seen from the rear: mirrored.
    FromRear,
}

/// Who shrinks the etched places by the sideways growth of the etch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AllowanceBy {
    /// The drawing already holds it.
    Designer,
    /// The drawing shows the finished metal.
    Etcher,
}

/// `[fret]`: sheets, the line etched round each plate, tags and marks (mm on the sheet).
#[derive(Clone, Debug, PartialEq)]
pub struct FretSpec {
    /// Width of the sheet, its rolling direction.
    pub sheet_width: f64,
    /// Greatest height of the sheet.
    pub sheet_height: f64,
    /// Metal left round the sheet.
    pub border: f64,
    /// Width of the line etched round each plate.
    pub line: f64,
    /// Least metal between the lines round two plates.
    pub bar: f64,
    /// Width of a tag.
    pub tag_width: f64,
    /// Length of edge held by a tag on either side of it.
    pub tag_spacing: f64,
    /// Diameter of the tooling holes.
    pub tooling_hole: f64,
    /// Diameter of the half-etched dots of the practice row.
    pub punch: f64,
    /// How plates may be turned.
    pub rolling: Rolling,
    /// How the rear film is shown.
    pub rear_film: RearFilm,
    /// Who applies the etch allowance.
    pub allowance_by: AllowanceBy,
    /// Revision of the artwork.
    pub revision: String,
}

impl FretSpec {
    pub(crate) fn read(reader: &Reader<'_>, metal: &Metal) -> Self {
        let t = table(reader, "fret");
        let scale = reader.scale;
        let mm = |key: &str, limits, (four, seven): (f64, f64), source| {
            reader.model_mm_or(&t.path(key), limits, scale.pick(four, seven), source)
        };
        let designer = metal.process.allowance_by == "designer";
        let allowance = [
            ("designer", AllowanceBy::Designer),
            ("etcher", AllowanceBy::Etcher),
        ];
        let allowance = if designer {
            allowance
        } else {
            [allowance[1], allowance[0]]
        };
        Self {
            sheet_width: mm(
                "sheet_width",
                150.0..=1200.0,
                (297.0, 420.0),
                "ISO 216: A4 at 4 mm scale, A3 at 7 mm",
            ),
            sheet_height: mm(
                "sheet_height",
                60.0..=1200.0,
                (210.0, 297.0),
                "ISO 216: A4 at 4 mm scale, A3 at 7 mm",
            ),
            border: mm("border", 2.0..=30.0, (5.0, 7.0), TRADE),
            line: mm("line", 0.1..=5.0, (0.6, 0.8), TRADE),
            bar: mm("bar", 0.1..=10.0, (0.8, 1.0), CHOSEN),
            tag_width: mm("tag_width", 0.1..=3.0, (0.5, 0.8), TRADE),
            tag_spacing: mm("tag_spacing", 3.0..=100.0, (15.0, 22.0), TRADE),
            tooling_hole: mm("tooling_hole", 0.5..=10.0, (2.0, 3.0), CHOSEN),
            punch: mm("punch", 0.1..=2.0, (0.30, 0.45), TRADE),
            rolling: t.one_of(
                "rolling",
                &[
                    ("any", Rolling::Any),
                    ("across", Rolling::Across),
                    ("along", Rolling::Along),
                ],
                Rolling::Any,
                CHOSEN,
            ),
            rear_film: t.one_of(
                "rear_film",
                &[
                    ("from-front", RearFilm::FromFront),
                    ("from-rear", RearFilm::FromRear),
                ],
                RearFilm::FromFront,
                CHOSEN,
            ),
            allowance_by: t.one_of(
                "allowance_by",
                &allowance,
                allowance[0].1,
                "the etching process",
            ),
            revision: reader.text_or("fret.revision", "1", CHOSEN),
        }
    }
}
