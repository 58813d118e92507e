//! Steps and sandboxes.

use super::{CHOSEN, each, table};
use crate::model::reader::{Reader, Sign};

/// `[[steps]]`, one table a pair.
#[derive(Clone, Debug)]
pub(crate) struct StepSpec {
    /// Middle of the steps.
    pub(crate) x: f64,
    pub(crate) width: f64,
    /// How far the back plate stands in from the footplate's edge.
    pub(crate) depth: f64,
    /// Heights of the treads' upper faces.
    pub(crate) treads: Vec<f64>,
}

impl StepSpec {
    pub(crate) fn read_all(reader: &Reader<'_>) -> Vec<Self> {
        each(reader, "steps", |reader, name| {
            let t = table(reader, name);
            let treads = format!("{name}.treads");
            let treads: Vec<f64> = (0..reader.count(&treads))
                .map(|i| reader.length(&format!("{treads}[{i}]"), Sign::Positive))
                .collect();
            if treads.is_empty() {
                reader.problem(
                    &format!("{name}.treads"),
                    "these steps have no treads",
                    "give the heights of the treads above rail, like  treads = [\"1ft 5in\", \"2ft 9in\"]",
                );
            }
            Self {
                x: t.place("x"),
                width: t.inches("width", 15.0, CHOSEN),
                depth: t.inches("depth", 7.0, CHOSEN),
                treads,
            }
        })
    }
}

/// `[[sandboxes]]` under the footplate, one table a pair.
#[derive(Clone, Debug)]
pub(crate) struct SandboxSpec {
    /// Middle of the box.
    pub(crate) x: f64,
    pub(crate) width: f64,
    pub(crate) top: f64,
    pub(crate) bottom: f64,
    /// From its face inwards.
    pub(crate) depth: f64,
}

impl SandboxSpec {
    pub(crate) fn read_all(reader: &Reader<'_>) -> Vec<Self> {
        each(reader, "sandboxes", |reader, name| {
            let t = table(reader, name);
            Self {
                x: t.place("x"),
                width: t.need("width"),
                top: t.need("top"),
                bottom: t.need("bottom"),
                depth: t.inches("depth", 9.0, CHOSEN),
            }
        })
    }
}
