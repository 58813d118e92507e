//! Round bar, rod and drills that can be bought, from a table with sources.

use serde::Deserialize;
use std::sync::LazyLock;

/// Millimetres in an inch.
const MM_PER_INCH: f64 = 25.4;

/// Which sizes a shop keeps.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq, PartialOrd, Ord)]
#[serde(rename_all = "kebab-case")]
pub enum StockSystem {
    /// Whole and half millimetres, and so on.
    Metric,
    /// Fractions of an inch, numbers and letters.
    Imperial,
}

impl StockSystem {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Metric, Self::Imperial];

    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::Imperial => "imperial",
        }
    }
}

/// What is round: bar or drill.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq, PartialOrd, Ord)]
#[serde(rename_all = "kebab-case")]
pub enum StockKind {
    /// Rod, wire and bar.
    Rod,
    /// The shank of a drill.
    Drill,
}

impl StockKind {
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Rod => "rod",
            Self::Drill => "drill",
        }
    }
}

/// A round that can be bought.
#[derive(Clone, Debug, PartialEq)]
pub struct StockRound {
    /// Rod or drill.
    pub kind: StockKind,
    /// Metric or imperial.
    pub system: StockSystem,
    /// What to ask for: `6 mm`, `1/4 in`, `no. 31`.
    pub name: String,
    /// Diameter (mm).
    pub diameter: f64,
}

impl StockRound {
    /// What to ask for, with its kind: `rod 6 mm`, `drill no. 31`.
    pub fn title(&self) -> String {
        format!("{} {}", self.kind.word(), self.name)
    }
}

/// The rods, then the drills of a system, each by rising diameter within its list.
pub fn stock() -> &'static [StockRound] {
    &STOCK
}

/// The round of a system whose diameter is nearest to one asked for (mm); among equals a rod before a drill.
///
/// # Example
///
/// ```
/// use develop::{StockSystem, nearest_stock};
/// assert_eq!(nearest_stock(6.3, StockSystem::Imperial).title(), "rod 1/4 in");
/// assert_eq!(nearest_stock(6.3, StockSystem::Metric).title(), "drill 6.3 mm");
/// ```
pub fn nearest_stock(diameter: f64, system: StockSystem) -> &'static StockRound {
    nearest(diameter, |round| round.system == system)
}

/// As [`nearest_stock`], of one kind only.
pub fn nearest_stock_of(
    diameter: f64,
    system: StockSystem,
    kind: StockKind,
) -> &'static StockRound {
    nearest(diameter, |round| {
        round.system == system && round.kind == kind
    })
}

fn nearest(diameter: f64, fits: impl Fn(&StockRound) -> bool) -> &'static StockRound {
    let off = |round: &StockRound| (round.diameter - diameter).abs();
    STOCK
        .iter()
        .filter(|round| fits(round))
        .min_by(|a, b| off(a).total_cmp(&off(b)))
        .expect("the table has rods and drills of both systems")
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    list: Vec<List>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct List {
    kind: StockKind,
    system: StockSystem,
    unit: String,
    /// Read by people only, but no list may be without.
    #[serde(rename = "source")]
    _source: String,
    #[serde(default)]
    names: Vec<String>,
    sizes: Vec<f64>,
}

static STOCK: LazyLock<Vec<StockRound>> = LazyLock::new(|| {
    toml::from_str::<Table>(include_str!("../data/stock.toml"))
        .expect("the table of stock is part of the program and read by its tests")
        .list
        .iter()
        .flat_map(List::rounds)
        .collect()
});

impl List {
    fn rounds(&self) -> Vec<StockRound> {
        let unit = if self.unit == "inch" {
            MM_PER_INCH
        } else {
            1.0
        };
        let name = |i: usize, size: f64| match self.names.get(i) {
            Some(name) => name.clone(),
            None => format!("{size} mm"),
        };
        self.sizes
            .iter()
            .enumerate()
            .map(|(i, &size)| StockRound {
                kind: self.kind,
                system: self.system,
                name: name(i, size),
                diameter: size * unit,
            })
            .collect()
    }
}
