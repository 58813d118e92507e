//! Order of assembly: each sub-assembly drawn apart with a key, and what goes onto what.

use super::flow::{Column, Flow};
use super::forming::{CAUTION, SheetSource};
use super::operations::title;
use super::paper::{INK, Paper, THIN};
use super::words::width_of;
use crate::ExportError;
use crate::page::{Item, pdf_of};
use body::{JointKind, SheetPaper, Step};
use geom::{Outline, Point2, Segment, Vector2};

/// A part of a picture.
#[derive(Clone, Debug)]
pub struct PicturePart {
    /// The plate or fitting.
    pub id: String,
    /// Its lines as seen (mm).
    pub lines: Vec<Vec<Point2>>,
}

/// A sub-assembly, or the whole engine, drawn apart.
#[derive(Clone, Debug)]
pub struct AssemblyPicture {
    /// The sub-assembly; nothing for the whole engine.
    pub assembly: Option<String>,
    /// Its parts.
    pub parts: Vec<PicturePart>,
}

/// Greatest height of a picture, width of the strip of numbers on either side of it (mm).
const TALLEST: f64 = 125.0;
const STRIP: f64 = 13.0;

/// Radius of a number's ring, from one to the next (mm).
const RING: f64 = 2.4;
const PITCH: f64 = 5.6;
const NUMBER: f64 = 1.7;

/// The sheets of the order of assembly: the engine, then a picture and a list for each sub-assembly. `fret` gives
/// sheet and number of a plate.
///
/// # Errors
///
/// [`ExportError::Pdf`] if the pages cannot be written.
pub fn assembly_pdf(
    source: SheetSource<'_>,
    pictures: &[AssemblyPicture],
    fret: &dyn Fn(&str) -> Option<(usize, usize)>,
    paper: SheetPaper,
) -> Result<Vec<u8>, ExportError> {
    let head = source.head("Order of assembly".to_owned(), "", "none");
    let mut flow = Flow::new(Paper::upright(paper), head, true);
    for picture in pictures {
        flow.new_page();
        match &picture.assembly {
            None => whole(&source, &mut flow, picture),
            Some(id) => one(&source, &mut flow, picture, id, fret),
        }
    }
    pdf_of(
        &format!("{}: order of assembly", source.model.title),
        &flow.finish(),
    )
}

fn whole(source: &SheetSource<'_>, flow: &mut Flow, picture: &AssemblyPicture) {
    flow.heading("The engine drawn apart");
    set(flow, picture, &|_| None);
    flow.heading("Sub-assemblies in the order in which their first plate is put in place");
    let mut seen: Vec<&str> = Vec::new();
    for step in &source.order.steps {
        if let Some(plate) = source.body.plate(&step.plate)
            && !seen.contains(&plate.assembly)
        {
            seen.push(plate.assembly);
        }
    }
    let columns = [
        Column::left("Sub-assembly"),
        Column::left("Steps"),
        Column::right("Plates"),
    ];
    let mut rows = Vec::new();
    for id in seen {
        let numbers: Vec<usize> = steps_of(source, id).map(|own| own.0).collect();
        let name = source.body.assemblies.iter().find(|own| own.id == id);
        rows.push(vec![
            name.map_or_else(|| id.to_owned(), |own| own.title.to_owned()),
            ranges(&numbers),
            numbers.len().to_string(),
        ]);
    }
    flow.table(&columns, &rows);
    flow.paragraph(
        "Numbers in rings are steps of the whole order. A plate goes onto those that stand already; what must be in place before something closes over \
         it comes first. Castings and turned parts follow when the plates around them are cleaned up.",
    );
    flow.paragraph(CAUTION);
}

/// Steps of a sub-assembly with their numbers from 1.
fn steps_of<'s>(
    source: &'s SheetSource<'_>,
    id: &'s str,
) -> impl Iterator<Item = (usize, &'s Step)> {
    let steps = source.order.steps.iter().enumerate();
    steps
        .filter(move |(_, step)| {
            let plate = source.body.plate(&step.plate);
            plate.is_some_and(|plate| plate.assembly == id)
        })
        .map(|(i, step)| (i + 1, step))
}

/// `1–5, 9, 12–14`.
fn ranges(numbers: &[usize]) -> String {
    let mut parts: Vec<(usize, usize)> = Vec::new();
    for &own in numbers {
        match parts.last_mut() {
            Some(last) if last.1 + 1 == own => last.1 = own,
            _ => parts.push((own, own)),
        }
    }
    let words: Vec<String> = parts
        .iter()
        .map(|&(a, b)| {
            if a == b {
                a.to_string()
            } else {
                format!("{a}–{b}")
            }
        })
        .collect();
    words.join(", ")
}

fn one(
    source: &SheetSource<'_>,
    flow: &mut Flow,
    picture: &AssemblyPicture,
    id: &str,
    fret: &dyn Fn(&str) -> Option<(usize, usize)>,
) {
    let name = source.body.assemblies.iter().find(|own| own.id == id);
    flow.heading(name.map_or(id, |own| own.title));
    set(flow, picture, &|plate| {
        source.order.step_of(plate).map(|own| own.0 + 1)
    });
    let columns = [
        Column::right("Step"),
        Column::left("Part"),
        Column::right("Fret sheet/no."),
        Column::left("Goes onto"),
    ];
    let rows: Vec<Vec<String>> = steps_of(source, id)
        .map(|(number, step)| {
            let place = fret(&step.plate);
            vec![
                number.to_string(),
                title(source.body, &step.plate),
                place.map_or_else(String::new, |(sheet, own)| format!("{sheet}/{own}")),
                onto(source, step),
            ]
        })
        .collect();
    flow.table(&columns, &rows);
    for own in &source.body.precedences {
        let plate = source.body.plate(&own.first);
        if plate.is_some_and(|plate| plate.assembly == id) {
            flow.paragraph(&format!(
                "{} before {}: {}.",
                title(source.body, &own.first),
                title(source.body, &own.then),
                own.why
            ));
        }
    }
}

/// Neighbours that stand already, by how they are met.
fn onto(source: &SheetSource<'_>, step: &Step) -> String {
    let mut groups: Vec<(&str, Vec<String>)> = Vec::new();
    for joint in source
        .body
        .joints
        .iter()
        .filter(|own| step.onto.contains(&own.id))
    {
        let other = if joint.a.plate == step.plate {
            &joint.b.plate
        } else {
            &joint.a.plate
        };
        let how = match joint.kind {
            JointKind::Tab => "tabs in",
            JointKind::Face => "flat on",
            JointKind::Edge => "edge on",
            JointKind::Hole => "holes over those of",
        };
        let name = title(source.body, other);
        match groups.iter_mut().find(|own| own.0 == how) {
            Some(own) => {
                if !own.1.contains(&name) {
                    own.1.push(name);
                }
            }
            None => groups.push((how, vec![name])),
        }
    }
    if groups.is_empty() {
        return "stands first".to_owned();
    }
    let words: Vec<String> = groups
        .iter()
        .map(|(how, names)| format!("{how} {}", names.join(", ")))
        .collect();
    words.join("; ")
}

/// Sets a picture as large as it goes, with numbers in rings at its sides.
fn set(flow: &mut Flow, picture: &AssemblyPicture, number: &dyn Fn(&str) -> Option<usize>) {
    let mut points = picture.parts.iter().flat_map(|own| &own.lines).flatten();
    let Some(first) = points.next() else {
        return;
    };
    let (low, high) = points.fold((*first, *first), |(low, high), own| {
        (low.inf(own), high.sup(own))
    });
    let size = high - low;
    let room = flow.paper().inner_width() - 2.0 * STRIP;
    let keyed: Vec<(usize, &PicturePart)> = picture
        .parts
        .iter()
        .filter_map(|own| Some((number(&own.id)?, own)))
        .collect();
    let scale = (room / size.x.max(1e-6)).min(TALLEST / size.y.max(1e-6));
    let rings = keyed.len().div_ceil(2) as f64 * PITCH;
    let tall = (scale * size.y).max(rings.min(TALLEST));
    let spare = Vector2::new(
        STRIP + (room - scale * size.x) / 2.0,
        (tall - scale * size.y) / 2.0,
    );
    let place = |p: &Point2| Point2::from((p - low) * scale + spare);
    let mut items = Vec::new();
    let mut runs = Vec::new();
    for part in &picture.parts {
        for run in &part.lines {
            let points: Vec<Point2> = run.iter().map(place).collect();
            runs.push(
                points
                    .windows(2)
                    .map(|two| Segment::line(two[0], two[1]))
                    .collect(),
            );
        }
    }
    items.push(Item::Runs {
        runs,
        colour: INK,
        width: 0.2,
        dashes: &[],
    });
    let anchors: Vec<(usize, Point2)> = keyed
        .iter()
        .filter_map(|(number, part)| Some((*number, place(&anchor(&part.lines)?))))
        .collect();
    items.extend(key(&anchors, flow.paper().inner_width(), tall));
    flow.drawing((flow.paper().inner_width(), tall), "", items);
}

/// The middle of the longest piece of line that is seen of a part.
fn anchor(lines: &[Vec<Point2>]) -> Option<Point2> {
    let mut best: Option<(f64, Point2)> = None;
    for two in lines.iter().flat_map(|run| run.windows(2)) {
        let length = (two[1] - two[0]).norm();
        if best.is_none_or(|(own, _)| length > own) {
            best = Some((length, two[0] + (two[1] - two[0]) / 2.0));
        }
    }
    best.map(|own| own.1)
}

/// Rings with numbers in two columns beside the picture, each with a line to its part.
fn key(anchors: &[(usize, Point2)], width: f64, tall: f64) -> Vec<Item> {
    let mut by_x: Vec<&(usize, Point2)> = anchors.iter().collect();
    by_x.sort_by(|a, b| a.1.x.total_cmp(&b.1.x).then(a.0.cmp(&b.0)));
    let half = by_x.len().div_ceil(2);
    let mut items = Vec::new();
    for (side, x) in [
        (&by_x[..half], RING + 0.5),
        (&by_x[half..], width - RING - 0.5),
    ] {
        let mut own: Vec<&(usize, Point2)> = side.to_vec();
        own.sort_by(|a, b| a.1.y.total_cmp(&b.1.y).then(a.0.cmp(&b.0)));
        let heights = spread(&own.iter().map(|own| own.1.y).collect::<Vec<_>>(), tall);
        for ((number, at), y) in own.into_iter().zip(heights) {
            let ring = Point2::new(x, y);
            items.extend(ringed(*number, ring, *at));
        }
    }
    items
}

fn ringed(number: usize, ring: Point2, at: Point2) -> [Item; 4] {
    let text = number.to_string();
    let towards = (at - ring).try_normalize(1e-9).unwrap_or_else(Vector2::x);
    [
        Item::Drawn {
            loops: vec![Outline::circle(ring, RING)],
            colour: INK,
            width: THIN,
        },
        Item::Words {
            at: ring - Vector2::new(width_of(&text, NUMBER) / 2.0, NUMBER / 2.0),
            text,
            height: NUMBER,
            colour: INK,
        },
        Item::Runs {
            runs: vec![vec![Segment::line(ring + towards * RING, at)]],
            colour: (0, 92, 170),
            width: 0.13,
            dashes: &[],
        },
        Item::Filled {
            loops: vec![Outline::circle(at, 0.45)],
            colour: (0, 92, 170),
        },
    ]
}

/// Heights as near to those wanted (rising) as they can be, a pitch apart, within the picture.
fn spread(wanted: &[f64], tall: f64) -> Vec<f64> {
    let n = wanted.len();
    let pitch = PITCH.min((tall - 2.0 * RING).max(0.0) / n.saturating_sub(1).max(1) as f64);
    let mut heights: Vec<f64> = wanted.to_vec();
    for i in 0..n {
        let floor = if i == 0 { RING } else { heights[i - 1] + pitch };
        heights[i] = heights[i].max(floor);
    }
    let mut roof = tall - RING;
    for own in heights.iter_mut().rev() {
        *own = own.min(roof);
        roof = *own - pitch;
    }
    heights
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_a_row_are_one_range() {
        assert_eq!(ranges(&[1, 2, 3, 7, 9, 10]), "1–3, 7, 9–10");
        assert_eq!(ranges(&[]), "");
    }

    #[test]
    fn rings_keep_apart_and_within_the_picture() {
        let heights = spread(&[0.0, 1.0, 50.0, 99.0, 99.5, 100.0], 100.0);
        assert!(
            heights
                .windows(2)
                .all(|two| two[1] - two[0] >= PITCH - 1e-9)
        );
        assert!(heights[0] >= RING && heights[5] <= 100.0 - RING + 1e-9);
        // Where there is room each stands at its own height.
        assert_eq!(heights[2], 50.0);
        assert!(spread(&[], 100.0).is_empty());
    }
}
