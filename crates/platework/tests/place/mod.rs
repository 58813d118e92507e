//! A folder for one test, in which the program is run.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

pub(crate) const CLASS_B: &str = include_str!("../../../../demo-models/class-b.toml");

/// A place for one test, with the model `class-b.toml` in it.
pub(crate) struct Place(pub(crate) PathBuf);

impl Place {
    pub(crate) fn new(test: &str) -> Self {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(test);
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        fs::write(path.join("class-b.toml"), CLASS_B).unwrap();
        Self(path)
    }

    pub(crate) fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_platework"));
        command
            .current_dir(&self.0)
            .args(args)
            .env_remove("RUST_LOG");
        command
    }

    pub(crate) fn run(&self, args: &[&str]) -> Output {
        self.command(args).output().unwrap()
    }

    /// Standard output as JSON, with the exit status.
    pub(crate) fn json(&self, args: &[&str]) -> (i32, Value) {
        let output = self.run(args);
        let value = serde_json::from_slice(&output.stdout)
            .unwrap_or_else(|error| panic!("{args:?}: {error}\n{}", text(&output.stderr)));
        (status(&output), value)
    }
}

pub(crate) fn status(output: &Output) -> i32 {
    output.status.code().unwrap()
}

pub(crate) fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// All files below a folder by their place in it.
pub(crate) fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(next) = folders.pop() {
        for entry in fs::read_dir(next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let place = path
                    .strip_prefix(folder)
                    .unwrap()
                    .to_string_lossy()
                    .replace('\\', "/");
                files.insert(place, fs::read(&path).unwrap());
            }
        }
    }
    files
}

/// The same files with the same content; the first that differs is named.
pub(crate) fn assert_same_files(
    one: &BTreeMap<String, Vec<u8>>,
    other: &BTreeMap<String, Vec<u8>>,
) {
    assert_eq!(
        one.keys().collect::<Vec<_>>(),
        other.keys().collect::<Vec<_>>()
    );
    for (file, bytes) in one {
        assert!(*bytes == other[file], "{file} differs");
    }
}
