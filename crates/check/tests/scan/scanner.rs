//! A scanner: points of a body as built, seen from round about, with noise, holes and points that belong to nothing.
//!
//! It samples fine triangles of the formed plates by area and looks for what is in the way by casting rays; nothing
//! of it is shared with what is tested.

use body::{Body, Fitting};
use check::scan::{Pose, ScanReport};
use geom::{Point3, Vector3};
use parry3d_f64::math::Vector;
use parry3d_f64::query::{Ray, RayCast};
use parry3d_f64::shape::TriMesh;
use solid::{Mesh, MeshOptions, mesh_fitting, mesh_plate};

/// Chord error of the triangles (mm).
const CHORD_ERROR_MM: f64 = 0.002;

/// Numbers that look as if drawn by lot, the same each time.
pub(crate) struct Lot(u64);

impl Lot {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// A number from 0 to 1 (SplitMix64; Steele, Lea and Flood 2014).
    pub(crate) fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) as f64 / u64::MAX as f64
    }

    /// A number with mean 0 and standard deviation 1: twelve shares summed.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.share()).sum::<f64>() - 6.0
    }

    pub(crate) fn vector(&mut self) -> Vector3 {
        Vector3::new(self.normal(), self.normal(), self.normal())
    }
}

/// What is built wrong about a sub-assembly.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Wrong {
    /// Moved (mm).
    Moved(Vector3),
    /// Twisted about an upright axis through its middle (rad).
    Twisted(f64),
    /// Wider by so much (mm): each side moved out by half of it.
    Wider(f64),
    /// So many times as large, about its middle.
    Larger(f64),
}

/// What is kept of a scan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Kept {
    All,
    /// Seen from the left alone.
    LeftSide,
    /// Above this height (mm).
    Above(f64),
}

pub(crate) struct Scanner<'w> {
    pub(crate) seed: u64,
    pub(crate) points: usize,
    pub(crate) noise: f64,
    /// Share of points that belong to nothing.
    pub(crate) outliers: f64,
    pub(crate) holes: usize,
    pub(crate) kept: Kept,
    /// Sub-assemblies, or single plates or fittings, and what is wrong about them.
    pub(crate) wrong: Vec<(&'w str, Wrong)>,
    /// How many times too large the scanner takes everything.
    pub(crate) size: f64,
}

impl Default for Scanner<'_> {
    fn default() -> Self {
        Self {
            seed: 1,
            points: 60_000,
            noise: 0.02,
            outliers: 0.2,
            holes: 6,
            kept: Kept::All,
            wrong: Vec::new(),
            size: 1.0,
        }
    }
}

/// A scan, and from where it was taken.
pub(crate) struct Scanned {
    pub(crate) points: Vec<Point3>,
    /// Outward, as a scanner gives them; those of outliers by lot.
    pub(crate) normals: Vec<Vector3>,
    /// From the body to the scan, once it has the size of the scan.
    pub(crate) pose: Pose,
    /// How many times too large it is.
    pub(crate) size: f64,
}

/// A part of a body with a fine mesh.
#[derive(Clone)]
pub(crate) struct Fine {
    pub(crate) assembly: &'static str,
    pub(crate) id: String,
    pub(crate) mesh: Mesh,
}

/// The body's parts but its running gear.
pub(crate) fn fine_meshes(body: &Body) -> Vec<Fine> {
    let options = MeshOptions {
        rivets: true,
        chord_error: CHORD_ERROR_MM,
    };
    let plates = body.plates.iter().map(|own| Fine {
        assembly: own.assembly,
        id: own.id.clone(),
        mesh: mesh_plate(own, &options).unwrap().mesh,
    });
    let fittings = fittings_of(body, |own| own.assembly != "running-gear");
    plates.chain(fittings).collect()
}

/// Tyres of the wheels.
pub(crate) fn fine_tyres(body: &Body) -> Vec<Fine> {
    fittings_of(body, |own| own.id.ends_with("-tyre"))
}

fn fittings_of(body: &Body, is_taken: impl Fn(&Fitting) -> bool) -> Vec<Fine> {
    let fittings = body.fittings.iter().filter(|own| is_taken(own));
    let fine = |own: &Fitting| Fine {
        assembly: own.assembly,
        id: own.id.clone(),
        mesh: mesh_fitting(own, CHORD_ERROR_MM).unwrap(),
    };
    fittings.map(fine).collect()
}

impl Scanner<'_> {
    pub(crate) fn scan(&self, meshes: &[Fine]) -> Scanned {
        let mut lot = Lot::new(self.seed);
        let built = self.built(meshes);
        let (low, high) = box_of(&built);
        let sampled = self.sampled(&built, &mut lot);
        let pose = Pose::about(
            Point3::origin(),
            lot.vector().normalize() * (lot.share() * geom::math::PI),
            lot.vector() * 50.0,
        );
        let room = (high - low) * 0.1;
        let mut points = Vec::new();
        let mut normals = Vec::new();
        for (point, normal) in sampled {
            let noisy = point + lot.vector() * self.noise;
            let noisy = Point3::from(noisy.coords * self.size);
            points.push(pose.point(&noisy));
            normals.push(pose.direction(&normal));
            // One outlier after so many points keeps their share.
            if lot.share() < self.outliers / (1.0 - self.outliers) {
                let at = Vector3::from_fn(|k, _| {
                    low[k] - room[k] + (high[k] - low[k] + 2.0 * room[k]) * lot.share()
                });
                points.push(pose.point(&Point3::from(at)));
                normals.push(lot.vector().normalize());
            }
        }
        Scanned {
            points,
            normals,
            pose,
            size: self.size,
        }
    }

    /// The meshes as built.
    fn built(&self, meshes: &[Fine]) -> Vec<Mesh> {
        let mut all: Vec<Mesh> = meshes.iter().map(|own| own.mesh.clone()).collect();
        for (assembly, wrong) in &self.wrong {
            let own: Vec<usize> = (0..all.len())
                .filter(|&i| meshes[i].assembly == *assembly || meshes[i].id == *assembly)
                .collect();
            assert!(!own.is_empty(), "there is no {assembly}");
            let whole: Vec<Mesh> = own.iter().map(|&i| all[i].clone()).collect();
            let (low, high) = box_of(&whole);
            let middle = Point3::from((low + high) / 2.0);
            for i in own {
                let mesh = &mut all[i];
                let half = (high.y - low.y) / 2.0;
                if let Wrong::Wider(by) = wrong {
                    widen(mesh, *by, half);
                    continue;
                }
                if let Wrong::Larger(by) = wrong {
                    for p in &mut mesh.positions {
                        *p = (middle + (Point3::from(*p) - middle) * *by).into();
                    }
                    continue;
                }
                let pose = match wrong {
                    Wrong::Moved(by) => Pose::about(middle, Vector3::zeros(), *by),
                    Wrong::Twisted(by) => Pose::about(middle, Vector3::z() * *by, Vector3::zeros()),
                    Wrong::Wider(_) | Wrong::Larger(_) => unreachable!("done above"),
                };
                for p in &mut mesh.positions {
                    *p = pose.point(&Point3::from(*p)).into();
                }
            }
        }
        all
    }

    /// Points on what can be seen, by area.
    fn sampled(&self, built: &[Mesh], lot: &mut Lot) -> Vec<(Point3, Vector3)> {
        let scene = Scene::of(built);
        let triangles: Vec<[Point3; 3]> = built
            .iter()
            .flat_map(|mesh| {
                mesh.triangles
                    .iter()
                    .map(|t| t.map(|corner| Point3::from(mesh.positions[corner as usize])))
            })
            .collect();
        let mut sums = Vec::with_capacity(triangles.len());
        let mut sum = 0.0;
        for [a, b, c] in &triangles {
            sum += (b - a).cross(&(c - a)).norm() / 2.0;
            sums.push(sum);
        }
        let (low, high) = box_of(built);
        let holes: Vec<Point3> = (0..self.holes)
            .map(|_| {
                let [a, _, _] = triangles[(lot.share() * triangles.len() as f64) as usize];
                a
            })
            .collect();
        let hole = (high - low).norm() / 40.0;
        let views = self.views();
        let wanted = (self.points as f64 * (1.0 - self.outliers)) as usize;
        let mut sampled = Vec::with_capacity(wanted);
        // Half of a body or more is hidden.
        for _ in 0..40 * wanted {
            if sampled.len() == wanted {
                break;
            }
            let drawn = lot.share() * sum;
            let at = sums.partition_point(|own| *own < drawn);
            let [a, b, c] = triangles[at.min(triangles.len() - 1)];
            let (mut u, mut v) = (lot.share(), lot.share());
            if u + v > 1.0 {
                (u, v) = (1.0 - u, 1.0 - v);
            }
            let point = a + (b - a) * u + (c - a) * v;
            let normal = (b - a).cross(&(c - a)).normalize();
            let is_kept = match self.kept {
                Kept::Above(height) => point.z > height,
                _ => true,
            };
            let in_hole = holes.iter().any(|own| (own - point).norm() < hole);
            if is_kept
                && !in_hole
                && views
                    .iter()
                    .any(|view| scene.is_seen(&point, &normal, view))
            {
                sampled.push((point, normal));
            }
        }
        sampled
    }

    /// Directions to the scanner: round a turntable at two heights, and from above.
    fn views(&self) -> Vec<Vector3> {
        let mut views = vec![Vector3::new(0.05, 0.02, 1.0).normalize()];
        for i in 0..10 {
            for height in [0.25, 0.9] {
                let (s, c) = geom::math::sin_cos(geom::math::TAU * (f64::from(i) + 0.3) / 10.0);
                views.push(Vector3::new(c, s, height).normalize());
            }
        }
        if self.kept == Kept::LeftSide {
            views.retain(|view| view.y > 0.3);
        }
        views
    }
}

/// Moves a part on one side out by half the width, and stretches one across the middle.
fn widen(mesh: &mut Mesh, by: f64, half: f64) {
    let (low, high) = mesh.bounds();
    for p in &mut mesh.positions {
        p[1] += by / 2.0
            * if low[1] > 0.1 {
                1.0
            } else if high[1] < -0.1 {
                -1.0
            } else {
                p[1] / half
            };
    }
}

/// What is in the way.
struct Scene {
    mesh: TriMesh,
}

impl Scene {
    fn of(meshes: &[Mesh]) -> Self {
        let mut points = Vec::new();
        let mut triangles = Vec::new();
        for mesh in meshes {
            let first = points.len() as u32;
            points.extend(mesh.positions.iter().map(|p| Vector::new(p[0], p[1], p[2])));
            triangles.extend(mesh.triangles.iter().map(|t| t.map(|own| own + first)));
        }
        Self {
            mesh: TriMesh::new(points, triangles).unwrap(),
        }
    }

    fn is_seen(&self, point: &Point3, normal: &Vector3, view: &Vector3) -> bool {
        if normal.dot(view) < 0.25 {
            return false;
        }
        let from = point + normal * 0.004;
        let ray = Ray::new(
            Vector::new(from.x, from.y, from.z),
            Vector::new(view.x, view.y, view.z),
        );
        self.mesh.cast_local_ray(&ray, 1e4, true).is_none()
    }
}

fn box_of(meshes: &[Mesh]) -> (Vector3, Vector3) {
    let far = f64::INFINITY;
    meshes.iter().fold(
        (Vector3::repeat(far), Vector3::repeat(-far)),
        |(low, high), mesh| {
            let (a, b) = mesh.bounds();
            (low.inf(&Vector3::from(a)), high.sup(&Vector3::from(b)))
        },
    )
}

impl Scanned {
    /// The scan as a cloud of points, with or without normals: PLY, little-endian.
    pub(crate) fn ply(&self, normals: bool) -> Vec<u8> {
        let mut out = b"ply\nformat binary_little_endian 1.0\n".to_vec();
        out.extend(format!("element vertex {}\n", self.points.len()).bytes());
        out.extend(b"property float x\nproperty float y\nproperty float z\n");
        if normals {
            out.extend(b"property float nx\nproperty float ny\nproperty float nz\n");
        }
        out.extend(b"end_header\n");
        for (point, normal) in self.points.iter().zip(&self.normals) {
            for x in point.coords.iter() {
                out.extend((*x as f32).to_le_bytes());
            }
            for x in normal.iter().filter(|_| normals) {
                out.extend((*x as f32).to_le_bytes());
            }
        }
        out
    }

    /// The scan as a mesh of a small triangle for each point, its corners 0.05 mm from it: STL.
    pub(crate) fn stl(&self) -> Vec<u8> {
        let mut out = vec![b' '; 80];
        out.extend((self.points.len() as u32).to_le_bytes());
        for (point, normal) in self.points.iter().zip(&self.normals) {
            let side = normal.cross(&normal.yzx()).normalize();
            let up = normal.cross(&side);
            let corners = [
                point + side * 0.05,
                point + (up * 0.866 - side * 0.5) * 0.05,
                point - (up * 0.866 + side * 0.5) * 0.05,
            ];
            for v in [
                normal,
                &corners[0].coords,
                &corners[1].coords,
                &corners[2].coords,
            ] {
                for x in v.iter() {
                    out.extend((*x as f32).to_le_bytes());
                }
            }
            out.extend([0, 0]);
        }
        out
    }

    /// How far a pose found misses, at the farthest of some places of the body (mm).
    pub(crate) fn missed_by(&self, report: &ScanReport, places: &[Point3]) -> f64 {
        let found = &report.alignment.pose;
        let taken = |place: &Point3| self.pose.point(&Point3::from(place.coords * self.size));
        let sized = if report.scale.is_off {
            1.0 / (1.0 + report.scale.share)
        } else {
            1.0
        };
        places
            .iter()
            .map(|place| {
                let own = Point3::from(taken(place).coords * sized);
                (found.point(&own) - place).norm()
            })
            .fold(0.0, f64::max)
    }
}
