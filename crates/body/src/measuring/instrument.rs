//! What a length is measured with, and how far it may be wrong.

/// An instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Instrument {
    /// A caliper that reads to 0.01 or 0.02 mm.
    Caliper,
    /// A caliper with a vernier of 0.05 mm.
    Vernier,
    /// The depth rod of a caliper, from a straight-edge.
    Depth,
    /// A height gauge on a flat plate.
    HeightGauge,
    /// A micrometer.
    Micrometer,
    /// A steel rule.
    Rule,
}

impl Instrument {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Caliper,
        Self::Vernier,
        Self::Depth,
        Self::HeightGauge,
        Self::Micrometer,
        Self::Rule,
    ];

    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Caliper => "caliper",
            Self::Vernier => "vernier",
            Self::Depth => "depth-rod",
            Self::HeightGauge => "height-gauge",
            Self::Micrometer => "micrometer",
            Self::Rule => "rule",
        }
    }

    /// Within which a reading of it lies of the true length, either way (mm), if nobody knows better.
    pub fn limit_of_error(self) -> f64 {
        match self {
            Self::Caliper | Self::HeightGauge => 0.03,
            Self::Vernier | Self::Depth => 0.05,
            Self::Micrometer => 0.01,
            Self::Rule => 0.3,
        }
    }

    /// Where [`Instrument::limit_of_error`] is from.
    pub fn source(self) -> &'static str {
        match self {
            Self::Caliper => {
                "DIN 862, digital or 0.02 mm vernier, up to 300 mm (as printed by dealers)"
            }
            Self::Vernier => "DIN 862, 0.05 mm vernier, up to 300 mm (as printed by dealers)",
            Self::Depth => {
                "DIN 862, digital or 0.02 mm vernier, with the 0.02 mm that it adds for depths (as printed by dealers)"
            }
            Self::HeightGauge => "as a caliper's; chosen, not sourced",
            Self::Micrometer => {
                "over the 0.004 to 0.008 mm of DIN 863, for the feel; chosen, not sourced"
            }
            Self::Rule => "common practice, no source",
        }
    }
}
