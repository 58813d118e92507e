//! Makes the plate of a flat part from an outline set into the body.

use crate::{Edge, Hole, Plate, Sheet, flat_curves};
use develop::Forming;
use geom::{FlatPoint, Outline, Placement, Point2, Point3, Segment, Vector3};

/// The way a flat plate's outside face looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Facing {
    Front,
    Rear,
    Left,
    Right,
    Up,
}

impl Facing {
    /// A placement whose mid-sheet is at `origin`; heights stay upright on the flat, plans keep x rearward.
    pub(crate) fn placement(self, origin: Point3) -> Placement {
        let (x, y, z) = (Vector3::x(), Vector3::y(), Vector3::z());
        match self {
            Self::Front => Placement::new(origin, -y, z),
            Self::Rear => Placement::new(origin, y, z),
            Self::Left => Placement::new(origin, -x, z),
            Self::Right => Placement::new(origin, x, z),
            Self::Up => Placement::new(origin, x, y),
        }
    }
}

/// What a flat plate is called, made of, and where it stands.
pub(crate) struct FlatPlateOf<'a> {
    pub(crate) id: String,
    pub(crate) assembly: &'static str,
    pub(crate) title: String,
    pub(crate) sheet: Sheet,
    /// Origin of the flat on the plate's *outside* face.
    pub(crate) outside_origin: Point3,
    pub(crate) facing: Facing,
    /// Outline on the flat, anticlockwise.
    pub(crate) outline: &'a Outline,
    /// Names of the sides, for each segment of the outline in order.
    pub(crate) sides: &'a [&'a str],
}

impl FlatPlateOf<'_> {
    pub(crate) fn plate(self) -> Plate {
        let mut placement = self.facing.placement(self.outside_origin);
        placement.origin -= placement.normal() * self.sheet.z_high;
        let segments = self.outline.segments();
        debug_assert_eq!(segments.len(), self.sides.len(), "{}", self.id);
        Plate {
            id: self.id,
            assembly: self.assembly,
            title: self.title,
            sheet: self.sheet,
            forming: Forming::Flat(placement),
            outline: segments
                .iter()
                .zip(self.sides)
                .map(|(segment, name)| Edge {
                    name: (*name).to_owned(),
                    curve: crate::Curve::Flat(*segment),
                })
                .collect(),
            holes: Vec::new(),
            regions: Vec::new(),
            rivets: Vec::new(),
            marks: Vec::new(),
            points: corner_points(segments, self.sides),
        }
    }
}

/// Each corner is named by the sides that meet there: `bottom-rear`.
fn corner_points(segments: &[Segment], sides: &[&str]) -> Vec<(String, FlatPoint)> {
    let n = segments.len();
    let mut points: Vec<(String, FlatPoint)> = Vec::new();
    for i in 0..n {
        let before = sides[(i + n - 1) % n];
        if before == sides[i] {
            continue;
        }
        let name = format!("{before}-{}", sides[i]);
        if points.iter().all(|(own, _)| *own != name) {
            points.push((name, segments[i].start()));
        }
    }
    points
}

/// The outline of a rectangle and the names of its sides: bottom, right, top, left as seen from outside.
pub(crate) fn rectangle(low: Point2, high: Point2) -> Outline {
    Outline::rectangle(low, high)
}

/// Cuts an opening through a flat plate.
pub(crate) fn cut(plate: &mut Plate, feature: &str, opening: &Outline, diameter: Option<f64>) {
    let (low, high) = opening.bounds();
    let centre = low + (high - low) / 2.0;
    plate.points.push((format!("hole:{feature}"), centre));
    plate.holes.push(Hole {
        feature: feature.to_owned(),
        centre,
        diameter,
        boundary: flat_curves(opening),
    });
}

/// Cuts a round hole through a flat plate.
pub(crate) fn drill(plate: &mut Plate, feature: &str, centre: Point2, diameter: f64) {
    cut(
        plate,
        feature,
        &Outline::circle(centre, diameter / 2.0),
        Some(diameter),
    );
}

/// A rectangle whose corners are rounded by one radius (mm), anticlockwise.
pub(crate) fn rounded_rectangle(low: Point2, high: Point2, radius: f64) -> Outline {
    use geom::BulgeVertex;
    let r = radius
        .min((high.x - low.x) / 2.0)
        .min((high.y - low.y) / 2.0);
    let quarter = geom::math::tan(geom::math::FRAC_PI_2 / 4.0);
    let mut vertices = Vec::with_capacity(8);
    for (x, y, bulge) in [
        (low.x + r, low.y, 0.0),
        (high.x - r, low.y, quarter),
        (high.x, low.y + r, 0.0),
        (high.x, high.y - r, quarter),
        (high.x - r, high.y, 0.0),
        (low.x + r, high.y, quarter),
        (low.x, high.y - r, 0.0),
        (low.x, low.y + r, quarter),
    ] {
        vertices.push(BulgeVertex {
            point: Point2::new(x, y),
            bulge,
        });
    }
    Outline::from_vertices(&vertices)
}
