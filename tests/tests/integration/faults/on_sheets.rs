//! Mistakes on the sheet.

use super::Fault;
use super::bench::Bench;
use super::classes::*;
use geom::{Outline, Point2, Segment};
use platework_tests::drawings::{Drawing, Run};
use platework_tests::faulty_flats::{FaultySheet, Place, Seeded};

pub(crate) fn faults() -> Vec<Fault> {
    let fault = |class, model, mistake, seed| Fault {
        class,
        model,
        mistake,
        seed,
    };
    vec![
        fault(
            GAP,
            "class-b",
            "the outline of the cab's floor open by 0.08 mm",
            |s, b| gap(s, b, "cab-floor", 0.08),
        ),
        fault(
            GAP,
            "class-e",
            "the outline of a valance open by 0.05 mm",
            |s, b| gap(s, b, "valance-left", 0.05),
        ),
        fault(
            DRAWN_AGAIN,
            "class-b",
            "a side of the tank's top drawn twice",
            |s, b| again(s, b, "tank-top-left"),
        ),
        fault(
            DRAWN_AGAIN,
            "tender-t",
            "a side of the frame drawn twice",
            |s, b| again(s, b, "frame-left"),
        ),
        fault(STRAY, "class-b", "a line left beside the plates", |s, _| {
            s.changes.push(Box::new(|drawing| {
                let ends = (Point2::new(-40.0, 10.0), Point2::new(-40.0, 32.0));
                drawing
                    .runs
                    .push(run(vec![Segment::line(ends.0, ends.1)], false));
            }));
            Seeded::drawing(Some(22.0))
        }),
        fault(
            STRAY,
            "class-s",
            "a scrap left beside the plates",
            |s, _| {
                s.changes.push(Box::new(|drawing| {
                    let scrap =
                        Outline::rectangle(Point2::new(-60.0, 10.0), Point2::new(-47.0, 12.0));
                    drawing.runs.push(run(scrap.segments().to_vec(), true));
                }));
                Seeded::drawing(None)
            },
        ),
        fault(
            UNIT,
            "class-b",
            "inches in a drawing that says millimetres",
            |s, _| enlarged(s, 1.0 / 25.4),
        ),
        fault(UNIT, "class-e", "the sheet drawn for 4 mm scale", |s, _| {
            enlarged(s, 4.0 / 7.0)
        }),
        fault(
            ALLOWANCE,
            "tender-t",
            "the allowance on every plate of a drawing that says it is not",
            |s, b| {
                let plates: Vec<String> = b.flats.iter().map(|flat| flat.plate.clone()).collect();
                for plate in &plates {
                    let growth = b.growth(plate);
                    s.grow(plate, growth);
                }
                Seeded::drawing(None)
            },
        ),
    ]
}

fn run(segments: Vec<Segment>, closed: bool) -> Run {
    Run {
        layer: "OUTLINE".to_owned(),
        segments,
        closed,
    }
}

/// The run of a plate's outline on the sheet: outlines stand in the order of the flats.
fn outline_of(drawing: &mut Drawing, plate: usize) -> &mut Run {
    drawing
        .runs
        .iter_mut()
        .filter(|own| own.layer == "OUTLINE")
        .nth(plate)
        .unwrap()
}

fn number(b: &Bench, plate: &str) -> usize {
    b.flats.iter().position(|flat| flat.plate == plate).unwrap()
}

/// The outline of a plate begins late.
fn gap(s: &mut FaultySheet, b: &Bench, plate: &str, size: f64) -> Seeded {
    let i = number(b, plate);
    s.changes.push(Box::new(move |drawing| {
        let own = outline_of(drawing, i);
        let first = own.segments[0];
        own.segments[0] = first.part(size / first.length(), 1.0);
        own.closed = false;
    }));
    let at = b.flats[i].outline.segments()[0].start();
    Seeded::place(plate, at, size)
}

/// The first side of a plate's outline once more.
fn again(s: &mut FaultySheet, b: &Bench, plate: &str) -> Seeded {
    let i = number(b, plate);
    s.changes.push(Box::new(move |drawing| {
        let first = outline_of(drawing, i).segments[0];
        drawing.runs.push(run(vec![first], false));
    }));
    let mut seeded = Seeded::plate(plate, None);
    seeded.at = Place::Along(b.flats[i].outline.segments()[0]);
    seeded
}

/// The whole sheet of another size.
fn enlarged(s: &mut FaultySheet, factor: f64) -> Seeded {
    s.changes.push(Box::new(move |drawing| {
        *drawing = std::mem::take(drawing).enlarged(factor)
    }));
    Seeded::drawing(Some(factor))
}
