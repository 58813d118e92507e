//! A finished model held against its drawing, as JSON.

use crate::{FindingJson, WaivedJson, millimetres, waived_json};
use body::Model;
use check::Judgement;
use check::built::{BuiltCause, BuiltEqual, BuiltPoint, BuiltReport, Decision, Estimate};
use serde::Serialize;
use utoipa::ToSchema;

/// A finished model held against its drawing.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct BuiltJson {
    /// Name of the file of readings.
    pub readings: String,
    /// The worst that is proved: `conforms`, `undecided` or `does-not-conform`; `null` if nothing was read.
    pub decision: Option<&'static str>,
    /// Places that there are readings of.
    pub measured: usize,
    /// Every place of the model, in the order of the measuring sheet.
    pub points: Vec<BuiltPointJson>,
    /// What is to be equal, where two places at least were read.
    pub equal: Vec<BuiltEqualJson>,
    /// What explains several deviations at once.
    pub causes: Vec<BuiltCauseJson>,
    /// What was found and no waiver lets pass.
    pub findings: Vec<FindingJson>,
    /// What waivers let pass, each `finding` with its `waiver`.
    pub waived: Vec<WaivedJson>,
}

/// A place with its readings.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct BuiltPointJson {
    /// Its name.
    pub id: String,
    /// What is measured.
    pub title: String,
    /// With what, if the reading does not say.
    pub instrument: &'static str,
    /// How it is laid on.
    pub how: &'static str,
    /// What it is measured from.
    pub datum: &'static str,
    /// When it can be reached, if not on the finished model.
    pub when: Option<&'static str>,
    /// Both ends of the dimension on the body.
    pub ends_mm: [[f64; 3]; 2],
    /// Keys of the model file, and derived dimensions, that decide it.
    pub keys: Vec<String>,
    /// Plates that decide it.
    pub plates: Vec<String>,
    /// What should be found.
    pub nominal_mm: f64,
    /// The same full size, in words.
    pub full_size: String,
    /// What is kept, either way.
    pub tolerance_mm: f64,
    /// Where the tolerance is from.
    pub source: &'static str,
    /// Its readings.
    pub readings: Vec<ReadingJson>,
    /// What they come to.
    pub found: Option<EstimateJson>,
    /// How much more was found than drawn.
    pub deviation_mm: Option<f64>,
    /// What is proved.
    pub decision: Option<&'static str>,
    /// Probability that it keeps its tolerance.
    pub probability: Option<f64>,
    /// The cause that explains it, by its place in `causes`.
    pub cause: Option<usize>,
}

/// One reading.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct ReadingJson {
    /// What was read.
    pub mm: f64,
    /// With what.
    pub instrument: &'static str,
    /// Within which it lies of the true length, either way.
    pub error_mm: f64,
    /// Line of the file.
    pub line: usize,
}

/// What readings come to.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct EstimateJson {
    /// Mean of the readings.
    pub mean_mm: f64,
    /// Standard uncertainty from the scatter of the readings.
    pub type_a_mm: f64,
    /// Standard uncertainty from the instruments.
    pub type_b_mm: f64,
    /// Both combined.
    pub standard_mm: f64,
    /// Effective degrees of freedom; `null` where there is no scatter.
    pub degrees_of_freedom: Option<f64>,
    /// Factor of the expanded uncertainty.
    pub factor: f64,
    /// Expanded uncertainty.
    pub expanded_mm: f64,
}

/// Places that are to differ as drawn.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct BuiltEqualJson {
    /// Its name.
    pub id: String,
    /// What it says.
    pub title: &'static str,
    /// Its places.
    pub points: Vec<String>,
    /// By how much two may differ.
    pub within_mm: f64,
    /// Where that is from.
    pub source: &'static str,
    /// The two that differ most.
    pub most: [String; 2],
    /// By how much the first deviates more than the second.
    pub difference_mm: f64,
    /// Expanded uncertainty of that.
    pub expanded_mm: f64,
    /// What is proved.
    pub decision: &'static str,
    /// The cause that explains it, by its place in `causes`.
    pub cause: Option<usize>,
}

/// What explains several deviations.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct BuiltCauseJson {
    /// The rule's word.
    pub rule: &'static str,
    /// How much it is.
    pub found_mm: f64,
    /// Expanded uncertainty of that.
    pub expanded_mm: f64,
    /// What it is.
    pub sentence: String,
    /// Places that it explains.
    pub points: Vec<String>,
    /// Keys of the model file that decide it.
    pub keys: Vec<String>,
    /// Plates to look at.
    pub plates: Vec<String>,
}

impl BuiltJson {
    /// The report of a model, and what waivers let pass of its findings.
    pub fn of(model: &Model, own: &BuiltReport, judged: &Judgement) -> Self {
        let mm_per_foot = model.scale.mm_per_foot();
        let points = own.points.iter();
        Self {
            readings: own.file.clone(),
            decision: own.decision().map(Decision::word),
            measured: own.measured(),
            points: points.map(|own| point(own, mm_per_foot)).collect(),
            equal: own.equal.iter().filter_map(equal).collect(),
            causes: own.causes.iter().map(cause).collect(),
            findings: judged.left.iter().map(FindingJson::from).collect(),
            waived: waived_json(&judged.waived),
        }
    }
}

fn point(own: &BuiltPoint, mm_per_foot: f64) -> BuiltPointJson {
    let (at, ends) = (&own.point, own.point.measurement.ends());
    let place = |p: geom::BodyPoint| [millimetres(p.x), millimetres(p.y), millimetres(p.z)];
    BuiltPointJson {
        id: at.id.clone(),
        title: at.title.clone(),
        instrument: at.instrument.word(),
        how: at.how,
        datum: at.datum,
        when: at.when,
        ends_mm: [place(ends.0), place(ends.1)],
        keys: at.keys.clone(),
        plates: at.plates.clone(),
        nominal_mm: millimetres(at.mm()),
        full_size: at.full_size(mm_per_foot).words(),
        tolerance_mm: at.tolerance,
        source: at.source,
        readings: own.readings.iter().map(|read| reading(own, read)).collect(),
        found: own.estimate.as_ref().map(estimate),
        deviation_mm: own.deviation().map(|own| millimetres(own.mean)),
        decision: own.decision.map(Decision::word),
        probability: own.probability.map(millimetres),
        cause: own.cause,
    }
}

fn reading(point: &BuiltPoint, own: &check::built::Reading) -> ReadingJson {
    let instrument = own.instrument.unwrap_or(point.point.instrument);
    ReadingJson {
        mm: millimetres(own.mm),
        instrument: instrument.word(),
        error_mm: own.limit.unwrap_or(instrument.limit_of_error()),
        line: own.line,
    }
}

fn estimate(own: &Estimate) -> EstimateJson {
    EstimateJson {
        mean_mm: millimetres(own.mean),
        type_a_mm: millimetres(own.type_a),
        type_b_mm: millimetres(own.type_b),
        standard_mm: millimetres(own.standard()),
        degrees_of_freedom: own.freedom.is_finite().then(|| millimetres(own.freedom)),
        factor: millimetres(own.factor),
        expanded_mm: millimetres(own.expanded()),
    }
}

fn equal(own: &BuiltEqual) -> Option<BuiltEqualJson> {
    let (one, other, most) = own.most.as_ref()?;
    Some(BuiltEqualJson {
        id: own.equal.id.clone(),
        title: own.equal.title,
        points: own.equal.points.clone(),
        within_mm: own.equal.within,
        source: own.equal.source,
        most: [one.clone(), other.clone()],
        difference_mm: millimetres(most.mean),
        expanded_mm: millimetres(most.expanded()),
        decision: own.decision?.word(),
        cause: own.cause,
    })
}

fn cause(own: &BuiltCause) -> BuiltCauseJson {
    BuiltCauseJson {
        rule: own.rule,
        found_mm: millimetres(own.found),
        expanded_mm: millimetres(own.expanded),
        sentence: own.sentence.clone(),
        points: own.points.clone(),
        keys: own.keys.clone(),
        plates: own.plates.clone(),
    }
}
