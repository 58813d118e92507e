//! Flats of whole engines drawn, changed in ways that change nothing, and read back: nothing is found, neither
//! on a plate nor at a joint of the test build.
//!
//! The demo models at the scale of their files; with `PLATEWORK_SOUND=all` every model at both scales, and with
//! a part of a name (`PLATEWORK_SOUND=class-m`) those.

use crate::builds::{at_scale, build};
use artwork::{Artwork, DrawnCurve, FlatDrawing, Label, Motion2, SideFile, read_artwork};
use body::{Body, Finding, Model, Overrides, Scale};
use check::{DrawingWords, check_artwork, test_build};
use develop::EtchProcess;
use geom::Vector2;
use platework_tests::drawings::{Drawing, bounds};
use platework_tests::faulty_flats::with_allowance;
use platework_tests::models;
use platework_tests::mutations::Chance;
use std::sync::OnceLock;

const NOT_APPLIED: &str = "allowance = \"left to the etcher\"\njoin_within = 0.02\n";

/// A model built, with its flats.
struct Demo {
    name: String,
    model: Model,
    body: Body,
    flats: Vec<FlatDrawing>,
}

/// The models that are looked at, built once.
fn demos() -> &'static [Demo] {
    static DEMOS: OnceLock<Vec<Demo>> = OnceLock::new();
    DEMOS.get_or_init(|| {
        let asked = std::env::var("PLATEWORK_SOUND").ok();
        let Some(asked) = asked else {
            return models::demo()
                .into_iter()
                .map(|(name, text)| {
                    Demo::of(name.clone(), build(&name, &text, Overrides::default()))
                })
                .collect();
        };
        let wanted = |name: &str| asked == "all" || name.contains(&asked);
        models::all()
            .into_iter()
            .flat_map(|own| Scale::ALL.map(|scale| (own.clone(), scale)))
            .map(|((name, text), scale)| (format!("{name} at {}", scale.word()), text, scale))
            .filter(|(name, ..)| wanted(name))
            .map(|(name, text, scale)| Demo::of(name.clone(), build(&name, &text, at_scale(scale))))
            .collect()
    })
}

impl Demo {
    fn of(name: String, (model, body): (Model, Body)) -> Self {
        let flats = body
            .plates
            .iter()
            .map(|plate| FlatDrawing::of(plate).unwrap())
            .collect();
        Self {
            name,
            model,
            body,
            flats,
        }
    }

    fn process(&self) -> &'static EtchProcess {
        self.model.metal.process
    }

    /// What is said of a drawing that is sound, one line each; nothing, if all is well.
    fn said_of(&self, what: &str, drawing: &Artwork, plates: usize) -> Vec<String> {
        let (metal, scale) = (&self.model.metal, self.model.scale);
        let words = DrawingWords {
            engine: self.model.title.clone(),
            scale: scale.word().to_owned(),
            mm_per_foot: scale.mm_per_foot(),
        };
        let report = check_artwork(&self.body, drawing, &words, metal.process).unwrap();
        let built = test_build(&self.body, &report, metal, scale).unwrap();
        let line = |f: &Finding| format!("{} {}: {}", f.severity.word(), f.rule, f.sentence);
        let mut said: Vec<String> = report
            .findings
            .iter()
            .chain(&built.findings)
            .filter(|f| f.counts())
            .map(line)
            .collect();
        said.extend(
            built
                .not_measured
                .iter()
                .map(|own| format!("not measured {}: {}", own.joint, own.reason)),
        );
        if built.fit_to_etch == (!said.is_empty() && built.not_measured.is_empty()) {
            said.push(format!("the verdict: {}", built.verdict));
        }
        let joints = self.body.joints.len();
        if built.measures.len() <= joints {
            said.push(format!(
                "{} measures of {joints} joints",
                built.measures.len()
            ));
        }
        if report.per_plate.len() != plates {
            said.push(format!("not drawn: {:?}", report.not_drawn));
            let of_shapes = report
                .findings
                .iter()
                .filter(|f| f.rule == "unknown-shape" || f.rule.ends_with("-once"));
            said.extend(of_shapes.map(line));
        }
        for own in &report.per_plate {
            if own.mirrored || !own.extra.is_empty() {
                said.push(format!(
                    "{} is taken for what it is not: {:?}",
                    own.plate, own.extra
                ));
            }
        }
        said.into_iter()
            .map(|own| format!("{}, {what}: {own}", self.name))
            .collect()
    }

    fn read(&self, what: &str, text: &str, side: &str) -> Vec<String> {
        let side = SideFile::read("side", side.as_bytes()).unwrap();
        let drawing = read_artwork(text.as_bytes(), what, &side).unwrap();
        self.said_of(what, &drawing, self.flats.len())
    }

    fn drawing(&self) -> Drawing {
        // No two neighbours turned alike.
        Drawing::of_flats(&self.flats, |i| i as f64 * 2.399)
    }
}

/// Refuses anything that is said of any of the models.
#[track_caller]
fn refuse(said: impl Iterator<Item = Vec<String>>) {
    let said: Vec<String> = said.flatten().collect();
    assert!(said.is_empty(), "{}", said.join("\n"));
}

/// Files of single plates laid side by side on one drawing.
fn side_by_side(files: impl Iterator<Item = Vec<u8>>) -> Artwork {
    let side = SideFile::read("side", NOT_APPLIED.as_bytes()).unwrap();
    let mut all = Artwork::default();
    let mut x = 0.0;
    for file in files {
        let own = read_artwork(&file, "plate", &side).unwrap();
        assert!(own.not_read.is_empty(), "{:?}", own.not_read);
        let segments: Vec<_> = own.pieces.iter().map(|p| p.segment).collect();
        let (low, high) = bounds(&segments);
        let by = Vector2::new(x - low.x, -low.y);
        all.pieces
            .extend(own.pieces.into_iter().map(|piece| DrawnCurve {
                segment: piece.segment.translated(by),
                ..piece
            }));
        all.labels.extend(own.labels.into_iter().map(|label| Label {
            at: label.at + by,
            ..label
        }));
        x += high.x - low.x + 40.0;
        (all.units, all.allowance, all.join_within) = (own.units, own.allowance, own.join_within);
    }
    all
}

#[test]
fn files_of_single_plates_are_read_back_without_a_finding() {
    refuse(demos().iter().map(|demo| {
        let n = demo.flats.len();
        let dxf = side_by_side(demo.flats.iter().map(export::dxf_of));
        let svg = side_by_side(
            demo.flats
                .iter()
                .map(|flat| export::svg_of(flat).into_bytes()),
        );
        let sheet = export::dxf_side_by_side(&demo.flats, export::SheetSpacing::default());
        let sheet = String::from_utf8_lossy(&sheet);
        [
            demo.said_of("DXF of each plate", &dxf, n),
            demo.said_of("SVG of each plate", &svg, n),
            demo.read("DXF of all plates", &sheet, NOT_APPLIED),
        ]
        .concat()
    }));
}

#[test]
fn what_changes_nothing_finds_nothing() {
    let turn = Motion2 {
        mirrored: false,
        angle: 1.234,
        shift: Vector2::new(-700.0, 350.0),
    };
    refuse(demos().iter().map(|demo| {
        let chance = &mut Chance::new(demo.name.len() as u64);
        let plain = demo.drawing();
        let moved = plain.clone().moved(&turn).shuffled(chance).broken();
        let moved = moved.shuffled(chance).to_dxf();
        let chords = plain.clone().begun_elsewhere(chance).with_chords(0.01);
        let broken = chords.clone().broken().shuffled(chance).to_svg();
        let rounded = plain.clone().moved(&turn).cut(chance).rounded(0.01);
        let coarse = plain.clone().moved(&turn).with_chords(0.01).rounded(0.01);
        let rear = plain
            .clone()
            .seen_from_rear()
            .moved(&turn)
            .begun_elsewhere(chance);
        let from_rear = format!("{NOT_APPLIED}face = \"rear\"\n");
        let nameless = plain.clone().without_texts().shuffled(chance).to_svg();
        [
            demo.read("plain SVG", &plain.to_svg(), NOT_APPLIED),
            demo.read("turned, broken, shuffled DXF", &moved, NOT_APPLIED),
            demo.read("DXF of chords", &chords.to_dxf(), NOT_APPLIED),
            demo.read("SVG of broken chords", &broken, NOT_APPLIED),
            demo.read("DXF cut, two decimals", &rounded.to_dxf(), NOT_APPLIED),
            demo.read("SVG of chords, two decimals", &coarse.to_svg(), NOT_APPLIED),
            demo.read("DXF from the rear", &rear.to_dxf(), &from_rear),
            demo.read("SVG from the rear", &rear.to_svg(), &from_rear),
            demo.read("SVG without names", &nameless, NOT_APPLIED),
        ]
        .concat()
    }));
}

/// A drawing with the allowance on it, which its side file tells of.
#[test]
fn an_allowance_on_the_drawing_is_taken_off() {
    refuse(demos().iter().map(|demo| {
        let grown: Vec<FlatDrawing> = demo
            .flats
            .iter()
            .zip(&demo.body.plates)
            .map(|(flat, plate)| {
                with_allowance(
                    flat,
                    demo.process()
                        .growth_per_edge
                        .at(plate.sheet.stock_thickness),
                )
            })
            .collect();
        let drawing = Drawing::of_flats(&grown, |i| i as f64);
        demo.read(
            "allowance applied",
            &drawing.to_dxf(),
            "allowance = \"applied\"",
        )
    }));
}
