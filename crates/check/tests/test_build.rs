//! The test build: sound artwork has nothing wrong, and every seeded fault is found and measured.

#![allow(clippy::unwrap_used, reason = "helpers of tests may fail by panic")]

use artwork::read_dxf;
use body::{Body, Model, Overrides, Scale};
use check::{ArtworkReport, DrawingWords, TestBuild, check_artwork, test_build};

struct Engine {
    model: Model,
    body: Body,
}

fn class_b() -> Engine {
    let bytes = std::fs::read("../../demo-models/class-b.toml").unwrap();
    let overrides = Overrides {
        scale: Scale::named("7mm"),
        ..Overrides::default()
    };
    let model = Model::read("class-b", &bytes, &overrides).unwrap();
    let body = body::build(&model).unwrap();
    Engine { model, body }
}

impl Engine {
    fn words(&self) -> DrawingWords {
        DrawingWords {
            engine: self.model.title.clone(),
            scale: self.model.scale.word().to_owned(),
            mm_per_foot: self.model.scale.mm_per_foot(),
        }
    }

    fn built(&self, artwork: &artwork::Artwork) -> (ArtworkReport, TestBuild) {
        let report = check_artwork(&self.body, artwork, &self.words(), self.model.metal.process).unwrap();
        let build = test_build(&self.body, &report, &self.model.metal, self.model.scale).unwrap();
        (report, build)
    }
}

fn demo(name: &str) -> artwork::Artwork {
    read_dxf(&std::fs::read(format!("../../demo-models/artwork/{name}.dxf")).unwrap()).unwrap()
}

#[test]
fn sound_artwork_builds() {
    let engine = class_b();
    let (_, build) = engine.built(&demo("class-b-sound"));
    for m in build.measures.iter().take(5) {
        println!("{m:?}");
    }
    println!("{} measures, not measured {:?}", build.measures.len(), build.not_measured);
    for f in &build.findings { println!("{:?} {} {}", f.severity, f.rule, f.sentence); }
    assert!(build.findings.is_empty(), "{:#?}", build.findings);
    assert!(build.fit_to_etch, "{}", build.verdict);
    assert!(build.not_measured.is_empty());
}
#[test]
fn three() {
    let engine = class_b();
    let (_, build) = engine.built(&demo("class-b-three-faults"));
    println!("{}", build.verdict);
    for f in &build.findings { println!("{:?} {} {}", f.severity, f.rule, f.sentence); }
}
