//! Colours and dashes of an SVG, as far as they tell lines apart.

use roxmltree::{Document, Node};
use std::collections::HashMap;

/// The most bytes of style sheets that are looked at.
const MAX_SHEET_BYTES: usize = 1024 * 1024;

/// Words of a class attribute that are looked at.
const MAX_CLASS_WORDS: usize = 32;

/// The properties that tell lines apart.
const PROPERTIES: [&str; 5] = [
    "stroke",
    "fill",
    "stroke-dasharray",
    "display",
    "visibility",
];

/// Declarations of style sheets by class, of each property the last.
#[derive(Debug, Default)]
pub(crate) struct Classes(HashMap<String, HashMap<&'static str, String>>);

impl Classes {
    /// Rules for single classes (`.name { … }`); other rules tell no layers apart and are passed over.
    pub(crate) fn of(document: &Document<'_>) -> Self {
        let mut classes = Self::default();
        let mut left = MAX_SHEET_BYTES;
        for node in document
            .descendants()
            .filter(|n| n.has_tag_name_local("style"))
        {
            let text: String = node.children().filter_map(|n| n.text()).collect();
            if text.len() > left {
                break;
            }
            left -= text.len();
            for rule in text.split('}') {
                let Some((selectors, body)) = rule.split_once('{') else {
                    continue;
                };
                for name in selectors
                    .split(',')
                    .filter_map(|s| s.trim().strip_prefix('.'))
                {
                    let own = classes.0.entry(name.to_owned()).or_default();
                    own.extend(declarations(body));
                }
            }
        }
        classes
    }
}

trait LocalName {
    fn has_tag_name_local(&self, name: &str) -> bool;
}

impl LocalName for Node<'_, '_> {
    fn has_tag_name_local(&self, name: &str) -> bool {
        self.is_element() && self.tag_name().name() == name
    }
}

fn declarations(text: &str) -> impl Iterator<Item = (&'static str, String)> {
    text.split(';').filter_map(|part| {
        let (name, value) = part.split_once(':')?;
        let known = PROPERTIES
            .iter()
            .find(|known| known.eq_ignore_ascii_case(name.trim()))?;
        Some((*known, value.trim().to_lowercase()))
    })
}

/// What an element looks like.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Style {
    stroke: String,
    fill: String,
    /// Lengths of dashes, single spaces between them.
    pub(crate) dashes: String,
    /// True if it is not shown.
    pub(crate) hidden: bool,
}

impl Style {
    /// The style of an element within one of this style.
    pub(crate) fn inside(&self, node: Node<'_, '_>, classes: &Classes) -> Self {
        let mut own = self.clone();
        for name in PROPERTIES {
            if let Some(value) = node.attribute(name) {
                own.set(name, &value.trim().to_lowercase());
            }
        }
        let words = node
            .attribute("class")
            .unwrap_or_default()
            .split_whitespace();
        for class in words.take(MAX_CLASS_WORDS) {
            let rules = classes.0.get(class);
            // In the order of the properties, not of the table: the same file gives the same answer.
            for name in PROPERTIES {
                if let Some(value) = rules.and_then(|rules| rules.get(name)) {
                    own.set(name, value);
                }
            }
        }
        if let Some(style) = node.attribute("style") {
            for (name, value) in declarations(style) {
                own.set(name, &value);
            }
        }
        own
    }

    fn set(&mut self, name: &str, value: &str) {
        match name {
            "stroke" => self.stroke = colour(value),
            "fill" => self.fill = colour(value),
            "stroke-dasharray" => {
                let dashes: Vec<&str> = value
                    .split([' ', ','])
                    .filter(|w| !w.is_empty() && *w != "none")
                    .collect();
                self.dashes = dashes.join(" ");
            }
            "display" => self.hidden |= value == "none",
            "visibility" => self.hidden = matches!(value, "hidden" | "collapse"),
            _ => {}
        }
    }

    /// Colour of its line; of its fill, if it has no line.
    pub(crate) fn colour(&self) -> String {
        if self.stroke.is_empty() {
            self.fill.clone()
        } else {
            self.stroke.clone()
        }
    }
}

/// A colour as `#rrggbb`; empty for none, the text itself for what is no colour.
fn colour(value: &str) -> String {
    if value == "none" {
        return String::new();
    }
    value.parse::<svgtypes::Color>().map_or_else(
        |_| value.to_owned(),
        |c| format!("#{:02x}{:02x}{:02x}", c.red, c.green, c.blue),
    )
}
