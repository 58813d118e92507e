//! `platework new`: a model file to start from.

use std::fs::File;
use std::io::{self, Write as _};
use std::path::PathBuf;

use batch::FileError;
use serde_json::json;

use super::Verdict;
use crate::cli::NewArgs;
use crate::failure::Failure;
use crate::stdout;

/// A whole engine with every section that there is.
const START: &str = include_str!("../../../../demo-models/class-b.toml");

/// Writes the file, never over another one.
pub(crate) fn run(args: &NewArgs, json: bool) -> Result<Verdict, Failure> {
    let path = match &args.out {
        Some(path) => path.clone(),
        None => PathBuf::from(format!("{}.toml", file_stem(&args.name)?)),
    };
    let failed = |cause: io::Error| match cause.kind() {
        io::ErrorKind::AlreadyExists => Failure::Exists { path: path.clone() },
        _ => Failure::File(FileError::Write {
            path: path.clone(),
            cause,
        }),
    };
    let mut file = File::create_new(&path).map_err(failed)?;
    file.write_all(start_of(&args.name).as_bytes())
        .map_err(failed)?;
    if json {
        stdout::json(&json!({ "file": path, "title": args.name }))?;
    } else {
        let shown = path.display();
        stdout::line(&format!(
            "{shown} is written; `platework check {shown}` checks it"
        ))?;
    }
    Ok(Verdict::Clear)
}

/// The name in lower-case letters, digits and hyphens, as the server wants names of model files.
fn file_stem(name: &str) -> Result<String, Failure> {
    let lower = name.to_ascii_lowercase();
    let words: Vec<&str> = lower
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    if words.is_empty() {
        return Err(Failure::NoName {
            name: name.to_owned(),
        });
    }
    Ok(words.join("-"))
}

/// The text to start from, under another title and with a heading of its own.
fn start_of(name: &str) -> String {
    // Every string of JSON is one of TOML.
    let title = json!(name).to_string();
    let mut text = format!(
        "# A start for {}: a whole 0-6-2 tank engine to put your own dimensions into.\n\
         #\n\
         # Dimensions are those of the full-size engine, as the works drawing gives them: 4ft 8 1/2in. x is\n\
         # measured back from the front buffer-beam face, heights are above rail. docs/model-file.md explains\n\
         # every key; most may be left out. Change a few at a time and look with `platework serve`.\n",
        one_line(name)
    );
    let mut heading = true;
    for line in START.lines() {
        heading = heading && line.starts_with('#');
        if heading {
            continue;
        }
        match line.split_once(" = ") {
            Some(("title", _)) => text.push_str(&format!("title = {title}")),
            Some(("railway", _)) => text.push_str("railway = \"\""),
            _ => text.push_str(line),
        }
        text.push('\n');
    }
    text
}

/// The name as a comment can hold it.
fn one_line(name: &str) -> String {
    name.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use body::{Model, Overrides};

    #[test]
    fn the_start_is_a_model_under_its_own_title() {
        for name in ["Class Q", "the \"Q\"\n[boiler]\\", "é ½"] {
            let text = start_of(name);
            let model = Model::read("start.toml", text.as_bytes(), &Overrides::default()).unwrap();
            assert_eq!(model.title, name);
            assert_eq!(model.railway, "");
            assert!(
                !text.contains("Ormsey"),
                "the demonstration railway is not the user's"
            );
            body::build(&model).unwrap();
        }
    }

    #[test]
    fn files_are_named_after_the_class() {
        assert_eq!(file_stem("Class Q 0-6-0").unwrap(), "class-q-0-6-0");
        assert_eq!(file_stem("  ../Q ").unwrap(), "q");
        assert!(matches!(file_stem("½"), Err(Failure::NoName { .. })));
    }
}
