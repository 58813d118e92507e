//! Rivet rows as drawn: each against what is meant, and rows that run on from plate to plate.

use super::as_drawn::Drawn;
use super::measure::{Judged, Measured};
use crate::tolerance::PLACE_MM;
use body::{FindingPlace, Severity};
use geom::{FlatPoint, Vector3};
use std::collections::BTreeMap;

/// Rows of two plates run on in one line within this (mm): what the eye sees along a row (common
/// practice, no source).
const IN_LINE_MM: f64 = 0.10;

/// A row of a plate that is drawn.
struct Row<'a> {
    drawn: &'a Drawn<'a>,
    name: &'a str,
    /// Meant and drawn places of its rivets.
    rivets: Vec<(FlatPoint, Option<FlatPoint>)>,
}

fn rows<'a>(drawn: &'a Drawn<'a>) -> Vec<Row<'a>> {
    let places = drawn.rivets();
    if places.iter().all(Option::is_none) {
        return Vec::new();
    }
    let mut by_name: BTreeMap<&str, Vec<(FlatPoint, Option<FlatPoint>)>> = BTreeMap::new();
    for (rivet, place) in drawn.plate.rivets.iter().zip(places) {
        by_name
            .entry(rivet.row.as_str())
            .or_default()
            .push((rivet.centre, place));
    }
    by_name
        .into_iter()
        .map(|(name, rivets)| Row {
            drawn,
            name,
            rivets,
        })
        .collect()
}

/// Every rivet row against what is meant, and against the row of another plate that it runs on in.
pub(crate) fn rivets_as_drawn(all: &[Drawn<'_>]) -> Vec<Judged> {
    let rows: Vec<Row<'_>> = all.iter().flat_map(rows).collect();
    let mut found: Vec<Judged> = rows.iter().filter_map(Row::against_meant).collect();
    let lines: Vec<Line<'_>> = rows.iter().filter_map(Line::of).collect();
    for (i, one) in lines.iter().enumerate() {
        for other in &lines[i + 1..] {
            found.extend(one.run_on(other));
        }
    }
    found
}

impl Row<'_> {
    fn place(&self, flat: FlatPoint) -> FindingPlace {
        let plate = self.drawn.plate;
        FindingPlace {
            plate: Some(plate.id.clone()),
            flat: Some(flat),
            body: Some(plate.forming.place(flat).point),
        }
    }

    fn against_meant(&self) -> Option<Judged> {
        let id = &self.drawn.plate.id;
        let missing = self.rivets.iter().filter(|(_, is)| is.is_none()).count();
        let (off, at) = self
            .rivets
            .iter()
            .filter_map(|(meant, is)| Some(((is.as_ref()? - meant).norm(), *meant)))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .unwrap_or((0.0, self.rivets.first()?.0));
        let measured = Measured {
            path: format!("{id}/rivets:{}", self.name),
            rule: "rivets-as-drawn",
            what: "rivet farthest from its place",
            plates: vec![id.clone()],
            should_be: 0.0,
            drawn: off,
            allowed: (0.0, PLACE_MM),
            at: self.place(at),
        };
        let name = self.name;
        if missing > 0 {
            let first = self.rivets.iter().find(|(_, is)| is.is_none())?.0;
            let measured = Measured {
                what: "rivets not drawn",
                drawn: missing as f64,
                allowed: (0.0, 0.0),
                at: self.place(first),
                ..measured
            };
            let all = self.rivets.len();
            return Some(measured.judged(Severity::Warning, |_| {
                format!("{missing} of the {all} rivets of the row {name} of {id} are not drawn where they belong")
            }));
        }
        Some(measured.judged(Severity::Warning, |_| {
            format!("the rivet row {name} of {id} will show crooked: a rivet stands {off:.2} mm out of its place")
        }))
    }
}

/// A straight row in space.
struct Line<'a> {
    row: &'a Row<'a>,
    start: geom::BodyPoint,
    end: geom::BodyPoint,
    along: Vector3,
    pitch: f64,
}

impl<'a> Line<'a> {
    fn of(row: &'a Row<'a>) -> Option<Self> {
        let n = row.rivets.len();
        if n < 3 || row.rivets.iter().any(|(_, is)| is.is_none()) {
            return None;
        }
        let place = |p: FlatPoint| row.drawn.plate.forming.place(p).point;
        let points: Vec<_> = row.rivets.iter().map(|(meant, _)| place(*meant)).collect();
        let (start, end) = (points[0], points[n - 1]);
        let along = (end - start).try_normalize(1e-9)?;
        let straight = points.iter().all(|p| {
            let arm = p - start;
            (arm - along * arm.dot(&along)).norm() < 0.02
        });
        straight.then_some(Self {
            row,
            start,
            end,
            along,
            pitch: (end - start).norm() / (n - 1) as f64,
        })
    }

    /// The step between two rows that are meant to run on in one line.
    fn run_on(&self, other: &Line<'_>) -> Option<Judged> {
        let (one, two) = (self.row.drawn.plate, other.row.drawn.plate);
        if one.id == two.id || self.along.dot(&other.along).abs() < 0.9999 {
            return None;
        }
        let reach = 2.0 * self.pitch.max(other.pitch);
        let ends = [(self.end, true), (self.start, false)];
        let others = [(other.start, true), (other.end, false)];
        let (mine, theirs) = ends
            .iter()
            .flat_map(|mine| others.iter().map(move |theirs| (*mine, *theirs)))
            .find(|(mine, theirs)| {
                let apart = theirs.0 - mine.0;
                let aside = apart - self.along * apart.dot(&self.along);
                apart.norm() < reach && apart.norm() > 1e-6 && aside.norm() < 0.05
            })?;
        let moved = |line: &Line<'_>, at_end: bool| {
            let n = line.row.rivets.len();
            let (meant, is) = line.row.rivets[if at_end { n - 1 } else { 0 }];
            let place = |p| line.row.drawn.plate.forming.place(p).point;
            is.map(|is| place(is) - place(meant))
        };
        let step = moved(self, mine.1)? - moved(other, !theirs.1)?;
        let aside = step - self.along * step.dot(&self.along);
        let flat = self.row.rivets[if mine.1 { self.row.rivets.len() - 1 } else { 0 }].0;
        let (own_row, other_row) = (self.row.name, other.row.name);
        let measured = Measured {
            path: format!("{}/rivets:{own_row}~{}/rivets:{other_row}", one.id, two.id),
            rule: "rivet-rows-as-drawn",
            what: "step between rows that run on",
            plates: vec![one.id.clone(), two.id.clone()],
            should_be: 0.0,
            drawn: aside.norm(),
            allowed: (0.0, IN_LINE_MM),
            at: self.row.place(flat),
        };
        Some(measured.judged(Severity::Warning, |own| {
            format!(
                "the rivet rows {own_row} of {} and {other_row} of {} will not run on in one line: there is a step of {:.2} mm",
                one.id, two.id, own.drawn
            )
        }))
    }
}
