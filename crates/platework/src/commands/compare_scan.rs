//! `platework compare` with a scan: the finished model against the body.

use std::fs::{self, File};
use std::path::Path;

use batch::FileError;
use check::scan::{Handedness, ReadOff, ScanKind, ScanReport, Spread};
use check::{Judgement, Occasion};
use export::ScanJson;
use serde_json::json;
use server::{Workshop, today};

use super::Verdict;
use super::check::{say_waived, table};
use crate::cli::CompareArgs;
use crate::failure::Failure;
use crate::model_file;
use crate::progress::Steps;
use crate::stdout;

/// Parts that the table shows.
const PARTS_SHOWN: usize = 12;

/// True for a file whose ending is that of a scan.
pub(super) fn is_scan(built: &Path) -> bool {
    ScanKind::of_name(&built.to_string_lossy()).is_some()
}

/// Holds a scan against the body and says what is built wrong.
pub(super) fn run(args: &CompareArgs, json: bool) -> Result<Verdict, Failure> {
    let built = &args.built;
    let mut steps = Steps::new(2);
    let workshop = steps.step("body", || model_file::open(&args.model))?;
    let waivers = model_file::read_waivers(&args.model.model)?;
    let (report, read) = steps.step("scan", || {
        let file = File::open(built).map_err(|cause| FileError::Read {
            path: built.clone(),
            cause,
        })?;
        let kind = ScanKind::of_name(&built.to_string_lossy());
        Ok::<_, Failure>(workshop.scan_check(file, kind, args.unit)?)
    })?;
    drop(steps);
    if let Some(path) = &args.glb {
        write(path, workshop.scan_glb(&report)?)?;
    }
    if let Some(path) = args.sections.as_ref().or(args.sheet.as_ref()) {
        write(path, workshop.scan_sections_pdf(&report)?)?;
    }
    let judged = waivers.judge(report.findings.clone(), Occasion::Scan, &today());
    if json {
        let mut all = serde_json::to_value(ScanJson::of(&report, &read, &judged))
            .expect("a comparison is plain figures and words");
        all["model"] = json!(workshop.name());
        stdout::json(&all)?;
    } else {
        say(&workshop, &report, &read, &judged)?;
    }
    Ok(Verdict::of(&judged.left))
}

fn write(path: &Path, bytes: Vec<u8>) -> Result<(), Failure> {
    fs::write(path, bytes).map_err(|cause| FileError::Write {
        path: path.to_owned(),
        cause,
    })?;
    Ok(())
}

fn say(
    workshop: &Workshop,
    report: &ScanReport,
    read: &[ReadOff],
    judged: &Judgement,
) -> Result<(), Failure> {
    let model = workshop.model();
    let laid = &report.alignment;
    stdout::line(&format!(
        "{}, {}: scan of {} points and {} triangles in {}",
        model.title,
        model.scale.word(),
        report.file_points,
        report.file_triangles,
        unit_words(report),
    ))?;
    stdout::line(&format!(
        "Laid on footplate and beams, uncertain by {:.3} mm (k = 2) at the farthest corner; noise {:.3} mm; {}",
        laid.uncertainty,
        laid.noise,
        match &report.handedness {
            Handedness::Right { by } => format!("not mirrored, by {by}"),
            Handedness::Mirrored { by } => format!("mirrored, by {by}"),
            Handedness::Undecidable => "mirrored or not cannot be told".to_owned(),
        }
    ))?;
    stdout::line(&format!(
        "Left out: {} points beyond {:.1} mm, {} that lie on nothing, {} on wheels and rods\n",
        report.beyond, report.reach, report.strays, report.on_running_gear
    ))?;
    stdout::line(&parts(report))?;
    if !read.is_empty() {
        stdout::line(&places(read))?;
    }
    stdout::line("\nFound")?;
    stdout::line(&table(&judged.left))?;
    say_waived(&judged.waived)
}

/// Places of the measuring sheet, as read off the scan.
fn places(read: &[ReadOff]) -> String {
    let width = read.iter().map(|own| own.id.len()).max().unwrap_or(0);
    let mut lines = vec![format!(
        "\n{:width$}  {:>8}  {:>8}  {:>7}  {:>6}  {:>5}",
        "read off", "drawn", "scanned", "off by", "U", "±"
    )];
    for own in read {
        lines.push(match own.reading {
            Some(reading) => format!(
                "{:width$}  {:>8.2}  {:>8.3}  {:>+7.3}  {:>6.3}  {:>5.2}",
                own.id,
                own.drawn,
                reading.found,
                reading.found - own.drawn,
                reading.uncertainty,
                own.tolerance
            ),
            None => format!(
                "{:width$}  {:>8.2}  {:>8}  {:>7}  {:>6}  {:>5.2}",
                own.id, own.drawn, "not seen", "", "", own.tolerance
            ),
        });
    }
    lines.join("\n")
}

fn unit_words(report: &ScanReport) -> String {
    let guessed = if report.unit_guessed {
        " (guessed)"
    } else {
        ""
    };
    format!("{}{guessed}", report.unit.word())
}

/// The whole, and the parts that keep the tolerance least.
fn parts(report: &ScanReport) -> String {
    let mut shown: Vec<(&str, &Spread)> = report
        .parts
        .iter()
        .map(|own| (own.id.as_str(), &own.spread))
        .collect();
    shown.sort_by(|a, b| a.1.within_tolerance.total_cmp(&b.1.within_tolerance));
    shown.truncate(PARTS_SHOWN);
    shown.insert(0, ("whole body", &report.whole));
    let width = shown.iter().map(|own| own.0.chars().count()).max();
    let width = width.unwrap_or(0);
    let mut lines = vec![format!(
        "{:width$}  {:>8}  {:>7}  {:>6}  {:>6}  {:>7}  {:>7}  within {:.2}",
        "mm", "points", "mean", "rms", "95 %", "least", "most", report.tolerance
    )];
    for (id, own) in shown {
        lines.push(format!(
            "{id:width$}  {:>8}  {:>+7.3}  {:>6.3}  {:>6.3}  {:>+7.3}  {:>+7.3}  {:>5.1} %",
            own.points,
            own.mean,
            own.rms,
            own.within_95,
            own.range.0,
            own.range.1,
            100.0 * own.within_tolerance
        ));
    }
    lines.join("\n")
}
