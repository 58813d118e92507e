//! Readings of the finished model, from a file.

use super::{readings_csv, readings_toml};
use body::{Instrument, Measurement, MeasuringPoint, ModelError, Problem, line_and_column};
use std::ops::Range;

/// The most bytes that a file of readings may have.
pub const MAX_READING_BYTES: usize = 1 << 20;

/// The most rows, or readings, that it may have.
pub const MAX_READING_ROWS: usize = 10_000;

/// Faults that are told one by one.
const TOLD: usize = 100;

/// No locomotive is so large (mm).
const LONGEST_MM: f64 = 10_000.0;

/// How a file of readings is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadingsKind {
    /// A table: a row a place.
    Csv,
    /// TOML: a key a place.
    Toml,
}

/// The unit of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadingUnit {
    /// Millimetres.
    Millimetre,
    /// Inches of 25.4 mm.
    Inch,
}

impl ReadingUnit {
    /// Both of them.
    pub const ALL: [Self; 2] = [Self::Millimetre, Self::Inch];

    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Inch => "in",
        }
    }

    /// Millimetres in it.
    pub fn mm(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::Inch => 25.4,
        }
    }

    pub(super) fn named(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|own| own.word() == word)
    }
}

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// What was read (mm).
    pub mm: f64,
    /// With what, if the file says.
    pub instrument: Option<Instrument>,
    /// Within which it lies of the true length, either way (mm), if the file says.
    pub limit: Option<f64>,
    /// Line of the file.
    pub line: usize,
}

/// What a file of readings holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Readings {
    /// Name of the file, for messages.
    pub file: String,
    /// Readings by the ids of their places, in the order of the file; a place stands once.
    pub places: Vec<(String, Vec<Reading>)>,
}

impl Readings {
    /// Reads a file of readings. `file` is what messages call it, `points` are the places of the model.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with it, each with line and column.
    pub fn read(
        file: &str,
        bytes: &[u8],
        kind: ReadingsKind,
        points: &[MeasuringPoint],
    ) -> Result<Self, ModelError> {
        let whole = |message: String, help: &str| Err(ModelError::whole_file(file, message, help));
        if bytes.len() > MAX_READING_BYTES {
            return whole(
                format!("the file of readings has more than {MAX_READING_BYTES} bytes"),
                "a reading is a line of some thirty",
            );
        }
        if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
            return whole(
                "the file of readings is UTF-16".to_owned(),
                "save it as UTF-8",
            );
        }
        let Ok(text) = std::str::from_utf8(bytes) else {
            return whole(
                "the file of readings is no UTF-8 text".to_owned(),
                "save it as UTF-8",
            );
        };
        let mut reading = Reader {
            text,
            points,
            problems: Vec::new(),
            more: 0,
            places: Vec::new(),
            count: 0,
        };
        match kind {
            ReadingsKind::Csv => readings_csv::read(&mut reading),
            ReadingsKind::Toml => readings_toml::read(&mut reading),
        }
        reading.finish(file)
    }

    /// How a file is written, by the ending of its name.
    pub fn kind_of(file: &str) -> Option<ReadingsKind> {
        let ending = file.rsplit_once('.')?.1.to_ascii_lowercase();
        match ending.as_str() {
            "csv" => Some(ReadingsKind::Csv),
            "toml" => Some(ReadingsKind::Toml),
            _ => None,
        }
    }

    /// Readings of a place.
    pub fn of(&self, id: &str) -> &[Reading] {
        let own = self.places.iter().find(|(own, _)| own == id);
        own.map_or(&[], |(_, readings)| readings)
    }

    /// How many readings there are.
    pub fn count(&self) -> usize {
        self.places.iter().map(|(_, own)| own.len()).sum()
    }
}

/// A file of readings while it is read.
pub(super) struct Reader<'t> {
    pub(super) text: &'t str,
    points: &'t [MeasuringPoint],
    problems: Vec<Problem>,
    /// Faults that are counted only.
    more: usize,
    places: Vec<(String, Vec<Reading>)>,
    count: usize,
}

impl Reader<'_> {
    /// Puts down what is wrong at a place of the text.
    pub(super) fn wrong(
        &mut self,
        path: &str,
        span: Range<usize>,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        if self.problems.len() >= TOLD {
            self.more += 1;
            return;
        }
        let (line, column) = line_and_column(self.text, span.start);
        self.problems.push(Problem {
            path: path.to_owned(),
            line,
            column,
            span,
            message: message.into(),
            help: help.into(),
        });
    }

    /// True if nothing was found wrong.
    pub(super) fn is_right(&self) -> bool {
        self.problems.is_empty()
    }

    /// True if the model has a place of that name; else puts down that it has none.
    pub(super) fn knows(&mut self, id: &str, span: Range<usize>) -> bool {
        let known = self.points.iter().map(|own| own.id.as_str());
        if known.clone().any(|own| own == id) {
            return true;
        }
        let near = known.min_by_key(|own| strsim::osa_distance(own, id));
        let help = match near {
            Some(near) if strsim::osa_distance(near, id) <= 1 + id.chars().count() / 3 => {
                format!("did you mean {near}?")
            }
            _ => "the measuring sheet names the places of this model".to_owned(),
        };
        let shown: String = id.chars().take(60).collect();
        self.wrong(
            "",
            span,
            format!("this model has no place {shown:?} to measure"),
            help,
        );
        false
    }

    fn point(&self, id: &str) -> Option<&MeasuringPoint> {
        self.points.iter().find(|own| own.id == id)
    }

    /// What a place is measured with if nobody says.
    pub(super) fn usual(&self, id: &str) -> Instrument {
        self.point(id)
            .map_or(Instrument::Caliper, |own| own.instrument)
    }

    /// Takes in a reading of a known place; false if there are too many.
    pub(super) fn take(&mut self, id: &str, reading: Reading, span: Range<usize>) -> bool {
        if self.count == MAX_READING_ROWS {
            self.wrong(
                id,
                span,
                format!("there are more than {MAX_READING_ROWS} readings"),
                "a few of each place are enough",
            );
            return false;
        }
        self.count += 1;
        let is_offset = self
            .point(id)
            .is_some_and(|own| matches!(own.measurement, Measurement::Offset { .. }));
        if reading.mm.abs() > LONGEST_MM || (reading.mm <= 0.0 && !is_offset) {
            self.wrong(
                id,
                span,
                format!("{} mm cannot be", reading.mm),
                "a length above zero is wanted, and no locomotive is longer than 10 m",
            );
            return true;
        }
        match self.places.iter_mut().find(|(own, _)| own == id) {
            Some((_, all)) => all.push(reading),
            None => self.places.push((id.to_owned(), vec![reading])),
        }
        true
    }

    /// A limit of error (mm), if it can be one.
    pub(super) fn limit(&mut self, path: &str, mm: f64, span: Range<usize>) -> Option<f64> {
        // Below a thousandth of a millimetre nothing is measured by hand.
        if (0.001..=10.0).contains(&mm) {
            return Some(mm);
        }
        self.wrong(
            path,
            span,
            format!("no instrument is right within {mm} mm"),
            "give the limit of error as the maker states it, between 0.001 and 10 mm",
        );
        None
    }

    /// An instrument by its word; else puts down that there is none.
    pub(super) fn instrument(
        &mut self,
        path: &str,
        word: &str,
        span: Range<usize>,
    ) -> Option<Instrument> {
        let found = Instrument::ALL.into_iter().find(|own| own.word() == word);
        if found.is_none() {
            let words: Vec<&str> = Instrument::ALL.iter().map(|own| own.word()).collect();
            let shown: String = word.chars().take(40).collect();
            self.wrong(
                path,
                span,
                format!("{shown:?} is no instrument that is known here"),
                format!("one of {} is wanted", words.join(", ")),
            );
        }
        found
    }

    fn finish(mut self, file: &str) -> Result<Readings, ModelError> {
        if self.problems.is_empty() {
            return Ok(Readings {
                file: file.to_owned(),
                places: self.places,
            });
        }
        self.problems
            .sort_by_key(|own| (own.span.start, own.path.clone()));
        if self.more > 0 {
            let last = self.problems.len() - 1;
            let more = self.more;
            let own = &mut self.problems[last];
            own.message = format!("{} (and {more} more faults like these)", own.message);
        }
        Err(ModelError {
            file: file.to_owned(),
            text: self.text.to_owned(),
            problems: self.problems,
        })
    }
}
