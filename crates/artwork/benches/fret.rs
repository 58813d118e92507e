//! How much of the sheets of a fret is used, and how long the layout takes.
//!
//! `cargo bench --profile dev -p artwork --bench fret` takes every demo model at 7 mm;
//! `-- class-b 4mm` one of them, at another scale. Times are of one run, on one thread.

#![allow(clippy::unwrap_used, reason = "a measurement may fail by panic")]

use artwork::{FlatDrawing, Fret, FretPlate, FretTitle, lay_out};
use body::{Model, Overrides, Scale};
use std::path::Path;
use std::time::Instant;

const MODELS: [&str; 6] = [
    "class-b", "class-e", "class-s", "class-m", "class-m2", "tender-t",
];

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let said = |word: &str| words.iter().any(|own| own == word);
    let scale = if said("4mm") {
        Scale::Four
    } else {
        Scale::Seven
    };
    let some = MODELS.iter().any(|name| said(name));
    println!(
        "The least that a sheet could be is the area of its plates with the line and half the bar round each."
    );
    println!(
        "model     sheets  plates  plates cm2  sheets cm2   use %  least %  sheets/least  seconds"
    );
    for name in MODELS.iter().filter(|name| !some || said(name)) {
        measure(name, scale);
    }
}

fn measure(name: &str, scale: Scale) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-models");
    let bytes = std::fs::read(folder.join(format!("{name}.toml"))).unwrap();
    let overrides = Overrides {
        scale: Some(scale),
        ..Overrides::default()
    };
    let model = Model::read(name, &bytes, &overrides).unwrap();
    let body = body::build(&model).unwrap();
    let flats = body.plates.iter().map(|own| FlatDrawing::of(own).unwrap());
    let plates = FretPlate::of(&body, flats.collect());
    let title = FretTitle {
        engine: &model.title,
        scale: model.scale.word(),
    };
    let begun = Instant::now();
    let fret = lay_out(&plates, &model.fret, model.metal.process, title);
    say(name, &fret, begun.elapsed().as_secs_f64());
    let again = lay_out(&plates, &model.fret, model.metal.process, title);
    let places = |fret: &Fret| {
        let sheets = fret.sheets.iter().flat_map(|own| &own.plates);
        sheets.map(|own| own.placement).collect::<Vec<_>>()
    };
    assert_eq!(places(&fret), places(&again), "{name} lies otherwise");
}

fn say(name: &str, fret: &Fret, seconds: f64) {
    let (mut plates, mut metal, mut least, mut sheets) = (0, 0.0, 0.0, 0.0);
    for sheet in &fret.sheets {
        let area = sheet.width * sheet.height;
        let count = sheet.plates.len();
        plates += count;
        metal += sheet.plate_area();
        least += sheet.least_share() * area;
        sheets += area;
        println!(
            "  {:.2} mm, {:3.0} x {:3.0} mm: {count:3} plates, use {:4.1} %, least {:4.1} %",
            sheet.thickness,
            sheet.width,
            sheet.height,
            100.0 * sheet.sheet_use(),
            100.0 * sheet.least_share()
        );
    }
    println!(
        "{name:9} {:6} {plates:7} {:11.1} {:11.1} {:7.1} {:8.1} {:13.2} {seconds:8.2}",
        fret.sheets.len(),
        metal / 100.0,
        sheets / 100.0,
        100.0 * metal / sheets,
        100.0 * least / sheets,
        sheets / least
    );
}
