//! How fine a mesh is.

/// How a plate is meshed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeshOptions {
    /// Whether rivet heads stand on the outside face.
    pub rivets: bool,
    /// Greatest distance of a skin from the true one (mm).
    ///
    /// A bend or a curved edge of radius R keeps within R/400 as well, so that small parts look
    /// as round as large ones, but never has to be finer than 2 µm.
    pub chord_error: f64,
}

impl Default for MeshOptions {
    /// Rivets on, within 0.02 mm.
    fn default() -> Self {
        Self {
            rivets: true,
            chord_error: 0.02,
        }
    }
}

/// Points of the flat closer than this are one vertex, and a vertex closer than this to a line lies
/// on it (mm): twice the least height of a triangle.
pub(super) const SNAP_MM: f64 = 2.0 * super::surface::LEAST_HEIGHT_MM;

/// Height of the arc over its chord that is allowed on a curve of `radius` (mm).
pub(super) fn sagitta_within(chord_error: f64, radius: f64) -> f64 {
    chord_error.min(radius / 400.0).max(SNAP_MM)
}
