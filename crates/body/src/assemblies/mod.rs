//! The sub-assemblies, one file each, and the order in which they are built.

mod beams;
mod boiler;
mod bunker;
mod cab;
mod coal_rails;
mod coping;
mod cylinders;
mod firebox;
mod fittings;
mod footplate;
mod fouling;
mod frames;
mod handrails;
mod lips;
mod mounts;
mod outside_frames;
mod pannier_tanks;
mod run;
mod running_gear;
mod saddle_tank;
mod sandboxes;
mod seat;
mod side_plate;
mod side_tanks;
mod smokebox;
mod splashers;
mod steps;
mod tank_fittings;
mod tender_tank;
mod trucks;
mod tub;
mod valances;
mod wheel_room;

use crate::measuring::refuse_unknown_places;
use crate::rows::raised_findings;
use crate::sound_flat::refuse_impossible_flat;
pub(crate) use trucks::trucks_of;

use crate::{Assembly, Body, BodyError, Model, ModelError, Order};

/// Sub-assemblies in the order in which they are listed.
const ASSEMBLIES: &[Assembly] = &[
    Assembly {
        id: "smokebox",
        title: "Smokebox",
    },
    Assembly {
        id: "boiler",
        title: "Boiler",
    },
    Assembly {
        id: "firebox",
        title: "Firebox",
    },
    Assembly {
        id: "footplate",
        title: "Footplate",
    },
    Assembly {
        id: "splashers",
        title: "Splashers",
    },
    Assembly {
        id: "steps",
        title: "Steps and sandboxes",
    },
    Assembly {
        id: "frames",
        title: "Frames and trucks",
    },
    Assembly {
        id: "cylinders",
        title: "Cylinders",
    },
    Assembly {
        id: "side-tanks",
        title: "Side tanks",
    },
    Assembly {
        id: "cab",
        title: "Cab",
    },
    Assembly {
        id: "bunker",
        title: "Bunker",
    },
    Assembly {
        id: "saddle-tank",
        title: "Saddle tank",
    },
    Assembly {
        id: "pannier-tanks",
        title: "Pannier tanks",
    },
    Assembly {
        id: "tender-tank",
        title: "Tender tank",
    },
    Assembly {
        id: "coal-rails",
        title: "Coal rails",
    },
    Assembly {
        id: "running-gear",
        title: "Running gear",
    },
];

/// Thickness given to surfaces that are no metal, only looked up: no bend is too tight for them (mm).
const SKIN_MM: f64 = 1e-9;

/// Adds one sub-assembly to the body; later ones may join to plates of earlier ones.
type Stage = fn(&Model, &mut Body) -> Result<(), BodyError>;

/// Builds the body of a model: every plate, joint and finding.
///
/// # Errors
///
/// A [`ModelError`] at the key of the model file that decides the impossible shape.
pub fn build(model: &Model) -> Result<Body, ModelError> {
    let mut body = Body {
        assemblies: ASSEMBLIES.to_vec(),
        plates: Vec::new(),
        fittings: Vec::new(),
        blocks: Vec::new(),
        joints: Vec::new(),
        precedences: Vec::new(),
        findings: Vec::new(),
        dimensions: Vec::new(),
        angles: Vec::new(),
    };
    let stages: &[(bool, Stage)] = &[
        (true, footplate::build),
        (true, splashers::build),
        (true, steps::build),
        (true, sandboxes::build),
        (true, frames::build),
        (model.running.outside.is_some(), outside_frames::build),
        (true, trucks::build),
        (model.cylinders.is_some(), cylinders::build),
        (model.smokebox.is_some(), smokebox::build),
        (model.boiler.is_some(), boiler::build),
        (model.firebox.is_some(), firebox::build),
        (true, footplate::stand_feet),
        (model.side_tanks.is_some(), side_tanks::build),
        (model.cab.is_some(), cab::build),
        (model.bunker.is_some(), bunker::build),
        (model.saddle_tank.is_some(), saddle_tank::build),
        (model.pannier_tanks.is_some(), pannier_tanks::build),
        (model.tender_tank.is_some(), tender_tank::build),
        (model.coal_rails.is_some(), coal_rails::build),
        (true, running_gear::build),
        (true, fittings::build),
        (true, mounts::build),
        (true, handrails::build),
    ];
    for (_, stage) in stages.iter().filter(|(present, _)| *present) {
        stage(model, &mut body).map_err(|error| model.locate(&error))?;
    }
    for plate in &body.plates {
        refuse_impossible_flat(plate).map_err(|error| model.locate(&error))?;
    }
    refuse_unknown_places(model, &body, false).map_err(|error| model.locate(&error))?;
    body.measure_joints(&model.metal, model.scale);
    body.assemblies.retain(|assembly| {
        body.plates
            .iter()
            .any(|plate| plate.assembly == assembly.id)
            || body.fittings.iter().any(|f| f.assembly == assembly.id)
    });
    body.findings.extend(raised_findings(model, &body));
    let order = Order::of(&body);
    body.findings.extend(order.findings);
    Ok(body)
}
