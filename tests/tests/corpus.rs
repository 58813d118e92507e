//! The corpus of the fuzz targets, replayed on the stable compiler by each target's own check: every file as it is,
//! cut, and with bytes changed. `cargo test --workspace --test corpus -- --nocapture` says how many were tried.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

#[path = "../../fuzz/src/drawing.rs"]
mod drawing;
#[path = "../../fuzz/src/http.rs"]
mod http;
#[path = "../../fuzz/src/model_file.rs"]
mod model_file;
#[path = "../../fuzz/src/readings.rs"]
mod readings;
#[path = "../../fuzz/src/scan.rs"]
mod scan;
#[path = "../../fuzz/src/side_file.rs"]
mod side_file;

use std::collections::BTreeSet;
use std::path::Path;

use check::built::ReadingsKind;
use check::scan::ScanKind;
use http::Office;

/// How each file of a corpus is spoilt.
struct Spoilt {
    /// Cuts of the file, evenly over its length.
    cuts: usize,
    /// Copies with bytes changed.
    changed: usize,
}

/// Of readers that take microseconds.
const OFTEN: Spoilt = Spoilt {
    cuts: 60,
    changed: 300,
};

/// Letters with a meaning in numbers, tables and TOML.
const LETTERS: &[u8] = b"0123456789-.,;=[]{}\"e+#\n\r\t ";

/// How many texts were tried, how many of them were read, and how many files there are.
struct Tally {
    tried: usize,
    read: usize,
    files: usize,
}

/// Tries each file of a corpus, its cuts and its changed copies.
fn replay(folder: &str, spoilt: &Spoilt, mut reads: impl FnMut(&[u8]) -> bool) -> Tally {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../fuzz/corpus")
        .join(folder);
    let mut files: Vec<_> = std::fs::read_dir(root)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    assert!(!files.is_empty(), "the corpus {folder} is empty");
    let mut tally = Tally {
        tried: 0,
        read: 0,
        files: files.len(),
    };
    let mut state = 2026_u64;
    // The generator of Knuth's MMIX; its upper half.
    let mut below = |limit: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % limit
    };
    for path in files {
        let sound = std::fs::read(&path).unwrap();
        let mut take = |bytes: &[u8]| {
            tally.tried += 1;
            tally.read += usize::from(reads(bytes));
        };
        take(&sound);
        for cut in 0..spoilt.cuts {
            take(&sound[..sound.len() * cut / spoilt.cuts]);
        }
        for _ in 0..spoilt.changed {
            let mut bytes = sound.clone();
            for _ in 0..1 + below(4) {
                let at = below(bytes.len());
                match below(3) {
                    0 => bytes[at] = below(256) as u8,
                    1 => bytes[at] = LETTERS[below(LETTERS.len())],
                    _ => {
                        // A stretch of the file again somewhere else.
                        let length = below(40).min(bytes.len() - at);
                        let stretch = bytes[at..at + length].to_vec();
                        let to = below(bytes.len());
                        bytes.splice(to..to, stretch);
                    }
                }
            }
            take(&bytes);
        }
    }
    let Tally { tried, read, files } = tally;
    println!("{folder}: {files} files of the corpus, {tried} texts tried, {read} of them read");
    assert!(
        read > tried / 200 && read < tried,
        "{read} of {tried} were read"
    );
    tally
}

#[test]
fn dxf() {
    replay("dxf", &OFTEN, drawing::check);
}

#[test]
fn svg() {
    replay("svg", &OFTEN, drawing::check);
}

#[test]
fn side_files() {
    replay("side_file", &OFTEN, side_file::check);
}

#[test]
fn stl() {
    replay("stl", &OFTEN, |bytes| scan::check(bytes, ScanKind::Stl));
}

#[test]
fn ply() {
    replay("ply", &OFTEN, |bytes| scan::check(bytes, ScanKind::Ply));
}

#[test]
fn obj() {
    replay("obj", &OFTEN, |bytes| scan::check(bytes, ScanKind::Obj));
}

#[test]
fn readings_as_table() {
    replay("readings", &OFTEN, |bytes| {
        readings::check(bytes, ReadingsKind::Csv)
    });
}

#[test]
fn readings_as_toml() {
    replay("readings", &OFTEN, |bytes| {
        readings::check(bytes, ReadingsKind::Toml)
    });
}

/// Each may build a body.
#[test]
fn model_files() {
    let whole = Spoilt {
        cuts: 0,
        changed: 0,
    };
    let tally = replay("model_file", &whole, model_file::check);
    assert!(tally.read >= 5, "{} of {}", tally.read, tally.files);
    let cut = Spoilt {
        cuts: 12,
        changed: 4,
    };
    replay("model_file", &cut, model_file::check);
}

/// Requests are right when a first one of them succeeds. Every operation of the description has a sound request in
/// the corpus.
#[test]
fn requests() {
    let mut office = Office::new("platework-corpus-http");
    let succeeds = |status: u16| (200..400).contains(&status);
    let mut asked = BTreeSet::new();
    // Some take seconds.
    let spoilt = Spoilt {
        cuts: 4,
        changed: 12,
    };
    replay("http", &spoilt, |bytes| {
        let answered = office.check(bytes);
        let sound = answered.iter().filter(|(_, status)| succeeds(*status));
        asked.extend(sound.map(|(operation, _)| operation.clone()));
        answered
            .first()
            .is_some_and(|(_, status)| succeeds(*status))
    });
    let described = office.operations();
    let missing: Vec<_> = described.difference(&asked).collect();
    assert!(described.len() > 30 && missing.is_empty(), "{missing:?}");
}

/// What the replay wants of answers is wanted in earnest: a problem loses one key after the other.
#[test]
fn answers_that_are_not_as_described_are_refused() {
    let office = Office::new("platework-corpus-described");
    let schema = &office.description["components"]["schemas"]["Problem"];
    let sound = serde_json::json!({
        "type": "/problems/request", "title": "No", "status": 400, "detail": "no",
        "errors": [{"path": "scale", "line": 1, "column": null, "message": "no", "help": ""}],
    });
    assert_eq!(http::fault(&office.description, schema, &sound), Ok(()));
    for key in ["type", "title", "status", "detail", "errors"] {
        let mut spoilt = sound.clone();
        spoilt.as_object_mut().unwrap().remove(key);
        let fault = http::fault(&office.description, schema, &spoilt).unwrap_err();
        assert!(fault.contains(key), "{fault}");
    }
    for (key, value) in [
        ("help", 1.into()),
        ("line", "1".into()),
        ("line", (-1).into()),
    ] {
        let mut spoilt = sound.clone();
        spoilt["errors"][0][key] = value;
        let fault = http::fault(&office.description, schema, &spoilt).unwrap_err();
        assert!(fault.starts_with(&format!(".errors[0].{key}")), "{fault}");
    }
}

#[test]
#[should_panic(expected = "outside the folder")]
fn a_file_beside_the_folder_is_seen() {
    let mut office = Office::new("platework-corpus-beside");
    std::fs::write(office.root.join("stray"), "").unwrap();
    office.check(b"GET /health\n");
}
