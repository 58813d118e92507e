//! The demo engine, built at both scales.

use body::{Model, Overrides, Scale};

fn model(scale: Scale) -> Model {
    let overrides = Overrides {
        scale: Some(scale),
        wheels: None,
    };
    let text = include_bytes!("../../../demo-models/class-b.toml");
    Model::read("class-b.toml", text, &overrides).unwrap_or_else(|error| panic!("{error}"))
}

/// Flat and formed lengths and areas of every plate agree, measured each without the other.
#[test]
fn every_plate_keeps_its_lengths_and_area() {
    for scale in Scale::ALL {
        let body = body::build(&model(scale)).unwrap_or_else(|error| panic!("{error}"));
        assert!(body.plates.len() > 25);
        for plate in &body.plates {
            for edge in plate.edge_lengths().unwrap() {
                let case = format!("{} {} {}", scale.word(), plate.id, edge.name);
                assert!(
                    (edge.flat - edge.formed).abs() < 1e-6,
                    "{case}: flat {} formed {}",
                    edge.flat,
                    edge.formed
                );
            }
            let whole = plate.whole().unwrap();
            let (flat, formed) = (whole.flat_area, whole.formed.neutral_area);
            assert!(flat > 0.0, "{}", plate.id);
            assert!(
                (flat - formed).abs() < 1e-9 * flat,
                "{} {}: flat {flat} formed {formed}",
                scale.word(),
                plate.id
            );
        }
    }
}

#[test]
fn show() {
    let body = body::build(&model(Scale::Seven)).unwrap_or_else(|error| panic!("{error}"));
    for p in &body.plates {
        println!("{:28} {:8.2} mm2 holes {} rivets {} regions {}", p.id, p.whole().unwrap().flat_area, p.holes.len(), p.rivets.len(), p.regions.len());
    }
    for f in &body.findings { println!("{:?} {} {}", f.severity, f.rule, f.sentence); }
    for j in &body.joints { if j.range.0 < j.limit.0 || j.range.1 > j.limit.1 { println!("joint {} {:?} {:?}", j.id, j.range, j.limit); } }
    for n in ["boiler-wrapper", "firebox-wrapper"] { let p = body.plate(n).unwrap(); for (n, q) in &p.points { println!("{n} {:.4} {:.4}", q.x, q.y); } for e in p.edge_lengths().unwrap() { println!("{e:?}"); } }
}
