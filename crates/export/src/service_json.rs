//! Gauges, motor and weight of a train as JSON.

use crate::{ApproachJson, FindingJson};
use check::running::{Balance, Clearances, Margin, MotorFit, Swept};
use serde::Serialize;
use utoipa::ToSchema;

/// Where a part comes nearest to an outline.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct MarginJson {
    /// The plate or fitting.
    pub part: String,
    /// How far it stays inside; negative where it stands out.
    pub margin_mm: f64,
    /// The same in inches of the full size.
    pub margin_full_size_in: f64,
    /// The place on it.
    pub at_mm: [f64; 3],
    /// How far this place stands from the middle of the track, to the left of the way.
    pub aside_mm: f64,
}

/// The train against the outlines that it must keep within.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct GaugeJson {
    /// Parts of the engine nearest to its loading gauge on the straight; empty if the file gives none.
    pub engine: Vec<MarginJson>,
    /// Those of the tender.
    pub tender: Vec<MarginJson>,
    /// Farthest to the left and to the right of the middle of the track on the course.
    pub reach_mm: [f64; 2],
    /// Least distance from an equal track beside it.
    pub tracks_mm: f64,
    /// The structure gauge.
    pub structure: String,
    /// Where the structure gauge is from.
    pub structure_source: String,
    /// Parts nearest to it on the course.
    pub structure_margins: Vec<MarginJson>,
}

/// How motor and gearbox fit.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct MotorJson {
    /// Middle of the box.
    pub middle_mm: [f64; 3],
    /// Length, width and height.
    pub size_mm: [f64; 3],
    /// Air that is wanted.
    pub wanted_mm: f64,
    /// What it comes near, nearest first.
    pub nearest: Vec<ApproachJson>,
}

/// What a model weighs and where.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct BalanceJson {
    /// What weighs.
    pub masses: Vec<MassJson>,
    /// All of it.
    pub mass_g: f64,
    /// Centre of gravity.
    pub centre_mm: [f64; 3],
    /// What the full-size weight scales to.
    pub wanted_g: Option<f64>,
    /// Middle of the coupled axles.
    pub middle_mm: f64,
    /// Spaces for ballast.
    pub ballast: Vec<BallastJson>,
    /// Mass with that ballast.
    pub ballasted_g: f64,
    /// Its middle along the engine.
    pub ballasted_x_mm: f64,
    /// What the axles carry.
    pub axles: Vec<AxleLoadJson>,
    /// What was found.
    pub findings: Vec<FindingJson>,
}

/// Something that weighs.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct MassJson {
    /// Sub-assembly or load.
    pub name: String,
    /// Mass.
    pub mass_g: f64,
    /// Its middle.
    pub at_mm: [f64; 3],
}

/// A space for ballast.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct BallastJson {
    /// The space.
    pub space: String,
    /// What should go in.
    pub mass_g: f64,
    /// What would go in.
    pub room_g: f64,
    /// Its middle along the engine.
    pub x_mm: f64,
}

/// What an axle carries.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, ToSchema)]
pub struct AxleLoadJson {
    /// Counted from the front.
    pub axle: usize,
    /// Without ballast.
    pub mass_g: f64,
    /// With it.
    pub ballasted_g: f64,
}

/// Margins that are written.
const MARGINS: usize = 12;

impl GaugeJson {
    /// Of a train on its course; `mm_per_foot` is the scale.
    pub fn of(found: &Clearances, mm_per_foot: f64) -> Self {
        let margins = |all: &[Margin]| {
            let own = all.iter().take(MARGINS);
            own.map(|own| margin(own, mm_per_foot)).collect()
        };
        let Swept {
            reach,
            tracks,
            margins: beside,
        } = &found.swept;
        Self {
            engine: margins(&found.loading[0]),
            tender: margins(&found.loading[1]),
            reach_mm: *reach,
            tracks_mm: *tracks,
            structure: found.structure.title.clone(),
            structure_source: found.structure.source.clone(),
            structure_margins: margins(beside),
        }
    }
}

fn margin(own: &Margin, mm_per_foot: f64) -> MarginJson {
    MarginJson {
        part: own.part.clone(),
        margin_mm: own.margin,
        margin_full_size_in: own.margin * 12.0 / mm_per_foot,
        at_mm: own.at.coords.into(),
        aside_mm: own.aside,
    }
}

impl From<&MotorFit> for MotorJson {
    fn from(own: &MotorFit) -> Self {
        Self {
            middle_mm: own.middle.coords.into(),
            size_mm: own.size,
            wanted_mm: own.wanted,
            nearest: own.nearest.iter().map(ApproachJson::from).collect(),
        }
    }
}

impl From<&Balance> for BalanceJson {
    fn from(own: &Balance) -> Self {
        Self {
            masses: own
                .masses
                .iter()
                .map(|mass| MassJson {
                    name: mass.name.clone(),
                    mass_g: mass.grams,
                    at_mm: mass.at.coords.into(),
                })
                .collect(),
            mass_g: own.grams,
            centre_mm: own.centre.coords.into(),
            wanted_g: own.wanted,
            middle_mm: own.middle,
            ballast: own
                .ballast
                .iter()
                .map(|space| BallastJson {
                    space: space.space.clone(),
                    mass_g: space.grams,
                    room_g: space.room,
                    x_mm: space.x,
                })
                .collect(),
            ballasted_g: own.ballasted.0,
            ballasted_x_mm: own.ballasted.1,
            axles: own
                .axles
                .iter()
                .map(|&(axle, mass_g, ballasted_g)| AxleLoadJson {
                    axle,
                    mass_g,
                    ballasted_g,
                })
                .collect(),
            findings: own.findings.iter().map(FindingJson::from).collect(),
        }
    }
}
