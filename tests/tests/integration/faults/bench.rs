//! A demo model with its flats, against which drawings are checked.

use super::classes::Class;
use crate::builds::built;
use artwork::{FlatDrawing, FretPlate, FretTitle, SideFile, read_artwork};
use body::{Body, Finding, Model, Overrides, Severity};
use check::{DrawingWords, Fault, check_artwork, test_build};
use geom::Outline;
use platework_tests::drawings::Drawing;
use platework_tests::faulty_flats::{FaultySheet, Place, Seeded};
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// A place that is found lies within this of the one seeded (mm).
const PLACE_MM: f64 = 1.0;

/// An amount that is found is within this of the one seeded (mm).
const AMOUNT_MM: f64 = 0.02;

/// A demo model.
pub(crate) struct Bench {
    pub(crate) model: Model,
    pub(crate) body: Body,
    pub(crate) flats: Vec<FlatDrawing>,
    tags: OnceLock<BTreeMap<String, Vec<Outline>>>,
}

/// A finding with what the measure behind it says.
pub(crate) struct Said {
    pub(crate) finding: Finding,
    /// What was measured, drawn less meant (mm), and the plates that it is about.
    measure: Option<(&'static str, f64)>,
    plates: Vec<String>,
}

impl Bench {
    pub(crate) fn of(name: &str) -> Self {
        let (model, body) = built(name, Overrides::default());
        let flats = body
            .plates
            .iter()
            .map(|plate| FlatDrawing::of(plate).unwrap())
            .collect();
        Self {
            model,
            body,
            flats,
            tags: OnceLock::new(),
        }
    }

    /// The tags of the fret, on the flats that they hold.
    pub(crate) fn tags(&self) -> &BTreeMap<String, Vec<Outline>> {
        self.tags.get_or_init(|| {
            let plates = FretPlate::of(&self.body, self.flats.clone());
            let title = FretTitle {
                engine: &self.model.title,
                scale: self.model.scale.word(),
            };
            let process = self.model.metal.process;
            let fret = artwork::lay_out(&plates, &self.model.fret, process, title);
            let laid = fret.sheets.into_iter().flat_map(|sheet| sheet.plates);
            laid.map(|own| {
                let on_flat = |tag: &artwork::Tag| {
                    let corners = tag.outline.vertices();
                    let corners = corners.iter().map(|v| own.placement.flat_point(v.point));
                    Outline::polygon(&corners.collect::<Vec<_>>())
                };
                let tags = own.tags.iter().map(on_flat).collect();
                (own.drawing.plate, tags)
            })
            .collect()
        })
    }

    pub(crate) fn flat(&self, plate: &str) -> &FlatDrawing {
        self.flats.iter().find(|flat| flat.plate == plate).unwrap()
    }

    /// Where an opening of a plate is meant.
    pub(crate) fn hole(&self, plate: &str, feature: &str) -> geom::FlatPoint {
        let holes = &self.flat(plate).holes;
        holes
            .iter()
            .find(|hole| hole.feature == feature)
            .unwrap()
            .centre
    }

    /// Thickness of a plate (mm).
    pub(crate) fn thickness(&self, plate: &str) -> f64 {
        self.body.plate(plate).unwrap().sheet.thickness()
    }

    /// How far the edges of a plate grow inwards in the etch (mm).
    pub(crate) fn growth(&self, plate: &str) -> f64 {
        let stock = self.body.plate(plate).unwrap().sheet.stock_thickness;
        self.model.metal.process.growth_per_edge.at(stock)
    }

    /// Everything that is said of a sheet, and the faults that it is gathered to.
    pub(crate) fn said_of(&self, sheet: &FaultySheet) -> (Vec<Said>, Vec<Fault>) {
        let side = SideFile::read("side", sheet.side.as_bytes()).unwrap();
        let dxf = sheet.drawn().to_dxf();
        let drawing = read_artwork(dxf.as_bytes(), "sheet.dxf", &side).unwrap();
        let words = DrawingWords {
            engine: self.model.title.clone(),
            scale: self.model.scale.word().to_owned(),
            mm_per_foot: self.model.scale.mm_per_foot(),
        };
        let metal = &self.model.metal;
        let report = check_artwork(&self.body, &drawing, &words, metal.process).unwrap();
        let build = test_build(&self.body, &report, metal, self.model.scale).unwrap();
        let faults = build.faults;
        let by_measure = build.findings.into_iter().map(|finding| {
            let own = build.measures.iter().find(|own| {
                own.path == finding.path && own.sentence.as_ref() == Some(&finding.sentence)
            });
            Said {
                measure: own.map(|own| (own.what, own.difference_mm)),
                plates: own.map_or_else(|| plates_of(&finding), |own| own.plates.clone()),
                finding,
            }
        });
        let plain = report.findings.into_iter().map(|finding| Said {
            measure: None,
            plates: plates_of(&finding),
            finding,
        });
        (plain.chain(by_measure).collect(), faults)
    }

    /// What is said of the sound artwork, and of the same drawn otherwise.
    pub(crate) fn alarms_when_sound(&self) -> Vec<String> {
        let sheet = FaultySheet::of(self.flats.clone());
        let (said, _) = self.said_of(&sheet);
        let mut chords = FaultySheet::of(self.flats.clone());
        chords.changes.push(Box::new(|drawing| {
            // A program that writes arcs as chords still writes circles as circles.
            let (circles, others) = drawing
                .runs
                .drain(..)
                .partition(|own| own.closed && own.segments.len() == 1);
            let arcs = Drawing {
                runs: others,
                texts: std::mem::take(&mut drawing.texts),
            };
            *drawing = arcs.with_chords(0.01);
            drawing.runs.extend::<Vec<_>>(circles);
        }));
        let (said_of_chords, _) = self.said_of(&chords);
        said.iter()
            .chain(&said_of_chords)
            .filter(|own| own.finding.counts())
            .map(Said::line)
            .collect()
    }
}

fn plates_of(finding: &Finding) -> Vec<String> {
    let of_path = finding
        .path
        .split('/')
        .next()
        .unwrap_or_default()
        .to_owned();
    finding
        .at
        .plate
        .clone()
        .into_iter()
        .chain([of_path])
        .collect()
}

impl Said {
    /// True if this finding names the fault: its class, its place and its amount.
    pub(crate) fn names(&self, class: Class, seeded: &Seeded) -> bool {
        let rule = self.finding.rule;
        let word = class.rules().iter().any(|own| match own.split_once(": ") {
            Some((word, what)) => word == rule && self.measure.is_some_and(|(is, _)| is == what),
            None => *own == rule,
        });
        word && self.is_at(seeded) && self.is_as_large(seeded)
    }

    fn is_at(&self, seeded: &Seeded) -> bool {
        let on_plate = seeded
            .plates
            .iter()
            .any(|plate| self.plates.contains(plate));
        match &seeded.at {
            Place::Drawing => true,
            Place::Plate => on_plate,
            Place::Feature(name) => on_plate && self.finding.path.contains(name.as_str()),
            Place::OneOf(places) => {
                let near = |p: geom::FlatPoint| places.iter().any(|at| (p - at).norm() < PLACE_MM);
                on_plate && self.finding.at.flat.is_some_and(near)
            }
            Place::Along(line) => {
                let near = |p: geom::FlatPoint| line.nearest(p).1 < PLACE_MM;
                on_plate && self.finding.at.flat.is_some_and(near)
            }
            Place::Flat(at) => {
                let near = |p: geom::FlatPoint| (p - at).norm() < PLACE_MM;
                on_plate && self.finding.at.flat.is_some_and(near)
            }
        }
    }

    fn is_as_large(&self, seeded: &Seeded) -> bool {
        let near = |found: f64, amount: f64| (found.abs() - amount.abs()).abs() <= AMOUNT_MM;
        seeded.amount.is_none_or(|amount| {
            near(self.finding.found, amount) || self.measure.is_some_and(|(_, by)| near(by, amount))
        })
    }

    /// True if it is about what was seeded: the plate itself, or a joint of it.
    pub(crate) fn is_about(&self, seeded: &Seeded) -> bool {
        if seeded.plates.is_empty() {
            return self.measure.is_none() && self.finding.at.plate.is_none();
        }
        seeded
            .plates
            .iter()
            .any(|plate| self.plates.contains(plate))
    }

    /// True if it is worth printing.
    pub(crate) fn shows(&self) -> bool {
        self.finding.severity != Severity::Note || self.finding.rule != "taken-by-likeness"
    }

    pub(crate) fn line(&self) -> String {
        let own = &self.finding;
        let at = own
            .at
            .flat
            .map(|p| format!(" at {:.2},{:.2}", p.x, p.y))
            .unwrap_or_default();
        let what = self
            .measure
            .map(|(what, by)| format!(" [{what} {by:.3}]"))
            .unwrap_or_default();
        let (severity, rule, found) = (own.severity.word(), own.rule, own.found);
        format!(
            "{severity} {rule} {} {found:.3}{at}{what}: {}",
            own.path, own.sentence
        )
    }
}
