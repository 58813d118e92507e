//! The body's own fits, and all checks of a body together.

use crate::etch::etch_findings;
use body::{Body, Finding, FindingPlace, Joint, JointKind, Severity};
use develop::EtchProcess;

/// Everything that can be found about a body by itself: what its sub-assemblies found, its joints
/// as designed and at worst case, and what an etcher cannot make.
///
/// Findings come in the order of sub-assemblies, joints and plates.
pub fn check_body(body: &Body, process: &EtchProcess) -> Vec<Finding> {
    let mut findings = body.findings.clone();
    findings.extend(body.joints.iter().filter_map(joint_finding));
    for plate in &body.plates {
        findings.extend(etch_findings(plate, process));
    }
    findings
}

/// Rounding of gaps that are meant to stand exactly on a limit (mm).
const ROUNDING_MM: f64 = 1e-9;

fn joint_finding(joint: &Joint) -> Option<Finding> {
    let (low, high) = joint.limit;
    let outside = |gap: f64| gap < low - ROUNDING_MM || gap > high + ROUNDING_MM;
    let nearest_limit = |gap: f64| if gap < low { low } else { high };
    let meeting = format!(
        "{} of {} and {} of {}",
        joint.a.feature, joint.a.plate, joint.b.feature, joint.b.plate
    );
    let allowed = format!("{low:.2} to {high:.2} mm is allowed");
    let finding = |rule, severity, found: f64, sentence| Finding {
        path: joint.id.clone(),
        rule,
        severity,
        found,
        limit: nearest_limit(found),
        at: FindingPlace {
            plate: Some(joint.a.plate.clone()),
            flat: None,
            body: Some(joint.at),
        },
        sentence,
    };
    if outside(joint.gap) {
        let sentence = format!("{meeting}: the gap is {:.2} mm; {allowed}", joint.gap);
        return Some(finding("fit", Severity::Error, joint.gap, sentence));
    }
    let (least, greatest) = joint.range;
    let worst = if least < low - ROUNDING_MM {
        least
    } else {
        greatest
    };
    if !outside(worst) {
        return None;
    }
    // A tab that does not go into its slot stops the work; other meetings can be eased or filled.
    let severity = match joint.kind {
        JointKind::Tab => Severity::Error,
        JointKind::Edge | JointKind::Hole | JointKind::Face => Severity::Warning,
    };
    let sentence = format!(
        "{meeting}: at the worst case of metal and etch the gap is {least:.2} to {greatest:.2} mm; {allowed}. \
         The largest part of that is the {}",
        joint.largest_contributor
    );
    Some(finding("fit-worst-case", severity, worst, sentence))
}
