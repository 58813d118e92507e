//! The second sheet of the general arrangement: rear elevation and sections.

use super::arrangement::{ArrangementViews, DrawingSheet, SCALES, centre, drawn, finished, rail};
use super::forming::SheetSource;
use super::paper::{Paper, words};
use super::words::width_of;
use crate::as_drawn_glb::deviation_colour;
use crate::page::Item;
use body::SheetPaper;
use geom::{Point2, Segment};
use solid::LineView;
use std::collections::BTreeMap;

/// Rear elevation and sections, at the largest scale that fits the paper, lying.
pub fn sections_sheet(
    source: SheetSource<'_>,
    views: &ArrangementViews,
    paper: SheetPaper,
) -> DrawingSheet {
    let mut all: Vec<(String, String, &LineView)> =
        vec![("Rear elevation".to_owned(), String::new(), &views.rear)];
    all.extend(titled(views));
    set_out(
        source,
        "Rear elevation and sections",
        &all,
        paper,
        |_, _, _| Vec::new(),
    )
}

/// Points of a scan in a section, as its view has them, with how far each lies off the body (mm, positive where the
/// metal is proud).
pub type SectionMarks = Vec<(Point2, f64)>;

/// The sections with what was scanned at each, in the colours of the deviations. `marks` are those of each section.
pub fn scanned_sections_sheet(
    source: SheetSource<'_>,
    views: &ArrangementViews,
    marks: &[SectionMarks],
    paper: SheetPaper,
) -> DrawingSheet {
    let all = titled(views);
    let title = "Sections as scanned: red proud, blue low";
    set_out(source, title, &all, paper, |i, at, scale| {
        marks.get(i).map_or(Vec::new(), |own| dots(own, at, scale))
    })
}

/// Width of a dot on the paper (mm).
const DOT: f64 = 0.35;

/// Dots in the colours of the deviations.
fn dots(marks: &SectionMarks, at: Point2, scale: f64) -> Vec<Item> {
    let mut by_colour: BTreeMap<(u8, u8, u8), Vec<Vec<Segment>>> = BTreeMap::new();
    for (place, off) in marks {
        let from = at + place.coords * scale;
        let to = Point2::new(from.x + 0.6 * DOT, from.y);
        by_colour
            .entry(paper_colour(*off))
            .or_default()
            .push(vec![Segment::line(from, to)]);
    }
    let colours = by_colour.into_iter();
    colours
        .map(|(colour, runs)| Item::Runs {
            runs,
            colour,
            width: DOT,
            dashes: &[],
        })
        .collect()
}

/// The colour of a deviation as paper has it, in steps of 0.05 mm.
fn paper_colour(off: f64) -> (u8, u8, u8) {
    let [r, g, b, _] = deviation_colour((off / 0.05).round() * 0.05);
    // Colours of a GLB are linear; the root is near to what a screen or printer makes of a number.
    let shown = |own: u8| (f64::from(own) / 255.0).sqrt() * 255.0;
    (shown(r) as u8, shown(g) as u8, shown(b) as u8)
}

fn titled(views: &ArrangementViews) -> Vec<(String, String, &LineView)> {
    let sections = views.sections.iter();
    sections
        .map(|own| {
            let place = format!("{}, seen from the front", own.place);
            (format!("Section {0}–{0}", own.letter), place, &own.view)
        })
        .collect()
}

/// Views in rows; `over` gives what lies over each, by its number, its origin on the paper and the scale.
fn set_out(
    source: SheetSource<'_>,
    subject: &str,
    all: &[(String, String, &LineView)],
    paper: SheetPaper,
    over: impl Fn(usize, Point2, f64) -> Vec<Item>,
) -> DrawingSheet {
    let paper = Paper::lying(paper);
    let mut chosen = (SCALES[SCALES.len() - 1], Vec::new());
    for (scale, name) in SCALES {
        if let Some(places) = set_in_rows(all, scale, paper) {
            chosen = ((scale, name), places);
            break;
        }
    }
    let ((scale, name), places) = chosen;
    let mut items = Vec::new();
    for (i, ((title, place, view), at)) in all.iter().zip(places).enumerate() {
        let Some((low, high)) = view.bounds() else {
            continue;
        };
        items.extend(drawn(view, at, scale));
        items.push(centre(
            Point2::new(at.x, at.y - 3.0),
            Point2::new(at.x, at.y + scale * high.y + 3.0),
        ));
        let (left, right) = (at.x + scale * low.x - 2.0, at.x + scale * high.x + 2.0);
        items.push(rail(left, right, at.y));
        items.extend(over(i, at, scale));
        for (text, down) in [(title, 6.5), (place, 10.0)] {
            let x = at.x - width_of(text, 1.8) / 2.0;
            items.push(words(text, x, at.y - down, 1.8));
        }
    }
    finished(source, subject, name, paper, items)
}

/// Views side by side.
#[derive(Default)]
struct Row {
    /// Number and half the width of each (mm).
    views: Vec<(usize, f64)>,
    width: f64,
    height: f64,
}

/// Origins of views set side by side, row under row; `None` if they do not fit.
fn set_in_rows(
    views: &[(String, String, &LineView)],
    scale: f64,
    paper: Paper,
) -> Option<Vec<Point2>> {
    let mut rows: Vec<Row> = Vec::new();
    for (i, (title, place, view)) in views.iter().enumerate() {
        let (low, high) = view.bounds()?;
        let text = width_of(title, 1.8).max(width_of(place, 1.8));
        // A view stands about the engine's middle.
        let half = (scale * (-low.x).max(high.x)).max(text / 2.0) + 4.0;
        let fits = rows
            .last()
            .is_some_and(|row| row.width + 2.0 * half <= paper.inner_width());
        if !fits {
            rows.push(Row::default());
        }
        let row = rows.last_mut()?;
        row.views.push((i, half));
        row.width += 2.0 * half;
        row.height = row.height.max(scale * high.y.max(0.0) + 18.0);
    }
    let height: f64 = rows.iter().map(|row| row.height).sum();
    let widest = rows.iter().map(|row| row.width).fold(0.0, f64::max);
    if height > paper.inner_height() || widest > paper.inner_width() {
        return None;
    }
    let gap = (paper.inner_height() - height) / (rows.len() as f64 + 1.0);
    let mut places = vec![Point2::origin(); views.len()];
    let mut top = paper.high().y - gap;
    for row in rows {
        let spare = (paper.inner_width() - row.width) / (row.views.len() as f64 + 1.0);
        let mut x = paper.low().x + spare;
        for (i, half) in row.views {
            places[i] = Point2::new(x + half, top - row.height + 14.0);
            x += 2.0 * half + spare;
        }
        top -= row.height + gap;
    }
    Some(places)
}
