//! `platework check`: what the body itself breaks, and what drawn artwork breaks.

use body::{DefaultUsed, Finding};
use check::ArtworkReport;
use export::{DefaultJson, FindingJson};
use serde_json::json;
use server::Workshop;

use super::Verdict;
use crate::cli::CheckArgs;
use crate::failure::Failure;
use crate::model_file;
use crate::progress::Steps;
use crate::stdout;

/// Checks the model and lists what was found.
pub(crate) fn run(args: &CheckArgs, json: bool) -> Result<Verdict, Failure> {
    let mut steps = Steps::new(3);
    let workshop = steps.step("body", || model_file::open(&args.model))?;
    steps.step("fits", || workshop.findings().len());
    let artwork = match &args.artwork {
        Some(path) => {
            let drawing = model_file::read_bytes(path, artwork::MAX_ARTWORK_BYTES)?;
            let side_file = model_file::read_side_file(path)?;
            let name = path.to_string_lossy();
            Some(steps.step("artwork", || {
                workshop.artwork_check(&drawing, &name, side_file.as_deref())
            })?)
        }
        None => None,
    };
    drop(steps);
    if json {
        say_json(&workshop, artwork.as_ref(), args.defaults)?;
    } else {
        say_table(&workshop, artwork.as_ref())?;
        if args.defaults {
            stdout::line(&default_lines(&workshop.model().defaults))?;
        }
    }
    let drawn = artwork.iter().flat_map(|report| &report.findings);
    Ok(Verdict::of(workshop.findings().iter().chain(drawn)))
}

fn say_json(
    workshop: &Workshop,
    artwork: Option<&ArtworkReport>,
    defaults: bool,
) -> Result<(), Failure> {
    let defaults: Option<Vec<DefaultJson>> = defaults.then(|| {
        workshop
            .model()
            .defaults
            .iter()
            .map(DefaultJson::from)
            .collect()
    });
    let findings: Vec<FindingJson> = workshop.findings().iter().map(FindingJson::from).collect();
    stdout::json(&json!({
        "model": workshop.name(),
        "title": workshop.model().title,
        "scale": workshop.model().scale.word(),
        "wheels": workshop.model().wheels.word(),
        "variant": workshop.model().variant,
        "findings": findings,
        "artwork": artwork,
        "defaults": defaults,
    }))
}

fn say_table(workshop: &Workshop, artwork: Option<&ArtworkReport>) -> Result<(), Failure> {
    let model = workshop.model();
    let (scale, wheels) = (model.scale.word(), model.wheels.word());
    let variant = model.variant.as_ref();
    let variant = variant.map_or_else(String::new, |name| format!(", variant {name}"));
    stdout::line(&format!(
        "{}{variant}, {scale}, {wheels} wheels: the body",
        model.title
    ))?;
    stdout::line(&table(workshop.findings()))?;
    let Some(report) = artwork else {
        return Ok(());
    };
    let (shapes, plates) = (report.drawing.shapes, report.per_plate.len());
    stdout::line(&format!(
        "\nThe drawing: {shapes} outlines, {plates} of them plates of the body"
    ))?;
    if !report.not_drawn.is_empty() {
        stdout::line(&format!("not drawn: {}", report.not_drawn.join(", ")))?;
    }
    stdout::line(&table(&report.findings))
}

/// Each default on a line: key, value and source.
fn default_lines(defaults: &[DefaultUsed]) -> String {
    let path = defaults.iter().map(|own| own.path.chars().count()).max();
    let value = defaults.iter().map(|own| own.value.chars().count()).max();
    let (path, value) = (path.unwrap_or(0), value.unwrap_or(0));
    let lines = defaults.iter().map(|own| {
        format!("{:path$}  {:value$}  {}", own.path, own.value, own.source)
            .trim_end()
            .to_owned()
    });
    let head = format!("\n{} defaults, where the file is silent", defaults.len());
    std::iter::once(head)
        .chain(lines)
        .collect::<Vec<_>>()
        .join("\n")
}

/// Findings in columns, each with its sentence below it.
fn table(findings: &[Finding]) -> String {
    if findings.is_empty() {
        return "nothing found".to_owned();
    }
    let millimetres = |value: f64| format!("{value:.3}");
    let heads = ["severity", "rule", "where", "found mm", "limit mm"].map(str::to_owned);
    let rows: Vec<[String; 5]> = findings
        .iter()
        .map(|finding| {
            [
                finding.severity.word().to_owned(),
                finding.rule.to_owned(),
                finding.path.clone(),
                millimetres(finding.found),
                millimetres(finding.limit),
            ]
        })
        .collect();
    let width = |i: usize| {
        rows.iter()
            .chain([&heads])
            .map(|row| row[i].chars().count())
            .max()
    };
    let widths: [usize; 5] = std::array::from_fn(|i| width(i).unwrap_or(0));
    let mut lines = vec![columns(&heads, widths)];
    for (row, finding) in rows.iter().zip(findings) {
        lines.push(columns(row, widths));
        lines.push(format!("    {}", finding.sentence));
    }
    let counting = findings.iter().filter(|finding| finding.counts()).count();
    lines.push(format!(
        "{} found, {counting} of them count",
        findings.len()
    ));
    lines.join("\n")
}

/// Words to the left, numbers to the right.
fn columns(row: &[String; 5], widths: [usize; 5]) -> String {
    let [severity, rule, place, found, limit] = row;
    let [a, b, c, d, e] = widths;
    format!("{severity:a$}  {rule:b$}  {place:c$}  {found:>d$}  {limit:>e$}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use body::{FindingPlace, Severity};

    fn finding(severity: Severity) -> Finding {
        Finding {
            path: "boiler-wrapper/front".to_owned(),
            rule: "fit",
            severity,
            found: 0.25,
            limit: 0.1,
            at: FindingPlace::default(),
            sentence: "The gap is too wide.".to_owned(),
        }
    }

    #[test]
    fn columns_line_up_and_notes_do_not_count() {
        let text = table(&[finding(Severity::Warning), finding(Severity::Note)]);
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(
            lines[0],
            "severity  rule  where                 found mm  limit mm"
        );
        assert_eq!(
            lines[1],
            "warning   fit   boiler-wrapper/front     0.250     0.100"
        );
        assert_eq!(lines[2], "    The gap is too wide.");
        assert_eq!(lines[5], "2 found, 1 of them count");
        assert_eq!(table(&[]), "nothing found");
    }
}
