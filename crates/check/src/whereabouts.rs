//! On which plate a place of the drawing is.

use artwork::{DrawnShape, Motion2};
use body::{Finding, FindingPlace, Plate};
use geom::{FlatPoint, Outline, Point2};

/// What stands on the edge of a plate is on it within this (mm).
const EDGE_MM: f64 = 0.6;

/// The plates of a drawing, each with where it is drawn.
#[derive(Default)]
pub(crate) struct Whereabouts<'a> {
    all: Vec<Home<'a>>,
}

struct Home<'a> {
    plate: &'a Plate,
    outline: Outline,
    motion: Motion2,
}

impl<'a> Whereabouts<'a> {
    /// Puts down a drawn shape, its plate, and the motion that lays it on the flat.
    pub(crate) fn add(&mut self, plate: &'a Plate, motion: Motion2, shape: &DrawnShape) {
        self.all.push(Home {
            plate,
            outline: shape.outline.clone(),
            motion,
        });
    }

    /// The plate on which a place of the drawing is, and the place on its flat.
    fn home(&self, at: Point2) -> Option<(&'a Plate, FlatPoint)> {
        let home = self.all.iter().find(|own| {
            let (low, high) = own.outline.bounds();
            let near = low.x - EDGE_MM <= at.x
                && at.x <= high.x + EDGE_MM
                && low.y - EDGE_MM <= at.y
                && at.y <= high.y + EDGE_MM;
            near && (own.outline.contains(at) || own.outline.nearest(at).1 <= EDGE_MM)
        })?;
        Some((home.plate, home.motion.point(at)))
    }

    /// The same finding, with the plate that it is on.
    pub(crate) fn at_home(&self, mut finding: Finding, at: Point2) -> Finding {
        if let Some((plate, flat)) = self.home(at) {
            finding.path = format!("{}/{}", plate.id, finding.path);
            finding.at = FindingPlace {
                plate: Some(plate.id.clone()),
                flat: Some(flat),
                body: Some(plate.forming.place(flat).point),
            };
        }
        finding
    }
}
