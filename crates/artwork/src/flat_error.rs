use develop::DevelopError;
use geom::GeomError;

/// Why the flat of a plate cannot be drawn.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FlatError {
    /// A curve of the plate has no place on its flat.
    #[error("{plate}: {cause}")]
    Develop {
        /// The plate.
        plate: String,
        /// The reason.
        cause: DevelopError,
    },
    /// A boundary of the plate does not close.
    #[error("{plate}, {boundary}: {cause}")]
    Boundary {
        /// The plate.
        plate: String,
        /// The edge, opening or region: `outline`, `dome`, `band-1`.
        boundary: String,
        /// The reason.
        cause: GeomError,
    },
    /// A curve that is not smooth: no run of arcs follows it.
    #[error(
        "{plate}, {boundary}: the curve is not smooth, no line or arc keeps within {limit_mm} mm of it"
    )]
    NotSmooth {
        /// The plate.
        plate: String,
        /// The edge, opening or region.
        boundary: String,
        /// Distance asked for (mm).
        limit_mm: f64,
    },
    /// Lines and arcs do not have the length or area of what they draw.
    #[error(
        "{plate}, {boundary}: lines and arcs are out by {share:e} of its length or area; {limit:e} is allowed"
    )]
    Measure {
        /// The plate.
        plate: String,
        /// The edge, opening or region.
        boundary: String,
        /// Share of the length or area by which they are out.
        share: f64,
        /// Share allowed.
        limit: f64,
    },
}
