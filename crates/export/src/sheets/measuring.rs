//! The measuring sheet: where a finished model is measured, what should be found, and room to write.

use super::flow::{Column, Flow};
use super::forming::SheetSource;
use super::paper::Paper;
use crate::ExportError;
use crate::page::pdf_of;
use body::{MeasuringAxis, SheetPaper, equal_readings, measuring_points};

/// Headings of the tables, by which way it is measured.
pub(super) const AXES: [(MeasuringAxis, &str); 4] = [
    (MeasuringAxis::Length, "Lengths"),
    (MeasuringAxis::Height, "Heights above rail"),
    (MeasuringAxis::Width, "Widths, diameters and offsets"),
    (MeasuringAxis::Slant, "Diagonals"),
];

/// The measuring sheet.
///
/// # Errors
///
/// [`ExportError::Pdf`] if the pages cannot be written.
pub fn measuring_pdf(source: SheetSource<'_>, paper: SheetPaper) -> Result<Vec<u8>, ExportError> {
    let head = source.head("Measuring sheet".to_owned(), "", "–");
    let mut flow = Flow::new(Paper::upright(paper), head, true);
    flow.paragraph(
        "Measure with a vernier on a flat plate, with a square and a height gauge; read to 0.05 mm or finer, each place two or three times, and write \
         what you find here or under its name in readings.csv or readings.toml. Tolerances are what a careful hand-built model keeps (common \
         practice, no source).",
    );
    let columns = [
        Column::left("Place"),
        Column::left("Its name"),
        Column::left("How"),
        Column::left("Full size"),
        Column::right("Model (mm)"),
        Column::right("± (mm)"),
        Column::left("Found (mm)"),
    ];
    let mm_per_foot = source.model.scale.mm_per_foot();
    let points = measuring_points(source.model, source.body);
    let mut tables = Vec::new();
    for (axis, title) in AXES {
        let mut rows = Vec::new();
        for point in points.iter().filter(|own| own.axis() == axis) {
            let how = match point.when {
                Some(when) => format!("{}; {when}", point.how),
                None => point.how.to_owned(),
            };
            rows.push(vec![
                point.title.clone(),
                point.id.clone(),
                how,
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
    for own in equal_readings(source.model, &points) {
        flow.tick_box(&format!("{}: within {:.2} mm", own.title, own.within));
    }
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
    let mut list = vec!["Footplate: flat within 0.10 mm (4 mm scale), 0.15 mm (7 mm)"];
    if has("cab") {
        list.push("Cab: square within 0.05 in 10 mm");
    }
    if fits("chimney") {
        list.push("Chimney: upright against a square from in front and from the side, within 0.10 mm at its top");
    }
    if fits("dome") {
        list.push("Dome: upright within 0.10 mm at its top");
    }
    list.push("All wheels touch a flat plate");
    list
}
