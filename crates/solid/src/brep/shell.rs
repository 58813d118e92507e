//! The closed shell of a solid, in lists.

use super::space_curve::SpaceCurve;
use super::surfaces::FaceSurface;
use geom::Point3;

/// A shell of which every edge lies on two faces, once in each direction.
pub(super) struct ClosedShell {
    pub(super) vertices: Vec<Point3>,
    pub(super) edges: Vec<ShellEdge>,
    pub(super) faces: Vec<ShellFace>,
}

/// An edge between two vertices, by their numbers.
pub(super) struct ShellEdge {
    pub(super) start: usize,
    pub(super) end: usize,
    pub(super) curve: SpaceCurve,
}

/// A face; the metal lies behind it.
pub(super) struct ShellFace {
    /// Edges round it by number, each with whether it is gone along forwards.
    pub(super) loops: Vec<Vec<(usize, bool)>>,
    pub(super) surface: FaceSurface,
    /// Whether the face looks where its surface does, and its loops go round it anticlockwise as they stand; neither otherwise.
    pub(super) as_surface: bool,
}
