//! Films of a sheet as PDF: a page for each face at true size, black where metal is etched away.

use crate::ExportError;
use crate::fret_dxf::{REGISTER_ARM_MM, register_marks};
use crate::page::{Item, Page, Rgb, pdf_of};
use artwork::{EtchedShape, FretSheet, SCALE_BAR_MM};
use body::RearFilm;
use geom::{Outline, Point2, Vector2};

/// Room round the sheet on a film (mm).
pub const FILM_MARGIN_MM: f64 = 16.0;

const BLACK: Rgb = (0, 0, 0);

/// Width of the lines of a register mark (mm).
const MARK_LINE_MM: f64 = 0.2;

/// The two films of a sheet: page 1 the front, page 2 the rear.
///
/// # Errors
///
/// [`ExportError::Pdf`] if the pages cannot be written.
pub fn films_pdf(sheet: &FretSheet, rear: RearFilm) -> Result<Vec<u8>, ExportError> {
    let allowance = if sheet.allowance_applied {
        format!("Etch allowance of {:.3} mm an edge applied", sheet.growth)
    } else {
        "Etch allowance left to the etcher".to_owned()
    };
    let words = |face: &str| {
        [
            format!(
                "{face}. Sheet {}, {} {} mm. Black is etched away.",
                sheet.number, sheet.metal, sheet.thickness
            ),
            format!(
                "{allowance}. Scale bar {SCALE_BAR_MM} mm between the middles of its end marks."
            ),
        ]
    };
    let seen = match rear {
        RearFilm::FromFront => "REAR, seen through from the front",
        RearFilm::FromRear => "REAR, seen from the rear",
    };
    let pages = [
        page(
            sheet,
            &sheet.films.front,
            &words("FRONT, seen from the front"),
            false,
        ),
        page(
            sheet,
            &sheet.films.rear,
            &words(seen),
            rear == RearFilm::FromRear,
        ),
    ];
    pdf_of(&format!("Films of sheet {}", sheet.number), &pages)
}

fn page(sheet: &FretSheet, shapes: &[EtchedShape], words: &[String; 2], mirrored: bool) -> Page {
    let margin = Vector2::new(FILM_MARGIN_MM, FILM_MARGIN_MM);
    let width = sheet.width + 2.0 * FILM_MARGIN_MM;
    let height = sheet.height + 2.0 * FILM_MARGIN_MM;
    let placed = |outline: &Outline| {
        let own = outline.translated(margin);
        if mirrored {
            own.mirrored_in_y_axis()
                .translated(Vector2::new(width, 0.0))
        } else {
            own
        }
    };
    let mut items = Vec::with_capacity(shapes.len() + 8);
    for shape in shapes {
        let loops = std::iter::once(&shape.outer).chain(&shape.islands);
        items.push(Item::Filled {
            loops: loops.map(placed).collect(),
            colour: BLACK,
        });
    }
    for mark in register_marks(sheet) {
        items.extend(mark_at(mark).into_iter().map(|outline| Item::Filled {
            loops: vec![placed(&outline)],
            colour: BLACK,
        }));
        items.push(Item::Drawn {
            loops: vec![placed(&Outline::circle(mark, REGISTER_ARM_MM / 2.0))],
            colour: BLACK,
            width: MARK_LINE_MM,
        });
    }
    for line in corner_lines(sheet) {
        items.push(Item::Filled {
            loops: vec![placed(&line)],
            colour: BLACK,
        });
    }
    // Below the register mark, which reaches down to 7 mm.
    let letters = (sheet.width / 90.0).clamp(1.4, 2.0);
    for (i, line) in words.iter().rev().enumerate() {
        items.push(Item::Words {
            text: line.clone(),
            at: Point2::new(FILM_MARGIN_MM, 1.2 + i as f64 * 1.6 * letters),
            height: letters,
            colour: BLACK,
        });
    }
    Page {
        width,
        height,
        items,
    }
}

/// The two arms of a register mark.
fn mark_at(mark: Point2) -> [Outline; 2] {
    let half = MARK_LINE_MM / 2.0;
    let arm = |v: Vector2| Outline::rectangle(mark - v, mark + v);
    [
        arm(Vector2::new(REGISTER_ARM_MM, half)),
        arm(Vector2::new(half, REGISTER_ARM_MM)),
    ]
}

/// Short lines outside the sheet that show where its edges are.
fn corner_lines(sheet: &FretSheet) -> Vec<Outline> {
    let mut lines = Vec::new();
    let half = MARK_LINE_MM / 2.0;
    for (x, out_x) in [(0.0, -1.0), (sheet.width, 1.0)] {
        for (y, out_y) in [(0.0, -1.0), (sheet.height, 1.0)] {
            for (along, across) in [
                (Vector2::new(out_x, 0.0), Vector2::new(0.0, half)),
                (Vector2::new(0.0, out_y), Vector2::new(half, 0.0)),
            ] {
                let corner = Point2::new(x, y);
                let (a, b) = (corner + along * 2.0 - across, corner + along * 6.0 + across);
                let low = Point2::new(a.x.min(b.x), a.y.min(b.y));
                lines.push(Outline::rectangle(
                    low,
                    Point2::new(a.x.max(b.x), a.y.max(b.y)),
                ));
            }
        }
    }
    lines
}
