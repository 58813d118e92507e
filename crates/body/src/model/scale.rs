//! Scales and wheel standards.

/// A scale of models.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// 4 mm to the foot, 1:76.2.
    Four,
    /// 7 mm to the foot, 1:43.5.
    Seven,
}

impl Scale {
    /// All scales.
    pub const ALL: [Self; 2] = [Self::Four, Self::Seven];

    /// Millimetres on the model for a foot.
    pub fn mm_per_foot(self) -> f64 {
        match self {
            Self::Four => 4.0,
            Self::Seven => 7.0,
        }
    }

    /// The name used in model files: `7mm`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Four => "4mm",
            Self::Seven => "7mm",
        }
    }

    /// The scale of a name.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|scale| scale.word() == word)
    }

    /// The value for this scale of a pair given for 4 mm and 7 mm.
    pub fn pick(self, four: f64, seven: f64) -> f64 {
        match self {
            Self::Four => four,
            Self::Seven => seven,
        }
    }

    /// The wheel standard that a model has when none is named.
    pub fn usual_wheels(self) -> WheelStandard {
        match self {
            Self::Four => WheelStandard::Oo,
            Self::Seven => WheelStandard::Fine,
        }
    }

    /// Film of solder between two faces (mm): common practice, no source.
    pub fn solder_film(self) -> f64 {
        self.pick(0.03, 0.05)
    }
}

/// A wheel standard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WheelStandard {
    /// 16.5 mm gauge at 4 mm scale.
    Oo,
    /// 18.2 mm gauge at 4 mm scale.
    Em,
    /// 18.83 mm gauge at 4 mm scale.
    P4,
    /// 32 mm gauge at 7 mm scale.
    Fine,
    /// 33 mm gauge at 7 mm scale.
    Exact,
}

/// Dimensions of a pair of wheels (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WheelDimensions {
    /// Between the inner faces of the tyres.
    pub back_to_back: f64,
    /// Width of a tyre.
    pub tyre_width: f64,
    /// Depth of the flange below the tread.
    pub flange_depth: f64,
    /// Over the frames of a chassis for these wheels.
    pub over_frames: f64,
}

impl WheelStandard {
    /// All standards.
    pub const ALL: [Self; 5] = [Self::Oo, Self::Em, Self::P4, Self::Fine, Self::Exact];

    /// The name used in model files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Oo => "oo",
            Self::Em => "em",
            Self::P4 => "p4",
            Self::Fine => "fine",
            Self::Exact => "exact",
        }
    }

    /// The standard of a name.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|wheels| wheels.word() == word)
    }

    /// The scale that the standard belongs to.
    pub fn scale(self) -> Scale {
        match self {
            Self::Oo | Self::Em | Self::P4 => Scale::Four,
            Self::Fine | Self::Exact => Scale::Seven,
        }
    }

    /// Dimensions of the wheels: middle of the bands that the trade quotes (common practice, no
    /// source; back-to-back and tyre of `p4` and `exact` after scale wheels).
    pub fn dimensions(self) -> WheelDimensions {
        let of = |back_to_back, tyre_width, flange_depth, over_frames| WheelDimensions {
            back_to_back,
            tyre_width,
            flange_depth,
            over_frames,
        };
        match self {
            Self::Oo => of(14.5, 2.5, 0.8, 12.0),
            Self::Em => of(16.5, 2.25, 0.55, 14.0),
            Self::P4 => of(17.75, 1.9, 0.38, 15.5),
            Self::Fine => of(29.2, 3.5, 0.95, 26.0),
            Self::Exact => of(31.25, 3.2, 0.68, 29.0),
        }
    }

    /// Side play each way of the end axles in the frames and of those between them (mm): common practice,
    /// no source.
    pub fn side_play(self) -> (f64, f64) {
        match self {
            Self::Oo => (0.15, 0.4),
            Self::Em => (0.125, 0.35),
            Self::P4 => (0.1, 0.3),
            Self::Fine => (0.25, 0.6),
            Self::Exact => (0.2, 0.5),
        }
    }

    /// How far springs let a wheel rise, half of their travel (mm); zero where axles stand in plain holes: common
    /// practice, no source.
    pub fn spring_rise(self) -> f64 {
        match self {
            Self::P4 => 0.25,
            Self::Exact => 0.4,
            Self::Oo | Self::Em | Self::Fine => 0.0,
        }
    }

    /// Track gauge (mm), as the standards publish it.
    pub fn track_gauge(self) -> f64 {
        match self {
            Self::Oo => 16.5,
            Self::Em => 18.2,
            Self::P4 => 18.83,
            Self::Fine => 32.0,
            Self::Exact => 33.0,
        }
    }

    /// What the flanges have between the rails: track gauge less back-to-back and both flanges (mm). Width of
    /// the flange of `p4` as published (0.38), of the others common practice, no source.
    pub fn flange_play(self) -> f64 {
        let flange = match self {
            Self::Oo => 0.8,
            Self::Em => 0.7,
            Self::P4 => 0.38,
            Self::Fine => 1.0,
            Self::Exact => 0.66,
        };
        self.track_gauge() - self.dimensions().back_to_back - 2.0 * flange
    }

    /// Radius of the sharpest curve that a model with these wheels is commonly meant for (mm): common
    /// practice, no source.
    pub fn least_radius(self) -> f64 {
        match self {
            Self::Oo => 610.0,
            Self::Em => 914.0,
            Self::P4 => 1067.0,
            Self::Fine | Self::Exact => 1829.0,
        }
    }
}
