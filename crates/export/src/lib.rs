//! Bytes of the files that the body gives: DXF, SVG and JSON of flats, STL and GLB of solids, the report.
//!
//! This crate turns what the others know into files and answers; it computes no geometry and knows
//! nothing of HTTP. Numbers are written with fixed decimals, so that the same input gives the same
//! bytes. Look first at [`dxf_of`], [`svg_of`] and [`FlatJson`] for flats and at [`glb_of`] for the
//! body.

mod as_drawn_glb;
mod body_step;
mod built_json;
mod clearances_json;
mod cp1252;
mod dimensions;
mod dxf;
mod dxf_tables;
mod error;
mod features_json;
mod films_pdf;
mod flat_json;
mod fret_dxf;
mod fret_json;
mod fret_svg;
mod glb;
mod glb_motion;
mod glb_node;
mod jigs_json;
mod key_plan;
mod label;
mod material;
mod number;
mod page;
mod page_dxf;
mod page_svg;
mod report;
mod running_glb;
mod scan_glb;
mod scan_json;
mod service_json;
mod sheets;
mod stl;
mod svg;
mod test_build_html;
mod test_build_picture;
mod threemf;

pub use as_drawn_glb::{AsDrawnMesh, as_drawn_glb, deviation_colour};
pub use body_step::body_step;
pub use built_json::{
    BuiltCauseJson, BuiltEqualJson, BuiltJson, BuiltPointJson, EstimateJson, ReadingJson,
};
pub use clearances_json::{ApproachJson, ClearancesJson, ComparedJson, CoupledJson, VehicleJson};
pub use dimensions::{AngleJson, DefaultJson, DerivedJson, DimensionsJson, InputJson};
pub use dxf::{SheetSpacing, dxf_of, dxf_side_by_side};
pub use dxf_tables::{DXF_LAYERS, DxfLayer};
pub use error::ExportError;
pub use features_json::{FeatureJson, FeaturesJson, RunJson, SpotJson};
pub use films_pdf::{FILM_MARGIN_MM, films_pdf};
pub use flat_json::{
    EdgeJson, FlatJson, HoleJson, MarkJson, NamedPointJson, PointJson, RegionJson, RivetJson,
    VertexJson, outline_json,
};
pub use fret_dxf::{FRET_LAYERS, face_dxf, fret_dxf, side_file};
pub use fret_json::FretJson;
pub use fret_svg::fret_svg;
pub use glb::{glb_of, glb_of_nodes, glb_of_rides};
pub use glb_motion::{GlbRide, RideKey};
pub use glb_node::{GlbNode, GlbSkin, PartMesh};
pub use jigs_json::{FormedBendJson, FormedSheetJson, JigJson, JigPieceJson, PrintJson};
pub use key_plan::{key_plan_pdf, key_plan_svg};
pub use material::Material;
pub use number::{millimetres, rounded};
pub use page_dxf::DRAWING_LAYERS;
pub use report::{
    BlockJson, FindingJson, JointJson, MeshFacts, PlaceJson, PlateJson, Report, ReportHead,
    SideJson, StepJson, WaivedJson, waived_json,
};
pub use running_glb::{RunningPart, RunningVehicle, running_glb};
pub use scan_glb::{ScannedMesh, scan_glb};
pub use scan_json::{
    AlignmentJson, BuiltErrorJson, ReadOffJson, ScanFileJson, ScanJson, ScannedPartJson, SpreadJson,
};
pub use service_json::{
    AxleLoadJson, BalanceJson, BallastJson, GaugeJson, MarginJson, MassJson, MotorJson,
};
pub use sheets::{
    ArrangementViews, AssemblyPicture, DrawingSheet, OnCurveSource, PicturePart, SHEET_BAR_MM,
    SectionMarks, SectionView, SheetSource, TILE_OVERLAP_MM, arrangement_sheet, assembly_pdf,
    built_pdf, formed_plates, forming_pdf, measuring_pdf, on_curve_sheet, parts_csv, parts_pdf,
    scanned_sections_sheet, sections_sheet,
};
pub use stl::{stl_of, stl_of_triangles};
pub use svg::svg_of;
pub use test_build_html::{TestBuildHead, test_build_html};
pub use threemf::{ThreemfObject, threemf_of};
