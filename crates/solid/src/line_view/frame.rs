//! From where a line drawing is seen.

use geom::{Point2, Vector3};

/// Directions of a parallel projection.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ViewFrame {
    /// Unit vector to the right on the paper.
    pub right: Vector3,
    /// Unit vector up the paper.
    pub up: Vector3,
    /// Unit vector from the body to who looks at it; right × up.
    pub towards: Vector3,
}

impl ViewFrame {
    /// Seen from a direction, the body's height up the paper; from above or below, its front to the left.
    ///
    /// A direction without length is taken as from above.
    pub fn from(direction: Vector3) -> Self {
        let towards = direction.try_normalize(1e-12).unwrap_or_else(Vector3::z);
        let upright = Vector3::z() - towards * towards.z;
        match upright.try_normalize(1e-6) {
            Some(up) => Self {
                right: up.cross(&towards),
                up,
                towards,
            },
            None => Self {
                right: Vector3::x(),
                up: towards.cross(&Vector3::x()),
                towards,
            },
        }
    }

    /// Side elevation with the front of the engine to the left.
    pub fn side() -> Self {
        Self::from(-Vector3::y())
    }

    /// Seen from before the engine.
    pub fn front() -> Self {
        Self::from(-Vector3::x())
    }

    /// Seen from behind the engine.
    pub fn rear() -> Self {
        Self::from(Vector3::x())
    }

    /// Seen from above, the front of the engine to the left.
    pub fn plan() -> Self {
        Self::from(Vector3::z())
    }

    /// Place on the paper (mm).
    pub fn flat(&self, point: Vector3) -> Point2 {
        Point2::new(point.dot(&self.right), point.dot(&self.up))
    }

    /// Distance towards the eye (mm).
    pub fn depth(&self, point: Vector3) -> f64 {
        point.dot(&self.towards)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn frames_are_right_handed_and_stand_as_a_drawing_does() {
        for frame in [
            ViewFrame::side(),
            ViewFrame::front(),
            ViewFrame::rear(),
            ViewFrame::plan(),
            ViewFrame::from(Vector3::new(-1.0, -1.0, 0.8)),
        ] {
            assert!((frame.right.cross(&frame.up) - frame.towards).norm() < 1e-12);
        }
        // x runs to the rear: to the right in the side elevation and in plan.
        assert_eq!(ViewFrame::side().right, Vector3::x());
        assert_eq!(ViewFrame::plan().right, Vector3::x());
        assert_eq!(ViewFrame::plan().up, Vector3::y());
        assert_eq!(ViewFrame::front().right, -Vector3::y());
    }
}
