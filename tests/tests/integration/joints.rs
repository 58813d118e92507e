//! The joints of every model at both scales: each holds as drawn, each tab goes in at the worst case, and a body
//! that is damaged in one place is found out there and nowhere else.

use crate::builds::{at_scale, built, every_body};
use body::{Body, Curve, Joint, JointKind, Meeting, Model, Plate, Scale};
use check::check_body;
use geom::{Chain, Vector2};
use std::collections::{BTreeMap, BTreeSet};

/// Rounding of gaps that are meant to stand exactly on a limit (mm).
const ROUNDING_MM: f64 = 1e-9;

#[test]
fn every_joint_holds() {
    let mut wrong = Vec::new();
    for (name, model, body) in every_body() {
        for joint in &body.joints {
            let (low, high) = match joint.meeting {
                // A wrapper may stand off its former by what solder bridges, and never binds as drawn.
                Meeting::OnFormer { .. } => (0.0, model.scale.pick(0.10, 0.15)),
                _ => joint.limit,
            };
            let inside = |gap: f64| gap >= low - ROUNDING_MM && gap <= high + ROUNDING_MM;
            let worst = match joint.kind {
                JointKind::Tab => joint.range.0,
                _ => joint.gap,
            };
            if !inside(joint.gap) || !inside(worst) {
                wrong.push(format!(
                    "{name}: {} gap {:.4}, worst {worst:.4}, allowed {low} to {high}",
                    joint.id, joint.gap
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_overlay_lies_on_its_base_and_every_plate_is_held() {
    let mut loose = BTreeSet::new();
    for (name, _, body) in every_body() {
        let on = |plate: &Plate, kind: JointKind| {
            (body.joints.iter()).any(|joint| joint.kind == kind && joint.a.plate == plate.id)
        };
        for plate in &body.plates {
            if plate.id.ends_with("-overlay") {
                let base = plate.id.trim_end_matches("-overlay");
                let lies = body.joints.iter().any(|joint| {
                    joint.kind == JointKind::Face
                        && [&joint.a.plate, &joint.b.plate].contains(&&plate.id)
                        && [&joint.a.plate, &joint.b.plate].contains(&&base.to_owned())
                });
                assert!(lies, "{name}: {} lies on {base}", plate.id);
                assert!(
                    on(plate, JointKind::Hole),
                    "{name}: {} has pilots",
                    plate.id
                );
            }
            let sides = |joint: &Joint| [joint.a.plate.clone(), joint.b.plate.clone()];
            if !body
                .joints
                .iter()
                .any(|joint| sides(joint).contains(&plate.id))
            {
                loose.insert(plate.id.clone());
            }
        }
    }
    assert!(loose.is_empty(), "plates without a joint: {loose:?}");
}

/// The joints that the check names for their fit.
fn named(model: &Model, body: &Body) -> BTreeSet<String> {
    check_body(body, model.metal.process)
        .into_iter()
        .filter(|finding| ["fit", "fit-worst-case"].contains(&finding.rule))
        .map(|finding| finding.path)
        .collect()
}

fn plate<'b>(body: &'b mut Body, id: &str) -> &'b mut Plate {
    body.plates.iter_mut().find(|own| own.id == id).unwrap()
}

/// The sides of a name, each drawn outwards by so much (mm); false where one is no line or arc of the flat.
fn grow(plate: &mut Plate, feature: &str, by: f64) -> bool {
    let mut grown = false;
    for edge in plate.outline.iter_mut().filter(|edge| edge.name == feature) {
        let Curve::Flat(segment) = edge.curve else {
            return false;
        };
        let Ok(moved) = Chain::from_segments([segment]).offset(-by) else {
            return false;
        };
        edge.curve = Curve::Flat(moved.segments()[0]);
        grown = true;
    }
    grown
}

/// An opening moved on the flat (mm); false where it is no cut of lines and arcs.
fn shift_hole(plate: &mut Plate, feature: &str, by: Vector2) -> bool {
    let Some(hole) = plate.holes.iter_mut().find(|own| own.feature == feature) else {
        return false;
    };
    for curve in &mut hole.boundary {
        let Curve::Flat(segment) = curve else {
            return false;
        };
        *segment = segment.translated(by);
    }
    hole.centre += by;
    true
}

/// A wrapper rolled to a section larger by so much (mm).
fn enlarge(plate: &mut Plate, by: f64) -> bool {
    let Some(loft) = plate.forming.loft() else {
        return false;
    };
    let [front, rear] = [0.0, 1.0].map(|v| loft.section_at(v).offset(by));
    let (Ok(front), Ok(rear)) = (front, rear) else {
        return false;
    };
    let thickness = plate.sheet.thickness();
    let larger = develop::Loft::between(
        *loft.frame(),
        &front,
        &rear,
        loft.axial_length(),
        thickness,
        plate.sheet.bend_rule,
    );
    let Ok(larger) = larger else {
        return false;
    };
    plate.forming = develop::Forming::Rolled(Box::new(larger));
    true
}

/// What is damaged, and whether only the feature itself is: then no joint of another feature is moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Damage {
    SlotMoved,
    PilotMoved,
    FormerGrown,
    EdgeGrown,
    OverlayLifted,
    WrapperEnlarged,
}

impl Damage {
    const ALL: [Self; 6] = [
        Self::SlotMoved,
        Self::PilotMoved,
        Self::FormerGrown,
        Self::EdgeGrown,
        Self::OverlayLifted,
        Self::WrapperEnlarged,
    ];

    fn fits(self, joint: &Joint) -> bool {
        match self {
            Self::SlotMoved => joint.kind == JointKind::Tab,
            Self::PilotMoved => joint.kind == JointKind::Hole,
            Self::FormerGrown | Self::WrapperEnlarged => {
                matches!(joint.meeting, Meeting::OnFormer { .. })
            }
            Self::EdgeGrown => joint.meeting == Meeting::Butt,
            Self::OverlayLifted => joint.kind == JointKind::Face,
        }
    }

    /// Damages the body at a joint; false where this joint has not the shape for it.
    fn strike(self, body: &mut Body, joint: &Joint) -> bool {
        let (a, b) = (&joint.a, &joint.b);
        match self {
            Self::SlotMoved => {
                shift_hole(plate(body, &b.plate), &b.feature, Vector2::new(0.5, 0.5))
            }
            Self::PilotMoved => {
                shift_hole(plate(body, &a.plate), &a.feature, Vector2::new(0.2, 0.0))
            }
            Self::FormerGrown => grow(plate(body, &b.plate), &b.feature, 0.3),
            Self::EdgeGrown => grow(plate(body, &a.plate), &a.feature, 0.4),
            Self::OverlayLifted => {
                let own = plate(body, &a.plate);
                let develop::Forming::Flat(placement) = &mut own.forming else {
                    return false;
                };
                placement.origin += placement.normal() * 0.3;
                true
            }
            Self::WrapperEnlarged => enlarge(plate(body, &a.plate), 0.3),
        }
    }

    /// Whether a joint has the part that was damaged: a feature, or a whole plate.
    fn touches(self, struck: &Joint, other: &Joint) -> bool {
        let sides = [&other.a, &other.b];
        match self {
            Self::SlotMoved | Self::FormerGrown => sides.contains(&&struck.b),
            Self::PilotMoved | Self::EdgeGrown => sides.contains(&&struck.a),
            Self::OverlayLifted | Self::WrapperEnlarged => {
                sides.iter().any(|side| side.plate == struck.a.plate)
            }
        }
    }
}

/// A few joints of each kind, well spread over the engine.
fn some_joints(body: &Body, damage: Damage) -> Vec<Joint> {
    let all: Vec<&Joint> = body.joints.iter().filter(|j| damage.fits(j)).collect();
    let step = (all.len() / 5).max(1);
    all.into_iter().step_by(step).cloned().collect()
}

#[test]
fn a_damaged_joint_is_named_and_no_other() {
    let mut struck: BTreeMap<Damage, BTreeSet<(String, String)>> = BTreeMap::new();
    let mut alone = 0;
    let mut wrong = Vec::new();
    for name in [
        "class-b",
        "class-m2",
        "class-s",
        "tender-t",
        "four-coupled-passenger",
    ] {
        let (model, sound) = built(name, at_scale(Scale::Seven));
        let before = named(&model, &sound);
        for damage in Damage::ALL {
            for joint in some_joints(&sound, damage) {
                let mut body = sound.clone();
                if !damage.strike(&mut body, &joint) {
                    continue;
                }
                body.measure_joints(&model.metal, model.scale);
                let after = named(&model, &body);
                let found: Vec<&String> = after.difference(&before).collect();
                let stray = body
                    .joints
                    .iter()
                    .filter(|own| found.contains(&&own.id) && !damage.touches(&joint, own));
                for own in stray {
                    wrong.push(format!(
                        "{name}: {damage:?} at {} names {}",
                        joint.id, own.id
                    ));
                }
                if !after.contains(&joint.id) {
                    wrong.push(format!("{name}: {damage:?} at {} is not found", joint.id));
                }
                alone += usize::from(found.len() == 1);
                let place = (name.to_owned(), joint.a.plate.clone());
                struck.entry(damage).or_default().insert(place);
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    for damage in Damage::ALL {
        let places = struck.get(&damage).map_or(0, BTreeSet::len);
        assert!(places >= 4, "{damage:?} was tried at {places} places only");
    }
    assert!(alone >= 40, "{alone} damages were told by one joint alone");
}
