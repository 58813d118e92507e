use artwork::ArtworkError;
use develop::DevelopError;

/// Why a check cannot be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CheckError {
    /// The drawing cannot be sorted out, or a plate's flat cannot be drawn.
    #[error(transparent)]
    Artwork(#[from] ArtworkError),
    /// A plate has no flat.
    #[error("{plate}: {cause}")]
    Develop {
        /// The plate.
        plate: String,
        /// The reason.
        cause: DevelopError,
    },
}
