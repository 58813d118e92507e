//! What the code says of the documents, held against them.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Rust sources below a folder, in order of name.
fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    let entries = std::fs::read_dir(folder).unwrap();
    let mut paths: Vec<_> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        let name = path
            .file_name()
            .and_then(|name| name.to_str())
            .unwrap_or_default();
        if path.is_dir() && !["target", "node_modules"].contains(&name) {
            sources(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
}

/// The anchor that a heading gets: lower case, spaces as hyphens, other signs left out.
fn anchor(heading: &str) -> String {
    heading
        .trim_start_matches('#')
        .trim()
        .to_lowercase()
        .chars()
        .filter(|c| c.is_alphanumeric() || [' ', '-', '_'].contains(c))
        .map(|c| if c == ' ' { '-' } else { c })
        .collect()
}

/// Every `docs/…md#heading` that a docstring names is a heading of that document.
#[test]
fn headings_that_the_code_names_exist() {
    let mut files = Vec::new();
    sources(&root().join("crates"), &mut files);
    let mut named = BTreeSet::new();
    for file in &files {
        let text = std::fs::read_to_string(file).unwrap();
        for reference in text.split("docs/").skip(1) {
            let end = reference.find(|c: char| !(c.is_alphanumeric() || "-_.#/".contains(c)));
            let reference = &reference[..end.unwrap_or(reference.len())];
            if let Some((document, heading)) = reference.split_once(".md#") {
                named.insert((
                    format!("{document}.md"),
                    heading.trim_end_matches('.').to_owned(),
                ));
            }
        }
    }
    assert!(
        named.len() >= 7,
        "the search must find the references that there are: {named:?}"
    );
    for (document, heading) in named {
        let text = std::fs::read_to_string(root().join("docs").join(&document)).unwrap_or_default();
        let found = text
            .lines()
            .any(|line| line.starts_with('#') && anchor(line) == heading);
        assert!(found, "docs/{document} has no heading for #{heading}");
    }
}

/// Every module of published values stands in the table of external checks.
#[test]
fn every_module_of_published_values_is_listed() {
    let list = std::fs::read_to_string(root().join("docs/external-checks.md")).unwrap();
    let mut files = Vec::new();
    sources(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/integration/published"),
        &mut files,
    );
    for file in files {
        let name = file
            .file_name()
            .and_then(|name| name.to_str())
            .unwrap_or_default();
        if name == "mod.rs" {
            continue;
        }
        assert!(
            list.contains(&format!("published/{name}")),
            "{name} is not in the list"
        );
        let text = std::fs::read_to_string(&file).unwrap();
        for test in text.split("#[test]\nfn ").skip(1) {
            let test = &test[..test.find('(').unwrap_or(test.len())];
            assert!(
                list.contains(&format!("`{test}`")),
                "{test} of {name} is not in the list"
            );
        }
    }
}

/// The architecture names every crate, and names no crate that is not there.
#[test]
fn the_architecture_names_every_crate() {
    let text = std::fs::read_to_string(root().join("docs/architecture.md")).unwrap();
    let named: BTreeSet<String> = text
        .lines()
        .filter_map(|line| line.strip_prefix("**`")?.split_once("`**"))
        .map(|(name, _)| name.to_owned())
        .collect();
    let there: BTreeSet<String> = std::fs::read_dir(root().join("crates"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    assert_eq!(named, there);
}

/// Every default that a model may leave to the program has its key in the reference, and its source.
#[test]
fn the_reference_names_every_default() {
    let text = std::fs::read_to_string(root().join("docs/model-file.md")).unwrap();
    let model_file = std::fs::read(root().join("demo-models/class-b.toml")).unwrap();
    let model =
        body::Model::read("class-b.toml", &model_file, &body::Overrides::default()).unwrap();
    assert!(model.defaults.len() > 30);
    for default in &model.defaults {
        let key = default.path.rsplit('.').next().unwrap_or_default();
        let documented = [format!("`{key}`"), format!(".{key}`")];
        assert!(
            documented.iter().any(|word| text.contains(word)),
            "docs/model-file.md does not name {}",
            default.path
        );
        assert!(!default.source.is_empty(), "{} has no source", default.path);
    }
}
