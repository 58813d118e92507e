//! JSON that routes answer, where the exporter has no view of its own.

use body::Variant;
use export::{EdgeJson, JigJson, PlateJson};
use serde::Serialize;
use utoipa::ToSchema;

use crate::{Problem, WorkError, Workshop};

/// All models of the folder.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct ModelList {
    /// The models, by name.
    pub(crate) models: Vec<ModelEntry>,
}

/// A model of the folder.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct ModelEntry {
    /// Name in addresses: the file's name without `.toml`.
    #[schema(example = "class-b")]
    pub(crate) name: String,
    /// Name of the class; the file's name where the file cannot be read.
    pub(crate) title: String,
    /// The railway that ran it.
    pub(crate) railway: String,
    /// Variants that the file offers, by name.
    pub(crate) variants: Vec<VariantEntry>,
    /// Why the file cannot be read, if it cannot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) problem: Option<Problem>,
}

/// A variant of a model file.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct VariantEntry {
    /// Name in queries.
    #[schema(example = "late")]
    pub(crate) name: String,
    /// Its title.
    pub(crate) title: String,
}

impl From<Variant> for VariantEntry {
    fn from(variant: Variant) -> Self {
        Self {
            name: variant.name,
            title: variant.title,
        }
    }
}

/// All plates of a model.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct PlateList {
    /// Name of the model.
    pub(crate) model: String,
    /// Name of the class.
    pub(crate) title: String,
    /// The railway that ran it.
    pub(crate) railway: String,
    /// Scale of the model: `7mm`.
    pub(crate) scale: &'static str,
    /// Millimetres on the model to a foot of the engine.
    pub(crate) mm_per_foot: f64,
    /// Wheel standard: `fine`.
    pub(crate) wheels: &'static str,
    /// The variant that was asked for.
    pub(crate) variant: Option<String>,
    /// Variants that the file offers, by name.
    pub(crate) variants: Vec<VariantEntry>,
    /// Sub-assemblies with the plates of each.
    pub(crate) assemblies: Vec<AssemblyEntry>,
    /// All plates, in the order of the body.
    pub(crate) plates: Vec<PlateEntry>,
}

/// A sub-assembly.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct AssemblyEntry {
    /// Its id.
    pub(crate) id: &'static str,
    /// Its name on a sheet.
    pub(crate) title: &'static str,
    /// Ids of its plates.
    pub(crate) plates: Vec<String>,
}

/// A plate.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct PlateEntry {
    /// Its id.
    #[schema(example = "boiler-wrapper")]
    pub(crate) id: String,
    /// Id of its sub-assembly.
    pub(crate) assembly: String,
    /// Its name on a sheet.
    pub(crate) title: String,
    /// Alloy and temper.
    pub(crate) metal: String,
    /// Thickness of the sheet as bought.
    pub(crate) thickness_mm: f64,
    /// `flat`, or `rolled` if it is bent.
    pub(crate) formed: &'static str,
    /// Area on the flat, openings taken out.
    pub(crate) flat_area_mm2: f64,
    /// Its sides in order.
    pub(crate) edges: Vec<EdgeEntry>,
    /// Number of openings.
    pub(crate) holes: usize,
    /// Number of rivet heads.
    pub(crate) rivets: usize,
}

/// A side of a plate.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct EdgeEntry {
    /// Its name.
    pub(crate) name: String,
    /// Length on the flat.
    pub(crate) flat_mm: f64,
    /// Length on the formed neutral surface.
    pub(crate) formed_mm: f64,
}

/// Formers and jigs of an engine.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct JigList {
    /// `filament` or `resin`.
    pub(crate) process: String,
    /// What is sent to the printer is so many times as large as what should come out.
    pub(crate) printed_scale: f64,
    /// Width, depth and height that can be printed.
    pub(crate) bed_mm: [f64; 3],
    /// Advice on heat.
    pub(crate) heat: String,
    /// The jigs that passed their checks.
    pub(crate) jigs: Vec<JigEntry>,
    /// Those that are not served.
    pub(crate) refused: Vec<RefusedJig>,
}

/// A former or jig.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct JigEntry {
    /// Its id.
    pub(crate) id: String,
    /// Its name on a sheet.
    pub(crate) title: String,
    /// What it does.
    pub(crate) says: String,
    /// How it is used and what to mind.
    pub(crate) use_it: String,
    /// What it is printed as.
    pub(crate) pieces: Vec<JigPieceEntry>,
    /// Figures and reservations.
    pub(crate) notes: Vec<String>,
    /// Address of its STL.
    pub(crate) stl: String,
    /// Address of its 3MF.
    pub(crate) threemf: String,
}

/// A piece of a jig.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct JigPieceEntry {
    /// Its name.
    pub(crate) name: String,
    /// Number of triangles.
    pub(crate) triangles: usize,
    /// Volume as it should come out of the printer.
    pub(crate) volume_mm3: f64,
    /// Size as it should come out of the printer, on the bed.
    pub(crate) size_mm: [f64; 3],
}

/// A jig that is not served.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct RefusedJig {
    /// Its id.
    pub(crate) id: String,
    /// Its name on a sheet.
    pub(crate) title: String,
    /// Why.
    pub(crate) reason: String,
}

impl PlateList {
    pub(crate) fn of(workshop: &Workshop) -> Result<Self, WorkError> {
        let (model, body) = (workshop.model(), workshop.body());
        let plates = workshop
            .plate_views()?
            .iter()
            .cloned()
            .map(PlateEntry::from);
        let assemblies = body.assemblies.iter().map(|assembly| AssemblyEntry {
            id: assembly.id,
            title: assembly.title,
            plates: body
                .plates
                .iter()
                .filter(|plate| plate.assembly == assembly.id)
                .map(|plate| plate.id.clone())
                .collect(),
        });
        Ok(Self {
            model: workshop.name().to_owned(),
            title: model.title.clone(),
            railway: model.railway.clone(),
            scale: model.scale.word(),
            mm_per_foot: model.scale.mm_per_foot(),
            wheels: model.wheels.word(),
            variant: model.variant.clone(),
            variants: model
                .variants
                .iter()
                .cloned()
                .map(VariantEntry::from)
                .collect(),
            assemblies: assemblies.collect(),
            plates: plates.collect(),
        })
    }
}

impl From<PlateJson> for PlateEntry {
    fn from(plate: PlateJson) -> Self {
        Self {
            id: plate.id,
            assembly: plate.assembly,
            title: plate.title,
            metal: plate.metal,
            thickness_mm: plate.thickness_mm,
            formed: plate.formed,
            flat_area_mm2: plate.flat_area_mm2,
            edges: plate.edges.into_iter().map(EdgeEntry::from).collect(),
            holes: plate.holes,
            rivets: plate.rivets,
        }
    }
}

impl From<EdgeJson> for EdgeEntry {
    fn from(edge: EdgeJson) -> Self {
        Self {
            name: edge.name,
            flat_mm: edge.flat_mm,
            formed_mm: edge.formed_mm,
        }
    }
}

impl JigList {
    pub(crate) fn of(workshop: &Workshop) -> Self {
        let (name, jigs) = (workshop.name(), workshop.jigs());
        let print = jigs.print_json();
        let refused = jigs.refused().into_iter().map(|(kind, error)| RefusedJig {
            id: kind.id.to_owned(),
            title: kind.title.to_owned(),
            reason: error.to_string(),
        });
        Self {
            process: print.process,
            printed_scale: print.printed_scale,
            bed_mm: print.bed_mm,
            heat: print.heat,
            jigs: jigs
                .json()
                .into_iter()
                .map(|jig| JigEntry::of(name, jig))
                .collect(),
            refused: refused.collect(),
        }
    }
}

impl JigEntry {
    fn of(model: &str, jig: JigJson) -> Self {
        let address = |ending: &str| format!("/v1/models/{model}/jigs/{}.{ending}", jig.id);
        let pieces = jig.pieces.iter().map(|piece| JigPieceEntry {
            name: piece.name.clone(),
            triangles: piece.triangles,
            volume_mm3: piece.volume_mm3,
            size_mm: piece.size_mm,
        });
        Self {
            stl: address("stl"),
            threemf: address("3mf"),
            pieces: pieces.collect(),
            id: jig.id,
            title: jig.title,
            says: jig.says,
            use_it: jig.use_it,
            notes: jig.notes,
        }
    }
}
