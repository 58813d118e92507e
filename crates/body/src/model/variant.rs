//! `[variants.NAME]`: an engine of the same class that differs in some dimensions.

use super::problem::{ModelError, Problem};
use super::reader::Reader;
use super::tree::{Tree, Value, join};
use super::{Model, Overrides};
use std::collections::BTreeMap;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Most variants of one file. Chosen: each is read whenever the file is read, so that no mistake waits.
const MOST_VARIANTS: usize = 32;

/// A variant that a model file offers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Variant {
    /// Its name: `[variants.late]` is `late`.
    pub name: String,
    /// Its `title`; its name if it gives none.
    pub title: String,
}

/// What a variant says.
#[derive(Clone, Debug)]
pub(super) struct VariantText {
    /// Its heading.
    pub(super) span: Range<usize>,
    /// Tables and keys of the file that it takes away, with their places.
    pub(super) without: Vec<(String, Range<usize>)>,
    /// What stands in place of the file's own.
    pub(super) tree: Tree,
}

/// Something wrong with a variant itself: key, place, what is wrong and what would be right.
pub(super) type Refusal = (String, Range<usize>, String, String);

/// Reads `variants` of a file's root.
pub(super) fn read_variants(
    root: &DeTable<'_>,
    refusals: &mut Vec<Refusal>,
) -> BTreeMap<String, VariantText> {
    let mut variants = BTreeMap::new();
    let Some((key, value)) = root.get_key_value("variants") else {
        return variants;
    };
    let DeValue::Table(table) = value.get_ref() else {
        refusals.push(no_table("variants".to_owned(), key.span()));
        return variants;
    };
    for (name, value) in table.iter() {
        let path = join("variants", name.get_ref());
        match value.get_ref() {
            DeValue::Table(_) if !is_variant_name(name.get_ref()) => refusals.push((
                path,
                name.span(),
                "this is no name for a variant".to_owned(),
                "1 to 40 lower-case letters, digits and hyphens make one: [variants.late-boiler]"
                    .to_owned(),
            )),
            DeValue::Table(_) if variants.len() == MOST_VARIANTS => refusals.push((
                path,
                name.span(),
                format!("the file has more than {MOST_VARIANTS} variants"),
                "put the others into a file of their own".to_owned(),
            )),
            DeValue::Table(own) => {
                let text = read_variant(&path, name.span(), own, refusals);
                variants.insert(name.get_ref().to_string(), text);
            }
            _ => refusals.push(no_table(path, name.span())),
        }
    }
    variants
}

fn no_table(path: String, span: Range<usize>) -> Refusal {
    (
        path,
        span,
        "a table is wanted here".to_owned(),
        "write  [variants.NAME]  and under it the keys that differ, or  [variants.NAME.chimney]"
            .to_owned(),
    )
}

/// True for 1 to 40 lower-case letters, digits and hyphens: what may stand in an address and a file's name.
pub fn is_variant_name(name: &str) -> bool {
    let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
    (1..=40).contains(&name.len()) && name.bytes().all(plain)
}

fn read_variant(
    path: &str,
    span: Range<usize>,
    table: &DeTable<'_>,
    refusals: &mut Vec<Refusal>,
) -> VariantText {
    let mut text = VariantText {
        span,
        without: Vec::new(),
        tree: Tree::default(),
    };
    for (key, value) in table.iter() {
        match &**key.get_ref() {
            "without" => {
                text.without = read_without(&join(path, "without"), value, refusals);
            }
            "variants" => refusals.push((
                join(path, "variants"),
                key.span(),
                "a variant has no variants of its own".to_owned(),
                "give each variant whole, under  [variants.NAME]".to_owned(),
            )),
            name => text.tree.take(name.to_owned(), key.span(), value),
        }
    }
    text
}

fn read_without(
    path: &str,
    value: &Spanned<DeValue<'_>>,
    refusals: &mut Vec<Refusal>,
) -> Vec<(String, Range<usize>)> {
    let mut names = Vec::new();
    let mut refuse = |span| {
        refusals.push((
            path.to_owned(),
            span,
            "a list of names is wanted here".to_owned(),
            "write  without = [\"dome\", \"boiler.washouts\"]  with tables or keys of the file"
                .to_owned(),
        ));
    };
    let DeValue::Array(items) = value.get_ref() else {
        refuse(value.span());
        return names;
    };
    for item in items.iter() {
        match item.get_ref() {
            DeValue::String(name) => names.push((name.to_string(), item.span())),
            _ => refuse(item.span()),
        }
    }
    names
}

impl VariantText {
    /// How the variant is listed.
    pub(super) fn listed(&self, name: &str) -> Variant {
        let title = match self.tree.entries.get("title").map(|entry| &entry.value) {
            Some(Value::Text(title)) => title,
            _ => name,
        };
        Variant {
            name: name.to_owned(),
            title: title.to_owned(),
        }
    }
}

/// Problems from which on a text is no model file; its variants are then left alone.
const MANY_PROBLEMS: usize = 100;

/// What was read, or what is wrong with it and with the variants that were not chosen.
///
/// Each other variant is read once at the file's own scale: only so is a wrong key or length in it known.
pub(super) fn with_others(
    own: Result<Model, ModelError>,
    overrides: &Overrides,
    read: impl Fn(&Overrides) -> Result<Model, ModelError>,
) -> Result<Model, ModelError> {
    let names: Vec<String> = match &own {
        Ok(model) => names_of(&model.variants),
        Err(error) if error.problems.len() >= MANY_PROBLEMS => Vec::new(),
        Err(error) => Reader::parse(&error.text)
            .map_or_else(|_| Vec::new(), |reader| names_of(&reader.variants())),
    };
    let others = names
        .into_iter()
        .filter(|name| overrides.variant.as_ref() != Some(name));
    let problems_with = |variant: Option<String>| {
        let alone = Overrides {
            variant,
            ..Overrides::default()
        };
        read(&alone).err().map_or_else(Vec::new, |e| e.problems)
    };
    let without = std::cell::LazyCell::new(|| problems_with(None));
    let mut more: Vec<Problem> = Vec::new();
    for name in others {
        let found = problems_with(Some(name.clone()));
        more.extend(
            found
                .into_iter()
                .filter(|problem| !without.contains(problem))
                .map(|problem| with_name(problem, &name)),
        );
    }
    match own {
        Ok(model) if more.is_empty() => Ok(model),
        Ok(model) => Err(model.error(more)),
        Err(mut error) => {
            error.problems.extend(more);
            Err(ModelError::in_text(
                &error.file,
                &error.text,
                error.problems,
            ))
        }
    }
}

fn names_of(variants: &[Variant]) -> Vec<String> {
    variants.iter().map(|own| own.name.clone()).collect()
}

/// A problem elsewhere in the file that only the variant brings about says whose it is.
fn with_name(problem: Problem, name: &str) -> Problem {
    if problem.path.starts_with("variants.") {
        return problem;
    }
    Problem {
        message: format!("{}, in variant {name}", problem.message),
        ..problem
    }
}
