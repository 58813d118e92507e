use artwork::ArtworkError;
use develop::DevelopError;

/// Why a check cannot be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CheckError {
    /// The drawing cannot be sorted out, or a plate's flat cannot be drawn.
    #[error(transparent)]
    Artwork(#[from] ArtworkError),
    /// The drawing has more outlines than a sheet of plates can.
    #[error("the drawing has {count} separate outlines; at most {limit} are held against a body")]
    TooManyShapes {
        /// Outlines that lie in no other.
        count: usize,
        /// The most that are checked.
        limit: usize,
    },
    /// A plate has no flat.
    #[error("{plate}: {cause}")]
    Develop {
        /// The plate.
        plate: String,
        /// The reason.
        cause: DevelopError,
    },
}
