//! Clearances of a train on a course as JSON.

use crate::FindingJson;
use check::running::{Approach, Clearances, Compared, Course, Range, VehicleRanges};
use geom::math::PI;
use serde::Serialize;
use utoipa::ToSchema;

/// Clearances of a train on a course.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct ClearancesJson {
    /// The course: `curve`, `reverse`, `crossover` or `transition`.
    pub course: &'static str,
    /// Sharpest radius of its centre line.
    pub radius_mm: f64,
    /// Throws and displacements, exact and to second order.
    pub compared: Vec<ComparedJson>,
    /// What the engine had to do.
    pub engine: VehicleJson,
    /// What the tender had to do.
    pub tender: Option<VehicleJson>,
    /// How they stood to each other.
    pub coupled: Option<CoupledJson>,
    /// What was found.
    pub findings: Vec<FindingJson>,
}

/// A throw, displacement or angle.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct ComparedJson {
    /// What it is.
    pub title: String,
    /// `mm` or `deg`.
    pub unit: &'static str,
    /// From the exact positions.
    pub exact: f64,
    /// To second order.
    pub second_order: f64,
}

/// What one vehicle had to do.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct VehicleJson {
    /// For each axle, front to rear: least and greatest y at which the middle of the track passes it.
    pub axle_offsets_mm: Vec<[f64; 2]>,
    /// Least and greatest slide of each truck's pivot.
    pub truck_slides_mm: Vec<[f64; 2]>,
    /// Least and greatest turn of each truck.
    pub truck_swings_deg: Vec<[f64; 2]>,
    /// Offset of the middle of the front and of the rear beam from the track.
    pub beam_offsets_mm: [[f64; 2]; 2],
    /// Nearest approaches of wheels and trucks to the rest.
    pub approaches: Vec<ApproachJson>,
}

/// How near something that moves comes to something that does not.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct ApproachJson {
    /// What moves.
    pub mover: String,
    /// What it comes near.
    pub part: String,
    /// Distance; negative where they would cut into each other.
    pub distance_mm: f64,
    /// The place on the part.
    pub at_mm: [f64; 3],
}

/// Least and greatest of what stands between engine and tender.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct CoupledJson {
    /// Turn of the tender.
    pub angle_deg: [f64; 2],
    /// y of the middle of its beam in the frame of the engine.
    pub sideways_mm: [f64; 2],
    /// Distance between the beams.
    pub gap_mm: [f64; 2],
}

impl From<&Clearances> for ClearancesJson {
    fn from(own: &Clearances) -> Self {
        Self {
            course: course_word(&own.course),
            radius_mm: own.course.radius(),
            compared: own.compared.iter().map(ComparedJson::from).collect(),
            engine: vehicle(&own.passage.engine, &own.engine),
            tender: own
                .passage
                .tender
                .as_ref()
                .map(|ranges| vehicle(ranges, &own.tender)),
            coupled: own.passage.coupled.as_ref().map(|coupled| CoupledJson {
                angle_deg: both(&coupled.angle).map(degrees),
                sideways_mm: both(&coupled.sideways),
                gap_mm: both(&coupled.gap),
            }),
            findings: own.findings.iter().map(FindingJson::from).collect(),
        }
    }
}

impl From<&Compared> for ComparedJson {
    fn from(own: &Compared) -> Self {
        let turned = |value| if own.is_angle { degrees(value) } else { value };
        Self {
            title: own.title.clone(),
            unit: if own.is_angle { "deg" } else { "mm" },
            exact: turned(own.exact),
            second_order: turned(own.near),
        }
    }
}

fn vehicle(ranges: &VehicleRanges, approaches: &[Approach]) -> VehicleJson {
    VehicleJson {
        axle_offsets_mm: ranges.offsets.iter().map(both).collect(),
        truck_slides_mm: ranges.slides.iter().map(both).collect(),
        truck_swings_deg: ranges
            .swings
            .iter()
            .map(|range| both(range).map(degrees))
            .collect(),
        beam_offsets_mm: [both(&ranges.ends[0]), both(&ranges.ends[1])],
        approaches: approaches.iter().map(ApproachJson::from).collect(),
    }
}

impl From<&Approach> for ApproachJson {
    fn from(own: &Approach) -> Self {
        Self {
            mover: own.mover.clone(),
            part: own.part.clone(),
            distance_mm: own.distance,
            at_mm: own.at.coords.into(),
        }
    }
}

fn course_word(course: &Course) -> &'static str {
    match course {
        Course::Curve { .. } => "curve",
        Course::Reverse { .. } => "reverse",
        Course::Crossover { .. } => "crossover",
        Course::Transition { .. } => "transition",
    }
}

fn both(range: &Range) -> [f64; 2] {
    [range.least, range.most]
}

fn degrees(angle: f64) -> f64 {
    angle * 180.0 / PI
}
