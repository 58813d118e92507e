//! What a change of the demo engine's model file touches.

#![allow(clippy::unwrap_used, reason = "helpers of tests may fail by panic")]

use body::{Body, Edge, Finding, Model, Overrides, Plate, Sheet, flat_curves};
use check::{
    Difference, ModelState, PlateChange, PlateDifference, Presence, check_body, difference,
};
use develop::{BendRule, Forming, Loft, LoftFrame};
use geom::{Chain, Outline, Point2};

const CLASS_B: &str = include_str!("../../../demo-models/class-b.toml");

struct State {
    model: Model,
    body: Body,
    findings: Vec<Finding>,
}

impl State {
    fn of(text: &str) -> Self {
        let model = Model::read("class-b.toml", text.as_bytes(), &Overrides::default()).unwrap();
        let body = body::build(&model).unwrap();
        let findings = check_body(&body, model.metal.process);
        Self {
            model,
            body,
            findings,
        }
    }

    fn view(&self) -> ModelState<'_> {
        ModelState {
            model: &self.model,
            body: &self.body,
            findings: &self.findings,
        }
    }
}

/// What changes if one line of the demo model does.
#[track_caller]
fn changed(from: &str, to: &str) -> Difference {
    assert!(CLASS_B.contains(from), "the demo model has no {from}");
    let (old, new) = (
        State::of(CLASS_B),
        State::of(&CLASS_B.replacen(from, to, 1)),
    );
    difference(&old.view(), &new.view()).unwrap()
}

fn plate<'d>(found: &'d Difference, id: &str) -> &'d PlateDifference {
    let plate = found.plates.iter().find(|own| own.plate == id);
    plate.unwrap_or_else(|| panic!("{id} is not touched: {found:#?}"))
}

fn touched(found: &Difference, change: PlateChange) -> Vec<&str> {
    let plates = found.plates.iter().filter(|own| own.change == change);
    plates.map(|own| own.plate.as_str()).collect()
}

#[track_caller]
fn close(got: Option<f64>, want: f64) {
    assert!(
        got.is_some_and(|got| (got - want).abs() < 2e-6),
        "got {got:?}, want {want}"
    );
}

#[test]
fn the_same_text_differs_in_nothing() {
    let found = changed("[boiler] #", "[boiler] # still");
    assert!(found.same, "{found:#?}");
    assert!(found.sheets.iter().all(|sheet| !sheet.etch_again));
    // The same lengths in other words are the same.
    assert!(changed("pitch = \"7ft 5in\"", "pitch = \"89in\"").same);
}

/// The chimney an inch back moves its hole by 7/12 mm along the crown and touches nothing else.
#[test]
fn a_hole_that_moves_is_etched_again() {
    let found = changed("x = \"2ft 4in\"", "x = \"2ft 5in\"");
    assert!(!found.same);
    let wrapper = plate(&found, "smokebox-wrapper");
    // The base and the overlay on it.
    assert_eq!(found.plates.len(), 2);
    assert_eq!(wrapper.change, PlateChange::EtchAgain);
    let hole = &wrapper.holes[0];
    assert_eq!(
        (hole.feature.as_str(), hole.change),
        ("chimney", Presence::Changed)
    );
    close(hole.moved_mm, 7.0 / 12.0);
    close(wrapper.outline_moved_mm, 0.0);
    assert!(wrapper.edges.is_empty());
    assert_eq!(found.inputs.len(), 1);
    close(found.inputs[0].after_mm, 29.0 * 7.0 / 12.0);
    assert_eq!(
        found.fittings.len(),
        1,
        "the chimney itself: {:?}",
        found.fittings
    );
    let sheets: Vec<_> = found.sheets.iter().filter(|own| own.etch_again).collect();
    let etched: Vec<_> = sheets
        .iter()
        .map(|own| (own.thickness_mm, own.etched.join(", ")))
        .collect();
    let want = [(0.2, "smokebox-wrapper-overlay"), (0.3, "smokebox-wrapper")];
    assert_eq!(etched, want.map(|(t, own)| (t, own.to_owned())));
}

/// The bunker's back two inches forward: sides and flares are shorter; the back strip only moves.
#[test]
fn what_only_moves_is_not_etched_again() {
    let found = changed("back = \"31ft 6in\"", "back = \"31ft 4in\"");
    let strip = plate(&found, "bunker-flare-back");
    assert_eq!(strip.change, PlateChange::Moves);
    close(strip.body_moved_mm, 7.0 / 6.0);
    let again = touched(&found, PlateChange::EtchAgain);
    assert!(again.contains(&"bunker-wrapper") && again.contains(&"bunker-flare-left"));
    let wrapper = plate(&found, "bunker-wrapper");
    let top = wrapper.edges.iter().find(|own| own.name == "top").unwrap();
    // Both sides lose two inches.
    close(
        top.before_mm.zip(top.after_mm).map(|(a, b)| a - b),
        7.0 / 3.0,
    );
    assert!(!found.plates.iter().any(|own| own.assembly == "boiler"));
}

/// The whole roof an inch up: the roof and its rivets are the same flat, which stands higher; the cab's
/// ends and sides are taller.
#[test]
fn a_rolled_plate_can_move_whole() {
    let found = changed("top = \"12ft 2in\"", "top = \"12ft 3in\"");
    let roof = plate(&found, "cab-roof");
    assert_eq!(roof.change, PlateChange::Moves);
    close(roof.body_moved_mm, 7.0 / 12.0);
    let side = plate(&found, "cab-side-left");
    let front = side.edges.iter().find(|own| own.name == "front").unwrap();
    close(
        front.before_mm.zip(front.after_mm).map(|(a, b)| b - a),
        7.0 / 12.0,
    );
    let eaves = found
        .dimensions
        .iter()
        .find(|own| own.name == "cab.eaves_height");
    close(
        eaves
            .and_then(|own| own.after_mm.zip(own.before_mm))
            .map(|(b, a)| b - a),
        7.0 / 12.0,
    );
}

/// Thicker sheet: every plate of it goes to another sheet, and wrappers of it get shorter.
#[test]
fn thickness_changes_the_sheet() {
    let found = changed(
        "boiler_base = \"0.30mm\"",
        "boiler_base = \"0.30mm\"\nroof = \"0.35mm\"",
    );
    let roof = plate(&found, "cab-roof");
    assert_eq!(roof.change, PlateChange::EtchAgain);
    close(roof.thickness[0].before_mm, 0.3);
    close(roof.thickness[0].after_mm, 0.35);
    let at = |thickness: f64| {
        let sheet = found
            .sheets
            .iter()
            .find(|own| own.thickness_mm == thickness);
        sheet.unwrap()
    };
    assert_eq!(at(0.35).etched, ["cab-roof"]);
    assert_eq!(at(0.3).gone, ["cab-roof"]);
    assert!(!at(0.3).etch_again);
    assert!(
        found
            .joints
            .iter()
            .any(|own| own.joint.contains("cab-roof")),
        "{:?}",
        found.joints
    );
}

#[test]
fn plates_and_findings_come_and_go() {
    let start = CLASS_B.find("[bunker]").unwrap();
    let end = CLASS_B.find("[[axles]]").unwrap();
    let without = format!("{}{}", &CLASS_B[..start], &CLASS_B[end..]);
    let (with, without) = (State::of(CLASS_B), State::of(&without));
    let gone = difference(&with.view(), &without.view()).unwrap();
    let removed = touched(&gone, PlateChange::Removed);
    assert_eq!(removed.len(), 8, "{removed:?}");
    // The footplate loses the bunker's slots.
    assert_eq!(touched(&gone, PlateChange::EtchAgain), ["footplate"]);
    assert_eq!(removed.len() + 1, gone.plates.len());
    assert!(
        gone.joints
            .iter()
            .any(|own| own.change == Presence::Removed)
    );
    let note = gone
        .findings
        .iter()
        .find(|own| own.rule == "not-developable");
    assert_eq!(note.unwrap().change, Presence::Removed);
    let come = difference(&without.view(), &with.view()).unwrap();
    assert_eq!(touched(&come, PlateChange::Added), removed);
    assert!(come.sheets.iter().any(|sheet| sheet.etch_again));
    assert_eq!(come.joints.len(), gone.joints.len());
}

/// The other way round every plate has the same verdict and figures change places.
#[test]
fn backwards_is_the_mirror_of_forwards() {
    let (old, new) = (
        State::of(CLASS_B),
        State::of(&CLASS_B.replacen("diameter = \"4ft 7in\"", "diameter = \"4ft 8in\"", 1)),
    );
    let there = difference(&old.view(), &new.view()).unwrap();
    let back = difference(&new.view(), &old.view()).unwrap();
    assert!(!there.plates.is_empty());
    assert_eq!(there.plates.len(), back.plates.len());
    for (a, b) in there.plates.iter().zip(&back.plates) {
        assert_eq!((&a.plate, a.change), (&b.plate, b.change));
        for (a, b) in a.edges.iter().zip(&b.edges) {
            assert_eq!((a.before_mm, a.after_mm), (b.after_mm, b.before_mm));
        }
    }
    let text = serde_json::to_string(&there).unwrap();
    assert!(
        text.contains("\"etch-again\"") && text.contains("\"before_mm\""),
        "{text}"
    );
}

/// A strip of 20 mm of straight sheet with one bend, `before` the bend and the rest behind it.
fn bent_strip(before: f64, x: f64) -> Plate {
    let section = Chain::starting(Point2::new(0.0, 0.0), 0.0)
        .line(before)
        .arc(4.0, -1.0)
        .line(20.0 - before)
        .finish();
    let frame = LoftFrame::along_engine(x);
    let loft = Loft::between(frame, &section, &section, 30.0, 0.3, BendRule::default()).unwrap();
    let end = loft.flat(develop::SurfacePoint {
        w: loft.w_end(),
        v: 1.0,
    });
    let start = loft.flat(develop::SurfacePoint { w: 0.0, v: 0.0 });
    let (low, high) = (
        Point2::new(start.x.min(end.x), start.y.min(end.y)),
        Point2::new(start.x.max(end.x), start.y.max(end.y)),
    );
    Plate {
        id: "strip".to_owned(),
        assembly: "cab",
        title: "Strip".to_owned(),
        sheet: Sheet::plain("brass half-hard", 0.3),
        forming: Forming::Rolled(Box::new(loft)),
        outline: flat_curves(&Outline::rectangle(low, high))
            .into_iter()
            .map(|curve| Edge {
                name: "edge".to_owned(),
                curve,
            })
            .collect(),
        holes: Vec::new(),
        regions: Vec::new(),
        rivets: Vec::new(),
        marks: Vec::new(),
        points: Vec::new(),
    }
}

/// The bend set elsewhere on the same flat: nothing is etched, but the strip is bent anew.
#[test]
fn the_same_flat_formed_otherwise() {
    let mut states = [
        (State::of(CLASS_B), bent_strip(8.0, 0.0)),
        (State::of(CLASS_B), bent_strip(9.0, 0.0)),
        (State::of(CLASS_B), bent_strip(8.0, 5.0)),
    ]
    .map(|(state, plate)| State {
        body: Body {
            plates: vec![plate],
            ..state.body
        },
        ..state
    });
    let verdict = |a: &State, b: &State| {
        let found = difference(&a.view(), &b.view()).unwrap();
        found.plates.first().map(|own| own.change)
    };
    let [first, bent, moved] = &states;
    assert_eq!(verdict(first, bent), Some(PlateChange::FormedOtherwise));
    assert_eq!(verdict(first, moved), Some(PlateChange::Moves));
    assert_eq!(verdict(first, first), None);
    states[1].body.plates[0].sheet.metal = "brass soft".to_owned();
    assert_eq!(
        verdict(&states[0], &states[1]),
        Some(PlateChange::EtchAgain)
    );
}
