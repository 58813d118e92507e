//! The second sheet of the general arrangement: rear elevation and sections.

use super::arrangement::{ArrangementViews, DrawingSheet, SCALES, centre, drawn, finished, rail};
use super::forming::SheetSource;
use super::paper::{Paper, words};
use super::words::width_of;
use body::SheetPaper;
use geom::Point2;
use solid::LineView;

/// Rear elevation and sections, at the largest scale that fits the paper, lying.
pub fn sections_sheet(
    source: SheetSource<'_>,
    views: &ArrangementViews,
    paper: SheetPaper,
) -> DrawingSheet {
    let paper = Paper::lying(paper);
    let mut all: Vec<(String, String, &LineView)> =
        vec![("Rear elevation".to_owned(), String::new(), &views.rear)];
    for own in &views.sections {
        let place = format!("{}, seen from the front", own.place);
        all.push((format!("Section {0}–{0}", own.letter), place, &own.view));
    }
    let mut chosen = (SCALES[SCALES.len() - 1], Vec::new());
    for (scale, name) in SCALES {
        if let Some(places) = set_in_rows(&all, scale, paper) {
            chosen = ((scale, name), places);
            break;
        }
    }
    let ((scale, name), places) = chosen;
    let mut items = Vec::new();
    for ((title, place, view), at) in all.iter().zip(places) {
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
        for (text, down) in [(title, 6.5), (place, 10.0)] {
            let x = at.x - width_of(text, 1.8) / 2.0;
            items.push(words(text, x, at.y - down, 1.8));
        }
    }
    finished(source, "Rear elevation and sections", name, paper, items)
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
