//! The files of the fret: drawings, films and key plan of each sheet.

use artwork::FretSheet;
use body::{Face, RearFilm};

use crate::{WorkError, Workshop};

/// What a file of a sheet is made as.
type Make = fn(&Workshop, &FretSheet) -> Result<Vec<u8>, WorkError>;

/// Files of a sheet: what stands before its number, what behind it, what it is, and how it is made.
static FILES: [(&str, &str, &str, Make); 12] = [
    (
        "sheet",
        ".dxf",
        "the sheet, both faces in layers",
        |_, sheet| Ok(export::fret_dxf(sheet)),
    ),
    (
        "sheet",
        ".dxf.toml",
        "what the drawing of that name does not say itself",
        side,
    ),
    (
        "sheet",
        ".svg",
        "the sheet, both faces in layers",
        |_, sheet| Ok(export::fret_svg(sheet).into_bytes()),
    ),
    (
        "sheet",
        ".svg.toml",
        "what the drawing of that name does not say itself",
        side,
    ),
    (
        "front",
        ".dxf",
        "the face that is etched from the front",
        |_, sheet| Ok(export::face_dxf(sheet, Face::Outside)),
    ),
    (
        "front",
        ".dxf.toml",
        "what the drawing of that name does not say itself",
        side,
    ),
    (
        "rear",
        ".dxf",
        "the face that is etched from the rear",
        |_, sheet| Ok(export::face_dxf(sheet, Face::Inside)),
    ),
    (
        "rear",
        ".dxf.toml",
        "what the drawing of that name does not say itself",
        side,
    ),
    (
        "films",
        ".pdf",
        "front and rear film, true size",
        |workshop, sheet| Ok(export::films_pdf(sheet, workshop.model().fret.rear_film)?),
    ),
    (
        "films",
        "-other.pdf",
        "the films with the rear the other way",
        |workshop, sheet| {
            Ok(export::films_pdf(
                sheet,
                other_way(workshop.model().fret.rear_film),
            )?)
        },
    ),
    (
        "key-plan",
        ".pdf",
        "which plate lies where, to be printed",
        |workshop, sheet| Ok(export::key_plan_pdf(sheet, &workshop.sheet_title(sheet))?),
    ),
    (
        "key-plan",
        ".svg",
        "which plate lies where",
        |workshop, sheet| Ok(export::key_plan_svg(sheet, &workshop.sheet_title(sheet)).into_bytes()),
    ),
];

impl Workshop {
    /// Names of the files of a sheet, and what each is.
    pub fn fret_names(number: usize) -> Vec<(String, &'static str)> {
        let name = |(before, behind, says, _): &(&str, &str, &'static str, Make)| {
            (format!("{before}-{number}{behind}"), *says)
        };
        FILES.iter().map(name).collect()
    }

    /// A file of a sheet by its name; nothing if the sheet has none of that name.
    ///
    /// # Errors
    ///
    /// [`WorkError::Export`] for a file that cannot be written.
    pub fn fret_file(&self, sheet: &FretSheet, name: &str) -> Result<Option<Vec<u8>>, WorkError> {
        let n = sheet.number;
        let own = FILES
            .iter()
            .find(|(before, behind, _, _)| name == format!("{before}-{n}{behind}"));
        own.map(|(_, _, _, make)| make(self, sheet)).transpose()
    }

    /// The list of the fret's sheets, as JSON text.
    ///
    /// # Errors
    ///
    /// As [`Workshop::fret`].
    pub fn fret_json(&self) -> Result<String, WorkError> {
        let rear = self.model().fret.rear_film;
        Ok(export::FretJson::of(&self.fret()?, rear).to_text())
    }

    fn sheet_title(&self, sheet: &FretSheet) -> String {
        format!(
            "{}, {}: sheet {}, {} {} mm",
            self.model().title,
            self.model().scale.word(),
            sheet.number,
            sheet.metal,
            sheet.thickness
        )
    }
}

fn side(_: &Workshop, sheet: &FretSheet) -> Result<Vec<u8>, WorkError> {
    Ok(export::side_file(sheet).into_bytes())
}

fn other_way(rear: RearFilm) -> RearFilm {
    match rear {
        RearFilm::FromFront => RearFilm::FromRear,
        RearFilm::FromRear => RearFilm::FromFront,
    }
}
