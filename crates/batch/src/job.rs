//! One model in one state, and its results in a folder that is named by what they are made from.

use std::collections::BTreeMap;
use std::path::Path;

use body::{Finding, Model, Severity};
use serde::{Deserialize, Serialize};
use server::{WorkError, Workshop, sha256_hex};

use crate::output_folder::{from_whole, write_named_by_content};
use crate::setting::{overrides_of, written};
use crate::{FileError, ModelSource, OutputFile, Setting, Timings, Wanted, make_files};

/// The program that makes files: its version, and a fingerprint of its sources.
pub const PROGRAM: &str = concat!(
    "platework ",
    env!("CARGO_PKG_VERSION"),
    " ",
    env!("PLATEWORK_SOURCES")
);

/// File of a job's folder that says what came of it.
const SUMMARY: &str = "summary.json";

/// One model in one state, and which files of it are wanted.
#[derive(Debug)]
pub struct Job {
    name: String,
    model: Model,
    text: Vec<u8>,
    /// Drawings of own plates by their names in the model file, as they were when the job was made.
    drawings: BTreeMap<String, Option<Vec<u8>>>,
    wanted: Wanted,
    digest: String,
}

/// What came of a job, as its folder says it.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize)]
pub struct Summary {
    /// SHA-256 in hexadecimal of everything that the files are made from.
    pub digest: String,
    /// [`PROGRAM`].
    pub program: String,
    /// The model file's name without its ending.
    pub model: String,
    /// The engine's title.
    pub title: String,
    /// Scale: `7mm`.
    pub scale: String,
    /// Wheel standard: `exact`.
    pub wheels: String,
    /// The variant, if one was chosen.
    pub variant: Option<String>,
    /// Number of plates.
    pub plates: usize,
    /// Findings that are errors: of the body, and of the fret if it is laid out.
    pub errors: usize,
    /// Findings that are warnings.
    pub warnings: usize,
    /// Findings that are notes.
    pub notes: usize,
    /// Findings that count for the exit status.
    pub findings_that_count: usize,
    /// Area of all plates' flats, openings taken out.
    pub metal_cm2: f64,
    /// Sheets to be etched, if the fret is laid out.
    pub sheets: Option<usize>,
    /// Plates that have no exact solid, if those are made.
    pub without_exact_solid: Vec<String>,
}

/// How the results of a job came to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum State {
    /// They were made.
    Made,
    /// They were there, whole.
    Kept,
    /// They were worked out and not written.
    Reckoned,
    /// The model cannot be built so.
    Refused,
}

impl State {
    /// The word of the table.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Made => "made",
            Self::Kept => "kept",
            Self::Reckoned => "reckoned",
            Self::Refused => "refused",
        }
    }
}

/// A job that was done.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    /// Whether its folder was there already.
    pub state: State,
    /// What came of it.
    pub summary: Summary,
}

/// Why a job was not done.
#[derive(Debug, thiserror::Error)]
pub enum JobError {
    /// The model cannot be built, or something cannot be made of it.
    #[error(transparent)]
    Work(#[from] WorkError),
    /// The folder cannot be written.
    #[error(transparent)]
    File(#[from] FileError),
}

impl Job {
    /// A job of a model file with the settings written into it. The file is read with its own drawings, and nothing
    /// is built yet.
    ///
    /// # Errors
    ///
    /// [`WorkError::Model`] with everything that is wrong with the file under these settings.
    pub fn new(
        source: &ModelSource,
        settings: &[Setting],
        wanted: Wanted,
    ) -> Result<Self, WorkError> {
        let overrides = overrides_of(source, settings)?;
        let text = written(source, settings)?;
        let model = Model::read(&source.file(), &text, &overrides)?;
        let own = model.own_plates.iter();
        let drawings: BTreeMap<String, Option<Vec<u8>>> = own
            .map(|own| (own.drawing.clone(), source.beside(&own.drawing)))
            .collect();
        let name = source.name();
        let mut parts = vec![
            PROGRAM.to_owned(),
            name.clone(),
            sha256_hex(&text),
            model.scale.word().to_owned(),
            model.wheels.word().to_owned(),
            model.variant.clone().unwrap_or_default(),
            format!("rivets {} {}", wanted.rivets, wanted.riveted_solids),
            wanted.paper.map_or("", body::SheetPaper::word).to_owned(),
        ];
        let mut groups = wanted.groups.clone();
        groups.sort_unstable();
        groups.dedup();
        parts.extend(groups.iter().map(|own| own.word().to_owned()));
        for (name, bytes) in &drawings {
            parts.push(format!("drawing {name}"));
            parts.push(bytes.as_deref().map_or_else(String::new, sha256_hex));
        }
        Ok(Self {
            name,
            model,
            text,
            drawings,
            wanted,
            digest: sha256_hex(parts.join("\0").as_bytes()),
        })
    }

    /// SHA-256 in hexadecimal of everything that the files are made from: the model's name and text with the
    /// settings, scale, wheels and variant, drawings of own plates, which files are wanted and how, and the program.
    #[must_use]
    pub fn digest(&self) -> &str {
        &self.digest
    }

    /// Name of the folder of its results: the model's name and the first 16 digits of the digest.
    #[must_use]
    pub fn folder(&self) -> String {
        format!("{}-{}", self.name, &self.digest[..16])
    }

    /// Builds the model and makes the files that are wanted, with what came of it. Nothing is written.
    ///
    /// # Errors
    ///
    /// [`WorkError`] for a shape that cannot be, or a file that cannot be made.
    pub fn make(&self) -> Result<(Summary, Vec<OutputFile>), WorkError> {
        let workshop = Workshop::build_beside(&self.name, self.model.clone(), |own| {
            self.drawings.get(own).cloned().flatten()
        })?;
        let made = make_files(&workshop, &self.wanted, &mut Timings::silent())?;
        let found = workshop.findings().iter().chain(made.lost());
        let found: Vec<&Finding> = found.collect();
        let of = |severity| found.iter().filter(|own| own.severity == severity).count();
        let areas = workshop.plate_views()?.iter().map(|own| own.flat_area_mm2);
        let summary = Summary {
            digest: self.digest.clone(),
            program: PROGRAM.to_owned(),
            model: self.name.clone(),
            title: self.model.title.clone(),
            scale: self.model.scale.word().to_owned(),
            wheels: self.model.wheels.word().to_owned(),
            variant: self.model.variant.clone(),
            plates: workshop.body().plates.len(),
            errors: of(Severity::Error),
            warnings: of(Severity::Warning),
            notes: of(Severity::Note),
            findings_that_count: found.iter().filter(|own| own.counts()).count(),
            // In hundredths, from mm².
            metal_cm2: areas.sum::<f64>().round() / 100.0,
            sheets: made.fret.as_ref().map(|(sheets, _)| *sheets),
            without_exact_solid: made.without.iter().map(|own| own.plate.clone()).collect(),
        };
        let mut files: Vec<OutputFile> = made
            .groups
            .into_iter()
            .flat_map(|(_, files)| files)
            .collect();
        if let Some(report) = made.report {
            files.push(OutputFile::new("report.json", report.to_text()));
        }
        let beside = self.drawings.iter();
        let beside = beside.filter_map(|(name, bytes)| Some((name.clone(), bytes.clone()?)));
        let model = (format!("{}.toml", self.name), self.text.clone());
        for (name, bytes) in beside.chain([model]) {
            files.push(OutputFile::new(format!("model/{name}"), bytes));
        }
        files.push(OutputFile::new(SUMMARY, summary_text(&summary)));
        Ok((summary, files))
    }

    /// Does the job, unless its folder stands whole under `out` already. The folder is put there whole: of several
    /// processes that do the same job at once each leaves the same, and one that is cut off leaves none.
    ///
    /// # Errors
    ///
    /// [`JobError`].
    pub fn run(&self, out: &Path) -> Result<Done, JobError> {
        let target = out.join(self.folder());
        if let Some(summary) = self.kept(&target) {
            return Ok(Done {
                state: State::Kept,
                summary,
            });
        }
        let (summary, files) = self.make()?;
        write_named_by_content(&target, files)?;
        Ok(Done {
            state: State::Made,
            summary,
        })
    }

    fn kept(&self, target: &Path) -> Option<Summary> {
        let text = from_whole(target, SUMMARY)?;
        let summary: Summary = serde_json::from_slice(&text).ok()?;
        (summary.digest == self.digest).then_some(summary)
    }
}

/// Whether a folder's name is one that [`Job::folder`] gives.
pub(crate) fn is_folder_of_job(name: &str) -> bool {
    name.rsplit_once('-').is_some_and(|(model, digest)| {
        !model.is_empty() && digest.len() == 16 && digest.bytes().all(|b| b.is_ascii_hexdigit())
    })
}

fn summary_text(summary: &Summary) -> String {
    let text = serde_json::to_string_pretty(summary)
        .expect("a summary is made of strings and numbers, which JSON can always write");
    text + "\n"
}
