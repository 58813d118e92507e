//! Readings held against what the drawing gives.

use super::cause::{BuiltCause, causes};
use super::decision::{Decision, conformance_probability, decide};
use super::estimate::Estimate;
use super::findings::findings;
use super::readings::{Reading, Readings};
use body::{EqualReadings, Finding, MeasuringPoint, Model, equal_readings};

/// A place with its readings.
#[derive(Clone, Debug, PartialEq)]
pub struct BuiltPoint {
    /// The place, and what should be found.
    pub point: MeasuringPoint,
    /// Its readings, in the order of the file.
    pub readings: Vec<Reading>,
    /// What they come to; `None` without any.
    pub estimate: Option<Estimate>,
    /// What is proved.
    pub decision: Option<Decision>,
    /// Probability that it keeps its tolerance.
    pub probability: Option<f64>,
    /// The cause that explains its deviation, by its place in [`BuiltReport::causes`].
    pub cause: Option<usize>,
}

impl BuiltPoint {
    fn of(point: MeasuringPoint, readings: &[Reading]) -> Self {
        let estimate = Estimate::of(readings, point.instrument);
        let nominal = point.mm();
        let limits = (nominal - point.tolerance, nominal + point.tolerance);
        Self {
            decision: estimate.map(|own| decide(own.mean, own.expanded(), limits)),
            probability: estimate.map(|own| conformance_probability(&own, limits)),
            readings: readings.to_vec(),
            cause: None,
            estimate,
            point,
        }
    }

    /// How much more was found than drawn, with its uncertainty.
    pub fn deviation(&self) -> Option<Estimate> {
        self.estimate.map(|own| own.minus(self.point.mm()))
    }
}

/// Places that are to differ as drawn, with the two that differ most.
#[derive(Clone, Debug, PartialEq)]
pub struct BuiltEqual {
    /// What is to be equal.
    pub equal: EqualReadings,
    /// The ids of the two, and the difference of their deviations; `None` where fewer than two were read.
    pub most: Option<(String, String, Estimate)>,
    /// What is proved: the worst of any two.
    pub decision: Option<Decision>,
    /// The cause that explains it, by its place in [`BuiltReport::causes`].
    pub cause: Option<usize>,
}

impl BuiltEqual {
    fn of(equal: EqualReadings, points: &[BuiltPoint]) -> Self {
        let read: Vec<(&str, Estimate)> = points
            .iter()
            .filter(|own| equal.points.contains(&own.point.id))
            .filter_map(|own| Some((own.point.id.as_str(), own.deviation()?)))
            .collect();
        let mut worst: Option<(Decision, f64, (usize, usize), Estimate)> = None;
        for (i, one) in read.iter().enumerate() {
            for (j, other) in read.iter().enumerate().skip(i + 1) {
                let own = one.1.difference(&other.1);
                let limits = (-equal.within, equal.within);
                let found = (decide(own.mean, own.expanded(), limits), own.mean.abs());
                let is_worse = worst
                    .as_ref()
                    .is_none_or(|known| found > (known.0, known.1));
                if is_worse {
                    worst = Some((found.0, found.1, (i, j), own));
                }
            }
        }
        let name = |i: usize| read[i].0.to_owned();
        Self {
            decision: worst.map(|own| own.0),
            most: worst.map(|(_, _, (i, j), own)| (name(i), name(j), own)),
            equal,
            cause: None,
        }
    }
}

/// A finished model held against its drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct BuiltReport {
    /// Name of the file of readings.
    pub file: String,
    /// Every place of the model, in the order of the measuring sheet.
    pub points: Vec<BuiltPoint>,
    /// What is to be equal, where two places at least were read.
    pub equal: Vec<BuiltEqual>,
    /// What explains several deviations at once.
    pub causes: Vec<BuiltCause>,
    /// What is wrong, errors first.
    pub findings: Vec<Finding>,
}

impl BuiltReport {
    /// The worst that is proved of any place; `None` if nothing was read.
    pub fn decision(&self) -> Option<Decision> {
        let points = self.points.iter().filter_map(|own| own.decision);
        let equal = self.equal.iter().filter_map(|own| own.decision);
        points.chain(equal).max()
    }

    /// How many places there are readings of.
    pub fn measured(&self) -> usize {
        let read = |own: &&BuiltPoint| own.estimate.is_some();
        self.points.iter().filter(read).count()
    }

    /// How many places and equalities came to a decision.
    pub fn count(&self, decision: Decision) -> usize {
        let points = self.points.iter().filter_map(|own| own.decision);
        let equal = self.equal.iter().filter_map(|own| own.decision);
        points.chain(equal).filter(|own| *own == decision).count()
    }
}

/// Holds readings against the places of a model.
pub fn compare_built(
    model: &Model,
    points: Vec<MeasuringPoint>,
    readings: &Readings,
) -> BuiltReport {
    let equal = equal_readings(model, &points);
    let points: Vec<BuiltPoint> = points
        .into_iter()
        .map(|point| {
            let own = readings.of(&point.id);
            BuiltPoint::of(point, own)
        })
        .collect();
    let equal = equal.into_iter().map(|own| BuiltEqual::of(own, &points));
    let equal: Vec<BuiltEqual> = equal.filter(|own| own.most.is_some()).collect();
    let mut report = BuiltReport {
        file: readings.file.clone(),
        points,
        equal,
        causes: Vec::new(),
        findings: Vec::new(),
    };
    causes(model, &mut report);
    report.findings = findings(&report);
    report
}
