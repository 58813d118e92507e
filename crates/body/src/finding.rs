//! Findings: what can be computed but breaks a rule.

use geom::{BodyPoint, FlatPoint};

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Will not build.
    Error,
    /// May not build, or not well.
    Warning,
    /// Worth knowing; does not count for the exit status.
    Note,
}

impl Severity {
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }
}

/// A place on the flat and on the body.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FindingPlace {
    /// The plate, if the finding is about one.
    pub plate: Option<String>,
    /// Where on its flat.
    pub flat: Option<FlatPoint>,
    /// Where on the body.
    pub body: Option<BodyPoint>,
}

/// One rule that the body or an artwork breaks.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Where, in the names of the model file or of the artwork.
    pub path: String,
    /// A stable word that `docs/rules.md` explains.
    pub rule: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// The value found (mm).
    pub found: f64,
    /// The limit that it breaks (mm).
    pub limit: f64,
    /// The place.
    pub at: FindingPlace,
    /// What it means, in a modeller's words.
    pub sentence: String,
}

impl Finding {
    /// True if the finding counts for the exit status.
    pub fn counts(&self) -> bool {
        self.severity != Severity::Note
    }
}
