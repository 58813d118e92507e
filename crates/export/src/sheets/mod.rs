//! Sheets for the builder, printed at true size: forming sheets, order of assembly, lists and drawings.

mod arrangement;
mod assembly;
mod built;
mod cut_face;
mod dimension_line;
mod flat_view;
mod flow;
mod forming;
mod measuring;
mod on_curve;
mod operations;
mod paper;
mod parts;
mod sections;
mod tiles;
mod words;

pub use arrangement::{ArrangementViews, DrawingSheet, SectionView, arrangement_sheet};
pub use assembly::{AssemblyPicture, PicturePart, assembly_pdf};
pub use built::built_pdf;
pub use forming::{SheetSource, formed_plates, forming_pdf};
pub use measuring::measuring_pdf;
pub use on_curve::{OnCurveSource, on_curve_sheet};
pub use paper::SHEET_BAR_MM;
pub use parts::{parts_csv, parts_pdf};
pub use sections::{SectionMarks, scanned_sections_sheet, sections_sheet};
pub use tiles::TILE_OVERLAP_MM;
