//! Reads a model file key by key, and remembers what it was asked for.
//!
//! Everything wrong is collected, so that one reading names every mistake. A value that cannot be
//! read is answered by NaN or an empty text; nothing is built while there are problems.

use super::field::{Field, FieldKind, opening_for};
use super::input::{InputLength, InputOrigin};
use super::length::{Dimension, PrototypeLength, parse_dimension};
use super::problem::{Problem, line_and_column};
use super::scale::Scale;
use super::tree::{Entry, Tree, Value, is_at_or_under};
use super::variant::{Variant, VariantText, read_variants};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use toml::de::DeTable;

/// A default that was used because the file is silent.
#[derive(Clone, Debug, PartialEq)]
pub struct DefaultUsed {
    /// The key that the file does not have.
    pub path: String,
    /// The value taken.
    pub value: String,
    /// Where it is from.
    pub source: String,
}

/// What a length may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sign {
    /// Above zero.
    Positive,
    /// Zero or above.
    NotNegative,
}

/// The keys of a model file.
pub(crate) struct Reader<'t> {
    text: &'t str,
    tree: Tree,
    variants: BTreeMap<String, VariantText>,
    /// The variant that was laid over the file, if one was.
    chosen: Option<String>,
    /// What the chosen variant takes away, with the place where it says so.
    taken_away: Vec<(String, Range<usize>)>,
    /// Scale that the model is built in.
    pub(crate) scale: Scale,
    /// Scale that the file itself names; model dimensions hold for it only.
    pub(crate) own_scale: Scale,
    asked: RefCell<BTreeSet<String>>,
    defaults: RefCell<Vec<DefaultUsed>>,
    inputs: RefCell<Vec<InputLength>>,
    /// Keys with what may stand there, in the order in which they were asked for.
    kinds: RefCell<Vec<(String, FieldKind)>>,
    problems: RefCell<Vec<Problem>>,
}

impl<'t> Reader<'t> {
    /// Parses the text; the scale is set afterwards by [`Reader::set_scale`].
    pub(crate) fn parse(text: &'t str) -> Result<Self, Problem> {
        let root = DeTable::parse(text).map_err(|error| {
            let span = error.span().unwrap_or(0..0);
            let (line, column) = line_and_column(text, span.start);
            Problem {
                path: String::new(),
                line,
                column,
                span,
                message: format!("this is not TOML: {}", error.message().trim()),
                help: "a model file has lines like  pitch = \"7ft 5in\"  under headings like  [boiler]"
                    .to_owned(),
            }
        })?;
        let mut refusals = Vec::new();
        let variants = read_variants(root.get_ref(), &mut refusals);
        let mut tree = Tree::default();
        for (key, value) in root.get_ref().iter() {
            if key.get_ref() != "variants" {
                tree.take(key.get_ref().to_string(), key.span(), value);
            }
        }
        let reader = Self {
            text,
            tree,
            variants,
            chosen: None,
            taken_away: Vec::new(),
            scale: Scale::Seven,
            own_scale: Scale::Seven,
            asked: RefCell::default(),
            defaults: RefCell::default(),
            inputs: RefCell::default(),
            kinds: RefCell::default(),
            problems: RefCell::default(),
        };
        for (path, span, message, help) in refusals {
            reader.put_down(path, span, message, help);
        }
        Ok(reader)
    }

    /// The variants that the file offers, by name.
    pub(crate) fn variants(&self) -> Vec<Variant> {
        let all = self.variants.iter();
        all.map(|(name, text)| text.listed(name)).collect()
    }

    /// Lays a variant over the file; nothing is done without a name.
    pub(crate) fn choose(&mut self, name: Option<&str>) {
        let Some(name) = name else { return };
        let Some(text) = self.variants.get(name).cloned() else {
            let names: Vec<&str> = self.variants.keys().map(String::as_str).collect();
            let help = match names[..] {
                [] => "it has none; [variants.NAME] makes one".to_owned(),
                _ => format!("it has {}", names.join(", ")),
            };
            let first = self.variants.values().map(|own| own.span.clone());
            let span = first.min_by_key(|span| span.start).unwrap_or(0..0);
            let message = format!("the file has no variant {name:?}");
            return self.put_down("variants".to_owned(), span, message, help);
        };
        for (path, span) in text.without {
            if !self.tree.take_away(&path) {
                let headings = self.tree.headings.keys().map(String::as_str);
                let tables: Vec<&str> = headings.filter(|own| !own.contains('[')).collect();
                self.put_down(
                    format!("variants.{name}.without"),
                    span.clone(),
                    format!("the file has no {path:?} to take away"),
                    format!("it has {}", tables.join(", ")),
                );
            }
            self.taken_away.push((path, span));
        }
        self.tree.lay_over(text.tree);
        self.chosen = Some(name.to_owned());
    }

    /// Puts down a problem at a key (or, if the file lacks it, at the nearest table above it).
    pub(crate) fn problem(&self, path: &str, message: impl Into<String>, help: impl Into<String>) {
        let problem = self.problem_at(path, message.into(), help.into());
        self.problems.borrow_mut().push(problem);
    }

    fn put_down(&self, path: String, span: Range<usize>, message: String, help: String) {
        let (line, column) = line_and_column(self.text, span.start);
        self.problems.borrow_mut().push(Problem {
            path,
            line,
            column,
            span,
            message,
            help,
        });
    }

    /// The problem, with the place of its key.
    pub(crate) fn problem_at(&self, path: &str, message: String, help: String) -> Problem {
        let (path, span) = self.place_of(path);
        let (line, column) = line_and_column(self.text, span.start);
        Problem {
            path,
            line,
            column,
            span,
            message,
            help,
        }
    }

    /// Full key and place of what decides a key: what a variant gives or takes away is there.
    fn place_of(&self, path: &str) -> (String, Range<usize>) {
        let chosen = self.chosen.as_deref().unwrap_or_default();
        let named = |of_variant: bool| match of_variant {
            true => format!("variants.{chosen}.{path}"),
            false => path.to_owned(),
        };
        if let Some(entry) = self.tree.entries.get(path) {
            return (named(entry.of_variant), entry.span.clone());
        }
        let heading = self.tree.heading_above(path);
        if heading.is_none_or(|(name, _)| name.len() < path.len())
            && let Some((_, span)) = self
                .taken_away
                .iter()
                .find(|(gone, _)| is_at_or_under(path, gone))
            && heading.is_none_or(|(_, heading)| !heading.of_variant)
        {
            return (format!("variants.{chosen}.without"), span.clone());
        }
        match heading {
            Some((_, heading)) => (named(heading.of_variant), heading.span.clone()),
            None => (path.to_owned(), 0..0),
        }
    }

    fn entry(&self, path: &str) -> Option<&Entry> {
        self.asked.borrow_mut().insert(path.to_owned());
        self.tree.entries.get(path)
    }

    /// True if the file has the key or a table of that name.
    pub(crate) fn has(&self, path: &str) -> bool {
        self.tree.has(path)
    }

    /// Number of items of an array.
    pub(crate) fn count(&self, path: &str) -> usize {
        (0..)
            .take_while(|i| self.has(&format!("{path}[{i}]")))
            .count()
    }

    /// A length that the file must have (mm on the model).
    pub(crate) fn length(&self, path: &str, sign: Sign) -> f64 {
        self.may_stand(path, sign.into());
        match self.entry(path) {
            Some(entry) => self.read_length(path, entry, sign),
            None => {
                self.problem(
                    path,
                    "this dimension is missing",
                    format!("add  {} = \"…ft …in\"", last_word(path)),
                );
                f64::NAN
            }
        }
    }

    /// A length with a default (mm on the model) and where the default is from.
    pub(crate) fn length_or(&self, path: &str, sign: Sign, default: f64, source: &str) -> f64 {
        self.may_stand(path, sign.into());
        match self.entry(path) {
            Some(entry) => self.read_length(path, entry, sign),
            None => {
                self.note_default(path, self.length_words(default), source);
                let full_size = Some(self.full_size(default));
                self.note_input(
                    path,
                    default,
                    full_size,
                    InputOrigin::Default(source.to_owned()),
                );
                default
            }
        }
    }

    /// Words of a model length: full size and on the model.
    fn length_words(&self, mm: f64) -> String {
        format!("{} ({mm:.2} mm)", self.full_size(mm).words())
    }

    /// The full-size length of a model length (mm).
    fn full_size(&self, mm: f64) -> PrototypeLength {
        PrototypeLength::inches(mm / self.scale.mm_per_foot() * 12.0)
    }

    fn read_length(&self, path: &str, entry: &Entry, sign: Sign) -> f64 {
        const HOW: &str = "write feet and inches of the full-size engine like \"4ft 8 1/2in\", or \"12.4mm\" on the model";
        let text = match &entry.value {
            Value::Text(text) => text,
            Value::Number(n) => {
                self.problem(path, format!("{n} has no unit"), HOW);
                return f64::NAN;
            }
            Value::Other(kind) => {
                self.problem(path, format!("a length is wanted here, not {kind}"), HOW);
                return f64::NAN;
            }
        };
        let (mm, full_size) = match parse_dimension(text) {
            Ok(Dimension::FullSize(length)) => (length.at_scale(self.scale.mm_per_foot()), length),
            Ok(Dimension::Model(_)) if self.scale != self.own_scale => {
                self.problem(
                    path,
                    format!(
                        "{text} is a dimension of the {} model and cannot be used at {}",
                        self.own_scale.word(),
                        self.scale.word()
                    ),
                    "give the full-size dimension, or build at the file's own scale",
                );
                return f64::NAN;
            }
            Ok(Dimension::Model(mm)) => (mm, self.full_size(mm)),
            Err(why) => {
                self.problem(path, format!("\"{text}\" is no length: {why}"), HOW);
                return f64::NAN;
            }
        };
        self.note_input(path, mm, Some(full_size), origin(entry, text));
        self.check_sign(path, text, mm, sign)
    }

    fn note_input(
        &self,
        path: &str,
        mm: f64,
        full_size: Option<PrototypeLength>,
        origin: InputOrigin,
    ) {
        let mut inputs = self.inputs.borrow_mut();
        // A key that is read twice is listed once.
        if inputs.iter().all(|known| known.path != path) {
            inputs.push(InputLength {
                path: path.to_owned(),
                mm,
                full_size,
                origin,
            });
        }
    }

    fn check_sign(&self, path: &str, text: &str, mm: f64, sign: Sign) -> f64 {
        // Nothing of a locomotive is longer than this; it also keeps all arithmetic in range.
        const LONGEST_MM: f64 = 10_000.0;
        let (wrong, help) = if sign == Sign::Positive && mm <= 0.0 {
            (true, "a length above zero is wanted")
        } else if sign == Sign::NotNegative && mm < 0.0 {
            (true, "a length of zero or above is wanted")
        } else {
            (
                mm.abs() > LONGEST_MM,
                "no locomotive is so large; check the unit",
            )
        };
        if wrong {
            self.problem(path, format!("{text} cannot be"), help);
            return f64::NAN;
        }
        mm
    }

    /// A plain number with a default, within limits: an angle in degrees, a count.
    pub(crate) fn number_or(
        &self,
        path: &str,
        limits: std::ops::RangeInclusive<f64>,
        default: f64,
        source: &str,
    ) -> f64 {
        let (least, most) = (*limits.start(), *limits.end());
        self.may_stand(path, FieldKind::Number { least, most });
        let Some(entry) = self.entry(path) else {
            self.note_default(path, default.to_string(), source);
            return default;
        };
        match entry.value {
            Value::Number(n) if limits.contains(&n) => n,
            Value::Number(n) => {
                self.problem(
                    path,
                    format!("{n} is out of range"),
                    format!("between {} and {} is wanted", limits.start(), limits.end()),
                );
                f64::NAN
            }
            _ => {
                self.problem(
                    path,
                    "a plain number is wanted here",
                    "write it without quotes or unit",
                );
                f64::NAN
            }
        }
    }

    /// A text with a default.
    pub(crate) fn text_or(&self, path: &str, default: &str, source: &str) -> String {
        self.may_stand(path, FieldKind::Text);
        match self.entry(path).map(|entry| &entry.value) {
            None => {
                self.note_default(path, default.to_owned(), source);
                default.to_owned()
            }
            Some(Value::Text(text)) => text.clone(),
            Some(_) => {
                self.problem(path, "a text is wanted here", "write it between quotes");
                default.to_owned()
            }
        }
    }

    /// A word out of a list, if the file has the key.
    pub(crate) fn word<T>(
        &self,
        path: &str,
        words: &[&str],
        named: impl Fn(&str) -> Option<T>,
    ) -> Option<T> {
        let known = words.iter().map(|word| (*word).to_owned());
        self.may_stand(path, FieldKind::Word(known.collect()));
        let entry = self.entry(path)?;
        let found = match &entry.value {
            Value::Text(text) => named(text),
            _ => None,
        };
        if found.is_none() {
            self.problem(
                path,
                "this word is not known here",
                format!("one of {} is wanted", words.join(", ")),
            );
        }
        found
    }

    /// Sheet thickness or another model dimension in a table that belongs to one scale (mm).
    pub(crate) fn model_mm_or(
        &self,
        path: &str,
        limits: std::ops::RangeInclusive<f64>,
        default: f64,
        source: &str,
    ) -> f64 {
        let (least, most) = (*limits.start(), *limits.end());
        self.may_stand(path, FieldKind::ModelLength { least, most });
        let Some(entry) = self.entry(path) else {
            self.note_default(path, format!("{default} mm"), source);
            self.note_input(path, default, None, InputOrigin::Default(source.to_owned()));
            return default;
        };
        let mm = match &entry.value {
            Value::Text(text) => match parse_dimension(text) {
                Ok(Dimension::Model(mm)) => {
                    self.note_input(path, mm, None, origin(entry, text));
                    mm
                }
                _ => f64::NAN,
            },
            _ => f64::NAN,
        };
        if mm.is_nan() {
            self.problem(
                path,
                "a dimension of the model is wanted here",
                "write millimetres like \"0.45mm\"",
            );
        } else if !limits.contains(&mm) {
            self.problem(
                path,
                format!("{mm} mm is out of range"),
                format!(
                    "between {} and {} mm is wanted",
                    limits.start(),
                    limits.end()
                ),
            );
            return f64::NAN;
        }
        mm
    }

    /// Notes what may stand at a key, whether the file has it or not.
    pub(crate) fn may_stand(&self, path: &str, kind: FieldKind) {
        self.kinds.borrow_mut().push((path.to_owned(), kind));
    }

    /// Notes the word taken where the file is silent.
    pub(crate) fn word_default(&self, path: &str, word: &str, source: &str) {
        self.note_default(path, word.to_owned(), source);
    }

    fn note_default(&self, path: &str, value: String, source: &str) {
        self.defaults.borrow_mut().push(DefaultUsed {
            path: path.to_owned(),
            value,
            source: source.to_owned(),
        });
    }

    /// Keys under a prefix are known though this scale does not read them.
    pub(crate) fn allow_under(&self, prefix: &str) {
        let mut asked = self.asked.borrow_mut();
        for path in self
            .tree
            .entries
            .keys()
            .filter(|path| path.starts_with(prefix))
        {
            asked.insert(path.clone());
        }
    }

    /// Everything wrong, unknown keys included, in the order of the file; and the defaults used.
    pub(crate) fn finish(&self) -> (Vec<Problem>, Vec<DefaultUsed>) {
        let asked = self.asked.borrow();
        let mut problems = self.problems.borrow().clone();
        for path in self
            .tree
            .entries
            .keys()
            .filter(|path| !asked.contains(*path))
        {
            let near = asked
                .iter()
                .map(|known| (strsim::osa_distance(path, known), known))
                .min();
            let help = match near {
                Some((distance, known)) if distance <= 3 => format!("did you mean {known}?"),
                _ => known_beside(path, &asked),
            };
            problems.push(self.problem_at(path, "this key is not known".to_owned(), help));
        }
        problems.sort_by_key(|problem| (problem.span.start, problem.path.clone()));
        (problems, self.defaults.borrow().clone())
    }

    /// The keys read, in the order in which they were asked for.
    pub(crate) fn fields(&self) -> Vec<Field> {
        let (inputs, defaults) = (self.inputs.borrow(), self.defaults.borrow());
        let field = |(path, kind): &(String, FieldKind)| {
            let entry = self.tree.entries.get(path);
            let input = inputs.iter().find(|own| own.path == *path);
            let fallback = defaults.iter().find(|own| own.path == *path);
            Field {
                path: path.clone(),
                kind: kind.clone(),
                written: entry.map(|own| own.value.words()),
                span: entry.map(|own| own.span.clone()),
                of_variant: entry.is_some_and(|own| own.of_variant),
                fallback: fallback.map(|own| (own.value.clone(), own.source.clone())),
                mm: input.map(|own| own.mm).filter(|mm| mm.is_finite()),
                full_size: input.and_then(|own| own.full_size),
                opening: match entry {
                    Some(_) => None,
                    None => opening_for(self.text, &self.tree, path),
                },
            }
        };
        // A key that is read twice is listed once.
        let mut seen = BTreeSet::new();
        let kinds = self.kinds.borrow();
        let once = kinds.iter().filter(|(path, _)| seen.insert(path.clone()));
        once.map(field).collect()
    }

    /// The lengths read, in the order in which they were asked for.
    pub(crate) fn inputs(&self) -> Vec<InputLength> {
        self.inputs.borrow().clone()
    }
}

impl From<Sign> for FieldKind {
    fn from(sign: Sign) -> Self {
        Self::Length {
            zero: sign == Sign::NotNegative,
        }
    }
}

fn known_beside(path: &str, asked: &BTreeSet<String>) -> String {
    let table = path.rfind('.').map_or("", |cut| &path[..=cut]);
    let beside: Vec<&str> = asked
        .iter()
        .filter_map(|known| known.strip_prefix(table))
        .filter(|word| !word.contains(['.', '[']))
        .collect();
    if beside.is_empty() {
        "docs/model-file.md lists the keys".to_owned()
    } else {
        format!("known here: {}", beside.join(", "))
    }
}

fn origin(entry: &Entry, text: &str) -> InputOrigin {
    match entry.of_variant {
        true => InputOrigin::Variant(text.to_owned()),
        false => InputOrigin::File(text.to_owned()),
    }
}

fn last_word(path: &str) -> &str {
    path.rsplit('.').next().unwrap_or(path)
}
