//! Exact solids with their rivet heads on.
//!
//! As in `brep_solids.rs` each is written to the target folder with the figures expected of it, for
//! `tests/conformance/step_check.py`.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod trial;

use body::{Model, Overrides, Plate, Rivet, flat_curves};
use develop::{BendRule, Forming, Loft, LoftFrame, SurfacePoint};
use geom::math::TAU;
use geom::{Chain, FlatPoint, Outline, Placement, Point2, Point3, Vector3};
use solid::{exact_measures, exact_rivets, plate_step, riveted_measures, riveted_step};
use std::path::PathBuf;
use std::time::Instant;
use trial::{Files, class_b, class_m, hole, plate, rolled, wrapper};

fn rivet(centre: FlatPoint, head_diameter: f64) -> Rivet {
    Rivet {
        centre,
        head_diameter,
        head_height: 0.37 * head_diameter,
        dot: None,
        row: "row".to_owned(),
    }
}

fn flat_plate(id: &str) -> Plate {
    let outline = flat_curves(&Outline::rectangle(
        Point2::new(0.0, 0.0),
        Point2::new(20.0, 8.0),
    ));
    let placement = Placement::new(
        Point3::new(3.0, -7.0, 11.0),
        Vector3::new(0.8, 0.0, 0.6),
        Vector3::y(),
    );
    let round = flat_curves(&Outline::circle(Point2::new(15.0, 4.0), 2.0));
    plate(
        id,
        0.15,
        Forming::Flat(placement),
        outline,
        vec![hole("round", round)],
    )
}

/// Lays heads on places of a loft, by ruling coordinate and fraction of the ruling.
fn riveted(id: &str, loft: Loft, places: &[(f64, f64)]) -> Plate {
    let centres: Vec<FlatPoint> = places
        .iter()
        .map(|(w, v)| loft.flat(SurfacePoint { w: *w, v: *v }))
        .collect();
    let mut plate = rolled(id, 0.15, loft, Vec::new());
    plate.rivets = centres.iter().map(|centre| rivet(*centre, 0.5)).collect();
    plate
}

fn cone(front: f64, rear: f64, length: f64) -> Loft {
    let circle = |radius: f64| {
        Chain::starting(Point2::new(0.0, -radius), 0.0)
            .arc(radius, TAU - 0.05)
            .finish()
            .reversed()
    };
    let frame = LoftFrame::along_engine(50.0);
    Loft::between(
        frame,
        &circle(front),
        &circle(rear),
        length,
        0.15,
        BendRule::default(),
    )
    .unwrap()
}

/// The heads' own volume, and how far that is from their caps on flat metal (share).
fn heads(plate: &Plate) -> (f64, f64) {
    let standing = exact_rivets(plate).unwrap();
    let caps: f64 = standing.iter().map(|i| plate.rivets[*i].volume()).sum();
    let bare = exact_measures(plate).unwrap().volume;
    let own = riveted_measures(plate).unwrap().volume - bare;
    (own, own / caps - 1.0)
}

#[test]
fn heads_on_flat_metal_are_caps() {
    let mut plate = flat_plate("rivets-flat");
    for i in 0..9 {
        plate
            .rivets
            .push(rivet(FlatPoint::new(1.0 + f64::from(i), 1.0), 0.5));
    }
    let mut files = Files::to("brep-rivets-flat");
    let measures = files.add_riveted(&plate);
    files.finish();
    let want = plate.expected_volume(true).unwrap();
    assert!(
        (measures.volume - want).abs() < 1e-9 * want,
        "{measures:?} {want}"
    );
    let bare = exact_measures(&plate).unwrap();
    // The cap of a sphere is π h² wider than its foot.
    let grown: f64 = plate
        .rivets
        .iter()
        .map(|r| geom::math::PI * r.head_height * r.head_height)
        .sum();
    assert!(
        (measures.area - bare.area - grown).abs() < 1e-9,
        "{measures:?}"
    );
    let faces = |text: String| text.matches("ADVANCED_FACE(").count();
    assert_eq!(
        faces(riveted_step(&plate).unwrap()),
        faces(plate_step(&plate).unwrap()) + 4 * 9
    );
}

#[test]
fn heads_that_would_touch_something_are_left_off() {
    let mut plate = flat_plate("rivets-left-off");
    let at = |x, y| rivet(FlatPoint::new(x, y), 0.5);
    plate.rivets = vec![
        at(1.0, 1.0),
        at(0.2, 1.0),
        at(1.4, 1.0),
        at(13.1, 4.0),
        at(15.0, 4.0),
        at(-3.0, 4.0),
        at(f64::NAN, 4.0),
        at(5.0, 5.0),
        rivet(FlatPoint::new(8.0, 5.0), 0.0),
    ];
    assert_eq!(exact_rivets(&plate).unwrap(), [0, 7]);
    assert!(riveted_step(&plate).is_ok());
    plate.rivets.clear();
    assert_eq!(riveted_step(&plate).unwrap(), plate_step(&plate).unwrap());
}

#[test]
fn heads_on_bent_metal_follow_the_skin() {
    let mut files = Files::to("brep-rivets");
    // Sectors of the barrels join at one and two thirds of the turn: heads stand across.
    let around = [
        (0.1, 0.1),
        (1.0 / 3.0, 0.3),
        (0.335, 0.8),
        (0.5, 0.5),
        (0.9, 0.9),
    ];
    let (front, rear) = (class_b(100.0).whole(0.4), class_b(97.0).whole(0.4));
    let (m_front, m_rear) = (
        class_m(96.0, 30.0).whole(0.4),
        class_m(100.0, 32.0).whole(0.4),
    );
    // Across the borders of crown, shoulder and side, and within each.
    let over: Vec<(f64, f64)> = (1..13)
        .map(|i| (0.5 * f64::from(i), 0.05 + 0.06 * f64::from(i)))
        .collect();
    let plates = [
        riveted("rivets-cylinder", cone(9.0, 9.0, 30.0), &around),
        riveted("rivets-cone", cone(9.0, 11.0, 30.0), &around),
        riveted("rivets-wrapper", wrapper(&front, &front, 30.0, 0.15), &over),
        riveted(
            "rivets-sloping-wrapper",
            wrapper(&front, &rear, 30.0, 0.15),
            &over,
        ),
        riveted(
            "rivets-tapered-wrapper",
            wrapper(&m_front, &m_rear, 30.0, 0.15),
            &over,
        ),
    ];
    for plate in &plates {
        let count = plate.rivets.len();
        assert_eq!(exact_rivets(plate).unwrap().len(), count, "{}", plate.id);
        files.add_riveted(plate);
        let (own, off) = heads(plate);
        assert!(own > 0.0 && off.abs() < 0.1, "{}: {own} {off}", plate.id);
    }
    files.finish();
    // The skin of a cylinder falls away by r² sin² φ/(2R) under the rim, so that a head is higher by a
    // part of that: between nothing and a disc of the mean fall of the rim.
    let (own, off) = heads(&plates[0]);
    let (a, outside) = (0.25, 9.0 + 0.15);
    let fall = 5.0 * geom::math::PI * a * a * a * a / (4.0 * outside);
    assert!(off > 0.0 && own - own / (1.0 + off) < fall, "{own} {off}");
}

/// Leaves about fifty of many rivets, from all over the plate: the other kernel takes long over each.
fn thin_out(rivets: &mut Vec<Rivet>) {
    let step = rivets.len().div_ceil(50);
    let mut number = 0;
    rivets.retain(|_| {
        number += 1;
        number % step == 0
    });
}

/// A riveted flat plate and a riveted bent one of every demo model.
#[test]
fn demo_models_with_their_rivets_on() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../demo-models");
    let mut models: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "toml"))
        .collect();
    models.sort();
    let mut files = Files::to("brep-rivets-demo");
    let (mut proved, mut bent) = (0, 0);
    for path in models {
        let bytes = std::fs::read(&path).unwrap();
        let name = path.file_stem().unwrap().to_str().unwrap();
        let model = Model::read(name, &bytes, &Overrides::default()).unwrap();
        let engine = body::build(&model).unwrap();
        for is_rolled in [false, true] {
            let like = |plate: &&Plate| plate.forming.loft().is_some() == is_rolled;
            let Some(plate) = engine
                .plates
                .iter()
                .filter(|plate| !plate.rivets.is_empty())
                .filter(like)
                .max_by_key(|plate| plate.rivets.len().min(250))
            else {
                continue;
            };
            let mut plate = plate.clone();
            plate.id = format!("{name}-{}", plate.id);
            thin_out(&mut plate.rivets);
            let start = Instant::now();
            let text = riveted_step(&plate).unwrap();
            let spent = start.elapsed();
            let bare = plate_step(&plate).unwrap().len();
            let heads = exact_rivets(&plate).unwrap().len();
            println!(
                "{}: {heads} of {} heads, {:.2} ms and {} bytes each",
                plate.id,
                plate.rivets.len(),
                spent.as_secs_f64() * 1e3 / heads as f64,
                (text.len() - bare) / heads
            );
            assert!(heads * 10 >= plate.rivets.len() * 9, "{}", plate.id);
            files.add_riveted(&plate);
            proved += 1;
            bent += usize::from(is_rolled);
        }
    }
    files.finish();
    assert!(proved >= 8 && bent >= 2, "{proved} plates, {bent} bent");
}
