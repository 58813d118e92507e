//! How fine a mesh is.

/// How a plate is meshed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeshOptions {
    /// Whether rivet heads stand on the outside face.
    pub rivets: bool,
    /// Greatest distance of a skin from the true one (mm).
    ///
    /// A bend of radius R keeps within R/1600 as well and a curved edge within R/3200, so that chords
    /// cut off less than 0.1 % of the metal; an edge never has to be finer than 2 µm.
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

/// How far the chords of a plate's mesh may be off: as its options have it, or a share of that.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chords {
    error: f64,
    share: f64,
}

impl Chords {
    pub(super) fn of(options: &MeshOptions) -> Self {
        Self {
            error: options.chord_error,
            share: 1.0,
        }
    }

    /// Chords a little finer, so that every corner on an arc goes to another place.
    pub(super) fn finer(self) -> Self {
        Self {
            share: 0.8 * self.share,
            ..self
        }
    }

    /// On an edge of `radius` (mm).
    pub(super) fn on_edge(self, radius: f64) -> f64 {
        self.share * edge_error_within(self.error, radius)
    }

    /// In a bend of mid-sheet `radius` (mm).
    pub(super) fn in_bend(self, radius: f64) -> f64 {
        self.share * bend_error_within(self.error, radius)
    }

    /// Along a curve of any radius (mm).
    pub(super) fn along(self) -> f64 {
        self.share * self.error
    }
}

/// Height of the arc over its chord that is allowed on an edge of `radius` (mm).
///
/// Chords of arcs e high cut 4e/(3R) off a disc: 0.042 % at R/3200. Half of what a bend may lose,
/// because what is left of a plate round a large opening may be much less than the opening.
pub(super) fn edge_error_within(chord_error: f64, radius: f64) -> f64 {
    chord_error.min(radius / 3200.0).max(SNAP_MM)
}

/// Height of the arc over its chord that is allowed on a part that is only looked at (mm).
pub(super) fn look_error_within(chord_error: f64, radius: f64) -> f64 {
    chord_error.min(radius / 400.0).max(SNAP_MM)
}

/// Height of the arc over its chord that is allowed in a bend of mid-sheet `radius` (mm).
///
/// A strip between chords of arcs e high is shorter than the arc by e/(3R) and its skins stand
/// closer by e/R of the thickness: of the volume 4e/(3R) is lost, 0.083 % at R/1600.
fn bend_error_within(chord_error: f64, radius: f64) -> f64 {
    chord_error.max(SNAP_MM / 4.0).min(radius / 1600.0)
}
