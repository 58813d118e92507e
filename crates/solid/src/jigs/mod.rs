//! Formers and jigs to be printed: each a table entry, its solids derived from plates alone.

mod beds;
mod bench;
mod checks;
mod fault;
mod firebox_block;
mod letters;
mod mandrel;
mod shape;
mod spring;
mod tubes;

use body::{Body, Model};

use crate::{Mesh, SolidError};
pub use beds::{OnBed, lay_on_beds};
use bench::{Bench, Made, Trouble};
pub use fault::JigFault;
pub use shape::Frame;

/// A former or jig of one engine.
#[derive(Clone, Debug)]
pub struct Jig {
    /// Kebab-case name: `boiler-mandrel`.
    pub id: &'static str,
    /// Its name on a sheet.
    pub title: &'static str,
    /// What it does, in a line.
    pub says: &'static str,
    /// How it is used and what to mind.
    pub use_it: &'static str,
    /// What it is printed as, one file object each.
    pub pieces: Vec<JigPiece>,
    /// Figures and reservations of this one.
    pub notes: Vec<String>,
}

/// A piece of a jig as it lies on the bed of the printer.
#[derive(Clone, Debug)]
pub struct JigPiece {
    /// Kebab-case name: `cheek-left`.
    pub name: String,
    /// The piece (mm), its least corner at the origin, as it should come out of the printer.
    pub mesh: Mesh,
    /// Number of solids that it must be.
    pub solids: usize,
    /// Where the bed's axes lie in the body, for a piece that has a place there.
    pub to_body: Option<Frame>,
    /// Volume of the blank before holes and letters were cut, by its mesh and in closed form or by
    /// quadrature (mm³), where there is such a form.
    pub blank: Option<(f64, f64)>,
}

/// A kind of jig, which an engine may have or not.
#[derive(Clone, Copy, Debug)]
pub struct JigKind {
    /// Kebab-case name: `boiler-mandrel`.
    pub id: &'static str,
    /// Its name on a sheet.
    pub title: &'static str,
    /// Its name as engraved.
    short: &'static str,
    /// What it does, in a line.
    pub says: &'static str,
    /// How it is used and what to mind.
    pub use_it: &'static str,
    make: fn(&Bench<'_>) -> Result<Option<Made>, Trouble>,
}

const KINDS: [JigKind; 3] = [
    JigKind {
        id: "firebox-soldering-block",
        title: "Firebox soldering block",
        short: "FIREBOX BLOCK",
        says: "Fills the formed firebox wrapper but for the film of solder, and comes out again",
        use_it: "Put the cheeks in, push the key up between them till the wrapper is held, clamp the key's tongue. Tack on the block, take the key out, then run the joints.",
        make: firebox_block::make,
    },
    JigKind {
        id: "boiler-mandrel",
        title: "Boiler mandrel",
        short: "MANDREL",
        says: "Holds the rolled barrel round from inside while its seam is soldered over the slot",
        use_it: "Push it into the rolled barrel, the slot under the seam; the joint strip lies in the slot, which keeps the plastic off the solder. Draw it out towards the wide end.",
        make: mandrel::make_final,
    },
    JigKind {
        id: "rolling-mandrel",
        title: "Rolling mandrel",
        short: "ROLLING MANDREL",
        says: "Is as much thinner than the barrel as the sheet springs back from being rolled on it",
        use_it: "Roll the sheet round it on a pad of paper or rubber, bands protected by card; check on the ring gauges and roll again where it is still open.",
        make: mandrel::make_rolling,
    },
];

/// The kinds of jig that there are, in the order in which they are listed.
pub fn jig_kinds() -> &'static [JigKind] {
    &KINDS
}

/// Makes a jig of a kind for an engine; `None` if the engine has no use for it.
///
/// # Accuracy
///
/// Curves are chords within 0.002 mm.
///
/// # Errors
///
/// [`SolidError::Jig`] names the piece and why it cannot be made or served: not closed, not the stated
/// number of solids, a wall thinner than prints, too large for the bed.
pub fn make_jig(model: &Model, body: &Body, kind: &JigKind) -> Result<Option<Jig>, SolidError> {
    let failed = |trouble: Trouble| SolidError::Jig {
        jig: kind.id.to_owned(),
        piece: trouble.piece,
        fault: Box::new(trouble.fault),
    };
    let bench = Bench::new(model, body, kind.short);
    let Some(made) = (kind.make)(&bench).map_err(failed)? else {
        return Ok(None);
    };
    let pieces = bench.checked(made.pieces).map_err(failed)?;
    Ok(Some(Jig {
        id: kind.id,
        title: kind.title,
        says: kind.says,
        use_it: kind.use_it,
        pieces,
        notes: made.notes,
    }))
}
