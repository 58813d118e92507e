//! Sheets of the fret written, changed in ways that change nothing, and read back: nothing is found.
//!
//! Two models at one scale go through every change here. `PLATEWORK_FRETS=all` takes every demo model at both
//! scales, which `docs/external-checks.md` has the result of.

use artwork::{
    FlatDrawing, Fret, FretPlate, FretSheet, FretTitle, MeantShape, Motion2, SideFile, is_image_of,
    read_artwork,
};
use body::{Body, Model, Overrides, Scale};
use check::{ArtworkReport, DrawingWords, check_artwork};
use develop::EtchProcess;
use geom::Vector2;
use platework_tests::drawings::Drawing;
use platework_tests::models;
use platework_tests::mutations::Chance;
use std::sync::OnceLock;
use std::time::Instant;

/// Chords that stand for arcs lie this near to them (mm).
const CHORDS_MM: f64 = 0.01;

/// A demo model built and laid out on sheets.
struct Laid {
    name: String,
    body: Body,
    fret: Fret,
    words: DrawingWords,
    process: &'static EtchProcess,
}

impl Laid {
    fn out(name: &str, text: &str, scale: Scale) -> Self {
        let overrides = Overrides {
            scale: Some(scale),
            ..Overrides::default()
        };
        let model = Model::read(name, text.as_bytes(), &overrides).unwrap();
        let body = body::build(&model).unwrap();
        let flats = |plates: &[body::Plate]| -> Vec<FlatDrawing> {
            let flats = plates.iter().map(|p| FlatDrawing::of(p).unwrap());
            flats.collect()
        };
        let mut plates = FretPlate::of(&body, flats(&body.plates));
        let templates = flats(&solid::etched_templates(&model, &body));
        plates.extend(FretPlate::on_waste(templates, body.plates.len()));
        let title = FretTitle {
            engine: &model.title,
            scale: model.scale.word(),
        };
        Self {
            name: format!("{name} {}", scale.word()),
            fret: artwork::lay_out(&plates, &model.fret, model.metal.process, title),
            body,
            words: DrawingWords {
                engine: model.title.clone(),
                scale: model.scale.word().to_owned(),
                mm_per_foot: model.scale.mm_per_foot(),
            },
            process: model.metal.process,
        }
    }

    fn read(&self, bytes: &[u8], side: &str) -> ArtworkReport {
        let side = SideFile::read("side", side.as_bytes()).unwrap();
        let drawing = read_artwork(bytes, "sheet", &side).unwrap();
        check_artwork(&self.body, &drawing, &self.words, self.process).unwrap()
    }

    /// What a reading finds that is not there, or misses that is.
    fn wrong(&self, sheet: &FretSheet, what: &str, bytes: &[u8], side: &str) -> Vec<String> {
        let report = self.read(bytes, side);
        let counted = report.findings.iter().filter(|own| own.counts());
        let mut wrong: Vec<String> = counted
            .map(|own| format!("{} {}", own.rule, own.sentence))
            .collect();
        let mut laid: Vec<&str> = sheet
            .plates
            .iter()
            .map(|own| own.drawing.plate.as_str())
            .collect();
        let mut found: Vec<&str> = report.per_plate.iter().map(|p| p.plate.as_str()).collect();
        laid.sort_unstable();
        found.sort_unstable();
        if laid != found {
            wrong.push(format!("laid out {laid:?}, read {found:?}"));
        }
        for plate in &report.per_plate {
            if plate.mirrored || !plate.extra.is_empty() {
                wrong.push(format!("{} is not as it was laid out", plate.plate));
            }
        }
        wrong
            .into_iter()
            .map(|own| format!("{}, sheet {}, {what}: {own}", self.name, sheet.number))
            .collect()
    }
}

/// The sheets that are read back: two models at one scale, or all.
fn laid() -> &'static [Laid] {
    static LAID: OnceLock<Vec<Laid>> = OnceLock::new();
    LAID.get_or_init(|| {
        let all = std::env::var("PLATEWORK_FRETS").is_ok_and(|own| own == "all");
        let scales: &[Scale] = if all {
            &[Scale::Four, Scale::Seven]
        } else {
            &[Scale::Seven]
        };
        let wanted = |name: &str| all || ["class-s", "tender-t"].contains(&name);
        let mut laid = Vec::new();
        for (name, text) in models::demo() {
            if wanted(&name) {
                laid.extend(scales.iter().map(|scale| Laid::out(&name, &text, *scale)));
            }
        }
        laid
    })
}

fn refuse(wrong: &[String]) {
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Reads every sheet in each of some forms, and prints what was found.
fn refuse_findings(of: impl Fn(&FretSheet) -> Vec<(&'static str, Vec<u8>, String)>) {
    let mut wrong = Vec::new();
    for laid in laid() {
        let (begun, mut read, before) = (Instant::now(), 0, wrong.len());
        for sheet in &laid.fret.sheets {
            for (what, bytes, side) in of(sheet) {
                wrong.extend(laid.wrong(sheet, what, &bytes, &side));
                read += 1;
            }
        }
        println!(
            "{}: {} sheets, {read} readings, {} findings, {:.1?}",
            laid.name,
            laid.fret.sheets.len(),
            wrong.len() - before,
            begun.elapsed()
        );
    }
    refuse(&wrong);
}

/// A sheet at odds with every axis.
fn turn() -> Motion2 {
    Motion2 {
        mirrored: false,
        angle: 0.777,
        shift: Vector2::new(-310.0, 95.5),
    }
}

fn from_rear(sheet: &FretSheet) -> String {
    export::side_file(sheet).replace("face = \"front\"", "face = \"rear\"")
}

#[test]
fn sheets_as_written_are_read_back_without_a_finding() {
    refuse_findings(|sheet| {
        let side = export::side_file(sheet);
        vec![
            ("DXF", export::fret_dxf(sheet), side.clone()),
            ("SVG", export::fret_svg(sheet).into_bytes(), side),
        ]
    });
}

#[test]
fn sheets_drawn_otherwise_are_read_back_without_a_finding() {
    refuse_findings(|sheet| {
        let side = export::side_file(sheet);
        let chance = &mut Chance::new(sheet.number as u64);
        let plain = Drawing::of_dxf(&export::fret_dxf(sheet));
        let moved = plain.clone().moved(&turn());
        let broken = moved.clone().shuffled(chance).broken().shuffled(chance);
        let chords = plain.begun_elsewhere(chance).with_chords(CHORDS_MM);
        let single = chords.clone().moved(&turn()).broken().shuffled(chance);
        vec![
            (
                "moved and turned, DXF",
                moved.to_dxf().into_bytes(),
                side.clone(),
            ),
            (
                "broken and shuffled, SVG",
                broken.to_svg().into_bytes(),
                side.clone(),
            ),
            ("chords, SVG", chords.to_svg().into_bytes(), side.clone()),
            (
                "chords broken and shuffled, DXF",
                single.to_dxf().into_bytes(),
                side,
            ),
        ]
    });
}

#[test]
fn sheets_seen_from_the_rear_are_read_back_if_their_side_file_says_so() {
    refuse_findings(|sheet| {
        let rear = Drawing::of_dxf(&export::fret_dxf(sheet)).seen_from_rear();
        let turned = rear.clone().moved(&turn());
        vec![
            (
                "from the rear, DXF",
                rear.to_dxf().into_bytes(),
                from_rear(sheet),
            ),
            (
                "from the rear, turned, SVG",
                turned.to_svg().into_bytes(),
                from_rear(sheet),
            ),
        ]
    });
}

/// A mirrored sheet without a word makes left hands of right ones; only a sheet of plates that are their own mirror
/// images is the same metal either way, and is read so.
#[test]
fn sheets_turned_over_without_a_word_are_found_out() {
    let mut found_out = 0;
    for laid in laid() {
        for sheet in &laid.fret.sheets {
            let rear = Drawing::of_dxf(&export::fret_dxf(sheet)).seen_from_rear();
            let (bytes, side) = (rear.to_dxf().into_bytes(), export::side_file(sheet));
            let report = laid.read(&bytes, &side);
            if report
                .findings
                .iter()
                .any(|own| own.rule == "mirrored" && own.counts())
            {
                found_out += 1;
                continue;
            }
            let plates = sheet.plates.iter().map(|own| &own.drawing);
            let handed: Vec<&str> = plates
                .filter(|own| {
                    let meant = MeantShape::of(own, 0.0);
                    !is_image_of(&meant, &meant, true)
                })
                .map(|own| own.plate.as_str())
                .collect();
            assert!(
                handed.is_empty(),
                "{}, sheet {}: {handed:?}",
                laid.name,
                sheet.number
            );
            refuse(&laid.wrong(sheet, "from the rear without a word", &bytes, &side));
        }
    }
    assert!(
        found_out >= 3 * laid().len(),
        "{found_out} sheets found out"
    );
}
