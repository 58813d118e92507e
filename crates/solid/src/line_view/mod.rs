//! Line drawings of solids with hidden lines removed, and of solids cut open.
//!
//! What is drawn are the edges at which facets meet at an angle and those at which a solid turns from the eye.
//! Each is held against every facet that it passes: where it lies behind one is found in closed form, so that
//! the drawing depends on no raster. The same solids give the same lines.

mod frame;
mod hide;
mod join;
mod scene;
mod section;

pub use frame::ViewFrame;

use crate::Mesh;
use geom::{Point2, Vector3};
use hide::{Grid, Stamps};
use scene::Scene;

/// A line drawing (mm on the paper, at full size of the model).
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LineView {
    /// Runs of the lines that are seen.
    pub lines: Vec<Vec<Point2>>,
    /// Cut faces, a list of closed runs for each solid that is cut; inside is what lies within an odd number.
    pub cut: Vec<Vec<Vec<Point2>>>,
}

impl LineView {
    /// Corners of the least upright rectangle round the drawing; `None` for an empty one.
    pub fn bounds(&self) -> Option<(Point2, Point2)> {
        let cut = self.cut.iter().flatten();
        let mut points = self.lines.iter().chain(cut).flatten();
        let first = *points.next()?;
        Some(points.fold((first, first), |(low, high), own| {
            (low.inf(own), high.sup(own))
        }))
    }
}

/// Draws solids as they are seen, each moved by a displacement (mm).
///
/// With `cut`, a depth along `frame.towards` (mm), the solids are cut there and what is nearer is taken away.
///
/// # Accuracy
///
/// An edge counts as hidden from 0.025 mm behind a facet on, so that facets of a curved surface do not hide what
/// lies on it. Solids that pass through one another show no line where they do.
pub fn line_view(solids: &[(&Mesh, Vector3)], frame: &ViewFrame, cut: Option<f64>) -> LineView {
    let (pieces, cut) = seen_pieces(solids, frame, cut);
    let all: Vec<[Point2; 2]> = pieces.into_iter().flatten().collect();
    LineView {
        lines: join::joined(&all),
        cut,
    }
}

/// As [`line_view`] of whole solids, the runs of each solid by themselves.
pub fn line_views_apart(solids: &[(&Mesh, Vector3)], frame: &ViewFrame) -> Vec<Vec<Vec<Point2>>> {
    let (pieces, _) = seen_pieces(solids, frame, None);
    pieces.iter().map(|own| join::joined(own)).collect()
}

/// Pieces of line that are seen, for each solid, and the cut faces.
#[expect(clippy::type_complexity, reason = "two lists of lists of points")]
fn seen_pieces(
    solids: &[(&Mesh, Vector3)],
    frame: &ViewFrame,
    cut: Option<f64>,
) -> (Vec<Vec<[Point2; 2]>>, Vec<Vec<Vec<Point2>>>) {
    let mut scene = Scene::default();
    for (mesh, by) in solids {
        scene.add(mesh, *by, frame, cut);
    }
    let grid = Grid::of(&scene);
    let mut stamps = Stamps::default();
    let mut pieces = vec![Vec::new(); solids.len()];
    for (edge, solid) in &scene.edges {
        for (from, to) in grid.seen(edge, &mut stamps) {
            let [a, b] = edge;
            pieces[*solid].push([a.between(b, from).at, a.between(b, to).at]);
        }
    }
    (pieces, scene.cut)
}
