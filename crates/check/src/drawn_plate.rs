//! A drawn shape laid on the flat of the plate that it is.

use crate::datum::{ClosedRun, CornerPair, EdgeRun, corner_pairs, datum_motion, edge_runs};
use crate::tolerance::OUTLINE_MM;
use artwork::{DrawnShape, FlatDrawing, MeantShape, Motion2, centre_of, likely_motions, size_of};
use body::Plate;
use geom::{FlatPoint, Outline, Point2, Segment};

/// Points of outlines are held against one another at least this often (mm).
const STEP_MM: f64 = 0.5;

/// What a mirrored lay must be better by (mm, mean distance) to be believed.
const MIRROR_COST_MM: f64 = 0.01;

/// A mean distance that the rounding of a drawing leaves (mm).
const EXACT_MM: f64 = 0.003;

/// An opening farther off than this counts as missing, no farther (mm).
const REACH_MM: f64 = 2.0;

/// Mean distance and difference of size from each meant opening to the drawn one nearest to it (mm).
///
/// Of lays that a symmetrical outline allows the one is right where openings lie on openings, long slots on
/// long ones; rows of rivets, which are many and all alike, have no say in it.
fn opening_cost(flat: &FlatDrawing, drawn: &[(Point2, f64)], motion: &Motion2) -> f64 {
    let laid: Vec<(Point2, f64)> = drawn
        .iter()
        .map(|(p, size)| (motion.point(*p), *size))
        .collect();
    let sum: f64 = flat
        .holes
        .iter()
        .map(|hole| {
            let (centre, own) = (centre_of(&hole.outline), size_of(&hole.outline));
            laid.iter()
                .map(|(p, size)| (p - centre).norm() + (size - own).abs())
                .fold(REACH_MM, f64::min)
        })
        .sum();
    sum / flat.holes.len().max(1) as f64
}

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
        let drawn: Vec<(Point2, f64)> = shape
            .holes
            .iter()
            .map(|own| (centre_of(own), size_of(own)))
            .collect();
        let mut lays: Vec<(Motion2, f64)> = likely_motions(shape, meant)
            .into_iter()
            .map(|(motion, cost)| (motion, cost + opening_cost(flat, &drawn, &motion)))
            .collect();
        lays.sort_by(|a, b| a.1.total_cmp(&b.1));
        let plain = lays.iter().find(|(motion, _)| !motion.mirrored);
        let turned = lays.iter().find(|(motion, _)| motion.mirrored);
        let (plain, turned) = match (plain, turned) {
            (Some(plain), Some(turned)) => (plain, turned),
            (one, other) => return Some(Self::by(plate, flat, shape, one.or(other)?.0)),
        };
        let own = Self::by(plate, flat, shape, plain.0);
        let other = || Self::by(plate, flat, shape, turned.0);
        if turned.1 + MIRROR_COST_MM < plain.1 {
            return Some(other());
        }
        // Hands that differ by a single tab are as near to one another as a fault: the one that fits is meant.
        let off = |own: &Self| own.deviation_from(flat.outline.segments()).distance;
        if turned.1 < EXACT_MM && off(&own) > OUTLINE_MM {
            let other = other();
            if off(&other) < OUTLINE_MM {
                return Some(other);
            }
        }
        Some(own)
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
