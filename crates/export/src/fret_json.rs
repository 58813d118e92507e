//! The fret as JSON: where each plate lies, how much of each sheet is used, and what was found.

use crate::FindingJson;
use crate::number::{millimetres, rounded};
use artwork::{Fret, FretSheet, PlacedPlate, SCALE_BAR_MM};
use body::RearFilm;
use serde::Serialize;

/// All sheets of a model.
#[derive(Clone, Debug, Serialize)]
pub struct FretJson {
    /// How the rear films are shown: `from-front` or `from-rear`.
    pub rear_film: &'static str,
    /// The sheets.
    pub sheets: Vec<SheetJson>,
    /// Templates for which no sheet had room left: see `jigs/templates`.
    pub templates_left_out: Vec<String>,
    /// What cannot be laid out, held or etched as meant.
    pub findings: Vec<FindingJson>,
}

/// A sheet (mm, origin at its lower left corner, seen from the front).
#[derive(Clone, Debug, Serialize)]
pub struct SheetJson {
    /// Its number, from 1.
    pub sheet: usize,
    /// Alloy and temper.
    pub metal: String,
    /// Thickness.
    pub thickness_mm: f64,
    /// Width.
    pub width_mm: f64,
    /// Height.
    pub height_mm: f64,
    /// Area of the plates' metal.
    pub plate_area_mm2: f64,
    /// Share of the sheet that is plates, in per cent.
    pub use_percent: f64,
    /// Share of the sheet that plates, the lines round them and half the bars between take, in per cent:
    /// no layout could use a smaller sheet than this share of it.
    pub least_percent: f64,
    /// Sideways growth of the etch at each edge.
    pub growth_mm: f64,
    /// `applied` or `left to the etcher`.
    pub allowance: &'static str,
    /// Length of the scale bar between the middles of its end marks.
    pub scale_bar_mm: f64,
    /// Foot of the middle of its first mark.
    pub scale_bar_at_mm: [f64; 2],
    /// Its plates.
    pub plates: Vec<PlacedJson>,
    /// Templates on its waste.
    pub templates: Vec<PlacedJson>,
}

/// A plate on its sheet: turned by quarter turns about the origin of its flat, then moved.
#[derive(Clone, Debug, Serialize)]
pub struct PlacedJson {
    /// Its number on the fret.
    pub number: usize,
    /// Its id.
    pub plate: String,
    /// Quarter turns anticlockwise.
    pub quarter_turns: u8,
    /// Move along the sheet's x.
    pub x_mm: f64,
    /// Move along the sheet's y.
    pub y_mm: f64,
    /// Tags that hold it.
    pub tags: usize,
}

impl FretJson {
    /// What is known of a fret.
    pub fn of(fret: &Fret, rear: RearFilm) -> Self {
        Self {
            rear_film: match rear {
                RearFilm::FromFront => "from-front",
                RearFilm::FromRear => "from-rear",
            },
            sheets: fret.sheets.iter().map(SheetJson::of).collect(),
            templates_left_out: fret.left_out.clone(),
            findings: fret.findings.iter().map(FindingJson::from).collect(),
        }
    }

    /// The text of the file.
    pub fn to_text(&self) -> String {
        serde_json::to_string_pretty(self)
            .expect("the fret is made of numbers and strings, which JSON can always write")
            + "\n"
    }
}

impl SheetJson {
    fn of(sheet: &FretSheet) -> Self {
        let places = |pieces: &[PlacedPlate]| pieces.iter().map(PlacedJson::of).collect();
        Self {
            sheet: sheet.number,
            metal: sheet.metal.clone(),
            thickness_mm: sheet.thickness,
            width_mm: sheet.width,
            height_mm: sheet.height,
            plate_area_mm2: rounded(sheet.plate_area(), 3),
            use_percent: rounded(100.0 * sheet.sheet_use(), 2),
            least_percent: rounded(100.0 * sheet.least_share(), 2),
            growth_mm: millimetres(sheet.growth),
            allowance: if sheet.allowance_applied {
                "applied"
            } else {
                "left to the etcher"
            },
            scale_bar_mm: SCALE_BAR_MM,
            scale_bar_at_mm: [
                millimetres(sheet.furniture.scale_bar_at.x),
                millimetres(sheet.furniture.scale_bar_at.y),
            ],
            plates: places(&sheet.plates),
            templates: places(&sheet.templates),
        }
    }
}

impl PlacedJson {
    fn of(own: &PlacedPlate) -> Self {
        Self {
            number: own.number,
            plate: own.drawing.plate.clone(),
            quarter_turns: own.placement.quarters,
            x_mm: millimetres(own.placement.by.x),
            y_mm: millimetres(own.placement.by.y),
            tags: own.tags.len(),
        }
    }
}
