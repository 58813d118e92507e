//! The words that findings use.

use crate::Occasion::{self, Artwork, Body, Curve, Fret, Readings, Scan};

/// A rule that a body or a drawing may break.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rule {
    /// Stable word.
    pub word: &'static str,
    /// When it is looked at.
    pub occasion: Occasion,
    /// What it asks, in a sentence.
    pub meaning: &'static str,
}

const fn rule(occasion: Occasion, word: &'static str, meaning: &'static str) -> Rule {
    Rule {
        word,
        occasion,
        meaning,
    }
}

/// Every rule that is reported, by the sub-assemblies of a body while it is built or by this crate;
/// `docs/rules.md` explains each at length.
pub const RULES: &[Rule] = &[
    rule(
        Body,
        "band-too-narrow",
        "A boiler band is no narrower than the etcher can leave standing.",
    ),
    rule(
        Body,
        "barrel-outside-firebox",
        "Above the boiler's axis the firebox encloses the barrel at the throat.",
    ),
    rule(
        Body,
        "hole-on-band",
        "No opening is cut across a boiler band.",
    ),
    rule(
        Body,
        "ring-step-shows",
        "The band over a ring joint hides the step between the rings.",
    ),
    rule(
        Body,
        "edge-to-bevel",
        "A square-etched edge meets what it stands on without filing.",
    ),
    rule(
        Body,
        "not-developable",
        "A surface can be made from flat sheet without stretching it.",
    ),
    rule(
        Body,
        "rivets-punched",
        "Where raised rivets are asked for, every riveted plate is an overlay.",
    ),
    rule(
        Body,
        "raised-rivets-thin",
        "Etching down round raised rivets leaves enough metal.",
    ),
    rule(
        Body,
        "rivet-pitch-eased",
        "A row of rivets comes out even at the pitch that was asked for.",
    ),
    rule(
        Body,
        "tank-near-boiler",
        "A tank leaves the room beside the boiler that it needs.",
    ),
    rule(
        Body,
        "tank-capacity",
        "A tank encloses the water that the model file states.",
    ),
    rule(
        Body,
        "coping-facets",
        "The cones of a flared corner lie near enough to the flare.",
    ),
    rule(
        Body,
        "coping-overhang",
        "A mitred coping stands on a sharp corner.",
    ),
    rule(
        Body,
        "order-circle",
        "The plates can be put together one after another.",
    ),
    rule(
        Body,
        "wheel-fouls-firebox",
        "The firebox goes between the wheels of the chosen standard.",
    ),
    rule(
        Body,
        "wheel-fouls-smokebox",
        "The foot of the smokebox goes between the wheels of the chosen standard.",
    ),
    rule(
        Body,
        "wheel-fouls-splasher",
        "The strip of a splasher runs in over the backs of the wheels.",
    ),
    rule(
        Body,
        "wheel-fouls-frames",
        "Frames stand clear of the wheels, with side float and room for trucks to swing.",
    ),
    rule(
        Body,
        "splasher-above-wheel",
        "A splasher leaves room over the flange of its wheel.",
    ),
    rule(
        Body,
        "splasher-beside-wheel",
        "A splasher's face leaves room beside the tyre of its wheel.",
    ),
    rule(
        Body,
        "rods-near-footplate",
        "Coupling rods at their highest pass under the footplate.",
    ),
    rule(
        Body,
        "cylinder-fouls-footplate",
        "Outside cylinders stand under the footplate.",
    ),
    rule(
        Body,
        "cylinder-fouls-wheel",
        "Outside cylinders stand clear of the wheels.",
    ),
    rule(
        Body,
        "no-room-for-spacer",
        "The frames have room for the spacers that hold them and the body.",
    ),
    rule(
        Body,
        "fit",
        "The gap of a joint as designed lies within its limits.",
    ),
    rule(
        Body,
        "fit-worst-case",
        "The gap of a joint at the worst case of metal and etch lies within its limits.",
    ),
    rule(
        Artwork,
        "least-hole",
        "A round hole is no smaller than the etcher can open in the sheet.",
    ),
    rule(
        Artwork,
        "least-slot",
        "A slot or cut-out is no narrower than the etcher can open in the sheet.",
    ),
    rule(
        Artwork,
        "least-bar",
        "The metal between openings, and from an opening to an edge, is no narrower than the etcher can leave.",
    ),
    rule(
        Artwork,
        "rivet-near-edge",
        "A rivet head lies wholly on the plate, clear of edges and openings.",
    ),
    rule(
        Artwork,
        "rivets-touch",
        "Rivet heads do not touch one another.",
    ),
    rule(
        Artwork,
        "loose-metal",
        "No opening lies within another: metal between them hangs on nothing.",
    ),
    rule(Artwork, "opening-off-plate", "Openings lie on the plate."),
    rule(
        Artwork,
        "plate-parted",
        "No opening runs from edge to edge.",
    ),
    rule(
        Artwork,
        "half-etch-depth",
        "A half-etch is neither shallower nor deeper than the etcher can hold.",
    ),
    rule(
        Artwork,
        "half-etch-width",
        "A half-etched line is as wide as it takes to etch evenly.",
    ),
    rule(
        Artwork,
        "etched-through",
        "Half-etched places of both faces leave metal between them.",
    ),
    rule(
        Artwork,
        "rivet-near-fold",
        "Rivet heads stand clear of fold lines.",
    ),
    rule(
        Artwork,
        "fold-short-of-edge",
        "A fold line runs right up to the edge.",
    ),
    rule(
        Artwork,
        "fold-across-opening",
        "No opening lies on a fold line.",
    ),
    rule(
        Artwork,
        "fold-groove-outside",
        "The groove of a fold line is on the inside of the fold.",
    ),
    rule(
        Artwork,
        "fold-order",
        "A plate can be folded one fold after another.",
    ),
    rule(Artwork, "no-flat", "A plate has a flat that can be drawn."),
    rule(
        Artwork,
        "developed-on-outside",
        "A plate is developed on the neutral line, not on the outside of the drawing.",
    ),
    rule(
        Artwork,
        "developed-on-inside",
        "A plate is developed on the neutral line, not on the inside.",
    ),
    rule(
        Artwork,
        "drawn-as-trapezium",
        "A wrapper between unequal sections has bowed ends; it is no trapezium.",
    ),
    rule(
        Artwork,
        "placed-on-plan-length",
        "An opening is placed along the developed line, not by its distance in plan or elevation.",
    ),
    rule(
        Artwork,
        "wrapper-length",
        "The edge of a wrapper is as long as the section that it goes round.",
    ),
    rule(
        Artwork,
        "outline",
        "The drawn outline follows the meant one.",
    ),
    rule(
        Artwork,
        "hole-place",
        "An opening stands where it is meant.",
    ),
    rule(
        Artwork,
        "hole-size",
        "An opening has the size that is meant.",
    ),
    rule(Artwork, "hole-missing", "Every meant opening is drawn."),
    rule(Artwork, "hole-not-meant", "Every drawn opening is meant."),
    rule(
        Artwork,
        "mirrored",
        "A plate is drawn as seen from its outside face.",
    ),
    rule(Artwork, "slot-width", "A slot is as wide as it is meant."),
    rule(Artwork, "tab-missing", "Every meant tab is drawn."),
    rule(Artwork, "tab-width", "A tab is as wide as it is meant."),
    rule(
        Artwork,
        "tab-place",
        "A tab stands where it is meant along its side.",
    ),
    rule(Artwork, "tab-not-meant", "Every drawn tab is meant."),
    rule(
        Artwork,
        "bend-on-outside",
        "Every bend of a plate is developed on the neutral line.",
    ),
    rule(
        Artwork,
        "drawn-at-other-size",
        "A plate is drawn at the scale of the model.",
    ),
    rule(
        Artwork,
        "drawing-at-other-size",
        "A drawing is in its unit and at the scale of the model.",
    ),
    rule(
        Artwork,
        "allowance-on-drawing",
        "The etch allowance is on the drawing as often as its side file says.",
    ),
    rule(Artwork, "open-gap", "The ends of an outline meet."),
    rule(
        Artwork,
        "open-run",
        "Lines outside every plate enclose something.",
    ),
    rule(Artwork, "drawn-again", "A line is drawn once."),
    rule(
        Artwork,
        "taken-by-likeness",
        "A drawn plate bears its name.",
    ),
    rule(
        Artwork,
        "drawn-more-than-once",
        "A plate is drawn once on a drawing.",
    ),
    rule(
        Artwork,
        "unknown-shape",
        "Every closed outline is a plate or an opening.",
    ),
    rule(
        Artwork,
        "no-plate-drawn",
        "A drawing holds a plate of the body.",
    ),
    rule(Artwork, "plate-not-drawn", "Every plate is on the drawing."),
    rule(Artwork, "unit-not-named", "The drawing names its unit."),
    rule(
        Artwork,
        "unit-guessed",
        "The size of the drawing is given in a unit of length.",
    ),
    rule(
        Artwork,
        "allowance-unknown",
        "It is known whether the etch allowance is on the drawing.",
    ),
    rule(
        Artwork,
        "lost-to-the-etch",
        "What is drawn with the etch allowance on it stays whole in the etch.",
    ),
    rule(
        Artwork,
        "name-not-found",
        "The drawing has what its side file speaks of.",
    ),
    rule(
        Artwork,
        "no-part-of-a-plate",
        "Lines beside the plates are told apart from them.",
    ),
    rule(Artwork, "crosses-itself", "No outline crosses itself."),
    rule(
        Artwork,
        "detail-off-plate",
        "Half-etched places and rivets lie on a plate.",
    ),
    rule(
        Artwork,
        "line-on-plate",
        "Lines on a plate enclose something, or are marks.",
    ),
    rule(
        Artwork,
        "same-hand-twice",
        "Of a left and a right hand each is drawn.",
    ),
    rule(
        Artwork,
        "not-read",
        "Everything on the drawing is of a kind that is read.",
    ),
    rule(
        Fret,
        "fret-plate-too-large",
        "A plate fits the sheets that it is to be etched on.",
    ),
    rule(
        Fret,
        "fret-few-tags",
        "A plate hangs in its fret by two tags or more.",
    ),
    rule(
        Fret,
        "fret-no-number",
        "A plate's number stands beside it or on it.",
    ),
    rule(
        Fret,
        "fret-etch-lost",
        "The etch allowance leaves of each etched place one piece.",
    ),
    rule(
        Artwork,
        "former-as-drawn",
        "The former as drawn holds its wrapper where it is meant to stand.",
    ),
    rule(
        Artwork,
        "edge-as-drawn",
        "An edge as drawn comes to what it stands on.",
    ),
    rule(
        Artwork,
        "tab-as-drawn",
        "A tab as drawn goes into its slot as drawn.",
    ),
    rule(
        Artwork,
        "hole-as-drawn",
        "Openings that lie over one another do so as drawn.",
    ),
    rule(
        Artwork,
        "face-as-drawn",
        "Faces as drawn lie on one another.",
    ),
    rule(
        Artwork,
        "girth-as-drawn",
        "A wrapper as drawn goes round its former as drawn.",
    ),
    rule(
        Artwork,
        "seam-as-drawn",
        "A ring as drawn closes on its former as drawn.",
    ),
    rule(
        Artwork,
        "diagonal-as-drawn",
        "The diagonals of a wrapper as drawn differ as they are meant to.",
    ),
    rule(
        Artwork,
        "overlay-as-drawn",
        "The edges of an overlay as drawn come to those of its base as drawn.",
    ),
    rule(
        Artwork,
        "hands-as-drawn",
        "Left and right as drawn are mirror images.",
    ),
    rule(
        Artwork,
        "rivets-as-drawn",
        "Rivets are drawn where they are meant.",
    ),
    rule(
        Artwork,
        "rivet-rows-as-drawn",
        "Rivet rows that run on from plate to plate do so as drawn.",
    ),
    rule(
        Artwork,
        "fold-as-drawn",
        "A fold line is drawn in its place, in its width and on its face.",
    ),
    rule(
        Artwork,
        "etched-as-drawn",
        "A half-etched place is drawn in its place, in its size and on its face.",
    ),
    rule(
        Artwork,
        "square-as-drawn",
        "Corners as drawn are as square as they are meant.",
    ),
    rule(
        Artwork,
        "joint-not-measured",
        "Every joint of drawn plates can be measured.",
    ),
    rule(
        Artwork,
        "tags-too-few",
        "A plate of a drawn fret is held by two tags at least.",
    ),
    rule(
        Artwork,
        "tag-width",
        "A tag as drawn holds its plate and can be cut.",
    ),
    rule(
        Artwork,
        "tag-on-bend",
        "No tag stands on a tight bend of a plate.",
    ),
    rule(Artwork, "tag-on-fold", "No tag stands on a fold line."),
    rule(Artwork, "tag-on-tab", "No tag stands on a tab."),
    rule(
        Artwork,
        "plate-near-border",
        "A plate leaves the border of the sheet as wide as it must be.",
    ),
    rule(Body, "waiver-idle", "A waiver lets something pass."),
    rule(Body, "waiver-over", "The day of a waiver is not over."),
    rule(
        Curve,
        "wheel-touches",
        "No wheel cuts into anything beside it, at the end of its side play or as its truck swings.",
    ),
    rule(
        Curve,
        "wheel-near",
        "A wheel keeps the distance from what is beside it that insulation and paint ask for.",
    ),
    rule(
        Curve,
        "truck-touches",
        "Nothing that a truck carries cuts into what is above or beside it as it swings.",
    ),
    rule(
        Curve,
        "truck-near",
        "What a truck carries keeps its distance as it swings.",
    ),
    rule(
        Curve,
        "axle-side-play",
        "Axles between the first and the last can shift as far as the curve asks.",
    ),
    rule(
        Curve,
        "bogie-slide",
        "The pivot of a bogie can slide as far as the curve asks.",
    ),
    rule(
        Curve,
        "wheel-attack",
        "The leading wheel does not meet the rail at more than 12°.",
    ),
    rule(
        Curve,
        "tender-near-engine",
        "The beams of engine and tender keep apart on curves.",
    ),
    rule(
        Curve,
        "outside-loading-gauge",
        "Every part keeps within the loading gauge of the line, on the straight.",
    ),
    rule(
        Curve,
        "outside-structure",
        "Nothing reaches out to the structures beside the track as the train runs.",
    ),
    rule(
        Curve,
        "motor-touches",
        "The box of motor and gearbox does not reach into metal.",
    ),
    rule(
        Curve,
        "motor-near",
        "Motor and gearbox have the air that they want.",
    ),
    rule(
        Curve,
        "weight-beyond-axles",
        "The centre of gravity lies between the coupled axles.",
    ),
    rule(
        Curve,
        "too-light",
        "With ballast the model weighs what the full-size engine weighs at its scale.",
    ),
    rule(
        Curve,
        "too-heavy",
        "The model weighs no more than the full-size engine at its scale.",
    ),
    rule(
        Curve,
        "axle-lifts",
        "Every axle carries its share of the weight.",
    ),
    rule(
        Readings,
        "built-out-of-tolerance",
        "A place of the finished model lies within its tolerance.",
    ),
    rule(
        Readings,
        "built-undecided",
        "Readings prove that a place keeps its tolerance, or that it does not.",
    ),
    rule(
        Readings,
        "built-unequal",
        "Places of the finished model that are to be equal differ as drawn.",
    ),
    rule(
        Readings,
        "built-scatter",
        "Readings of one place belong together.",
    ),
    rule(
        Readings,
        "built-other-unit",
        "Readings are of the model, in the unit that they say.",
    ),
    rule(Readings, "built-slip", "A reading is near what it is of."),
    rule(
        Readings,
        "built-scaled",
        "The finished model has its scale throughout.",
    ),
    rule(
        Readings,
        "built-stands-high",
        "The finished model stands at its height.",
    ),
    rule(Readings, "built-tilted", "The finished model stands level."),
    rule(
        Readings,
        "built-twisted",
        "The footplate of the finished model is not twisted.",
    ),
    rule(
        Readings,
        "built-unit-high",
        "Each unit of the finished model sits at its height on the footplate.",
    ),
    rule(
        Readings,
        "built-thick",
        "Boiler and smokebox of the finished model have their diameter.",
    ),
    rule(
        Readings,
        "built-wide",
        "Each unit of the finished model has its width.",
    ),
    rule(
        Readings,
        "built-off-centre",
        "Chimney and dome of the finished model stand on the centre line.",
    ),
    rule(
        Readings,
        "built-axle",
        "Axles of the finished model stand in their places.",
    ),
    rule(
        Readings,
        "built-not-measured",
        "Every place of the finished model is measured.",
    ),
    rule(
        Readings,
        "built-no-readings",
        "A file of readings holds some.",
    ),
    rule(
        Scan,
        "scan-shifted",
        "Each sub-assembly of the finished model stands in its place.",
    ),
    rule(
        Scan,
        "scan-turned",
        "Each sub-assembly of the finished model stands square.",
    ),
    rule(
        Scan,
        "scan-width",
        "Each sub-assembly of the finished model has its width, as scanned.",
    ),
    rule(Scan, "scan-scale", "A scan has the size of the model."),
    rule(Scan, "scan-unit-guessed", "The unit of a scan is known."),
    rule(
        Scan,
        "scan-mirror-open",
        "A scan can be told from its mirror image.",
    ),
    rule(
        Scan,
        "scan-datum-open",
        "Footplate and beams as scanned fix the place of the whole.",
    ),
    rule(
        Scan,
        "scan-uncertain",
        "A scan is laid on the body surely enough.",
    ),
    rule(
        Scan,
        "scan-coverage",
        "Every plate that can be seen is scanned.",
    ),
];
