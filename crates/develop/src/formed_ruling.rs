//! A ruling where it stands in space.

use crate::Loft;
use geom::{BodyPoint, Vector3};

/// A ruling of the formed mid-surface: its two ends and the sheet's normal along it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FormedRuling {
    /// End on the front section.
    pub front: BodyPoint,
    /// End on the rear section.
    pub rear: BodyPoint,
    /// Unit vector out of the sheet, the same all along the ruling.
    pub normal: Vector3,
}

impl Loft {
    /// The formed ruling of a patch at a fraction of its turn (or width).
    ///
    /// A fraction outside 0..1 carries the patch's own cone or plane on past its border, where
    /// [`Loft::ruling`] would go over to the next patch.
    pub fn formed_ruling(&self, patch: usize, fraction: f64) -> FormedRuling {
        let shape = &self.patches[patch].shape;
        let (front, rear, tangent) = shape.section(fraction * shape.span());
        let tangent = self.frame.direction(tangent);
        let along = self.frame.axis * self.length + self.frame.direction(rear - front);
        FormedRuling {
            front: self.frame.point(front, 0.0),
            rear: self.frame.point(rear, self.length),
            normal: along.cross(&tangent).normalize(),
        }
    }
}
