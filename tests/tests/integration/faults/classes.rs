//! Kinds of mistakes, and the words by which a check may call each.

/// A kind of mistake.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Class(&'static str, &'static [&'static str]);

impl Class {
    /// What it is called.
    pub(crate) fn word(self) -> &'static str {
        self.0
    }

    /// Words of rules that stand for it, some with what was measured.
    pub(crate) fn rules(self) -> &'static [&'static str] {
        self.1
    }
}

macro_rules! classes {
    ($($name:ident = $word:literal: $($rule:literal),+;)*) => {
        $(pub(crate) const $name: Class = Class($word, &[$($rule),+]);)*
    };
}

classes! {
    SLOT_MOVED = "slot moved": "hole-place";
    SLOT_NARROW = "slot narrowed": "slot-width";
    SLOT_MISSING = "slot missing": "hole-missing";
    TAB_TWICE = "tab drawn twice": "tab-not-meant";
    TAB_MISSING = "tab missing": "tab-missing";
    TAB_WIDTH = "tab narrowed": "tab-width";
    TAB_MOVED = "tab moved": "tab-place";
    HOLE_OFF = "hole out of place": "hole-place";
    ON_PLAN = "hole on plan length": "placed-on-plan-length";
    HOLE_SIZE = "hole of another size": "hole-size";
    WRAPPER_LONG = "wrapper long": "wrapper-length";
    WRAPPER_SHORT = "wrapper short": "wrapper-length";
    ON_OUTSIDE = "developed on the outside": "developed-on-outside";
    ON_INSIDE = "developed on the inside": "developed-on-inside";
    TRAPEZIUM = "drawn as a trapezium": "drawn-as-trapezium";
    STRIP = "corner of a coping drawn as a strip": "drawn-as-trapezium";
    ONE_BEND = "neutral line ignored on one bend": "bend-on-outside";
    FORMER_OUTWARDS = "former offset the wrong way": "former-as-drawn";
    FOLD_FACE = "fold line on the wrong face": "fold-as-drawn: etched on the wrong face";
    FOLD_NARROW = "fold line too narrow": "fold-as-drawn: width";
    FOLD_SHIFTED = "fold line shifted": "fold-as-drawn: out of its place";
    FOLD_MISSING = "fold line missing": "fold-as-drawn: not drawn";
    MIRRORED = "drawn mirrored": "mirrored";
    SAME_HAND = "left part used twice": "same-hand-twice";
    OTHER_SCALE = "plate at the other scale": "drawn-at-other-size";
    ALLOWANCE = "etch allowance applied twice": "allowance-on-drawing";
    FACE_SWAPPED = "etched faces swapped": "etched-as-drawn: etched on the wrong face";
    ETCH_MISSING = "half-etched place missing": "etched-as-drawn: not drawn";
    BOTH_FACES = "half-etched from both faces": "etched-through";
    RIVETS_MISSING = "rivet row missing": "rivets-as-drawn: rivets not drawn";
    RIVETS_SHIFTED = "rivet row shifted": "rivets-as-drawn: rivet farthest from its place";
    BAR_THIN = "bar too thin": "least-bar";
    OPENING_MISSING = "opening missing": "hole-missing";
    OPENING_EXTRA = "opening not meant": "hole-not-meant";
    SIDE_MOVED = "side of a plate moved": "outline";
    OUT_OF_SQUARE = "plate out of square": "square-as-drawn", "diagonal-as-drawn";
    GAP = "gap in an outline": "open-gap";
    DRAWN_AGAIN = "line drawn twice": "drawn-again";
    STRAY = "stray piece": "open-run", "unknown-shape";
    UNIT = "wrong unit": "drawing-at-other-size";
    TAG_BEND = "tag on a bend": "tag-on-bend";
    TAG_FOLD = "tag on a fold line": "tag-on-fold";
    TAG_TAB = "tag on a tab": "tag-on-tab";
    TAG_WIDTH = "tag too wide": "tag-width";
    TAGS_FEW = "plate held by one tag": "tags-too-few";
}
