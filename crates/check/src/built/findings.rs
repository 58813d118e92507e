//! What a comparison found, as findings.

use super::cause::BuiltCause;
use super::compare::{BuiltEqual, BuiltPoint, BuiltReport};
use super::decision::Decision;
use body::{Finding, FindingPlace, Measurement, Severity};

/// Readings of one place that differ by more than so many limits of error do not belong together (chosen, not sourced).
const SCATTER: f64 = 4.0;

/// Places that are named when they were not measured.
const NAMED: usize = 8;

/// All findings, errors first; what a cause explains is told by the cause.
pub(super) fn findings(report: &BuiltReport) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (i, cause) in report.causes.iter().enumerate() {
        findings.extend(of_cause(report, i, cause));
    }
    for own in &report.points {
        findings.extend(of_point(own));
        findings.extend(scatter(own));
    }
    findings.extend(report.equal.iter().filter_map(|own| of_equal(report, own)));
    findings.extend(not_measured(report));
    findings.sort_by_key(|own| own.severity);
    findings
}

fn severity(decision: Decision) -> Option<Severity> {
    match decision {
        Decision::Conforms => None,
        Decision::Undecided => Some(Severity::Warning),
        Decision::DoesNotConform => Some(Severity::Error),
    }
}

fn of_cause(report: &BuiltReport, i: usize, cause: &BuiltCause) -> Option<Finding> {
    let points = report
        .points
        .iter()
        .filter(|own| own.cause == Some(i) || cause.points.contains(&own.point.id));
    let explained: Vec<&BuiltPoint> = points.collect();
    let equal = report.equal.iter().filter(|own| own.cause == Some(i));
    let worst = explained
        .iter()
        .filter_map(|own| own.decision)
        .chain(equal.filter_map(|own| own.decision))
        .max()?;
    let limit = explained.iter().map(|own| own.point.tolerance);
    let at = explained.first().map(|own| own.point.measurement.ends().1);
    Some(Finding {
        path: cause.keys.first().cloned().unwrap_or_default(),
        rule: cause.rule,
        severity: severity(worst)?,
        found: cause.found,
        limit: limit.fold(f64::INFINITY, f64::min),
        at: FindingPlace {
            plate: cause.plates.first().cloned(),
            flat: None,
            body: at,
        },
        sentence: cause.sentence.clone(),
    })
}

/// Words for more and for less of what is measured.
fn ways(own: &BuiltPoint) -> (&'static str, &'static str) {
    match own.point.measurement {
        Measurement::Height { .. } => ("too high", "too low"),
        Measurement::Offset { .. } => ("to the left", "to the right"),
        Measurement::Diameter { .. } => ("too thick", "too thin"),
        _ => ("too long", "too short"),
    }
}

fn of_point(own: &BuiltPoint) -> Option<Finding> {
    let (estimate, decision) = (own.estimate?, own.decision?);
    let severity = severity(decision)?;
    if own.cause.is_some() {
        return None;
    }
    let point = &own.point;
    let deviation = estimate.mean - point.mm();
    let (over, under) = ways(own);
    let way = if deviation > 0.0 { over } else { under };
    let uncertainty = estimate.expanded();
    let mut sentence = format!(
        "{}: {:.2} mm found, {:.2} drawn: {:.2} mm {way}",
        point.title,
        estimate.mean,
        point.mm(),
        deviation.abs(),
    );
    if decision == Decision::DoesNotConform {
        sentence.push_str(&format!(
            ", where ±{:.2} is kept (uncertainty {uncertainty:.2})",
            point.tolerance
        ));
        if !point.plates.is_empty() {
            sentence.push_str(&format!("; look at {}", point.plates.join(", ")));
        }
    } else if uncertainty >= point.tolerance {
        sentence.push_str(&format!(
            "; an uncertainty of {uncertainty:.2} proves nothing about ±{:.2}: measure more finely, or more often",
            point.tolerance
        ));
    } else {
        sentence.push_str(&format!(
            "; with an uncertainty of {uncertainty:.2} neither within nor beyond ±{:.2} is proved",
            point.tolerance
        ));
    }
    Some(Finding {
        path: point.keys.first().unwrap_or(&point.id).clone(),
        rule: if decision == Decision::DoesNotConform {
            "built-out-of-tolerance"
        } else {
            "built-undecided"
        },
        severity,
        found: deviation,
        limit: point.tolerance,
        at: place(own),
        sentence,
    })
}

fn place(own: &BuiltPoint) -> FindingPlace {
    FindingPlace {
        plate: own.point.plates.first().cloned(),
        flat: None,
        body: Some(own.point.measurement.ends().1),
    }
}

fn of_equal(report: &BuiltReport, own: &BuiltEqual) -> Option<Finding> {
    let (one, other, most) = own.most.as_ref()?;
    let decision = own.decision?;
    let severity = severity(decision)?;
    if own.cause.is_some() {
        return None;
    }
    let (within, off) = (own.equal.within, most.mean.abs());
    let (more, less) = if most.mean > 0.0 {
        (one, other)
    } else {
        (other, one)
    };
    let mut sentence = format!(
        "{}: {more} is {off:.2} mm over {less}, each against its drawing",
        own.equal.title
    );
    if decision == Decision::DoesNotConform {
        sentence.push_str(&format!(
            ", where {within:.2} is kept (uncertainty {:.2})",
            most.expanded()
        ));
    } else {
        sentence.push_str(&format!(
            "; with an uncertainty of {:.2} neither within nor beyond {within:.2} is proved",
            most.expanded()
        ));
    }
    let point = report.points.iter().find(|own| own.point.id == *more)?;
    Some(Finding {
        path: own.equal.id.clone(),
        rule: if decision == Decision::DoesNotConform {
            "built-unequal"
        } else {
            "built-undecided"
        },
        severity,
        found: most.mean,
        limit: within,
        at: place(point),
        sentence,
    })
}

/// Readings of one place that differ by more than the instrument explains.
fn scatter(own: &BuiltPoint) -> Option<Finding> {
    let mm = own.readings.iter().map(|own| own.mm);
    let (low, high) = (
        mm.clone().fold(f64::INFINITY, f64::min),
        mm.fold(f64::NEG_INFINITY, f64::max),
    );
    let limits = own.readings.iter().map(|reading| {
        let instrument = reading.instrument.unwrap_or(own.point.instrument);
        reading.limit.unwrap_or(instrument.limit_of_error())
    });
    let limit = SCATTER * limits.fold(0.0, f64::max);
    (high - low > limit).then(|| Finding {
        path: own.point.id.clone(),
        rule: "built-scatter",
        severity: Severity::Warning,
        found: high - low,
        limit,
        at: place(own),
        sentence: format!(
            "{}: readings of one place differ by {:.2} mm, from {low:.2} to {high:.2}; read it again",
            own.point.title,
            high - low
        ),
    })
}

fn not_measured(report: &BuiltReport) -> Option<Finding> {
    let without = report.points.iter().filter(|own| own.estimate.is_none());
    let ids: Vec<&str> = without.map(|own| own.point.id.as_str()).collect();
    let nothing = ids.len() == report.points.len();
    if ids.is_empty() {
        return None;
    }
    let sentence = if nothing {
        format!("{} holds no readings", report.file)
    } else {
        let more = if ids.len() > NAMED {
            format!(" and {} more", ids.len() - NAMED)
        } else {
            String::new()
        };
        let names = ids[..ids.len().min(NAMED)].join(", ");
        format!(
            "{} of {} places were not measured: {names}{more}",
            ids.len(),
            report.points.len()
        )
    };
    Some(Finding {
        path: report.file.clone(),
        rule: if nothing {
            "built-no-readings"
        } else {
            "built-not-measured"
        },
        severity: Severity::Note,
        found: ids.len() as f64,
        limit: 0.0,
        at: FindingPlace::default(),
        sentence,
    })
}
