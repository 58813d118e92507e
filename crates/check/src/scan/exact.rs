//! The distance of a point from the true surface near a facet.

use super::parts::Made;
use super::surface::{BodySurface, Near};
use super::turned::{seated_distance, slab_distance, turned_distance};
use body::{FittingShape, Plate, Rivet};
use develop::Forming;
use geom::{Point3, Vector3};
use solid::PlateFace;

/// The true distance may differ from that to the facet by so much (mm): the facets' chord error, and as much again
/// for the edges. One that differs by more was taken to another place of the surface.
const FACET_MM: f64 = 0.05;

/// A point's distance from the surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Off {
    /// Distance (mm), positive outside the metal.
    pub(super) distance: f64,
    /// How far the point lies off the plane that touches the surface there (mm): the distance, but beside an edge.
    pub(super) height: f64,
    /// Unit vector out of the metal there.
    pub(super) normal: Vector3,
}

impl BodySurface<'_> {
    /// The distance of a point from the true surface, near the nearest place of the facets.
    pub(super) fn off(&self, point: &Point3, near: &Near) -> Off {
        let facet = &self.facets[near.facet as usize];
        let part = &self.parts[facet.part as usize];
        let by = point - near.point;
        let height = by.dot(&facet.normal);
        let length = near.square.sqrt();
        let to_facet = if height < 0.0 { -length } else { length };
        let exact = match part.made {
            Made::Plate(plate) => plate_distance(plate, part.faces[facet.triangle as usize], point),
            Made::Fitting(fitting) => match &fitting.shape {
                FittingShape::Turned {
                    foot,
                    axis,
                    profile,
                } => Some(turned_distance(point, foot, axis, profile)),
                FittingShape::Seated(seated) => seated_distance(point, seated),
                FittingShape::Slab {
                    placement,
                    outline,
                    holes,
                    low,
                    high,
                } => slab_distance(point, placement, outline, holes, (*low, *high)),
            },
        };
        match exact {
            Some(distance) if (distance - to_facet).abs() < FACET_MM => Off {
                distance,
                // Off the plane by as much less as off the facet.
                height: height + (distance - to_facet),
                normal: facet.normal,
            },
            _ => Off {
                distance: to_facet,
                height,
                normal: facet.normal,
            },
        }
    }
}

/// Distance from a face of a plate; `None` where that to the facet is as good.
fn plate_distance(plate: &Plate, face: PlateFace, point: &Point3) -> Option<f64> {
    match (face, &plate.forming) {
        (PlateFace::Outside { height }, Forming::Rolled(loft)) => {
            loft.place_of(*point).map(|(_, own)| own - height)
        }
        (PlateFace::Inside { height }, Forming::Rolled(loft)) => {
            loft.place_of(*point).map(|(_, own)| height - own)
        }
        (PlateFace::Rivet { number }, forming) => {
            cap_distance(&plate.rivets[number], forming, plate.sheet.z_high, point)
        }
        // Facets of a flat face lie in it.
        (_, Forming::Flat(_)) | (PlateFace::Edge, _) => None,
    }
}

/// Distance from the cap of a rivet's head; `None` beside it.
fn cap_distance(rivet: &Rivet, forming: &Forming, outside: f64, point: &Point3) -> Option<f64> {
    let (a, h) = (rivet.head_diameter / 2.0, rivet.head_height);
    let radius = (a * a + h * h) / (2.0 * h);
    let place = forming.place(rivet.centre);
    let centre = place.at_height(outside + h - radius);
    let arm = point - centre;
    let length = arm.norm();
    // The rim of the cap stands at this height over the sphere's middle.
    let is_over = arm.dot(&place.normal) >= length * (radius - h) / radius;
    (is_over && length > 0.0).then_some(length - radius)
}
