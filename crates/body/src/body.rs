//! The body: all plates of an engine, their joints, and the solids that are only looked at.

use crate::{Finding, Joint, Plate, Precedence};
use geom::BodyPoint;

/// A sub-assembly, in the order in which it is listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Assembly {
    /// Kebab-case name: `side-tanks`.
    pub id: &'static str,
    /// Its name on a sheet.
    pub title: &'static str,
}

/// A solid for looking at, not for making.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitting {
    /// Kebab-case name: `chimney`.
    pub id: String,
    /// The sub-assembly it is shown with.
    pub assembly: &'static str,
    /// Its shape.
    pub shape: FittingShape,
    /// What it looks like.
    pub look: Look,
}

/// What a fitting looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Turned or cast metal.
    Turned,
    /// Bright steel: tyres, rods.
    Steel,
    /// Painted metal: frames, wheel centres.
    Dark,
}

/// Shape of a fitting.
#[derive(Clone, Debug, PartialEq)]
pub enum FittingShape {
    /// A turned solid: a closed profile of (distance from the axis, height along it), both in mm,
    /// anticlockwise, turned about the axis.
    Turned {
        /// Where height is zero.
        foot: BodyPoint,
        /// Unit vector of the axis.
        axis: geom::Vector3,
        /// The profile.
        profile: geom::Outline,
    },
    /// A turned solid on an upright axis whose foot follows what it stands on.
    Seated(Box<crate::Seated>),
    /// A flat slab: an outline with holes in a placement, from one height to another along its normal.
    Slab {
        /// Plane of the outline.
        placement: geom::Placement,
        /// The outline, anticlockwise.
        outline: geom::Outline,
        /// Openings.
        holes: Vec<geom::Outline>,
        /// Least height over the plane (mm).
        low: f64,
        /// Greatest height over the plane (mm).
        high: f64,
    },
}

/// A block that a wrapper is soldered up on: the inside of the wrapper, front to rear.
#[derive(Clone, Debug)]
pub struct FormerBlock {
    /// Kebab-case name: `firebox-soldering-block`.
    pub id: String,
    /// Its name on a sheet.
    pub title: String,
    /// The wrapper that it serves.
    pub plate: String,
    /// Where the section planes stand; rulings run from the front section along the axis.
    pub frame: develop::LoftFrame,
    /// Inside section at the front end, open at the foot, travelled with the outside on the left.
    pub front: geom::Chain,
    /// Inside section at the rear end.
    pub rear: geom::Chain,
    /// Distance between the sections (mm).
    pub length: f64,
    /// Round holes right through, front to rear, for studding: section point and diameter (mm).
    pub studding: Vec<(geom::Point2, f64)>,
    /// Width and depth of the centre-line groove along the crown (mm).
    pub groove: (f64, f64),
}

/// A length that follows from the model's dimensions and that a drawing or a sheet of figures gives.
#[derive(Clone, Debug, PartialEq)]
pub struct DerivedDimension {
    /// Its name beside the keys of the model file: `cab.eaves_height`.
    pub path: String,
    /// What it is, in words: `Height of the eaves above rail`.
    pub title: String,
    /// Length on the model (mm).
    pub mm: f64,
}

/// An angle that follows from the model's dimensions.
#[derive(Clone, Debug, PartialEq)]
pub struct DerivedAngle {
    /// Its name beside the keys of the model file: `smokebox.turn`.
    pub path: String,
    /// What it is, in words.
    pub title: String,
    /// The angle (rad).
    pub radians: f64,
}

/// An engine body.
#[derive(Clone, Debug)]
pub struct Body {
    /// Sub-assemblies in the order in which they are listed.
    pub assemblies: Vec<Assembly>,
    /// Plates, by sub-assembly.
    pub plates: Vec<Plate>,
    /// Solids for looking at.
    pub fittings: Vec<Fitting>,
    /// Blocks to form and solder wrappers on.
    pub blocks: Vec<FormerBlock>,
    /// Where plates meet.
    pub joints: Vec<Joint>,
    /// Plates that must stand before others, beside what the joints say.
    pub precedences: Vec<Precedence>,
    /// What the sub-assemblies found while building.
    pub findings: Vec<Finding>,
    /// Lengths that follow from the dimensions, by sub-assembly.
    pub dimensions: Vec<DerivedDimension>,
    /// Angles that follow from the dimensions, by sub-assembly.
    pub angles: Vec<DerivedAngle>,
}

impl Body {
    /// Puts down a length that follows from the dimensions (mm).
    pub(crate) fn derive(&mut self, path: &str, title: &str, mm: f64) {
        self.dimensions.push(DerivedDimension {
            path: path.to_owned(),
            title: title.to_owned(),
            mm,
        });
    }

    /// Two plates to be worked on together.
    ///
    /// # Panics
    ///
    /// If one is not there or both are the same: plates are built before they are joined.
    pub(crate) fn two_plates(&mut self, one: &str, other: &str) -> [&mut Plate; 2] {
        let find = |id: &str| {
            self.plates
                .iter()
                .position(|plate| plate.id == id)
                .unwrap_or_else(|| panic!("plate {id} is built before it is joined"))
        };
        let places = [find(one), find(other)];
        self.plates
            .get_disjoint_mut(places)
            .unwrap_or_else(|_| panic!("{one} is not joined to itself"))
    }

    /// The plate of a name.
    pub fn plate(&self, id: &str) -> Option<&Plate> {
        self.plates.iter().find(|plate| plate.id == id)
    }
}
