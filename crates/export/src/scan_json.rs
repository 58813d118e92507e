//! A scan held against a body, as JSON.

use crate::number::rounded;
use crate::{FindingJson, WaivedJson, millimetres, waived_json};
use check::Judgement;
use check::scan::{BuiltError, ErrorKind, Handedness, PartSpread, ReadOff, ScanReport, Spread};
use geom::math::PI;
use serde::Serialize;
use utoipa::ToSchema;

/// A scan held against a body.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct ScanJson {
    /// What the file holds.
    pub scan: ScanFileJson,
    /// How it was laid on the body.
    pub alignment: AlignmentJson,
    /// By how many per cent the scan is larger than the body, k = 2, and whether that is told, all else then being of the scan
    /// at the body's size.
    pub scale: ScaleJson,
    /// Tolerance of the surface.
    pub tolerance_mm: f64,
    /// Distances from the whole body.
    pub whole: SpreadJson,
    /// Distances from each plate and fitting, in the order of the body.
    pub parts: Vec<ScannedPartJson>,
    /// Plates that can be seen and were not scanned.
    pub not_scanned: Vec<String>,
    /// Places of the measuring sheet, as read off the scan.
    pub read_off: Vec<ReadOffJson>,
    /// What is built wrong.
    pub errors: Vec<BuiltErrorJson>,
    /// What was found and no waiver lets pass.
    pub findings: Vec<FindingJson>,
    /// What waivers let pass, each `finding` with its `waiver`.
    pub waived: Vec<WaivedJson>,
}

/// What the file holds.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct ScanFileJson {
    /// Points.
    pub points: usize,
    /// Triangles; none for a cloud of points.
    pub triangles: usize,
    /// Triangles without area, which were left out.
    pub flat_triangles: usize,
    /// `mm`, `in`, `m` or `full-size-mm`.
    pub unit: &'static str,
    /// Whether the unit was guessed from the size.
    pub unit_guessed: bool,
    /// Points farther off than this belong to nothing of the body.
    pub reach_mm: f64,
    /// How many of those that were measured do.
    pub beyond: usize,
    /// How many lie on wheels and rods, which are not judged.
    pub on_running_gear: usize,
    /// How many lie near the body and on nothing: they have too few neighbours at their own height.
    pub strays: usize,
}

/// The size of a scan against that of the body.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct ScaleJson {
    /// Per cent by which it is larger.
    pub larger_percent: f64,
    /// Uncertainty of that, k = 2; `null` where the scan does not tell.
    pub uncertainty_percent: Option<f64>,
    /// Sub-assemblies that told.
    pub groups: usize,
    /// Whether it is told.
    pub is_off: bool,
}

/// How a scan was laid on a body.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct AlignmentJson {
    /// Rows of the turn, each with its shift in mm: from the scan in mm to the body.
    pub rows: [[f64; 4]; 3],
    /// Uncertainty of the farthest corner of the body, k = 2.
    pub uncertainty_mm: f64,
    /// Standard deviation of the points about the datum plates.
    pub noise_mm: f64,
    /// Points on the datum plates.
    pub datum_points: usize,
    /// What the datum plates left open and the whole body fixes.
    pub by_whole_body: Vec<&'static str>,
    /// Share of the points near the body.
    pub near_share: f64,
    /// `right` or `undecidable`; a mirrored scan is refused.
    pub hand: &'static str,
    /// The part that told the hand.
    pub hand_by: Option<String>,
}

/// Distances of points from a surface, positive where the metal is proud.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct SpreadJson {
    /// Points.
    pub points: usize,
    /// Area that they stand for, of a mesh; the number of points of a cloud.
    pub weight: f64,
    /// Mean.
    pub mean_mm: f64,
    /// Root of the mean square.
    pub rms_mm: f64,
    /// Least.
    pub least_mm: f64,
    /// Greatest.
    pub greatest_mm: f64,
    /// 5, 50 and 95 of 100 parts lie lower.
    pub percentiles_mm: [f64; 3],
    /// 95 of 100 parts lie no farther off, to either side.
    pub within_95_mm: f64,
    /// Share within the tolerance.
    pub within_tolerance: f64,
}

/// A plate or fitting with its distances.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct ScannedPartJson {
    /// The plate or fitting.
    pub plate: String,
    /// Its name on a sheet.
    pub title: String,
    /// Its sub-assembly.
    pub assembly: &'static str,
    /// `plate` or `fitting`.
    pub kind: &'static str,
    /// Distances of the scan from it.
    #[serde(flatten)]
    pub spread: SpreadJson,
}

/// A place of the measuring sheet, read off a scan.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct ReadOffJson {
    /// The place.
    pub id: String,
    /// What is measured.
    pub title: String,
    /// As drawn.
    pub drawn_mm: f64,
    /// As scanned; heights over the rail that footplate and beams are drawn over. `null` where it was not seen.
    pub found_mm: Option<f64>,
    /// Uncertainty of that, k = 2.
    pub uncertainty_mm: Option<f64>,
    /// The tolerance, either way.
    pub tolerance_mm: f64,
    /// Points of the scan that it was read from.
    pub points: usize,
}

/// One thing that is built wrong.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct BuiltErrorJson {
    /// The sub-assembly.
    pub assembly: String,
    /// The single plate or fitting that stands off within it; `null` for the sub-assembly as a whole.
    pub plate: Option<String>,
    /// What it is called.
    pub title: String,
    /// `shifted`, `turned` or `width`.
    pub kind: &'static str,
    /// `x`, `y` or `z`: along or about which.
    pub axis: &'static str,
    /// By how much, along or about the axis; degrees for a turn.
    pub amount: f64,
    /// `mm` or `deg`.
    pub unit: &'static str,
    /// Uncertainty of the amount, k = 2, in its unit.
    pub uncertainty: f64,
    /// What it comes to at the farthest corner.
    pub farthest_mm: f64,
    /// The tolerance.
    pub tolerance_mm: f64,
    /// In words.
    pub words: String,
}

impl ScanJson {
    /// A scan held against a body, with the places that were read off it, and what waivers let pass of its findings.
    pub fn of(own: &ScanReport, read_off: &[ReadOff], judged: &Judgement) -> Self {
        Self {
            scan: ScanFileJson {
                points: own.file_points,
                triangles: own.file_triangles,
                flat_triangles: own.flat_triangles,
                unit: own.unit.word(),
                unit_guessed: own.unit_guessed,
                reach_mm: millimetres(own.reach),
                beyond: own.beyond,
                on_running_gear: own.on_running_gear,
                strays: own.strays,
            },
            alignment: alignment(own),
            scale: ScaleJson {
                larger_percent: rounded(100.0 * own.scale.share, 4),
                uncertainty_percent: own
                    .scale
                    .uncertainty
                    .is_finite()
                    .then(|| rounded(100.0 * own.scale.uncertainty, 4)),
                groups: own.scale.groups,
                is_off: own.scale.is_off,
            },
            tolerance_mm: own.tolerance,
            whole: SpreadJson::from(&own.whole),
            parts: own.parts.iter().map(ScannedPartJson::from).collect(),
            not_scanned: own.not_scanned.clone(),
            read_off: read_off.iter().map(ReadOffJson::from).collect(),
            errors: own.errors.iter().map(BuiltErrorJson::from).collect(),
            findings: judged.left.iter().map(FindingJson::from).collect(),
            waived: waived_json(&judged.waived),
        }
    }
}

fn alignment(own: &ScanReport) -> AlignmentJson {
    let laid = &own.alignment;
    let (hand, hand_by) = match &own.handedness {
        Handedness::Right { by } => ("right", Some(by.clone())),
        Handedness::Mirrored { by } => ("mirrored", Some(by.clone())),
        Handedness::Undecidable => ("undecidable", None),
    };
    AlignmentJson {
        rows: std::array::from_fn(|i| {
            std::array::from_fn(|k| {
                if k < 3 {
                    rounded(laid.pose.turn[(i, k)], 9)
                } else {
                    millimetres(laid.pose.shift[i])
                }
            })
        }),
        uncertainty_mm: millimetres(laid.uncertainty),
        noise_mm: millimetres(laid.noise),
        datum_points: laid.datum_points,
        by_whole_body: laid.by_whole_body.clone(),
        near_share: rounded(laid.near, 4),
        hand,
        hand_by,
    }
}

impl From<&Spread> for SpreadJson {
    fn from(own: &Spread) -> Self {
        Self {
            points: own.points,
            weight: rounded(own.area, 3),
            mean_mm: millimetres(own.mean),
            rms_mm: millimetres(own.rms),
            least_mm: millimetres(own.range.0),
            greatest_mm: millimetres(own.range.1),
            percentiles_mm: own.percentiles.map(millimetres),
            within_95_mm: millimetres(own.within_95),
            within_tolerance: rounded(own.within_tolerance, 4),
        }
    }
}

impl From<&PartSpread> for ScannedPartJson {
    fn from(own: &PartSpread) -> Self {
        Self {
            plate: own.id.clone(),
            title: own.title.clone(),
            assembly: own.assembly,
            kind: if own.is_plate { "plate" } else { "fitting" },
            spread: SpreadJson::from(&own.spread),
        }
    }
}

impl From<&ReadOff> for ReadOffJson {
    fn from(own: &ReadOff) -> Self {
        Self {
            id: own.id.clone(),
            title: own.title.clone(),
            drawn_mm: millimetres(own.drawn),
            found_mm: own.reading.map(|own| millimetres(own.found)),
            uncertainty_mm: own.reading.map(|own| millimetres(own.uncertainty)),
            tolerance_mm: own.tolerance,
            points: own.reading.map_or(0, |own| own.points),
        }
    }
}

impl From<&BuiltError> for BuiltErrorJson {
    fn from(own: &BuiltError) -> Self {
        let (kind, unit, scale) = match own.kind {
            ErrorKind::Shifted => ("shifted", "mm", 1.0),
            ErrorKind::Turned => ("turned", "deg", 180.0 / PI),
            ErrorKind::Width => ("width", "mm", 1.0),
        };
        Self {
            assembly: own.assembly.clone(),
            plate: own.plate.clone(),
            title: own.title.clone(),
            kind,
            axis: ["x", "y", "z"][own.axis],
            amount: rounded(own.amount * scale, 4),
            unit,
            uncertainty: rounded(own.uncertainty * scale, 4),
            farthest_mm: millimetres(own.farthest),
            tolerance_mm: own.tolerance,
            words: own.words.clone(),
        }
    }
}
