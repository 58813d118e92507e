//! `platework build`: everything that can be made from a model.

use std::time::Instant;

use batch::{BuildFiles, Made, OutputFile, make_files, write_folder};
use serde_json::json;
use server::Workshop;

use super::Verdict;
use super::made;
use crate::cli::BuildArgs;
use crate::failure::Failure;
use crate::memory::{peak_in_words, peak_memory_kib};
use crate::model_file;
use crate::progress::Steps;
use crate::stdout;

/// Builds the model and writes the folder.
pub(crate) fn run(args: &BuildArgs, json: bool) -> Result<Verdict, Failure> {
    let start = Instant::now();
    let mut steps = Steps::new(14);
    let workshop = steps.step("body", || model_file::open(&args.model))?;
    let mut built = make_files(&workshop, &args.files.wanted(), steps.timings())?;
    let timings = steps.timings();
    let report = built.report.take().map(|mut report| {
        for (step, milliseconds) in timings.done() {
            report = report.timed(step, *milliseconds);
        }
        report.timed("total", start.elapsed().as_secs_f64() * 1e3)
    });
    let made: Vec<Made> = built
        .groups
        .iter()
        .map(|(group, files)| Made::of(group.word(), timings.time_of(group.word()), files))
        .collect();
    let groups = std::mem::take(&mut built.groups);
    let mut files: Vec<OutputFile> = groups.into_iter().flat_map(|(_, files)| files).collect();
    files.extend(report.map(|report| OutputFile {
        repeatable: false,
        ..OutputFile::new("report.json", report.to_text())
    }));
    let count = files.len();
    steps.step("files", || write_folder(&args.out, files))?;
    drop(steps);
    say(args, &workshop, count, &made, &built, start, json)?;
    let found = workshop.findings().iter().chain(built.lost());
    Ok(Verdict::of(found))
}

fn say(
    args: &BuildArgs,
    workshop: &Workshop,
    files: usize,
    made: &[Made],
    built: &BuildFiles,
    start: Instant,
    json: bool,
) -> Result<(), Failure> {
    let counting = workshop
        .findings()
        .iter()
        .filter(|finding| finding.counts())
        .count();
    let total = start.elapsed().as_secs_f64() * 1e3;
    if json {
        let without: Vec<_> = built
            .without
            .iter()
            .map(|no| json!({ "plate": no.plate, "reason": no.reason }))
            .collect();
        return stdout::json(&json!({
            "model": workshop.name(),
            "out": args.out,
            "files": files,
            "plates": workshop.body().plates.len(),
            "without_exact_solid": without,
            "findings": workshop.findings().len(),
            "findings_that_count": counting,
            "total_ms": total.round(),
            "made": made,
            "peak_memory_kib": peak_memory_kib(),
        }));
    }
    let (out, plates) = (args.out.display(), workshop.body().plates.len());
    stdout::line(&format!(
        "{}: {plates} plates, {files} files in {out}, {:.1} s",
        workshop.model().title,
        total / 1e3
    ))?;
    made::say(made)?;
    stdout::line(&peak_in_words(peak_memory_kib()))?;
    for no in &built.without {
        stdout::line(&format!("no exact solid of {}: {}", no.plate, no.reason))?;
    }
    for (kind, error) in workshop.jigs().refused() {
        stdout::line(&format!("no {}: {error}", kind.title.to_lowercase()))?;
    }
    if counting > 0 {
        let model = args.model.model.display();
        stdout::line(&format!(
            "{counting} findings count; `platework check {model}` lists them"
        ))?;
    }
    for finding in built.lost().iter().filter(|finding| finding.counts()) {
        stdout::line(&format!("fret: {}", finding.sentence))?;
    }
    Ok(())
}
