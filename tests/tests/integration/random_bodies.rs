//! Bodies of random, nearly degenerate dimensions: each is sound or refused with a reason.
//!
//! Every demo model is taken in turn, a few of its dimensions are changed, and the engine is built.
//! `PLATEWORK_BODIES=10000 cargo test -p platework-tests --test integration random_bodies` tries more
//! than the usual hundred; `PLATEWORK_SEED` begins elsewhere.

use body::{Dimension, Model, Overrides, WheelStandard, parse_dimension};
use platework_tests::sound::refuse_unsound;
use std::panic::{AssertUnwindSafe, catch_unwind};
use toml::{Table, Value};

/// A small generator of numbers, the same on every machine (splitmix64).
struct Dice(u64);

impl Dice {
    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    fn below(&mut self, n: usize) -> usize {
        (self.bits() % n as u64) as usize
    }
}

/// Every full-size dimension of a model file, to be changed in place.
fn dimensions(value: &mut Value) -> Vec<&mut String> {
    match value {
        Value::String(text) if inches(text).is_some() => vec![text],
        Value::Array(items) => items.iter_mut().flat_map(dimensions).collect(),
        Value::Table(table) => table
            .iter_mut()
            .filter(|(key, _)| *key != "metal")
            .flat_map(|(_, value)| dimensions(value))
            .collect(),
        _ => Vec::new(),
    }
}

fn inches(text: &str) -> Option<f64> {
    match parse_dimension(text) {
        Ok(Dimension::FullSize(length)) => Some(length.at_scale(12.0)),
        _ => None,
    }
}

/// Changes one dimension: a little, a lot, to nothing, or to another one's value.
fn change(dice: &mut Dice, all: &mut [&mut String]) {
    let (own, other) = (dice.below(all.len()), dice.below(all.len()));
    let value = inches(all[own]).unwrap_or(1.0);
    let changed = match dice.below(6) {
        0 => value * (1.0 + 1e-9 * (dice.unit() - 0.5)),
        1 => value + 0.25 * (dice.unit() - 0.5),
        2 => value * (0.9 + 0.2 * dice.unit()),
        3 => value * (0.3 + 2.0 * dice.unit()),
        4 => 1e-3 * dice.unit(),
        _ => inches(all[other]).unwrap_or(value),
    };
    *all[own] = format!("{changed}in");
}

/// A demo model with some of its dimensions changed, and the wheels to build it for.
fn model_of(dice: &mut Dice, models: &[(String, Table)]) -> (String, String, WheelStandard) {
    let (name, table) = &models[dice.below(models.len())];
    let mut value = Value::Table(table.clone());
    let mut all = dimensions(&mut value);
    for _ in 0..=dice.below(4) {
        change(dice, &mut all);
    }
    let wheels = WheelStandard::ALL[dice.below(WheelStandard::ALL.len())];
    let text = toml::to_string(&value).expect("a table that was read can be written");
    (name.clone(), text, wheels)
}

/// What became of a model: built, or refused by its file, or refused by its shape.
fn build(text: &str, wheels: WheelStandard) -> &'static str {
    let overrides = Overrides {
        wheels: Some(wheels),
        ..Overrides::default()
    };
    let Ok(model) = Model::read("random.toml", text.as_bytes(), &overrides) else {
        return "file";
    };
    match body::build(&model) {
        Ok(body) => {
            match refuse_unsound(&body) {
                Ok(()) => "built",
                // Named by its plate, as a shape that cannot be is.
                Err(_) => "touching",
            }
        }
        Err(error) => {
            assert!(!error.problems[0].message.is_empty());
            "shape"
        }
    }
}

#[test]
fn random_bodies_are_sound_or_refused() {
    let number = |name: &str, default: u64| {
        std::env::var(name).map_or(default, |text| text.parse().expect("a whole number"))
    };
    let (bodies, seed) = (number("PLATEWORK_BODIES", 100), number("PLATEWORK_SEED", 0));
    let models: Vec<(String, Table)> = platework_tests::models::all()
        .into_iter()
        .map(|(name, text)| (name, text.parse().expect("the demo models are TOML")))
        .collect();
    let mut built = 0;
    let mut failed = Vec::new();
    for number in 0..bodies {
        let mut dice = Dice(
            seed.wrapping_add(number)
                .wrapping_mul(0x2545_f491_4f6c_dd1d),
        );
        let (name, text, wheels) = model_of(&mut dice, &models);
        match catch_unwind(AssertUnwindSafe(|| build(&text, wheels))) {
            Ok("built") => built += 1,
            Ok(_) => {}
            Err(_) => {
                println!("body {number} of {name} failed");
                failed.push((number, name, wheels.word(), text));
            }
        }
        if (number + 1) % 1000 == 0 {
            println!(
                "{} bodies, {built} built, {} failed",
                number + 1,
                failed.len()
            );
        }
    }
    println!("{built} of {bodies} bodies were built, the others refused");
    if let Some((number, name, wheels, text)) = failed.first() {
        let numbers: Vec<u64> = failed.iter().map(|(number, ..)| *number).collect();
        panic!("bodies {numbers:?} failed; body {number} is {name} for {wheels} wheels:\n{text}");
    }
    assert!(
        built * 5 > bodies,
        "too few of {bodies} were built: {built}"
    );
}
