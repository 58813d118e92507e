//! What the etcher can hold, as functions of the sheet's thickness.

use serde::Deserialize;
use std::sync::LazyLock;

/// A limit in thicknesses with a floor in millimetres.
#[derive(Clone, Debug, Deserialize, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// Share of the sheet's thickness.
    pub thicknesses: f64,
    /// Least value whatever the thickness (mm).
    pub least_mm: f64,
    /// Where the figures are from.
    pub source: String,
}

impl Limit {
    /// The limit (mm) in sheet of a thickness (mm).
    pub fn at(&self, thickness: f64) -> f64 {
        (self.thicknesses * thickness).max(self.least_mm)
    }
}

/// An etching process: depths, growth and tolerances.
#[derive(Clone, Debug, Deserialize, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct EtchProcess {
    /// Short name used in model files.
    pub name: String,
    /// What it is.
    pub title: String,
    /// Who applies the etch allowance to the artwork: `etcher` or `designer`.
    pub allowance_by: String,
    /// Depth of a half-etch.
    pub half_etch_depth: Limit,
    /// Least depth that a half-etch holds.
    pub half_etch_least: Limit,
    /// Greatest depth that a half-etch holds.
    pub half_etch_most: Limit,
    /// Least width of a half-etched line.
    pub half_etch_line: Limit,
    /// Least plain metal between a rivet's head and a fold line.
    pub rivet_to_fold: Limit,
    /// Sideways growth of an opening at each edge.
    pub growth_per_edge: Limit,
    /// Tolerance of a feature's size, either way.
    pub feature_tolerance: Limit,
    /// Tolerance between centres on one sheet, either way.
    pub centre_tolerance: Limit,
    /// Tolerance of the sheet's own thickness, either way.
    pub sheet_tolerance: Limit,
    /// Least hole.
    pub least_hole: Limit,
    /// Least slot.
    pub least_slot: Limit,
    /// Least bar between openings.
    pub least_bar: Limit,
    /// Least radius of an inside corner.
    pub inside_corner: Limit,
    /// Least radius of an outside corner.
    pub outside_corner: Limit,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    process: Vec<EtchProcess>,
}

static PROCESSES: LazyLock<Vec<EtchProcess>> = LazyLock::new(|| {
    toml::from_str::<Table>(include_str!("../data/processes.toml"))
        .expect("the process table is part of the program and read by its tests")
        .process
});

/// All processes of the table.
pub fn processes() -> &'static [EtchProcess] {
    &PROCESSES
}

impl EtchProcess {
    /// The process of a name.
    pub fn named(name: &str) -> Option<&'static Self> {
        processes().iter().find(|process| process.name == name)
    }
}
