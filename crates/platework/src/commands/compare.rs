//! `platework compare`: the finished model against its drawing.

use std::fs;

use batch::{FileError, read_bytes};
use check::built::{BuiltPoint, BuiltReport, Decision, MAX_READING_BYTES, Readings, ReadingsKind};
use check::{Judgement, Occasion};
use export::BuiltJson;
use serde_json::json;
use server::{Workshop, today};

use super::check::{say_waived, table};
use super::{Verdict, compare_scan};
use crate::cli::CompareArgs;
use crate::failure::Failure;
use crate::model_file;
use crate::progress::Steps;
use crate::stdout;

/// Compares readings with the drawing and says what they prove.
pub(crate) fn run(args: &CompareArgs, json: bool) -> Result<Verdict, Failure> {
    // What a file is, is said by its ending.
    match Readings::kind_of(&args.built.to_string_lossy()) {
        Some(kind) => compare_readings(args, kind, json),
        None if compare_scan::is_scan(&args.built) => compare_scan::run(args, json),
        None => Err(Failure::NotReadings {
            path: args.built.clone(),
        }),
    }
}

fn compare_readings(
    args: &CompareArgs,
    kind: ReadingsKind,
    json: bool,
) -> Result<Verdict, Failure> {
    for (option, given) in [
        ("--glb", args.glb.is_some()),
        ("--sections", args.sections.is_some()),
        ("--unit", args.unit.is_some()),
    ] {
        if given {
            return Err(Failure::OfScansOnly {
                option,
                path: args.built.clone(),
            });
        }
    }
    let mut steps = Steps::new(2);
    let bytes = read_bytes(&args.built, MAX_READING_BYTES)?;
    let workshop = steps.step("body", || model_file::open(&args.model))?;
    let waivers = model_file::read_waivers(&args.model.model)?;
    let file = args.built.to_string_lossy();
    let report = steps.step("readings", || workshop.built_check(&bytes, &file, kind))?;
    drop(steps);
    if let Some(path) = &args.sheet {
        let pdf = workshop.built_pdf(&report, args.paper)?;
        fs::write(path, pdf).map_err(|cause| FileError::Write {
            path: path.clone(),
            cause,
        })?;
    }
    let judged = waivers.judge(report.findings.clone(), Occasion::Readings, &today());
    if json {
        say_json(&workshop, &report, &judged)?;
    } else {
        say(&workshop, &report, &judged)?;
    }
    Ok(Verdict::of(&judged.left))
}

fn say_json(workshop: &Workshop, report: &BuiltReport, judged: &Judgement) -> Result<(), Failure> {
    let model = workshop.model();
    let mut all = serde_json::to_value(BuiltJson::of(model, report, judged))
        .expect("a comparison is plain figures and words");
    all["model"] = json!(workshop.name());
    all["title"] = json!(model.title);
    all["scale"] = json!(model.scale.word());
    all["wheels"] = json!(model.wheels.word());
    all["variant"] = json!(model.variant);
    stdout::json(&all)
}

fn say(workshop: &Workshop, report: &BuiltReport, judged: &Judgement) -> Result<(), Failure> {
    let model = workshop.model();
    stdout::line(&format!(
        "{}, {}, {} wheels: {}\n",
        model.title,
        model.scale.word(),
        model.wheels.word(),
        verdict(report)
    ))?;
    if report.measured() > 0 {
        stdout::line(&measured(report))?;
        for own in &report.equal {
            let (Some((one, other, most)), Some(decision)) = (&own.most, own.decision) else {
                continue;
            };
            stdout::line(&format!(
                "{}: {}; {one} and {other} differ by {:.3} mm (uncertainty {:.3}, within {:.2})",
                own.equal.title,
                decision.words(),
                most.mean.abs(),
                most.expanded(),
                own.equal.within
            ))?;
        }
    }
    stdout::line("\nFound")?;
    stdout::line(&table(&judged.left))?;
    say_waived(&judged.waived)
}

fn verdict(report: &BuiltReport) -> String {
    let count = |own| report.count(own);
    match report.decision() {
        None => "nothing measured".to_owned(),
        Some(_) => format!(
            "{} of {} places measured; {} conform, {} undecided, {} do not conform",
            report.measured(),
            report.points.len(),
            count(Decision::Conforms),
            count(Decision::Undecided),
            count(Decision::DoesNotConform)
        ),
    }
}

/// A line for each place that was measured.
fn measured(report: &BuiltReport) -> String {
    let read: Vec<&BuiltPoint> = report
        .points
        .iter()
        .filter(|own| own.estimate.is_some())
        .collect();
    let width = read.iter().map(|own| own.point.id.len()).max().unwrap_or(0);
    let mut lines = vec![format!(
        "{:width$}  {:>8}  {:>9}  {:>2}  {:>7}  {:>6}  {:>5}",
        "", "drawn", "found", "of", "off by", "U", "±"
    )];
    for own in read {
        let (Some(found), Some(decision)) = (own.estimate, own.decision) else {
            continue;
        };
        let because = match own.cause {
            Some(_) if decision != Decision::Conforms => ", see below",
            _ => "",
        };
        lines.push(format!(
            "{:width$}  {:>8.2}  {:>9.3}  {:>2}  {:>+7.3}  {:>6.3}  {:>5.2}  {}{because}",
            own.point.id,
            own.point.mm(),
            found.mean,
            own.readings.len(),
            export::rounded(found.mean - own.point.mm(), 3),
            found.expanded(),
            own.point.tolerance,
            decision.words()
        ));
    }
    lines.push(String::new());
    lines.join("\n")
}
