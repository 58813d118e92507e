//! How near wheels and trucks come to what they run beside: distances between solids.

use super::standing::{Frame, Standing};
use body::{Axle, Body, Chassis, Held};
use geom::{Point2, Point3, Vector3, math};
use parry3d_f64::math::{Pose, Vector};
use parry3d_f64::query::{ClosestPoints, closest_points, contact};
use parry3d_f64::shape::{Cylinder, Shape, TriMesh};
use solid::{Mesh, MeshOptions, SolidError, mesh_fitting, mesh_plate};

/// Distances from here on are of no interest (mm).
const FAR_MM: f64 = 6.0;

/// Chord error of the solids that distances are taken from (mm).
const CHORD_ERROR_MM: f64 = 0.01;

/// Width of a flange as a share of the tyre's: common practice, no source.
const FLANGE_SHARE: f64 = 0.35;

/// How near something that moves comes to something that does not.
#[derive(Clone, Debug, PartialEq)]
pub struct Approach {
    /// What moves: `wheel-left-2`, or a plate of a truck.
    pub mover: String,
    /// The plate or fitting that it comes near.
    pub part: String,
    /// Distance (mm); negative where they would cut into each other.
    pub distance: f64,
    /// The place on the part, in the frame of the body (mm).
    pub at: Point3,
}

impl Approach {
    /// What moves and what it comes near without their sides: what stands on both sides is said once.
    pub fn without_hand(&self) -> (String, String) {
        let bare = |name: &str| name.replace("-left", "").replace("-right", "");
        (bare(&self.mover), bare(&self.part))
    }
}

/// The solids of a body, sorted into what stands still and what its trucks carry.
#[derive(Clone, Debug)]
pub struct Solids {
    still: Vec<Part>,
    /// For each truck the plates that it carries.
    carried: Vec<Vec<Part>>,
}

#[derive(Clone, Debug)]
struct Part {
    id: String,
    mesh: TriMesh,
    low: [f64; 3],
    high: [f64; 3],
}

impl Part {
    fn of(id: &str, mesh: &Mesh) -> Option<Self> {
        let mut low = [f64::INFINITY; 3];
        let mut high = [f64::NEG_INFINITY; 3];
        for p in &mesh.positions {
            for k in 0..3 {
                low[k] = low[k].min(p[k]);
                high[k] = high[k].max(p[k]);
            }
        }
        let vertices = mesh
            .positions
            .iter()
            .map(|p| Vector::new(p[0], p[1], p[2]))
            .collect();
        Some(Self {
            id: id.to_owned(),
            mesh: TriMesh::new(vertices, mesh.triangles.clone()).ok()?,
            low,
            high,
        })
    }

    /// True if a ball comes near the part's box.
    fn is_near(&self, centre: Point3, radius: f64) -> bool {
        (0..3).all(|k| {
            centre[k] + radius + FAR_MM > self.low[k] && centre[k] - radius - FAR_MM < self.high[k]
        })
    }
}

impl Solids {
    /// Solids of all plates and fittings but wheels, axles and rods.
    ///
    /// # Errors
    ///
    /// [`SolidError`] for a plate or fitting that has no solid.
    pub fn of(body: &Body, chassis: &Chassis) -> Result<Self, SolidError> {
        let options = MeshOptions {
            rivets: false,
            chord_error: CHORD_ERROR_MM,
        };
        let carrier = |id: &str| {
            chassis.trucks.iter().position(|truck| {
                id.strip_prefix(&truck.id)
                    .is_some_and(|rest| rest.starts_with('-'))
            })
        };
        let mut solids = Self {
            still: Vec::new(),
            carried: chassis.trucks.iter().map(|_| Vec::new()).collect(),
        };
        for plate in &body.plates {
            let part = Part::of(&plate.id, &mesh_plate(plate, &options)?.mesh);
            match carrier(&plate.id) {
                Some(truck) => solids.carried[truck].extend(part),
                None => solids.still.extend(part),
            }
        }
        for fitting in &body.fittings {
            if fitting.assembly != "running-gear" {
                let mesh = mesh_fitting(fitting, CHORD_ERROR_MM)?;
                solids.still.extend(Part::of(&fitting.id, &mesh));
            }
        }
        Ok(solids)
    }

    /// What the wheels of an axle in the frames come near, with the axle shifted to either side by its play
    /// and up by `rise`.
    pub fn beside_axle(&self, chassis: &Chassis, axle: &Axle, rise: f64) -> Vec<Approach> {
        let mut all = Vec::new();
        for shift in [-axle.play, axle.play] {
            for up in [0.0, rise] {
                let centre = Point3::new(axle.x, shift, axle.diameter / 2.0 + up);
                for left in [true, false] {
                    all.extend(self.beside_wheel(chassis, axle, left, centre, 0.0));
                }
            }
        }
        nearest_each(all)
    }

    /// What the wheels and plates of the trucks come near on a standing, the axles shifted to either side by
    /// their play and up by `rise`.
    pub fn beside_trucks(
        &self,
        chassis: &Chassis,
        standing: &Standing,
        rise: f64,
    ) -> Vec<Approach> {
        let mut all = Vec::new();
        for axle in &chassis.axles {
            let Held::Truck(number) = axle.held else {
                continue;
            };
            let truck = &standing.trucks[number];
            let own = |y| on_engine(&truck.frame, &standing.frame, Point2::new(axle.x, y));
            for shift in [-axle.play, axle.play] {
                for up in [0.0, rise] {
                    let at = own(shift);
                    let centre = Point3::new(at.x, at.y, axle.diameter / 2.0 + up);
                    for left in [true, false] {
                        all.extend(self.beside_wheel(chassis, axle, left, centre, truck.swing));
                    }
                }
            }
        }
        for (truck, carried) in standing.trucks.iter().zip(&self.carried) {
            let foot = on_engine(&truck.frame, &standing.frame, Point2::origin());
            let pose = turned(Point3::new(foot.x, foot.y, 0.0), truck.swing);
            for mover in carried {
                all.extend(self.beside_plate(mover, &pose));
            }
        }
        nearest_each(all)
    }

    fn beside_wheel(
        &self,
        chassis: &Chassis,
        axle: &Axle,
        left: bool,
        centre: Point3,
        swing: f64,
    ) -> Vec<Approach> {
        let w = &chassis.wheels;
        let side = if left { 1.0 } else { -1.0 };
        let radius = axle.diameter / 2.0;
        let flange = FLANGE_SHARE * w.tyre_width;
        let discs = [(radius + w.flange_depth, flange), (radius, w.tyre_width)];
        let mover = format!(
            "wheel-{}-{}",
            if left { "left" } else { "right" },
            axle.number
        );
        let mut all = Vec::new();
        for (radius, width) in discs {
            // The axle's own frame is turned with the truck: across is not the engine's y.
            let across = side * (w.back_to_back / 2.0 + width / 2.0);
            let (sin, cos) = math::sin_cos(swing);
            let middle = centre + Vector3::new(-sin * across, cos * across, 0.0);
            let disc = Cylinder::new(width / 2.0, radius);
            let pose = turned(middle, swing);
            for part in self
                .still
                .iter()
                .filter(|part| part.is_near(middle, radius))
            {
                all.extend(distance(&mover, &disc, &pose, part));
            }
        }
        all
    }

    /// What a shape that stands in a place comes near; `middle` and `reach` are those of a ball about it.
    pub(super) fn beside(
        &self,
        mover: &str,
        shape: &dyn Shape,
        pose: &Pose,
        middle: Point3,
        reach: f64,
    ) -> Vec<Approach> {
        self.still
            .iter()
            .filter(|part| part.is_near(middle, reach))
            .filter_map(|part| distance(mover, shape, pose, part))
            .collect()
    }

    /// Names of all parts, the truck that carries each, if one does, and their vertices.
    pub(super) fn vertices(
        &self,
    ) -> impl Iterator<Item = (&str, Option<usize>, impl Iterator<Item = &Vector>)> {
        let still = self.still.iter().map(|part| (None, part));
        let carried = self.carried.iter().enumerate();
        let carried = carried.flat_map(|(truck, all)| all.iter().map(move |p| (Some(truck), p)));
        still
            .chain(carried)
            .map(|(truck, part)| (part.id.as_str(), truck, part.mesh.vertices().iter()))
    }

    fn beside_plate(&self, mover: &Part, pose: &Pose) -> Vec<Approach> {
        let middle = Point3::new(
            (mover.low[0] + mover.high[0]) / 2.0,
            (mover.low[1] + mover.high[1]) / 2.0,
            (mover.low[2] + mover.high[2]) / 2.0,
        );
        let reach = (0..3)
            .map(|k| (mover.high[k] - mover.low[k]).powi(2))
            .sum::<f64>()
            .sqrt()
            / 2.0;
        let placed = pose.transform_point(Vector::new(middle.x, middle.y, middle.z));
        let placed = Point3::new(placed.x, placed.y, placed.z);
        self.beside(&mover.id, &mover.mesh, pose, placed, reach)
    }
}

/// A point of a truck in the frame of its engine.
fn on_engine(truck: &Frame, engine: &Frame, own: Point2) -> Point2 {
    engine.own(truck.place(own))
}

/// Turned anticlockwise by an angle and moved.
fn turned(to: Point3, swing: f64) -> Pose {
    Pose::new(Vector::new(to.x, to.y, to.z), Vector::new(0.0, 0.0, swing))
}

fn distance(mover: &str, shape: &dyn Shape, pose: &Pose, part: &Part) -> Option<Approach> {
    let still = Pose::identity();
    let (distance, at) = match closest_points(pose, shape, &still, &part.mesh, FAR_MM).ok()? {
        ClosestPoints::Disjoint => return None,
        ClosestPoints::WithinMargin(own, other) => ((own - other).length(), other),
        ClosestPoints::Intersecting => {
            let deepest = contact(pose, shape, &still, &part.mesh, 0.0).ok()??;
            (deepest.dist.min(0.0), deepest.point2)
        }
    };
    Some(Approach {
        mover: mover.to_owned(),
        part: part.id.clone(),
        distance,
        at: Point3::new(at.x, at.y, at.z),
    })
}

/// The nearest approach of each pair, nearest first.
pub(super) fn nearest_each(mut all: Vec<Approach>) -> Vec<Approach> {
    all.sort_by(|a, b| {
        (&a.mover, &a.part)
            .cmp(&(&b.mover, &b.part))
            .then(a.distance.total_cmp(&b.distance))
    });
    all.dedup_by(|later, first| later.mover == first.mover && later.part == first.part);
    all.sort_by(|a, b| a.distance.total_cmp(&b.distance));
    all
}
