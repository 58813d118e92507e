//! The flat of a plate as JSON, with the names and units of the model file.

use crate::number::{BULGE_DECIMALS, millimetres, rounded};
use artwork::FlatDrawing;
use geom::{FlatPoint, Outline};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The flat of a plate.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize, ToSchema)]
pub struct FlatJson {
    /// The plate's id.
    pub plate: String,
    /// Its name on a sheet.
    pub title: String,
    /// The sub-assembly it belongs to.
    pub assembly: String,
    /// Scale of the model: `4mm`.
    pub scale: String,
    /// Thickness of the sheet as bought.
    pub thickness_mm: f64,
    /// The outline, anticlockwise seen from outside.
    pub outline: Vec<VertexJson>,
    /// Openings.
    pub holes: Vec<HoleJson>,
    /// Places of other depth.
    pub regions: Vec<RegionJson>,
    /// Rivet heads.
    pub rivets: Vec<RivetJson>,
    /// Centre lines and places of neighbours.
    pub marks: Vec<MarkJson>,
    /// Named points.
    pub points: Vec<NamedPointJson>,
    /// Lengths of the sides, flat and formed.
    pub edges: Vec<EdgeJson>,
    /// Measured greatest distance between the plate's curves and these lines and arcs.
    pub fit_error_mm: f64,
}

/// A vertex of an outline and the bulge, tan(sweep/4), of the side that follows it.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Serialize, ToSchema)]
pub struct VertexJson {
    /// Coordinate on the flat.
    pub x_mm: f64,
    /// Coordinate on the flat.
    pub y_mm: f64,
    /// 0 for a line, positive for an arc that turns to the left.
    pub bulge: f64,
}

/// A point of the flat.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Serialize, ToSchema)]
pub struct PointJson {
    /// Coordinate on the flat.
    pub x_mm: f64,
    /// Coordinate on the flat.
    pub y_mm: f64,
}

/// An opening.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize, ToSchema)]
pub struct HoleJson {
    /// What it is for.
    pub feature: String,
    /// Diameter of a round hole, measured square to the drill.
    pub diameter_mm: Option<f64>,
    /// Centre.
    pub centre: PointJson,
    /// The cut, anticlockwise.
    pub outline: Vec<VertexJson>,
}

/// A place of other depth.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize, ToSchema)]
pub struct RegionJson {
    /// What it is.
    pub name: String,
    /// What it is for: `band`, `fold`, `mark`, `half-etch`.
    pub purpose: String,
    /// The face that the etch is on, or that stands proud: `outside`, `inside`.
    pub face: String,
    /// Inner face of the metal, outward from mid-sheet.
    pub z_low_mm: f64,
    /// Outer face of the metal, outward from mid-sheet.
    pub z_high_mm: f64,
    /// Its border, anticlockwise.
    pub outline: Vec<VertexJson>,
}

/// A rivet head on the outside face.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize, ToSchema)]
pub struct RivetJson {
    /// Coordinate on the flat.
    pub x_mm: f64,
    /// Coordinate on the flat.
    pub y_mm: f64,
    /// Diameter of the head.
    pub head_mm: f64,
    /// `punched` out of a half-etched dot on the inside, or left `raised` by the etch.
    pub made: String,
    /// Diameter of its circle on the film: of the dot, or of the raised head.
    pub drawn_mm: f64,
    /// The row it belongs to.
    pub row: String,
}

/// A line on the flat only.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize, ToSchema)]
pub struct MarkJson {
    /// What it marks.
    pub name: String,
    /// One end.
    pub from: PointJson,
    /// Other end.
    pub to: PointJson,
}

/// A named point of the flat.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize, ToSchema)]
pub struct NamedPointJson {
    /// Its name: `front-crown`.
    pub name: String,
    /// Coordinate on the flat.
    pub x_mm: f64,
    /// Coordinate on the flat.
    pub y_mm: f64,
}

/// Length of a side in both states.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize, ToSchema)]
pub struct EdgeJson {
    /// The edge's name.
    pub name: String,
    /// On the flat.
    pub flat_mm: f64,
    /// On the formed neutral surface.
    pub formed_mm: f64,
}

impl From<FlatPoint> for PointJson {
    fn from(point: FlatPoint) -> Self {
        Self {
            x_mm: millimetres(point.x),
            y_mm: millimetres(point.y),
        }
    }
}

/// The vertices of an outline as JSON shows them.
pub fn outline_json(outline: &Outline) -> Vec<VertexJson> {
    outline
        .vertices()
        .into_iter()
        .map(|vertex| VertexJson {
            x_mm: millimetres(vertex.point.x),
            y_mm: millimetres(vertex.point.y),
            bulge: rounded(vertex.bulge, BULGE_DECIMALS),
        })
        .collect()
}

impl FlatJson {
    /// The flat of a drawing; `scale` is the model's: `4mm`.
    pub fn of(drawing: &FlatDrawing, scale: &str) -> Self {
        Self {
            plate: drawing.plate.clone(),
            title: drawing.title.clone(),
            assembly: drawing.assembly.clone(),
            scale: scale.to_owned(),
            thickness_mm: millimetres(drawing.thickness),
            outline: outline_json(&drawing.outline),
            holes: drawing.holes.iter().map(HoleJson::from).collect(),
            regions: drawing.regions.iter().map(RegionJson::from).collect(),
            rivets: drawing.rivets.iter().map(RivetJson::from).collect(),
            marks: drawing.marks.iter().map(MarkJson::from).collect(),
            points: drawing
                .points
                .iter()
                .map(|(name, point)| NamedPointJson {
                    name: name.clone(),
                    x_mm: millimetres(point.x),
                    y_mm: millimetres(point.y),
                })
                .collect(),
            edges: drawing
                .edges
                .iter()
                .map(|edge| EdgeJson {
                    name: edge.name.clone(),
                    flat_mm: millimetres(edge.flat),
                    formed_mm: millimetres(edge.formed),
                })
                .collect(),
            fit_error_mm: rounded(drawing.fit_error, BULGE_DECIMALS),
        }
    }

    /// The file's text: indented JSON with a line end.
    pub fn to_text(&self) -> String {
        let mut text = serde_json::to_string_pretty(self)
            .expect("the fields are strings and numbers, which JSON can always write");
        text.push('\n');
        text
    }
}

impl From<&artwork::FlatHole> for HoleJson {
    fn from(hole: &artwork::FlatHole) -> Self {
        Self {
            feature: hole.feature.clone(),
            diameter_mm: hole.diameter.map(millimetres),
            centre: hole.centre.into(),
            outline: outline_json(&hole.outline),
        }
    }
}

impl From<&artwork::FlatRegion> for RegionJson {
    fn from(region: &artwork::FlatRegion) -> Self {
        Self {
            name: region.name.clone(),
            purpose: region.purpose.word().to_owned(),
            face: region.face.word().to_owned(),
            z_low_mm: millimetres(region.z_low),
            z_high_mm: millimetres(region.z_high),
            outline: outline_json(&region.outline),
        }
    }
}

impl From<&body::Rivet> for RivetJson {
    fn from(rivet: &body::Rivet) -> Self {
        Self {
            x_mm: millimetres(rivet.centre.x),
            y_mm: millimetres(rivet.centre.y),
            head_mm: millimetres(rivet.head_diameter),
            made: rivet.made().to_owned(),
            drawn_mm: millimetres(rivet.drawn_diameter()),
            row: rivet.row.clone(),
        }
    }
}

impl From<&body::Mark> for MarkJson {
    fn from(mark: &body::Mark) -> Self {
        Self {
            name: mark.name.clone(),
            from: mark.from.into(),
            to: mark.to.into(),
        }
    }
}
