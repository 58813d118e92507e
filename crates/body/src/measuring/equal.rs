//! Places whose deviations are to be equal: level, parallel, round, square, in line.

use super::{MeasuringPoint, TRADE};
use crate::Model;

/// Places whose readings are to differ from one another as drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct EqualReadings {
    /// Kebab-case name: `footplate-corners`.
    pub id: String,
    /// What it says: `Footplate level at its corners`.
    pub title: &'static str,
    /// Ids of the places, two at least.
    pub points: Vec<String>,
    /// By how much two of them may differ more or less than drawn (mm).
    pub within: f64,
    /// Where the limit is from.
    pub source: &'static str,
}

/// A name, what it says, the beginnings of the ids it is about, and the limits at 4 mm and 7 mm scale.
type Row = (
    &'static str,
    &'static str,
    &'static [&'static str],
    (f64, f64),
);

const ROWS: [Row; 14] = [
    (
        "footplate-corners",
        "Footplate level at its corners",
        &["footplate-height-"],
        (0.10, 0.10),
    ),
    (
        "footplate-square",
        "Footplate square: both diagonals equal",
        &["footplate-diagonal-"],
        (0.10, 0.10),
    ),
    (
        "cab-square",
        "Cab square in plan: both diagonals equal",
        &["cab-diagonal-"],
        (0.10, 0.10),
    ),
    (
        "smokebox-round",
        "Smokebox round",
        &["smokebox-diameter-"],
        (0.15, 0.15),
    ),
    (
        "boiler-round-front",
        "Boiler round at the smokebox",
        &["boiler-diameter-front-"],
        (0.15, 0.15),
    ),
    (
        "boiler-round-rear",
        "Boiler round at the throat",
        &["boiler-diameter-rear-"],
        (0.15, 0.15),
    ),
    (
        "boiler-level",
        "Boiler level, or falling as drawn, over its length",
        &["boiler-height-"],
        (0.10, 0.15),
    ),
    (
        "tanks-parallel",
        "Tanks parallel from top to bottom",
        &["over-tanks-"],
        (0.10, 0.10),
    ),
    (
        "pannier-tanks-parallel",
        "Pannier tanks parallel from top to bottom",
        &["over-pannier-tanks-"],
        (0.10, 0.10),
    ),
    (
        "tender-tank-parallel",
        "Tender tank parallel from top to bottom",
        &["over-tender-tank-"],
        (0.10, 0.10),
    ),
    (
        "cab-parallel",
        "Cab parallel from top to bottom",
        &["over-cab-"],
        (0.10, 0.10),
    ),
    (
        "bunker-parallel",
        "Bunker parallel from top to bottom",
        &["over-bunker-top", "over-bunker-bottom"],
        (0.10, 0.10),
    ),
    (
        "eaves-level",
        "Eaves of the cab equally high",
        &["cab-eaves-"],
        (0.10, 0.10),
    ),
    (
        "chimney-and-dome-in-line",
        "Chimney and dome in line",
        &["chimney-offset", "dome-offset"],
        (0.10, 0.15),
    ),
];

/// What is to be equal among the places of a model.
///
/// Limits are what careful builders keep: common practice, no source.
pub fn equal_readings(model: &Model, points: &[MeasuringPoint]) -> Vec<EqualReadings> {
    let rows = ROWS
        .into_iter()
        .filter_map(|(id, title, begin, (four, seven))| {
            let own = points.iter().filter(|point| !point.is_named());
            let own = own.map(|point| point.id.as_str());
            let own: Vec<String> = own
                .filter(|id| begin.iter().any(|begin| id.starts_with(begin)))
                .map(str::to_owned)
                .collect();
            (own.len() > 1).then(|| EqualReadings {
                id: id.to_owned(),
                title,
                points: own,
                within: model.scale.pick(four, seven),
                source: TRADE,
            })
        });
    rows.collect()
}
