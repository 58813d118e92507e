//! The comparison of a finished model with its drawing, on paper.

use super::flow::{Column, Flow};
use super::forming::SheetSource;
use super::paper::Paper;
use crate::ExportError;
use crate::page::pdf_of;
use body::{Severity, SheetPaper};
use check::built::{BuiltPoint, BuiltReport, Decision};

/// The sheet of a comparison: what was found, what explains it, and every place that was measured.
///
/// # Errors
///
/// [`ExportError::Pdf`] if the pages cannot be written.
pub fn built_pdf(
    source: SheetSource<'_>,
    report: &BuiltReport,
    paper: SheetPaper,
) -> Result<Vec<u8>, ExportError> {
    let head = source.head("Finished model against its drawing".to_owned(), "", "–");
    let mut flow = Flow::new(Paper::upright(paper), head, false);
    flow.paragraph(&verdict(report));
    flow.paragraph(
        "Conforms: proved to lie within ±, its uncertainty taken off. Does not conform: proved to lie beyond, its uncertainty added. Undecided: \
         neither (ISO 14253-1). U is the expanded uncertainty of the mean, for 95 % (GUM, JCGM 100). Tolerances are what a careful hand-built model \
         keeps (common practice, no source).",
    );
    found(&mut flow, report);
    let mm_per_foot = source.model.scale.mm_per_foot();
    let mut tables = Vec::new();
    for (axis, title) in super::measuring::AXES {
        let rows: Vec<Vec<String>> = report
            .points
            .iter()
            .filter(|own| own.point.axis() == axis)
            .filter_map(|own| row(own, mm_per_foot))
            .collect();
        if !rows.is_empty() {
            tables.push((title.to_owned(), rows));
        }
    }
    let columns = [
        Column::left("Place"),
        Column::left("Full size"),
        Column::right("Drawn"),
        Column::right("Found"),
        Column::right("of"),
        Column::right("Off by"),
        Column::right("U"),
        Column::right("±"),
        Column::left("Proved"),
    ];
    flow.tables(&columns, &tables);
    equal(&mut flow, report);
    not_measured(&mut flow, report);
    pdf_of(
        &format!("{}: finished model", source.model.title),
        &flow.finish(),
    )
}

fn verdict(report: &BuiltReport) -> String {
    let file = &report.file;
    let Some(decision) = report.decision() else {
        return format!("{file} holds no readings.");
    };
    let count = |own| report.count(own);
    format!(
        "{file}: {} of {} places measured. Of these and of what is to be equal, {} conform, {} are undecided, {} do not conform: the model {}.",
        report.measured(),
        report.points.len(),
        count(Decision::Conforms),
        count(Decision::Undecided),
        count(Decision::DoesNotConform),
        match decision {
            Decision::Conforms => "conforms",
            Decision::Undecided => "is undecided",
            Decision::DoesNotConform => "does not conform",
        }
    )
}

fn found(flow: &mut Flow, report: &BuiltReport) {
    let counting: Vec<_> = report.findings.iter().filter(|own| own.counts()).collect();
    if counting.is_empty() {
        return;
    }
    flow.heading("Found");
    for (i, own) in counting.into_iter().enumerate() {
        let word = match own.severity {
            Severity::Error => "",
            _ => "Undecided: ",
        };
        flow.item(i + 1, &format!("{word}{}", own.sentence));
    }
}

fn row(own: &BuiltPoint, mm_per_foot: f64) -> Option<Vec<String>> {
    let (found, decision) = (own.estimate?, own.decision?);
    Some(vec![
        own.point.title.clone(),
        own.point.full_size(mm_per_foot).words(),
        format!("{:.2}", own.point.mm()),
        format!("{:.3}", found.mean),
        own.readings.len().to_string(),
        format!("{:+.3}", found.mean - own.point.mm()),
        format!("{:.3}", found.expanded()),
        format!("{:.2}", own.point.tolerance),
        decision.words().to_owned(),
    ])
}

fn equal(flow: &mut Flow, report: &BuiltReport) {
    let rows: Vec<Vec<String>> = report
        .equal
        .iter()
        .filter_map(|own| {
            let (one, other, most) = own.most.as_ref()?;
            Some(vec![
                own.equal.title.to_owned(),
                format!("{one}, {other}"),
                format!("{:.3}", most.mean.abs()),
                format!("{:.3}", most.expanded()),
                format!("{:.2}", own.equal.within),
                own.decision?.words().to_owned(),
            ])
        })
        .collect();
    if rows.is_empty() {
        return;
    }
    flow.heading("To be equal");
    let columns = [
        Column::left("What"),
        Column::left("The two that differ most"),
        Column::right("by"),
        Column::right("U"),
        Column::right("within"),
        Column::left("Proved"),
    ];
    flow.table(&columns, &rows);
}

fn not_measured(flow: &mut Flow, report: &BuiltReport) {
    let without = report.points.iter().filter(|own| own.estimate.is_none());
    let titles: Vec<&str> = without.map(|own| own.point.title.as_str()).collect();
    if !titles.is_empty() {
        flow.heading("Not measured");
        flow.paragraph(&titles.join("; "));
    }
}
