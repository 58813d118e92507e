//! A drawn plate against the meant one, in numbers.

use serde::Serialize;
use utoipa::ToSchema;

/// A drawn plate held against the meant one. Places are on the plate's flat.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct PlateComparison {
    /// The plate's name.
    pub plate: String,
    /// How the drawing told which plate it is: `label`, `layer` or `likeness`.
    pub told_by: &'static str,
    /// The text or layer that names it, if one does.
    pub name_on_drawing: Option<String>,
    /// True if it is drawn as seen from inside.
    pub mirrored: bool,
    /// Angle by which the drawing stands turned against the flat (degrees, anticlockwise).
    pub turned_deg: f64,
    /// Where the flat's origin stands on the drawing (mm).
    pub origin_on_drawing_mm: [f64; 2],
    /// Length of the drawn outline (mm).
    pub perimeter_drawn_mm: f64,
    /// Length of the meant outline (mm).
    pub perimeter_meant_mm: f64,
    /// Each edge.
    pub edges: Vec<EdgeComparison>,
    /// Each corner.
    pub corners: Vec<CornerComparison>,
    /// Greatest distance between the two outlines (mm).
    pub worst_deviation_mm: f64,
    /// Where that is.
    pub worst_at_mm: [f64; 2],
    /// What is left of it when the causes that were recognised are taken out (mm).
    pub unexplained_deviation_mm: f64,
    /// Each meant opening that is drawn.
    pub holes: Vec<HoleComparison>,
    /// Meant openings that are not drawn.
    pub missing: Vec<String>,
    /// Drawn openings that are not meant.
    pub extra: Vec<ExtraOpening>,
    /// What a ring closes on.
    pub closing: Vec<ClosingDiameter>,
    /// Rules that explain the outline: `developed-on-outside`, `drawn-as-trapezium`.
    pub causes: Vec<&'static str>,
    /// The drawn outline laid on the flat, as points (mm) within 0.01 mm of it.
    pub drawn_outline_mm: Vec<[f64; 2]>,
    /// What was drawn, in curves with the names of what is meant.
    #[serde(skip)]
    pub laid: crate::DrawnFlat,
}

/// A drawn edge against the meant one.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct EdgeComparison {
    /// The edge.
    pub edge: String,
    /// Length drawn (mm); `None` if the drawn corners do not follow as the meant ones do.
    pub drawn_mm: Option<f64>,
    /// Length meant (mm).
    pub meant_mm: f64,
    /// Drawn less meant (mm).
    pub difference_mm: Option<f64>,
    /// Greatest rise over the chord drawn (mm).
    pub drawn_bow_mm: Option<f64>,
    /// Greatest rise over the chord meant (mm).
    pub meant_bow_mm: f64,
}

/// A drawn corner against the meant one.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct CornerComparison {
    /// The edges that meet there, in order.
    pub between: [String; 2],
    /// Meant place (mm).
    pub meant_mm: [f64; 2],
    /// Drawn place (mm).
    pub drawn_mm: [f64; 2],
    /// Distance (mm).
    pub off_mm: f64,
}

/// A drawn opening against the meant one.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct HoleComparison {
    /// What it is for.
    pub feature: String,
    /// Meant centre (mm).
    pub meant_mm: [f64; 2],
    /// Drawn centre (mm).
    pub drawn_mm: [f64; 2],
    /// Distance (mm).
    pub off_mm: f64,
    /// Diameter of a circle of the meant opening's area (mm).
    pub meant_size_mm: f64,
    /// Diameter of a circle of the drawn opening's area (mm).
    pub drawn_size_mm: f64,
}

/// A drawn opening that is not meant.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct ExtraOpening {
    /// Its centre (mm).
    pub at_mm: [f64; 2],
    /// Diameter of a circle of its area (mm).
    pub size_mm: f64,
}

/// What an edge of a ring closes on.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct ClosingDiameter {
    /// The edge.
    pub edge: String,
    /// Outside diameter of what is drawn (mm).
    pub drawn_mm: f64,
    /// Outside diameter meant (mm).
    pub meant_mm: f64,
}
