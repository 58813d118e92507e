//! What would mend a finding, said once for its rule.

/// Rule and remedy, for the rules that a body can break by itself or on a curve.
const MENDS: &[(&str, &str)] = &[
    (
        "band-too-narrow",
        "Make the band wider, or lay it as an overlay.",
    ),
    (
        "barrel-outside-firebox",
        "Raise or widen the firebox at the throat, or lower the pitch or the rear diameter of the barrel.",
    ),
    (
        "hole-on-band",
        "Move the opening or the band along the boiler.",
    ),
    (
        "ring-step-shows",
        "Make the band over the joint stand prouder, or the rings more alike.",
    ),
    (
        "edge-to-bevel",
        "File the edge to the bevel given before it is soldered.",
    ),
    (
        "not-developable",
        "Keep the corner square or mitred, build it from cones, or file it from a casting.",
    ),
    (
        "rivets-punched",
        "Punch the heads from the dots on the inside, or give the plate an overlay.",
    ),
    (
        "raised-rivets-thin",
        "Take thicker sheet for the overlay, or have the rivets punched.",
    ),
    (
        "rivet-pitch-eased",
        "Nothing has to be done; state a pitch that divides the row evenly to be rid of it.",
    ),
    (
        "tank-near-boiler",
        "Narrow the tank, set it further out, or take thinner sheet.",
    ),
    (
        "tank-capacity",
        "Read the length, width and height of the tank again from the drawing.",
    ),
    (
        "coping-facets",
        "Build the corner from more cones, or fill it with solder and file it.",
    ),
    (
        "coping-overhang",
        "Round off the corner of the coping by hand, or let it be built from cones.",
    ),
    (
        "order-circle",
        "Let one of the joints of the circle be closed later: leave out a tab, or split a plate.",
    ),
    (
        "wheel-fouls-firebox",
        "Narrow the firebox between the wheels, take thinner sheet, or choose wheels that stand further apart.",
    ),
    (
        "wheel-fouls-smokebox",
        "Narrow the foot of the smokebox, or choose wheels that stand further apart.",
    ),
    (
        "wheel-fouls-splasher",
        "Let the strip of the splasher run further in, as far as the sentence says.",
    ),
    (
        "wheel-fouls-frames",
        "Set the frames closer together, take side play away, or cut them higher over the wheels.",
    ),
    (
        "splasher-above-wheel",
        "Make the splasher higher, or the wheel or its flange smaller.",
    ),
    (
        "splasher-beside-wheel",
        "Set the splasher's face further out, or take side play away.",
    ),
    (
        "rods-near-footplate",
        "Give the footplate a rise or a splasher of kind rods over that axle.",
    ),
    (
        "cylinder-fouls-footplate",
        "Lower the cylinder or make it smaller.",
    ),
    (
        "cylinder-fouls-wheel",
        "Set the cylinder further out or further from the wheel.",
    ),
    (
        "no-room-for-spacer",
        "Add a spacer by hand where there is least in the way, or move an opening.",
    ),
    (
        "fit",
        "Change the clearance or the thickness that the joint is made with.",
    ),
    (
        "fit-worst-case",
        "Allow more in the joint, take sheet of a closer tolerance, or an etcher who holds closer.",
    ),
    (
        "least-hole",
        "Drill it after etching from a smaller mark, make it larger, or take thinner sheet.",
    ),
    ("least-slot", "Make it wider, or take thinner sheet."),
    (
        "least-bar",
        "Move the two apart, make the opening smaller, or take thinner sheet.",
    ),
    (
        "rivet-near-edge",
        "Move the row in from the edge, or make its heads smaller.",
    ),
    (
        "rivets-touch",
        "Make the pitch larger or the heads smaller.",
    ),
    ("loose-metal", "Take the inner opening away, or move it."),
    ("opening-off-plate", "Move the opening onto the plate."),
    (
        "plate-parted",
        "Shorten the opening, so that metal is left on one side of it.",
    ),
    (
        "half-etch-depth",
        "State a depth that the etcher can hold, or another thickness of sheet.",
    ),
    ("half-etch-width", "Make the half-etched place wider."),
    (
        "etched-through",
        "Move one of the two places, or etch both less deep.",
    ),
    ("rivet-near-fold", "Move the row away from the fold."),
    (
        "fold-short-of-edge",
        "Carry the fold line on to the edge or to the opening.",
    ),
    ("fold-across-opening", "Move the opening off the fold."),
    (
        "fold-groove-outside",
        "Etch the groove from the other face, or fold the other way.",
    ),
    (
        "fold-order",
        "Shorten a leg, or make the plate of two pieces.",
    ),
    (
        "no-flat",
        "Change the dimension that the sentence speaks of.",
    ),
    (
        "fret-plate-too-large",
        "Take larger sheets: sheet_width or sheet_height under [fret].",
    ),
    (
        "fret-few-tags",
        "Make tag_width smaller, or hold the plate by tags drawn by hand.",
    ),
    (
        "fret-no-number",
        "Nothing has to be done: the key plan shows the number.",
    ),
    ("fret-etch-lost", "Make the slot or groove wider."),
    (
        "wheel-touches",
        "Narrow the part, cut it away, take side play away, or ask for a larger radius.",
    ),
    (
        "wheel-near",
        "Line the part with paper or paint, narrow it, or take side play away.",
    ),
    (
        "truck-touches",
        "Cut the part away over the truck, or ask for a larger radius.",
    ),
    (
        "truck-near",
        "Cut the part away over the truck, or ask for a larger radius.",
    ),
    (
        "axle-side-play",
        "Give the axle the side play that the sentence says, or ask for a larger radius.",
    ),
    (
        "bogie-slide",
        "State the least radius under [curves]: the slot is made for it.",
    ),
    (
        "wheel-attack",
        "Ask for a larger radius, or give the engine a guiding truck.",
    ),
    (
        "tender-near-engine",
        "Make the drawbar longer, or ask for a larger radius.",
    ),
];

/// What would mend a finding of a rule; `None` for a word whose sentence says it, or that is not known.
pub fn mend_of(rule: &str) -> Option<&'static str> {
    let found = MENDS.iter().find(|(word, _)| *word == rule);
    found.map(|(_, mend)| *mend)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::RULES;

    #[test]
    fn every_remedy_is_for_a_rule_and_there_is_one_each() {
        for (k, (word, mend)) in MENDS.iter().enumerate() {
            assert!(RULES.iter().any(|rule| rule.word == *word), "{word}");
            assert!(!MENDS[..k].iter().any(|(other, _)| other == word), "{word}");
            assert!(mend.ends_with('.'), "{word}");
        }
        assert_eq!(mend_of("no-such-rule"), None);
    }
}
