//! A flat frame set into space.

use crate::{Point2, Point3, Vector3};

/// A plane in space with an origin and two axes; its normal x × y is the outward side of a plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// Where the flat's origin lies in space.
    pub origin: Point3,
    /// Unit vector along the flat's x.
    pub x_axis: Vector3,
    /// Unit vector along the flat's y, square to `x_axis`.
    pub y_axis: Vector3,
}

impl Placement {
    /// A placement from an origin and two axes, which must be square unit vectors.
    pub fn new(origin: Point3, x_axis: Vector3, y_axis: Vector3) -> Self {
        debug_assert!((x_axis.norm() - 1.0).abs() < 1e-9 && x_axis.dot(&y_axis).abs() < 1e-9);
        Self {
            origin,
            x_axis,
            y_axis,
        }
    }

    /// Unit vector out of the plane, x × y.
    pub fn normal(&self) -> Vector3 {
        self.x_axis.cross(&self.y_axis)
    }

    /// The point of space at flat coordinates and a height along the normal (mm).
    pub fn point(&self, flat: Point2, height: f64) -> Point3 {
        self.origin + self.x_axis * flat.x + self.y_axis * flat.y + self.normal() * height
    }

    /// Flat coordinates of a point of space, dropped square onto the plane.
    pub fn project(&self, point: Point3) -> Point2 {
        let from = point - self.origin;
        Point2::new(from.dot(&self.x_axis), from.dot(&self.y_axis))
    }
}
