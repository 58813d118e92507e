//! What a drawn line stands for.

use crate::labels::plain_name;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

/// What a drawn line stands for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// Nobody says: which outline lies within which decides.
    #[default]
    Unknown,
    /// Edge of a plate.
    Outline,
    /// Edge of an opening right through a plate.
    Opening,
    /// Border of a place half-etched from the front face.
    HalfEtchFront,
    /// Border of a place half-etched from the rear face.
    HalfEtchRear,
    /// Border of a place left proud.
    Raised,
    /// A rivet.
    Rivet,
    /// A tag that holds a plate in the sheet.
    Tag,
    /// Border, numbers, scale bar and the like: no part of any plate.
    Furniture,
    /// A centre line or another mark that is not etched.
    Mark,
    /// A layer of names of plates.
    Label,
    /// Left out on purpose.
    Ignored,
}

/// Names of layers and classes that need no side file: those of the files written here.
const KNOWN: [(&str, Role); 25] = [
    ("outline", Role::Outline),
    ("openings", Role::Opening),
    ("opening", Role::Opening),
    ("half-etch-outside", Role::HalfEtchFront),
    ("half-etch-inside", Role::HalfEtchRear),
    ("half-etch-front", Role::HalfEtchFront),
    ("half-etch-rear", Role::HalfEtchRear),
    ("raised-outside", Role::Raised),
    ("raised-inside", Role::Raised),
    ("rivets", Role::Rivet),
    ("rivet", Role::Rivet),
    ("centre-lines", Role::Mark),
    ("mark", Role::Mark),
    ("labels", Role::Label),
    ("tags", Role::Tag),
    ("sheet", Role::Furniture),
    ("numbers", Role::Furniture),
    ("tooling-holes", Role::Furniture),
    ("test-strip", Role::Furniture),
    ("templates", Role::Furniture),
    ("scale-bar", Role::Furniture),
    ("register", Role::Furniture),
    ("region-outside", Role::HalfEtchFront),
    ("region-inside", Role::HalfEtchRear),
    ("practice-rivets", Role::Furniture),
];

/// The known names without case and separators.
static PLAIN: LazyLock<BTreeMap<String, Role>> = LazyLock::new(|| {
    let plain = KNOWN.iter().map(|(name, role)| (plain_name(name), *role));
    plain.collect()
});

impl Role {
    /// The role of a known layer or class, whatever its case and separators.
    pub fn of_name(name: &str) -> Self {
        PLAIN
            .get(&plain_name(name))
            .copied()
            .unwrap_or(Self::Unknown)
    }

    /// True for what belongs to a plate or may.
    pub fn is_of_plates(self) -> bool {
        !matches!(
            self,
            Self::Tag | Self::Furniture | Self::Mark | Self::Label | Self::Ignored
        )
    }

    /// True for the border of something on a plate that is no opening.
    pub fn is_detail(self) -> bool {
        matches!(
            self,
            Self::HalfEtchFront | Self::HalfEtchRear | Self::Raised | Self::Rivet
        )
    }

    /// The role in words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Unknown => "of no stated kind",
            Self::Outline => "outline",
            Self::Opening => "opening",
            Self::HalfEtchFront => "half-etch from the front",
            Self::HalfEtchRear => "half-etch from the rear",
            Self::Raised => "place left proud",
            Self::Rivet => "rivets",
            Self::Tag => "tags",
            Self::Furniture => "sheet furniture",
            Self::Mark => "centre lines and marks",
            Self::Label => "names of plates",
            Self::Ignored => "left out on purpose",
        }
    }
}

/// How a line is drawn, as far as it tells what the line stands for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Pen {
    /// Number of a colour, or `#rrggbb`.
    pub(crate) colour: String,
    /// Name of a line type.
    pub(crate) line_type: String,
}

/// Roles by layer, by colour and by line type, as a side file gives them.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Mapping {
    pub(crate) layers: BTreeMap<String, Role>,
    pub(crate) colours: BTreeMap<String, Role>,
    pub(crate) line_types: BTreeMap<String, Role>,
    used: RefCell<BTreeSet<String>>,
}

impl Mapping {
    /// What a line stands for: by its layer first, then its colour, its line type, then by known names.
    pub(crate) fn role(&self, layer: &str, pen: &Pen, known: Role) -> Role {
        let tables = [
            (&self.layers, layer),
            (&self.colours, pen.colour.as_str()),
            (&self.line_types, pen.line_type.as_str()),
        ];
        for (table, name) in tables {
            if table.is_empty() || name.is_empty() {
                continue;
            }
            let name = name.to_lowercase();
            if let Some(role) = table.get(&name) {
                self.used.borrow_mut().insert(name);
                return *role;
            }
        }
        known
    }

    /// Names that no line or text bore.
    pub(crate) fn unused(&self) -> Vec<String> {
        let used = self.used.borrow();
        [&self.layers, &self.colours, &self.line_types]
            .into_iter()
            .flat_map(BTreeMap::keys)
            .filter(|name| !used.contains(*name))
            .cloned()
            .collect()
    }
}
