//! A drawn shape laid on the flat of the plate that it is.

use crate::datum::{ClosedRun, CornerPair, EdgeRun, corner_pairs, datum_motion, edge_runs};
use artwork::{DrawnShape, FlatDrawing, MeantShape, Motion2, best_motion};
use body::Plate;
use geom::{FlatPoint, Outline, Point2, Segment};

/// Points of outlines are held against one another at least this often (mm).
const STEP_MM: f64 = 0.5;

/// A drawn plate laid on the flat.
pub(crate) struct DrawnPlate<'a> {
    pub(crate) plate: &'a Plate,
    pub(crate) flat: &'a FlatDrawing,
    pub(crate) shape: &'a DrawnShape,
    pub(crate) motion: Motion2,
    pub(crate) run: ClosedRun,
    pub(crate) corners: Vec<CornerPair>,
    pub(crate) runs: Vec<Option<EdgeRun>>,
}

/// Greatest distance of two outlines, and where on the drawn one.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Deviation {
    pub(crate) distance: f64,
    pub(crate) at: FlatPoint,
}

impl<'a> DrawnPlate<'a> {
    /// Lays a shape on a plate as closely as it will go; `None` for a shape without an outline.
    pub(crate) fn laid(
        plate: &'a Plate,
        flat: &'a FlatDrawing,
        meant: &MeantShape,
        shape: &'a DrawnShape,
    ) -> Option<Self> {
        let (motion, _) = best_motion(shape, meant)?;
        Some(Self::by(plate, flat, shape, motion))
    }

    fn by(plate: &'a Plate, flat: &'a FlatDrawing, shape: &'a DrawnShape, motion: Motion2) -> Self {
        let run = ClosedRun::new(motion.outline(&shape.outline));
        let corners = corner_pairs(flat, &run);
        let runs = edge_runs(&corners, &run);
        Self {
            plate,
            flat,
            shape,
            motion,
            run,
            corners,
            runs,
        }
    }

    /// The same, its centre line on the meant one; `None` for a plate without a centre line.
    pub(crate) fn on_datum(&self) -> Option<Self> {
        let onto = datum_motion(self.flat, &self.run, &self.runs)?;
        Some(Self {
            motion: self.motion.followed_by(&onto),
            run: self.run.moved(&onto),
            corners: self.corners.clone(),
            runs: self.runs.clone(),
            ..*self
        })
    }

    /// The same, moved on the flat.
    pub(crate) fn moved_by(&self, by: &Motion2) -> Self {
        let run = self.run.moved(by);
        let corners = corner_pairs(self.flat, &run);
        let runs = edge_runs(&corners, &run);
        Self {
            motion: self.motion.followed_by(by),
            run,
            corners,
            runs,
            ..*self
        }
    }

    /// Points of a drawn edge.
    pub(crate) fn edge_points(&self, edge: usize) -> Option<Vec<Point2>> {
        let part = self.runs.get(edge).copied().flatten()?;
        Some(self.run.sampled(part.from, part.length, STEP_MM))
    }

    /// Outlines within the shape, laid on the flat.
    pub(crate) fn openings(&self) -> Vec<Outline> {
        self.shape
            .holes
            .iter()
            .map(|hole| self.moved(hole))
            .collect()
    }

    /// Borders within the shape that are known to be no openings, laid on the flat.
    pub(crate) fn details(&self) -> Vec<(artwork::Role, Outline)> {
        self.shape
            .details
            .iter()
            .map(|own| (own.role, self.moved(&own.outline)))
            .collect()
    }

    /// A drawn outline laid on the flat.
    pub(crate) fn moved(&self, outline: &Outline) -> Outline {
        Outline::from_chain(&geom::Chain::from_segments(self.motion.outline(outline)))
            .unwrap_or_else(|_| outline.clone())
    }

    /// Greatest distance from the drawn outline to other curves and back.
    pub(crate) fn deviation_from(&self, meant: &[Segment]) -> Deviation {
        let other = ClosedRun::new(meant.to_vec());
        let mut worst = Deviation {
            distance: 0.0,
            at: FlatPoint::origin(),
        };
        for point in self.run.sampled(0.0, self.run.length, STEP_MM) {
            let (_, distance) = other.nearest(point);
            if distance > worst.distance {
                worst = Deviation {
                    distance,
                    at: point,
                };
            }
        }
        for point in other.sampled(0.0, other.length, STEP_MM) {
            let (along, distance) = self.run.nearest(point);
            if distance > worst.distance {
                worst = Deviation {
                    distance,
                    at: self.run.point_at(along),
                };
            }
        }
        worst
    }
}
