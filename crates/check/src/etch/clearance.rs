//! Room about a point of a plate.

use super::EtchCheck;
use geom::{FlatPoint, Outline};

/// Distance to a border; negative within it.
pub(super) fn outside(outline: &Outline, point: FlatPoint) -> f64 {
    let off = outline.nearest(point).1;
    if outline.contains(point) { -off } else { off }
}

/// Distance to the nearest edge or opening; negative off the plate or in an opening.
pub(super) fn clear_of_edges(check: &EtchCheck<'_>, point: FlatPoint) -> f64 {
    check
        .holes
        .iter()
        .map(|hole| outside(&hole.outline, point))
        .fold(-outside(&check.outline, point), f64::min)
}

/// True if the upright rectangles round two outlines come within a distance (mm).
pub(super) fn boxes_within(a: &Outline, b: &Outline, distance: f64) -> bool {
    let ((al, ah), (bl, bh)) = (a.bounds(), b.bounds());
    al.x - bh.x < distance
        && bl.x - ah.x < distance
        && al.y - bh.y < distance
        && bl.y - ah.y < distance
}

/// Where two borders cross; `None` if they do not.
pub(super) fn crossing(a: &Outline, b: &Outline) -> Option<FlatPoint> {
    if !boxes_within(a, b, 0.0) {
        return None;
    }
    a.segments().iter().find_map(|own| {
        b.segments()
            .iter()
            .find_map(|other| geom::intersections(own, other).first().copied())
    })
}
