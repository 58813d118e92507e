//! The measuring sheet: where a finished model is measured, what should be found, and room to write.

use super::flow::{Column, Flow};
use super::forming::SheetSource;
use super::paper::Paper;
use crate::ExportError;
use crate::page::pdf_of;
use body::{MeasuringAxis, SheetPaper, measuring_points};

/// The measuring sheet.
///
/// # Errors
///
/// [`ExportError::Pdf`] if the pages cannot be written.
pub fn measuring_pdf(source: SheetSource<'_>, paper: SheetPaper) -> Result<Vec<u8>, ExportError> {
    let head = source.head("Measuring sheet".to_owned(), "", "–");
    let mut flow = Flow::new(Paper::upright(paper), head, true);
    flow.paragraph(
        "Measure with a vernier on a flat plate, with a square and a height gauge; read to 0.05 mm and write what you find. Tolerances are what a \
         careful hand-built model keeps (common practice, no source).",
    );
    let columns = [
        Column::right("No."),
        Column::left("Place"),
        Column::left("How"),
        Column::left("Full size"),
        Column::right("Model (mm)"),
        Column::right("± (mm)"),
        Column::left("Found (mm)"),
    ];
    let mm_per_foot = source.model.scale.mm_per_foot();
    let points = measuring_points(source.model, source.body);
    let mut number = 0;
    let mut tables = Vec::new();
    for (axis, title) in [
        (MeasuringAxis::Length, "Lengths"),
        (MeasuringAxis::Height, "Heights above rail"),
        (MeasuringAxis::Width, "Widths and diameters"),
    ] {
        let mut rows = Vec::new();
        for point in points.iter().filter(|own| own.axis == axis) {
            number += 1;
            rows.push(vec![
                number.to_string(),
                point.title.clone(),
                point.how.to_owned(),
                point.full_size(mm_per_foot).words(),
                format!("{:.2}", point.mm()),
                format!("{:.2}", point.tolerance),
                String::new(),
            ]);
        }
        if !rows.is_empty() {
            tables.push((title.to_owned(), rows));
        }
    }
    flow.tables(&columns, &tables);
    flow.heading("To be equal, upright or in line");
    for text in checks(&source) {
        flow.tick_box(text);
    }
    pdf_of(
        &format!("{}: measuring sheet", source.model.title),
        &flow.finish(),
    )
}

/// What has no figure of its own.
fn checks(source: &SheetSource<'_>) -> Vec<&'static str> {
    let fits = |id: &str| source.body.fittings.iter().any(|own| own.id == id);
    let has = |id: &str| source.body.assemblies.iter().any(|own| own.id == id);
    let mut list = vec![
        "Footplate: both diagonals equal within 0.10 mm; flat within 0.10 mm (4 mm scale), 0.15 mm (7 mm)",
    ];
    if has("cab") {
        list.push("Cab: both diagonals equal within 0.10 mm; square within 0.05 in 10 mm");
    }
    if has("boiler") {
        list.push("Boiler: level, or falling as drawn, over its length within 0.10 mm (4 mm), 0.15 mm (7 mm)");
    }
    if fits("chimney") {
        list.push("Chimney: upright against a square from in front and from the side, within 0.10 mm at its top");
    }
    if fits("dome") {
        list.push("Dome: upright, and in line with the chimney, within 0.10 mm at its top");
    }
    list.push("All wheels touch a flat plate; corners of the footplate equal within 0.10 mm");
    list
}
