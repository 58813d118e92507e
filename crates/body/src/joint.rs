//! Where two plates meet.

use geom::BodyPoint;

/// How two plates meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum JointKind {
    /// Edge to edge or edge on face: a wrapper on its former.
    Edge,
    /// Tab in slot.
    Tab,
    /// Hole over hole.
    Hole,
    /// Face on face: an overlay on its base.
    Face,
}

impl JointKind {
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Edge => "edge",
            Self::Tab => "tab",
            Self::Hole => "hole",
            Self::Face => "face",
        }
    }
}

/// What has to be measured where two plates meet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Meeting {
    /// A wrapper goes over the rim of a former, its section turning by `turn` (rad) in all.
    OnFormer {
        /// Net turning of the section (rad).
        turn: f64,
    },
    /// An edge stands on a face or another edge.
    Butt,
    /// A tab goes through a slot.
    Tab,
    /// A hole lies over another.
    Hole,
    /// A face lies on another with a film of solder between.
    Face,
}

/// One side of a joint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Side {
    /// The plate.
    pub plate: String,
    /// Its edge, hole or face.
    pub feature: String,
}

impl Side {
    /// A side of a joint.
    pub fn new(plate: &str, feature: &str) -> Self {
        Self {
            plate: plate.to_owned(),
            feature: feature.to_owned(),
        }
    }
}

/// A meeting of two plates, with its gap as designed, at worst case, and as allowed (mm).
///
/// Side `a` goes onto side `b`: the wrapper onto its former, the tab into the slot, the overlay onto
/// its base.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    /// Stable name: `boiler-wrapper/front~smokebox-ring`.
    pub id: String,
    /// How they meet.
    pub kind: JointKind,
    /// What is measured.
    pub meeting: Meeting,
    /// One side.
    pub a: Side,
    /// Other side.
    pub b: Side,
    /// Gap as the plates stand; negative is overlap.
    pub gap: f64,
    /// Least and greatest gap at the worst case of the process.
    pub range: (f64, f64),
    /// Least and greatest gap that builds well.
    pub limit: (f64, f64),
    /// What adds most to the range: `thickness of boiler-wrapper`.
    pub largest_contributor: String,
    /// A place on the joint.
    pub at: BodyPoint,
}
