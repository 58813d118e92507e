//! The sheets for the builder: of a build, and by themselves.

use body::SheetPaper;
use server::{WorkError, Workshop};

use super::Verdict;
use crate::cli::SheetsArgs;
use crate::failure::Failure;
use crate::model_file;
use crate::output_folder::{OutputFile, write_folder};
use crate::stdout;

/// Writes the sheets alone.
pub(crate) fn run(args: &SheetsArgs, json: bool) -> Result<Verdict, Failure> {
    let workshop = model_file::open(&args.model)?;
    let files = files(&workshop, args.paper)?;
    let count = files.len();
    write_folder(&args.out, files)?;
    if json {
        stdout::json(&serde_json::json!({
            "model": workshop.name(),
            "out": args.out,
            "files": count,
        }))?;
    } else {
        let title = &workshop.model().title;
        stdout::line(&format!("{title}: {count} files in {}", args.out.display()))?;
    }
    Ok(Verdict::of(&[]))
}

/// The files of the folder `sheets`.
pub(super) fn files(
    workshop: &Workshop,
    paper: Option<SheetPaper>,
) -> Result<Vec<OutputFile>, WorkError> {
    let made = workshop.all_sheets(paper)?.into_iter();
    Ok(made
        .map(|(file, bytes)| OutputFile::new(format!("sheets/{file}"), bytes))
        .collect())
}
