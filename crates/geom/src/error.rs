use crate::Point2;

/// Why a construction of plane geometry has no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum GeomError {
    /// An offset turns an arc inside out.
    #[error(
        "moving the line by {offset_mm:.3} mm turns the arc of radius {radius_mm:.3} mm at ({:.3}, {:.3}) inside out",
        at.x, at.y
    )]
    OffsetPastCentre {
        /// The offset asked for, to the left of travel (mm).
        offset_mm: f64,
        /// Radius of the arc (mm).
        radius_mm: f64,
        /// Centre of the arc.
        at: Point2,
    },
    /// Circles or lines that should touch cannot.
    #[error("{what}: {found_mm:.3} mm is not within {low_mm:.3} to {high_mm:.3} mm")]
    NoTangency {
        /// What was to be constructed, in words.
        what: &'static str,
        /// The value that is out of range (mm).
        found_mm: f64,
        /// Least value that has an answer (mm).
        low_mm: f64,
        /// Greatest value that has an answer (mm).
        high_mm: f64,
    },
    /// An angle outside what a construction allows.
    #[error("{what}: {found_deg:.3}° is not within {low_deg:.3}° to {high_deg:.3}°")]
    NoAngle {
        /// What was to be constructed, in words.
        what: &'static str,
        /// The angle that is out of range (degrees).
        found_deg: f64,
        /// Least angle that has an answer (degrees).
        low_deg: f64,
        /// Greatest angle that has an answer (degrees).
        high_deg: f64,
    },
    /// A construction was given a number of pieces that it has no use for.
    #[error("{what}: {found} given where {wanted} are needed")]
    WrongCount {
        /// What was counted, in words.
        what: &'static str,
        /// How many were given.
        found: usize,
        /// How many there must be.
        wanted: usize,
    },
    /// An outline that must be closed is open.
    #[error("the outline is open by {gap_mm:.6} mm at ({:.3}, {:.3})", at.x, at.y)]
    Open {
        /// Distance between the loose ends (mm).
        gap_mm: f64,
        /// Where the gap is.
        at: Point2,
    },
    /// An outline without area or without segments.
    #[error("the outline encloses no area")]
    Empty,
}
