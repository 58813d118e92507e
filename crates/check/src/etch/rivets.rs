//! Rivets near edges, openings, fold lines and one another.

use super::clearance::{clear_of_edges, outside};
use super::{EtchCheck, ROUNDING_MM};
use body::{Finding, Purpose, Rivet};

/// Rivets that cannot be punched where they stand; one finding a row and rule.
pub(super) fn rivets(check: &EtchCheck<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut sorted: Vec<&Rivet> = check.rivets.iter().collect();
    sorted.sort_by(|a, b| {
        a.centre
            .x
            .total_cmp(&b.centre.x)
            .then(a.centre.y.total_cmp(&b.centre.y))
    });
    let widest = sorted
        .iter()
        .map(|own| own.head_diameter)
        .fold(0.0, f64::max);
    for (i, rivet) in sorted.iter().enumerate() {
        findings.extend(near_edge(check, rivet));
        findings.extend(near_fold(check, rivet));
        let half = rivet.head_diameter / 2.0;
        for other in &sorted[i + 1..] {
            if other.centre.x - rivet.centre.x >= half + widest / 2.0 {
                break;
            }
            let least = half + other.head_diameter / 2.0;
            let apart = (other.centre - rivet.centre).norm();
            if apart < least - ROUNDING_MM {
                findings.push(check.finding(
                    "rivets-touch",
                    &rivet.row,
                    rivet.centre,
                    (apart, least),
                    &format!(
                        "rivets of rows {} and {} stand {apart:.2} mm apart; their heads touch below {least:.2} mm",
                        rivet.row, other.row
                    ),
                ));
            }
        }
    }
    grouped_by_row(findings)
}

fn near_edge(check: &EtchCheck<'_>, rivet: &Rivet) -> Option<Finding> {
    let half = rivet.head_diameter / 2.0;
    let clear = clear_of_edges(check, rivet.centre);
    (clear < half - ROUNDING_MM).then(|| {
        check.finding(
            "rivet-near-edge",
            &rivet.row,
            rivet.centre,
            (clear, half),
            &format!(
                "a rivet of row {} stands {clear:.2} mm from an edge; its head is {:.2} mm across",
                rivet.row, rivet.head_diameter
            ),
        )
    })
}

fn near_fold(check: &EtchCheck<'_>, rivet: &Rivet) -> Option<Finding> {
    let limit = check.process.rivet_to_fold.at(check.thickness);
    let folds = check
        .regions
        .iter()
        .filter(|own| own.purpose == Purpose::Fold);
    let (clear, fold) = folds
        .map(|fold| {
            (
                outside(&fold.outline, rivet.centre) - rivet.head_diameter / 2.0,
                fold,
            )
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    (clear < limit - ROUNDING_MM).then(|| {
        check.finding(
            "rivet-near-fold",
            &rivet.row,
            rivet.centre,
            (clear, limit),
            &format!(
                "the head of a rivet of row {} stands {clear:.3} mm from the fold line {}; {limit:.3} mm is wanted",
                rivet.row, fold.name
            ),
        )
    })
}

/// One finding a row and rule: a row too near an edge is one fault, not forty.
fn grouped_by_row(findings: Vec<Finding>) -> Vec<Finding> {
    let mut kept: Vec<(Finding, usize)> = Vec::new();
    for finding in findings {
        match kept
            .iter_mut()
            .find(|(k, _)| k.path == finding.path && k.rule == finding.rule)
        {
            Some((first, more)) => {
                *more += 1;
                if finding.found < first.found {
                    *first = finding;
                }
            }
            None => kept.push((finding, 0)),
        }
    }
    kept.into_iter()
        .map(|(mut finding, more)| {
            if more > 0 {
                finding
                    .sentence
                    .push_str(&format!(" (and {more} more of the row)"));
            }
            finding
        })
        .collect()
}
