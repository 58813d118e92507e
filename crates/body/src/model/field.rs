//! The keys of a model file as a form shows them: what stands there, what may, and where to write it.

use std::ops::Range;

use super::PrototypeLength;
use super::tree::Tree;

/// What may stand at a key.
#[derive(Clone, Debug, PartialEq)]
pub enum FieldKind {
    /// A length of the full-size engine, or of the model at the file's own scale.
    Length {
        /// True if it may be zero; else it is above.
        zero: bool,
    },
    /// Millimetres of the model: sheet, film, what is printed.
    ModelLength {
        /// Least (mm).
        least: f64,
        /// Greatest (mm).
        most: f64,
    },
    /// A plain number: degrees, a count.
    Number {
        /// Least.
        least: f64,
        /// Greatest.
        most: f64,
    },
    /// One of these words.
    Word(Vec<String>),
    /// Any text.
    Text,
}

/// A key that the file has, or may have.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// Its full key: `boiler.pitch`, `axles[0].x`.
    pub path: String,
    /// What may stand there.
    pub kind: FieldKind,
    /// What the file writes, without quotes; nothing if it is silent.
    pub written: Option<String>,
    /// Bytes of the value in the file, quotes included.
    pub span: Option<Range<usize>>,
    /// True if the chosen variant gives it.
    pub of_variant: bool,
    /// What is taken where the file is silent, and where that is from; nothing if nothing is.
    pub fallback: Option<(String, String)>,
    /// Length on the model (mm), of a length that could be read.
    pub mm: Option<f64>,
    /// The same of the full-size engine; nothing for what exists on the model only.
    pub full_size: Option<PrototypeLength>,
    /// Where the key can be added to a file that does not have it.
    pub opening: Option<Opening>,
}

/// Where a key can be added: the text between `before` and `after` is the value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Opening {
    /// Byte of the file at which it is put in.
    pub at: usize,
    /// What stands before the value.
    pub before: String,
    /// What stands behind it.
    pub after: String,
}

/// The place in the text for a key that the file does not have; nothing in the items of lists that are
/// written in a way that leaves no room.
pub(super) fn opening_for(text: &str, tree: &Tree, path: &str) -> Option<Opening> {
    let (table, key) = path.rsplit_once('.').unwrap_or(("", path));
    if key.ends_with(']') {
        return None;
    }
    let beside = tree
        .entries
        .iter()
        .filter(|(own, entry)| !entry.of_variant && is_directly_in(own, table))
        .max_by_key(|(_, entry)| entry.span.start);
    if let Some((own, entry)) = beside {
        return Some(after_neighbour(text, own, entry.span.clone(), key));
    }
    if table.is_empty() {
        return Some(Opening {
            at: 0,
            before: format!("{key} = "),
            after: "\n".to_owned(),
        });
    }
    let heading = tree.headings.get(table).filter(|own| !own.of_variant);
    if let Some(heading) = heading
        && let Some(at) = end_of_heading(text, heading.span.start, table)
    {
        return Some(Opening {
            at,
            before: format!("\n{key} = "),
            after: String::new(),
        });
    }
    // A table that only stands in the names of others may still be opened; an item of a list may not.
    (!table.contains('[')).then(|| Opening {
        at: text.trim_end().len(),
        before: format!("\n\n[{table}]\n{key} = "),
        after: String::new(),
    })
}

/// True for a plain value that stands in a table itself: `cab.front` in `cab`, not `cab.roof.top`.
fn is_directly_in(path: &str, table: &str) -> bool {
    let rest = match table {
        "" => Some(path),
        _ => path
            .strip_prefix(table)
            .and_then(|rest| rest.strip_prefix('.')),
    };
    rest.is_some_and(|rest| !rest.contains(['.', '[']))
}

/// Behind the last value of the table: on a line of its own, or within the braces that the table is written in.
fn after_neighbour(text: &str, neighbour: &str, span: Range<usize>, key: &str) -> Opening {
    let line_start = text[..span.start].rfind('\n').map_or(0, |at| at + 1);
    let head = &text[line_start..span.start];
    let name = neighbour.rsplit('.').next().unwrap_or(neighbour);
    let left = head.trim_end().strip_suffix('=').map(str::trim_end);
    match left.and_then(|left| left.strip_suffix(name)) {
        // The neighbour's own line: its indent and the dotted names before it are taken over.
        Some(before) if !before.contains(['{', ',', '=']) => Opening {
            at: end_of_line(text, span.end),
            before: format!("\n{before}{key} = "),
            after: String::new(),
        },
        _ => Opening {
            at: span.end,
            before: format!(", {key} = "),
            after: String::new(),
        },
    }
}

fn end_of_line(text: &str, from: usize) -> usize {
    let end = text[from..].find('\n').map_or(text.len(), |at| from + at);
    match text.as_bytes().get(end.wrapping_sub(1)) {
        Some(b'\r') if end > from => end - 1,
        _ => end,
    }
}

/// End of the line `[table]` whose name stands at `at`; nothing if that is another heading.
fn end_of_heading(text: &str, at: usize, table: &str) -> Option<usize> {
    let start = text[..at].rfind('\n').map_or(0, |n| n + 1);
    let end = end_of_line(text, at);
    let line = text[start..end]
        .split('#')
        .next()
        .unwrap_or_default()
        .trim();
    let named = line.strip_prefix('[')?.strip_suffix(']')?.trim();
    (named == table).then_some(end)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Model, Overrides};

    const TEXT: &str = "title = \"T\"\n\n[boiler] # a comment\npitch = \"7ft 5in\" # kept\nlength = \"11ft\"\n\n\
                        [cab]\nroof = { top = \"12ft\", half_width = \"4ft\" }\nfront.x = \"1ft\"\n\n[bare]\n\n[bare.inner]\nx = \"1ft\"\n";

    fn added(path: &str, value: &str) -> String {
        let root = toml::de::DeTable::parse(TEXT).unwrap();
        let mut tree = Tree::default();
        tree.take_table("", root.get_ref());
        let opening = opening_for(TEXT, &tree, path).unwrap();
        let (before, after) = TEXT.split_at(opening.at);
        format!("{before}{}{value}{}{after}", opening.before, opening.after)
    }

    /// Whatever the table is written as, the key comes to be where its path says, and nothing else changes.
    #[test]
    fn a_key_is_added_where_it_belongs() {
        for path in [
            "railway",
            "boiler.band_width",
            "cab.roof.radius",
            "cab.front.y",
            "cab.over",
            "bare.key",
            "bare.inner.y",
            "dome.x",
            "cab.cut_out.top",
        ] {
            let text = added(path, "\"9in\"");
            let mut table: toml::Table =
                toml::from_str(&text).unwrap_or_else(|e| panic!("{path}: {e}\n{text}"));
            let before: toml::Table = toml::from_str(TEXT).unwrap();
            let (key, above) = {
                let mut words: Vec<&str> = path.split('.').collect();
                (words.pop().unwrap(), words)
            };
            let mut at = &mut table;
            for word in &above {
                at = at[*word].as_table_mut().unwrap();
            }
            let own = at
                .remove(key)
                .unwrap_or_else(|| panic!("{path} is not in\n{text}"));
            assert_eq!(own.as_str(), Some("9in"), "{path}");
            let mut rest = table;
            // Tables that were opened for the key are empty without it.
            match above.first() {
                Some(first) if !before.contains_key(*first) => {
                    rest.remove(*first);
                }
                _ if above == ["cab", "cut_out"] => {
                    rest["cab"].as_table_mut().unwrap().remove("cut_out");
                }
                _ => {}
            }
            assert_eq!(rest, before, "{path}");
            assert!(
                text.contains("# a comment\n") && text.contains("# kept\n"),
                "{text}"
            );
        }
    }

    #[test]
    fn fields_of_a_file_that_cannot_be_built_are_still_there() {
        let text = "title = \"T\"\n[boiler]\npitch = \"7 furlongs\"\n";
        let fields = Model::fields("t.toml", text.as_bytes(), &Overrides::default()).unwrap();
        let of = |path: &str| fields.iter().find(|own| own.path == path).unwrap();
        let pitch = of("boiler.pitch");
        assert_eq!(pitch.written.as_deref(), Some("7 furlongs"));
        assert_eq!(&text[pitch.span.clone().unwrap()], "\"7 furlongs\"");
        assert_eq!(
            (pitch.mm, pitch.kind.clone()),
            (None, FieldKind::Length { zero: false })
        );
        let band = of("boiler.band_width");
        assert_eq!(band.written, None);
        assert_eq!(
            band.fallback.as_ref().unwrap().1,
            "common practice, no source"
        );
        assert!((band.mm.unwrap() - 7.0 / 6.0).abs() < 1e-12);
        assert_eq!(band.opening.as_ref().unwrap().before, "\nband_width = ");
        let paths: std::collections::BTreeSet<&str> =
            fields.iter().map(|own| own.path.as_str()).collect();
        assert_eq!(paths.len(), fields.len(), "each key once");
    }
}
