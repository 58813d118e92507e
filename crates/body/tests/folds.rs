//! Folded plates, rings under fittings, tabs and seams of the demo engines.
#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod plates;

use body::{Body, Curve, Face, Joint, JointKind, Model, Overrides, Plate, Purpose, Region, Scale};
use develop::{HalfEtchedFold, SurfacePoint};
use geom::FlatPoint;
use geom::math::FRAC_PI_2;
use plates::keeps_its_lengths_and_area;

const ALL: [&str; 6] = [
    "class-b", "class-e", "class-s", "class-m", "class-m2", "tender-t",
];

fn demo(name: &str, scale: Scale) -> (Model, Body) {
    let path = format!(
        "{}/../../demo-models/{name}.toml",
        env!("CARGO_MANIFEST_DIR")
    );
    let bytes = std::fs::read(path).unwrap();
    let overrides = Overrides {
        scale: Some(scale),
        ..Overrides::default()
    };
    let model = Model::read("demo.toml", &bytes, &overrides).unwrap();
    let body = body::build(&model).unwrap();
    (model, body)
}

fn every(check: impl Fn(&str, &Body)) {
    for name in ALL {
        for scale in Scale::ALL {
            let (_, body) = demo(name, scale);
            check(&format!("{name} {}", scale.word()), &body);
        }
    }
}

fn folds(plate: &Plate) -> impl Iterator<Item = &Region> {
    let is_fold = |region: &&Region| region.purpose == Purpose::Fold;
    plate.regions.iter().filter(is_fold)
}

fn folded(body: &Body) -> impl Iterator<Item = &Plate> {
    body.plates.iter().filter(|plate| folds(plate).count() > 0)
}

/// Corners of a region on the flat.
fn corners(plate: &Plate, region: &Region) -> Vec<FlatPoint> {
    let corner = |curve| plate.flat_point(curve, 0.0).unwrap();
    region.boundary.iter().map(corner).collect()
}

#[track_caller]
fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}"
    );
}

/// Every engine has folded plates; each groove is as wide as closes it and lies on the inside of its fold.
#[test]
fn grooves_close_on_the_inside_of_their_folds() {
    every(|case, body| {
        assert!(folded(body).count() >= 2, "{case}");
        for plate in folded(body) {
            let loft = plate.forming.loft().unwrap();
            let t = plate.sheet.thickness();
            for region in folds(plate) {
                let what = format!("{case} {} {}", plate.id, region.name);
                let web = region.z_high - region.z_low;
                let fold = HalfEtchedFold::closing(FRAC_PI_2, t, t - web).unwrap();
                let points = corners(plate, region);
                let width = points.iter().map(|p| p.y).fold(f64::MIN, f64::max)
                    - points.iter().map(|p| p.y).fold(f64::MAX, f64::min);
                close(width, fold.width, 1e-9, &what);
                // Travel has the outside on its left: a turn to the left has it on the inner side.
                let w = loft.locate(points[0] + (points[2] - points[0]) / 2.0).w;
                let turn = loft.patches()[w as usize].turn();
                close(turn.abs(), FRAC_PI_2, 1e-12, &what);
                let face = if turn > 0.0 {
                    Face::Outside
                } else {
                    Face::Inside
                };
                assert_eq!(region.face, face, "{what}");
                let removed = if turn > 0.0 {
                    plate.sheet.z_high - region.z_high
                } else {
                    region.z_low - plate.sheet.z_low
                };
                close(removed, t - web, 1e-12, &what);
            }
            keeps_its_lengths_and_area(plate, case);
        }
    });
}

/// Drawn to the middle of its groove, a leg with the outside on the outer side is shorter than it comes
/// out by the leg allowance; on the inner side it runs to the corner of the outside faces.
#[test]
fn legs_have_the_allowance_of_their_fold() {
    for scale in Scale::ALL {
        let (_, body) = demo("class-e", scale);
        let leg = |plate: &Plate, w: f64| {
            let loft = plate.forming.loft().unwrap();
            let y = |w| loft.flat(SurfacePoint { w, v: 0.0 }).y;
            y(w + 1.0) - y(w)
        };
        let beam = body.plate("buffer-beam-front").unwrap();
        let t = beam.sheet.thickness();
        let fold = HalfEtchedFold::closing(FRAC_PI_2, t, t / 2.0).unwrap();
        // Over the outside of the fold: 2.5 and 4.0 mm.
        let lip = scale_pick(scale, 2.5, 4.0);
        let drawn = leg(beam, 2.0) + fold.width / 2.0;
        close(drawn, lip - fold.leg_allowance(), 1e-9, "lip of the beam");
        // A tread stands out by the 7 inches from its back plate's face to the footplate's edge.
        let step = body.plate("step-left-1").unwrap();
        let reach = body.plate("footplate").unwrap().sheet.thickness();
        let tread = 7.0 / 12.0 * scale.mm_per_foot();
        close(leg(step, 2.0) - reach, tread, 1e-9, "tread");
    }
}

fn scale_pick(scale: Scale, four: f64, seven: f64) -> f64 {
    if scale.mm_per_foot() < 5.0 {
        four
    } else {
        seven
    }
}

/// Holes through folded plates lie over those of what they are pinned to, once they are folded.
#[test]
fn holes_of_folded_plates_meet_after_folding() {
    every(|case, body| {
        let is_folded = |id: &str| folds(body.plate(id).unwrap()).count() > 0;
        let holes: Vec<&Joint> = body
            .joints
            .iter()
            .filter(|j| j.kind == JointKind::Hole && is_folded(&j.a.plate))
            .collect();
        assert!(holes.len() >= 2, "{case}");
        for joint in holes {
            let [a, b] = [&joint.a, &joint.b].map(|side| {
                let plate = body.plate(&side.plate).unwrap();
                let hole = plate.hole(&side.feature).unwrap();
                plate.forming.place(hole.centre)
            });
            // One film and two halves of a sheet apart, along the normal of both.
            let apart = a.point - b.point;
            let aside = apart - b.normal * apart.dot(&b.normal);
            close(aside.norm(), 0.0, 1e-9, &format!("{case} {}", joint.id));
            close(a.normal.cross(&b.normal).norm(), 0.0, 1e-9, &joint.id);
        }
    });
}

#[test]
fn every_joint_holds_as_drawn() {
    every(|case, body| {
        for joint in &body.joints {
            let (low, high) = joint.limit;
            assert!(
                joint.gap >= low - 1e-9 && joint.gap <= high + 1e-9,
                "{case} {}: {:.4} outside {low} to {high}",
                joint.id,
                joint.gap
            );
        }
    });
}

/// Rings on wrappers lie under the foot of their fitting, round its axis as it stands.
#[test]
fn rings_on_wrappers_lie_under_their_fittings() {
    for name in ["class-b", "class-e", "class-s", "class-m", "class-m2"] {
        for scale in Scale::ALL {
            let (_, body) = demo(name, scale);
            for feature in ["chimney", "dome", "safety-valves"] {
                let case = format!("{name} {} {feature}", scale.word());
                let ring = format!("{feature}-witness-");
                let own = body
                    .plates
                    .iter()
                    .find(|plate| plate.regions.iter().any(|r| r.name.starts_with(&ring)));
                let plate = own.unwrap_or_else(|| panic!("{case} has a ring"));
                let hole = plate.hole(feature).unwrap();
                let axis = plate.forming.place(hole.centre).point;
                let mut radii = Vec::new();
                for part in plate.regions.iter().filter(|r| r.name.starts_with(&ring)) {
                    for curve in &part.boundary {
                        for t in [0.0, 0.5] {
                            let flat = plate.flat_point(curve, t).unwrap();
                            let at = plate.forming.place(flat).point - axis;
                            radii.push((at.x * at.x + at.y * at.y).sqrt());
                        }
                    }
                }
                let low = radii.iter().copied().fold(f64::MAX, f64::min);
                let high = radii.iter().copied().fold(0.0, f64::max);
                // No wider in plan than on the flat, the two sides of one line.
                assert!(high - low < 0.7, "{case}: {low} to {high}");
                assert!(low > hole.diameter.unwrap() / 2.0, "{case}: {low}");
            }
        }
    }
}

/// No plate is left without anything to place it by.
#[test]
fn every_plate_meets_another() {
    every(|case, body| {
        for plate in &body.plates {
            let met = body
                .joints
                .iter()
                .any(|j| j.a.plate == plate.id || j.b.plate == plate.id);
            assert!(met, "{case}: {} meets nothing", plate.id);
        }
    });
}

/// Plates that stand on others by tabs or pins, in every engine that has them.
#[test]
fn structural_plates_have_tabs_or_pins() {
    let by_tab_or_pin = [
        "buffer-beam-",
        "drag-beam",
        "step-",
        "sandbox-",
        "cab-front",
        "cab-side-",
        "cab-bracket-",
        "cab-floor-bearer-",
        "tank-side-",
        "tank-front-",
        "tank-inner-",
        "tank-top-",
        "tank-baffle-",
    ];
    every(|case, body| {
        let held = |plate: &Plate| {
            body.joints.iter().any(|j| {
                let held = matches!(j.kind, JointKind::Tab | JointKind::Hole);
                held && (j.a.plate == plate.id || j.b.plate == plate.id)
            })
        };
        for plate in &body.plates {
            if by_tab_or_pin
                .iter()
                .any(|start| plate.id.starts_with(start))
            {
                assert!(held(plate), "{case}: {}", plate.id);
            }
        }
    });
}

/// Barrels close at the bottom, a strip lies behind each seam, and a band covers each joint of rings.
#[test]
fn seams_are_hidden() {
    for name in ["class-b", "class-e", "class-s", "class-m", "class-m2"] {
        let (_, body) = demo(name, Scale::Seven);
        let rings: Vec<&Plate> = body
            .plates
            .iter()
            .filter(|plate| plate.id.starts_with("boiler-wrapper"))
            .collect();
        assert!(!rings.is_empty(), "{name}");
        for wrapper in &rings {
            let loft = wrapper.forming.loft().unwrap();
            let place = |w, v| loft.formed(SurfacePoint { w, v }).point;
            for v in [0.0, 1.0] {
                let seam = place(0.0, v);
                close(seam.y, 0.0, 1e-9, name);
                let lowest = (0..=200)
                    .map(|i| place(loft.w_end() * f64::from(i) / 200.0, v).z)
                    .fold(f64::MAX, f64::min);
                close(seam.z, lowest, 1e-9, name);
            }
            let strip = body
                .joints
                .iter()
                .any(|j| j.a.plate.starts_with("boiler-joint-strip") && j.b.plate == wrapper.id);
            assert!(strip, "{name} {}", wrapper.id);
        }
        for pair in rings.windows(2) {
            let touches = |plate: &Plate, edge: f64| {
                plate.regions.iter().any(|region| {
                    region.purpose == Purpose::Band
                        && region.boundary.iter().any(|curve| match curve {
                            Curve::Surface(develop::Trace::Section { v, .. }) => *v == edge,
                            _ => false,
                        })
                })
            };
            let covered = touches(pair[0], 1.0) || touches(pair[1], 0.0);
            assert!(covered, "{name}: a joint of rings without a band");
        }
    }
}

/// Wrappers have centre-line ticks to be set by, and so have the plates inside that they go over.
#[test]
fn wrappers_have_ticks() {
    let ticked = [
        "smokebox-wrapper",
        "boiler-wrapper",
        "firebox-wrapper",
        "cab-roof",
        "cab-front",
        "cab-back",
        "bunker-wrapper",
        "tender-tank-wrapper",
        "saddle-tank-wrapper",
        "cylinder-",
        "boiler-former-",
        "smokebox-former-",
        "firebox-former-front",
    ];
    let mut seen = std::collections::BTreeSet::new();
    for name in ALL {
        let (_, body) = demo(name, Scale::Seven);
        for plate in &body.plates {
            let own = ticked.iter().find(|own| plate.id.starts_with(*own));
            if plate.id.contains("overlay") {
                continue;
            }
            let Some(own) = own else { continue };
            let marked = plate.regions.iter().any(|r| r.purpose == Purpose::Mark);
            assert!(marked, "{name} {}", plate.id);
            seen.insert(*own);
        }
    }
    assert_eq!(seen.len(), ticked.len(), "{seen:?}");
}
