//! What an engine needs to run on a course, against what it has.

use super::approach::{Approach, Solids, nearest_each};
use super::gauge::{Envelope, Margin, Profile, Swept, margin_findings};
use super::motor::MotorFit;
use super::passage::{Passage, Range, VehicleRanges, Want};
use super::throw::{
    centre_throw, centre_throw_near, coupling_angle_near, end_throw, end_throw_near,
    least_radius_by_attack, truck_displacement_near,
};
use super::train::Train;
use super::{Course, RunningError};
use body::{
    Body, Chassis, Finding, FindingPlace, Model, Scale, Severity, TruckKind, WheelStandard,
};
use geom::{Point3, math};
use solid::SolidError;

/// How far distances may be off (mm): solids are held to twice this. What is nearer to its limit keeps it.
pub(super) const ACCURACY_MM: f64 = 0.005;

/// Greatest angle at which a wheel of a rigid wheelbase may meet the rail (rad): NEM 111 (2016).
const MOST_ATTACK: f64 = 12.0 * math::PI / 180.0;

/// An engine or a tender, ready to be led over tracks.
#[derive(Clone, Debug)]
pub struct Vehicle {
    /// Axles, trucks and ends.
    pub chassis: Chassis,
    /// Its outermost points.
    pub envelope: Envelope,
    /// The loading gauge of its line, if its model file gives it.
    pub loading: Option<Profile>,
    /// How its motor fits, if its model file gives one.
    pub motor: Option<MotorFit>,
    scale: Scale,
    solids: Solids,
    limits: Limits,
}

/// Distances that are kept: common practice, no source.
#[derive(Clone, Copy, Debug)]
struct Limits {
    /// Between a wheel and anything that it does not touch when all is well.
    wheel: f64,
    /// Between what a truck carries and what is above it.
    truck: f64,
    /// Between the beams of engine and tender.
    beams: f64,
    /// How far springs let a wheel rise: half their travel.
    rise: f64,
    /// What the flanges have between the rails.
    flange_play: f64,
}

impl Limits {
    fn of(wheels: WheelStandard) -> Self {
        let scale = wheels.scale();
        Self {
            wheel: scale.pick(0.3, 0.4),
            truck: scale.pick(0.3, 0.5),
            beams: scale.pick(0.5, 0.8),
            rise: wheels.spring_rise(),
            flange_play: wheels.flange_play(),
        }
    }
}

impl Vehicle {
    /// A vehicle of a model and its body.
    ///
    /// # Errors
    ///
    /// [`SolidError`] for a plate or fitting that has no solid.
    pub fn of(model: &Model, body: &Body) -> Result<Self, SolidError> {
        let chassis = Chassis::of(model);
        let solids = Solids::of(body, &chassis)?;
        let motor = model.weight.motor.as_ref();
        Ok(Self {
            envelope: Envelope::of(&solids),
            loading: Profile::loading(&model.loading_gauge),
            motor: motor.map(|own| MotorFit::of(own, &chassis, &solids)),
            scale: model.scale,
            limits: Limits::of(model.wheels),
            solids,
            chassis,
        })
    }
}

/// A throw or displacement, exactly and by the formula that tables use.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared {
    /// What it is.
    pub title: String,
    /// From the exact positions on the track.
    pub exact: f64,
    /// To second order in length over radius.
    pub near: f64,
    /// True for an angle (rad), false for a length (mm).
    pub is_angle: bool,
}

/// What was found on a course.
#[derive(Clone, Debug, PartialEq)]
pub struct Clearances {
    /// The course.
    pub course: Course,
    /// What each part had to do.
    pub passage: Passage,
    /// Throws and displacements.
    pub compared: Vec<Compared>,
    /// Approaches of the engine's wheels and trucks, nearest first.
    pub engine: Vec<Approach>,
    /// Those of the tender's.
    pub tender: Vec<Approach>,
    /// Where parts of the engine, and of the tender, come nearest to their loading gauges on the straight.
    pub loading: [Vec<Margin>; 2],
    /// How far the train reaches to the sides, against the structure gauge.
    pub swept: Swept,
    /// That structure gauge.
    pub structure: Profile,
    /// What is too near or does not reach.
    pub findings: Vec<Finding>,
}

/// An engine, with its tender, whose clearances are asked for.
#[derive(Clone, Copy, Debug)]
pub struct Running<'v> {
    /// The engine.
    pub engine: &'v Vehicle,
    /// The tender.
    pub tender: Option<&'v Vehicle>,
}

/// Radii between which the least is looked for (mm).
const RADII: (f64, f64) = (100.0, 20_000.0);

impl Running<'_> {
    /// What is led over the track.
    pub fn train(&self) -> Train<'_> {
        Train {
            engine: &self.engine.chassis,
            tender: self.tender.map(|tender| &tender.chassis),
        }
    }

    /// Clearances on a course.
    ///
    /// # Errors
    ///
    /// [`RunningError`] where the train cannot be stood on the track at all.
    pub fn over(&self, course: Course) -> Result<Clearances, RunningError> {
        let train = self.train();
        let passage = train.over(&course)?;
        let engine = approaches(self.engine, &passage.engine, |s| {
            Ok(train.at(&passage.track, s)?.engine)
        })?;
        let tender = match (self.tender, &passage.tender) {
            (Some(tender), Some(ranges)) => approaches(tender, ranges, |s| {
                let stood = train.at(&passage.track, s)?.tender;
                Ok(stood.expect("the train has a tender").0)
            })?,
            _ => Vec::new(),
        };
        let mut findings = vehicle_findings(self.engine, &passage.engine, &engine, course.radius());
        if let (Some(own), Some(ranges)) = (self.tender, &passage.tender) {
            let mut of_tender = vehicle_findings(own, ranges, &tender, course.radius());
            for finding in &mut of_tender {
                finding.sentence = format!("tender: {}", finding.sentence);
            }
            findings.extend(of_tender);
        }
        findings.extend(self.coupling_finding(&passage));
        let structure = Profile::structure(self.engine.scale);
        let behind = self.tender.map(|own| &own.envelope);
        let swept = Swept::of(
            &train,
            &passage,
            (&self.engine.envelope, behind),
            &structure,
        )?;
        findings.extend(margin_findings(
            &swept.margins,
            &structure,
            "outside-structure",
        ));
        let mut loading: [Vec<Margin>; 2] = Default::default();
        for (own, margins) in std::iter::once(self.engine)
            .chain(self.tender)
            .zip(&mut loading)
        {
            if let Some(profile) = &own.loading {
                *margins = own.envelope.margins(profile);
                findings.extend(margin_findings(margins, profile, "outside-loading-gauge"));
            }
            findings.extend(own.motor.iter().flat_map(|fit| fit.findings.clone()));
        }
        findings.sort_by_key(|own| own.severity);
        Ok(Clearances {
            compared: self.compared(&passage, course.radius()),
            course,
            passage,
            engine,
            tender,
            loading,
            swept,
            structure,
            findings,
        })
    }

    /// The least radius (mm) of a course of this kind on which nothing is an error, and what stops the train
    /// on one a little sharper; `None` if it does not even run on the flattest that is looked at. An error that is `let_pass`
    /// stops nothing.
    ///
    /// # Errors
    ///
    /// As [`Running::over`], on the flattest course.
    pub fn least_radius(
        &self,
        course: impl Fn(f64) -> Course,
        let_pass: impl Fn(&Finding) -> bool,
    ) -> Result<Option<(f64, Vec<Finding>)>, RunningError> {
        let errors = |radius: f64| -> Result<Vec<Finding>, RunningError> {
            let mut findings = self.over(course(radius))?.findings;
            findings.retain(|own| own.severity == Severity::Error && !let_pass(own));
            Ok(findings)
        };
        let (mut sharp, mut flat) = RADII;
        if !errors(flat)?.is_empty() {
            return Ok(None);
        }
        let mut stops = Vec::new();
        while flat / sharp > 1.005 {
            let middle = (flat * sharp).sqrt();
            match errors(middle) {
                Ok(found) if found.is_empty() => flat = middle,
                Ok(found) => (sharp, stops) = (middle, found),
                Err(_) => sharp = middle,
            }
        }
        Ok(Some((flat, stops)))
    }

    fn coupling_finding(&self, passage: &Passage) -> Option<Finding> {
        let coupled = passage.coupled.as_ref()?;
        let least = self.engine.limits.beams;
        let gap = coupled.gap.least;
        if gap >= least {
            return None;
        }
        let chassis = &self.engine.chassis;
        let straight = chassis.drawbars[1].map_or(0.0, |bar| bar.gap);
        Some(Finding {
            path: "drag_beam.gap".to_owned(),
            rule: "tender-near-engine",
            severity: if gap <= 0.0 {
                Severity::Error
            } else {
                Severity::Warning
            },
            found: gap,
            limit: least,
            at: at(Point3::new(chassis.length, chassis.half_beams[1], 0.0)),
            sentence: format!(
                "engine and tender come within {gap:.2} mm of each other and {least:.2} mm is wanted: their beams turn \
                 by {:.1}° and close {:.2} mm of the gap of {straight:.2} mm; couple them further apart",
                degrees(coupled.angle.greatest()),
                straight - gap
            ),
        })
    }

    fn compared(&self, passage: &Passage, radius: f64) -> Vec<Compared> {
        let mut all = Vec::new();
        let mut length = |title: String, exact: f64, near: f64| {
            all.push(Compared {
                title,
                exact,
                near,
                is_angle: false,
            });
        };
        let chassis = &self.engine.chassis;
        let Some((first, last)) = chassis.rigid().next().zip(chassis.rigid().last()) else {
            return all;
        };
        let (base, middle) = (last.x - first.x, (first.x + last.x) / 2.0);
        length(
            "Middle of the rigid wheelbase, to the inside".to_owned(),
            centre_throw(base, radius),
            centre_throw_near(base, radius),
        );
        for (title, reach) in [
            ("Front beam, to the outside", middle),
            ("Rear beam, to the outside", chassis.length - middle),
        ] {
            length(
                title.to_owned(),
                end_throw(2.0 * reach, base, radius),
                end_throw_near(2.0 * reach, base, radius),
            );
        }
        for (truck, slide) in chassis.trucks.iter().zip(&passage.engine.slides) {
            let axles = || truck.axles.iter().filter_map(|n| chassis.axle(*n));
            match truck.kind {
                TruckKind::Bogie => {
                    let xs = || axles().map(|axle| axle.x);
                    let own =
                        xs().fold(f64::NEG_INFINITY, f64::max) - xs().fold(f64::INFINITY, f64::min);
                    length(
                        format!("Slide of the pivot of {}", truck.id),
                        slide.greatest(),
                        truck_displacement_near(truck.pivot - middle, base, radius)
                            + centre_throw_near(own, radius),
                    );
                }
                TruckKind::Swinging => {
                    for axle in axles() {
                        length(
                            format!("Sideways at axle {} of {}", axle.number, truck.id),
                            passage.engine.offsets[axle.number - 1].greatest(),
                            truck_displacement_near(axle.x - middle, base, radius),
                        );
                    }
                }
            }
        }
        if let (Some(tender), Some(coupled)) = (self.tender, &passage.coupled) {
            let own = &tender.chassis;
            if let Some((first, last)) = own.rigid().next().zip(own.rigid().last()) {
                let gap = chassis.drawbars[1].map_or(0.0, |bar| bar.gap);
                all.push(Compared {
                    title: "Angle between engine and tender".to_owned(),
                    exact: coupled.angle.greatest(),
                    near: coupling_angle_near(
                        chassis.length - middle,
                        gap + (first.x + last.x) / 2.0,
                        radius,
                    ),
                    is_angle: true,
                });
            }
        }
        all
    }
}

/// The nearest that wheels and trucks come to the rest: axles in the frames at the ends of their play, trucks
/// where they swing and slide most to either side.
fn approaches(
    vehicle: &Vehicle,
    ranges: &VehicleRanges,
    standing: impl Fn(f64) -> Result<super::Standing, RunningError>,
) -> Result<Vec<Approach>, RunningError> {
    let rise = vehicle.limits.rise;
    let mut all: Vec<Approach> = vehicle
        .chassis
        .rigid()
        .flat_map(|axle| vehicle.solids.beside_axle(&vehicle.chassis, axle, rise))
        .collect();
    let mut places: Vec<f64> = ranges
        .swings
        .iter()
        .chain(&ranges.slides)
        .flat_map(|range: &Range| [range.least_at, range.most_at])
        .collect();
    places.sort_by(f64::total_cmp);
    places.dedup();
    for s in places {
        all.extend(
            vehicle
                .solids
                .beside_trucks(&vehicle.chassis, &standing(s)?, rise),
        );
    }
    Ok(nearest_each(all))
}

fn vehicle_findings(
    vehicle: &Vehicle,
    ranges: &VehicleRanges,
    approaches: &[Approach],
    radius: f64,
) -> Vec<Finding> {
    let chassis = &vehicle.chassis;
    let limits = &vehicle.limits;
    let wants = ranges.wants(chassis, limits.flange_play);
    let mut findings: Vec<Finding> = wants
        .iter()
        .map(|want| want_finding(want, radius))
        .collect();
    findings.extend(attack_finding(chassis, radius));
    // Nearest first: what follows of the same pair on the other side is told with it.
    let mut told: Vec<(String, String)> = Vec::new();
    for approach in approaches {
        let pair = approach.without_hand();
        if !told.contains(&pair) {
            findings.extend(approach_finding(approach, limits));
            told.push(pair);
        }
    }
    findings
}

fn want_finding(want: &Want, radius: f64) -> Finding {
    match want {
        Want::SidePlay {
            axle,
            x,
            needed,
            there,
        } => Finding {
            path: format!("axles[{}].side_play", axle - 1),
            rule: "axle-side-play",
            severity: Severity::Error,
            found: *needed,
            limit: *there,
            at: at(Point3::new(*x, 0.0, 0.0)),
            sentence: format!(
                "axle {axle} has to shift {needed:.2} mm to pass {radius:.0} mm radius; its side play, that of the end axles and \
                 the flanges give {there:.2} mm: give it {:.2} mm each way",
                needed - there,
            ),
        },
        Want::Slide {
            truck,
            x,
            needed,
            there,
        } => Finding {
            path: "curves.least_radius".to_owned(),
            rule: "bogie-slide",
            severity: Severity::Error,
            found: *needed,
            limit: *there,
            at: at(Point3::new(*x, 0.0, 0.0)),
            sentence: format!(
                "the pivot of {truck} has to slide {needed:.2} mm to pass {radius:.0} mm radius and its slot lets it slide {there:.2} mm"
            ),
        },
    }
}

fn attack_finding(chassis: &Chassis, radius: f64) -> Option<Finding> {
    let (first, last) = chassis.rigid().next().zip(chassis.rigid().last())?;
    let least = least_radius_by_attack(last.x - first.x, MOST_ATTACK);
    (radius < least).then(|| Finding {
        path: "axles".to_owned(),
        rule: "wheel-attack",
        severity: Severity::Warning,
        found: radius,
        limit: least,
        at: at(Point3::new(first.x, 0.0, 0.0)),
        sentence: format!(
            "on {radius:.0} mm radius the leading wheel meets the rail at more than {:.0}°, beyond which flanges climb; \
             this wheelbase wants {least:.0} mm",
            degrees(MOST_ATTACK)
        ),
    })
}

fn approach_finding(approach: &Approach, limits: &Limits) -> Option<Finding> {
    let is_wheel = approach.mover.starts_with("wheel-");
    let (least, touches, near) = if is_wheel {
        (limits.wheel, "wheel-touches", "wheel-near")
    } else {
        (limits.truck, "truck-touches", "truck-near")
    };
    if approach.distance > least - ACCURACY_MM {
        return None;
    }
    let touching = approach.distance <= 0.0;
    let how = if touching {
        format!("cuts {:.2} mm into", -approach.distance)
    } else {
        format!("comes within {:.2} mm of", approach.distance)
    };
    Some(Finding {
        path: approach.part.clone(),
        rule: if touching { touches } else { near },
        severity: if touching {
            Severity::Error
        } else {
            Severity::Warning
        },
        found: approach.distance,
        limit: least,
        at: FindingPlace {
            plate: Some(approach.part.clone()),
            flat: None,
            body: Some(approach.at),
        },
        sentence: format!(
            "{} {how} {}; {least:.2} mm is wanted",
            approach.mover, approach.part
        ),
    })
}

fn at(point: Point3) -> FindingPlace {
    FindingPlace {
        plate: None,
        flat: None,
        body: Some(point),
    }
}

fn degrees(angle: f64) -> f64 {
    angle * 180.0 / math::PI
}
