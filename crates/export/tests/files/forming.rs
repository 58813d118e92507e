//! The animations of a GLB, played by hand: the file's own nodes, keys and skins in 64 bits, against the
//! motion that the forming itself gives.

use crate::engine::{body, part};
use crate::preview::{accessor, children, chunks, floats, vectors};
use body::{Body, Curve, Edge, Order, Plate, Sheet};
use develop::{BendRule, Forming, Loft, LoftFrame, SurfacePoint, Trace};
use export::{GlbNode, glb_of, glb_of_nodes};
use geom::math::{FRAC_PI_2, PI, acos, cos, sin};
use geom::{BodyPoint, Chain, FlatPoint, Point2, Vector3};
use serde_json::Value;
use solid::{MeshOptions, PlateMesh, mesh_plate};
use std::collections::BTreeMap;

/// Greatest distance of the played file from the exact motion (mm): while the plate is flat or formed, what
/// the roundness of strips and 32 bits cost; part-way also what the straight way between two keys does.
const AT_ENDS_MM: f64 = 0.03;
const PART_WAY_MM: f64 = 0.025;
const FORMED_MM: f64 = 1e-4;

/// Height off the plane of a flat plate (mm): a rivet's foot that reaches over to the next strip goes with its
/// own, half a millimetre at six degrees.
const LEVEL_MM: f64 = 0.05;

type Quaternion = [f64; 4];

fn turned(q: Quaternion, p: Vector3) -> Vector3 {
    let axis = Vector3::new(q[0], q[1], q[2]);
    let t = axis.cross(&p) * 2.0;
    p + t * q[3] + axis.cross(&t)
}

fn unit(q: Quaternion) -> Quaternion {
    let length = q.iter().map(|x| x * x).sum::<f64>().sqrt();
    q.map(|x| x / length)
}

/// Between two unit quaternions at a steady rate, as the format's linear keys of turns go.
fn slerp(a: Quaternion, b: Quaternion, share: f64) -> Quaternion {
    let dot: f64 = a.iter().zip(&b).map(|(x, y)| x * y).sum();
    let (b, dot) = if dot < 0.0 {
        (b.map(|x| -x), -dot)
    } else {
        (b, dot)
    };
    let angle = acos(dot.min(1.0));
    if angle < 1e-3 {
        // Too small for 32 bits to tell the angle; the straight way is as good.
        return unit(std::array::from_fn(|i| a[i] + (b[i] - a[i]) * share));
    }
    let (from, to) = (
        sin((1.0 - share) * angle) / sin(angle),
        sin(share * angle) / sin(angle),
    );
    std::array::from_fn(|i| a[i] * from + b[i] * to)
}

/// A GLB with one of its animations stopped at a time.
struct Stage {
    json: Value,
    binary: Vec<u8>,
    parent: BTreeMap<usize, usize>,
    shift: BTreeMap<usize, Vector3>,
    turn: BTreeMap<usize, Quaternion>,
}

impl Stage {
    /// `share` of the animation's length.
    fn of(glb: &[u8], animation: &str, share: f64) -> Self {
        let (json, binary) = chunks(glb);
        let mut stage = Self {
            parent: BTreeMap::new(),
            shift: BTreeMap::new(),
            turn: BTreeMap::new(),
            binary: binary.to_vec(),
            json,
        };
        for (i, node) in stage.json["nodes"].as_array().unwrap().iter().enumerate() {
            stage
                .parent
                .extend(children(node).into_iter().map(|c| (c, i)));
        }
        let animations = stage.json["animations"].as_array().unwrap();
        let own = animations.iter().find(|a| a["name"] == animation).unwrap();
        let time = share * length(&stage.json, own);
        let numbers = |index: &Value, width: usize| {
            let (at, count, _) = accessor(&stage.json, index);
            floats(&stage.binary, at, count * width)
        };
        for channel in own["channels"].as_array().unwrap() {
            let sampler = &own["samplers"][channel["sampler"].as_u64().unwrap() as usize];
            let node = channel["target"]["node"].as_u64().unwrap() as usize;
            let times = numbers(&sampler["input"], 1);
            let next = times
                .partition_point(|t| *t <= time)
                .clamp(1, times.len() - 1);
            let (from, to) = (times[next - 1], times[next]);
            let share = ((time - from) / (to - from)).clamp(0.0, 1.0);
            match channel["target"]["path"].as_str().unwrap() {
                "translation" => {
                    let keys = numbers(&sampler["output"], 3);
                    let key = |i: usize| Vector3::from_column_slice(&keys[3 * i..3 * i + 3]);
                    let at = key(next - 1) + (key(next) - key(next - 1)) * share;
                    stage.shift.insert(node, at);
                }
                "rotation" => {
                    let keys = numbers(&sampler["output"], 4);
                    let key = |i: usize| unit(std::array::from_fn(|k| keys[4 * i + k]));
                    stage
                        .turn
                        .insert(node, slerp(key(next - 1), key(next), share));
                }
                path => panic!("no animation of {path}"),
            }
        }
        stage
    }

    /// A point of a node's frame in the scene (m, y up).
    fn in_scene(&self, node: usize, point: Vector3) -> Vector3 {
        let own = &self.json["nodes"][node];
        let listed = |key: &str| -> Option<Vec<f64>> {
            let list = own[key].as_array()?;
            Some(list.iter().map(|x| x.as_f64().unwrap()).collect())
        };
        let scale = listed("scale").map_or(1.0, |s| s[0]);
        let turn = self.turn.get(&node).copied();
        let turn = turn.or_else(|| listed("rotation").map(|q| [q[0], q[1], q[2], q[3]]));
        let shift = self.shift.get(&node).copied();
        let shift = shift.or_else(|| listed("translation").map(|t| Vector3::from_column_slice(&t)));
        let point = turned(turn.unwrap_or([0.0, 0.0, 0.0, 1.0]), point * scale)
            + shift.unwrap_or_else(Vector3::zeros);
        match self.parent.get(&node) {
            Some(&parent) => self.in_scene(parent, point),
            None => point,
        }
    }

    fn node(&self, name: &str) -> usize {
        let nodes = self.json["nodes"].as_array().unwrap();
        nodes.iter().position(|node| node["name"] == name).unwrap()
    }

    /// Vertices of a skinned part where the skin puts them (body mm).
    fn vertices(&self, name: &str) -> Vec<BodyPoint> {
        let node = &self.json["nodes"][self.node(name)];
        let index = |v: &Value| v.as_u64().unwrap() as usize;
        let primitive = &self.json["meshes"][index(&node["mesh"])]["primitives"][0];
        let (at, count, _) = accessor(&self.json, &primitive["attributes"]["POSITION"]);
        let positions = vectors(&self.binary, at, count);
        let (joints, _, component) = accessor(&self.json, &primitive["attributes"]["JOINTS_0"]);
        assert_eq!(component, 5121);
        let (weights, _, _) = accessor(&self.json, &primitive["attributes"]["WEIGHTS_0"]);
        let skin = &self.json["skins"][index(&node["skin"])];
        let (binds, bones, _) = accessor(&self.json, &skin["inverseBindMatrices"]);
        let binds = floats(&self.binary, binds, 16 * bones);
        (0..count)
            .map(|i| {
                let quad = |from: usize| &self.binary[from + 4 * i..from + 4 * i + 4];
                assert_eq!(quad(weights), [255, 0, 0, 0]);
                let bone = usize::from(quad(joints)[0]);
                let m = &binds[16 * bone..16 * bone + 16];
                let p = positions[i].map(f64::from);
                let own = Vector3::from_fn(|r, _| {
                    m[r] * p[0] + m[4 + r] * p[1] + m[8 + r] * p[2] + m[12 + r]
                });
                let joint = index(&skin["joints"][bone]);
                let seen = self.in_scene(joint, own);
                BodyPoint::new(seen.x * 1e3, -seen.z * 1e3, seen.y * 1e3)
            })
            .collect()
    }
}

/// Time of an animation's last key (s).
fn length(json: &Value, animation: &Value) -> f64 {
    let samplers = animation["samplers"].as_array().unwrap().iter();
    let ends = samplers.map(|sampler| {
        let input = sampler["input"].as_u64().unwrap() as usize;
        json["accessors"][input]["max"][0].as_f64().unwrap()
    });
    ends.fold(0.0, f64::max)
}

/// Positions of the mesh that the vertices of a part in the file stand at.
fn position_of(node: &GlbNode, mesh: &PlateMesh) -> Vec<usize> {
    let mut of = vec![usize::MAX; node.positions.len()];
    let corners = node.triangles.iter().flatten();
    for (vertex, position) in corners.zip(mesh.mesh.triangles.iter().flatten()) {
        of[*vertex as usize] = *position as usize;
    }
    of
}

/// Point of the flat and height over mid-sheet of a position that moves with the ruling `w`; `None` at the
/// apex of a cone, which belongs to many rulings.
fn on_flat(loft: &Loft, w: f64, position: [f64; 3]) -> Option<(FlatPoint, f64)> {
    let front = loft.formed(SurfacePoint { w, v: 0.0 }).point;
    let [along, across, normal] = loft.formed_axes(w);
    let from = BodyPoint::from(position) - front;
    assert!(
        from.dot(&across).abs() < 1e-9,
        "{position:?} is not on the ruling {w}"
    );
    let v = from.dot(&along) / loft.ruling(w).length;
    let flat = loft.flat(SurfacePoint { w, v });
    let found = loft.formed(loft.locate(flat)).normal;
    (found.dot(&normal) > 1.0 - 1e-12).then(|| (flat, from.dot(&normal)))
}

fn rolled(body: &Body) -> impl Iterator<Item = (&Plate, &Loft)> {
    let plates = body.plates.iter();
    plates.filter_map(|plate| Some((plate, plate.forming.loft()?)))
}

/// A whole loft as a plate.
fn wrapper(id: &str, thickness: f64, [front, rear]: [&Chain; 2], length: f64) -> Plate {
    let frame = LoftFrame::along_engine(40.0);
    let loft = Loft::between(frame, front, rear, length, thickness, BendRule::Din6935).unwrap();
    let end = loft.w_end();
    let across = |v, from, to| Trace::Section { v, from, to };
    let along = |w, from, to| Trace::Ruling { w, from, to };
    let outline = [
        along(0.0, 0.0, 1.0),
        across(1.0, 0.0, end),
        along(end, 1.0, 0.0),
        across(0.0, end, 0.0),
    ];
    let edge = |(trace, name): (Trace, &str)| Edge {
        name: name.to_owned(),
        curve: Curve::Surface(trace),
    };
    let names = ["right", "rear", "left", "front"];
    Plate {
        id: id.to_owned(),
        assembly: "boiler",
        title: id.to_owned(),
        sheet: Sheet::plain("brass half-hard", thickness),
        forming: Forming::Rolled(Box::new(loft)),
        outline: outline.into_iter().zip(names).map(edge).collect(),
        holes: Vec::new(),
        regions: Vec::new(),
        rivets: Vec::new(),
        marks: Vec::new(),
        points: Vec::new(),
    }
}

/// A ring about the same axis, open below by a quarter.
fn ring(radius: f64) -> Chain {
    let start = Point2::new(
        -radius * std::f64::consts::FRAC_1_SQRT_2,
        40.0 - radius * std::f64::consts::FRAC_1_SQRT_2,
    );
    Chain::starting(start, 0.75 * PI)
        .arc(radius, -1.5 * PI)
        .finish()
}

/// Sides, corners and a flat top, with or without a waist on one side.
fn box_section(radius: f64, waist: bool) -> Chain {
    let (turn, bend) = if waist { (0.3, 8.0) } else { (0.0, 0.0) };
    let inset = 2.0 * bend * (1.0 - cos(turn));
    let mut chain = Chain::starting(Point2::new(inset - 16.0, 20.0), FRAC_PI_2).line(6.0);
    if waist {
        chain = chain.arc(bend, turn).arc(bend, -turn);
    }
    chain
        .line(18.0 - radius - 2.0 * bend * sin(turn))
        .arc(radius, -FRAC_PI_2)
        .line(32.0 - 2.0 * radius)
        .arc(radius, -FRAC_PI_2)
        .line(24.0 - radius)
        .finish()
}

/// Plates of every kind: cylinder, cone, box with tight corners, and one whose waist runs out to a point.
fn kinds() -> Vec<Plate> {
    let (plain, waisted) = (box_section(4.0, false), box_section(4.0, true));
    let tight = box_section(0.8, false);
    vec![
        wrapper("cylinder", 0.3, [&ring(15.0), &ring(15.0)], 60.0),
        wrapper("cone", 0.3, [&ring(14.0), &ring(17.0)], 60.0),
        wrapper("tight", 0.4, [&tight, &tight], 50.0),
        wrapper("apex", 0.3, [&waisted, &plain], 50.0),
    ]
}

#[test]
fn strips_go_where_the_motion_takes_them() {
    let apex = kinds().pop().unwrap();
    let patches = apex.forming.loft().unwrap().patches().iter();
    let mut radii = patches.filter_map(|patch| patch.radii());
    assert!(radii.any(|(front, rear)| front.min(rear) < 1e-9));
    let options = MeshOptions {
        rivets: false,
        ..MeshOptions::default()
    };
    let kinds = kinds();
    let own = kinds
        .iter()
        .map(|plate| (plate, plate.forming.loft().unwrap()));
    for (plate, loft) in own.chain(rolled(body())) {
        let mesh = mesh_plate(plate, &options).unwrap();
        let node = GlbNode::of_forming(plate, &mesh).unwrap();
        let position_of = position_of(&node, &mesh);
        let glb = glb_of_nodes(&[node]).unwrap();
        let flats: Vec<Option<(FlatPoint, f64)>> = mesh
            .mesh
            .positions
            .iter()
            .zip(mesh.rulings())
            .map(|(&position, &w)| on_flat(loft, w, position))
            .collect();
        let missed = flats.iter().filter(|flat| flat.is_none()).count();
        assert!(missed < 20, "{}: {missed} positions at apexes", plate.id);
        for (lambda, tolerance) in [(0.0, AT_ENDS_MM), (0.5, PART_WAY_MM), (1.0, FORMED_MM)] {
            let motion = plate.forming.at(lambda);
            let vertices = Stage::of(&glb, "form", lambda).vertices(&plate.id);
            let mut worst: f64 = 0.0;
            for (vertex, &position) in vertices.iter().zip(&position_of) {
                if let Some((flat, height)) = flats[position] {
                    let off = (motion.place(flat).at_height(height) - vertex).norm();
                    worst = worst.max(off);
                }
            }
            println!("{} at {lambda}: {worst:.5} mm", plate.id);
            assert!(worst < tolerance, "{} at {lambda}: {worst} mm", plate.id);
        }
    }
}

/// Flat means flat: all metal lies within its own thickness of one plane.
#[test]
fn at_the_start_a_plate_lies_in_a_plane() {
    let glb = glb_of(body(), part).unwrap();
    let stage = Stage::of(&glb, "form", 0.0);
    for (plate, loft) in rolled(body()) {
        let normal = loft.formed_axes(loft.datum())[2];
        let datum = SurfacePoint {
            w: loft.datum(),
            v: 0.0,
        };
        let origin = loft.formed(datum).point;
        let levels = plate.regions.iter().flat_map(|r| [r.z_low, r.z_high]);
        let (low, high) = levels
            .chain([plate.sheet.z_low, plate.sheet.z_high])
            .fold((0.0f64, 0.0f64), |(low, high), z| (low.min(z), high.max(z)));
        let head = plate.rivets.iter().map(|rivet| rivet.head_height);
        let high = high + head.fold(0.0, f64::max);
        for vertex in stage.vertices(&plate.id) {
            let height = (vertex - origin).dot(&normal);
            assert!(
                (low - LEVEL_MM..high + LEVEL_MM).contains(&height),
                "{}: {height} mm off the plane",
                plate.id
            );
        }
    }
}

/// A head and the sheet under it move as one.
#[test]
fn rivets_ride_on_one_strip() {
    let plate = rolled(body())
        .map(|(plate, _)| plate)
        .find(|plate| !plate.rivets.is_empty())
        .unwrap();
    let mesh = mesh_plate(plate, &MeshOptions::default()).unwrap();
    let strips = mesh.strips(plate).unwrap();
    let mut met = 0;
    for rivet in &plate.rivets {
        let place = plate.forming.place(rivet.centre);
        let mut own: Vec<u32> = Vec::new();
        for (position, strip) in mesh.mesh.positions.iter().zip(&strips.of_position) {
            let from = BodyPoint::from(*position) - place.point;
            let over = from.dot(&place.normal) > plate.sheet.z_high + rivet.head_height / 10.0;
            let beside = from - place.normal * from.dot(&place.normal);
            if over && beside.norm() < rivet.head_diameter / 2.0 {
                own.push(*strip);
            }
        }
        met += usize::from(own.len() == 7);
        own.dedup();
        assert!(own.len() <= 1, "{:?}: strips {own:?}", rivet.centre);
    }
    assert!(met > 10, "heads of a top and six corners: {met}");
}

#[test]
fn at_rest_everything_is_formed_and_in_place() {
    let glb = glb_of(body(), part).unwrap();
    let mut stage = Stage::of(&glb, "form", 0.0);
    stage.shift.clear();
    stage.turn.clear();
    for (plate, _) in rolled(body()) {
        let Some(export::PartMesh::Plate(mesh)) = part(&plate.id) else {
            panic!("{} has a mesh", plate.id);
        };
        let node = GlbNode::of_forming(plate, mesh).unwrap();
        let vertices = stage.vertices(&plate.id);
        for (vertex, position) in vertices.iter().zip(&node.positions) {
            let off = (vertex - BodyPoint::from(*position)).norm();
            assert!(off < FORMED_MM, "{}: {off} mm", plate.id);
        }
    }
}

/// Two animations, and each part that leaves does so in its turn: the last put in place first.
#[test]
fn drawn_apart_backwards_builds_the_engine_in_order() {
    let glb = glb_of(body(), part).unwrap();
    let (json, binary) = chunks(&glb);
    let animations = json["animations"].as_array().unwrap();
    let names: Vec<&str> = animations
        .iter()
        .map(|a| a["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["draw-apart", "form"]);
    let mut starts: BTreeMap<&str, f64> = BTreeMap::new();
    let apart = &animations[0];
    for channel in apart["channels"].as_array().unwrap() {
        assert_eq!(channel["target"]["path"], "translation");
        let node = &json["nodes"][channel["target"]["node"].as_u64().unwrap() as usize];
        let sampler = &apart["samplers"][channel["sampler"].as_u64().unwrap() as usize];
        let (at, count, _) = accessor(&json, &sampler["output"]);
        let keys = vectors(binary, at, count);
        assert_eq!(keys[0], [0.0; 3], "every part starts in its place");
        let (at, count, _) = accessor(&json, &sampler["input"]);
        let times = floats(binary, at, count);
        // The second last key is the last at which the part is still there.
        let name = node["name"].as_str().unwrap();
        let start = times[times.len() - 2];
        starts.insert(name.strip_suffix("/strips").unwrap_or(name), start);
    }
    let order = Order::of(body());
    let leaving: Vec<f64> = order
        .steps
        .iter()
        .filter_map(|step| starts.get(step.plate.as_str()).copied())
        .collect();
    assert!(leaving.len() + 1 >= body().plates.len(), "one plate stays");
    assert!(
        leaving.windows(2).all(|pair| pair[0] > pair[1]),
        "{leaving:?}"
    );
    for fitting in &body().fittings {
        assert!(starts[fitting.id.as_str()] < leaving[leaving.len() - 1]);
    }
}
