//! Alloys and tempers of sheet, from a table with sources.

use serde::Deserialize;
use std::sync::LazyLock;

/// A rolled alloy.
#[derive(Clone, Debug, Deserialize, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Alloy {
    /// Short name used in model files.
    pub name: String,
    /// What the trade calls it, with its standard designation.
    pub title: String,
    /// Density (g/cm³).
    pub density_g_cm3: f64,
    /// Modulus of elasticity (GPa).
    pub elasticity_gpa: f64,
    /// Where the figures are from.
    pub source: String,
    /// Tempers in which it is rolled, soft first.
    pub tempers: Vec<Temper>,
}

/// A temper of an alloy.
#[derive(Clone, Debug, Deserialize, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Temper {
    /// Short name used in model files.
    pub name: String,
    /// Yield (0.2 % proof) stress (MPa).
    pub yield_mpa: f64,
    /// Where the figure is from.
    pub source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    alloy: Vec<Alloy>,
}

static ALLOYS: LazyLock<Vec<Alloy>> = LazyLock::new(|| {
    toml::from_str::<Table>(include_str!("../data/alloys.toml"))
        .expect("the alloy table is part of the program and read by its tests")
        .alloy
});

/// All alloys of the table.
pub fn alloys() -> &'static [Alloy] {
    &ALLOYS
}

impl Alloy {
    /// The alloy of a name.
    pub fn named(name: &str) -> Option<&'static Self> {
        alloys().iter().find(|alloy| alloy.name == name)
    }

    /// The temper of a name.
    pub fn temper(&self, name: &str) -> Option<&Temper> {
        self.tempers.iter().find(|temper| temper.name == name)
    }
}
