//! The test build before the test etch: what was drawn takes the place of what was meant, every plate is
//! formed as its plate is, and every joint of the body is measured again.

mod as_drawn;
mod drawn_flat;
pub(crate) mod etched;
mod girth;
mod joints;
mod measure;
mod refit;
pub(crate) mod relay;
mod rims;
mod rivets;
mod squareness;

pub use drawn_flat::DrawnFlat;
pub use joints::NotMeasured;
pub use measure::Measure;

use crate::fault::{Fault, faults_of, worst_first};
use crate::report::{FindingEntry, as_entries};
use crate::{ArtworkReport, CheckError, PlateComparison};
use artwork::FlatDrawing;
use as_drawn::{Drawn, body_as_drawn};
use body::{Body, Finding, Metal, Scale, Severity};
use geom::BodyPoint;
use measure::Judged;
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// What the drawn plates would build to.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct TestBuild {
    /// One line: fit to etch or not, and why.
    pub verdict: String,
    /// True if nothing that counts was found, on the plates or at their joints.
    pub fit_to_etch: bool,
    /// Everything that was measured, worst first.
    pub measures: Vec<Measure>,
    /// Joints that could not be measured, and why.
    pub not_measured: Vec<NotMeasured>,
    /// Each drawn plate in a line, worst first.
    pub plates: Vec<PlateAsDrawn>,
    /// What would go wrong in metal, errors first.
    #[serde(serialize_with = "as_entries")]
    #[schema(value_type = Vec<FindingEntry>)]
    pub findings: Vec<Finding>,
    /// Everything that counts, on the plates and at their joints, gathered by what was drawn wrong, the worst first.
    pub faults: Vec<Fault>,
    /// The body as drawn.
    #[serde(skip)]
    pub built: Body,
    /// For each drawn plate, places on the body and how far it is drawn beyond what is meant there (mm).
    #[serde(skip)]
    pub deviations: Vec<(String, Vec<(BodyPoint, f64)>)>,
}

impl TestBuild {
    /// Gathers the faults, and says the verdict, anew from findings that are left after waivers.
    pub fn judge_by(&mut self, left: &[Finding]) {
        self.faults = faults_of(left);
        self.fit_to_etch = self.faults.is_empty();
        self.verdict = verdict_of(&self.faults, self.measures.len(), self.plates.len());
    }
}

/// A drawn plate in a line.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct PlateAsDrawn {
    /// The plate.
    pub plate: String,
    /// Greatest distance of the drawn outline from the meant one (mm).
    pub outline_off_mm: f64,
    /// Greatest distance of a drawn opening from its place (mm).
    pub openings_off_mm: f64,
    /// Things measured on it and at its joints.
    pub measures: usize,
    /// Those outside their limits.
    pub out_of_limits: usize,
}

/// Builds the body from what was drawn, and measures it.
///
/// # Errors
///
/// [`CheckError`] for a body with a plate that has no flat.
pub fn test_build(
    body: &Body,
    report: &ArtworkReport,
    metal: &Metal,
    scale: Scale,
) -> Result<TestBuild, CheckError> {
    // A plate that is drawn several times is built with the worst of its drawings.
    let mut by_plate: BTreeMap<&str, &PlateComparison> = BTreeMap::new();
    for own in &report.per_plate {
        let kept = by_plate.entry(&own.plate).or_insert(own);
        if own.worst_deviation_mm > kept.worst_deviation_mm {
            *kept = own;
        }
    }
    let pairs: Vec<(&body::Plate, &PlateComparison)> = body
        .plates
        .iter()
        .filter_map(|plate| Some((plate, *by_plate.get(plate.id.as_str())?)))
        .collect();
    let flats = pairs
        .iter()
        .map(|(plate, _)| FlatDrawing::of(plate))
        .collect::<Result<Vec<_>, _>>()?;
    let drawn: Vec<Drawn<'_>> = pairs
        .iter()
        .zip(&flats)
        .map(|((plate, own), flat)| Drawn {
            plate,
            flat,
            drawn: &own.laid,
        })
        .collect();
    let built = body_as_drawn(body, &drawn);
    let (judged, not_measured) = measured(body, &built, &drawn, metal, scale);
    let deviations = drawn
        .iter()
        .map(|own| (own.plate.id.clone(), rims::deviations(own)))
        .collect();
    Ok(TestBuild {
        deviations,
        ..summed_up(report, judged, not_measured, &pairs, built)
    })
}

fn measured(
    body: &Body,
    built: &Body,
    drawn: &[Drawn<'_>],
    metal: &Metal,
    scale: Scale,
) -> (Vec<Judged>, Vec<NotMeasured>) {
    let places: BTreeMap<&str, usize> = drawn
        .iter()
        .enumerate()
        .map(|(i, own)| (own.plate.id.as_str(), i))
        .collect();
    let find = |id: &str| places.get(id).copied();
    let mut judged = Vec::new();
    let mut not_measured = Vec::new();
    for joint in &body.joints {
        if find(&joint.a.plate).is_none() && find(&joint.b.plate).is_none() {
            continue;
        }
        match joints::joint_as_drawn(joint, built, metal, scale) {
            Ok(own) => judged.push(own),
            Err(why) => not_measured.push(why),
        }
        if let Some(wrapper) = body.plate(&joint.a.plate) {
            judged.extend(girth::girth_as_drawn(
                joint,
                wrapper,
                find,
                drawn,
                scale.mm_per_foot(),
            ));
        }
    }
    judged.extend(rims::overlays_as_drawn(&body.joints, find, drawn));
    judged.extend(rims::hands_as_drawn(body, find, drawn));
    judged.extend(rivets::rivets_as_drawn(drawn));
    for own in drawn {
        judged.extend(girth::diagonal_as_drawn(own));
        judged.extend(squareness::square_as_drawn(own));
        judged.extend(etched::etched_as_drawn(own));
    }
    (judged, not_measured)
}

fn summed_up(
    report: &ArtworkReport,
    judged: Vec<Judged>,
    not_measured: Vec<NotMeasured>,
    pairs: &[(&body::Plate, &PlateComparison)],
    built: Body,
) -> TestBuild {
    let mut findings: Vec<Finding> = judged
        .iter()
        .filter_map(|own| own.finding.clone())
        .collect();
    let mut measures: Vec<Measure> = judged.into_iter().map(|own| own.measure).collect();
    measures.sort_by(|a, b| b.excess_mm().total_cmp(&a.excess_mm()));
    findings.extend(not_measured_note(&not_measured));
    findings.sort_by(worst_first);
    let plates = plate_lines(pairs, &measures);
    let all: Vec<Finding> = report.findings.iter().chain(&findings).cloned().collect();
    let faults = faults_of(&all);
    TestBuild {
        verdict: verdict_of(&faults, measures.len(), pairs.len()),
        fit_to_etch: faults.is_empty(),
        faults,
        measures,
        not_measured,
        plates,
        findings,
        built,
        deviations: Vec::new(),
    }
}

fn not_measured_note(not_measured: &[NotMeasured]) -> Option<Finding> {
    let first = not_measured.first()?;
    Some(Finding {
        path: first.joint.clone(),
        rule: "joint-not-measured",
        severity: Severity::Note,
        found: not_measured.len() as f64,
        limit: 0.0,
        at: body::FindingPlace::default(),
        sentence: format!(
            "{} joints could not be measured as drawn; the first: {}",
            not_measured.len(),
            first.reason
        ),
    })
}

/// One line that says whether the drawing may be etched, and why not.
fn verdict_of(faults: &[Fault], measures: usize, plates: usize) -> String {
    let Some(worst) = faults.first() else {
        return format!(
            "Fit to etch: {plates} drawn plates, {measures} measures, none outside its limits."
        );
    };
    let errors = faults
        .iter()
        .filter(|own| own.severity() == Severity::Error)
        .count();
    let warnings = faults.len() - errors;
    let count = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    let found = match (errors, warnings) {
        (0, w) => count(w, "warning"),
        (e, 0) => count(e, "error"),
        (e, w) => format!("{} and {}", count(e, "error"), count(w, "warning")),
    };
    let more: usize = faults.iter().map(|own| own.follows.len()).sum();
    let more = match more {
        0 => String::new(),
        1 => ", and 1 finding that follows".to_owned(),
        n => format!(", and {n} findings that follow"),
    };
    format!(
        "Not fit to etch: {found}{more}. The worst: {}.",
        worst.sentence()
    )
}

fn plate_lines(
    pairs: &[(&body::Plate, &PlateComparison)],
    measures: &[Measure],
) -> Vec<PlateAsDrawn> {
    let mut lines: Vec<PlateAsDrawn> = pairs
        .iter()
        .map(|(plate, own)| {
            let mine = measures.iter().filter(|m| m.plates.contains(&plate.id));
            let (all, out) = mine.fold((0, 0), |(all, out), m| {
                (all + 1, out + usize::from(m.verdict != "good"))
            });
            PlateAsDrawn {
                plate: plate.id.clone(),
                outline_off_mm: own.worst_deviation_mm,
                openings_off_mm: own.holes.iter().map(|h| h.off_mm).fold(0.0, f64::max),
                measures: all,
                out_of_limits: out,
            }
        })
        .collect();
    lines.sort_by(|a, b| {
        b.out_of_limits
            .cmp(&a.out_of_limits)
            .then(b.outline_off_mm.total_cmp(&a.outline_off_mm))
    });
    lines
}
