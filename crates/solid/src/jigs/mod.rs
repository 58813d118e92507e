//! Formers and jigs to be printed: each a table entry, its solids derived from plates alone.

mod beds;
mod bench;
mod building;
mod checks;
mod cradle;
mod drilling;
mod fault;
mod firebox_block;
mod flare;
mod forming;
mod handrail;
mod letters;
mod mandrel;
mod ogee;
mod places;
mod rings;
mod rivet_strip;
mod shape;
mod spring;
mod squaring;
mod templates;
mod tool_section;
mod tubes;

use body::{Body, Model};

use crate::{Mesh, SolidError};
pub use beds::{OnBed, lay_on_beds};
use bench::{Bench, Made, Trouble};
pub use fault::JigFault;
pub use shape::Frame;
pub use templates::etched_templates;
pub use tool_section::{FormedBend, FormedSheet};

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
    /// Plates that it forms, with their bends.
    pub forming: Vec<FormedSheet>,
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

const KINDS: &[JigKind] = &[
    JigKind {
        id: "firebox-forming-tool",
        title: "Firebox forming tool",
        short: "FIREBOX TOOL",
        says: "Bends the firebox wrapper tighter than it is to be, by what it springs back",
        use_it: "Clamp the tongue in a vice, lay the sheet centre line on centre line, press the shoulders round with a strip of wood, then the waist; draw the wrapper off endways and try it on the soldering block.",
        make: forming::make_firebox,
    },
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
    JigKind {
        id: "ring-gauges",
        title: "Ring and curve gauges",
        short: "GAUGE",
        says: "Go over the ends of the rolled barrel and into its curve, to tell when it is right",
        use_it: "The curve template shows light where the sheet is still open; the ring goes on when the diameter is right.",
        make: rings::make_gauges,
    },
    JigKind {
        id: "seam-rings",
        title: "Half-rings for the seam",
        short: "SEAM RING",
        says: "Clamp the barrel round from outside, with a window for the iron under the seam",
        use_it: "Close the halves over the barrel with screws, seam in the windows, tack in the windows, then take the rings off and run the seam.",
        make: rings::make_half_rings,
    },
    JigKind {
        id: "drilling-saddle",
        title: "Drilling saddle",
        short: "DRILL",
        says: "Lies on the wrapper, its lip over the front edge, and guides the drill at the true angle of each hole",
        use_it: "Hold it on the formed wrapper centre line on centre line; drill pilots through it, and open them out without it.",
        make: drilling::make_saddle,
    },
    JigKind {
        id: "seat-lapping-block",
        title: "Seat-lapping block",
        short: "LAP",
        says: "Carries abrasive paper at the radius that chimney, dome and valves sit on",
        use_it: "Wrap the paper round it and draw the foot of the casting along it, lengthways only.",
        make: drilling::make_lapping,
    },
    JigKind {
        id: "roof-former",
        title: "Roof former and pad",
        short: "ROOF",
        says: "Bends the cab roof square to its end, tighter than it is to be by what it springs back",
        use_it: "Lay the roof on the former, its end against the stop, centre line on centre line; press the pad down over it and work the eaves round by hand.",
        make: forming::make_roof,
    },
    JigKind {
        id: "smokebox-press",
        title: "Smokebox press",
        short: "PRESS",
        says: "Bends the smokebox over its core and presses the reverse curves at its foot between core and cheeks",
        use_it: "Bend the wrapper over the core, then close the cheeks on it in a vice, a little at a time.",
        make: forming::make_smokebox,
    },
    JigKind {
        id: "saddle-tank-tool",
        title: "Saddle tank forming tool",
        short: "SADDLE TANK",
        says: "Bends the saddle tank's wrapper tighter than it is to be, by what it springs back",
        use_it: "Lay the wrapper on it centre line on centre line and press it round; draw it off endways and try it on its formers.",
        make: forming::make_saddle_tank,
    },
    JigKind {
        id: "footplate-press",
        title: "Footplate press",
        short: "OGEE",
        says: "Presses the drops of the footplate between two dies, tighter than they are to be by what springs back",
        use_it: "Lay the sheet on the lower die, its side against the fence and pins through its slots, and close the upper die on it in a vice, a little at a time.",
        make: ogee::make,
    },
    JigKind {
        id: "footplate-building-block",
        title: "Footplate building block",
        short: "FOOTPLATE",
        says: "Holds the footplate to its levels between valances and beams, on pins through its own slots and holes",
        use_it: "Drop the footplate on, put wire through the slots named, and tack valances and beams against the block; pockets and taken-off corners keep it clear of solder. Pins of steel wire last, printed ones do not.",
        make: building::make,
    },
    JigKind {
        id: "boiler-cradle",
        title: "Boiler cradle",
        short: "CRADLE",
        says: "Holds the barrel level at its height over the footplate, between smokebox and firebox",
        use_it: "Stand the halved plates and bar on the footplate, lay the boiler in with the centre lines on top, and tack smokebox and firebox.",
        make: cradle::make_boiler,
    },
    JigKind {
        id: "flare-former",
        title: "Flare former",
        short: "FLARE",
        says: "Bends the flare of tank or bunker over a nose, and curls its corners round a cone",
        use_it: "Clamp the strip to the upright face, its end against the stop, and bend it down till it lies on the slope; curl the corner pieces round the cone, their narrow edge to the knob.",
        make: flare::make,
    },
    JigKind {
        id: "squaring-frame",
        title: "Squaring frames",
        short: "SQUARE",
        says: "Hold cab and tanks square from inside while their corners are soldered",
        use_it: "Push the frame into the corner, its bar to the front; the corners taken off leave room for solder. Take it out before the joints are run.",
        make: squaring::make,
    },
    JigKind {
        id: "rivet-strip",
        title: "Rivet strips",
        short: "RIVETS",
        says: "Guide the punch along a row at the pitch of the engine's rivets",
        use_it: "Line up the scribed mark with the row, tape it down, and put a pin through the last hole made before moving on. Finer and longer lasting: the etched strip among the templates.",
        make: rivet_strip::make,
    },
    JigKind {
        id: "handrail-bar",
        title: "Handrail bar",
        short: "HANDRAIL",
        says: "Holds the pillars of a handrail at their places while the rail is soldered through them",
        use_it: "Drop the pillars in, thread the rail, and tack it to the end pillars; pillars that stand longer on a taper sit in sunk holes.",
        make: handrail::make,
    },
    JigKind {
        id: "display-cradle",
        title: "Display cradle",
        short: "STAND",
        says: "Carries the body between strips of foam for painting and show",
        use_it: "Halve the trestles onto the bar and line them with foam.",
        make: cradle::make_display,
    },
];

/// The kinds of jig that there are, in the order in which they are listed.
pub fn jig_kinds() -> &'static [JigKind] {
    KINDS
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
        forming: made.forming,
    }))
}
