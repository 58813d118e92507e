//! The order in which the plates of a body go together.

use crate::{Body, Finding, FindingPlace, Joint, JointKind, Severity};

/// A plate that must stand before another, whatever their joints say.
///
/// It decides over the direction of every joint between the same two plates: a strip that is soldered
/// behind a seam is put in place before the wrapper closes over it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Precedence {
    /// The plate that comes first.
    pub first: String,
    /// The plate that comes later.
    pub then: String,
    /// Why, in a modeller's words.
    pub why: &'static str,
}

impl Precedence {
    /// `first` before `then`.
    pub fn new(first: &str, then: &str, why: &'static str) -> Self {
        Self {
            first: first.to_owned(),
            then: then.to_owned(),
            why,
        }
    }
}

/// One plate put in place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// The plate.
    pub plate: String,
    /// Joints with plates that already stand, by their ids.
    pub onto: Vec<String>,
    /// Zero for a plate that nothing has to come before, else one more than the highest layer among
    /// the plates that do.
    pub layer: usize,
}

/// The order of assembly: every plate once.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Order {
    /// What is put in place, in order.
    pub steps: Vec<Step>,
    /// Circles in which each plate waits for the next: rule `order-circle`.
    pub findings: Vec<Finding>,
}

/// How much a constraint holds against others of a circle; the weakest gives way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Strength {
    /// Edge to edge, hole over hole.
    Weak,
    Face,
    Tab,
    /// Said so by a [`Precedence`].
    Said,
}

impl From<JointKind> for Strength {
    fn from(kind: JointKind) -> Self {
        match kind {
            JointKind::Edge | JointKind::Hole => Self::Weak,
            JointKind::Face => Self::Face,
            JointKind::Tab => Self::Tab,
        }
    }
}

/// One plate before another, both by their places in the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Before {
    first: usize,
    then: usize,
    strength: Strength,
}

impl Order {
    /// The order of a body's plates.
    ///
    /// In every joint side `a` goes onto side `b`, so the plate of `b` comes first; precedences are
    /// added. Among plates that may come next the first in the body's list does. A plate without joints
    /// comes after the plate of its sub-assembly that is listed before it. Joints and precedences that
    /// name a plate which is not there, or the same plate twice, are passed over.
    ///
    /// Where plates wait for one another in a circle, the weakest constraint of the circle is dropped, an
    /// edge or hole before a face, a face before a tab, a tab before a precedence, and a finding says
    /// so; the order is complete all the same.
    pub fn of(body: &Body) -> Self {
        let mut before = constraints(body);
        let mut order = Self::default();
        let mut sequence = sequence(body, &mut before, &mut order.findings);
        bring_home(body, &before, &mut sequence);
        let mut layers = vec![0; body.plates.len()];
        let mut standing = vec![false; body.plates.len()];
        for plate in sequence {
            let under = before.iter().filter(|own| own.then == plate);
            layers[plate] = under.map(|own| layers[own.first] + 1).max().unwrap_or(0);
            let id = &body.plates[plate].id;
            let met = |joint: &&Joint| {
                let other = if joint.a.plate == *id {
                    &joint.b.plate
                } else if joint.b.plate == *id {
                    &joint.a.plate
                } else {
                    return false;
                };
                place_of(body, other).is_some_and(|other| standing[other])
            };
            order.steps.push(Step {
                plate: id.clone(),
                onto: body
                    .joints
                    .iter()
                    .filter(met)
                    .map(|j| j.id.clone())
                    .collect(),
                layer: layers[plate],
            });
            standing[plate] = true;
        }
        order
    }

    /// The step that puts a plate in place, and its number from 0.
    pub fn step_of(&self, plate: &str) -> Option<(usize, &Step)> {
        let mut steps = self.steps.iter().enumerate();
        steps.find(|(_, step)| step.plate == plate)
    }
}

fn place_of(body: &Body, plate: &str) -> Option<usize> {
    body.plates.iter().position(|own| own.id == plate)
}

/// Constraints of precedences and joints, one for each pair of plates and direction, in order of listing.
fn constraints(body: &Body) -> Vec<Before> {
    let pair = |first: &str, then: &str| {
        let pair = (place_of(body, first)?, place_of(body, then)?);
        (pair.0 != pair.1).then_some(pair)
    };
    let said: Vec<(usize, usize)> = body
        .precedences
        .iter()
        .filter_map(|own| pair(&own.first, &own.then))
        .collect();
    let mut all: Vec<Before> = Vec::new();
    let mut add = |(first, then): (usize, usize), strength: Strength| match all
        .iter_mut()
        .find(|own| (own.first, own.then) == (first, then))
    {
        Some(own) => own.strength = own.strength.max(strength),
        None => all.push(Before {
            first,
            then,
            strength,
        }),
    };
    for &own in &said {
        add(own, Strength::Said);
    }
    for joint in &body.joints {
        let Some((first, then)) = pair(&joint.b.plate, &joint.a.plate) else {
            continue;
        };
        if !said.contains(&(then, first)) {
            add((first, then), joint.kind.into());
        }
    }
    all
}

/// Places of all plates in order; constraints that circles break are taken out of `before`.
fn sequence(body: &Body, before: &mut Vec<Before>, findings: &mut Vec<Finding>) -> Vec<usize> {
    let count = body.plates.len();
    let mut placed = vec![false; count];
    let mut sequence = Vec::with_capacity(count);
    while sequence.len() < count {
        let waits = |plate: usize| {
            let mut own = before.iter();
            own.any(|own| own.then == plate && !placed[own.first])
        };
        if let Some(next) = (0..count).find(|&plate| !placed[plate] && !waits(plate)) {
            placed[next] = true;
            sequence.push(next);
        } else {
            let circle = circle(before, &placed);
            findings.push(finding(body, before, &circle));
            before.remove(weakest(before, &circle));
        }
    }
    sequence
}

/// Numbers of constraints that lead round in a circle, among plates that all wait.
fn circle(before: &[Before], placed: &[bool]) -> Vec<usize> {
    let awaited = |plate: usize| {
        let mut own = before.iter().enumerate();
        let found = own.find(|(_, own)| own.then == plate && !placed[own.first]);
        found.expect("every plate that is left waits for another").0
    };
    let start = placed.iter().position(|placed| !placed);
    let mut plate = start.expect("there are plates left");
    let mut seen: Vec<usize> = Vec::new();
    let mut path: Vec<usize> = Vec::new();
    loop {
        if let Some(at) = seen.iter().position(|&own| own == plate) {
            return path.split_off(at);
        }
        seen.push(plate);
        let number = awaited(plate);
        path.push(number);
        plate = before[number].first;
    }
}

/// The constraint of a circle that gives way: the weakest, the last listed among equals.
fn weakest(before: &[Before], circle: &[usize]) -> usize {
    let weakness = |number: usize| (before[number].strength, std::cmp::Reverse(number));
    let weakest = circle
        .iter()
        .copied()
        .min_by_key(|&number| weakness(number));
    weakest.expect("a circle has at least two constraints")
}

fn finding(body: &Body, before: &[Before], circle: &[usize]) -> Finding {
    let id = |plate: usize| body.plates[plate].id.as_str();
    // The circle was walked backwards: from each plate to one that it waits for.
    let names: Vec<&str> = circle
        .iter()
        .map(|&number| id(before[number].then))
        .collect();
    let dropped = before[weakest(before, circle)];
    Finding {
        path: id(dropped.then).to_owned(),
        rule: "order-circle",
        severity: Severity::Warning,
        found: 0.0,
        limit: 0.0,
        at: FindingPlace {
            plate: Some(id(dropped.then).to_owned()),
            flat: None,
            body: None,
        },
        sentence: format!(
            "each of these plates has to stand before the one named ahead of it, round in a circle: {}; \
             the order of assembly puts {} in place without waiting for {}",
            names.join(", "),
            id(dropped.then),
            id(dropped.first)
        ),
    }
}

/// Moves each plate without constraints behind the plate of its sub-assembly listed before it, or, if it
/// is the first that is listed, in front of the next one.
fn bring_home(body: &Body, before: &[Before], sequence: &mut Vec<usize>) {
    let is_free = |plate: usize| {
        let mut own = before.iter();
        !own.any(|own| own.first == plate || own.then == plate)
    };
    let of_one = |a: usize, b: usize| body.plates[a].assembly == body.plates[b].assembly;
    let free: Vec<usize> = (0..body.plates.len()).filter(|&p| is_free(p)).collect();
    for plate in free {
        let ahead = (0..plate).rev().find(|&other| of_one(plate, other));
        let mut later = plate + 1..body.plates.len();
        let home = match ahead {
            Some(ahead) => Some((ahead, 1)),
            // Free ones that follow come behind this one in their turn.
            None => later
                .find(|&other| of_one(plate, other) && !is_free(other))
                .map(|next| (next, 0)),
        };
        let Some((neighbour, behind)) = home else {
            continue;
        };
        sequence.retain(|&own| own != plate);
        let at = sequence.iter().position(|&own| own == neighbour);
        sequence.insert(at.expect("every plate is in the sequence") + behind, plate);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Plate, Sheet, Side};
    use develop::Forming;
    use geom::{BodyPoint, Placement, Point3, Vector3};
    use proptest::prelude::*;

    fn plate(id: &str, assembly: &'static str) -> Plate {
        Plate {
            id: id.to_owned(),
            assembly,
            title: id.to_owned(),
            sheet: Sheet::plain("brass", 0.4),
            forming: Forming::Flat(Placement::new(Point3::origin(), Vector3::x(), Vector3::y())),
            outline: Vec::new(),
            holes: Vec::new(),
            regions: Vec::new(),
            rivets: Vec::new(),
            marks: Vec::new(),
            points: Vec::new(),
        }
    }

    fn joint(kind: JointKind, a: &str, b: &str) -> Joint {
        Joint {
            id: format!("{a}~{b}"),
            kind,
            meeting: crate::Meeting::Butt,
            a: Side::new(a, "edge"),
            b: Side::new(b, "edge"),
            gap: 0.0,
            range: (0.0, 0.0),
            limit: (0.0, 0.0),
            largest_contributor: String::new(),
            at: BodyPoint::origin(),
        }
    }

    fn body(plates: &[(&str, &'static str)], joints: &[(JointKind, &str, &str)]) -> Body {
        Body {
            assemblies: Vec::new(),
            plates: plates.iter().map(|(id, own)| plate(id, own)).collect(),
            fittings: Vec::new(),
            blocks: Vec::new(),
            joints: joints.iter().map(|(k, a, b)| joint(*k, a, b)).collect(),
            precedences: Vec::new(),
            dimensions: Vec::new(),
            angles: Vec::new(),
            findings: Vec::new(),
        }
    }

    fn names(order: &Order) -> Vec<&str> {
        order.steps.iter().map(|s| s.plate.as_str()).collect()
    }

    #[test]
    fn what_others_go_onto_comes_first() {
        use JointKind::{Edge, Face};
        let own = body(
            &[
                ("overlay", "cab"),
                ("side", "cab"),
                ("roof", "cab"),
                ("floor", "floor"),
            ],
            &[
                (Face, "overlay", "side"),
                (Edge, "side", "floor"),
                (Edge, "roof", "side"),
            ],
        );
        let order = Order::of(&own);
        assert_eq!(names(&order), ["floor", "side", "overlay", "roof"]);
        let layers: Vec<usize> = order.steps.iter().map(|step| step.layer).collect();
        assert_eq!(layers, [0, 1, 2, 2]);
        assert_eq!(order.steps[0].onto, [""; 0]);
        assert_eq!(order.steps[3].onto, ["roof~side"]);
        assert_eq!(order.step_of("roof").unwrap().0, 3);
        assert!(order.step_of("wheel").is_none());
        assert!(order.findings.is_empty());
    }

    /// The strip's joint says that it goes onto the wrapper; put in later it could not be reached.
    #[test]
    fn a_precedence_decides_over_the_joint() {
        let mut own = body(
            &[("wrapper", "boiler"), ("strip", "boiler")],
            &[(JointKind::Face, "strip", "wrapper")],
        );
        assert_eq!(names(&Order::of(&own)), ["wrapper", "strip"]);
        let why = "the wrapper closes over it";
        own.precedences
            .push(Precedence::new("strip", "wrapper", why));
        let order = Order::of(&own);
        assert_eq!(names(&order), ["strip", "wrapper"]);
        assert_eq!(order.steps[1].onto, ["strip~wrapper"]);
        assert!(order.findings.is_empty());
    }

    #[test]
    fn a_circle_gives_way_at_its_weakest_joint() {
        use JointKind::{Edge, Face, Hole, Tab};
        let plates = [("a", "x"), ("b", "x"), ("c", "x")];
        for (kinds, want) in [
            ([Tab, Face, Edge], ["c", "b", "a"]),
            ([Hole, Face, Tab], ["a", "c", "b"]),
            ([Tab, Face, Tab], ["b", "a", "c"]),
            // Among equals the last one listed.
            ([Tab, Tab, Tab], ["c", "b", "a"]),
        ] {
            let joints = [
                (kinds[0], "a", "b"),
                (kinds[1], "b", "c"),
                (kinds[2], "c", "a"),
            ];
            let order = Order::of(&body(&plates, &joints));
            assert_eq!(names(&order), want, "{kinds:?}");
            let [finding] = order.findings.as_slice() else {
                panic!("one circle, one finding: {:?}", order.findings);
            };
            assert_eq!(finding.rule, "order-circle");
            for (name, _) in plates {
                assert!(finding.sentence.contains(name), "{}", finding.sentence);
            }
        }
    }

    #[test]
    fn precedences_hold_longest() {
        let mut own = body(
            &[("a", "x"), ("b", "x"), ("c", "x")],
            &[(JointKind::Tab, "a", "b"), (JointKind::Tab, "b", "c")],
        );
        own.precedences
            .push(Precedence::new("a", "c", "room for the iron"));
        let order = Order::of(&own);
        assert_eq!(order.findings.len(), 1);
        assert_eq!(names(&order), ["b", "a", "c"]);
    }

    #[test]
    fn two_circles_are_two_findings() {
        let order = Order::of(&body(
            &[("a", "x"), ("b", "x"), ("c", "x"), ("d", "x")],
            &[
                (JointKind::Edge, "a", "b"),
                (JointKind::Face, "b", "a"),
                (JointKind::Face, "c", "d"),
                (JointKind::Edge, "d", "c"),
            ],
        ));
        assert_eq!(names(&order), ["a", "b", "d", "c"]);
        assert_eq!(order.findings.len(), 2);
    }

    #[test]
    fn loose_plates_stand_with_their_sub_assembly() {
        let order = Order::of(&body(
            &[
                ("lamp", "cab"),
                ("seat", "cab"),
                ("side", "cab"),
                ("door", "cab"),
                ("floor", "floor"),
            ],
            &[(JointKind::Edge, "side", "floor")],
        ));
        assert_eq!(names(&order), ["floor", "lamp", "seat", "side", "door"]);
    }

    #[test]
    fn joints_with_plates_that_are_not_there_are_passed_over() {
        let order = Order::of(&body(
            &[("a", "x")],
            &[(JointKind::Edge, "a", "z"), (JointKind::Edge, "a", "a")],
        ));
        assert_eq!(names(&order), ["a"]);
        assert!(order.steps[0].onto.is_empty() && order.findings.is_empty());
        assert!(Order::of(&body(&[], &[])).steps.is_empty());
    }

    proptest! {
        /// Whatever a random web of joints without circles asks for holds, and every plate comes once.
        #[test]
        fn every_constraint_holds(
            ranks in Just((0..12usize).collect::<Vec<_>>()).prop_shuffle(),
            pairs in prop::collection::vec((0..12usize, 0..12usize, 0..4usize), 0..40),
            said in prop::collection::vec((0..12usize, 0..12usize), 0..4),
        ) {
            use JointKind::{Edge, Face, Hole, Tab};
            let ids: Vec<String> = (0..12).map(|i| format!("p{i}")).collect();
            let plates: Vec<(&str, &'static str)> = ids
                .iter()
                .enumerate()
                .map(|(i, id)| (id.as_str(), ["x", "y", "z"][i / 4]))
                .collect();
            // The lower rank comes first, so there are no circles.
            let sorted = |a: usize, b: usize| if ranks[a] < ranks[b] { (a, b) } else { (b, a) };
            let joints: Vec<(JointKind, &str, &str)> = pairs
                .iter()
                .filter(|(a, b, _)| a != b)
                .map(|&(a, b, kind)| {
                    let (first, then) = sorted(a, b);
                    ([Edge, Face, Hole, Tab][kind], ids[then].as_str(), ids[first].as_str())
                })
                .collect();
            let mut own = body(&plates, &joints);
            for &(a, b) in said.iter().filter(|(a, b)| a != b) {
                let (first, then) = sorted(a, b);
                own.precedences.push(Precedence::new(&ids[first], &ids[then], "chance"));
            }
            let order = Order::of(&own);
            prop_assert!(order.findings.is_empty());
            prop_assert_eq!(order.steps.len(), 12);
            let at = |id: &str| order.step_of(id).unwrap();
            for (_, then, first) in &joints {
                prop_assert!(at(first).0 < at(then).0);
                prop_assert!(at(first).1.layer < at(then).1.layer);
            }
            for own in &own.precedences {
                prop_assert!(at(&own.first).0 < at(&own.then).0);
            }
            // Every joint is made once, when its later plate comes.
            let made: usize = order.steps.iter().map(|step| step.onto.len()).sum();
            prop_assert_eq!(made, joints.len());
        }
    }
}
