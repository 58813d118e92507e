//! Motor and gearbox: a box that must fit inside the engine.

use super::approach::{Approach, Solids, nearest_each};
use super::clearances::ACCURACY_MM;
use body::{Chassis, Finding, FindingPlace, Motor, Severity};
use geom::Point3;
use parry3d_f64::math::{Pose, Vector};
use parry3d_f64::shape::Cuboid;

/// How the box of motor and gearbox stands in the engine.
#[derive(Clone, Debug, PartialEq)]
pub struct MotorFit {
    /// Middle of the box (mm).
    pub middle: Point3,
    /// Length, width and height (mm).
    pub size: [f64; 3],
    /// Air that is wanted (mm).
    pub wanted: f64,
    /// What it comes near, nearest first.
    pub nearest: Vec<Approach>,
    /// What is too near.
    pub findings: Vec<Finding>,
}

impl MotorFit {
    /// Of a motor over the axle that it drives.
    pub(super) fn of(motor: &Motor, chassis: &Chassis, solids: &Solids) -> Self {
        let axle = chassis
            .axle(motor.axle as usize)
            .expect("a model file whose motor drives no axle is refused");
        let middle = Point3::new(
            axle.x + motor.behind,
            0.0,
            axle.diameter / 2.0 + motor.above,
        );
        let size = [motor.length, motor.width, motor.height];
        let shape = Cuboid::new(Vector::new(size[0], size[1], size[2]) / 2.0);
        let pose = Pose::new(
            Vector::new(middle.x, middle.y, middle.z),
            Vector::new(0.0, 0.0, 0.0),
        );
        let reach = (size.iter().map(|own| own * own).sum::<f64>()).sqrt() / 2.0;
        let nearest = nearest_each(solids.beside(MOTOR, &shape, &pose, middle, reach));
        let findings = nearest
            .iter()
            .filter(|own| own.distance < motor.margin - ACCURACY_MM)
            .map(|own| finding(own, motor.margin))
            .collect();
        Self {
            middle,
            size,
            wanted: motor.margin,
            nearest,
            findings,
        }
    }
}

const MOTOR: &str = "motor";

fn finding(own: &Approach, wanted: f64) -> Finding {
    let touches = own.distance <= 0.0;
    let how = if touches {
        format!("reaches {:.2} mm into", -own.distance)
    } else {
        format!("comes within {:.2} mm of", own.distance)
    };
    Finding {
        path: "motor".to_owned(),
        rule: if touches {
            "motor-touches"
        } else {
            "motor-near"
        },
        severity: if touches {
            Severity::Error
        } else {
            Severity::Warning
        },
        found: own.distance,
        limit: wanted,
        at: FindingPlace {
            plate: Some(own.part.clone()),
            flat: None,
            body: Some(own.at),
        },
        sentence: format!(
            "the box of motor and gearbox {how} {}; {wanted:.2} mm is wanted: move it, turn it, take a smaller one, or open {}",
            own.part, own.part
        ),
    }
}
