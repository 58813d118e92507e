//! The list of parts: plates by sheet, castings and turned parts, rod, wire and screws.

use super::flow::{Column, Flow};
use super::forming::SheetSource;
use super::paper::Paper;
use crate::ExportError;
use crate::page::pdf_of;
use body::{Body, Fitting, FittingShape, Look, Plate, Sheet, SheetPaper};
use geom::{Outline, Segment};
use std::fmt::Write as _;

/// A line of the list.
#[derive(Clone, Debug, PartialEq)]
struct Line {
    /// `Plate`, `Casting or turning`, `Rod`, `Wire`, `Screw`.
    kind: &'static str,
    /// Number on the fret, for a plate.
    number: String,
    /// Name of a plate or part.
    id: String,
    /// In words.
    title: String,
    /// How many.
    count: usize,
    /// Metal and thickness, or diameter and length.
    stock: String,
    /// Sub-assembly.
    assembly: String,
    /// Sheet of the fret, for a plate.
    sheet: String,
}

/// The list of parts as text of comma separated values (RFC 4180), a line a part. `fret` gives sheet and number
/// of a plate by its id.
pub fn parts_csv(source: SheetSource<'_>, fret: &dyn Fn(&str) -> Option<(usize, usize)>) -> String {
    let mut out = String::from("kind,sheet,number,count,id,title,metal or size,sub-assembly\r\n");
    for line in lines(source.body, fret) {
        let cells = [
            line.kind,
            &line.sheet,
            &line.number,
            &line.count.to_string(),
            &line.id,
            &line.title,
            &line.stock,
            &line.assembly,
        ]
        .map(quoted);
        // Writing to a String cannot fail.
        let _ = write!(out, "{}\r\n", cells.join(","));
    }
    out
}

fn quoted(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

/// The list of parts for printing.
///
/// # Errors
///
/// [`ExportError::Pdf`] if the pages cannot be written.
pub fn parts_pdf(
    source: SheetSource<'_>,
    fret: &dyn Fn(&str) -> Option<(usize, usize)>,
    paper: SheetPaper,
) -> Result<Vec<u8>, ExportError> {
    let head = source.head("List of parts".to_owned(), "", "–");
    let mut flow = Flow::new(Paper::upright(paper), head, true);
    let all = lines(source.body, fret);
    let mut sheets: Vec<(String, String)> = Vec::new();
    for line in all.iter().filter(|own| own.kind == PLATE) {
        let own = (line.sheet.clone(), line.stock.clone());
        if !sheets.contains(&own) {
            sheets.push(own);
        }
    }
    let columns = [
        Column::right("No."),
        Column::right("Count"),
        Column::left("Part"),
        Column::left("Name in files"),
        Column::left("Sub-assembly"),
    ];
    let mut tables = Vec::new();
    for (sheet, stock) in &sheets {
        let own = all
            .iter()
            .filter(|own| own.kind == PLATE && own.sheet == *sheet && own.stock == *stock);
        let rows: Vec<Vec<String>> = own
            .map(|line| {
                vec![
                    line.number.clone(),
                    line.count.to_string(),
                    line.title.clone(),
                    line.id.clone(),
                    line.assembly.clone(),
                ]
            })
            .collect();
        tables.push((format!("Etched sheet {sheet}: {stock}"), rows));
    }
    flow.tables(&columns, &tables);
    let columns = [
        Column::right("Count"),
        Column::left("Part"),
        Column::left("Size (mm)"),
        Column::left("Sub-assembly"),
    ];
    let mut tables = Vec::new();
    for (kind, title) in [
        (TURNED, "Castings and turned parts"),
        (WHEEL, "Wheels and axles"),
        (ROD, "Rod and bar"),
        (WIRE, "Wire"),
        (SCREW, "Screws and studding"),
    ] {
        let rows: Vec<Vec<String>> = all
            .iter()
            .filter(|own| own.kind == kind)
            .map(|line| {
                vec![
                    line.count.to_string(),
                    line.title.clone(),
                    line.stock.clone(),
                    line.assembly.clone(),
                ]
            })
            .collect();
        if !rows.is_empty() {
            tables.push((title.to_owned(), rows));
        }
    }
    flow.tables(&columns, &tables);
    flow.paragraph(
        "Sizes of parts that are not etched are those of the body; what is bought ready made may differ. Small parts and sharp edges: not for children.",
    );
    pdf_of(
        &format!("{}: list of parts", source.model.title),
        &flow.finish(),
    )
}

const PLATE: &str = "plate";
const TURNED: &str = "casting or turning";
const WHEEL: &str = "wheel or axle";
const ROD: &str = "rod";
const WIRE: &str = "wire";
const SCREW: &str = "screw";

fn lines(body: &Body, fret: &dyn Fn(&str) -> Option<(usize, usize)>) -> Vec<Line> {
    let mut plates: Vec<Line> = body
        .plates
        .iter()
        .map(|plate| plate_line(body, plate, fret(&plate.id)))
        .collect();
    let rank = |line: &Line| -> (usize, usize) {
        let number = |text: &str| text.parse().unwrap_or(usize::MAX);
        (number(&line.sheet), number(&line.number))
    };
    plates.sort_by_key(rank);
    let mut all = plates;
    for fitting in &body.fittings {
        let line = fitting_line(body, fitting);
        let same = all.iter_mut().find(|own| {
            own.kind == line.kind && own.title == line.title && own.stock == line.stock
        });
        match same {
            Some(own) => {
                own.count += 1;
                own.id = format!("{} {}", own.id, line.id);
            }
            None => all.push(line),
        }
    }
    all.extend(screws(body));
    all
}

fn assembly_title(body: &Body, id: &str) -> String {
    body.assemblies
        .iter()
        .find(|own| own.id == id)
        .map_or_else(String::new, |own| own.title.to_owned())
}

fn plate_line(body: &Body, plate: &Plate, place: Option<(usize, usize)>) -> Line {
    let text = |n: Option<usize>| n.map_or_else(String::new, |n| n.to_string());
    Line {
        kind: PLATE,
        number: text(place.map(|own| own.1)),
        id: plate.id.clone(),
        title: plate.title.clone(),
        count: 1,
        stock: stock_words(&plate.sheet),
        assembly: assembly_title(body, plate.assembly),
        sheet: text(place.map(|own| own.0)),
    }
}

fn stock_words(sheet: &Sheet) -> String {
    format!("{} {:.2} mm", sheet.metal, sheet.stock_thickness)
}

/// Part without hand and number: `handrail-pillar-left-1` is a handrail pillar.
fn kind_name(id: &str) -> String {
    let is_plain = |word: &&str| {
        !matches!(*word, "left" | "right" | "front" | "rear") && word.parse::<u32>().is_err()
    };
    let words: Vec<&str> = id.split('-').filter(is_plain).collect();
    let mut text = words.join(" ");
    if let Some(first) = text.get_mut(0..1) {
        first.make_ascii_uppercase();
    }
    text
}

fn fitting_line(body: &Body, fitting: &Fitting) -> Line {
    let (kind, stock) = match &fitting.shape {
        FittingShape::Turned { profile, .. } => {
            let (diameter, length) = turned_size(profile);
            let words = format!("Ø{diameter:.2} × {length:.2}");
            let kind = if fitting.id.starts_with("wheel") || fitting.id.starts_with("axle") {
                WHEEL
            } else if is_plain_round(profile) && length > 4.0 * diameter {
                if diameter <= 1.6 { WIRE } else { ROD }
            } else {
                TURNED
            };
            (kind, words)
        }
        FittingShape::Seated(own) => {
            let (diameter, length) = turned_size(&own.profile);
            (TURNED, format!("Ø{diameter:.2} × {length:.2}"))
        }
        FittingShape::Slab {
            outline, low, high, ..
        } => {
            let (a, b) = outline.bounds();
            let words = format!("{:.2} × {:.2} × {:.2}", b.x - a.x, b.y - a.y, high - low);
            let kind = match fitting.look {
                Look::Steel => ROD,
                _ if fitting.id.starts_with("wheel") => WHEEL,
                _ => TURNED,
            };
            (kind, words)
        }
    };
    Line {
        kind,
        number: String::new(),
        id: fitting.id.clone(),
        title: kind_name(&fitting.id),
        count: 1,
        stock,
        assembly: assembly_title(body, fitting.assembly),
        sheet: String::new(),
    }
}

/// Greatest diameter and length of a turned part (mm).
fn turned_size(profile: &Outline) -> (f64, f64) {
    let (low, high) = profile.bounds();
    (2.0 * high.x, high.y - low.y)
}

/// Whether a profile is a plain rectangle against the axis.
fn is_plain_round(profile: &Outline) -> bool {
    let segments = profile.segments();
    segments.len() <= 4
        && segments
            .iter()
            .all(|own| matches!(own, Segment::Line { .. }))
}

/// Screws through the holes that are made for them, and studding through formers.
fn screws(body: &Body) -> Vec<Line> {
    let mut found: Vec<Line> = Vec::new();
    for plate in &body.plates {
        for hole in &plate.holes {
            let (Some(diameter), true) = (hole.diameter, hole.feature.starts_with("fixing")) else {
                continue;
            };
            let stock = format!("for a clearance hole Ø{diameter:.2}");
            match found.iter_mut().find(|own| own.stock == stock) {
                Some(own) => own.count += 1,
                None => found.push(Line {
                    kind: SCREW,
                    number: String::new(),
                    id: "fixing-screw".to_owned(),
                    title: "Body fixing screw, and nut".to_owned(),
                    count: 1,
                    stock,
                    assembly: assembly_title(body, plate.assembly),
                    sheet: String::new(),
                }),
            }
        }
    }
    for block in &body.blocks {
        for (_, diameter) in &block.studding {
            let stock = format!("through Ø{diameter:.2}, {:.0} long", block.length + 10.0);
            match found.iter_mut().find(|own| own.stock == stock) {
                Some(own) => own.count += 1,
                None => found.push(Line {
                    kind: SCREW,
                    number: String::new(),
                    id: "studding".to_owned(),
                    title: "Studding with nuts, to hold formers and block".to_owned(),
                    count: 1,
                    stock,
                    assembly: block.title.clone(),
                    sheet: String::new(),
                }),
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_with_commas_and_quotes_are_quoted() {
        assert_eq!(quoted("Boiler former, front"), "\"Boiler former, front\"");
        assert_eq!(quoted("a \"b\""), "\"a \"\"b\"\"\"");
        assert_eq!(quoted("plain"), "plain");
    }

    #[test]
    fn hands_and_numbers_are_left_out_of_a_parts_kind() {
        assert_eq!(kind_name("handrail-pillar-left-1"), "Handrail pillar");
        assert_eq!(kind_name("wheel-right-3-tyre"), "Wheel tyre");
    }
}
