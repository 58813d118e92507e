//! One thing measured on the body as drawn.

use body::{Finding, FindingPlace, Severity};
use serde::Serialize;
use utoipa::ToSchema;

/// Something that was measured where drawn plates meet, or on one of them.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct Measure {
    /// The joint, or plate and feature.
    pub path: String,
    /// The rule that it is held against.
    pub rule: &'static str,
    /// What was measured: `gap`, `length round`, `centres apart`.
    pub what: &'static str,
    /// The plates that it is about.
    pub plates: Vec<String>,
    /// As designed (mm).
    pub should_be_mm: f64,
    /// As drawn (mm).
    pub drawn_mm: f64,
    /// Drawn less designed (mm).
    pub difference_mm: f64,
    /// Least and greatest that builds well (mm).
    pub allowed_mm: [f64; 2],
    /// `good`, `warning` or `error`.
    pub verdict: &'static str,
    /// What would happen in metal, where it is not good.
    pub sentence: Option<String>,
    /// The place on the flat, x and y (mm).
    pub flat_mm: Option<[f64; 2]>,
    /// The place on the body, x, y and z (mm).
    pub body_mm: Option<[f64; 3]>,
}

/// Rounding of what stands exactly on a limit (mm).
const ROUNDING_MM: f64 = 1e-6;

/// What a measure is about, before it is judged.
pub(crate) struct Measured {
    pub(crate) path: String,
    pub(crate) rule: &'static str,
    pub(crate) what: &'static str,
    pub(crate) plates: Vec<String>,
    pub(crate) should_be: f64,
    pub(crate) drawn: f64,
    pub(crate) allowed: (f64, f64),
    pub(crate) at: FindingPlace,
}

impl Measured {
    /// Judges it; outside its limits it is of a severity and says a sentence.
    pub(crate) fn judged(
        self,
        severity: Severity,
        sentence: impl FnOnce(&Self) -> String,
    ) -> Judged {
        let (low, high) = self.allowed;
        let out = self.drawn < low - ROUNDING_MM || self.drawn > high + ROUNDING_MM;
        let said = out.then(|| sentence(&self));
        let finding = said.clone().map(|sentence| Finding {
            path: self.path.clone(),
            rule: self.rule,
            severity,
            found: self.drawn,
            limit: if self.drawn < low { low } else { high },
            at: self.at.clone(),
            sentence,
        });
        Judged {
            measure: Measure {
                path: self.path,
                rule: self.rule,
                what: self.what,
                plates: self.plates,
                should_be_mm: self.should_be,
                drawn_mm: self.drawn,
                difference_mm: self.drawn - self.should_be,
                allowed_mm: [low, high],
                verdict: match (&finding, severity) {
                    (None, _) => "good",
                    (Some(_), Severity::Error) => "error",
                    (Some(_), _) => "warning",
                },
                sentence: said,
                flat_mm: self.at.flat.map(|p| [p.x, p.y]),
                body_mm: self.at.body.map(|p| [p.x, p.y, p.z]),
            },
            finding,
        }
    }
}

/// A measure and its finding, if it is out of its limits.
pub(crate) struct Judged {
    pub(crate) measure: Measure,
    pub(crate) finding: Option<Finding>,
}

impl Measure {
    /// How far outside its limits (mm); 0 within them.
    pub fn excess_mm(&self) -> f64 {
        let [low, high] = self.allowed_mm;
        (low - self.drawn_mm).max(self.drawn_mm - high).max(0.0)
    }
}
