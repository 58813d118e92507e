//! How much of the sheets of a fret is used, and how long the layout takes.
//!
//! `cargo bench --profile dev -p artwork --bench fret` takes every demo model at 7 mm;
//! `-- class-b 4mm` one of them, at another scale. The layout is made on all threads; processor seconds, where the
//! system tells them, are those of all threads together and hold on a busy machine too.

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
        "model     sheets  plates  plates cm2  sheets cm2   use %  least %  sheets/least  seconds  of processor"
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
    let (begun, busy) = (Instant::now(), processor_seconds());
    let fret = lay_out(&plates, &model.fret, model.metal.process, title);
    let busy = processor_seconds().zip(busy).map(|(now, then)| now - then);
    say(name, &fret, begun.elapsed().as_secs_f64(), busy);
    let again = lay_out(&plates, &model.fret, model.metal.process, title);
    let places = |fret: &Fret| {
        let sheets = fret.sheets.iter().flat_map(|own| &own.plates);
        sheets.map(|own| own.placement).collect::<Vec<_>>()
    };
    assert_eq!(places(&fret), places(&again), "{name} lies otherwise");
}

/// Seconds that all threads of this program have had of the processor, where the system tells.
fn processor_seconds() -> Option<f64> {
    // Fields 14 and 15 of the line, in hundredths; the second field may hold spaces and ends with a bracket.
    let line = std::fs::read_to_string("/proc/self/stat").ok()?;
    let fields: Vec<&str> = line.rsplit(')').next()?.split_whitespace().collect();
    let hundredths = |i: usize| fields.get(i)?.parse::<f64>().ok();
    Some((hundredths(11)? + hundredths(12)?) / 100.0)
}

fn say(name: &str, fret: &Fret, seconds: f64, busy: Option<f64>) {
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
        "{name:9} {:6} {plates:7} {:11.1} {:11.1} {:7.1} {:8.1} {:13.2} {seconds:8.2}  {}",
        fret.sheets.len(),
        metal / 100.0,
        sheets / 100.0,
        100.0 * metal / sheets,
        100.0 * least / sheets,
        sheets / least,
        busy.map_or_else(String::new, |busy| format!("{busy:12.2}"))
    );
}
