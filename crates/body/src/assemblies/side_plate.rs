//! Upright plates along the engine, one each side, drawn once as seen from the right.

use crate::upright::{Facing, FlatPlateOf, cut};
use crate::{Plate, Sheet};
use geom::{Outline, Point2, Point3, Vector2};

/// `left` or `right`.
pub(super) fn hand(left: bool) -> &'static str {
    if left { "left" } else { "right" }
}

/// 1 on the left, −1 on the right: the sign of y.
pub(super) fn sign(left: bool) -> f64 {
    if left { 1.0 } else { -1.0 }
}

/// An upright plate that looks away from the centre line.
pub(super) struct SidePlateOf<'a> {
    pub(super) id: String,
    pub(super) assembly: &'static str,
    pub(super) title: String,
    pub(super) sheet: Sheet,
    pub(super) left: bool,
    /// Distance of its outside face from the centre line (mm).
    pub(super) outside: f64,
    /// Places along the engine from which the flat's x is measured: rearward from the first on the
    /// right, forward from the second on the left.
    pub(super) ends: (f64, f64),
    /// Outline in x and height, anticlockwise seen from the right.
    pub(super) outline: &'a Outline,
    /// Names of the sides, for each segment of the outline in order.
    pub(super) sides: &'a [&'a str],
}

impl SidePlateOf<'_> {
    pub(super) fn plate(self) -> Plate {
        let (front, rear) = self.ends;
        let (outline, sides, facing, origin) = if self.left {
            let sides: Vec<&str> = self.sides.iter().rev().copied().collect();
            let turned = self.outline.mirrored_in_y_axis();
            let outline = turned.translated(Vector2::new(rear, 0.0));
            (outline, sides, Facing::Left, rear)
        } else {
            let outline = self.outline.translated(Vector2::new(-front, 0.0));
            (outline, self.sides.to_vec(), Facing::Right, front)
        };
        FlatPlateOf {
            id: self.id,
            assembly: self.assembly,
            title: self.title,
            sheet: self.sheet,
            outside_origin: Point3::new(origin, sign(self.left) * self.outside, 0.0),
            facing,
            outline: &outline,
            sides: &sides,
        }
        .plate()
    }
}

/// Where a place in x and height is on the flat of a side plate.
pub(super) fn on_side(left: bool, ends: (f64, f64), place: Point2) -> Point2 {
    if left {
        Point2::new(ends.1 - place.x, place.y)
    } else {
        Point2::new(place.x - ends.0, place.y)
    }
}

/// An outline in x and height as it lies on the flat of a side plate.
pub(super) fn outline_on_side(left: bool, ends: (f64, f64), outline: &Outline) -> Outline {
    if left {
        let turned = outline.mirrored_in_y_axis();
        turned.translated(Vector2::new(ends.1, 0.0))
    } else {
        outline.translated(Vector2::new(-ends.0, 0.0))
    }
}

/// Cuts an opening drawn in x and height.
pub(super) fn cut_side(
    plate: &mut Plate,
    left: bool,
    ends: (f64, f64),
    feature: &str,
    opening: &Outline,
    diameter: Option<f64>,
) {
    cut(
        plate,
        feature,
        &outline_on_side(left, ends, opening),
        diameter,
    );
}
