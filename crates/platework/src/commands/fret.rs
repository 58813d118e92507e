//! The `fret` folder of a build: drawings, films and key plan of each sheet.

use body::{Face, Finding, RearFilm};
use rayon::prelude::*;
use server::{WorkError, Workshop};

use crate::failure::Failure;
use crate::output_folder::OutputFile;
use crate::stdout;

/// The files of the fret, and what was found while it was laid out.
pub(super) fn files(workshop: &Workshop) -> Result<(Vec<OutputFile>, Vec<Finding>), WorkError> {
    let fret = workshop.fret()?;
    let model = workshop.model();
    let made: Vec<_> = fret
        .sheets
        .par_iter()
        .map(|sheet| of_sheet(sheet, &model.title, model))
        .collect();
    let mut files = Vec::new();
    for own in made {
        files.extend(own?);
    }
    let list = export::FretJson::of(&fret, model.fret.rear_film).to_text();
    files.push(OutputFile::new("fret/fret.json", list));
    Ok((files, fret.findings))
}

fn of_sheet(
    sheet: &artwork::FretSheet,
    engine: &str,
    model: &body::Model,
) -> Result<Vec<OutputFile>, WorkError> {
    let n = sheet.number;
    let title = format!(
        "{engine}, {}: sheet {n}, {} {} mm",
        model.scale.word(),
        sheet.metal,
        sheet.thickness
    );
    let file = |name: String, bytes: Vec<u8>| OutputFile::new(format!("fret/{name}"), bytes);
    let side = || export::side_file(sheet).into_bytes();
    let mut files = Vec::new();
    for (name, bytes) in [
        (format!("sheet-{n}.dxf"), export::fret_dxf(sheet)),
        (
            format!("sheet-{n}.svg"),
            export::fret_svg(sheet).into_bytes(),
        ),
        (
            format!("front-{n}.dxf"),
            export::face_dxf(sheet, Face::Outside),
        ),
        (
            format!("rear-{n}.dxf"),
            export::face_dxf(sheet, Face::Inside),
        ),
    ] {
        files.push(file(format!("{name}.toml"), side()));
        files.push(file(name, bytes));
    }
    let rear = model.fret.rear_film;
    for (name, rear) in [
        (format!("films-{n}.pdf"), rear),
        (format!("films-{n}-other.pdf"), other_way(rear)),
    ] {
        files.push(file(name, export::films_pdf(sheet, rear)?));
    }
    files.push(file(
        format!("key-plan-{n}.pdf"),
        export::key_plan_pdf(sheet, &title)?,
    ));
    files.push(file(
        format!("key-plan-{n}.svg"),
        export::key_plan_svg(sheet, &title).into_bytes(),
    ));
    Ok(files)
}

fn other_way(rear: RearFilm) -> RearFilm {
    match rear {
        RearFilm::FromFront => RearFilm::FromRear,
        RearFilm::FromRear => RearFilm::FromFront,
    }
}

/// Says what was found on the fret.
pub(super) fn say(findings: &[Finding]) -> Result<(), Failure> {
    for finding in findings.iter().filter(|finding| finding.counts()) {
        stdout::line(&format!("fret: {}", finding.sentence))?;
    }
    Ok(())
}
