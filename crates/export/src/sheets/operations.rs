//! What is done to a plate, in order, from the fret to the solder.

use body::{Bend, Body, Face, JointKind, Meeting, Model, Order, Plate, Purpose, Scale};

/// Inside radius in thicknesses below which sheet is softened first: least radius of hard brass, Kalpakjian,
/// *Manufacturing Engineering and Technology*, 3rd ed. (read as quoted).
const SOFTEN_BELOW: f64 = 2.0;

/// Most neighbours that are named one by one.
const MOST_NAMED: usize = 6;

/// The operations on a formed plate. The order is common practice, no source: rivets, holes, softening, edges,
/// bends, a check, tacks, solder.
pub(super) fn operations(
    model: &Model,
    body: &Body,
    order: &Order,
    plate: &Plate,
    bends: &[Bend],
) -> Vec<String> {
    let mut list = vec![
        "Cut from the fret, dress the tags flush, and take the sharp cusp off the edges with a fine file.".to_owned(),
    ];
    list.extend(rivets(plate));
    list.extend(holes(plate));
    list.push(softening(plate, bends));
    list.extend(protection(model, plate, bends));
    let is_tube = bends.iter().any(Bend::is_rolled);
    if is_tube {
        list.push(
            "Curl the last 3 to 5 mm of both edges that meet over the rod first: rolls leave them flat. Turn the sheet end for end a few times."
                .to_owned(),
        );
    }
    list.extend(bending(bends));
    list.push(check(body, plate));
    list.extend(seam(body, plate));
    list.extend(joining(body, order, plate));
    list
}

fn rivets(plate: &Plate) -> Option<String> {
    let count = plate.rivets.len();
    let rivet = plate.rivets.first()?;
    Some(if rivet.dot.is_some() {
        format!(
            "Punch the {count} rivets from the inside face, row by row in several light passes, while the plate is flat; flatten it again on a smooth block."
        )
    } else {
        format!("The {count} rivet heads are etched: nothing to punch; keep them off hard tools.")
    })
}

fn holes(plate: &Plate) -> Option<String> {
    if plate.holes.is_empty() {
        return None;
    }
    let round: Vec<String> = plate
        .holes
        .iter()
        .filter_map(|hole| {
            Some(format!(
                "{} Ø{:.2}",
                hole.feature.replace('-', " "),
                hole.diameter?
            ))
        })
        .collect();
    let cut_outs = plate.holes.len() - round.len();
    let mut parts = Vec::new();
    match round.len() {
        0 => {}
        n if n <= MOST_NAMED => parts.push(round.join(", ")),
        n => parts.push(format!("{n} round holes")),
    }
    match cut_outs {
        0 => {}
        1 => parts.push("one cut-out or slot".to_owned()),
        n => parts.push(format!("{n} cut-outs and slots")),
    }
    Some(format!(
        "Open holes to size while flat: {}.",
        parts.join("; ")
    ))
}

fn softening(plate: &Plate, bends: &[Bend]) -> String {
    let has = |purpose| plate.regions.iter().any(|own| own.purpose == purpose);
    let tightest = bends
        .iter()
        .filter(|bend| !bend.is_fold)
        .map(|bend| bend.inside.0.min(bend.inside.1) / plate.sheet.thickness())
        .fold(f64::INFINITY, f64::min);
    let softest = plate.sheet.metal.ends_with(" soft");
    if has(Purpose::Band) {
        "Do not anneal: half-etched between its bands the sheet would be too soft to hold its shape.".to_owned()
    } else if bends.iter().all(|bend| bend.is_fold) {
        "Do not anneal: the grooves bend by hand. Each is bent once only; worked back and forth the web cracks.".to_owned()
    } else if tightest < SOFTEN_BELOW && !softest {
        format!(
            "Anneal along the tightest bend, dull red, and cool: its inside radius is {tightest:.1} thicknesses, and hard sheet cracks below two."
        )
    } else {
        "No annealing: the tools below are for the temper as bought; annealed sheet needs a larger tool.".to_owned()
    }
}

/// Card between the tool and whatever stands proud on the outside.
fn protection(model: &Model, plate: &Plate, bends: &[Bend]) -> Option<String> {
    if bends.iter().all(|bend| bend.is_fold) {
        return None;
    }
    let heads = plate.rivets.iter().map(|own| own.head_height);
    let bands = plate
        .regions
        .iter()
        .filter(|own| own.face == Face::Outside)
        .map(|own| own.z_high - plate.sheet.z_high);
    let proud = heads.chain(bands).fold(0.0, f64::max);
    if proud < 0.01 {
        return None;
    }
    // Common practice, no source: 0.3 to 0.5 mm at 4 mm scale, 0.5 to 1.0 mm at 7 mm.
    let (low, high) = match model.scale {
        Scale::Four => (0.3, 0.5),
        _ => (0.5, 1.0),
    };
    let card = (2.0 * proud).clamp(low, high);
    Some(format!(
        "Roll and bend with card or soft plastic of about {card:.1} mm between the outside face and rolls or pad: what stands proud there is {proud:.2} mm high."
    ))
}

fn bending(bends: &[Bend]) -> Vec<String> {
    let mut list = Vec::new();
    let list_of = |numbers: &[usize]| {
        let words: Vec<String> = numbers.iter().map(usize::to_string).collect();
        words.join(", ")
    };
    let numbers = |fits: &dyn Fn(&Bend) -> bool| -> Vec<usize> {
        let own = bends.iter().filter(|bend| fits(bend));
        own.map(|bend| bend.number).collect()
    };
    let folds = numbers(&|bend| bend.is_fold);
    let rolled = numbers(&|bend| bend.is_rolled());
    let mut bent: Vec<&Bend> = bends
        .iter()
        .filter(|bend| !bend.is_fold && !bend.is_rolled())
        .collect();
    // The wide curves first: a tight bend beside one keeps its place by the line, a wide one would spoil it.
    bent.sort_by(|a, b| {
        b.inside
            .0
            .total_cmp(&a.inside.0)
            .then(a.number.cmp(&b.number))
    });
    let mut at = 0;
    while at < bent.len() {
        let same = bent[at..]
            .iter()
            .take_while(|own| (own.inside.0 - bent[at].inside.0).abs() < 0.01)
            .count();
        let group = &bent[at..at + same];
        let own: Vec<usize> = group.iter().map(|bend| bend.number).collect();
        let (what, are) = if own.len() == 1 {
            ("bend", "its")
        } else {
            ("bends", "their")
        };
        list.push(format!(
            "Form {what} {} between {are} lines, {}, over the tool of the table, as far as the angle to bend through; let go and measure.",
            list_of(&own),
            side(group[0].towards)
        ));
        at += same;
    }
    if !rolled.is_empty() {
        list.push(format!(
            "Roll {} {} in many passes, a little tighter each time, on a pad of paper or rubber or in rolls: too much force gives a many-sided tube.",
            if rolled.len() == 1 { "bend" } else { "bends" },
            list_of(&rolled)
        ));
    }
    if !folds.is_empty() {
        list.push(format!(
            "Fold {} along {}, the groove on the inside, over a straight edge; run solder into the corner afterwards.",
            list_of(&folds),
            if folds.len() == 1 { "its groove" } else { "their grooves" }
        ));
    }
    list
}

fn side(towards: Face) -> &'static str {
    match towards {
        Face::Inside => "outside face out",
        Face::Outside => "the other way: outside face in",
    }
}

fn check(body: &Body, plate: &Plate) -> String {
    let formers = formers(body, plate);
    if formers.is_empty() {
        "Hold against the paper template below, from both ends; the two ends must agree.".to_owned()
    } else {
        format!(
            "Check on {}: it must drop on without force, centre tick on centre tick; file the edge of the plate, not the former.",
            listed(&formers)
        )
    }
}

/// Titles of the formers that a wrapper goes over.
fn formers(body: &Body, plate: &Plate) -> Vec<String> {
    let mut found: Vec<&str> = Vec::new();
    for joint in &body.joints {
        let is_over = matches!(joint.meeting, Meeting::OnFormer { .. });
        if is_over && joint.a.plate == plate.id && !found.contains(&joint.b.plate.as_str()) {
            found.push(&joint.b.plate);
        }
    }
    found.iter().map(|id| title(body, id)).collect()
}

fn seam(body: &Body, plate: &Plate) -> Option<String> {
    let strips = neighbours(body, plate, |id| id.contains("joint-strip"));
    (!strips.is_empty()).then(|| {
        format!(
            "Close the seam over {}: tin both, tack in the middle, then at the ends, and bind with soft iron wire before running the solder along.",
            listed(&strips)
        )
    })
}

fn joining(body: &Body, order: &Order, plate: &Plate) -> Vec<String> {
    let Some((number, step)) = order.step_of(&plate.id) else {
        return Vec::new();
    };
    let mut onto: Vec<&str> = Vec::new();
    for joint in body.joints.iter().filter(|own| step.onto.contains(&own.id)) {
        for side in [&joint.a.plate, &joint.b.plate] {
            if *side != plate.id && !onto.contains(&side.as_str()) {
                onto.push(side);
            }
        }
    }
    let titles: Vec<String> = onto.iter().map(|id| title(body, id)).collect();
    let place = format!("step {} of the order of assembly", number + 1);
    vec![if titles.is_empty() {
        format!("It stands alone at {place}; other parts go onto it.")
    } else {
        format!(
            "Tack, look along it, then solder onto {} ({place}); work away from the tacks in short runs.",
            listed(&titles)
        )
    }]
}

/// Titles of the plates that a plate meets by edge or face and whose ids fit.
fn neighbours(body: &Body, plate: &Plate, fits: impl Fn(&str) -> bool) -> Vec<String> {
    let mut found: Vec<&str> = Vec::new();
    for joint in &body.joints {
        let other = if joint.a.plate == plate.id {
            &joint.b.plate
        } else if joint.b.plate == plate.id {
            &joint.a.plate
        } else {
            continue;
        };
        let is_laid = matches!(joint.kind, JointKind::Edge | JointKind::Face);
        if is_laid && fits(other) && !found.contains(&other.as_str()) {
            found.push(other);
        }
    }
    found.iter().map(|id| title(body, id)).collect()
}

pub(super) fn title(body: &Body, id: &str) -> String {
    body.plate(id)
        .map_or_else(|| id.to_owned(), |plate| plate.title.clone())
}

/// `a, b and c`; many are counted.
fn listed(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        many if many.len() > MOST_NAMED => format!(
            "{} and {} others",
            many[..MOST_NAMED - 1].join(", "),
            many.len() - MOST_NAMED + 1
        ),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
