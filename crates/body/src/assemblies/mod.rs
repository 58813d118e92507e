//! The sub-assemblies, one file each, and the order in which they are built.

mod boiler;
mod bunker;
mod cab;
mod firebox;
mod fittings;
mod footplate;
mod running_gear;
mod side_tanks;
mod smokebox;

use crate::{Assembly, Body, BodyError, Model, ModelError, Order};

/// Sub-assemblies in the order in which they are listed.
const ASSEMBLIES: [Assembly; 8] = [
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
        id: "running-gear",
        title: "Running gear",
    },
];

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
    };
    let stages: [Stage; 9] = [
        smokebox::build,
        boiler::build,
        firebox::build,
        footplate::build,
        side_tanks::build,
        cab::build,
        bunker::build,
        running_gear::build,
        fittings::build,
    ];
    for stage in stages {
        stage(model, &mut body).map_err(|error| model.locate(&error))?;
    }
    let order = Order::of(&body);
    body.findings.extend(order.findings);
    Ok(body)
}
