//! The engine, with its tender, in motion over its course.

use crate::as_drawn_glb::block;
use crate::{ExportError, GlbNode, GlbRide, Material, RideKey, glb_of_rides};
use body::{Chassis, Fitting, Held, Plate};
use check::running::{Approach, Frame, Standing, TrackLine, Train};
use geom::{Point2, Vector2, math};
use serde_json::json;
use solid::Mesh;

/// Seconds over the whole course, and keys of it: chosen by eye. At 600 mm radius what stands between two
/// keys is off by less than 0.02 mm.
const RUN_S: f64 = 10.0;
const KEYS: usize = 240;

/// Pieces of rail (mm), and its width and height.
const PIECE_MM: f64 = 4.0;
const RAIL_WIDTH_MM: f64 = 1.0;
const RAIL_HEIGHT_MM: f64 = 2.0;

/// Side of the cube that marks a nearest approach (mm), and how many are marked.
const MARK_MM: f64 = 1.2;
const MARKED: usize = 6;

/// A part with its mesh.
#[derive(Clone, Copy, Debug)]
pub enum RunningPart<'m> {
    /// A formed plate.
    Plate(&'m Plate, &'m Mesh),
    /// A fitting.
    Fitting(&'m Fitting, &'m Mesh),
}

/// An engine or tender with the meshes of its parts.
#[derive(Clone, Debug)]
pub struct RunningVehicle<'m> {
    /// Its axles and trucks.
    pub chassis: &'m Chassis,
    /// Its parts.
    pub parts: Vec<RunningPart<'m>>,
    /// Its nearest approaches, nearest first; the first of them are marked.
    pub nearest: &'m [Approach],
}

/// The train in motion from before the course to behind it, on its rails.
///
/// # Shape
///
/// Groups `rails`, `engine` and `engine/<truck>` for each truck, and the same of `tender`; the animation `run`
/// carries them along. Cubes `nearest-1` … mark where wheels and trucks come nearest to the rest.
///
/// # Errors
///
/// As [`glb_of_rides`]; [`ExportError::Running`] where the train cannot be stood on the track.
pub fn running_glb(
    engine: &RunningVehicle<'_>,
    tender: Option<&RunningVehicle<'_>>,
    track: &TrackLine,
    gauge: f64,
) -> Result<Vec<u8>, ExportError> {
    let train = Train {
        engine: engine.chassis,
        tender: tender.map(|own| own.chassis),
    };
    let mut nodes = rails(track, train.length(), gauge)?;
    nodes.extend(parts_of(engine, "engine")?);
    let mut rides = Rides::of("engine", engine.chassis);
    let mut behind = None;
    if let Some(own) = tender {
        nodes.extend(parts_of(own, "tender")?);
        behind = Some(Rides::of("tender", own.chassis));
    }
    let before = 0.3 * train.length();
    let way = track.length() + train.length() + before;
    for i in 0..=KEYS {
        let share = i as f64 / KEYS as f64;
        let stood = train.at(track, way * share - before)?;
        rides.take(RUN_S * share, &stood.engine);
        if let (Some(rides), Some((stood, _))) = (&mut behind, &stood.tender) {
            rides.take(RUN_S * share, stood);
        }
    }
    let mut all = rides.0;
    all.extend(behind.into_iter().flat_map(|own| own.0));
    glb_of_rides(&nodes, &all)
}

/// The ways of a vehicle and its trucks.
struct Rides(Vec<GlbRide>);

impl Rides {
    fn of(word: &str, chassis: &Chassis) -> Self {
        let ride = |assembly: String, within: Option<&str>| GlbRide {
            assembly,
            within: within.map(str::to_owned),
            keys: Vec::with_capacity(KEYS + 1),
        };
        let mut all = vec![ride(word.to_owned(), None)];
        for truck in &chassis.trucks {
            all.push(ride(format!("{word}/{}", truck.id), Some(word)));
        }
        Self(all)
    }

    fn take(&mut self, seconds: f64, stood: &Standing) {
        let home = &stood.frame;
        // x of the body points to its rear.
        let mut turn = math::atan2(-home.forward.y, -home.forward.x);
        if let Some(last) = self.0[0].keys.last() {
            let turns = ((last.turn - turn) / (2.0 * math::PI)).round();
            turn += turns * 2.0 * math::PI;
        }
        self.0[0].keys.push(RideKey {
            seconds,
            at: [home.origin.x, home.origin.y, 0.0],
            turn,
        });
        for (ride, truck) in self.0[1..].iter_mut().zip(&stood.trucks) {
            ride.keys.push(key_within(seconds, &truck.frame, home));
        }
    }
}

fn key_within(seconds: f64, truck: &Frame, home: &Frame) -> RideKey {
    let at = home.own(truck.place(Point2::origin()));
    RideKey {
        seconds,
        at: [at.x, at.y, 0.0],
        turn: truck.turned_from(home),
    }
}

/// Parts under the vehicle, or under the truck that carries them.
fn parts_of(vehicle: &RunningVehicle<'_>, word: &str) -> Result<Vec<GlbNode>, ExportError> {
    let chassis = vehicle.chassis;
    let group = |id: &str| match carrier(chassis, id) {
        Some(truck) => format!("{word}/{}", chassis.trucks[truck].id),
        None => word.to_owned(),
    };
    let mut nodes = Vec::with_capacity(vehicle.parts.len());
    for part in &vehicle.parts {
        let mut node = match part {
            RunningPart::Plate(plate, mesh) => GlbNode::of_plate(plate, mesh)?,
            RunningPart::Fitting(fitting, mesh) => GlbNode::of_fitting(fitting, mesh)?,
        };
        node.assembly = group(&node.name);
        nodes.push(node);
    }
    for (i, own) in vehicle.nearest.iter().take(MARKED).enumerate() {
        let half = MARK_MM / 2.0;
        let low: [f64; 3] = std::array::from_fn(|k| own.at[k] - half);
        let high: [f64; 3] = std::array::from_fn(|k| own.at[k] + half);
        let title = format!("{} – {}: {:.2} mm", own.mover, own.part, own.distance);
        let extras = json!({"kind": "mark", "title": title, "distance_mm": crate::millimetres(own.distance)});
        let name = format!("nearest-{}", i + 1);
        let mut node = GlbNode::of_mesh(&name, word, extras, Material::Chart, &block(low, high))?;
        node.colours = vec![[200, 30, 10, 255]; node.positions.len()];
        nodes.push(node);
    }
    // What is carried is written after what carries it.
    nodes.sort_by_key(|node| node.assembly != word);
    Ok(nodes)
}

/// The truck that carries a part: its own plates, and the wheels and axles that it holds.
fn carrier(chassis: &Chassis, id: &str) -> Option<usize> {
    let own = chassis.trucks.iter().position(|truck| {
        let rest = id.strip_prefix(&truck.id);
        rest.is_some_and(|rest| rest.starts_with('-'))
    });
    own.or_else(|| {
        let rest = ["wheel-left-", "wheel-right-", "axle-"]
            .iter()
            .find_map(|word| id.strip_prefix(word))?;
        let number: usize = rest.split('-').next()?.parse().ok()?;
        match chassis.axle(number)?.held {
            Held::Truck(truck) => Some(truck),
            Held::Frames { .. } => None,
        }
    })
}

/// Two rails along the course and the straights before and behind it.
fn rails(track: &TrackLine, train: f64, gauge: f64) -> Result<Vec<GlbNode>, ExportError> {
    let (from, to) = (-1.3 * train, track.length() + 1.3 * train);
    let pieces = ((to - from) / PIECE_MM).ceil().max(1.0) as usize;
    let mut nodes = Vec::new();
    for (name, side) in [("rail-left", 1.0), ("rail-right", -1.0)] {
        let (near, far) = (gauge / 2.0, gauge / 2.0 + RAIL_WIDTH_MM);
        let mesh = bar_along(track, (from, to), pieces, (side * near, side * far));
        let extras = json!({"kind": "track", "title": "Rail"});
        nodes.push(GlbNode::of_mesh(
            name,
            "rails",
            extras,
            Material::DarkPaint,
            &mesh,
        )?);
    }
    Ok(nodes)
}

/// A bar under the level of the rails between two distances aside of the line, its ends closed.
fn bar_along(track: &TrackLine, (from, to): (f64, f64), pieces: usize, aside: (f64, f64)) -> Mesh {
    let (right, left) = (aside.0.min(aside.1), aside.0.max(aside.1));
    let mut mesh = Mesh {
        positions: Vec::with_capacity(4 * (pieces + 1)),
        triangles: Vec::new(),
        normals: Vec::new(),
    };
    let mut across = Vec::with_capacity(pieces + 1);
    for i in 0..=pieces {
        let at = track.at(from + (to - from) * i as f64 / pieces as f64);
        let (sin, cos) = math::sin_cos(at.heading);
        let to_left = Vector2::new(-sin, cos);
        across.push(to_left);
        for (side, z) in [
            (right, -RAIL_HEIGHT_MM),
            (left, -RAIL_HEIGHT_MM),
            (left, 0.0),
            (right, 0.0),
        ] {
            let p = at.point + to_left * side;
            mesh.positions.push([p.x, p.y, z]);
        }
    }
    let mut quad = |corners: [u32; 4], normals: [[f32; 3]; 4]| {
        let [a, b, c, d] = corners;
        let [na, nb, nc, nd] = normals;
        mesh.triangles.extend([[a, b, c], [a, c, d]]);
        mesh.normals.extend([[na, nb, nc], [na, nc, nd]]);
    };
    let level = |up: f32| [[0.0, 0.0, up]; 4];
    for i in 0..pieces {
        let (a, b) = (4 * i as u32, 4 * (i as u32 + 1));
        let aside = |k: usize, sign: f64| {
            [
                (sign * across[k].x) as f32,
                (sign * across[k].y) as f32,
                0.0,
            ]
        };
        let sides = |sign: f64| {
            let (here, there) = (aside(i, sign), aside(i + 1, sign));
            (here, there)
        };
        quad([a, a + 1, b + 1, b], level(-1.0));
        quad([a + 2, a + 3, b + 3, b + 2], level(1.0));
        let (here, there) = sides(1.0);
        quad([a + 1, a + 2, b + 2, b + 1], [here, here, there, there]);
        let (here, there) = sides(-1.0);
        quad([a + 3, a, b, b + 3], [here, here, there, there]);
    }
    let end = |k: usize, sign: f64| {
        // Ahead is to the right of the left.
        [
            (sign * across[k].y) as f32,
            (-sign * across[k].x) as f32,
            0.0,
        ]
    };
    quad([0, 3, 2, 1], [end(0, -1.0); 4]);
    let last = 4 * pieces as u32;
    quad([last, last + 1, last + 2, last + 3], [end(pieces, 1.0); 4]);
    mesh
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may fail by panic")]
    use super::*;
    use check::running::Course;

    #[test]
    fn a_bar_is_closed_and_wound_outward() {
        let course = Course::Reverse {
            radius: 600.0,
            straight: 50.0,
        };
        let track = course.line(200.0).unwrap();
        let (from, to) = (-50.0, track.length() + 50.0);
        let mesh = bar_along(&track, (from, to), 4000, (9.0, 10.0));
        // A curve and its counterpart: what one makes longer the other makes shorter.
        let wanted = (to - from) * RAIL_HEIGHT_MM;
        assert!((mesh.volume() - wanted).abs() < 1e-3 * wanted);
        for ([a, b, c], normals) in mesh.triangles.iter().zip(&mesh.normals) {
            let p = |i: &u32| geom::Point3::from(mesh.positions[*i as usize]);
            let facing = (p(b) - p(a)).cross(&(p(c) - p(a)));
            for n in normals {
                let n = geom::Vector3::new(n[0].into(), n[1].into(), n[2].into());
                assert!(facing.normalize().dot(&n) > 0.99);
            }
        }
    }
}
