//! Rivet heads: domes that stand on a round opening of a skin.
//!
//! A dome's rim is a circle of the flat, followed by the skin; its top is a point on the normal over
//! the rivet's centre. Between them run conics: on a flat place the dome is the exact cap of a sphere.

use super::boundary::{Boundary, BoundaryKind, boundaries};
use super::levels::{HIGH, PLAIN};
use super::run::Run;
use super::space_curve::SpaceCurve;
use body::{Curve, Plate, Rivet};
use develop::DevelopError;
use geom::math::{atan2, cos, tan};
use geom::{FlatPoint, Point3, Segment, Vector3};

/// Least metal between a rim and any other line of the sheet (mm).
const CLEAR_MM: f64 = 1e-3;

/// How a dome rises from the rim on one skin.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rise {
    /// Middle of the rim, on the skin.
    pub(super) centre: Point3,
    normal: Vector3,
    /// The top.
    pub(super) crown: Point3,
    /// Distance from the axis at which the tangents of the meridian cross, level with the top (mm).
    shoulder: f64,
    /// Weight of that crossing as a pole of the meridian.
    pub(super) weight: f64,
}

/// A dome and its place among the fields of the net.
pub(super) struct Dome {
    /// Number among the plate's rivets.
    pub(super) rivet: usize,
    pub(super) field: usize,
    /// On the inner and on the outer skin.
    pub(super) rises: [Option<Rise>; 2],
    rim: Vec<Curve>,
}

impl Rise {
    /// A cap of a sphere of base radius `a` and height `h` (mm) on a plate's face at `z`.
    fn cap(plate: &Plate, centre: FlatPoint, z: f64, a: f64, h: f64) -> Self {
        let place = plate.forming.place(centre);
        let base = place.at_height(z);
        // Angle at the sphere's centre between the axis and the rim.
        let angle = 2.0 * atan2(h, a);
        Self {
            centre: base,
            normal: place.normal,
            crown: base + place.normal * h,
            shoulder: a - h / tan(angle),
            weight: cos(angle / 2.0),
        }
    }

    /// The crossing of the meridian's tangents over a point of the rim.
    pub(super) fn shoulder(&self, rim: Point3) -> Point3 {
        let spoke = rim - self.centre;
        let level = spoke - self.normal * spoke.dot(&self.normal);
        self.crown + level.normalize() * self.shoulder
    }

    /// The meridian from a point of the rim to the top.
    pub(super) fn meridian(&self, rim: Point3) -> SpaceCurve {
        SpaceCurve::Arc {
            poles: [rim, self.shoulder(rim), self.crown],
            weight: self.weight,
        }
    }
}

impl Dome {
    /// The rim as a boundary, the dome on its left.
    pub(super) fn boundary<'a>(&'a self, plate: &'a Plate) -> Boundary<'a> {
        let run = |curve| Run::of(curve, &plate.forming, false);
        Boundary {
            kind: BoundaryKind::Dome(self.field),
            runs: self.rim.iter().map(run).collect(),
        }
    }
}

/// Domes of the rivets that stand clear of every other line of the sheet and of one another.
///
/// # Errors
///
/// [`DevelopError`] for a boundary that leaves the sheet.
pub(super) fn domes(plate: &Plate) -> Result<Vec<Dome>, DevelopError> {
    let lines = Lines::of(plate)?;
    let mut placed: Vec<&Rivet> = Vec::new();
    let mut domes = Vec::new();
    for (number, rivet) in plate.rivets.iter().enumerate() {
        let (a, h) = (rivet.head_diameter / 2.0, rivet.head_height);
        let has_size =
            a.is_finite() && h.is_finite() && a > CLEAR_MM && h > CLEAR_MM && h < 2.0 * a;
        let stands_alone = || {
            placed.iter().all(|other| {
                let apart = (other.centre - rivet.centre).norm();
                apart >= a + other.head_diameter / 2.0 + CLEAR_MM
            })
        };
        if !has_size || !lines.leave_room(rivet.centre, a + CLEAR_MM) || !stands_alone() {
            continue;
        }
        placed.push(rivet);
        let circle = Segment::circle(rivet.centre, a);
        let rise = Rise::cap(plate, rivet.centre, plate.sheet.z_high, a, h);
        let mut rises = [None; 2];
        rises[HIGH] = Some(rise);
        domes.push(Dome {
            rivet: number,
            field: PLAIN + 1 + plate.regions.len() + domes.len(),
            rises,
            rim: vec![
                Curve::Flat(circle.part(0.0, 0.5)),
                Curve::Flat(circle.part(0.5, 1.0)),
            ],
        });
    }
    Ok(domes)
}

/// Every boundary of a plate as a polygon of the flat.
struct Lines {
    polygons: Vec<Vec<FlatPoint>>,
}

impl Lines {
    fn of(plate: &Plate) -> Result<Self, DevelopError> {
        const CHORDS: usize = 96;
        let curves = boundaries(plate).into_iter().map(|boundary| {
            let mut polygon = Vec::new();
            for run in &boundary.runs {
                let chords = if run.is_flat_line() { 1 } else { CHORDS };
                for i in 0..chords {
                    let t = i as f64 / chords as f64;
                    polygon.push(run.flat_point(plate, t)?);
                }
            }
            Ok(polygon)
        });
        Ok(Self {
            polygons: curves.collect::<Result<_, DevelopError>>()?,
        })
    }

    /// True for a place on the plain metal that is further than `reach` from every line.
    fn leave_room(&self, centre: FlatPoint, reach: f64) -> bool {
        let mut inside = 0;
        for polygon in &self.polygons {
            let n = polygon.len();
            let sides = || (0..n).map(|i| (polygon[i], polygon[(i + 1) % n]));
            if sides().any(|(a, b)| distance(centre, a, b) <= reach) {
                return false;
            }
            let crossed = sides().filter(|(a, b)| {
                (a.y <= centre.y) != (b.y <= centre.y)
                    && a.x + (centre.y - a.y) / (b.y - a.y) * (b.x - a.x) > centre.x
            });
            inside += crossed.count() % 2;
        }
        // Inside the outline and nothing else.
        inside == 1
    }
}

fn distance(point: FlatPoint, a: FlatPoint, b: FlatPoint) -> f64 {
    let (side, spoke) = (b - a, point - a);
    let length = side.norm_squared();
    if length == 0.0 {
        return spoke.norm();
    }
    let share = (spoke.dot(&side) / length).clamp(0.0, 1.0);
    (spoke - side * share).norm()
}
