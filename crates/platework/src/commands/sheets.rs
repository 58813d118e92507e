//! `platework sheets`: the sheets for the builder by themselves.

use batch::{sheet_files, write_folder};

use super::Verdict;
use crate::cli::SheetsArgs;
use crate::failure::Failure;
use crate::model_file;
use crate::stdout;

/// Writes the sheets alone.
pub(crate) fn run(args: &SheetsArgs, json: bool) -> Result<Verdict, Failure> {
    let workshop = model_file::open(&args.model)?;
    let files = sheet_files(&workshop, args.paper)?;
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
