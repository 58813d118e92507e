//! Findings about a drawing gathered to faults: what was drawn wrong, and what follows from it.

use crate::report::{FindingEntry, as_entries};
use body::{Finding, Severity};
use serde::{Serialize, Serializer};
use std::cmp::Ordering;
use utoipa::ToSchema;

/// A mistake, and what it leads to.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct Fault {
    /// What was drawn wrong.
    #[serde(serialize_with = "as_entry")]
    #[schema(value_type = FindingEntry)]
    pub cause: Finding,
    /// What follows from it in metal, the worst first: put right, it is gone too.
    #[serde(serialize_with = "as_entries")]
    #[schema(value_type = Vec<FindingEntry>)]
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
    /// Nothing.
    None,
}

/// Rules about drawn plates, each with its level and what it reaches. A finding follows only from one of a lower
/// level: what is wrong with a whole plate, then with its length or its corners, then with an opening or a tab, then
/// with the rest of its border and what is etched on it, and last what meets other plates.
const RULES_OF_PLATES: [(&str, u8, Reach); 37] = [
    ("developed-on-outside", 0, Reach::Plate),
    ("developed-on-inside", 0, Reach::Plate),
    ("drawn-as-trapezium", 0, Reach::Plate),
    ("bend-on-outside", 0, Reach::Plate),
    ("wrapper-length", 1, Reach::Border),
    ("hole-missing", 2, Reach::Opening),
    ("placed-on-plan-length", 2, Reach::Opening),
    ("hole-place", 2, Reach::Opening),
    ("slot-width", 2, Reach::Opening),
    ("hole-size", 2, Reach::Opening),
    ("tab-missing", 2, Reach::Tab),
    ("tab-width", 2, Reach::Tab),
    ("tab-place", 2, Reach::Tab),
    ("tab-not-meant", 2, Reach::Tab),
    ("outline", 3, Reach::Border),
    ("mirrored", 3, Reach::None),
    ("fold-as-drawn", 3, Reach::Detail),
    ("etched-as-drawn", 3, Reach::Detail),
    ("rivets-as-drawn", 3, Reach::Detail),
    ("former-as-drawn", 4, Reach::None),
    ("girth-as-drawn", 4, Reach::None),
    ("seam-as-drawn", 4, Reach::None),
    ("diagonal-as-drawn", 4, Reach::None),
    ("square-as-drawn", 4, Reach::None),
    ("edge-as-drawn", 4, Reach::None),
    ("tab-as-drawn", 4, Reach::None),
    ("hole-as-drawn", 4, Reach::None),
    ("face-as-drawn", 4, Reach::None),
    ("overlay-as-drawn", 4, Reach::None),
    ("hands-as-drawn", 4, Reach::None),
    ("rivet-rows-as-drawn", 4, Reach::None),
    ("least-bar", 4, Reach::None),
    ("least-slot", 4, Reach::None),
    ("least-hole", 4, Reach::None),
    ("loose-metal", 4, Reach::None),
    ("half-etch-width", 4, Reach::None),
    ("etched-through", 4, Reach::None),
];

/// A plate leans, and no single place of it is wrong, if it is out of square and this many places are off.
const LEANING: usize = 3;

/// What a cause moves is off by no more than the cause, but for this (mm).
const MOVED_MM: f64 = 0.05;

/// Places of a flat this close are one place (mm): a tab and the side that it stands on.
const NEAR_MM: f64 = 4.0;

/// A finding about a drawn plate with its level and reach; `None` for any other.
fn ranked(finding: &Finding, all: &[&Finding]) -> Option<(u8, Reach)> {
    let (_, level, reach) = RULES_OF_PLATES
        .iter()
        .find(|(rule, ..)| *rule == finding.rule)?;
    if finding.rule == "square-as-drawn" || finding.rule == "diagonal-as-drawn" {
        let off = all
            .iter()
            .filter(|own| is_place(own) && own.at.plate == finding.at.plate);
        if off.count() >= LEANING {
            return Some((1, Reach::Plate));
        }
    }
    Some((*level, *reach))
}

/// True if something of a plate is out of its place.
fn is_place(finding: &Finding) -> bool {
    ["hole-place", "tab-place", "etched-as-drawn", "outline"].contains(&finding.rule)
}

/// Gathers the findings that count to faults, the worst first.
pub fn faults_of(findings: &[Finding]) -> Vec<Fault> {
    let counting: Vec<&Finding> = findings.iter().filter(|own| own.counts()).collect();
    let ranks: Vec<Option<(u8, Reach)>> =
        counting.iter().map(|own| ranked(own, &counting)).collect();
    let mut causes: Vec<Option<usize>> = counting
        .iter()
        .zip(&ranks)
        .map(|(own, rank)| {
            let (level, _) = (*rank)?;
            counting
                .iter()
                .zip(&ranks)
                .enumerate()
                .filter_map(|(i, (cause, rank))| {
                    let (of_cause, reach) = (*rank)?;
                    (of_cause < level).then_some(())?;
                    Some((i, follows(own, cause, reach)?))
                })
                .max_by(|a, b| a.1.cmp(&b.1).then(b.0.cmp(&a.0)))
                .map(|(i, _)| i)
        })
        .collect();
    // What follows from something that follows itself has the same cause; levels fall on the way, so it ends.
    for i in 0..causes.len() {
        while let Some(j) = causes[i]
            && let Some(k) = causes[j]
        {
            causes[i] = Some(k);
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
        let rank = |own: &Self| match own.cause.rule {
            "drawing-at-other-size"
            | "drawn-at-other-size"
            | "allowance-on-drawing"
            | "same-hand-twice"
            | "mirrored" => 0,
            "hole-missing" | "tab-missing" => 1,
            rule => {
                let whole = (rule, 0, Reach::Plate);
                if RULES_OF_PLATES.contains(&whole) {
                    0
                } else {
                    2
                }
            }
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

/// How surely a finding follows from a cause of a lower level; `None` if it does not.
fn follows(own: &Finding, cause: &Finding, reach: Reach) -> Option<u8> {
    let (plate, part) = sides(cause).next()?;
    if !sides(own).any(|(other, _)| other == plate) {
        return None;
    }
    let apart = (own.at.plate == cause.at.plate)
        .then(|| own.at.flat.zip(cause.at.flat))
        .flatten()
        .map(|(a, b)| (a - b).norm());
    let close = apart.is_some_and(|mm| mm < NEAR_MM).then_some(2);
    let moved = || own.found.abs() <= cause.found.abs() + MOVED_MM;
    match own.rule {
        // Of what is wrong in itself, only what a whole plate drawn otherwise moves along follows.
        rule if is_place(own) || rule == "wrapper-length" => {
            return match (reach, cause.rule) {
                (Reach::Plate, _) if rule == "wrapper-length" => Some(1),
                (Reach::Plate, _) | (Reach::Border, "wrapper-length") => moved().then_some(1),
                // A border is said to be off once: at the tab, if it is off there.
                (Reach::Tab, "tab-not-meant") if rule == "outline" => {
                    apart.filter(|mm| *mm < cause.found).map(|_| 1)
                }
                (Reach::Tab, _) if rule == "outline" => close,
                _ => None,
            };
        }
        // A plate whose edges are drawn straight may look like its own mirror image.
        "mirrored" => return (reach == Reach::Plate).then_some(1),
        "fold-as-drawn" | "rivets-as-drawn" => return None,
        rule if rule.starts_with("hole-") && !rule.ends_with("-drawn") => return None,
        rule if rule.starts_with("slot-")
            || (rule.starts_with("tab-") && !rule.ends_with("-drawn")) =>
        {
            return None;
        }
        "placed-on-plan-length" => return None,
        _ => {}
    }
    let same_part = sides(own).any(|side| side == (plate, part));
    let of_metal = own.rule.starts_with("least-") || own.rule == "loose-metal";
    match reach {
        Reach::Plate => Some(1),
        _ if same_part => Some(3),
        Reach::Opening if of_metal || own.rule == "hands-as-drawn" => close,
        Reach::Opening | Reach::Detail | Reach::None => None,
        Reach::Tab => close,
        Reach::Border if of_metal => close,
        Reach::Border => (!["hole-as-drawn", "rivet-rows-as-drawn"].contains(&own.rule))
            .then_some(close.unwrap_or(1)),
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
