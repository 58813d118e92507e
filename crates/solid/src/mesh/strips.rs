//! Strips of a rolled plate that stay rigid while it is formed.

use develop::{Loft, Patch, SurfacePoint};
use geom::math::PI;
use geom::{BodyPoint, FlatPoint, Vector2, Vector3};

/// Greatest height of a strip's own roundness (mm), half of what a mesh may err by: chosen.
const STRIP_HEIGHT_MM: f64 = 0.01;

/// Widest turn of the section within one strip (rad), six degrees: chosen by eye.
const STRIP_TURN: f64 = PI / 30.0;

/// A strip between two rulings, hinged on its neighbour.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// Coordinates on the loft of its first and last ruling.
    pub from: f64,
    /// See [`Strip::from`].
    pub to: f64,
    /// The strip that it hangs on; `None` for the one that holds the datum ruling.
    pub parent: Option<usize>,
    /// Front end of the ruling about which it turns, on the formed mid-surface.
    pub hinge: BodyPoint,
    /// Where that point lies while the plate is flat, seen from the parent's own hinge and with the
    /// parent in its formed place (mm); for the first strip, seen from the body's origin.
    pub flat_hinge: Vector3,
    /// How the strip of the flat plate is turned against its parent, both having started from their
    /// formed places: unit quaternion x, y, z, w with w above zero.
    pub flat_turn: [f64; 4],
}

/// The strips of a plate, in order of travel, and which one each position of its mesh moves with.
#[derive(Clone, Debug, PartialEq)]
pub struct Strips {
    /// The strips.
    pub strips: Vec<Strip>,
    /// Number of the strip for each position of the mesh.
    pub of_position: Vec<u32>,
}

/// A rigid motion: turn, then shift.
#[derive(Clone, Copy)]
struct Rigid {
    turn: nalgebra::Matrix3<f64>,
    from: BodyPoint,
    to: BodyPoint,
}

impl Rigid {
    fn point(&self, point: BodyPoint) -> BodyPoint {
        self.to + self.turn * (point - self.from)
    }
}

impl Strips {
    /// Strips of a loft whose mesh is creased at `stations`, the positions of the mesh lying on the
    /// rulings of `positions` (both coordinates on the loft).
    pub(super) fn of(loft: &Loft, stations: &[f64], positions: &[f64]) -> Self {
        let ends = strip_ends(loft, stations);
        let before = |w: f64| {
            ends.partition_point(|&end| end <= w)
                .clamp(1, ends.len() - 1)
                - 1
        };
        let home = before(loft.datum());
        let laid: Vec<Rigid> = ends
            .windows(2)
            .map(|ends| laid_flat(loft, ends[0].midpoint(ends[1])))
            .collect();
        let front = |w: f64| loft.formed(SurfacePoint { w, v: 0.0 }).point;
        let hinges: Vec<BodyPoint> = (0..laid.len())
            .map(|k| match k.cmp(&home) {
                std::cmp::Ordering::Less => front(ends[k + 1]),
                std::cmp::Ordering::Equal => front(loft.datum()),
                std::cmp::Ordering::Greater => front(ends[k]),
            })
            .collect();
        let strips = (0..laid.len())
            .map(|k| {
                let parent = match k.cmp(&home) {
                    std::cmp::Ordering::Less => Some(k + 1),
                    std::cmp::Ordering::Equal => None,
                    std::cmp::Ordering::Greater => Some(k - 1),
                };
                let lies = laid[k].point(hinges[k]);
                let (turn, flat_hinge) = match parent {
                    Some(p) => {
                        let back = laid[p].turn.transpose();
                        (
                            back * laid[k].turn,
                            back * (lies - laid[p].point(hinges[p])),
                        )
                    }
                    None => (laid[k].turn, lies.coords),
                };
                Strip {
                    from: ends[k],
                    to: ends[k + 1],
                    parent,
                    hinge: hinges[k],
                    flat_hinge,
                    flat_turn: quaternion(&turn),
                }
            })
            .collect();
        Self {
            strips,
            of_position: positions.iter().map(|&w| before(w) as u32).collect(),
        }
    }
}

/// Rulings at which strips end: the borders of patches, and enough stations between.
fn strip_ends(loft: &Loft, stations: &[f64]) -> Vec<f64> {
    let mut ends = Vec::new();
    for (i, patch) in loft.patches().iter().enumerate() {
        let first = stations.partition_point(|&w| w < i as f64);
        let next = stations.partition_point(|&w| w < (i + 1) as f64);
        // A patch without stations of its own, the tip of a cone, is one strip.
        let steps = (next - first).max(1);
        let step = patch.turn().abs() / steps as f64;
        let most = ((widest_turn(patch) / step).floor().max(1.0) as usize).min(steps);
        let count = steps.div_ceil(most);
        ends.push(i as f64);
        ends.extend((1..count).map(|k| stations[first + k * steps / count]));
    }
    ends.push(loft.w_end());
    ends
}

/// Turn of a strip of which the middle and the ends lie [`STRIP_HEIGHT_MM`] apart when it is laid flat: R δ²/8.
fn widest_turn(patch: &Patch) -> f64 {
    let radius = patch.radii().map_or(0.0, |(front, rear)| front.max(rear));
    (8.0 * STRIP_HEIGHT_MM / radius).sqrt().min(STRIP_TURN)
}

/// Takes the sheet at a ruling from its formed place to where it lies while the plate is flat: in the
/// tangent plane of the datum ruling.
fn laid_flat(loft: &Loft, w: f64) -> Rigid {
    let [along, across, normal] = loft.formed_axes(loft.datum());
    let start = SurfacePoint {
        w: loft.datum(),
        v: 0.0,
    };
    let (here, origin) = (loft.formed(start).point, loft.flat(start));
    let direction = |v: Vector2| along * v.x + across * v.y;
    let lie = |p: FlatPoint| here + direction(p - origin);
    let ruling = loft.ruling(w);
    let d = ruling.flat_direction;
    let flat = nalgebra::Matrix3::from_columns(&[
        direction(d),
        direction(Vector2::new(-d.y, d.x)),
        normal,
    ]);
    let formed = nalgebra::Matrix3::from_columns(&loft.formed_axes(w));
    Rigid {
        turn: flat * formed.transpose(),
        from: loft.formed(SurfacePoint { w, v: 0.0 }).point,
        to: lie(ruling.flat),
    }
}

/// Unit quaternion x, y, z, w of a turn by less than half a revolution.
fn quaternion(turn: &nalgebra::Matrix3<f64>) -> [f64; 4] {
    let w = (1.0 + turn.trace()).max(0.0).sqrt() / 2.0;
    // Strips turn by a few degrees; one that turns right over has no way round that is the shorter.
    if w < 1e-3 {
        return [0.0, 0.0, 0.0, 1.0];
    }
    let m = |i: usize, j: usize| turn[(i, j)] - turn[(j, i)];
    let q = [m(2, 1), m(0, 2), m(1, 0)].map(|x| x / (4.0 * w));
    let norm = (q.iter().map(|x| x * x).sum::<f64>() + w * w).sqrt();
    [q[0] / norm, q[1] / norm, q[2] / norm, w / norm]
}
