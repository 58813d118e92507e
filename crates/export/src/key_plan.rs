//! The key plan of a sheet: every plate with its number, and a list of numbers and names.

use crate::ExportError;
use crate::label::plate_label;
use crate::page::{Item, Page, Rgb, pdf_of};
use crate::page_svg::svg_of_page;
use artwork::{FlatDrawing, FretSheet, PlacedPlate};
use geom::{Outline, Point2, Vector2};

const INK: Rgb = (32, 32, 32);
const METAL: Rgb = (244, 234, 210);
const WASTE: Rgb = (205, 198, 180);
const TAG: Rgb = (217, 164, 65);
const OPEN: Rgb = (255, 255, 255);
const ETCHED: Rgb = (176, 196, 222);

/// Room round everything (mm).
const MARGIN: f64 = 10.0;

/// Height of capitals in the list (mm), and from line to line.
const LIST: (f64, f64) = (1.8, 3.6);

/// Width of a character in heights of capitals, on the wide side.
const CHARACTER_WIDTH: f64 = 0.9;

/// Width of a column of the list (mm).
const COLUMN: f64 = 68.0;

/// The key plan as SVG.
pub fn key_plan_svg(sheet: &FretSheet, title: &str) -> String {
    svg_of_page(title, &page(sheet, title))
}

/// The key plan as PDF at true size.
///
/// # Errors
///
/// [`ExportError::Pdf`] if the page cannot be written.
pub fn key_plan_pdf(sheet: &FretSheet, title: &str) -> Result<Vec<u8>, ExportError> {
    pdf_of(title, &[page(sheet, title)])
}

fn page(sheet: &FretSheet, title: &str) -> Page {
    let width = sheet.width + 2.0 * MARGIN;
    let columns = ((sheet.width / COLUMN).floor() as usize).max(1);
    let rows = sheet.pieces().count().div_ceil(columns);
    // Title, list, sheet, from the top.
    let list = rows as f64 * LIST.1 + 4.0;
    let height = sheet.height + list + 2.0 * MARGIN + 8.0;
    let characters = title.chars().count().max(1) as f64;
    let mut items = vec![Item::Words {
        text: title.to_owned(),
        at: Point2::new(MARGIN, height - MARGIN - 3.0),
        height: (sheet.width / (characters * CHARACTER_WIDTH)).min(3.0),
        colour: INK,
    }];
    let by = Vector2::new(MARGIN, MARGIN + list);
    sheet_items(&mut items, sheet, by);
    for (i, plate) in sheet.pieces().enumerate() {
        let (column, row) = (i / rows.max(1), i % rows.max(1));
        let at = Point2::new(
            MARGIN + column as f64 * COLUMN,
            MARGIN + list - 6.0 - row as f64 * LIST.1,
        );
        items.push(Item::Words {
            text: format!("{}  {}", plate.number, plate.drawing.title),
            at,
            height: LIST.0,
            colour: INK,
        });
    }
    Page {
        width,
        height,
        items,
    }
}

fn sheet_items(items: &mut Vec<Item>, sheet: &FretSheet, by: Vector2) {
    let moved = |outline: &Outline| outline.translated(by);
    let edge = Outline::rectangle(Point2::origin(), Point2::new(sheet.width, sheet.height));
    let filled = |loops: Vec<Outline>, colour| Item::Filled { loops, colour };
    let mut waste = vec![moved(&edge)];
    waste.extend(sheet.pieces().map(|own| moved(&own.moat)));
    let holes = sheet.furniture.tooling_holes.iter();
    waste.extend(holes.map(|(at, d)| moved(&Outline::circle(*at, d / 2.0))));
    items.push(filled(waste, WASTE));
    for slot in &sheet.furniture.test_slots {
        items.push(filled(vec![moved(&slot.outer)], OPEN));
    }
    for bar in &sheet.furniture.scale_bar {
        items.push(filled(vec![moved(&bar.outer)], ETCHED));
    }
    for (at, d) in &sheet.furniture.practice {
        items.push(filled(vec![moved(&Outline::circle(*at, d / 2.0))], ETCHED));
    }
    let words = sheet.furniture.words.iter().filter(|own| !own.mirrored);
    for shape in words.flat_map(|own| own.regions(0.0)) {
        let loops = std::iter::once(&shape.outer).chain(&shape.islands);
        items.push(filled(loops.map(moved).collect(), INK));
    }
    for plate in sheet.pieces() {
        plate_items(items, plate, by);
    }
}

fn plate_items(items: &mut Vec<Item>, plate: &PlacedPlate, by: Vector2) {
    let moved = |outline: &Outline| outline.translated(by);
    let drawing = &plate.drawing;
    items.push(Item::Filled {
        loops: plate.tags.iter().map(|own| moved(&own.outline)).collect(),
        colour: TAG,
    });
    let (inner, outer) = drawing.plain;
    // A base half-etched all over, what is proud of it left at the full thickness.
    let is_base = outer - inner < drawing.thickness - 1e-6;
    let mut loops = vec![moved(&drawing.outline)];
    loops.extend(drawing.holes.iter().map(|own| moved(&own.outline)));
    items.push(Item::Filled {
        loops: loops.clone(),
        colour: if is_base { ETCHED } else { METAL },
    });
    for region in &drawing.regions {
        items.push(Item::Filled {
            loops: vec![moved(&region.outline)],
            colour: if region.z_high > outer || region.z_low < inner {
                METAL
            } else {
                ETCHED
            },
        });
    }
    items.push(Item::Drawn {
        loops,
        colour: INK,
        width: 0.12,
    });
    let numbered = FlatDrawing {
        plate: plate.number.to_string(),
        ..drawing.clone()
    };
    let label = plate_label(&numbered);
    items.push(Item::Words {
        text: label.text,
        at: label.at + by,
        height: label.height,
        colour: INK,
    });
}
