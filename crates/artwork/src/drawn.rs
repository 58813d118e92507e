//! A drawing made elsewhere: curves in millimetres, texts, and a tally of what was not read.

use crate::labels::Label;
use crate::role::Role;
use geom::Segment;

/// The most curves (and insertions of blocks) that a drawing may have, blocks written out.
pub const MAX_CURVES: usize = 500_000;

/// The most curves other than lines and arcs; each takes far longer to follow.
pub(crate) const MAX_FITTED: usize = 20_000;

/// The deepest nesting of blocks that is read; drawings nest two or three deep.
pub(crate) const MAX_DEPTH: usize = 16;

/// The farthest from the origin that anything may be drawn (mm).
pub(crate) const FARTHEST_MM: f64 = 1e7;

/// A curve of a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnCurve {
    /// Its run (mm).
    pub segment: Segment,
    /// Its layer, group or class.
    pub layer: String,
    /// What it stands for.
    pub role: Role,
}

impl DrawnCurve {
    /// A curve that stands for what its layer's name says.
    pub fn new(segment: Segment, layer: &str) -> Self {
        Self {
            segment,
            layer: layer.to_owned(),
            role: Role::of_name(layer),
        }
    }
}

/// Parts of a drawing that are not read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotRead {
    /// Kind in the words of the file: `HATCH`.
    pub kind: String,
    /// Its layer.
    pub layer: String,
    /// How many there are, blocks written out.
    pub count: usize,
}

/// The unit that a drawing is read in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DrawingUnit {
    /// The drawing names its unit.
    Named(&'static str),
    /// The side file names it, whatever the drawing says.
    Stated(&'static str),
    /// It names none that has a length of its own, and is read as this.
    Guessed(&'static str),
    /// It names none; it is read as millimetres.
    #[default]
    NotNamed,
}

/// Whether the etch allowance is on the drawing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Allowance {
    /// Edges are drawn where the designer wants metal to end.
    LeftToTheEtcher,
    /// Edges are drawn moved into what is etched away, by the growth of the process.
    Applied,
    /// Nobody says; taken as left to the etcher.
    #[default]
    Unknown,
}

/// A drawing made elsewhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Artwork {
    /// Its unit.
    pub units: DrawingUnit,
    /// Millimetres on the model in a drawing unit.
    pub scale_to_mm: f64,
    /// Lines and arcs, blocks written out.
    pub pieces: Vec<DrawnCurve>,
    /// Texts.
    pub labels: Vec<Label>,
    /// What was not read, by kind and layer.
    pub not_read: Vec<NotRead>,
    /// True if its texts were read as Windows code page 1252, because they are no UTF-8.
    pub code_page_1252: bool,
    /// Whether the etch allowance is on it.
    pub allowance: Allowance,
    /// Loose ends up to this far apart are joined (mm), if the side file says.
    pub join_within: Option<f64>,
    /// Names in the side file that nothing on the drawing bears.
    pub unused_names: Vec<String>,
}

impl Default for Artwork {
    /// A drawing in millimetres with nothing on it.
    fn default() -> Self {
        Self {
            units: DrawingUnit::NotNamed,
            scale_to_mm: 1.0,
            pieces: Vec::new(),
            labels: Vec::new(),
            not_read: Vec::new(),
            code_page_1252: false,
            allowance: Allowance::Unknown,
            join_within: None,
            unused_names: Vec::new(),
        }
    }
}
