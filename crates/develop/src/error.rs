use geom::{BodyPoint, GeomError, Point2};

/// Which of the two sections of a loft.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SectionEnd {
    /// The section where rulings begin.
    Front,
    /// The section where rulings end.
    Rear,
}

impl std::fmt::Display for SectionEnd {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Front => "front",
            Self::Rear => "rear",
        })
    }
}

/// Why a plate has no flat, or a bend no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum DevelopError {
    /// A value that must be finite and within limits is not.
    #[error("{name} is {value}; it must lie between {low} and {high}")]
    OutOfRange {
        /// The argument's name.
        name: &'static str,
        /// The value given.
        value: f64,
        /// Least value allowed.
        low: f64,
        /// Greatest value allowed.
        high: f64,
    },
    /// One section bends the other way where the other does not: no sheet joins them.
    #[error(
        "the {end} section turns {found_deg:.2}° the wrong way at ({:.2}, {:.2}), {along_mm:.2} mm along it, \
         where the other section turns the other way or not at all: no flat sheet can follow both",
        at.x, at.y
    )]
    SectionsTurnUnlike {
        /// The section whose turn has no partner.
        end: SectionEnd,
        /// The turn without a partner (degrees, positive anticlockwise in the section plane).
        found_deg: f64,
        /// Where on the section the turn begins.
        at: Point2,
        /// Length along the section to that place (mm).
        along_mm: f64,
    },
    /// A section has a corner where a wrapper must run smoothly.
    #[error("the {end} section has a corner of {corner_deg:.2}° at ({:.2}, {:.2}); sheet needs a bend radius", at.x, at.y)]
    Corner {
        /// The section with the corner.
        end: SectionEnd,
        /// Angle of the corner (degrees).
        corner_deg: f64,
        /// Where it is.
        at: Point2,
    },
    /// A section without length.
    #[error("the {end} section has no length")]
    EmptySection {
        /// The empty section.
        end: SectionEnd,
    },
    /// A feature placed in space misses the plate.
    #[error(
        "no point of the wrapper lies {across_mm:.2} mm across at {along_mm:.2} mm along; the feature misses the plate"
    )]
    OffThePlate {
        /// Distance along the loft's axis (mm).
        along_mm: f64,
        /// Distance across (mm).
        across_mm: f64,
    },
    /// A plane that trims a wrapper misses it somewhere.
    #[error(
        "the cutting plane leaves the wrapper at ({:.2}, {:.2}, {:.2}): it misses the end of the ruling there by {beyond_mm:.2} mm",
        at.x, at.y, at.z
    )]
    CutLeaves {
        /// The end of the ruling that the plane misses.
        at: BodyPoint,
        /// How far beyond that end the plane passes the ruling (mm); infinite for a ruling that never passes it.
        beyond_mm: f64,
    },
    /// Bending that stays elastic has no set.
    #[error(
        "a bend of inside radius {radius_mm:.2} mm is elastic: the sheet springs flat again (R·Y/(E·t) = {ratio:.3}, limit 0.5)"
    )]
    Elastic {
        /// Inside radius of the tool (mm).
        radius_mm: f64,
        /// R·Y/(E·t).
        ratio: f64,
    },
    /// A construction in the section plane failed.
    #[error(transparent)]
    Geometry(#[from] GeomError),
}

/// Refuses a value that is not above `low` (or at it, where `low_included`) and at most `high`.
pub(crate) fn check_within(
    name: &'static str,
    value: f64,
    low: f64,
    high: f64,
    low_included: bool,
) -> Result<(), DevelopError> {
    // Written so that a value that is not a number is refused too.
    let is_within = value <= high && (value > low || low_included && value == low);
    if is_within {
        Ok(())
    } else {
        Err(DevelopError::OutOfRange {
            name,
            value,
            low,
            high,
        })
    }
}

/// Refuses a value that is not finite and above zero.
pub(crate) fn check_above_zero(name: &'static str, value: f64) -> Result<(), DevelopError> {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        Err(DevelopError::OutOfRange {
            name,
            value,
            low: 0.0,
            high: f64::INFINITY,
        })
    }
}
