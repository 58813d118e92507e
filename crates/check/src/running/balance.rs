//! What the model weighs, where its weight lies, what each axle carries, and where ballast should go.

use super::spaces::{Space, spaces};
use body::{Body, Chassis, Finding, FindingPlace, Held, Model, Severity};
use geom::{Point3, Vector3};
use solid::{Mesh, MeshOptions, SolidError, mesh_fitting, mesh_plate};

/// Chord error of the solids that are weighed (mm).
const CHORD_ERROR_MM: f64 = 0.02;

/// Kilograms of a long ton (2240 lb of 0.45359237 kg): exact.
const KILOGRAMS_OF_A_TON: f64 = 1_016.046_908_8;

/// Something that weighs.
#[derive(Clone, Debug, PartialEq)]
pub struct Mass {
    /// Sub-assembly, or name of a load.
    pub name: String,
    /// Mass (g).
    pub grams: f64,
    /// Its middle (mm).
    pub at: Point3,
}

/// Ballast that goes into a space.
#[derive(Clone, Debug, PartialEq)]
pub struct Ballast {
    /// The space.
    pub space: String,
    /// Mass that goes in (g).
    pub grams: f64,
    /// Mass that would go in (g).
    pub room: f64,
    /// Middle of the space along the engine (mm).
    pub x: f64,
}

/// The balance of a model.
#[derive(Clone, Debug, PartialEq)]
pub struct Balance {
    /// What weighs, by sub-assembly; loads by themselves.
    pub masses: Vec<Mass>,
    /// All of it (g).
    pub grams: f64,
    /// Centre of gravity (mm).
    pub centre: Point3,
    /// Mass that the full-size weight scales to (g): by the cube of the scale. `None` if the file gives none.
    pub wanted: Option<f64>,
    /// Middle of the coupled axles, over which the weight should lie (mm).
    pub middle: f64,
    /// First and last coupled axle (mm).
    pub coupled: (f64, f64),
    /// Spaces inside that can hold ballast, and what goes into each.
    pub ballast: Vec<Ballast>,
    /// Mass and place along the engine with that ballast (g, mm).
    pub ballasted: (f64, f64),
    /// Number of each axle, and what it carries without and with that ballast (g).
    pub axles: Vec<(usize, f64, f64)>,
    /// What is wrong.
    pub findings: Vec<Finding>,
}

impl Balance {
    /// Weighs a model.
    ///
    /// Axles in the frames carry as equal springs would; an axle of a truck as a spring weaker by
    /// `truck_share`. Plates without their rivets.
    ///
    /// # Errors
    ///
    /// [`SolidError`] for a plate or fitting that has no solid.
    pub fn of(model: &Model, body: &Body) -> Result<Self, SolidError> {
        let spec = &model.weight;
        let chassis = Chassis::of(model);
        let options = MeshOptions {
            rivets: false,
            chord_error: CHORD_ERROR_MM,
        };
        let mut masses: Vec<Mass> = Vec::new();
        let mut add = |name: &str, density: f64, mesh: &Mesh| {
            // g/cm³ and mm³.
            let grams = mesh.volume() * density / 1000.0;
            put(&mut masses, name, grams, mesh.centroid());
        };
        let mut walls = Vec::with_capacity(body.plates.len());
        for plate in &body.plates {
            let mesh = mesh_plate(plate, &options)?.mesh;
            add(plate.assembly, model.metal.alloy.density_g_cm3, &mesh);
            walls.push((plate.assembly, mesh));
        }
        for fitting in &body.fittings {
            let mesh = mesh_fitting(fitting, CHORD_ERROR_MM)?;
            let density = if fitting.assembly == "running-gear" {
                spec.wheels
            } else {
                spec.castings
            };
            add(fitting.assembly, density, &mesh);
        }
        for load in &spec.loads {
            let at = Point3::new(load.x, 0.0, load.z);
            put(&mut masses, &load.name, load.grams, at);
        }
        let motor = spec.motor.as_ref().and_then(|own| {
            let axle = chassis.axle(own.axle as usize)?;
            let middle = Point3::new(axle.x + own.behind, 0.0, axle.diameter / 2.0 + own.above);
            Some((own, middle))
        });
        if let Some((own, middle)) = motor {
            put(&mut masses, "motor", own.grams, middle);
        }
        let taken = motor.map(|(own, middle)| {
            let half = Vector3::new(own.length, own.width, own.height) / 2.0;
            (middle - half, middle + half)
        });
        let spaces = spaces(&walls, taken, &chassis);
        Ok(Self::with(model, &chassis, masses, &spaces))
    }

    fn with(model: &Model, chassis: &Chassis, masses: Vec<Mass>, spaces: &[Space]) -> Self {
        let spec = &model.weight;
        let grams: f64 = masses.iter().map(|own| own.grams).sum();
        let moment: Vector3 = masses.iter().map(|own| own.at.coords * own.grams).sum();
        let centre = Point3::from(moment / grams.max(1e-9));
        let ratio = 304.8 / model.scale.mm_per_foot();
        let wanted = spec
            .full_size_tons
            .map(|tons| tons * KILOGRAMS_OF_A_TON * 1000.0 / (ratio * ratio * ratio));
        let coupled = coupled_ends(chassis);
        let middle = (coupled.0 + coupled.1) / 2.0;
        let room = |space: &Space| space.volume * spec.ballast * spec.filling / 1000.0;
        let ballast = match wanted {
            Some(wanted) if wanted > grams => {
                let need = wanted - grams;
                let x = middle + (middle - centre.x) * grams / need;
                fill(spaces, need, x, room)
            }
            _ => fill(spaces, 0.0, middle, room),
        };
        let put_in: f64 = ballast.iter().map(|own| own.grams).sum();
        let total = grams + put_in;
        let moved: f64 = ballast.iter().map(|own| own.grams * own.x).sum();
        let x = (grams * centre.x + moved) / total.max(1e-9);
        let axles = chassis
            .axles
            .iter()
            .zip(axle_loads(chassis, spec.truck_share, grams, centre.x))
            .zip(axle_loads(chassis, spec.truck_share, total, x))
            .map(|((axle, without), with)| (axle.number, without, with))
            .collect();
        let mut own = Self {
            masses,
            grams,
            centre,
            wanted,
            middle,
            coupled,
            ballast,
            ballasted: (total, x),
            axles,
            findings: Vec::new(),
        };
        own.findings = own.judge();
        own
    }

    fn judge(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        let mut find = |rule, found: f64, limit: f64, x: f64, sentence: String| {
            findings.push(Finding {
                path: "weight".to_owned(),
                rule,
                severity: Severity::Warning,
                found,
                limit,
                at: FindingPlace {
                    plate: None,
                    flat: None,
                    body: Some(Point3::new(x, 0.0, self.centre.z)),
                },
                sentence,
            });
        };
        let (total, x) = self.ballasted;
        let (first, last) = self.coupled;
        if x < first || x > last {
            let limit = if x < first { first } else { last };
            let lies = if x < first {
                format!("{:.1} mm in front of the first", first - x)
            } else {
                format!("{:.1} mm behind the last", x - last)
            };
            find(
                "weight-beyond-axles",
                x,
                limit,
                x,
                format!(
                    "the centre of gravity lies {lies} coupled axle: put weight over the middle one"
                ),
            );
        }
        if let Some(wanted) = self.wanted {
            if total < 0.95 * wanted {
                find(
                    "too-light",
                    total,
                    wanted,
                    x,
                    format!(
                        "the model weighs {total:.0} g with all the ballast that goes in, and {wanted:.0} g is the full-size weight at this scale"
                    ),
                );
            } else if self.grams > 1.05 * wanted {
                find(
                    "too-heavy",
                    self.grams,
                    wanted,
                    x,
                    format!(
                        "the model weighs {:.0} g without ballast, and {wanted:.0} g is the full-size weight at this scale",
                        self.grams
                    ),
                );
            }
        }
        for (number, _, with) in &self.axles {
            if *with < 0.0 {
                find(
                    "axle-lifts",
                    *with,
                    0.0,
                    x,
                    format!("axle {number} carries nothing: the weight lies too far from it"),
                );
            }
        }
        findings
    }
}

/// Adds to the mass of a name.
fn put(masses: &mut Vec<Mass>, name: &str, grams: f64, at: Point3) {
    if let Some(own) = masses.iter_mut().find(|own| own.name == name) {
        let all = own.grams + grams;
        if all > 0.0 {
            own.at += (at - own.at) * (grams / all);
        }
        own.grams = all;
        return;
    }
    masses.push(Mass {
        name: name.to_owned(),
        grams,
        at,
    });
}

/// First and last coupled axle; of axles in the frames where none is coupled; of all where none is there.
fn coupled_ends(chassis: &Chassis) -> (f64, f64) {
    let ends = |wanted: &dyn Fn(&Held) -> bool| {
        let xs = || {
            let own = chassis.axles.iter().filter(|axle| wanted(&axle.held));
            own.map(|axle| axle.x)
        };
        let low = xs().fold(f64::INFINITY, f64::min);
        let high = xs().fold(f64::NEG_INFINITY, f64::max);
        (low <= high).then_some((low, high))
    };
    ends(&|held| matches!(held, Held::Frames { coupled: true }))
        .or_else(|| ends(&|held| matches!(held, Held::Frames { .. })))
        .or_else(|| ends(&|_| true))
        .unwrap_or((0.0, 0.0))
}

/// What each axle carries of a mass (g) whose middle is at x: loads kᵢ (a + b xᵢ) whose sum and moment are right.
fn axle_loads(chassis: &Chassis, truck_share: f64, grams: f64, x: f64) -> Vec<f64> {
    let stiff: Vec<f64> = chassis
        .axles
        .iter()
        .map(|axle| match axle.held {
            Held::Frames { .. } => 1.0,
            Held::Truck(_) => truck_share,
        })
        .collect();
    let sum = |power: i32| -> f64 {
        let own = chassis.axles.iter().zip(&stiff);
        own.map(|(axle, k)| k * axle.x.powi(power)).sum()
    };
    let (s0, s1, s2) = (sum(0), sum(1), sum(2));
    let determinant = s0 * s2 - s1 * s1;
    if determinant.abs() < 1e-9 * (s0 * s2).max(1.0) {
        // One axle, or all at one place.
        let all = s0.max(1e-9);
        return stiff.iter().map(|k| grams * k / all).collect();
    }
    let a = grams * (s2 - x * s1) / determinant;
    let b = grams * (x * s0 - s1) / determinant;
    let own = chassis.axles.iter().zip(&stiff);
    own.map(|(axle, k)| k * (a + b * axle.x)).collect()
}

/// Fills spaces until a mass is reached, those first whose middle is nearest to x.
fn fill(spaces: &[Space], need: f64, x: f64, room: impl Fn(&Space) -> f64) -> Vec<Ballast> {
    let mut order: Vec<usize> = (0..spaces.len()).collect();
    order.sort_by(|a, b| {
        let off = |i: usize| (spaces[i].middle.x - x).abs();
        off(*a).total_cmp(&off(*b))
    });
    let mut left = need;
    let mut goes = vec![0.0; spaces.len()];
    for i in order {
        goes[i] = room(&spaces[i]).min(left);
        left -= goes[i];
    }
    spaces
        .iter()
        .zip(goes)
        .map(|(own, grams)| Ballast {
            space: own.name.clone(),
            grams,
            room: room(own),
            x: own.middle.x,
        })
        .collect()
}
