//! An engine, with its tender, on the curve that was asked for.

use body::{Finding, Order, Overrides};
use check::running::{Approach, Balance, Clearances, Course, Running, Vehicle};
use check::{Judgement, Occasion, Waivers};
use export::{
    BalanceJson, ClearancesJson, DrawingSheet, FindingJson, GaugeJson, MotorJson, OnCurveSource,
    RunningPart, RunningVehicle, SheetSource, WaivedJson, waived_json,
};
use serde::Serialize;
use utoipa::ToSchema;

use crate::{PartMeshes, WorkError, Workshop};

/// Distance between two tracks, if none is given (mm): the least for main lines that a guild of 7 mm scale
/// publishes is 80 mm; at 4 mm scale, common practice, no source.
const SPACING_MM: f64 = 50.0;

/// A course in words: what of it is left out has its usual value.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CourseAsked {
    /// Radius of the centre line (mm); the least that the model is meant for if left out.
    pub radius: Option<f64>,
    /// A curve and the same curve the other way, with so much straight between them (mm).
    pub reverse: Option<f64>,
    /// A crossover through two turnouts of 1 in so many.
    pub crossover: Option<f64>,
    /// Distance between the tracks of the crossover (mm).
    pub spacing: Option<f64>,
    /// A curve with transitions of this length on both sides (mm).
    pub transition: Option<f64>,
}

impl CourseAsked {
    /// The course; `least` is the least radius that the model is meant for (mm).
    pub fn course(&self, least: f64) -> Course {
        let radius = self.radius.unwrap_or(least);
        if let Some(number) = self.crossover {
            return Course::Crossover {
                radius,
                number,
                spacing: self.spacing.unwrap_or(SPACING_MM),
            };
        }
        if let Some(straight) = self.reverse {
            return Course::Reverse { radius, straight };
        }
        match self.transition {
            Some(length) => Course::Transition { radius, length },
            None => Course::Curve { radius },
        }
    }
}

/// An engine with the tender that is coupled to it, if any.
#[derive(Clone, Copy, Debug)]
pub struct RunningTrain<'w> {
    /// The engine.
    pub engine: &'w Workshop,
    /// Its tender.
    pub tender: Option<&'w Workshop>,
}

/// What was found on a course.
#[derive(Clone, Debug)]
pub struct OnCurve {
    /// Positions, distances and findings that no waiver lets pass.
    pub clearances: Clearances,
    /// What the engine, and its tender, weigh.
    pub balance: Vec<Balance>,
    /// The least radius that it runs on (mm) and what stops it on a sharper one, if that was asked for;
    /// `None` within if it runs on none.
    pub least: Option<Option<(f64, Vec<Finding>)>>,
    /// All findings, of the course and of weights, sorted by waivers.
    pub judged: Judgement,
}

impl<'w> RunningTrain<'w> {
    /// How the tender of an engine is read: at its scale, on its wheels.
    pub fn tender_overrides(engine: &Workshop) -> Overrides {
        Overrides {
            scale: Some(engine.model().scale),
            wheels: Some(engine.model().wheels),
            variant: None,
        }
    }

    /// Engine and tender as they run.
    ///
    /// # Errors
    ///
    /// [`WorkError::Solid`] for a plate or fitting that has no solid.
    pub fn running(&self) -> Result<Running<'w>, WorkError> {
        Ok(Running {
            engine: self.engine.vehicle()?,
            tender: self.tender.map(Workshop::vehicle).transpose()?,
        })
    }

    /// Leads the train over the course; `least` says whether the least radius is looked for too. What a waiver beside the
    /// engine's model file lets pass stops nothing.
    ///
    /// # Errors
    ///
    /// As [`RunningTrain::running`]; [`WorkError::Running`] where the train cannot be stood on the track.
    pub fn on_curve(
        &self,
        asked: &CourseAsked,
        least: bool,
        waivers: &Waivers,
    ) -> Result<OnCurve, WorkError> {
        let running = self.running()?;
        let course = asked.course(running.engine.chassis.least_radius);
        let vehicles = std::iter::once(self.engine).chain(self.tender);
        let weighed = vehicles.map(|own| own.balance().cloned());
        let mut balance = weighed.collect::<Result<Vec<Balance>, _>>()?;
        let mut clearances = running.over(course)?;
        let today = crate::today();
        let weighed = balance.iter().flat_map(|own| &own.findings);
        let all = clearances.findings.iter().chain(weighed).cloned().collect();
        let judged = waivers.judge(all, Occasion::Curve, &today);
        clearances
            .findings
            .retain(|own| !waivers.let_pass(own, &today));
        for own in &mut balance {
            own.findings.retain(|own| !waivers.let_pass(own, &today));
        }
        let least = least.then(|| {
            let course = |radius| course.with_radius(radius);
            running.least_radius(course, |own| waivers.let_pass(own, &today))
        });
        Ok(OnCurve {
            clearances,
            balance,
            least: least.transpose()?,
            judged,
        })
    }

    /// The train on its course as a drawing in plan, on the engine's paper for drawings.
    ///
    /// # Errors
    ///
    /// As [`RunningTrain::on_curve`].
    pub fn plan(&self, found: &OnCurve) -> Result<DrawingSheet, WorkError> {
        let engine = self.engine;
        let order = Order::of(engine.body());
        let tender = self.tender.map(Workshop::arrangement_views).transpose()?;
        let source = OnCurveSource {
            sheet: SheetSource {
                model: engine.model(),
                body: engine.body(),
                order: &order,
            },
            running: self.running()?,
            engine: &engine.arrangement_views()?.plan,
            tender: tender.map(|views| &views.plan),
            found: &found.clearances,
        };
        let paper = engine.model().sheets.drawing_paper;
        Ok(export::on_curve_sheet(source, paper)?)
    }

    /// The train in motion over the course, as a GLB.
    ///
    /// # Errors
    ///
    /// As [`RunningTrain::on_curve`]; [`WorkError::Export`] for a mesh that cannot be written.
    pub fn run_glb(&self, found: &OnCurve) -> Result<Vec<u8>, WorkError> {
        let running = self.running()?;
        let track = &found.clearances.passage.track;
        let meshes = self.engine.meshes(false)?;
        let engine = vehicle(
            self.engine,
            &meshes,
            running.engine,
            &found.clearances.engine,
        );
        let behind = self.tender.map(|own| own.meshes(false)).transpose()?;
        let tender = match (self.tender, &behind, running.tender) {
            (Some(own), Some(meshes), Some(chassis)) => {
                Some(vehicle(own, meshes, chassis, &found.clearances.tender))
            }
            _ => None,
        };
        let gauge = self.engine.model().wheels.track_gauge();
        Ok(export::running_glb(&engine, tender.as_ref(), track, gauge)?)
    }

    /// What was found as JSON.
    pub fn json(&self, found: &OnCurve) -> TrainJson {
        let model = self.engine.model();
        let stops = found.least.as_ref().map(|least| {
            let stops = least.iter().flat_map(|(_, stops)| stops);
            stops.map(FindingJson::from).collect()
        });
        let vehicle = self.engine.vehicle().ok();
        let mut clearances = ClearancesJson::from(&found.clearances);
        let notes = found.judged.left.iter();
        let notes = notes.filter(|own| own.rule.starts_with("waiver-"));
        clearances.findings.extend(notes.map(FindingJson::from));
        TrainJson {
            clearances,
            waived: waived_json(&found.judged.waived),
            model: self.engine.name().to_owned(),
            wheels: model.wheels.word(),
            gauge: GaugeJson::of(&found.clearances, model.scale.mm_per_foot()),
            motor: vehicle.and_then(|own| own.motor.as_ref().map(MotorJson::from)),
            balance: found.balance.first().map(BalanceJson::from),
            tender_balance: found.balance.get(1).map(BalanceJson::from),
            least_radius_mm: found
                .least
                .as_ref()
                .map(|least| least.as_ref().map(|(radius, _)| *radius)),
            stops,
        }
    }
}

/// An engine, with its tender, on a course.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct TrainJson {
    /// Positions, distances and findings.
    #[serde(flatten)]
    pub clearances: ClearancesJson,
    /// Findings that waivers let pass.
    pub waived: Vec<WaivedJson>,
    /// Name of the engine's model.
    pub model: String,
    /// Wheel standard: `fine`.
    pub wheels: &'static str,
    /// The train against the outlines that it must keep within.
    pub gauge: GaugeJson,
    /// How the motor fits, if the file has one.
    pub motor: Option<MotorJson>,
    /// What the engine weighs and where.
    pub balance: Option<BalanceJson>,
    /// What the tender weighs and where.
    pub tender_balance: Option<BalanceJson>,
    /// Least radius that it runs on, if that was asked for; `null` if there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<f64>)]
    pub least_radius_mm: Option<Option<f64>>,
    /// What stops it on a sharper one, if that was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stops: Option<Vec<FindingJson>>,
}

fn vehicle<'w>(
    own: &'w Workshop,
    meshes: &'w PartMeshes,
    vehicle: &'w Vehicle,
    nearest: &'w [Approach],
) -> RunningVehicle<'w> {
    let body = own.body();
    let plates = body.plates.iter().zip(&meshes.plates);
    let fittings = body.fittings.iter().zip(&meshes.fittings);
    RunningVehicle {
        chassis: &vehicle.chassis,
        parts: plates
            .map(|(plate, mesh)| RunningPart::Plate(plate, &mesh.mesh))
            .chain(fittings.map(|(fitting, mesh)| RunningPart::Fitting(fitting, mesh)))
            .collect(),
        nearest,
    }
}
