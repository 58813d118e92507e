//! The model files that the tests build.

use std::path::{Path, PathBuf};

/// Name and text of every demo model and of every engine that stands with the tests, by name.
///
/// # Panics
///
/// If a file cannot be read.
pub fn all() -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    of_folders(&[root.join("../demo-models"), root.join("models")])
}

/// Name and text of every demo model, by name.
///
/// # Panics
///
/// If a file cannot be read.
pub fn demo() -> Vec<(String, String)> {
    of_folders(&[Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo-models")])
}

fn of_folders(folders: &[PathBuf]) -> Vec<(String, String)> {
    let mut models: Vec<(String, String)> = folders
        .iter()
        .flat_map(|folder| std::fs::read_dir(folder).expect("the folders of models stand here"))
        .map(|entry| entry.expect("a folder can be listed").path())
        .filter(|path| path.extension().is_some_and(|end| end == "toml"))
        .map(|path| {
            let name = path.file_stem().unwrap_or_default().to_string_lossy();
            let text = std::fs::read_to_string(&path).expect("a model file is text");
            (name.into_owned(), text)
        })
        .collect();
    models.sort();
    models
}
