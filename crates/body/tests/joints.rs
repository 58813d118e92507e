//! Joints of the demo engines, measured from their plates.
#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

use body::{Model, Overrides, WheelStandard, build};

fn demo(name: &str, wheels: WheelStandard) -> body::Body {
    let path = format!(
        "{}/../../demo-models/{name}.toml",
        env!("CARGO_MANIFEST_DIR")
    );
    let bytes = std::fs::read(path).unwrap();
    let overrides = Overrides {
        scale: None,
        wheels: Some(wheels),
        variant: None,
    };
    build(&Model::read("demo.toml", &bytes, &overrides).unwrap()).unwrap()
}

#[test]
fn every_joint_holds_as_drawn() {
    for wheels in WheelStandard::ALL {
        for joint in demo("class-b", wheels).joints {
            let (low, high) = joint.limit;
            assert!(
                joint.gap >= low - 1e-9 && joint.gap <= high + 1e-9,
                "{} at {}: {:.4} outside {low} to {high}",
                joint.id,
                wheels.word(),
                joint.gap
            );
        }
    }
}
