//! How much longer the outside and the inside of a rolled plate are than its flat.

use body::{Curve, Plate};
use develop::{DevelopError, Loft, SurfacePoint, Trace};
use geom::{FlatPoint, Vector2};

/// Steps in which a patch's lengthening is laid out over its turn.
const STEPS: usize = 16;

/// Which skin a plate was developed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Side {
    Outside,
    Inside,
}

/// Lengthening of one skin against the flat, along the section.
pub(crate) struct Skin<'a> {
    loft: &'a Loft,
    /// Lengthening (mm) from the first ruling to each border of patches.
    at_border: Vec<f64>,
    /// Displacement on the flat from the first ruling, at each step.
    moved: Vec<Vector2>,
}

impl<'a> Skin<'a> {
    /// The skin of a rolled plate.
    pub(crate) fn of(plate: &Plate, loft: &'a Loft, side: Side) -> Result<Self, DevelopError> {
        let height = match side {
            Side::Outside => plate.sheet.z_high,
            Side::Inside => plate.sheet.z_low,
        };
        let patches = loft.patches().len();
        let mut own = Self {
            loft,
            at_border: vec![0.0],
            moved: vec![Vector2::zeros()],
        };
        for patch in 0..patches {
            let middle = Trace::Section {
                v: 0.5,
                from: patch as f64,
                to: (patch + 1) as f64,
            };
            // Just short of the border, so that a corner of the next patch is not met.
            let within = |t: f64| SurfacePoint {
                w: patch as f64 + t * (1.0 - 1e-12),
                v: 0.5,
            };
            let skin = geom::chord_length(0.0, 1.0, |t| loft.formed(within(t)).at_height(height));
            let longer = skin - middle.flat_length(loft)?;
            own.at_border.push(own.at_border[patch] + longer);
            for step in 0..STEPS {
                let along = loft
                    .ruling(within((step as f64 + 0.5) / STEPS as f64).w)
                    .flat_direction;
                let last = own.moved[own.moved.len() - 1];
                own.moved
                    .push(last + Vector2::new(-along.y, along.x) * (longer / STEPS as f64));
            }
        }
        Ok(own)
    }

    /// Lengthening along the section from one ruling to another (mm).
    pub(crate) fn longer(&self, from: f64, to: f64) -> f64 {
        self.at(to) - self.at(from)
    }

    /// Lengthening of one patch (mm), and as a displacement on the flat of all that lies beyond it.
    pub(crate) fn of_patch(&self, patch: usize) -> (f64, Vector2) {
        let longer = self.at_border[patch + 1] - self.at_border[patch];
        let moved = self.moved[(patch + 1) * STEPS] - self.moved[patch * STEPS];
        (longer, moved)
    }

    /// Lengthening along the section from one ruling to another (mm), of one patch alone.
    pub(crate) fn patch_within(&self, patch: usize, from: f64, to: f64) -> f64 {
        let share = to.min((patch + 1) as f64) - from.max(patch as f64);
        share.clamp(0.0, 1.0) * self.of_patch(patch).0
    }

    fn at(&self, w: f64) -> f64 {
        let patch = (w.max(0.0).floor() as usize).min(self.at_border.len() - 2);
        let share = w - patch as f64;
        self.at_border[patch] + share * (self.at_border[patch + 1] - self.at_border[patch])
    }

    /// Where a point of the flat comes to when the flat is drawn as long as this skin, the datum kept.
    pub(crate) fn drawn_at(&self, point: FlatPoint) -> FlatPoint {
        let w = self.loft.locate(point).w;
        point + (self.moved_at(w) - self.moved_at(self.loft.datum()))
    }

    fn moved_at(&self, w: f64) -> Vector2 {
        let steps = (w * STEPS as f64).clamp(0.0, (self.moved.len() - 1) as f64);
        let i = (steps.floor() as usize).min(self.moved.len() - 2);
        self.moved[i] + (self.moved[i + 1] - self.moved[i]) * (steps - i as f64)
    }
}

/// An edge of a plate that runs along a section.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SectionEdge {
    /// Its place in the outline.
    pub(crate) edge: usize,
    /// Rulings between which it runs, in the order of the section's travel.
    pub(crate) from: f64,
    pub(crate) to: f64,
}

/// The edges of a plate that run along sections.
pub(crate) fn section_edges(plate: &Plate) -> Vec<SectionEdge> {
    plate
        .outline
        .iter()
        .enumerate()
        .filter_map(|(edge, side)| match side.curve {
            Curve::Surface(Trace::Section { from, to, .. }) if from != to => Some(SectionEdge {
                edge,
                from: from.min(to),
                to: from.max(to),
            }),
            _ => None,
        })
        .collect()
}

/// True if the section of a plate turns all the way round.
pub(crate) fn is_ring(loft: &Loft) -> bool {
    let turn: f64 = loft.patches().iter().map(develop::Patch::turn).sum();
    turn.abs() > 1.9 * geom::math::PI
}
