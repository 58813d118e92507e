//! What explains several deviations at once: another unit, the model's stand on its wheels, a unit of it that sits high.

mod mistakes;
mod stand;
mod units;

use super::compare::BuiltReport;
use super::decision::{Decision, decide};
use super::estimate::Estimate;
use body::Model;

/// A cause of deviations.
#[derive(Clone, Debug, PartialEq)]
pub struct BuiltCause {
    /// The rule's word.
    pub rule: &'static str,
    /// How much it is (mm), with its uncertainty.
    pub found: f64,
    /// Expanded uncertainty of it (mm).
    pub expanded: f64,
    /// What it is, in a modeller's words.
    pub sentence: String,
    /// Ids of the places that it explains.
    pub points: Vec<String>,
    /// Keys of the model file that decide it.
    pub keys: Vec<String>,
    /// Plates to look at.
    pub plates: Vec<String>,
}

/// Looks for causes, and says of each place which explains it.
pub(super) fn causes(model: &Model, report: &mut BuiltReport) {
    let mut search = Search {
        model,
        left: report.points.iter().map(|own| own.deviation()).collect(),
        causes: Vec::new(),
        report,
    };
    mistakes::look(&mut search);
    units::scaled(&mut search);
    stand::look(&mut search);
    units::look(&mut search);
    let Search { left, causes, .. } = search;
    for (point, left) in report.points.iter_mut().zip(&left) {
        let cause = causes
            .iter()
            .position(|own| own.points.contains(&point.point.id));
        // What is left when the cause is taken off may be wrong by itself.
        let is_right = left.is_none_or(|own| {
            let tolerance = point.point.tolerance;
            decide(own.mean, own.expanded(), (-tolerance, tolerance)) != Decision::DoesNotConform
        });
        point.cause = cause.filter(|_| is_right);
    }
    let left_of = |id: &str| {
        let at = report.points.iter().position(|own| own.point.id == id)?;
        left[at]
    };
    for equal in &mut report.equal {
        let Some((one, other, _)) = &equal.most else {
            continue;
        };
        let cause = causes
            .iter()
            .position(|own| own.points.contains(one) || own.points.contains(other));
        let is_right = match (left_of(one), left_of(other)) {
            (Some(one), Some(other)) => {
                let own = one.difference(&other);
                let limits = (-equal.equal.within, equal.equal.within);
                decide(own.mean, own.expanded(), limits) != Decision::DoesNotConform
            }
            // A reading that was no reading of the place says nothing of it.
            _ => true,
        };
        equal.cause = cause.filter(|_| is_right);
    }
    report.causes = causes;
}

/// Deviations while causes are taken off them.
struct Search<'r> {
    model: &'r Model,
    report: &'r mut BuiltReport,
    /// What is left of each deviation; `None` where nothing was read, or not this place.
    left: Vec<Option<Estimate>>,
    causes: Vec<BuiltCause>,
}

impl Search<'_> {
    /// Places with a reading whose ids begin so.
    fn begin(&self, beginnings: &[&str]) -> Vec<usize> {
        let fits = |i: &usize| {
            let id = &self.report.points[*i].point.id;
            let is_usual = !self.report.points[*i].point.is_named();
            is_usual && self.left[*i].is_some() && beginnings.iter().any(|own| id.starts_with(own))
        };
        (0..self.left.len()).filter(fits).collect()
    }

    fn id(&self, i: usize) -> &str {
        &self.report.points[i].point.id
    }

    /// What is left at some places that were read.
    fn left_at(&self, places: &[usize]) -> Vec<Estimate> {
        places.iter().filter_map(|i| self.left[*i]).collect()
    }

    /// The deviation left at the place of an id.
    fn left_of(&self, id: &str) -> Option<Estimate> {
        let i = self.begin(&[id]).into_iter().find(|i| self.id(*i) == id)?;
        self.left[i]
    }

    /// Whether any of the places, or what is to be equal among them, is not proved to be right.
    fn matters(&self, places: &[usize]) -> bool {
        let wrong =
            |decision: Option<Decision>| decision.is_some_and(|own| own > Decision::Conforms);
        let points = places
            .iter()
            .any(|i| wrong(self.report.points[*i].decision));
        let equal = self.report.equal.iter().any(|own| {
            let is_of = own.equal.points.iter().any(|id| {
                let mut ids = places.iter().map(|i| self.id(*i));
                ids.any(|own| own == id)
            });
            is_of && wrong(own.decision)
        });
        points || equal
    }

    /// Takes a share off what is left at a place.
    fn take_off(&mut self, i: usize, by: f64) {
        self.left[i] = self.left[i].map(|own| own.minus(by));
    }

    /// Puts down a cause with the keys and plates of its places.
    fn put_down(
        &mut self,
        rule: &'static str,
        own: &Estimate,
        places: &[usize],
        sentence: String,
        (keys, plates): (&[&str], &[&str]),
    ) {
        let mut cause = BuiltCause {
            rule,
            found: own.mean,
            expanded: own.expanded(),
            sentence,
            points: places.iter().map(|i| self.id(*i).to_owned()).collect(),
            keys: keys.iter().map(|own| (*own).to_owned()).collect(),
            plates: plates.iter().map(|own| (*own).to_owned()).collect(),
        };
        if keys.is_empty() {
            let all = places
                .iter()
                .flat_map(|i| &self.report.points[*i].point.keys);
            cause.keys = once(all);
        }
        if plates.is_empty() {
            let all = places
                .iter()
                .flat_map(|i| &self.report.points[*i].point.plates);
            cause.plates = once(all);
        }
        self.causes.push(cause);
    }
}

/// Names in their order, each once.
fn once<'s>(all: impl Iterator<Item = &'s String>) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for own in all {
        if !names.contains(own) {
            names.push(own.clone());
        }
    }
    names
}

/// `0.30 mm high` or `0.30 mm low`.
fn off_by(mm: f64, (over, under): (&str, &str)) -> String {
    format!("{:.2} mm {}", mm.abs(), if mm > 0.0 { over } else { under })
}
