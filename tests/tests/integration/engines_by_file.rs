//! Engines that were made by writing a model file only: built at both scales, sound, and with nothing to find.

use crate::builds::{at_scale, build, scale_wheels};
use body::{Body, Model, Scale, Severity};
use check::check_body;
use platework_tests::{close, sound::refuse_unsound};
use solid::{block_mesh, block_volume};
use std::path::Path;

const ENGINES: [&str; 4] = [
    "four-coupled-passenger",
    "four-wheel-tender",
    "dock-saddle-tank",
    "ten-wheeler",
];

/// Greatest distance of a block's chords from its curves (mm).
const CHORD_MM: f64 = 0.01;

fn engine(name: &str, scale: Scale) -> (Model, Body) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("models/{name}.toml"));
    build(
        name,
        &std::fs::read_to_string(path).unwrap(),
        at_scale(scale),
    )
}

#[test]
fn every_engine_is_sound_and_nothing_is_found() {
    for name in ENGINES {
        for scale in Scale::ALL {
            let (model, body) = engine(name, scale);
            let at = format!(
                "{name} at {} on {}",
                scale.word(),
                scale_wheels(scale).word()
            );
            let found: Vec<String> = check_body(&body, model.metal.process)
                .into_iter()
                .filter(|finding| finding.severity != Severity::Note)
                .map(|finding| format!("{} {}: {}", finding.rule, finding.path, finding.sentence))
                .collect();
            assert!(found.is_empty(), "{at}:\n{}", found.join("\n"));
            refuse_unsound(&body).expect("its plates have solids");
            for block in &body.blocks {
                let mesh = block_mesh(block, CHORD_MM).unwrap_or_else(|e| panic!("{at}: {e}"));
                let want = block_volume(block).unwrap();
                close(
                    mesh.volume(),
                    want,
                    1e-2 * want,
                    &format!("{at}: {}", block.id),
                );
            }
        }
    }
}

/// What makes each of them the engine that its file says it is.
#[test]
fn each_engine_is_what_it_says() {
    let has = |body: &Body, id: &str| body.plate(id).is_some();
    let wheels = |body: &Body| {
        let mut axles: Vec<_> = (body.fittings.iter())
            .filter(|fitting| fitting.id.starts_with("axle-"))
            .map(|fitting| &fitting.id)
            .collect();
        axles.dedup();
        axles.len()
    };
    for scale in Scale::ALL {
        let (_, passenger) = engine("four-coupled-passenger", scale);
        assert_eq!(wheels(&passenger), 3);
        assert!(has(&passenger, "splasher-2-face-left") && has(&passenger, "cab-roof"));
        let turn = |body: &Body, path: &str| {
            let found = body.angles.iter().find(|angle| angle.path == path);
            found.unwrap().radians
        };
        close(
            turn(&passenger, "boiler.flat_angle"),
            0.0,
            1e-12,
            "parallel",
        );

        let (_, tender) = engine("four-wheel-tender", scale);
        assert_eq!(wheels(&tender), 2);
        assert!(has(&tender, "outside-frame-left") && !has(&tender, "boiler-wrapper"));

        let (_, dock) = engine("dock-saddle-tank", scale);
        assert_eq!(wheels(&dock), 2);
        assert!(has(&dock, "saddle-tank-wrapper") && !has(&dock, "splasher-1-face-left"));

        let (_, ten) = engine("ten-wheeler", scale);
        assert_eq!(wheels(&ten), 5);
        let rings = (ten.plates.iter())
            .filter(|plate| plate.id.starts_with("boiler-wrapper-"))
            .count();
        assert_eq!(rings, 3);
        let half = |end: &str| {
            let path = format!("firebox.{end}.half_perimeter");
            let found = ten.dimensions.iter().find(|own| own.path == path);
            found.unwrap().mm * 12.0 / scale.mm_per_foot()
        };
        assert!(
            half("front") - half("rear") > 8.0,
            "the firebox is unequal at its ends"
        );
    }
}
