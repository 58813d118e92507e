//! `platework check`: what the body itself breaks, and what drawn artwork breaks.

use batch::{OutputFile, write_folder};
use body::{DefaultUsed, Finding};
use check::{Fault, Judgement, Measure, Occasion, Waived, Waivers};
use export::{DefaultJson, FindingJson, waived_json};
use serde_json::json;
use server::{Tested, Workshop, today};

use super::Verdict;
use crate::cli::CheckArgs;
use crate::failure::Failure;
use crate::model_file;
use crate::progress::Steps;
use crate::stdout;

/// Checks the model and lists what was found.
pub(crate) fn run(args: &CheckArgs, json: bool) -> Result<Verdict, Failure> {
    let mut steps = Steps::new(4);
    let workshop = steps.step("body", || model_file::open(&args.model))?;
    let waivers = model_file::read_waivers(&args.model.model)?;
    steps.step("fits", || workshop.findings().len());
    let tested = match &args.artwork {
        Some(path) => {
            let drawing = batch::read_bytes(path, artwork::MAX_ARTWORK_BYTES)?;
            let side_file = model_file::read_side_file(path)?;
            let name = path.to_string_lossy();
            Some(steps.step("artwork", || {
                workshop.tested(&drawing, &name, side_file.as_deref())
            })?)
        }
        None => None,
    };
    let checked = Checked::of(workshop, tested, &waivers);
    if let (Some(out), Some(path)) = (&args.out, &args.artwork) {
        let drawing = path.file_name().unwrap_or_default().to_string_lossy();
        let files = checked.files(&drawing)?;
        steps.step("files", || write_folder(out, files))?;
    }
    drop(steps);
    if json {
        stdout::json(&checked.json(args.defaults))?;
    } else {
        checked.say()?;
        if args.defaults {
            stdout::line(&default_lines(&checked.workshop.model().defaults))?;
        }
    }
    Ok(Verdict::of(&checked.judged.left))
}

/// A checked model, with the test build of a drawing if there is one.
struct Checked {
    workshop: Workshop,
    tested: Option<Tested>,
    judged: Judgement,
}

impl Checked {
    fn of(workshop: Workshop, tested: Option<Tested>, waivers: &Waivers) -> Self {
        let today = today();
        let Some(mut tested) = tested else {
            return Self {
                judged: waivers.judge(workshop.findings().to_vec(), Occasion::Body, &today),
                workshop,
                tested: None,
            };
        };
        let judged = workshop.judge(&mut tested, waivers, &today);
        Self {
            workshop,
            tested: Some(tested),
            judged,
        }
    }

    /// Files of the report of the test build.
    fn files(&self, drawing: &str) -> Result<Vec<OutputFile>, Failure> {
        let Some(tested) = &self.tested else {
            return Ok(Vec::new());
        };
        let page = self.workshop.test_build_html(drawing, tested, &self.judged);
        let glb = self.workshop.as_drawn_glb(&tested.test_build)?;
        let text = format!("{:#}\n", self.json(false));
        Ok(vec![
            OutputFile::new("report.html", page),
            OutputFile::new("report.json", text),
            OutputFile::new("as-drawn.glb", glb),
        ])
    }

    fn json(&self, defaults: bool) -> serde_json::Value {
        let model = self.workshop.model();
        let defaults: Option<Vec<DefaultJson>> =
            defaults.then(|| model.defaults.iter().map(DefaultJson::from).collect());
        let own = self.workshop.findings();
        let findings: Vec<FindingJson> = own.iter().map(FindingJson::from).collect();
        json!({
            "model": self.workshop.name(),
            "title": model.title,
            "scale": model.scale.word(),
            "wheels": model.wheels.word(),
            "variant": model.variant,
            "verdict": self.tested.as_ref().map(|own| &own.test_build.verdict),
            "findings": findings,
            "artwork": self.tested,
            "waived": waived_json(&self.judged.waived),
            "defaults": defaults,
        })
    }

    fn say(&self) -> Result<(), Failure> {
        let model = self.workshop.model();
        let (scale, wheels) = (model.scale.word(), model.wheels.word());
        let variant = model.variant.as_ref();
        let variant = variant.map_or_else(String::new, |name| format!(", variant {name}"));
        if let Some(tested) = &self.tested {
            stdout::line(&format!("{}\n", tested.test_build.verdict))?;
        }
        stdout::line(&format!(
            "{}{variant}, {scale}, {wheels} wheels: the body",
            model.title
        ))?;
        stdout::line(&table(&self.left_of(self.workshop.findings())))?;
        if let Some(tested) = &self.tested {
            self.say_drawn(tested)?;
        }
        self.say_waived()
    }

    fn say_drawn(&self, tested: &Tested) -> Result<(), Failure> {
        let (report, build) = (&tested.report, &tested.test_build);
        let (shapes, plates) = (report.drawing.shapes, report.per_plate.len());
        stdout::line(&format!(
            "\nThe drawing: {shapes} outlines, {plates} of them plates of the body"
        ))?;
        if !report.not_drawn.is_empty() {
            stdout::line(&format!("not drawn: {}", report.not_drawn.join(", ")))?;
        }
        if !build.faults.is_empty() {
            stdout::line("\nWhat would go wrong, the worst first")?;
            stdout::line(&faults(&build.faults))?;
        }
        stdout::line(&format!(
            "\nThe test build: {} measures on {} drawn plates",
            build.measures.len(),
            build.plates.len()
        ))?;
        stdout::line(&measures(&build.measures))?;
        let notes: Vec<Finding> = self
            .left_of(&report.findings)
            .into_iter()
            .chain(self.left_of(&build.findings))
            .filter(|own| !own.counts())
            .collect();
        if notes.is_empty() {
            return Ok(());
        }
        stdout::line("\nWorth knowing")?;
        stdout::line(&table(&notes))
    }

    /// Findings that no waiver lets pass.
    fn left_of(&self, findings: &[Finding]) -> Vec<Finding> {
        let stands = |own: &&Finding| self.judged.left.contains(own);
        findings.iter().filter(stands).cloned().collect()
    }

    fn say_waived(&self) -> Result<(), Failure> {
        let notes: Vec<Finding> = self
            .judged
            .left
            .iter()
            .filter(|own| own.rule.starts_with("waiver-"))
            .cloned()
            .collect();
        say_waived(&self.judged.waived)?;
        if notes.is_empty() {
            return Ok(());
        }
        stdout::line(&table(&notes))
    }
}

/// Findings that waivers let pass, each with its reason.
pub(super) fn say_waived(waived: &[Waived]) -> Result<(), Failure> {
    if !waived.is_empty() {
        stdout::line("\nLet pass")?;
    }
    for own in waived {
        stdout::line(&format!(
            "{}  {}\n    {}\n    because: {}",
            own.finding.rule, own.finding.path, own.finding.sentence, own.waiver.reason
        ))?;
    }
    Ok(())
}

/// Measures that the table shows at least: the worst ones.
const MEASURES_SHOWN: usize = 12;

/// What is outside its limits, as drawn and as it should be.
fn measures(all: &[Measure]) -> String {
    let bad: Vec<&Measure> = all
        .iter()
        .filter(|own| own.verdict != "good")
        .take(MEASURES_SHOWN)
        .collect();
    if bad.is_empty() {
        return "every measure is within its limits".to_owned();
    }
    let width = bad.iter().map(|own| own.path.chars().count()).max();
    let width = width.unwrap_or(0);
    let head = format!(
        "{:width$}  {:>9}  {:>9}  {:>10}  allowed mm",
        "joint or feature", "drawn mm", "should be", "difference"
    );
    let rows = bad.iter().map(|own| {
        let [low, high] = own.allowed_mm;
        format!(
            "{:width$}  {:>9.3}  {:>9.3}  {:>+10.3}  {low:.3} to {high:.3}  {}",
            own.path, own.drawn_mm, own.should_be_mm, own.difference_mm, own.what
        )
    });
    std::iter::once(head)
        .chain(rows)
        .collect::<Vec<_>>()
        .join("\n")
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

/// Faults numbered, each with its cause, its place and what follows from it.
fn faults(all: &[Fault]) -> String {
    let mut lines = Vec::new();
    for (i, fault) in all.iter().enumerate() {
        let own = &fault.cause;
        lines.push(format!(
            "{:>3}  {:7}  {}\n              {} at {}, found {:.3} mm, limit {:.3} mm",
            i + 1,
            fault.severity().word(),
            own.sentence,
            own.rule,
            own.path,
            own.found,
            own.limit
        ));
        let follows = fault.follows.iter();
        lines.extend(follows.map(|own| format!("              so: {}", own.sentence)));
    }
    lines.join("\n")
}

/// Findings in columns, each with its sentence below it.
pub(super) fn table(findings: &[Finding]) -> String {
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
