//! Flats of the demo models drawn, changed in ways that change nothing, and read back: nothing is found.

use artwork::{
    Artwork, DrawnCurve, DrawnShape, FlatDrawing, Label, Motion2, SideFile, etched, read_artwork,
};
use body::{Body, Finding, Model, Overrides};
use check::{DrawingWords, check_artwork};
use develop::EtchProcess;
use geom::{Chain, Outline, Vector2};
use platework_tests::drawings::{Drawing, bounds};
use platework_tests::models;
use platework_tests::mutations::Chance;

const NOT_APPLIED: &str = "allowance = \"left to the etcher\"\njoin_within = 0.02\n";

/// A demo model built, with its flats.
struct Demo {
    name: String,
    body: Body,
    flats: Vec<FlatDrawing>,
    words: DrawingWords,
    process: &'static EtchProcess,
}

fn demos() -> Vec<Demo> {
    models::demo()
        .into_iter()
        .map(|(name, text)| {
            let model = Model::read(&name, text.as_bytes(), &Overrides::default()).unwrap();
            let body = body::build(&model).unwrap();
            Demo {
                name,
                flats: body
                    .plates
                    .iter()
                    .map(|p| FlatDrawing::of(p).unwrap())
                    .collect(),
                body,
                words: DrawingWords {
                    engine: model.title.clone(),
                    scale: model.scale.word().to_owned(),
                    mm_per_foot: model.scale.mm_per_foot(),
                },
                process: model.metal.process,
            }
        })
        .collect()
}

impl Demo {
    #[track_caller]
    fn refuse_findings(&self, what: &str, drawing: &Artwork, plates: usize) {
        let report = check_artwork(&self.body, drawing, &self.words, self.process).unwrap();
        let counted: Vec<String> = report
            .findings
            .iter()
            .filter(|f| f.counts())
            .map(|f: &Finding| format!("{} {}: {}", f.severity.word(), f.rule, f.sentence))
            .collect();
        assert!(
            counted.is_empty(),
            "{}, {what}:\n{}",
            self.name,
            counted.join("\n")
        );
        let of_shapes: Vec<&str> = report
            .findings
            .iter()
            .filter(|f| f.rule == "unknown-shape" || f.rule.ends_with("-once"))
            .map(|f| f.sentence.as_str())
            .collect();
        assert_eq!(
            report.per_plate.len(),
            plates,
            "{}, {what}: {:?} not drawn; {of_shapes:?}",
            self.name,
            report.not_drawn
        );
        assert!(
            report
                .per_plate
                .iter()
                .all(|p| !p.mirrored && p.extra.is_empty())
        );
    }

    #[track_caller]
    fn read(&self, what: &str, text: &str, side: &str) {
        let side = SideFile::read("side", side.as_bytes()).unwrap();
        let drawing = read_artwork(text.as_bytes(), what, &side).unwrap();
        self.refuse_findings(what, &drawing, self.flats.len());
    }

    fn drawing(&self) -> Drawing {
        // No two neighbours turned alike.
        Drawing::of_flats(&self.flats, |i| i as f64 * 2.399)
    }
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
    for demo in demos() {
        let n = demo.flats.len();
        let dxf = side_by_side(demo.flats.iter().map(export::dxf_of));
        demo.refuse_findings("DXF of each plate", &dxf, n);
        let svg = side_by_side(
            demo.flats
                .iter()
                .map(|flat| export::svg_of(flat).into_bytes()),
        );
        demo.refuse_findings("SVG of each plate", &svg, n);
        let sheet = export::dxf_side_by_side(&demo.flats, export::SheetSpacing::default());
        demo.read(
            "DXF of all plates",
            &String::from_utf8_lossy(&sheet),
            NOT_APPLIED,
        );
    }
}

#[test]
fn what_changes_nothing_finds_nothing() {
    let turn = Motion2 {
        mirrored: false,
        angle: 1.234,
        shift: Vector2::new(-700.0, 350.0),
    };
    for demo in demos() {
        let chance = &mut Chance::new(demo.name.len() as u64);
        let plain = demo.drawing();
        demo.read("plain SVG", &plain.to_svg(), NOT_APPLIED);
        let moved = plain.clone().moved(&turn).shuffled(chance).broken();
        demo.read(
            "turned, broken, shuffled DXF",
            &moved.shuffled(chance).to_dxf(),
            NOT_APPLIED,
        );
        let chords = plain.clone().begun_elsewhere(chance).with_chords(0.01);
        demo.read("DXF of chords", &chords.to_dxf(), NOT_APPLIED);
        demo.read(
            "SVG of broken chords",
            &chords.broken().shuffled(chance).to_svg(),
            NOT_APPLIED,
        );
        let rear = plain
            .clone()
            .seen_from_rear()
            .moved(&turn)
            .begun_elsewhere(chance);
        let from_rear = format!("{NOT_APPLIED}face = \"rear\"\n");
        demo.read("DXF from the rear", &rear.to_dxf(), &from_rear);
        demo.read("SVG from the rear", &rear.to_svg(), &from_rear);
        let nameless = plain.without_texts().shuffled(chance);
        demo.read("SVG without names", &nameless.to_svg(), NOT_APPLIED);
    }
}

/// A drawing with the allowance on it, which its side file tells of.
#[test]
fn an_allowance_on_the_drawing_is_taken_off() {
    for demo in demos() {
        let grown: Vec<FlatDrawing> = demo
            .flats
            .iter()
            .map(|flat| with_allowance(flat, demo.process))
            .collect();
        let drawing = Drawing::of_flats(&grown, |i| i as f64);
        demo.read(
            "allowance applied",
            &drawing.to_dxf(),
            "allowance = \"applied\"",
        );
    }
}

fn with_allowance(flat: &FlatDrawing, process: &EtchProcess) -> FlatDrawing {
    let growth = process.growth_per_edge.at(flat.thickness);
    let shape = DrawnShape {
        outline: flat.outline.clone(),
        holes: flat.holes.iter().map(|hole| hole.outline.clone()).collect(),
        details: Vec::new(),
        layer: String::new(),
        labels_inside: Vec::new(),
    };
    // An etch that puts on metal is the allowance.
    let moved = etched(&shape, -growth).shape;
    let mut own = flat.clone();
    own.regions.clear();
    own.rivets.clear();
    own.outline = Outline::from_chain(&Chain::from_segments(
        moved.outline.segments().iter().copied(),
    ))
    .unwrap();
    for (hole, outline) in own.holes.iter_mut().zip(moved.holes) {
        hole.round = hole.round.map(|radius| radius - growth);
        hole.outline = outline;
    }
    own
}
