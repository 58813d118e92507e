//! What a scan shows, as findings.

use super::mirrored::Handedness;
use super::report::ScanReport;
use body::{Finding, FindingPlace, Severity};

/// An alignment less sure than this is told (mm).
const SURE_MM: f64 = 0.05;

/// Everything that is found, what is built wrong first.
pub(super) fn findings(report: &ScanReport) -> Vec<Finding> {
    let mut all: Vec<Finding> = report
        .errors
        .iter()
        .map(|error| Finding {
            path: error.plate.as_ref().unwrap_or(&error.assembly).clone(),
            rule: error.kind.rule(),
            severity: Severity::Warning,
            found: error.farthest,
            limit: error.tolerance,
            at: FindingPlace {
                plate: error.plate.clone(),
                flat: None,
                body: Some(error.at),
            },
            sentence: format!("{}.", error.words),
        })
        .collect();
    if report.unit_guessed {
        all.push(about(
            "scan-unit-guessed",
            Severity::Warning,
            (report.unit.millimetres(1.0), 1.0),
            format!(
                "The file does not say its unit; its size is that of this body in {}. Say it with --unit.",
                report.unit.title()
            ),
        ));
    }
    let scale = &report.scale;
    if scale.is_off {
        let size = report.size;
        all.push(about(
            "scan-scale",
            Severity::Warning,
            (scale.share * size, crate::tolerance::built_width(report.mm_per_foot)),
            format!(
                "The scan is {:.2} % too {} (±{:.2} %), {:.2} mm over the whole engine, by {} sub-assemblies alike: hold a known \
                 length beside the model. What else is told is of the scan at the size of the drawing.",
                100.0 * scale.share.abs(),
                if scale.share > 0.0 { "large" } else { "small" },
                100.0 * scale.uncertainty,
                (scale.share * size).abs(),
                scale.groups,
            ),
        ));
    }
    if report.handedness == Handedness::Undecidable {
        all.push(about(
            "scan-mirror-open",
            Severity::Note,
            (0.0, 0.0),
            "Nothing that was scanned stands on one side only: a mirrored scan would look the same.".to_owned(),
        ));
    }
    let alignment = &report.alignment;
    if !alignment.by_whole_body.is_empty() {
        all.push(about(
            "scan-datum-open",
            Severity::Note,
            (alignment.uncertainty, SURE_MM),
            format!(
                "Footplate and buffer beams as scanned do not fix the place {}: there the scan is laid by the whole body, \
                 and what is built wrong may pull it.",
                alignment.by_whole_body.join(", ")
            ),
        ));
    }
    if alignment.uncertainty > SURE_MM {
        all.push(about(
            "scan-uncertain",
            Severity::Warning,
            (alignment.uncertainty, SURE_MM),
            format!(
                "The scan is laid on the body no surer than {:.2} mm: more of the footplate and the beams is wanted.",
                alignment.uncertainty
            ),
        ));
    }
    if !report.not_scanned.is_empty() {
        all.push(about(
            "scan-coverage",
            Severity::Note,
            (report.not_scanned.len() as f64, 0.0),
            format!("Nothing was scanned of {}.", report.not_scanned.join(", ")),
        ));
    }
    all
}

fn about(
    rule: &'static str,
    severity: Severity,
    (found, limit): (f64, f64),
    sentence: String,
) -> Finding {
    Finding {
        path: "scan".to_owned(),
        rule,
        severity,
        found,
        limit,
        at: FindingPlace::default(),
        sentence,
    }
}
