//! Exact solids of plates with places of other depth, slots, tabs and folds.
//!
//! As in `brep_solids.rs` each is written to the target folder with the figures expected of it, for
//! `tests/conformance/step_check.py`.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod trial;

use body::{Curve, Face, Plate, Purpose, Region, Sheet, flat_curves};
use develop::{BendRule, Folded, Forming, Loft, LoftFrame, SurfacePoint, Trace, oblique_cone};
use geom::math::{FRAC_PI_2, FRAC_PI_4, PI, TAU, sin_cos};
use geom::{Chain, FlatPoint, Outline, Placement, Point2, Point3, Vector2, Vector3};
use solid::{SolidError, exact_measures, plate_step};
use trial::{Files, SCALES, bore, class_b, class_m, hole, plate, rolled, wrapper};

fn region(name: &str, heights: [f64; 2], boundary: Vec<Curve>) -> Region {
    Region {
        name: name.to_owned(),
        purpose: Purpose::HalfEtch,
        face: Face::Outside,
        z_low: heights[0],
        z_high: heights[1],
        boundary,
    }
}

/// The part of a loft between two rulings and two fractions of them.
fn panel(w: [f64; 2], v: [f64; 2]) -> Vec<Curve> {
    let ruling = |w, from, to| Curve::Surface(Trace::Ruling { w, from, to });
    let section = |v, from, to| Curve::Surface(Trace::Section { v, from, to });
    vec![
        ruling(w[0], v[0], v[1]),
        section(v[1], w[0], w[1]),
        ruling(w[1], v[1], v[0]),
        section(v[0], w[1], w[0]),
    ]
}

fn rectangle(low: (f64, f64), high: (f64, f64)) -> Vec<Curve> {
    flat_curves(&Outline::rectangle(
        Point2::new(low.0, low.1),
        Point2::new(high.0, high.1),
    ))
}

fn polygon(corners: &[(f64, f64)]) -> Vec<Curve> {
    let corners: Vec<Point2> = corners.iter().map(|(x, y)| Point2::new(*x, *y)).collect();
    flat_curves(&Outline::polygon(&corners))
}

fn closed(chain: Chain) -> Vec<Curve> {
    flat_curves(&Outline::from_chain(&chain).unwrap())
}

/// A slot with round ends, `length` between the centres of its ends, in a direction (rad).
fn slot(middle: FlatPoint, length: f64, width: f64, direction: f64) -> Vec<Curve> {
    let (s, c) = sin_cos(direction);
    let start = middle - Vector2::new(c, s) * (length / 2.0) + Vector2::new(s, -c) * (width / 2.0);
    let chain = Chain::starting(start, direction)
        .line(length)
        .arc(width / 2.0, PI)
        .line(length)
        .arc(width / 2.0, PI);
    closed(chain.finish())
}

/// A placement that is square to no axis.
fn aslant() -> Placement {
    let (s, c) = sin_cos(0.3);
    let along = Vector3::new(c, 0.0, s);
    Placement::new(Point3::new(10.0, -20.0, 30.0), along, Vector3::y())
}

fn flat_plate(id: &str, t: f64, outline: Vec<Curve>) -> Plate {
    plate(id, t, Forming::Flat(aslant()), outline, Vec::new())
}

/// Area of a solid's faces from the forming alone: skins by the measures of what each boundary
/// encloses, walls by strips along the normals of every boundary.
fn sheet_area(plate: &Plate) -> f64 {
    let plain = [plate.sheet.z_low, plate.sheet.z_high];
    let whole = plate.whole().unwrap().formed;
    let skin = |part: develop::LoopMeasure, z: f64| part.mid_area + part.bend * z;
    let mut area: f64 = plain.iter().map(|z| skin(whole, *z)).sum();
    let holes = plate.holes.iter().flat_map(|hole| &hole.boundary);
    for curve in plate.outline.iter().map(|edge| &edge.curve).chain(holes) {
        area += wall(plate, curve, plain);
    }
    for region in &plate.regions {
        let part = plate.enclosed(&region.boundary).unwrap().formed;
        let own = [region.z_low, region.z_high];
        for (z, plain) in own.into_iter().zip(plain) {
            area += skin(part, z) - skin(part, plain);
        }
        for curve in &region.boundary {
            area += if lies_on_edge(plate, curve) {
                wall(plate, curve, own) - wall(plate, curve, plain)
            } else {
                own.into_iter()
                    .zip(plain)
                    .map(|(z, plain)| wall(plate, curve, [z.min(plain), z.max(plain)]))
                    .sum()
            };
        }
    }
    area
}

/// Area of the strip along the normals over a curve, between two heights.
fn wall(plate: &Plate, curve: &Curve, heights: [f64; 2]) -> f64 {
    const STEPS: u32 = 2000;
    if heights[0] == heights[1] {
        return 0.0;
    }
    let place = |i: u32| {
        let t = f64::from(i) / f64::from(STEPS);
        let place = plate.forming.place(plate.flat_point(curve, t).unwrap());
        heights.map(|z| place.at_height(z))
    };
    (0..STEPS)
        .map(|i| {
            let ([a, b], [c, d]) = (place(i), place(i + 1));
            // Twice the area of a quadrilateral is the product of its diagonals.
            (d - a).cross(&(b - c)).norm() / 2.0
        })
        .sum()
}

/// True where the middle of a region's curve lies on the outline.
fn lies_on_edge(plate: &Plate, curve: &Curve) -> bool {
    let middle = plate.flat_point(curve, 0.5).unwrap();
    plate.outline.iter().any(|edge| {
        let at = |i: u32| plate.flat_point(&edge.curve, f64::from(i) / 500.0).unwrap();
        (0..500).any(|i| {
            let (a, b) = (at(i), at(i + 1));
            let chord = b - a;
            let share = (middle - a).dot(&chord) / chord.norm_squared();
            let foot = a + chord * share.clamp(0.0, 1.0);
            (middle - foot).norm() < 1e-3
        })
    })
}

/// Makes and writes a solid, and holds it against the sheet's own measures.
#[track_caller]
fn prove(files: &mut Files, plate: &Plate, tolerance: f64) {
    prove_with(files, plate, &[], tolerance);
}

/// As [`prove`], some regions being neighbours: their numbers and the length of their border (mm).
#[track_caller]
fn prove_with(
    files: &mut Files,
    plate: &Plate,
    neighbours: &[(usize, usize, f64)],
    tolerance: f64,
) {
    let id = &plate.id;
    let measured = files.add(plate);
    let volume = plate.expected_volume(false).unwrap();
    let mut area = sheet_area(plate);
    let plain = [plate.sheet.z_low, plate.sheet.z_high];
    let step = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).abs() + (a[1] - b[1]).abs();
    for (a, b, length) in neighbours {
        let [a, b] = [a, b].map(|i| [plate.regions[*i].z_low, plate.regions[*i].z_high]);
        area += length * (step(a, b) - step(a, plain) - step(b, plain));
    }
    for (what, got, want) in [
        ("volume", measured.volume, volume),
        ("area", measured.area, area),
    ] {
        assert!(
            (got - want).abs() <= tolerance * want,
            "{id}: {what} {got}, by the sheet {want}, off by {:e}",
            (got - want) / want
        );
    }
}

/// A side sheet with every kind of place of other depth: see the names.
fn etched_side(name: &str, scale: f64, t: f64) -> Plate {
    let [low, high] = [-t / 2.0, t / 2.0];
    let s = |inches: f64| inches * scale;
    let (length, width, corner) = (120.0, 60.0, 6.0);
    let mut chain = Chain::starting(Point2::new(s(corner), 0.0), 0.0);
    for side in [length, width, length, width] {
        chain = chain.line(s(side - 2.0 * corner)).arc(s(corner), FRAC_PI_2);
    }
    let mut plate = flat_plate(&format!("side-{name}"), t, closed(chain.finish()));
    let at = |x: f64, y: f64| (s(x), s(y));
    let panel = Chain::starting(Point2::new(s(14.0), s(10.0)), 0.0)
        .line(s(20.0))
        .arc(s(4.0), FRAC_PI_2)
        .line(s(10.0))
        .arc(s(4.0), FRAC_PI_2)
        .line(s(20.0))
        .arc(s(4.0), FRAC_PI_2)
        .line(s(10.0))
        .arc(s(4.0), FRAC_PI_2);
    let round_corner = Chain::starting(Point2::new(s(corner), 0.0), 0.0)
        .line(s(4.0))
        .corner(FRAC_PI_2)
        .line(s(10.0))
        .corner(FRAC_PI_2)
        .line(s(10.0))
        .corner(FRAC_PI_2)
        .line(s(4.0))
        .arc(s(6.0), FRAC_PI_2);
    plate.regions = vec![
        region("panel-outside", [low, 0.0], closed(panel.finish())),
        region("corner", [low, 0.2 * t], closed(round_corner.finish())),
        // From edge to edge on the inside, and a strip beside it that is etched from both sides.
        region(
            "groove",
            [0.0, high],
            rectangle(at(50.0, 0.0), at(53.0, width)),
        ),
        region(
            "both",
            [-0.2 * t, 0.1 * t],
            rectangle(at(53.0, 0.0), at(60.0, 30.0)),
        ),
        region(
            "proud",
            [low, 1.3 * t],
            rectangle(at(53.0, 30.0), at(58.0, width)),
        ),
        region(
            "tick",
            [low + 0.6 * t, high],
            rectangle(at(length - 4.0, 25.0), at(length, 26.0)),
        ),
        region(
            "round",
            [low, 0.1 * t],
            flat_curves(&Outline::circle(Point2::new(s(80.0), s(30.0)), s(9.0))),
        ),
        region(
            "sharp",
            [low, -0.1 * t],
            polygon(&[at(95.0, 10.0), at(108.0, 10.0), at(101.0, 20.0)]),
        ),
    ];
    plate.holes = vec![
        hole(
            "slot",
            slot(FlatPoint::new(s(24.0), s(45.0)), s(12.0), s(1.5), 0.4),
        ),
        hole(
            "round",
            flat_curves(&Outline::circle(Point2::new(s(100.0), s(45.0)), s(3.0))),
        ),
    ];
    plate
}

/// A barrel half-etched to a base, its bands left proud from seam to seam, with ticks on the inside
/// at both ends, some of them beside a band's border.
fn banded_barrel(name: &str, scale: f64, t: f64) -> Plate {
    let base = 0.6 * t;
    let ring = |radius: f64| {
        let mid = radius * scale - base / 2.0;
        (Point2::new(0.0, (60.0 + radius) * scale), mid)
    };
    let length = 120.0 * scale;
    let loft = oblique_cone(
        LoftFrame::along_engine(0.0),
        ring(26.0),
        ring(30.0),
        length,
        base,
        BendRule::default(),
    )
    .unwrap();
    let end = loft.w_end();
    let dome = bore("dome", 0.0, 0.45 * length, Point2::origin(), 9.0 * scale);
    let washout = bore(
        "washout",
        1.1,
        0.8 * length,
        Point2::new(0.0, 90.0 * scale),
        1.5 * scale,
    );
    let mut plate = rolled(&format!("banded-{name}"), base, loft, vec![dome, washout]);
    plate.sheet = Sheet::half_etched("brass half-hard", t, base);
    let [low, high] = [plate.sheet.z_low, plate.sheet.z_high];
    for (i, v) in [0.1, 0.35, 0.6, 0.88].into_iter().enumerate() {
        let heights = [low, high + plate.sheet.proud_height()];
        let band = panel([0.0, end], [v, v + 0.02]);
        plate
            .regions
            .push(region(&format!("band-{i}"), heights, band));
    }
    for (i, w) in [0.25, 0.5, 0.75].into_iter().enumerate() {
        for v in [[0.0, 0.04], [0.96, 1.0]] {
            let tick = panel([(w - 0.003) * end, (w + 0.003) * end], v);
            plate.regions.push(region(
                &format!("tick-{i}-{}", v[0]),
                [low / 2.0, high],
                tick,
            ));
        }
    }
    plate
}

/// A Belpaire wrapper with a band, a tick that begins at an end, a half-etch drawn on the flat over
/// the shoulder, one that ends on borders between patches, and slots through side and shoulder.
fn etched_wrapper(name: &str, scale: f64, t: f64) -> Plate {
    let (front, rear) = (class_b(120.0).whole(scale), class_b(118.5).whole(scale));
    let loft = wrapper(&front, &rear, 66.0 * scale, t);
    let (low, high, end) = (-t / 2.0, t / 2.0, loft.w_end());
    let at = |w: f64, v: f64| loft.flat(SurfacePoint { w, v });
    let shoulder = at(6.0, 0.45);
    let corner = Vector2::new(5.0, 4.0) * scale;
    let over_shoulder = flat_curves(&Outline::rectangle(shoulder - corner, shoulder + corner));
    let ring = flat_curves(&Outline::circle(at(6.6, 0.5), 5.0 * scale));
    let holes = vec![
        hole(
            "slot-side",
            slot(at(1.0, 0.5), 12.0 * scale, 1.5 * scale, 0.2),
        ),
        hole(
            "slot-shoulder",
            slot(at(2.0, 0.3), 9.0 * scale, 1.5 * scale, 1.3),
        ),
    ];
    let regions = vec![
        region(
            "band",
            [low, high + 0.5 * t],
            panel([0.0, end], [0.8, 0.84]),
        ),
        region("tick", [0.1 * low, high], panel([4.48, 4.52], [0.0, 0.1])),
        region("shoulder", [low, 0.0], over_shoulder),
        region("ring", [low, 0.1 * t], ring),
        region("patch", [low, 0.2 * t], panel([7.0, 9.0], [0.1, 0.3])),
        region(
            "to-the-foot",
            [low, 0.1 * t],
            panel([end - 0.5, end], [0.6, 0.7]),
        ),
    ];
    let mut plate = rolled(&format!("etched-wrapper-{name}"), t, loft, holes);
    plate.regions = regions;
    plate
}

/// A tank front with tabs along two sides, one of them with rounded corners, and a grid of slots.
fn slotted(name: &str, scale: f64, t: f64) -> Plate {
    let s = |inches: f64| inches * scale;
    let (pitch, tab, out, round) = (16.0, 8.0, 1.5, 0.4);
    let mut chain = Chain::starting(Point2::new(0.0, 0.0), 0.0);
    for _ in 0..6 {
        chain = chain
            .line(s(pitch - tab))
            .corner(-FRAC_PI_2)
            .line(s(out - round))
            .arc(s(round), FRAC_PI_2)
            .line(s(tab - 2.0 * round))
            .arc(s(round), FRAC_PI_2)
            .line(s(out - round))
            .corner(-FRAC_PI_2);
    }
    chain = chain.line(s(pitch - tab)).corner(FRAC_PI_2);
    for _ in 0..4 {
        for turn in [-FRAC_PI_2, FRAC_PI_2, FRAC_PI_2, -FRAC_PI_2] {
            chain = chain.line(s(6.0)).corner(turn);
        }
    }
    chain = chain.line(s(6.0)).corner(FRAC_PI_2);
    chain = chain.line(s(6.0 * pitch + pitch - tab)).corner(FRAC_PI_2);
    let outline = closed(chain.line(s(54.0)).finish());
    let mut plate = flat_plate(&format!("slotted-{name}"), t, outline);
    for i in 0..6 {
        for j in 0..3 {
            let middle =
                FlatPoint::new(s(10.0 + 15.0 * f64::from(i)), s(12.0 + 15.0 * f64::from(j)));
            let cut = slot(middle, s(8.0), s(1.2), 0.3 * f64::from(i * j));
            plate.holes.push(hole(&format!("slot-{i}-{j}"), cut));
        }
    }
    // A half-etched line round the last slots but one.
    let heights = [-t / 2.0, 0.0];
    let line = rectangle((s(2.0), s(4.0)), (s(93.0), s(7.0)));
    plate.regions.push(region("line", heights, line));
    plate
}

/// A right cone with slots along, across and aslant, one of them over the crown.
fn slotted_cone(name: &str, scale: f64, t: f64) -> Plate {
    let ring = |radius: f64| (Point2::new(0.0, 90.0 * scale), radius * scale - t / 2.0);
    let loft = oblique_cone(
        LoftFrame::along_engine(0.0),
        ring(26.0),
        ring(29.0),
        100.0 * scale,
        t,
        BendRule::default(),
    )
    .unwrap();
    let end = loft.w_end();
    let holes = [
        (0.2, 0.3, 0.0),
        (0.5, 0.5, FRAC_PI_4),
        (0.7, 0.6, FRAC_PI_2),
        (0.35, 0.8, 2.5),
    ]
    .into_iter()
    .enumerate()
    .map(|(i, (w, v, direction))| {
        let middle = loft.flat(SurfacePoint { w: w * end, v });
        hole(
            &format!("slot-{i}"),
            slot(middle, 14.0 * scale, 2.0 * scale, direction),
        )
    })
    .collect();
    rolled(&format!("slotted-cone-{name}"), t, loft, holes)
}

/// A plate folded along half-etched grooves: legs over the outside, and the turns between them.
fn folded(id: &str, t: f64, length: f64, legs: &[f64], turns: &[f64]) -> Plate {
    let start = Point2::new(-5.0, 12.0);
    let folded = Folded::new(start, 0.1, legs, turns, t, 0.5 * t).unwrap();
    let loft = folded.loft(LoftFrame::along_engine(20.0), length).unwrap();
    let mut plate = rolled(id, t, loft, Vec::new());
    for (i, turn) in turns.iter().enumerate() {
        let w = 2.0 * i as f64 + 1.0;
        let (low, high) = folded.web_heights(*turn);
        plate.regions.push(Region {
            purpose: Purpose::Fold,
            ..region(
                &format!("fold-{i}"),
                [low, high],
                panel([w, w + 1.0], [0.0, 1.0]),
            )
        });
    }
    plate
}

fn folded_plates(name: &str, scale: f64, t: f64) -> Vec<Plate> {
    let s = |inches: f64| inches * scale;
    let square = FRAC_PI_2;
    let at = |plate: &Plate, w: f64| {
        let place = SurfacePoint { w, v: 0.45 };
        plate.forming.loft().unwrap().flat(place)
    };
    let id = |word: &str| format!("{word}-{name}");
    let mut bracket = folded(&id("bracket"), t, s(20.0), &[s(9.0), s(12.0)], &[-square]);
    let screw = flat_curves(&Outline::circle(at(&bracket, 0.5), s(2.0)));
    bracket.holes.push(hole("screw", screw));
    let legs = [s(6.0), s(18.0), s(6.0)];
    let mut channel = folded(&id("channel"), t, s(60.0), &legs, &[-square, -square]);
    let through = slot(at(&channel, 2.5), s(15.0), s(3.0), 0.2);
    channel.holes.push(hole("slot", through));
    // One fold with its groove inside, one with it outside, and a half-etched line along the first leg.
    let legs = [s(8.0), s(9.0), s(8.0)];
    let mut step = folded(&id("step"), t, s(30.0), &legs, &[-1.2, 0.7]);
    let line = panel([0.4, 0.6], [0.0, 1.0]);
    step.regions.push(region("line", [-t / 2.0, 0.1 * t], line));
    let legs = [s(5.0), s(7.0), s(7.0), s(5.0)];
    let gutter = folded(&id("gutter"), t, s(30.0), &legs, &[-0.6, -1.2, -0.8]);
    vec![bracket, channel, step, gutter]
}

/// The wrapper of class M, two patches of each waist ending in an apex: a band past the apex, a
/// half-etch and an opening over the border near it, and a tick at the end in which it lies.
fn etched_apex(name: &str, scale: f64, t: f64) -> Plate {
    let front = class_m(138.0, 35.0).whole(scale);
    let rear = class_m(133.0, 30.0).whole(scale);
    let loft = wrapper(&front, &rear, 90.0 * scale, t);
    let apex = loft
        .patches()
        .iter()
        .position(|patch| patch.radii().is_some_and(|(_, rear)| rear == 0.0))
        .unwrap() as f64;
    let end = loft.w_end();
    let near = loft.flat(SurfacePoint {
        w: apex + 1.0,
        v: 0.93,
    });
    let opening = flat_curves(&Outline::circle(near, 2.0 * scale));
    let aside = loft.flat(SurfacePoint {
        w: apex + 1.0,
        v: 0.78,
    });
    let corner = Vector2::new(4.0, 3.0) * scale;
    let half_etch = flat_curves(&Outline::rectangle(aside - corner, aside + corner));
    let (low, high) = (-t / 2.0, t / 2.0);
    let mut plate = rolled(
        &format!("etched-apex-{name}"),
        t,
        loft,
        vec![hole("near-apex", opening)],
    );
    plate.regions = vec![
        region(
            "band",
            [low, high + 0.3 * t],
            panel([0.0, end], [0.5, 0.53]),
        ),
        region("half-etch", [low, 0.0], half_etch),
        region(
            "tick",
            [0.0, high],
            panel([end / 2.0 - 0.01, end / 2.0 + 0.01], [0.95, 1.0]),
        ),
        region("foot", [low, 0.1 * t], panel([end - 0.4, end], [0.9, 1.0])),
    ];
    plate
}

#[test]
fn places_of_other_depth_are_steps_of_the_solid() {
    let mut files = Files::to("brep-regions");
    for (name, scale, t) in SCALES {
        let borders = [
            (2, 3, 30.0 * scale),
            (2, 4, 30.0 * scale),
            (3, 4, 5.0 * scale),
        ];
        prove_with(&mut files, &etched_side(name, scale, t), &borders, 1e-6);
        prove(&mut files, &banded_barrel(name, scale, t), 1e-6);
        prove(&mut files, &etched_wrapper(name, scale, t), 1e-6);
    }
    files.finish();
}

#[test]
fn slots_and_tabs_are_cut() {
    let mut files = Files::to("brep-slots");
    for (name, scale, t) in SCALES {
        prove(&mut files, &slotted(name, scale, t), 1e-6);
        prove(&mut files, &slotted_cone(name, scale, t), 1e-6);
    }
    files.finish();
}

#[test]
fn folds_along_half_etched_lines_bend_on_their_web() {
    let mut files = Files::to("brep-folds");
    for (name, scale, t) in SCALES {
        for plate in folded_plates(name, scale, t) {
            prove(&mut files, &plate, 1e-8);
            // Metal is neither gained nor lost in folding along the web's own middle.
            let flat: f64 = {
                let whole = plate.whole().unwrap().flat_area;
                let grooves = plate.regions.iter().map(|groove| {
                    plate.enclosed(&groove.boundary).unwrap().flat_area
                        * (groove.z_high - groove.z_low - t)
                });
                whole * t + grooves.sum::<f64>()
            };
            let volume = exact_measures(&plate).unwrap().volume;
            assert!(
                (volume - flat).abs() < 1e-8 * flat,
                "{}: {volume} folded, {flat} flat",
                plate.id
            );
        }
    }
    files.finish();
}

#[test]
fn plates_with_an_apex_carry_places_of_other_depth() {
    let mut files = Files::to("brep-apex");
    for (name, scale, t) in SCALES {
        // At an apex the skins take one normal, which the sheet's own measure does not know.
        prove(&mut files, &etched_apex(name, scale, t), 2e-6);
    }
    files.finish();
}

/// A groove from edge to edge, in closed form: faces of an unbroken plate and two walls more.
#[test]
fn a_groove_is_measured_in_closed_form() {
    let (a, b, t, groove, depth) = (40.0, 20.0, 0.5, 3.0, 0.2);
    let mut plate = flat_plate("groove", t, rectangle((0.0, 0.0), (a, b)));
    let heights = [-t / 2.0, t / 2.0 - depth];
    plate.regions = vec![region(
        "groove",
        heights,
        rectangle((10.0, 0.0), (10.0 + groove, b)),
    )];
    let volume = a * b * t - groove * b * depth;
    let area = 2.0 * a * b + 2.0 * (a + b) * t - 2.0 * groove * depth + 2.0 * b * depth;
    let (got, faces) = (
        exact_measures(&plate).unwrap().volume,
        exact_measures(&plate).unwrap().area,
    );
    assert!(
        (got - volume).abs() < 1e-10 * volume,
        "{got}, want {volume}"
    );
    assert!((faces - area).abs() < 1e-10 * area, "{faces}, want {area}");
    // The grooved face is in three parts, the other stays whole; each long side has walls of three
    // heights, each short one a wall, the groove two.
    let text = plate_step(&plate).unwrap();
    assert_eq!(
        text.matches("ADVANCED_FACE(").count(),
        3 + 1 + 2 * 3 + 2 + 2
    );
}

/// A band round a tube, its ends at the seam.
#[test]
fn a_band_is_measured_in_closed_form() {
    let (radius, length, t, band, proud) = (10.0, 40.0, 0.5, 2.0, 0.2);
    let ring = (Point2::new(1.0, 2.0), radius);
    let loft = oblique_cone(
        LoftFrame::upright(3.0),
        ring,
        ring,
        length,
        t,
        BendRule::default(),
    )
    .unwrap();
    let end = loft.w_end();
    let mut plate = rolled("banded-tube", t, loft, Vec::new());
    let heights = [-t / 2.0, t / 2.0 + proud];
    let around = panel([0.0, end], [0.5, 0.5 + band / length]);
    plate.regions = vec![region("band", heights, around)];
    let (inner, outer) = (radius - t / 2.0, radius + t / 2.0);
    let step = PI * ((outer + proud) * (outer + proud) - outer * outer);
    let volume = PI * (outer * outer - inner * inner) * length + step * band;
    let area = TAU * (inner + outer) * length
        + TAU * proud * band
        + 2.0 * PI * (outer * outer - inner * inner)
        + 2.0 * step
        + 2.0 * (t * length + proud * band);
    let (got, faces) = (
        exact_measures(&plate).unwrap().volume,
        exact_measures(&plate).unwrap().area,
    );
    assert!(
        (got - volume).abs() < 1e-10 * volume,
        "{got}, want {volume}"
    );
    assert!((faces - area).abs() < 1e-9 * area, "{faces}, want {area}");
    // The inner skin is not divided by the band.
    assert_eq!(
        plate_step(&plate).unwrap().matches("CLOSED_SHELL(").count(),
        1
    );
}

/// The same places drawn in another order, from another corner, give a solid of the same measures.
#[test]
fn the_order_of_regions_does_not_matter() {
    let (name, scale, t) = SCALES[0];
    let plate = etched_side(name, scale, t);
    let mut other = plate.clone();
    other.regions.reverse();
    for region in &mut other.regions {
        region.boundary.rotate_left(1);
    }
    let (volume, again) = (
        exact_measures(&plate).unwrap().volume,
        exact_measures(&other).unwrap().volume,
    );
    assert!((volume - again).abs() < 1e-12 * volume);
    let faces = |plate: &Plate| plate_step(plate).unwrap().matches("ADVANCED_FACE(").count();
    assert_eq!(faces(&plate), faces(&other));
}

/// Holes within, across and beside a region, and a region that reaches beyond the plate's edge: what
/// is left of the region is what lies on metal.
#[test]
fn holes_and_edges_cut_regions_off() {
    let (_, _, t) = SCALES[0];
    let mut files = Files::to("brep-cut-off");
    let mut plate = flat_plate("cut-off", t, rectangle((0.0, 0.0), (30.0, 20.0)));
    let circle = |x: f64, y: f64| flat_curves(&Outline::circle(Point2::new(x, y), 1.0));
    plate.regions = vec![
        region(
            "etched",
            [-t / 2.0, 0.0],
            rectangle((4.0, 5.0), (12.0, 11.0)),
        ),
        region(
            "beyond",
            [0.0, t / 2.0],
            rectangle((25.0, 5.0), (33.0, 9.0)),
        ),
    ];
    plate.holes = vec![
        hole("within", circle(7.0, 8.0)),
        hole("across", circle(12.0, 8.0)),
        hole("inner-corner", rectangle((4.0, 5.0), (5.0, 6.0))),
        hole("beside", rectangle((6.0, 11.0), (8.0, 12.0))),
        hole("at-a-corner", circle(25.0, 9.0)),
    ];
    let etched = 8.0 * 6.0 - 1.5 * PI - 1.0;
    let beyond = 5.0 * 4.0 - 0.25 * PI;
    let metal = 600.0 - 3.0 * PI - 1.0 - 2.0;
    let volume = (metal - (etched + beyond) / 2.0) * t;
    let got = files.add(&plate).volume;
    assert!((got - volume).abs() < 1e-9 * volume, "{got}, want {volume}");

    // A chimney's bore that cuts into a band of a taper barrel.
    let (name, scale, t) = SCALES[1];
    let mut barrel = banded_barrel(name, scale, t);
    let length = barrel.forming.loft().unwrap().axial_length();
    let before = exact_measures(&barrel).unwrap().volume;
    let across = bore(
        "across",
        0.0,
        0.11 * length,
        Point2::new(0.1, 0.0),
        4.0 * scale,
    );
    barrel.id = "banded-across".to_owned();
    barrel.holes.push(across);
    let after = files.add(&barrel).volume;
    let taken = (before - after) / (PI * 16.0 * scale * scale);
    let (base, full) = (0.6 * t, t);
    assert!(
        taken > base && taken < full,
        "{taken} of metal gone from {base} and {full}"
    );
    files.finish();
}

#[test]
fn impossible_depths_are_refused_in_words() {
    let (name, _, t) = SCALES[0];
    let with = |region: Region| {
        let mut plate = flat_plate(name, t, rectangle((0.0, 0.0), (30.0, 20.0)));
        plate.regions = vec![region];
        plate_step(&plate)
    };
    let inside = || rectangle((5.0, 5.0), (9.0, 9.0));
    let none = with(region("through", [0.1, 0.1], inside()));
    assert!(matches!(none, Err(SolidError::NoMetal { .. })), "{none:?}");
    let apart = with(region("loose", [t, 2.0 * t], inside()));
    assert!(matches!(apart, Err(SolidError::Apart { .. })), "{apart:?}");
    let outside = with(region(
        "outside",
        [0.0, t / 2.0],
        rectangle((40.0, 5.0), (44.0, 9.0)),
    ));
    assert!(
        matches!(outside, Err(SolidError::Touching { .. })),
        "{outside:?}"
    );
    let doubled = {
        let mut plate = flat_plate(name, t, rectangle((0.0, 0.0), (30.0, 20.0)));
        plate.regions = vec![
            region("one", [0.0, t / 2.0], inside()),
            region("two", [0.05, t / 2.0], inside()),
        ];
        plate_step(&plate)
    };
    assert!(
        matches!(doubled, Err(SolidError::Touching { .. })),
        "{doubled:?}"
    );
    let crossing = {
        let mut plate = flat_plate(name, t, rectangle((0.0, 0.0), (30.0, 20.0)));
        plate.regions = vec![
            region("one", [0.0, t / 2.0], inside()),
            region("two", [0.05, t / 2.0], rectangle((7.0, 7.0), (12.0, 12.0))),
        ];
        plate_step(&plate)
    };
    assert!(
        matches!(crossing, Err(SolidError::Touching { .. })),
        "{crossing:?}"
    );
    // A groove too narrow for its fold: the walls would run into each other.
    let narrow = folded_section(t, 0.4 * t);
    let refused = plate_step(&narrow);
    assert!(
        matches!(refused, Err(SolidError::SkinFolds { .. })),
        "{refused:?}"
    );
}

/// A bracket of sheet `t` whose groove of half depth bends to a given mid-sheet radius.
fn folded_section(t: f64, mid_radius: f64) -> Plate {
    let section = Chain::starting(Point2::origin(), 0.0)
        .line(5.0)
        .arc(mid_radius, -FRAC_PI_2)
        .line(5.0)
        .finish();
    let frame = LoftFrame::along_engine(0.0);
    let loft = Loft::between(frame, &section, &section, 10.0, t, BendRule::default()).unwrap();
    let mut plate = rolled("narrow", t, loft, Vec::new());
    plate.regions = vec![region(
        "fold",
        [0.0, t / 2.0],
        panel([1.0, 2.0], [0.0, 1.0]),
    )];
    plate
}
