//! JSON of the keys of a model file, for a form.

use body::{Field, FieldKind, Opening};
use export::millimetres;
use serde::Serialize;
use utoipa::ToSchema;

/// A key that the model file has, or may have.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct FieldView {
    /// Its full key.
    #[schema(example = "boiler.pitch")]
    path: String,
    /// `length` (full size, or the model's at the file's own scale), `model-length` (millimetres of the model),
    /// `number`, `word` or `text`.
    kind: &'static str,
    /// What the file writes, without quotes; `null` where it is silent.
    written: Option<String>,
    /// `file`, `variant`, `default`, or `none` where the file is silent and nothing is taken.
    from: &'static str,
    /// What is taken where the file is silent.
    default: Option<String>,
    /// Where the default is from.
    source: Option<String>,
    /// Length on the model.
    mm: Option<f64>,
    /// Length of the full-size engine in words.
    full_size: Option<String>,
    /// Least that may stand there: millimetres of a `model-length`, else a plain number.
    least: Option<f64>,
    /// Greatest that may stand there.
    most: Option<f64>,
    /// A length may be zero.
    zero: bool,
    /// The words that there are, for `word`.
    words: Vec<String>,
    /// Where the value stands.
    at: Option<SpanView>,
    /// Where the key can be added.
    opening: Option<OpeningView>,
}

/// Place of a value in the text, quotes included.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
pub(crate) struct SpanView {
    /// Line, from 1.
    line: usize,
    /// Column in characters, from 1.
    column: usize,
    /// Begin, in UTF-16 units, as browsers count.
    from: usize,
    /// End, in UTF-16 units.
    to: usize,
}

/// Place in the text where a key can be added.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct OpeningView {
    /// Place in UTF-16 units.
    at: usize,
    /// What stands before the value.
    before: String,
    /// What stands behind it.
    after: String,
}

/// Where each byte of a text stands.
struct Places {
    /// UTF-16 unit, line and column of each byte, and of the end.
    of_byte: Vec<(usize, usize, usize)>,
}

impl Places {
    fn of(text: &str) -> Self {
        let mut of_byte = Vec::with_capacity(text.len() + 1);
        let (mut unit, mut line, mut column) = (0, 1, 1);
        for letter in text.chars() {
            of_byte.extend(std::iter::repeat_n((unit, line, column), letter.len_utf8()));
            unit += letter.len_utf16();
            (line, column) = match letter {
                '\n' => (line + 1, 1),
                _ => (line, column + 1),
            };
        }
        of_byte.push((unit, line, column));
        Self { of_byte }
    }

    fn at(&self, byte: usize) -> (usize, usize, usize) {
        self.of_byte[byte.min(self.of_byte.len() - 1)]
    }
}

impl FieldView {
    /// The keys of a text.
    pub(crate) fn all(text: &str, fields: Vec<Field>) -> Vec<Self> {
        let places = Places::of(text);
        fields
            .into_iter()
            .map(|field| Self::of(&places, field))
            .collect()
    }

    fn of(places: &Places, field: Field) -> Self {
        let (kind, least, most, zero, words) = match field.kind {
            FieldKind::Length { zero } => ("length", None, None, zero, Vec::new()),
            FieldKind::ModelLength { least, most } => {
                ("model-length", Some(least), Some(most), false, Vec::new())
            }
            FieldKind::Number { least, most } => {
                ("number", Some(least), Some(most), false, Vec::new())
            }
            FieldKind::Word(words) => ("word", None, None, false, words),
            FieldKind::Text => ("text", None, None, false, Vec::new()),
        };
        let from = match (&field.written, field.of_variant, &field.fallback) {
            (Some(_), true, _) => "variant",
            (Some(_), false, _) => "file",
            (None, _, Some(_)) => "default",
            (None, _, None) => "none",
        };
        let (default, source) = field.fallback.unzip();
        Self {
            path: field.path,
            kind,
            written: field.written,
            from,
            default,
            source,
            mm: field.mm.map(millimetres),
            full_size: field.full_size.map(body::PrototypeLength::words),
            least,
            most,
            zero,
            words,
            at: field.span.map(|span| {
                let (from, line, column) = places.at(span.start);
                SpanView {
                    line,
                    column,
                    from,
                    to: places.at(span.end).0,
                }
            }),
            opening: field
                .opening
                .map(|Opening { at, before, after }| OpeningView {
                    at: places.at(at).0,
                    before,
                    after,
                }),
        }
    }
}
