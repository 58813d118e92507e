//! Where a flat lies on its sheet.

use crate::{FlatDrawing, FlatHole, FlatRegion};
use body::{Mark, Rivet};
use geom::{FlatPoint, Outline, Point2, Vector2};

/// A quarter turn and a move from a plate's flat to the sheet (mm, y up, seen from the front).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// Quarter turns anticlockwise about the flat's origin, 0 to 3.
    pub quarters: u8,
    /// The move after the turn.
    pub by: Vector2,
}

impl Placement {
    /// A turn by itself.
    pub fn turned(quarters: u8) -> Self {
        Self {
            quarters: quarters % 4,
            by: Vector2::zeros(),
        }
    }

    /// A direction of the flat, turned.
    pub fn direction(&self, v: Vector2) -> Vector2 {
        // Exact: a turn by cosine and sine would leave rounding in every coordinate.
        match self.quarters {
            0 => v,
            1 => Vector2::new(-v.y, v.x),
            2 => -v,
            _ => Vector2::new(v.y, -v.x),
        }
    }

    /// The place on the sheet of a point of the flat.
    pub fn point(&self, p: FlatPoint) -> Point2 {
        Point2::from(self.direction(p.coords) + self.by)
    }

    /// The place on the flat of a point of the sheet.
    pub fn flat_point(&self, p: Point2) -> FlatPoint {
        let back = Self::turned((4 - self.quarters) % 4);
        Point2::from(back.direction(p.coords - self.by))
    }

    /// An outline of the flat on the sheet.
    pub fn outline(&self, outline: &Outline) -> Outline {
        outline.quarter_turned(self.quarters).translated(self.by)
    }

    /// A flat on the sheet.
    pub fn drawing(&self, flat: &FlatDrawing) -> FlatDrawing {
        let outline = self.outline(&flat.outline);
        FlatDrawing {
            bounds: outline.bounds(),
            outline,
            holes: flat
                .holes
                .iter()
                .map(|hole| FlatHole {
                    outline: self.outline(&hole.outline),
                    centre: self.point(hole.centre),
                    ..hole.clone()
                })
                .collect(),
            regions: flat
                .regions
                .iter()
                .map(|region| FlatRegion {
                    outline: self.outline(&region.outline),
                    ..region.clone()
                })
                .collect(),
            rivets: flat
                .rivets
                .iter()
                .map(|rivet| Rivet {
                    centre: self.point(rivet.centre),
                    ..rivet.clone()
                })
                .collect(),
            marks: flat
                .marks
                .iter()
                .map(|mark| Mark {
                    from: self.point(mark.from),
                    to: self.point(mark.to),
                    ..mark.clone()
                })
                .collect(),
            points: flat
                .points
                .iter()
                .map(|(name, p)| (name.clone(), self.point(*p)))
                .collect(),
            ..flat.clone()
        }
    }
}
