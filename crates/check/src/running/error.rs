/// Why an engine cannot be stood on a track.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum RunningError {
    /// There is no such track.
    #[error("{sentence}")]
    Track {
        /// What is wrong and what would be right.
        sentence: String,
    },
    /// The curve is too sharp for the distances between axles and pivots to be laid on it.
    #[error(
        "{vehicle}: {what} cannot be laid on a curve of {radius:.0} mm radius; it is too sharp by far"
    )]
    TooSharp {
        /// The engine or tender.
        vehicle: String,
        /// What does not reach.
        what: String,
        /// Sharpest radius of the track (mm).
        radius: f64,
    },
    /// A vehicle stands on nothing.
    #[error("{vehicle} has neither two axles in its frames nor trucks that carry it")]
    NothingToStandOn {
        /// The engine or tender.
        vehicle: String,
    },
    /// Two vehicles are not coupled by a drawbar.
    #[error("{vehicle} has no drag beam at its {end}: add  [drag_beam]  with  end = \"{end}\"")]
    NoDragBeam {
        /// The engine or tender.
        vehicle: String,
        /// `front` or `rear`.
        end: &'static str,
    },
}
