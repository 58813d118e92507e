//! Takes the fingerprint of everything that decides the bytes of a model's files: the sources of the crates that
//! make them and the versions of their dependencies. The number of a version does not change with every change.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use sha2::{Digest as _, Sha256};

/// What makes files, from this crate's folder; the page and the command line make none.
const SOURCES: [&str; 10] = [
    "../../Cargo.lock",
    "../geom/src",
    "../develop/src",
    "../body/src",
    "../solid/src",
    "../artwork/src",
    "../check/src",
    "../export/src",
    "../server/src",
    "src",
];

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    let mut files = Vec::new();
    for source in SOURCES {
        println!("cargo::rerun-if-changed={source}");
        if let Err(error) = list(Path::new(source), &mut files) {
            println!("cargo::error={source} cannot be read: {error}");
            return;
        }
    }
    files.sort();
    let mut digest = Sha256::new();
    for path in files {
        match fs::read(&path) {
            // A checkout with other line ends is the same program.
            Ok(bytes) => {
                digest.update(path.to_string_lossy().replace('\\', "/"));
                digest.update([0]);
                digest.update(Sha256::digest(
                    bytes
                        .into_iter()
                        .filter(|b| *b != b'\r')
                        .collect::<Vec<_>>(),
                ));
            }
            Err(error) => {
                println!("cargo::error={} cannot be read: {error}", path.display());
                return;
            }
        }
    }
    let hex: String = digest
        .finalize()
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect();
    println!("cargo::rustc-env=PLATEWORK_SOURCES={}", &hex[..16]);
}

fn list(path: &Path, files: &mut Vec<PathBuf>) -> io::Result<()> {
    if path.is_dir() {
        for entry in fs::read_dir(path)? {
            list(&entry?.path(), files)?;
        }
    } else {
        files.push(path.to_owned());
    }
    Ok(())
}
