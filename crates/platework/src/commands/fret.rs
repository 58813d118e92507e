//! The `fret` folder of a build: drawings, films and key plan of each sheet.

use body::Finding;
use rayon::prelude::*;
use server::{WorkError, Workshop};

use crate::failure::Failure;
use crate::output_folder::OutputFile;
use crate::stdout;

/// The files of the fret, and what was found while it was laid out.
pub(super) fn files(workshop: &Workshop) -> Result<(Vec<OutputFile>, Vec<Finding>), WorkError> {
    let fret = workshop.fret()?;
    let made: Vec<_> = fret
        .sheets
        .par_iter()
        .map(|sheet| of_sheet(sheet, workshop))
        .collect();
    let mut files = Vec::new();
    for own in made {
        files.extend(own?);
    }
    files.push(OutputFile::new("fret/fret.json", workshop.fret_json()?));
    Ok((files, fret.findings))
}

fn of_sheet(sheet: &artwork::FretSheet, workshop: &Workshop) -> Result<Vec<OutputFile>, WorkError> {
    let mut files = Vec::new();
    for (name, _) in Workshop::fret_names(sheet.number) {
        if let Some(bytes) = workshop.fret_file(sheet, &name)? {
            files.push(OutputFile::new(format!("fret/{name}"), bytes));
        }
    }
    Ok(files)
}

/// Says what was found on the fret.
pub(super) fn say(findings: &[Finding]) -> Result<(), Failure> {
    for finding in findings.iter().filter(|finding| finding.counts()) {
        stdout::line(&format!("fret: {}", finding.sentence))?;
    }
    Ok(())
}
