//! Where an opening comes to if its place is taken from plan or elevation instead of the developed line.

use develop::{Loft, SurfacePoint};
use geom::{FlatPoint, Vector2};

/// Which view a distance was taken from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum View {
    Plan,
    Elevation,
}

/// Places on the flat of an opening at `meant`, measured in a view from the datum or an end of the section.
///
/// `skins` are the heights over mid-sheet at which a drawing may show the plate (mm).
pub(crate) fn places_by_view(
    loft: &Loft,
    meant: FlatPoint,
    skins: &[f64],
) -> Vec<(View, FlatPoint)> {
    let at = loft.locate(meant);
    let mut places = Vec::new();
    for reference in [loft.datum(), 0.0, loft.w_end()] {
        let from = SurfacePoint {
            w: reference,
            v: at.v,
        };
        let start = loft.flat(from);
        let developed: Vector2 = meant - start;
        if developed.norm() < 1e-6 {
            continue;
        }
        for &height in skins {
            let apart = loft.formed(at).at_height(height) - loft.formed(from).at_height(height);
            let frame = loft.frame();
            let across = apart.dot(&frame.across).abs();
            let up = apart.dot(&frame.up).abs();
            // A section seen in plan has its second coordinate across too.
            let horizontal = |axis: &geom::Vector3| axis.z.abs() < 0.5;
            for (distance, axis) in [(across, &frame.across), (up, &frame.up)] {
                let view = if horizontal(axis) {
                    View::Plan
                } else {
                    View::Elevation
                };
                if distance < 1e-6 {
                    continue;
                }
                // Along the way on the flat, or square to the datum at the same x.
                places.push((view, start + developed * (distance / developed.norm())));
                places.push((
                    view,
                    FlatPoint::new(meant.x, start.y + distance * developed.y.signum()),
                ));
            }
        }
    }
    places
}
