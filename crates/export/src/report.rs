//! The report of a body, and the JSON views of plates, joints and findings that it is made of.

use crate::number::rounded;
use crate::{DimensionsJson, EdgeJson, ExportError, JigJson, millimetres};
use body::{Body, Finding, FormerBlock, Joint, Order, Plate, Side, Step};
use develop::DevelopError;
use geom::{BodyPoint, FlatPoint};
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// Everything that is known of a body.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Report {
    /// The model file's name without its ending.
    pub model: String,
    /// The engine's title.
    pub title: String,
    /// Scale of the model: `4mm`.
    pub scale: String,
    /// Millimetres on the model to a foot of the engine.
    pub mm_per_foot: f64,
    /// Wheel standard: `em`.
    pub wheels: String,
    /// The variant of the model file, if one was chosen.
    pub variant: Option<String>,
    /// Lengths that the model is made from, and those that follow from them.
    pub dimensions: DimensionsJson,
    /// All plates.
    pub plates: Vec<PlateJson>,
    /// Blocks to form and solder wrappers on.
    pub blocks: Vec<BlockJson>,
    /// Formers and jigs that were made.
    pub jigs: Vec<JigJson>,
    /// Where plates meet.
    pub joints: Vec<JointJson>,
    /// Plates in the order in which they are put in place.
    pub order: Vec<StepJson>,
    /// What breaks a rule.
    pub findings: Vec<FindingJson>,
    /// Milliseconds that steps took, by step.
    pub timings_ms: BTreeMap<String, f64>,
}

/// What a report says first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReportHead {
    /// The model file's name without its ending.
    pub model: String,
    /// The engine's title.
    pub title: String,
    /// Scale of the model: `4mm`.
    pub scale: String,
    /// Millimetres on the model to a foot of the engine.
    pub mm_per_foot: f64,
    /// Wheel standard: `em`.
    pub wheels: String,
    /// The variant of the model file, if one was chosen.
    pub variant: Option<String>,
}

/// What is known of a mesh.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, ToSchema)]
pub struct MeshFacts {
    /// Number of triangles.
    pub triangles: usize,
    /// Volume of the mesh.
    pub volume_mm3: f64,
    /// Volume of the solid that it stands for, by quadrature.
    pub expected_volume_mm3: f64,
    /// Measured greatest distance of the mesh from the outer skin.
    pub chord_error_mm: f64,
}

/// A plate.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct PlateJson {
    /// Its name.
    pub id: String,
    /// The sub-assembly it belongs to.
    pub assembly: String,
    /// Its name on a sheet.
    pub title: String,
    /// Alloy and temper.
    pub metal: String,
    /// Thickness of the sheet as bought.
    pub thickness_mm: f64,
    /// `flat` or `rolled`.
    pub formed: &'static str,
    /// Area on the flat, openings taken out.
    pub flat_area_mm2: f64,
    /// Area of the formed neutral surface, by quadrature in space.
    pub neutral_area_mm2: f64,
    /// Lengths of the sides, flat and formed.
    pub edges: Vec<EdgeJson>,
    /// Number of openings.
    pub holes: usize,
    /// Number of rivet heads.
    pub rivets: usize,
    /// Its mesh, if it was made.
    pub mesh: Option<MeshFacts>,
}

/// A block to form and solder a wrapper on.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct BlockJson {
    /// Its name.
    pub id: String,
    /// Its name on a sheet.
    pub title: String,
    /// The wrapper that it serves.
    pub plate: String,
    /// Its mesh, if it was made.
    pub mesh: Option<MeshFacts>,
}

/// A meeting of two plates.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct JointJson {
    /// Its name.
    pub id: String,
    /// `edge`, `tab`, `hole` or `face`.
    pub kind: &'static str,
    /// One side.
    pub a: SideJson,
    /// Other side.
    pub b: SideJson,
    /// Gap as designed; negative is overlap.
    pub gap_mm: f64,
    /// Least and greatest gap at the worst case of the process.
    pub range_mm: [f64; 2],
    /// Least and greatest gap that builds well.
    pub limit_mm: [f64; 2],
    /// What adds most to the range.
    pub largest_contributor: String,
    /// A place on the joint, body frame (mm).
    pub at: [f64; 3],
}

/// A plate put in place.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct StepJson {
    /// The plate.
    pub plate: String,
    /// Zero where nothing has to come before, else one more than the highest layer that has to.
    pub layer: usize,
    /// Joints with plates that already stand.
    pub onto: Vec<String>,
}

/// One side of a joint.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct SideJson {
    /// The plate.
    pub plate: String,
    /// Its edge, hole or face.
    pub feature: String,
}

/// A finding that a waiver lets pass.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct WaivedJson {
    /// The finding.
    pub finding: FindingJson,
    /// What lets it pass.
    pub waiver: check::Waiver,
}

/// Findings that waivers let pass, each with its waiver.
pub fn waived_json(waived: &[check::Waived]) -> Vec<WaivedJson> {
    let one = |own: &check::Waived| WaivedJson {
        finding: (&own.finding).into(),
        waiver: own.waiver.clone(),
    };
    waived.iter().map(one).collect()
}

/// Something that breaks a rule.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct FindingJson {
    /// Where, in the names of the model file or of the artwork.
    pub path: String,
    /// A stable word that the documentation explains.
    pub rule: &'static str,
    /// `error`, `warning` or `note`.
    pub severity: &'static str,
    /// The value found.
    pub found_mm: f64,
    /// The limit that it breaks.
    pub limit_mm: f64,
    /// The place.
    pub at: PlaceJson,
    /// What it means.
    pub sentence: String,
}

/// A place on a plate's flat and on the body.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct PlaceJson {
    /// The plate.
    pub plate: Option<String>,
    /// Coordinates on its flat (mm).
    pub flat_mm: Option<[f64; 2]>,
    /// Coordinates on the body (mm).
    pub body_mm: Option<[f64; 3]>,
}

impl Report {
    /// The report of a body; `facts_of` gives what is known of the mesh of a plate or block by its id.
    ///
    /// # Errors
    ///
    /// [`ExportError::Develop`] for a plate that cannot be measured.
    pub fn of(
        head: ReportHead,
        body: &Body,
        findings: &[Finding],
        facts_of: impl Fn(&str) -> Option<MeshFacts>,
    ) -> Result<Self, ExportError> {
        Ok(Self {
            model: head.model,
            title: head.title,
            scale: head.scale,
            mm_per_foot: millimetres(head.mm_per_foot),
            wheels: head.wheels,
            variant: head.variant,
            dimensions: DimensionsJson::derived_of(body),
            plates: body
                .plates
                .iter()
                .map(|plate| PlateJson::of(plate, facts_of(&plate.id)))
                .collect::<Result<_, _>>()?,
            blocks: body
                .blocks
                .iter()
                .map(|block| BlockJson::of(block, facts_of(&block.id)))
                .collect(),
            jigs: Vec::new(),
            joints: body.joints.iter().map(JointJson::from).collect(),
            order: Order::of(body).steps.iter().map(StepJson::from).collect(),
            findings: findings.iter().map(FindingJson::from).collect(),
            timings_ms: BTreeMap::new(),
        })
    }

    /// Puts in the lengths that the model was made from.
    pub fn with_dimensions(self, dimensions: DimensionsJson) -> Self {
        Self { dimensions, ..self }
    }

    /// Puts in the jigs that were made.
    pub fn with_jigs(self, jigs: Vec<JigJson>) -> Self {
        Self { jigs, ..self }
    }

    /// Adds what a step took (ms).
    pub fn timed(mut self, step: &str, milliseconds: f64) -> Self {
        self.timings_ms
            .insert(step.to_owned(), rounded(milliseconds, 3));
        self
    }

    /// The file's text: indented JSON with a line end.
    pub fn to_text(&self) -> String {
        let mut text = serde_json::to_string_pretty(self)
            .expect("the fields are strings and numbers, which JSON can always write");
        text.push('\n');
        text
    }
}

impl MeshFacts {
    /// Facts with the decimals that files show.
    pub fn new(triangles: usize, volume: f64, expected_volume: f64, chord_error: f64) -> Self {
        Self {
            triangles,
            volume_mm3: millimetres(volume),
            expected_volume_mm3: millimetres(expected_volume),
            chord_error_mm: millimetres(chord_error),
        }
    }
}

impl PlateJson {
    /// What is known of a plate.
    ///
    /// # Errors
    ///
    /// [`ExportError::Develop`] for a plate that cannot be measured.
    pub fn of(plate: &Plate, mesh: Option<MeshFacts>) -> Result<Self, ExportError> {
        let fail = |cause: DevelopError| ExportError::Develop {
            plate: plate.id.clone(),
            cause,
        };
        let whole = plate.whole().map_err(fail)?;
        let edges = plate.edge_lengths().map_err(fail)?;
        Ok(Self {
            id: plate.id.clone(),
            assembly: plate.assembly.to_owned(),
            title: plate.title.clone(),
            metal: plate.sheet.metal.clone(),
            thickness_mm: millimetres(plate.sheet.stock_thickness),
            formed: if plate.forming.loft().is_some() {
                "rolled"
            } else {
                "flat"
            },
            flat_area_mm2: millimetres(whole.flat_area),
            neutral_area_mm2: millimetres(whole.formed.neutral_area),
            edges: edges
                .into_iter()
                .map(|edge| EdgeJson {
                    name: edge.name,
                    flat_mm: millimetres(edge.flat),
                    formed_mm: millimetres(edge.formed),
                })
                .collect(),
            holes: plate.holes.len(),
            rivets: plate.rivets.len(),
            mesh,
        })
    }
}

impl BlockJson {
    /// What is known of a block.
    pub fn of(block: &FormerBlock, mesh: Option<MeshFacts>) -> Self {
        Self {
            id: block.id.clone(),
            title: block.title.clone(),
            plate: block.plate.clone(),
            mesh,
        }
    }
}

impl From<&Side> for SideJson {
    fn from(side: &Side) -> Self {
        Self {
            plate: side.plate.clone(),
            feature: side.feature.clone(),
        }
    }
}

impl From<&Joint> for JointJson {
    fn from(joint: &Joint) -> Self {
        let pair = |(low, high): (f64, f64)| [millimetres(low), millimetres(high)];
        Self {
            id: joint.id.clone(),
            kind: joint.kind.word(),
            a: (&joint.a).into(),
            b: (&joint.b).into(),
            gap_mm: millimetres(joint.gap),
            range_mm: pair(joint.range),
            limit_mm: pair(joint.limit),
            largest_contributor: joint.largest_contributor.clone(),
            at: space(joint.at),
        }
    }
}

impl From<&Step> for StepJson {
    fn from(step: &Step) -> Self {
        Self {
            plate: step.plate.clone(),
            layer: step.layer,
            onto: step.onto.clone(),
        }
    }
}

impl From<&Finding> for FindingJson {
    fn from(finding: &Finding) -> Self {
        let flat = |p: FlatPoint| [millimetres(p.x), millimetres(p.y)];
        Self {
            path: finding.path.clone(),
            rule: finding.rule,
            severity: finding.severity.word(),
            found_mm: millimetres(finding.found),
            limit_mm: millimetres(finding.limit),
            at: PlaceJson {
                plate: finding.at.plate.clone(),
                flat_mm: finding.at.flat.map(flat),
                body_mm: finding.at.body.map(space),
            },
            sentence: finding.sentence.clone(),
        }
    }
}

fn space(point: BodyPoint) -> [f64; 3] {
    [point.x, point.y, point.z].map(millimetres)
}
