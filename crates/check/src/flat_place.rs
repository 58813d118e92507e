//! Where a place in the body lies on the flat of a plate.

use body::Plate;
use geom::{BodyPoint, FlatPoint};

/// Places tried along each side of the flat before the nearest is closed in on.
const TRIES: usize = 48;

/// Points along each edge by which the outline is told.
const OUTLINE_PIECES: usize = 24;

/// The search ends when its steps are shorter than this (mm): well below what a pointer can show.
const CLOSE_MM: f64 = 1e-3;

/// A place further off the plate than this (mm) is no place of it: thickness of sheet, film and running clearances at 7 mm scale.
const OFF_MM: f64 = 2.0;

/// The place on the flat whose formed place lies nearest to a point of the body; `None` where the plate is further off than 2 mm.
///
/// # Accuracy
///
/// Within 0.01 mm, where the nearest place is the only one. It is for pointing at, not for measuring.
pub fn flat_place(plate: &Plate, point: BodyPoint) -> Option<FlatPoint> {
    let outline = outline(plate);
    let off = |flat: FlatPoint| (plate.forming.place(flat).point - point).norm();
    let (low, high) = outline.iter().fold(
        (
            FlatPoint::new(f64::MAX, f64::MAX),
            FlatPoint::new(f64::MIN, f64::MIN),
        ),
        |(low, high), p| {
            (
                FlatPoint::new(low.x.min(p.x), low.y.min(p.y)),
                FlatPoint::new(high.x.max(p.x), high.y.max(p.y)),
            )
        },
    );
    let size = high - low;
    let grid = (0..TRIES * TRIES).map(|k| {
        let share = |n: usize| (n as f64 + 0.5) / TRIES as f64;
        FlatPoint::new(
            low.x + size.x * share(k % TRIES),
            low.y + size.y * share(k / TRIES),
        )
    });
    let tried = grid
        .filter(|p| is_within(&outline, *p))
        .chain(outline.iter().copied());
    let mut best = tried
        .map(|p| (off(p), p))
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    let mut step = size.amax() / TRIES as f64;
    while step > CLOSE_MM {
        let ways = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)];
        let nearer = ways
            .iter()
            .map(|(x, y)| FlatPoint::new(best.1.x + x * step, best.1.y + y * step))
            .filter(|p| is_within(&outline, *p))
            .map(|p| (off(p), p))
            .find(|(distance, _)| *distance < best.0);
        match nearer {
            Some(found) => best = found,
            None => step /= 2.0,
        }
    }
    (best.0 <= OFF_MM).then_some(best.1)
}

/// The outline of a plate as a polygon.
fn outline(plate: &Plate) -> Vec<FlatPoint> {
    let edges = plate.outline.iter();
    edges
        .flat_map(|edge| {
            (0..OUTLINE_PIECES).filter_map(|k| {
                let t = k as f64 / OUTLINE_PIECES as f64;
                plate.flat_point(&edge.curve, t).ok()
            })
        })
        .collect()
}

/// Whether a point lies within a polygon: a ray to the right crosses it an odd number of times.
fn is_within(polygon: &[FlatPoint], p: FlatPoint) -> bool {
    let crossings = (0..polygon.len()).filter(|&k| {
        let (a, b) = (polygon[k], polygon[(k + 1) % polygon.len()]);
        (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    crossings.count() % 2 == 1
}
