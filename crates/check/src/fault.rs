//! Findings about a drawing gathered to faults: what was drawn wrong, and what follows from it.

use crate::report::{FindingEntry, as_entries};
use body::{Finding, Severity};
use serde::{Serialize, Serializer};
use std::cmp::Ordering;

/// A mistake, and what it leads to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fault {
    /// What was drawn wrong.
    #[serde(serialize_with = "as_entry")]
    pub cause: Finding,
    /// What follows from it in metal, the worst first: put right, it is gone too.
    #[serde(serialize_with = "as_entries")]
    pub follows: Vec<Finding>,
}

fn as_entry<S: Serializer>(finding: &Finding, serializer: S) -> Result<S::Ok, S::Error> {
    FindingEntry::from(finding).serialize(serializer)
}

/// What a cause reaches on its plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Reach {
    /// All of the plate.
    Plate,
    /// An opening, and what goes through it.
    Opening,
    /// A tab, and what it goes into.
    Tab,
    /// The border, and what it meets.
    Border,
    /// A half-etched place or a row of rivets.
    Detail,
}

/// Rules of one drawn plate whose breach may be the cause of others.
const CAUSES: [(&str, Reach); 20] = [
    ("mirrored", Reach::Plate),
    ("drawn-at-other-size", Reach::Plate),
    ("allowance-on-drawing", Reach::Plate),
    ("developed-on-outside", Reach::Plate),
    ("developed-on-inside", Reach::Plate),
    ("drawn-as-trapezium", Reach::Plate),
    ("bend-on-outside", Reach::Plate),
    ("hole-missing", Reach::Opening),
    ("tab-missing", Reach::Tab),
    ("placed-on-plan-length", Reach::Opening),
    ("hole-place", Reach::Opening),
    ("slot-width", Reach::Opening),
    ("hole-size", Reach::Opening),
    ("tab-width", Reach::Tab),
    ("tab-place", Reach::Tab),
    ("wrapper-length", Reach::Border),
    ("outline", Reach::Border),
    ("fold-as-drawn", Reach::Detail),
    ("etched-as-drawn", Reach::Detail),
    ("rivets-as-drawn", Reach::Detail),
];

/// Rules that are broken where plates meet, or by what is left of the metal.
const MAY_FOLLOW: [&str; 19] = [
    "former-as-drawn",
    "girth-as-drawn",
    "seam-as-drawn",
    "diagonal-as-drawn",
    "edge-as-drawn",
    "tab-as-drawn",
    "hole-as-drawn",
    "face-as-drawn",
    "overlay-as-drawn",
    "hands-as-drawn",
    "square-as-drawn",
    "rivet-rows-as-drawn",
    "least-bar",
    "least-slot",
    "least-hole",
    "loose-metal",
    "half-etch-width",
    "etched-through",
    "outline",
];

/// Places of a flat this close are one place (mm): a tab and the side that it stands on.
const NEAR_MM: f64 = 4.0;

fn reach_of(finding: &Finding) -> Option<Reach> {
    CAUSES
        .iter()
        .find(|(rule, _)| *rule == finding.rule)
        .map(|(_, reach)| *reach)
}

/// Gathers the findings that count to faults, the worst first.
pub fn faults_of(findings: &[Finding]) -> Vec<Fault> {
    let counting: Vec<&Finding> = findings.iter().filter(|own| own.counts()).collect();
    let mut causes: Vec<Option<usize>> = counting
        .iter()
        .map(|own| {
            counting
                .iter()
                .enumerate()
                .filter_map(|(i, cause)| Some((i, follows(own, cause)?)))
                .max_by(|a, b| a.1.cmp(&b.1).then(b.0.cmp(&a.0)))
                .map(|(i, _)| i)
        })
        .collect();
    // What follows from something that follows itself has the same cause.
    for i in 0..causes.len() {
        let mut steps = 0;
        while let Some(j) = causes[i]
            && let Some(k) = causes[j]
            && steps < causes.len()
            && k != i
        {
            causes[i] = Some(k);
            steps += 1;
        }
    }
    let mut faults: Vec<Fault> = counting
        .iter()
        .enumerate()
        .filter(|(i, _)| causes[*i].is_none())
        .map(|(i, cause)| {
            let own = counting.iter().zip(&causes);
            let mut follows: Vec<Finding> = own
                .filter(|(_, of)| **of == Some(i))
                .map(|(own, _)| (*own).clone())
                .collect();
            follows.sort_by(worst_first);
            Fault {
                cause: (*cause).clone(),
                follows,
            }
        })
        .collect();
    faults.sort_by(Fault::worst_first);
    faults
}

/// Errors before warnings before notes, and within them what is farthest outside its limit first.
pub fn worst_first(a: &Finding, b: &Finding) -> Ordering {
    let out = |own: &Finding| (own.found - own.limit).abs();
    a.severity
        .cmp(&b.severity)
        .then_with(|| out(b).total_cmp(&out(a)))
}

impl Fault {
    /// The worst that comes of it.
    pub fn severity(&self) -> Severity {
        let all = self.follows.iter().map(|own| own.severity);
        all.fold(self.cause.severity, Severity::min)
    }

    /// What it means, and the worst that comes of it, if that is worse than it sounds.
    pub fn sentence(&self) -> String {
        match self.follows.first() {
            Some(first) if first.severity < self.cause.severity => {
                format!("{}; {}", self.cause.sentence, first.sentence)
            }
            _ => self.cause.sentence.clone(),
        }
    }

    fn worst_first(a: &Self, b: &Self) -> Ordering {
        // What is wrong with a whole plate, or is not there at all, has no distance to be ranked by.
        let rank = |own: &Self| match (reach_of(&own.cause), own.cause.rule) {
            (Some(Reach::Plate), _) => 0,
            (_, "hole-missing" | "tab-missing") => 1,
            _ => 2,
        };
        a.severity()
            .cmp(&b.severity())
            .then_with(|| rank(a).cmp(&rank(b)))
            .then_with(|| worst_first(&a.cause, &b.cause))
    }
}

/// The plates and features that a finding is about: both sides of a joint, both hands.
fn sides(finding: &Finding) -> impl Iterator<Item = (&str, &str)> {
    finding
        .path
        .split('~')
        .map(|side| side.split_once('/').unwrap_or((side, "")))
        .map(|(plate, feature)| (plate, feature.strip_prefix("hole:").unwrap_or(feature)))
}

/// How surely a finding follows from a cause; `None` if it does not.
fn follows(own: &Finding, cause: &Finding) -> Option<u8> {
    let reach = reach_of(cause)?;
    let is_etch = own.rule.starts_with("least-") || own.rule == "loose-metal";
    if own == cause || !MAY_FOLLOW.contains(&own.rule) {
        return None;
    }
    let (plate, part) = sides(cause).next()?;
    if !sides(own).any(|(other, _)| other == plate) {
        return None;
    }
    let same_part = sides(own).any(|side| side == (plate, part));
    let near = own.at.plate == cause.at.plate
        && own
            .at
            .flat
            .zip(cause.at.flat)
            .is_some_and(|(a, b)| (a - b).norm() < NEAR_MM);
    let close = near.then_some(2);
    // One outline is said to be off once; it follows from what is said of its tabs.
    if own.rule == "outline" {
        return (reach == Reach::Tab && near).then_some(1);
    }
    match reach {
        Reach::Plate => Some(1),
        _ if same_part => Some(3),
        Reach::Opening if is_etch => close,
        Reach::Opening => (own.rule == "hands-as-drawn").then_some(close).flatten(),
        Reach::Tab => close,
        Reach::Border if is_etch => close,
        Reach::Border => (own.rule != "hole-as-drawn" && own.rule != "rivet-rows-as-drawn")
            .then_some(close.unwrap_or(1)),
        Reach::Detail => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use body::FindingPlace;
    use geom::FlatPoint;

    fn finding(rule: &'static str, path: &str, severity: Severity, found: f64) -> Finding {
        let plate = path.split('/').next().unwrap_or_default();
        Finding {
            path: path.to_owned(),
            rule,
            severity,
            found,
            limit: 0.05,
            at: FindingPlace {
                plate: Some(plate.to_owned()),
                flat: Some(FlatPoint::new(0.0, 0.0)),
                body: None,
            },
            sentence: format!("{rule} at {path}"),
        }
    }

    #[test]
    fn a_slot_out_of_place_is_one_fault_and_its_tab_follows() {
        let all = [
            finding(
                "tab-as-drawn",
                "valance/tab-1~footplate/slot-1",
                Severity::Error,
                -0.5,
            ),
            finding("hole-place", "footplate/hole:slot-1", Severity::Error, 0.3),
            finding(
                "tab-as-drawn",
                "valance/tab-2~footplate/slot-2",
                Severity::Error,
                -0.4,
            ),
            finding("hole-size", "footplate/hole:slot-2", Severity::Warning, 0.1),
            finding("fit", "roof/front~rib/roof", Severity::Warning, 0.2),
        ];
        let faults = faults_of(&all);
        let told: Vec<(&str, usize)> = faults
            .iter()
            .map(|own| (own.cause.path.as_str(), own.follows.len()))
            .collect();
        assert_eq!(
            told,
            [
                ("footplate/hole:slot-1", 1),
                ("footplate/hole:slot-2", 1),
                ("roof/front~rib/roof", 0)
            ]
        );
        assert_eq!(faults[1].severity(), Severity::Error);
        assert!(faults[1].sentence().contains("tab-as-drawn"));
    }

    #[test]
    fn of_two_causes_the_one_at_the_same_feature_is_taken() {
        let all = [
            finding("outline", "valance/top", Severity::Error, 0.3),
            finding("tab-width", "valance/tab-1", Severity::Error, 0.3),
            finding(
                "tab-as-drawn",
                "valance/tab-1~footplate/slot-1",
                Severity::Error,
                -0.3,
            ),
        ];
        let faults = faults_of(&all);
        // The outline stands off where the tab does.
        assert_eq!(faults.len(), 1);
        assert_eq!(faults[0].cause.rule, "tab-width");
        assert_eq!(faults[0].follows.len(), 2);
    }
}
