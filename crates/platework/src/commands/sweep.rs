//! `platework sweep`: many builds, and a table of what came of each.

use std::time::Instant;

use batch::{Axis, Group, ModelSource, Row, Share, State, Sweep, Wanted};
use serde_json::json;

use super::Verdict;
use crate::cli::SweepArgs;
use crate::cpu_time::cpu_seconds;
use crate::failure::Failure;
use crate::memory::{peak_in_words, peak_memory_kib};
use crate::progress::Builds;
use crate::stdout;

/// Builds every combination and says what came of it.
pub(crate) fn run(args: &SweepArgs, json: bool) -> Result<Verdict, Failure> {
    let start = Instant::now();
    let share = args.part.as_deref().map_or(Ok(Share::WHOLE), str::parse)?;
    let axes = args.over.iter().map(|own| Axis::read(own));
    let axes = axes.collect::<Result<Vec<_>, _>>()?;
    let models = args.models.iter().map(|own| ModelSource::read(own));
    let models = models.collect::<Result<Vec<_>, _>>()?;
    let sweep = Sweep::new(models, axes, wanted(args))?;
    let threads = args.threads.unwrap_or_else(rayon::current_num_threads);
    let own = (0..sweep.count()).filter(|own| share.has(*own)).count();
    let builds = Builds::new(own);
    let out = args.out.as_deref();
    let rows = sweep.run(share, out, threads, |row| builds.tell(&in_words(row)))?;
    drop(builds);
    let seconds = start.elapsed().as_secs_f64();
    let count = |state| rows.iter().filter(|own| own.state == state).count();
    let [made, kept, reckoned, refused] =
        [State::Made, State::Kept, State::Reckoned, State::Refused].map(count);
    if json {
        stdout::json(&json!({
            "out": args.out,
            "combinations": sweep.count(),
            "threads": threads,
            "rows": rows,
            "made": made,
            "kept": kept,
            "reckoned": reckoned,
            "refused": refused,
            "seconds": seconds,
            "cpu_seconds": cpu_seconds(),
            "peak_memory_kib": peak_memory_kib(),
        }))?;
    } else {
        for line in table(sweep.axes(), &rows) {
            stdout::line(&line)?;
        }
        let (place, came) = match out {
            Some(out) => (
                format!(" in {}", out.display()),
                format!("{made} made, {kept} kept"),
            ),
            None => (String::new(), format!("{reckoned} reckoned")),
        };
        let cpu = cpu_seconds().map_or_else(String::new, |cpu| format!(", {cpu:.1} s CPU"));
        stdout::line(&format!(
            "{} of {} combinations{place}: {came}, {refused} refused",
            rows.len(),
            sweep.count()
        ))?;
        let on = match threads {
            1 => "one thread".to_owned(),
            _ => format!("{threads} threads"),
        };
        stdout::line(&format!("{seconds:.1} s on {on}{cpu}"))?;
        stdout::line(&peak_in_words(peak_memory_kib()))?;
    }
    Ok(verdict(&rows))
}

fn wanted(args: &SweepArgs) -> Wanted {
    let all = args.files.wanted();
    let groups = match (args.no_files, args.only.is_empty()) {
        (true, _) => Vec::new(),
        (false, true) => Group::ALL.to_vec(),
        (false, false) => args.only.clone(),
    };
    Wanted { groups, ..all }
}

fn verdict(rows: &[Row]) -> Verdict {
    let counts = |row: &Row| {
        let summary = row.summary.as_ref();
        summary.is_some_and(|own| own.findings_that_count > 0)
    };
    if rows.iter().any(|row| row.state == State::Refused) {
        Verdict::Refused
    } else if rows.iter().any(counts) {
        Verdict::Findings
    } else {
        Verdict::Clear
    }
}

/// A row as progress tells it.
fn in_words(row: &Row) -> String {
    let set = row.settings.iter();
    let set: String = set
        .map(|own| format!(" {}={}", own.key, own.value))
        .collect();
    let (model, state) = (&row.model, row.state.word());
    format!("{model}{set}: {state}, {:.1} s", row.seconds)
}

/// The table: a line of titles and one a row, each column as wide as it has to be. What a refused combination lacks
/// is said in the next line.
fn table(axes: &[Axis], rows: &[Row]) -> Vec<String> {
    let mut cells: Vec<Vec<String>> = Vec::new();
    let titles = ["no.", "model"].into_iter();
    let titles = titles.chain(axes.iter().map(|own| own.key.as_str()));
    let titles = titles.chain([
        "plates",
        "errors",
        "warnings",
        "notes",
        "count",
        "metal cm²",
        "sheets",
        "seconds",
        "",
        "folder",
    ]);
    cells.push(titles.map(str::to_owned).collect());
    for row in rows {
        let mut own = vec![row.number.to_string(), row.model.clone()];
        own.extend(row.settings.iter().map(|own| match own.value.as_str() {
            "" => "none".to_owned(),
            value => value.to_owned(),
        }));
        match &row.summary {
            Some(found) => {
                let counts = [
                    found.plates,
                    found.errors,
                    found.warnings,
                    found.notes,
                    found.findings_that_count,
                ];
                own.extend(counts.map(|count| count.to_string()));
                own.push(format!("{:.1}", found.metal_cm2));
                own.push(
                    found
                        .sheets
                        .map_or_else(|| "-".to_owned(), |own| own.to_string()),
                );
            }
            None => own.extend(std::iter::repeat_n("-".to_owned(), 7)),
        }
        own.push(format!("{:.1}", row.seconds));
        own.push(row.state.word().to_owned());
        own.push(row.folder.clone().unwrap_or_default());
        cells.push(own);
    }
    let columns = cells[0].len();
    let width = |at: usize| cells.iter().map(|row| row[at].chars().count()).max();
    let widths: Vec<usize> = (0..columns).map(|at| width(at).unwrap_or(0)).collect();
    // Words stand to the left, figures to the right.
    let is_word = |at: usize| (1..2 + axes.len()).contains(&at) || at + 2 >= columns;
    let line = |row: &Vec<String>| {
        let own = row
            .iter()
            .zip(&widths)
            .enumerate()
            .map(|(at, (cell, &width))| match is_word(at) {
                true => format!("{cell:width$}"),
                false => format!("{cell:>width$}"),
            });
        own.collect::<Vec<_>>().join("  ").trim_end().to_owned()
    };
    let mut lines = vec![line(&cells[0])];
    for (row, cells) in rows.iter().zip(&cells[1..]) {
        lines.push(line(cells));
        let reason = row.reason.iter().flat_map(|own| own.lines());
        lines.extend(reason.map(|own| format!("     {own}")));
    }
    lines
}
