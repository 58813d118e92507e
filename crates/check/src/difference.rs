//! What a change of the model file touches: plates, joints, findings, and the sheets to be etched again.

use crate::CheckError;
use crate::pairs::pairs;
use crate::plate_difference::{PlateChange, PlateDifference, lone_plate, plate_difference};
use crate::tolerance::DIFFERENCE_MM;
use body::{Body, Finding, Fitting, FormerBlock, InputLength, Joint, Model, Plate};
use geom::Chain;
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// One state of a model: what was read, what was built from it, and what it breaks.
#[derive(Clone, Copy, Debug)]
pub struct ModelState<'a> {
    /// What was read.
    pub model: &'a Model,
    /// What was built from it.
    pub body: &'a Body,
    /// What it breaks.
    pub findings: &'a [Finding],
}

/// What a change of the model touches.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct Difference {
    /// The model before.
    pub before: StateSummary,
    /// The model after.
    pub after: StateSummary,
    /// True if nothing below differs.
    pub same: bool,
    /// Lengths of the model file, defaults included, that differ.
    pub inputs: Vec<LengthChange>,
    /// Lengths that follow from them and differ.
    pub dimensions: Vec<LengthChange>,
    /// Angles that follow from them and differ.
    pub angles: Vec<AngleChange>,
    /// Plates that are touched, in the order of the body.
    pub plates: Vec<PlateDifference>,
    /// Joints that are touched.
    pub joints: Vec<JointDifference>,
    /// Findings that come, go, or have another figure.
    pub findings: Vec<FindingDifference>,
    /// Blocks to form and solder on that have to be printed again, or come or go.
    pub blocks: Vec<PartDifference>,
    /// Solids for looking at that differ.
    pub fittings: Vec<PartDifference>,
    /// Every sheet, touched or not: plates of one metal and thickness.
    pub sheets: Vec<SheetDifference>,
}

/// Which model a state is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct StateSummary {
    /// Name of the class.
    pub title: String,
    /// The variant, if one was chosen.
    pub variant: Option<String>,
    /// Scale of the model: `7mm`.
    pub scale: &'static str,
    /// Wheel standard: `fine`.
    pub wheels: &'static str,
}

/// A length before and after; nothing where there is none of that name.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct LengthChange {
    /// Its key or name.
    pub name: String,
    /// Length before.
    pub before_mm: Option<f64>,
    /// Length after.
    pub after_mm: Option<f64>,
}

/// An angle before and after.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct AngleChange {
    /// Its name.
    pub name: String,
    /// Angle before.
    pub before_deg: Option<f64>,
    /// Angle after.
    pub after_deg: Option<f64>,
}

/// Whether something is there before and after.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Presence {
    /// After only.
    Added,
    /// Before only.
    Removed,
    /// Before and after, otherwise.
    Changed,
}

/// A joint before and after.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct JointDifference {
    /// The joint.
    pub joint: String,
    /// Whether it is there before and after.
    pub change: Presence,
    /// Its gap before.
    pub before: Option<Gap>,
    /// Its gap after.
    pub after: Option<Gap>,
}

/// The gap of a joint.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, ToSchema)]
pub struct Gap {
    /// As designed; negative is overlap.
    pub gap_mm: f64,
    /// Least and greatest at the worst case of the process.
    pub range_mm: [f64; 2],
    /// Least and greatest that builds well.
    pub limit_mm: [f64; 2],
}

/// A finding before and after.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct FindingDifference {
    /// Where, in the names of the model file.
    pub path: String,
    /// The rule's word.
    pub rule: &'static str,
    /// `error`, `warning` or `note`; after the change where it is still there.
    pub severity: &'static str,
    /// Whether it is there before and after.
    pub change: Presence,
    /// The value found before.
    pub before_mm: Option<f64>,
    /// The value found after.
    pub after_mm: Option<f64>,
    /// What it means; after the change where it is still there.
    pub sentence: String,
}

/// A part before and after.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct PartDifference {
    /// Its name.
    pub id: String,
    /// Whether it is there before and after.
    pub change: Presence,
}

/// A sheet: the plates of one metal and thickness.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct SheetDifference {
    /// Alloy and temper.
    pub metal: String,
    /// Thickness as bought.
    pub thickness_mm: f64,
    /// True if a plate on it has to be etched, so that its artwork changes.
    pub etch_again: bool,
    /// Number of its plates before.
    pub plates_before: usize,
    /// Number of its plates after.
    pub plates_after: usize,
    /// Plates on it that have to be etched.
    pub etched: Vec<String>,
    /// Plates that are not needed on it any more.
    pub gone: Vec<String>,
}

/// A length as reports show it: to the millionth (mm), −0 as 0.
pub(crate) fn figure(value: f64) -> f64 {
    (value * 1e6).round() / 1e6 + 0.0
}

impl LengthChange {
    /// The change, if the lengths (mm) differ.
    pub(crate) fn of(name: &str, before: Option<f64>, after: Option<f64>) -> Option<Self> {
        is_changed(before, after).then(|| Self {
            name: name.to_owned(),
            before_mm: before.map(figure),
            after_mm: after.map(figure),
        })
    }
}

fn is_changed(before: Option<f64>, after: Option<f64>) -> bool {
    match (before, after) {
        (Some(a), Some(b)) => (a - b).abs() > DIFFERENCE_MM,
        (None, None) => false,
        _ => true,
    }
}

impl Presence {
    pub(crate) fn of<T>(before: Option<T>, after: Option<T>) -> Self {
        match (before, after) {
            (None, _) => Self::Added,
            (_, None) => Self::Removed,
            _ => Self::Changed,
        }
    }

    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Added => "added",
            Self::Removed => "removed",
            Self::Changed => "changed",
        }
    }
}

/// What differs between two states of a model, from `before` to `after`.
///
/// # Errors
///
/// [`CheckError::Develop`] for a plate that has no flat.
pub fn difference(
    before: &ModelState<'_>,
    after: &ModelState<'_>,
) -> Result<Difference, CheckError> {
    let (old, new) = (before.body, after.body);
    let plates = plates(&old.plates, &new.plates)?;
    let mut found = Difference {
        before: summary(before.model),
        after: summary(after.model),
        same: false,
        inputs: lengths(&before.model.inputs, &after.model.inputs, input),
        dimensions: lengths(&old.dimensions, &new.dimensions, |own| (&own.path, own.mm)),
        angles: angles(old, new),
        sheets: sheets(&old.plates, &new.plates, &plates),
        plates,
        joints: joints(&old.joints, &new.joints),
        findings: findings(before.findings, after.findings),
        blocks: blocks(&old.blocks, &new.blocks),
        fittings: fittings(&old.fittings, &new.fittings),
    };
    found.same = found.inputs.is_empty()
        && found.dimensions.is_empty()
        && found.angles.is_empty()
        && found.plates.is_empty()
        && found.joints.is_empty()
        && found.findings.is_empty()
        && found.blocks.is_empty()
        && found.fittings.is_empty();
    Ok(found)
}

fn summary(model: &Model) -> StateSummary {
    StateSummary {
        title: model.title.clone(),
        variant: model.variant.clone(),
        scale: model.scale.word(),
        wheels: model.wheels.word(),
    }
}

fn input(own: &InputLength) -> (&str, f64) {
    (&own.path, own.mm)
}

fn lengths<T>(before: &[T], after: &[T], of: impl Fn(&T) -> (&str, f64)) -> Vec<LengthChange> {
    pairs(before, after, |own| of(own).0)
        .into_iter()
        .filter_map(|(a, b)| {
            let name = a.or(b).map_or("", |own| of(own).0);
            LengthChange::of(name, a.map(|own| of(own).1), b.map(|own| of(own).1))
        })
        .collect()
}

fn angles(before: &Body, after: &Body) -> Vec<AngleChange> {
    pairs(&before.angles, &after.angles, |own| own.path.as_str())
        .into_iter()
        .filter_map(|(a, b)| {
            let degrees =
                |own: Option<&body::DerivedAngle>| own.map(|own| own.radians.to_degrees());
            let (was, is) = (degrees(a), degrees(b));
            is_changed(was, is).then(|| AngleChange {
                name: a.or(b).map_or_else(String::new, |own| own.path.clone()),
                before_deg: was.map(figure),
                after_deg: is.map(figure),
            })
        })
        .collect()
}

fn plates(before: &[Plate], after: &[Plate]) -> Result<Vec<PlateDifference>, CheckError> {
    let mut found = Vec::new();
    for pair in pairs(before, after, |plate| plate.id.as_str()) {
        match pair {
            (Some(a), Some(b)) => found.extend(plate_difference(a, b)?),
            (None, Some(b)) => found.push(lone_plate(b, PlateChange::Added)),
            (Some(a), None) => found.push(lone_plate(a, PlateChange::Removed)),
            (None, None) => {}
        }
    }
    Ok(found)
}

fn joints(before: &[Joint], after: &[Joint]) -> Vec<JointDifference> {
    pairs(before, after, |joint| joint.id.as_str())
        .into_iter()
        .filter(|(a, b)| match (a, b) {
            (Some(a), Some(b)) => !is_same_joint(a, b),
            _ => true,
        })
        .map(|(a, b)| JointDifference {
            joint: a.or(b).map_or_else(String::new, |joint| joint.id.clone()),
            change: Presence::of(a, b),
            before: a.map(gap),
            after: b.map(gap),
        })
        .collect()
}

fn is_same_joint(a: &Joint, b: &Joint) -> bool {
    let figures = |joint: &Joint| {
        let (range, limit) = (joint.range, joint.limit);
        [joint.gap, range.0, range.1, limit.0, limit.1]
    };
    let near = figures(a)
        .into_iter()
        .zip(figures(b))
        .all(|(a, b)| !is_changed(Some(a), Some(b)));
    near && a.kind == b.kind && a.a == b.a && a.b == b.b
}

fn gap(joint: &Joint) -> Gap {
    let pair = |(low, high)| [figure(low), figure(high)];
    Gap {
        gap_mm: figure(joint.gap),
        range_mm: pair(joint.range),
        limit_mm: pair(joint.limit),
    }
}

fn findings(before: &[Finding], after: &[Finding]) -> Vec<FindingDifference> {
    let name = |own: &Finding| (own.rule, own.path.clone(), own.at.plate.clone());
    pairs(before, after, name)
        .into_iter()
        .filter(|(a, b)| match (a, b) {
            (Some(a), Some(b)) => {
                a.severity != b.severity || is_changed(Some(a.found), Some(b.found))
            }
            _ => true,
        })
        .filter_map(|(a, b)| {
            let last = b.or(a)?;
            Some(FindingDifference {
                path: last.path.clone(),
                rule: last.rule,
                severity: last.severity.word(),
                change: Presence::of(a, b),
                before_mm: a.map(|own| figure(own.found)),
                after_mm: b.map(|own| figure(own.found)),
                sentence: last.sentence.clone(),
            })
        })
        .collect()
}

fn parts<'a, T>(
    before: &'a [T],
    after: &'a [T],
    id: impl Fn(&'a T) -> &'a str,
    is_same: impl Fn(&T, &T) -> bool,
) -> Vec<PartDifference> {
    pairs(before, after, &id)
        .into_iter()
        .filter(|(a, b)| match (a, b) {
            (Some(a), Some(b)) => !is_same(a, b),
            _ => true,
        })
        .filter_map(|(a, b)| {
            Some(PartDifference {
                id: id(a.or(b)?).to_owned(),
                change: Presence::of(a, b),
            })
        })
        .collect()
}

fn fittings(before: &[Fitting], after: &[Fitting]) -> Vec<PartDifference> {
    parts(before, after, |own| &own.id, |a, b| a == b)
}

fn blocks(before: &[FormerBlock], after: &[FormerBlock]) -> Vec<PartDifference> {
    parts(before, after, |own| &own.id, is_same_block)
}

fn is_same_block(a: &FormerBlock, b: &FormerBlock) -> bool {
    let near = |a: f64, b: f64| !is_changed(Some(a), Some(b));
    let holes = a.studding.len() == b.studding.len()
        && a.studding
            .iter()
            .zip(&b.studding)
            .all(|(a, b)| near((a.0 - b.0).norm(), 0.0) && near(a.1, b.1));
    let groove = near(a.groove.0, b.groove.0) && near(a.groove.1, b.groove.1);
    near(a.length, b.length)
        && holes
        && groove
        && is_same_section(&a.front, &b.front)
        && is_same_section(&a.rear, &b.rear)
}

fn is_same_section(a: &Chain, b: &Chain) -> bool {
    const POINTS: usize = 200;
    (0..=POINTS).all(|i| {
        let at = |chain: &Chain| chain.point_at(chain.length() * i as f64 / POINTS as f64);
        (at(a) - at(b)).norm() <= DIFFERENCE_MM
    })
}

/// Metal and thickness in nanometres: a name that can be sorted.
fn sheet_of(plate: &Plate) -> (String, u64) {
    let nanometres = (plate.sheet.stock_thickness * 1e6).round();
    (plate.sheet.metal.clone(), nanometres as u64)
}

fn sheets(before: &[Plate], after: &[Plate], touched: &[PlateDifference]) -> Vec<SheetDifference> {
    let mut found: BTreeMap<(String, u64), SheetDifference> = BTreeMap::new();
    for (plates, is_before) in [(before, true), (after, false)] {
        for plate in plates {
            let sheet = sheet_of(plate);
            let own = found
                .entry(sheet.clone())
                .or_insert_with(|| SheetDifference {
                    metal: sheet.0.clone(),
                    thickness_mm: figure(plate.sheet.stock_thickness),
                    etch_again: false,
                    plates_before: 0,
                    plates_after: 0,
                    etched: Vec::new(),
                    gone: Vec::new(),
                });
            if is_before {
                own.plates_before += 1;
                let is_here = |other: &&Plate| other.id == plate.id && sheet_of(other) == sheet;
                if after.iter().find(is_here).is_none() {
                    own.gone.push(plate.id.clone());
                }
                continue;
            }
            own.plates_after += 1;
            if touched
                .iter()
                .any(|own| own.plate == plate.id && own.change.is_etched())
            {
                own.etched.push(plate.id.clone());
                own.etch_again = true;
            }
        }
    }
    found.into_values().collect()
}
