//! The corpus of the fuzz target `model_file`, replayed without the fuzzer by the target's own check: each file as it
//! is, and cut.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

#[path = "../../fuzz/src/model_file.rs"]
mod model_file;

use std::path::Path;

/// Cuts of each file. Each may build a body.
const CUTS: usize = 12;

#[test]
fn model_files() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fuzz/corpus/model_file");
    let mut files: Vec<_> = std::fs::read_dir(root)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    let mut sound = 0;
    for path in &files {
        let bytes = std::fs::read(path).unwrap();
        sound += usize::from(model_file::check(&bytes));
        for cut in 1..=CUTS {
            model_file::check(&bytes[..bytes.len() * cut / (CUTS + 1)]);
        }
    }
    assert!(
        sound >= 5 && sound < files.len(),
        "{sound} of {}",
        files.len()
    );
}
