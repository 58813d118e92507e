//! The side file of a drawing: what the drawing itself does not say.

use crate::drawn::Allowance;
use crate::role::{Mapping, Role};
use body::{ModelError, Problem, line_and_column};
use std::collections::BTreeMap;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The most bytes that a side file may have.
pub const MAX_SIDE_FILE_BYTES: usize = 256 * 1024;

/// The widest gap that may be joined (mm): wider than that it may be an opening.
const WIDEST_JOIN_MM: f64 = 2.0;

/// Words for units and the millimetres in each.
const UNITS: [(&str, &str, f64); 6] = [
    ("mm", "millimetres", 1.0),
    ("cm", "centimetres", 10.0),
    ("m", "metres", 1000.0),
    ("in", "inches", 25.4),
    ("pt", "points of 1/72 inch", 25.4 / 72.0),
    ("px", "pixels at 96 to the inch", 25.4 / 96.0),
];

/// Keys of the tables of names.
const ROLES: [(&str, Role); 9] = [
    ("outline", Role::Outline),
    ("opening", Role::Opening),
    ("half_etch_front", Role::HalfEtchFront),
    ("half_etch_rear", Role::HalfEtchRear),
    ("rivets", Role::Rivet),
    ("tags", Role::Tag),
    ("furniture", Role::Furniture),
    ("names", Role::Label),
    ("ignore", Role::Ignored),
];

const KEYS: [&str; 8] = [
    "allowance",
    "face",
    "unit",
    "scale",
    "join_within",
    "layers",
    "colours",
    "line_types",
];

/// What stands beside a drawing about it, in `<name of the drawing>.toml`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SideFile {
    /// Whether the etch allowance is on the drawing.
    pub allowance: Allowance,
    /// True if the drawing shows the plates from their rear faces.
    pub from_rear: bool,
    /// Unit of the drawing: in words, and its millimetres.
    pub unit: Option<(&'static str, f64)>,
    /// Length on the drawing of one unit on the model; 1 if the drawing is at the model's size.
    pub scale: Option<f64>,
    /// Loose ends up to this far apart are joined (mm).
    pub join_within: Option<f64>,
    pub(crate) mapping: Mapping,
}

impl SideFile {
    /// Name of the side file of a drawing: `sheet-1.dxf.toml` of `sheet-1.dxf`.
    pub fn name_of(drawing: &str) -> String {
        format!("{drawing}.toml")
    }

    /// Reads a side file; `file` is what messages call it.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with it, each with line and column.
    pub fn read(file: &str, bytes: &[u8]) -> Result<Self, ModelError> {
        let text = ModelError::text_of(
            file,
            bytes,
            MAX_SIDE_FILE_BYTES,
            "a side file holds a few names",
        )?;
        let mut reading = Reading {
            text,
            side: Self::default(),
            problems: Vec::new(),
        };
        match DeTable::parse(text) {
            Ok(root) => reading.root(root.get_ref()),
            Err(error) => reading.put_down(
                "",
                error.span().unwrap_or(0..0),
                format!("this is not TOML: {}", error.message().trim()),
                "a side file has lines like  allowance = \"applied\"",
            ),
        }
        if reading.problems.is_empty() {
            return Ok(reading.side);
        }
        Err(ModelError::in_text(file, text, reading.problems))
    }

    /// Millimetres on the model in a drawing unit of `unit_mm` (mm on the sheet).
    pub(crate) fn model_mm(&self, unit_mm: f64) -> f64 {
        unit_mm / self.scale.unwrap_or(1.0)
    }
}

struct Reading<'t> {
    text: &'t str,
    side: SideFile,
    problems: Vec<Problem>,
}

impl Reading<'_> {
    fn put_down(
        &mut self,
        path: &str,
        span: Range<usize>,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        let (line, column) = line_and_column(self.text, span.start);
        self.problems.push(Problem {
            path: path.to_owned(),
            line,
            column,
            span,
            message: message.into(),
            help: help.into(),
        });
    }

    fn root(&mut self, root: &DeTable<'_>) {
        for (key, value) in root.iter() {
            match key.get_ref().as_ref() {
                "allowance" => self.allowance(value),
                "face" => self.face(value),
                "unit" => self.unit(value),
                "scale" => self.scale(value),
                "join_within" => self.join_within(value),
                "layers" => self.side.mapping.layers = self.names("layers", value),
                "colours" => self.side.mapping.colours = self.names("colours", value),
                "line_types" => self.side.mapping.line_types = self.names("line_types", value),
                other => self.unknown(other, other, key.span(), &KEYS),
            }
        }
    }

    fn unknown(&mut self, path: &str, word: &str, span: Range<usize>, known: &[&str]) {
        let near = known
            .iter()
            .min_by_key(|key| strsim::osa_distance(word, key))
            .filter(|key| strsim::osa_distance(word, key) <= 3);
        let help = near.map_or_else(
            || format!("known here: {}", known.join(", ")),
            |key| format!("did you mean {key}?"),
        );
        self.put_down(path, span, "this key is not known", help);
    }

    /// One of some words.
    fn word<T: Copy>(
        &mut self,
        path: &str,
        value: &Spanned<DeValue<'_>>,
        words: &[(&str, T)],
    ) -> Option<T> {
        let found = match value.get_ref() {
            DeValue::String(text) => words.iter().find(|(word, _)| *word == text.as_ref()),
            _ => None,
        };
        if found.is_none() {
            let all: Vec<String> = words.iter().map(|(word, _)| format!("{word:?}")).collect();
            let help = format!("one of {} is wanted", all.join(", "));
            self.put_down(path, value.span(), "this word is not known here", help);
        }
        found.map(|(_, meaning)| *meaning)
    }

    fn allowance(&mut self, value: &Spanned<DeValue<'_>>) {
        let words = [
            ("applied", Allowance::Applied),
            ("left to the etcher", Allowance::LeftToTheEtcher),
            ("unknown", Allowance::Unknown),
        ];
        if let Some(allowance) = self.word("allowance", value, &words) {
            self.side.allowance = allowance;
        }
    }

    fn face(&mut self, value: &Spanned<DeValue<'_>>) {
        if let Some(rear) = self.word("face", value, &[("front", false), ("rear", true)]) {
            self.side.from_rear = rear;
        }
    }

    fn unit(&mut self, value: &Spanned<DeValue<'_>>) {
        let words = UNITS.map(|(word, name, mm)| (word, (name, mm)));
        self.side.unit = self.word("unit", value, &words);
    }

    fn scale(&mut self, value: &Spanned<DeValue<'_>>) {
        const HELP: &str = "write 2 or \"2:1\" for a drawing at twice the size of the model, \"1:2\" for one at half";
        let scale = match value.get_ref() {
            DeValue::String(text) => ratio(text),
            number => number_of(number),
        };
        match scale {
            Some(scale) if (1e-3..=1e3).contains(&scale) => self.side.scale = Some(scale),
            _ => self.put_down("scale", value.span(), "this is no scale", HELP),
        }
    }

    fn join_within(&mut self, value: &Spanned<DeValue<'_>>) {
        match number_of(value.get_ref()) {
            Some(mm) if (0.0..=WIDEST_JOIN_MM).contains(&mm) => self.side.join_within = Some(mm),
            _ => self.put_down(
                "join_within",
                value.span(),
                "this is no width of a gap",
                format!("a number of millimetres from 0 to {WIDEST_JOIN_MM} is wanted"),
            ),
        }
    }

    /// A table of roles, each with a name or a list of names.
    fn names(&mut self, table: &str, value: &Spanned<DeValue<'_>>) -> BTreeMap<String, Role> {
        let mut names: BTreeMap<String, Role> = BTreeMap::new();
        let DeValue::Table(roles) = value.get_ref() else {
            let help = format!("write  [{table}]  and below it  outline = \"NAME\"");
            self.put_down(table, value.span(), "a table is wanted here", help);
            return names;
        };
        // In the order of the file, so that the second of two is the one that is wrong.
        let mut roles: Vec<_> = roles.iter().collect();
        roles.sort_by_key(|(key, _)| key.span().start);
        for (key, value) in roles {
            let word = key.get_ref().as_ref();
            let path = format!("{table}.{word}");
            let Some((_, role)) = ROLES.iter().find(|(known, _)| *known == word) else {
                self.unknown(&path, word, key.span(), &ROLES.map(|(known, _)| known));
                continue;
            };
            let single = std::slice::from_ref(value);
            let items = match value.get_ref() {
                DeValue::Array(items) => &items[..],
                _ => single,
            };
            for item in items {
                let name = match item.get_ref() {
                    DeValue::String(text) => text.trim().to_lowercase(),
                    // A colour may be written as the bare number that it has.
                    DeValue::Integer(n) if table == "colours" => n.as_str().to_owned(),
                    _ => String::new(),
                };
                if name.is_empty() {
                    let help = "write one name, or several as [\"A\", \"B\"]";
                    self.put_down(&path, item.span(), "a name is wanted here", help);
                } else if let Some(other) = names.insert(name.clone(), *role)
                    && other != *role
                {
                    let message = format!("{name:?} stands for two things");
                    let help = format!("it is given as {} too", other.word());
                    self.put_down(&path, item.span(), message, help);
                }
            }
        }
        names
    }
}

fn number_of(value: &DeValue<'_>) -> Option<f64> {
    let text = match value {
        DeValue::Integer(n) if n.radix() == 10 => n.as_str(),
        DeValue::Float(x) => x.as_str(),
        _ => return None,
    };
    text.replace('_', "").parse().ok()
}

/// Drawing to model: `2:1`.
fn ratio(text: &str) -> Option<f64> {
    let (drawn, model) = text.split_once(':')?;
    let (drawn, model): (f64, f64) = (drawn.trim().parse().ok()?, model.trim().parse().ok()?);
    (model > 0.0).then(|| drawn / model)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::role::Pen;

    #[test]
    fn every_key_is_read() {
        let text = "allowance = \"applied\"\nface = \"rear\"\nunit = \"in\"\nscale = \"2:1\"\njoin_within = 0.2\n\
            [layers]\noutline = [\"CUT\", \"Edge\"]\nignore = \"notes\"\n[colours]\nopening = [\"#FF0000\", 1]\n\
            [line_types]\nhalf_etch_rear = \"DASHED\"\n";
        let side = SideFile::read("a.dxf.toml", text.as_bytes()).unwrap();
        assert_eq!(side.allowance, Allowance::Applied);
        assert!(side.from_rear);
        assert_eq!(side.unit, Some(("inches", 25.4)));
        assert_eq!((side.scale, side.join_within), (Some(2.0), Some(0.2)));
        assert!((side.model_mm(25.4) - 12.7).abs() < 1e-12);
        let pen = |colour: &str, line_type: &str| Pen {
            colour: colour.to_owned(),
            line_type: line_type.to_owned(),
        };
        let role = |layer: &str, pen: &Pen| side.mapping.role(layer, pen, Role::Unknown);
        assert_eq!(role("cut", &pen("", "")), Role::Outline);
        assert_eq!(role("EDGE", &pen("1", "")), Role::Outline);
        assert_eq!(role("x", &pen("1", "")), Role::Opening);
        assert_eq!(role("x", &pen("7", "dashed")), Role::HalfEtchRear);
        assert_eq!(role("x", &pen("7", "")), Role::Unknown);
        assert_eq!(side.mapping.unused(), ["notes", "#ff0000"]);
    }

    #[test]
    fn mistakes_are_named_with_their_places() {
        for (text, line, column, word) in [
            ("allowence = \"applied\"", 1, 1, "allowance"),
            ("\n\nallowance = \"some\"", 3, 13, "left to the etcher"),
            ("face = 3", 1, 8, "rear"),
            ("unit = \"furlong\"", 1, 8, "mm"),
            ("scale = \"0:1\"", 1, 9, "2:1"),
            ("join_within = 99", 1, 15, "millimetres"),
            ("[layers]\noutlin = \"A\"", 2, 1, "outline"),
            (
                "[layers]\noutline = \"A\"\nopening = \"a\"",
                3,
                11,
                "outline",
            ),
            ("[layers]\noutline = true", 2, 11, "name"),
            ("layers = \"A\"", 1, 10, "[layers]"),
            ("= 3", 1, 1, "lines like"),
        ] {
            let error = SideFile::read("a.toml", text.as_bytes()).unwrap_err();
            let first = &error.problems[0];
            assert_eq!(
                (first.line, first.column),
                (line, column),
                "{text}: {first:?}"
            );
            assert!(first.help.contains(word), "{text}: {first:?}");
        }
        let large = vec![b' '; MAX_SIDE_FILE_BYTES + 1];
        assert!(SideFile::read("a.toml", &large).is_err());
        assert!(SideFile::read("a.toml", &[0xff]).is_err());
        assert_eq!(SideFile::read("a.toml", b"").unwrap(), SideFile::default());
    }
}
