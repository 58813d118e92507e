//! Keys and tables as they stand in the text of a model file.

use std::collections::BTreeMap;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A value of the file that stands at a full key.
#[derive(Clone, Debug)]
pub(super) enum Value {
    Text(String),
    Number(f64),
    Other(&'static str),
}

impl Value {
    /// The value as a form shows it; empty for what no key of a model file can be.
    pub(super) fn words(&self) -> String {
        match self {
            Self::Text(text) => text.clone(),
            Self::Number(number) => number.to_string(),
            Self::Other(_) => String::new(),
        }
    }
}

/// A value and its place.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub(super) span: Range<usize>,
    pub(super) value: Value,
    /// True if a variant gives it.
    pub(super) of_variant: bool,
}

/// Heading of a table or name of a list, and its place.
#[derive(Clone, Debug)]
pub(super) struct Heading {
    pub(super) span: Range<usize>,
    pub(super) of_variant: bool,
    is_list: bool,
}

/// Values and headings by their full keys: `cab.roof.top`, `axles[2].x`.
#[derive(Clone, Debug, Default)]
pub(super) struct Tree {
    pub(super) entries: BTreeMap<String, Entry>,
    pub(super) headings: BTreeMap<String, Heading>,
}

impl Tree {
    /// Takes in a value of the text with everything under it.
    pub(super) fn take(
        &mut self,
        path: String,
        key_span: Range<usize>,
        value: &Spanned<DeValue<'_>>,
    ) {
        let span = value.span();
        let number = |text: &str| text.replace('_', "").parse::<f64>().unwrap_or(f64::NAN);
        let heading = |is_list| Heading {
            span: key_span.clone(),
            of_variant: false,
            is_list,
        };
        let value = match value.get_ref() {
            DeValue::Table(table) => {
                self.headings.insert(path.clone(), heading(false));
                return self.take_table(&path, table);
            }
            DeValue::Array(items) => {
                self.headings.insert(path.clone(), heading(true));
                for (i, item) in items.iter().enumerate() {
                    self.take(format!("{path}[{i}]"), item.span(), item);
                }
                return;
            }
            DeValue::String(text) => Value::Text(text.to_string()),
            DeValue::Integer(n) if n.radix() == 10 => Value::Number(number(n.as_str())),
            DeValue::Integer(_) => Value::Other("a number in another base than ten"),
            DeValue::Float(x) => Value::Number(number(x.as_str())),
            DeValue::Boolean(_) => Value::Other("true or false"),
            DeValue::Datetime(_) => Value::Other("a date"),
        };
        let entry = Entry {
            span,
            value,
            of_variant: false,
        };
        self.entries.insert(path, entry);
    }

    /// Takes in all keys of a table.
    pub(super) fn take_table(&mut self, prefix: &str, table: &DeTable<'_>) {
        for (key, value) in table.iter() {
            self.take(join(prefix, key.get_ref()), key.span(), value);
        }
    }

    /// True if there is a value, table or list of that name.
    pub(super) fn has(&self, path: &str) -> bool {
        self.entries.contains_key(path) || self.headings.contains_key(path)
    }

    /// Removes a value, or a table or list with everything under it; false if there is none.
    pub(super) fn take_away(&mut self, path: &str) -> bool {
        let known = self.has(path);
        remove_under(&mut self.entries, path);
        remove_under(&mut self.headings, path);
        known
    }

    /// Lays a variant's tree over this one: its values stand in place of those of the same key, its
    /// lists in place of whole lists.
    pub(super) fn lay_over(&mut self, variant: Self) {
        for (path, heading) in variant.headings {
            let plain = self.headings.get(&path).is_some_and(|own| !own.is_list);
            if plain && !heading.is_list {
                continue;
            }
            // Items of a list of the variant itself come after their list.
            if !path.contains('[') {
                self.take_away(&path);
            }
            let heading = Heading {
                of_variant: true,
                ..heading
            };
            self.headings.insert(path, heading);
        }
        for (path, entry) in variant.entries {
            if !path.contains('[') {
                self.take_away(&path);
            }
            let entry = Entry {
                of_variant: true,
                ..entry
            };
            self.entries.insert(path, entry);
        }
    }

    /// The nearest table or list above a key.
    pub(super) fn heading_above(&self, path: &str) -> Option<(&str, &Heading)> {
        let mut above = path;
        loop {
            if let Some((name, heading)) = self.headings.get_key_value(above) {
                return Some((name, heading));
            }
            above = &above[..above.rfind(['.', '['])?];
        }
    }
}

/// Removes a path and everything under it; what begins with it stands together in the map's order.
fn remove_under<T>(map: &mut BTreeMap<String, T>, path: &str) {
    let gone: Vec<String> = map
        .range(path.to_owned()..)
        .map(|(own, _)| own)
        .take_while(|own| own.starts_with(path))
        .filter(|own| is_at_or_under(own, path))
        .cloned()
        .collect();
    for own in gone {
        map.remove(&own);
    }
}

/// True for a path itself and for everything under it.
pub(super) fn is_at_or_under(path: &str, of: &str) -> bool {
    path.strip_prefix(of)
        .is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
}

/// A key under a table; the whole file has the empty name.
pub(super) fn join(prefix: &str, key: &str) -> String {
    if prefix.is_empty() {
        key.to_owned()
    } else {
        format!("{prefix}.{key}")
    }
}
