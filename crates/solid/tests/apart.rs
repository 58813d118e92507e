//! The demo engine drawn apart.

#![allow(clippy::unwrap_used, reason = "a test may fail by panic")]

use body::{Body, Model, Order, Overrides};
use solid::{Apart, draw_apart};

fn engine() -> Body {
    let text = include_str!("../../../demo-models/class-b.toml");
    let model = Model::read("class-b.toml", text.as_bytes(), &Overrides::default()).unwrap();
    body::build(&model).unwrap()
}

fn of<'a>(moves: &'a [Apart], id: &str) -> &'a Apart {
    moves.iter().find(|own| own.id == id).unwrap()
}

#[test]
fn every_part_leaves_in_its_turn_and_one_plate_stays() {
    let body = engine();
    let order = Order::of(&body);
    let moves = draw_apart(&body, &order);
    assert_eq!(moves.len(), body.plates.len() + body.fittings.len());
    let still: Vec<&str> = moves
        .iter()
        .filter(|own| own.by.norm() == 0.0)
        .map(|own| own.id.as_str())
        .collect();
    assert_eq!(still, ["footplate"]);
    for (i, step) in order.steps.iter().enumerate() {
        assert_eq!(of(&moves, &step.plate).turn, body.plates.len() - i);
    }
    for fitting in &body.fittings {
        assert_eq!(of(&moves, &fitting.id).turn, 0, "{}", fitting.id);
    }
}

/// What was joined stands well apart, and the two hands of the engine go to their own sides.
#[test]
fn joined_plates_come_apart() {
    let body = engine();
    let moves = draw_apart(&body, &Order::of(&body));
    for joint in &body.joints {
        let [a, b] = [&joint.a.plate, &joint.b.plate].map(|id| of(&moves, id));
        assert!((a.by - b.by).norm() > 10.0, "{}", joint.id);
    }
    for (left, right) in [
        ("tank-side-left", "tank-side-right"),
        ("cab-side-left", "cab-side-right"),
    ] {
        assert!(of(&moves, left).by.y > 10.0 && of(&moves, right).by.y < -10.0);
    }
    for up in ["boiler-wrapper", "cab-roof", "dome", "chimney"] {
        assert!(of(&moves, up).by.z > 10.0, "{up}: {:?}", of(&moves, up).by);
    }
    assert!(of(&moves, "axle-1").by.z < -10.0);
    assert!(of(&moves, "dome").by.norm() > of(&moves, "boiler-wrapper").by.norm());
}
