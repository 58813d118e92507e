//! How a plate stands in space: laid in a plane, or rolled and folded to a loft.

use crate::{Loft, Motion};
use geom::{BodyPoint, FlatPoint, Placement, Vector3};

/// A point of the formed mid-surface and the outward normal there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// The point on the mid-surface.
    pub point: BodyPoint,
    /// Unit vector out of the sheet, to its outside face.
    pub normal: Vector3,
}

impl Place {
    /// The point at a height over mid-sheet (mm), positive outwards.
    pub fn at_height(&self, height: f64) -> BodyPoint {
        self.point + self.normal * height
    }
}

/// The map from a plate's flat to its place in space, which keeps lengths.
#[derive(Clone, Debug, PartialEq)]
pub enum Forming {
    /// The plate stays flat.
    Flat(Placement),
    /// The plate is bent about rulings.
    Rolled(Box<Loft>),
}

impl Forming {
    /// Where a point of the flat comes to when fully formed.
    pub fn place(&self, point: FlatPoint) -> Place {
        match self {
            Self::Flat(placement) => Place {
                point: placement.point(point, 0.0),
                normal: placement.normal(),
            },
            Self::Rolled(loft) => loft.formed(loft.locate(point)),
        }
    }

    /// The map at a stage of forming, `lambda` from 0 (flat) to 1 (formed).
    pub fn at(&self, lambda: f64) -> Motion<'_> {
        Motion::new(self, lambda)
    }

    /// The loft of a rolled plate.
    pub fn loft(&self) -> Option<&Loft> {
        match self {
            Self::Flat(_) => None,
            Self::Rolled(loft) => Some(loft),
        }
    }
}
