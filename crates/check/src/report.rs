//! What a check says, fit to be written to a file or sent.

use crate::comparison::PlateComparison;
use body::Finding;
use serde::{Serialize, Serializer};
use utoipa::ToSchema;

/// What a drawing is called in sentences.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawingWords {
    /// The engine, as the model file titles it: `Class B 0-6-2T`.
    pub engine: String,
    /// The scale: `7mm`.
    pub scale: String,
    /// Millimetres on the model to a foot full size.
    pub mm_per_foot: f64,
}

impl DrawingWords {
    /// The engine within a sentence: `class B` for a title that begins so, else the whole title.
    pub(crate) fn class(&self) -> String {
        let mut words = self.engine.split_whitespace();
        match (words.next(), words.next()) {
            (Some(first), Some(letter)) if first.eq_ignore_ascii_case("class") => {
                format!("class {letter}")
            }
            _ => self.engine.clone(),
        }
    }

    /// The scale within a sentence: `7 mm scale`.
    pub(crate) fn scale_in_words(&self) -> String {
        match self.scale.strip_suffix("mm") {
            Some(number) => format!("{} mm scale", number.trim()),
            None => self.scale.clone(),
        }
    }
}

/// What a drawing holds.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct DrawingSummary {
    /// The unit that it names, if it names one.
    pub unit: Option<&'static str>,
    /// Millimetres in its unit.
    pub unit_mm: f64,
    /// Lines and arcs, blocks written out.
    pub curves: usize,
    /// Texts.
    pub texts: usize,
    /// Closed outlines that are no opening of another.
    pub shapes: usize,
}

/// A drawing held against a body.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct ArtworkReport {
    /// What the drawing holds.
    pub drawing: DrawingSummary,
    /// Each drawn plate against the meant one, in the order of the body.
    pub per_plate: Vec<PlateComparison>,
    /// Plates of the body that are not on the drawing.
    pub not_drawn: Vec<String>,
    /// What is wrong, errors first.
    #[serde(serialize_with = "as_entries")]
    #[schema(value_type = Vec<FindingEntry>)]
    pub findings: Vec<Finding>,
}

/// A finding with units in its names.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct FindingEntry {
    /// Where, in the names of the model file or of the drawing.
    pub path: String,
    /// The rule's word.
    pub rule: &'static str,
    /// `error`, `warning` or `note`.
    pub severity: &'static str,
    /// The value found (mm).
    pub found_mm: f64,
    /// The limit that it breaks (mm).
    pub limit_mm: f64,
    /// The place.
    pub at: PlaceEntry,
    /// What it means.
    pub sentence: String,
}

/// A place on the flat and on the body.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct PlaceEntry {
    /// The plate.
    pub plate: Option<String>,
    /// On its flat, x and y (mm).
    pub flat_mm: Option<[f64; 2]>,
    /// On the body, x, y and z (mm).
    pub body_mm: Option<[f64; 3]>,
}

impl From<&Finding> for FindingEntry {
    fn from(finding: &Finding) -> Self {
        Self {
            path: finding.path.clone(),
            rule: finding.rule,
            severity: finding.severity.word(),
            found_mm: finding.found,
            limit_mm: finding.limit,
            at: PlaceEntry {
                plate: finding.at.plate.clone(),
                flat_mm: finding.at.flat.map(|p| [p.x, p.y]),
                body_mm: finding.at.body.map(|p| [p.x, p.y, p.z]),
            },
            sentence: finding.sentence.clone(),
        }
    }
}

/// Findings with units in their names.
pub fn findings_as_entries(findings: &[Finding]) -> Vec<FindingEntry> {
    findings.iter().map(FindingEntry::from).collect()
}

pub(crate) fn as_entries<S: Serializer>(
    findings: &[Finding],
    serializer: S,
) -> Result<S::Ok, S::Error> {
    findings_as_entries(findings).serialize(serializer)
}
