//! `[[measure]]`: places to measure that the designer names himself.

use super::{CHOSEN, TRADE, each, table};
use crate::model::reader::Reader;

/// Which way a measure between two points goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum MeasureWay {
    /// From the one straight to the other.
    Straight,
    /// Along the engine.
    Length,
    /// Across it.
    Width,
    /// Upright.
    Height,
}

/// What a measure is of: `plate/point`, or `plate` for the outside face of a flat plate.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum MeasureOf {
    /// Height above rail of a point.
    Height(String),
    /// Between two of them.
    Between(String, String, MeasureWay),
}

/// A place to measure.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct MeasureSpec {
    /// Key of its table: `measure[0]`.
    pub(crate) key: String,
    pub(crate) id: String,
    pub(crate) title: String,
    pub(crate) of: MeasureOf,
    pub(crate) tolerance: f64,
    /// Whether the file gives the tolerance.
    pub(crate) own_tolerance: bool,
}

const WAYS: [(&str, MeasureWay); 4] = [
    ("straight", MeasureWay::Straight),
    ("length", MeasureWay::Length),
    ("width", MeasureWay::Width),
    ("height", MeasureWay::Height),
];

impl MeasureSpec {
    pub(crate) fn read_all(reader: &Reader<'_>) -> Vec<Self> {
        let mut names: Vec<String> = Vec::new();
        let all = each(reader, "measure", read);
        for own in &all {
            if names.contains(&own.id) {
                reader.problem(
                    &format!("{}.name", own.key),
                    format!("two measures are called {}", own.id),
                    "give each a name of its own",
                );
            }
            names.push(own.id.clone());
        }
        all
    }
}

fn read(reader: &Reader<'_>, key: &str) -> MeasureSpec {
    let t = table(reader, key);
    let text = |word: &str| reader.text_or(&format!("{key}.{word}"), "", "none");
    let id = text("name");
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if id.is_empty() || id.len() > 60 || !id.chars().all(plain) {
        reader.problem(
            &format!("{key}.name"),
            "this measure has no name that readings can use".to_owned(),
            "lower-case letters, digits and hyphens, like  name = \"lamp-iron-to-beam\"",
        );
    }
    let way = t.one_of("along", &WAYS, MeasureWay::Straight, CHOSEN);
    let of = match (t.has("height_of"), t.has("from") || t.has("to")) {
        (true, false) => MeasureOf::Height(text("height_of")),
        (false, true) => MeasureOf::Between(text("from"), text("to"), way),
        _ => {
            for word in ["height_of", "from", "to"] {
                // Asked for, so that the key is known.
                text(word);
            }
            reader.problem(
                key,
                "a measure is either of a height or between two places",
                "write  height_of = \"plate/point\",  or  from  and  to",
            );
            MeasureOf::Height(String::new())
        }
    };
    let title = id.replace('-', " ");
    let mut letters = title.chars();
    let title = letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    });
    MeasureSpec {
        key: key.to_owned(),
        title: reader.text_or(&format!("{key}.title"), &title, "its name"),
        of,
        tolerance: reader.model_mm_or(
            &format!("{key}.tolerance"),
            0.01..=5.0,
            reader.scale.pick(0.15, 0.20),
            TRADE,
        ),
        own_tolerance: t.has("tolerance"),
        id,
    }
}
