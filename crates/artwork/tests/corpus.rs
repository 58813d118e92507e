//! The corpus of the fuzz targets, replayed on the stable compiler: each file as it is, cut, and with bytes
//! changed. `cargo test -p artwork --test corpus -- --nocapture` says how many were tried.

#![allow(clippy::unwrap_used, reason = "helpers of tests may fail by panic")]

use artwork::{JoinTolerance, SideFile, join, read_artwork};
use std::path::{Path, PathBuf};

/// Changed copies of each file.
const CHANGED: usize = 300;

fn files(folder: &str) -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../fuzz/corpus")
        .join(folder);
    let mut files: Vec<PathBuf> = std::fs::read_dir(root)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    files
}

/// Tries each file of a folder, its cuts and its changed copies; gives how many were tried and how many were read.
fn replay(folder: &str, mut reads: impl FnMut(&[u8]) -> bool) -> (usize, usize) {
    let all = files(folder);
    assert!(!all.is_empty(), "the corpus {folder} is empty");
    let (mut tried, mut read) = (0, 0);
    let mut state = 2024_u64;
    let mut below = |limit: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % limit
    };
    for path in &all {
        let sound = std::fs::read(path).unwrap();
        let mut take = |bytes: &[u8]| {
            tried += 1;
            read += usize::from(reads(bytes));
        };
        take(&sound);
        for cut in (0..sound.len()).step_by(7) {
            take(&sound[..cut]);
        }
        for _ in 0..CHANGED {
            let mut bytes = sound.clone();
            for _ in 0..1 + below(4) {
                let at = below(bytes.len());
                match below(3) {
                    0 => bytes[at] = below(256) as u8,
                    1 => bytes[at] = b"0123456789-.e+ \n"[below(16)],
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
    println!(
        "{folder}: {} files of the corpus, {tried} texts tried, {read} of them read",
        all.len()
    );
    (tried, read)
}

fn reads_as_drawing(bytes: &[u8]) -> bool {
    let Ok(drawing) = read_artwork(bytes, "corpus", &SideFile::default()) else {
        return false;
    };
    for piece in &drawing.pieces {
        assert!(piece.segment.length().is_finite());
    }
    let _ = join(&drawing.pieces, &drawing.labels, JoinTolerance::default());
    true
}

#[test]
fn dxf() {
    let (tried, read) = replay("dxf", reads_as_drawing);
    assert!(read > tried / 20 && read < tried);
}

#[test]
fn svg() {
    let (tried, read) = replay("svg", reads_as_drawing);
    assert!(read > tried / 20 && read < tried);
}

#[test]
fn side_files() {
    let (tried, read) = replay("side_file", |bytes| match SideFile::read("corpus", bytes) {
        Ok(_) => true,
        Err(error) => {
            assert!(!error.problems.is_empty());
            assert!(error.problems.iter().all(|p| p.line >= 1 && p.column >= 1));
            false
        }
    });
    assert!(read > 0 && read < tried);
}
