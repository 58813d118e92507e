//! The page of a sheet: margins, title block and the bar that checks the printer.

use super::words::{fitted, width_of};
use crate::page::{Item, Page, Rgb};
use body::SheetPaper;
use geom::{Outline, Point2, Segment};

pub(super) const INK: Rgb = (20, 20, 20);
pub(super) const FAINT: Rgb = (120, 120, 120);

/// Margins (mm): room to file on the left, as ISO 5457 has it (from memory).
const LEFT: f64 = 20.0;
const OTHER: f64 = 10.0;

/// Height of the title block, of the strip of the scale bar over it, and room inside the border (mm).
const BLOCK: f64 = 15.0;
const STRIP: f64 = 10.0;
const INSIDE: f64 = 4.0;

/// Length of the bar that checks the printer (mm).
pub const SHEET_BAR_MM: f64 = 100.0;

/// Widths of lines (mm), ISO 128-2 (from memory).
pub(super) const THIN: f64 = 0.18;
pub(super) const WIDE: f64 = 0.35;

/// A paper the way it is used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Paper {
    pub(super) width: f64,
    pub(super) height: f64,
}

impl Paper {
    pub(super) fn upright(paper: SheetPaper) -> Self {
        let (width, height) = paper.size();
        Self { width, height }
    }

    pub(super) fn lying(paper: SheetPaper) -> Self {
        let (height, width) = paper.size();
        Self { width, height }
    }

    /// Lower left corner of what may be drawn on.
    pub(super) fn low(&self) -> Point2 {
        Point2::new(LEFT + INSIDE, OTHER + BLOCK + STRIP + 2.0)
    }

    /// Its upper right corner.
    pub(super) fn high(&self) -> Point2 {
        Point2::new(self.width - OTHER - INSIDE, self.height - OTHER - INSIDE)
    }

    pub(super) fn inner_width(&self) -> f64 {
        self.high().x - self.low().x
    }

    pub(super) fn inner_height(&self) -> f64 {
        self.high().y - self.low().y
    }
}

/// What the title block says.
#[derive(Clone, Debug)]
pub(super) struct Head {
    /// `Class B 0-6-2T, Ormsey & Pellingdale Railway`.
    pub(super) engine: String,
    /// `Forming sheet: Boiler wrapper`.
    pub(super) subject: String,
    /// `nickel-silver half-hard 0.40 mm; 7mm scale, fine wheels`.
    pub(super) facts: String,
    /// `1:1`.
    pub(super) scale: String,
}

pub(super) fn words(text: &str, x: f64, y: f64, height: f64) -> Item {
    Item::Words {
        text: text.to_owned(),
        at: Point2::new(x, y),
        height,
        colour: INK,
    }
}

pub(super) fn line(from: Point2, to: Point2, width: f64) -> Item {
    runs(vec![vec![Segment::line(from, to)]], width, &[])
}

pub(super) fn runs(runs: Vec<Vec<Segment>>, width: f64, dashes: &'static [f64]) -> Item {
    Item::Runs {
        runs,
        colour: INK,
        width,
        dashes,
    }
}

/// The page with border, title block and, where it is drawn at true size, the bar that checks the printer.
pub(super) fn framed(
    paper: Paper,
    head: &Head,
    number: usize,
    of: usize,
    with_bar: bool,
    mut items: Vec<Item>,
) -> Page {
    let (left, right) = (LEFT, paper.width - OTHER);
    let (bottom, top) = (OTHER, paper.height - OTHER);
    items.push(Item::Drawn {
        loops: vec![Outline::rectangle(
            Point2::new(left, bottom),
            Point2::new(right, top),
        )],
        colour: INK,
        width: WIDE,
    });
    let over = bottom + BLOCK;
    items.push(line(
        Point2::new(left, over),
        Point2::new(right, over),
        WIDE,
    ));
    let split = right - 42.0;
    items.push(line(
        Point2::new(split, bottom),
        Point2::new(split, over),
        THIN,
    ));
    let room = split - left - 5.0;
    for (text, y, height) in [
        (&head.subject, bottom + 10.0, 2.8),
        (&head.engine, bottom + 5.8, 1.9),
        (&head.facts, bottom + 2.0, 1.8),
    ] {
        let (text, height) = fitted(text, height, room);
        items.push(words(&text, left + 2.5, y, height));
    }
    items.push(words(
        &format!("Page {number} of {of}"),
        split + 2.5,
        bottom + 10.0,
        2.2,
    ));
    items.push(words(
        &format!("Scale {}", head.scale),
        split + 2.5,
        bottom + 5.6,
        2.2,
    ));
    items.push(words("Dimensions in mm", split + 2.5, bottom + 2.0, 1.6));
    if with_bar {
        items.extend(bar(left + INSIDE, over + 3.0, right));
    }
    Page {
        width: paper.width,
        height: paper.height,
        items,
    }
}

/// The bar: a line with a tick each 10 mm, higher at the ends.
fn bar(x: f64, y: f64, right: f64) -> Vec<Item> {
    let mut lines = vec![vec![Segment::line(
        Point2::new(x, y),
        Point2::new(x + SHEET_BAR_MM, y),
    )]];
    for i in 0..=10 {
        let tall = if i % 10 == 0 { 5.0 } else { 1.5 };
        let at = x + SHEET_BAR_MM * f64::from(i) / 10.0;
        lines.push(vec![Segment::line(
            Point2::new(at, y),
            Point2::new(at, y + tall),
        )]);
    }
    let start = x + SHEET_BAR_MM + 3.0;
    let mut items = vec![runs(lines, 0.2, &[])];
    for (text, up) in [
        ("100 mm between the end marks: print at 100 %,", 3.2),
        ("not fitted to the page, and lay a rule on it.", 0.2),
    ] {
        let (text, height) = fitted(text, 1.7, right - start - 2.0);
        debug_assert!(width_of(&text, height) <= right - start);
        items.push(words(&text, start, y + up, height));
    }
    items
}
