//! Meshes of plates against the volumes and distances that they must have.

#![allow(clippy::unwrap_used, reason = "a test may fail by panic")]

use body::{Curve, Edge, Face, Hole, Plate, Purpose, Region, Rivet, Sheet, flat_curves};
use develop::{BendRule, Forming, Loft, LoftFrame, Trace, oblique_cone};
use geom::math::{FRAC_PI_2, PI, TAU, acos, asin, sin};
use geom::{BodyPoint, Chain, FlatPoint, Outline, Placement, Point2, Segment, Vector2, Vector3};
use solid::{MeshFault, MeshOptions, PlateMesh, SolidError, mesh_plate};

fn bare(id: &str, sheet: Sheet, forming: Forming, outline: Vec<Edge>) -> Plate {
    Plate {
        id: id.to_owned(),
        assembly: "boiler",
        title: id.to_owned(),
        sheet,
        forming,
        outline,
        holes: Vec::new(),
        regions: Vec::new(),
        rivets: Vec::new(),
        marks: Vec::new(),
        points: Vec::new(),
    }
}

fn edges(curves: Vec<Curve>) -> Vec<Edge> {
    let name = |i: usize| format!("side-{i}");
    curves
        .into_iter()
        .enumerate()
        .map(|(i, curve)| Edge {
            name: name(i),
            curve,
        })
        .collect()
}

/// A flat plate set aslant in space.
fn flat_plate(outline: &Outline, thickness: f64) -> Plate {
    let x = Vector3::new(2.0, 1.0, 2.0) / 3.0;
    let y = Vector3::new(-2.0, 2.0, 1.0) / 3.0;
    let placement = Placement::new(BodyPoint::new(40.0, -12.0, 60.0), x, y);
    let outline = edges(flat_curves(outline));
    bare(
        "side",
        Sheet::plain("brass half-hard", thickness),
        Forming::Flat(placement),
        outline,
    )
}

/// All of a loft between two fractions of its rulings.
fn wrapped(loft: &Loft, from: f64, to: f64) -> Vec<Curve> {
    let end = loft.w_end();
    vec![
        Curve::Surface(Trace::Ruling { w: 0.0, from, to }),
        Curve::Surface(Trace::Section {
            v: to,
            from: 0.0,
            to: end,
        }),
        Curve::Surface(Trace::Ruling {
            w: end,
            from: to,
            to: from,
        }),
        Curve::Surface(Trace::Section {
            v: from,
            from: end,
            to: 0.0,
        }),
    ]
}

fn rolled(id: &str, sheet: Sheet, loft: Loft) -> Plate {
    let outline = edges(wrapped(&loft, 0.0, 1.0));
    bare(id, sheet, Forming::Rolled(Box::new(loft)), outline)
}

fn hole(feature: &str, boundary: Vec<Curve>) -> Hole {
    Hole {
        feature: feature.to_owned(),
        centre: FlatPoint::origin(),
        diameter: None,
        boundary,
    }
}

fn region(name: &str, z: (f64, f64), boundary: Vec<Curve>) -> Region {
    Region {
        name: name.to_owned(),
        purpose: Purpose::HalfEtch,
        face: Face::Outside,
        z_low: z.0,
        z_high: z.1,
        boundary,
    }
}

fn rivet(x: f64, y: f64) -> Rivet {
    Rivet {
        centre: FlatPoint::new(x, y),
        head_diameter: 0.6,
        head_height: 0.2,
        dot: None,
        row: "row".to_owned(),
    }
}

fn rectangle(low: (f64, f64), high: (f64, f64)) -> Outline {
    Outline::rectangle(Point2::new(low.0, low.1), Point2::new(high.0, high.1))
}

/// Loft of a taper boiler, flat along the bottom: 90 mm long, radii 16 and 18.
fn taper(thickness: f64) -> Loft {
    let (front, rear) = (
        (Point2::new(0.0, 36.0), 16.0),
        (Point2::new(0.0, 38.0), 18.0),
    );
    oblique_cone(
        LoftFrame::along_engine(50.0),
        front,
        rear,
        90.0,
        thickness,
        BendRule::Din6935,
    )
    .unwrap()
}

/// The taper boiler with bores straight down from above, bands left proud and a tick.
fn boiler() -> Plate {
    let sheet = Sheet::half_etched("brass half-hard", 0.4, 0.25);
    let proud = sheet.proud_height();
    let loft = taper(0.25);
    let end = loft.w_end();
    let mut plate = rolled("boiler-wrapper", sheet, loft.clone());
    let up = Vector2::new(0.0, 1.0);
    for (i, (along, radius, across)) in [(20.0, 2.5, 0.0), (55.0, 5.0, 0.0), (75.0, 1.0, 7.3)]
        .into_iter()
        .enumerate()
    {
        let bore = Trace::bore(up, along, Point2::new(across, 40.0), radius);
        plate
            .holes
            .push(hole(&format!("dome-{i}"), vec![Curve::Surface(bore)]));
    }
    for (i, v) in [0.0, 0.4, 0.97].into_iter().enumerate() {
        let z = (plate.sheet.z_low, plate.sheet.z_high + proud);
        let boundary = vec![
            Curve::Surface(Trace::Ruling {
                w: 0.0,
                from: v,
                to: v + 0.03,
            }),
            Curve::Surface(Trace::Section {
                v: v + 0.03,
                from: 0.0,
                to: end,
            }),
            Curve::Surface(Trace::Ruling {
                w: end,
                from: v + 0.03,
                to: v,
            }),
            Curve::Surface(Trace::Section {
                v,
                from: end,
                to: 0.0,
            }),
        ];
        plate
            .regions
            .push(region(&format!("band-{i}"), z, boundary));
    }
    let tick = rectangle((8.0, -0.1), (12.0, 0.1));
    plate
        .regions
        .push(region("tick", (-0.125, 0.0), flat_curves(&tick)));
    plate
}

/// A Belpaire section: crown, shoulder, side, convex and concave waist, foot; inches on the prototype.
struct Belpaire {
    crown_top: f64,
    crown_radius: f64,
    half_width: f64,
    shoulder: f64,
    waist_from: f64,
    convex: f64,
    concave: f64,
    bottom_half_width: f64,
    foot: f64,
}

/// Millimetres at 4 mm scale for an inch of the prototype.
const INCH: f64 = 1.0 / 3.0;

impl Belpaire {
    fn whole(&self) -> Chain {
        let x = self.half_width - self.shoulder;
        let reach = self.crown_radius - self.shoulder;
        let alpha = asin(x / reach);
        let shoulder_z = self.crown_top - self.crown_radius + (reach * reach - x * x).sqrt();
        let theta =
            acos(1.0 - (self.half_width - self.bottom_half_width) / (self.convex + self.concave));
        let drop = (self.convex + self.concave) * sin(theta);
        let left = Chain::starting(Point2::new(0.0, self.crown_top * INCH), 0.0)
            .arc(self.crown_radius * INCH, -alpha)
            .arc(self.shoulder * INCH, -(FRAC_PI_2 - alpha))
            .line((shoulder_z - self.waist_from) * INCH)
            .arc(self.convex * INCH, -theta)
            .arc(self.concave * INCH, theta)
            .line((self.waist_from - drop - self.foot) * INCH)
            .finish();
        left.mirrored_in_y_axis().reversed().joined(&left)
    }
}

fn class_m(top: f64, half_width: f64) -> Chain {
    Belpaire {
        crown_top: top,
        crown_radius: 240.0,
        half_width,
        shoulder: 8.0,
        waist_from: 92.0,
        convex: 24.0,
        concave: 18.0,
        bottom_half_width: 24.0,
        foot: 56.0,
    }
    .whole()
}

fn class_b(top: f64) -> Chain {
    Belpaire {
        crown_top: top,
        crown_radius: 144.0,
        half_width: 29.5,
        shoulder: 6.0,
        waist_from: 76.0,
        convex: 18.0,
        concave: 18.0,
        bottom_half_width: 24.0,
        foot: 50.0,
    }
    .whole()
}

fn wrapper(front: &Chain, rear: &Chain, length: f64) -> Plate {
    let loft = Loft::between(
        LoftFrame::along_engine(90.0),
        front,
        rear,
        length,
        0.25,
        BendRule::Din6935,
    )
    .unwrap();
    rolled(
        "firebox-wrapper",
        Sheet::plain("brass half-hard", 0.25),
        loft,
    )
}

fn within(chord_error: f64) -> MeshOptions {
    MeshOptions {
        chord_error,
        ..MeshOptions::default()
    }
}

/// Meshes a plate and holds the mesh against everything that can be known beforehand.
#[track_caller]
fn sound(plate: &Plate, options: &MeshOptions) -> PlateMesh {
    let made = mesh_plate(plate, options).unwrap();
    assert_eq!(
        made.mesh.soundness(),
        Ok(()),
        "{}: {:?}",
        plate.id,
        made.mesh.least_height()
    );
    let want = plate.expected_volume(options.rivets).unwrap();
    let off = (made.mesh.volume() - want) / want;
    assert!(
        off.abs() < 1e-3,
        "{}: volume {} for {want}, off by {off:e}",
        plate.id,
        made.mesh.volume()
    );
    let error = made.measure_chord_error(plate);
    assert!(
        error <= options.chord_error,
        "{}: chord error {error}",
        plate.id
    );
    made
}

#[test]
fn straight_sided_plate_has_its_volume_to_rounding() {
    let mut plate = flat_plate(&rectangle((0.0, 0.0), (80.0, 30.0)), 0.4);
    plate.holes.push(hole(
        "slot",
        flat_curves(&rectangle((10.0, 10.0), (20.0, 10.5))),
    ));
    plate.holes.push(hole(
        "window",
        flat_curves(&rectangle((40.0, 5.0), (60.0, 25.0))),
    ));
    let half = rectangle((25.0, 0.0), (25.6, 30.0));
    plate
        .regions
        .push(region("fold", (0.0, 0.2), flat_curves(&half)));
    let made = sound(&plate, &MeshOptions::default());
    let want = 0.4 * (80.0 * 30.0 - 10.0 * 0.5 - 20.0 * 20.0) - 0.2 * 0.6 * 30.0;
    assert!(
        (made.mesh.volume() - want).abs() < 1e-9,
        "{}",
        made.mesh.volume()
    );
    assert!(made.measure_chord_error(&plate) < 1e-12);
}

#[test]
fn taper_boiler_with_bores_bands_and_tick() {
    let plate = boiler();
    let made = sound(&plate, &MeshOptions::default());
    assert!(made.measure_chord_error(&plate) > 0.005);
}

#[test]
fn error_of_volume_falls_with_the_chord_error() {
    let plate = boiler();
    let want = plate.expected_volume(false).unwrap();
    let off = |chord_error| {
        let made = sound(&plate, &within(chord_error));
        (made.mesh.volume() - want).abs() / want
    };
    let (coarse, fine) = (off(0.008), off(0.002));
    assert!(
        fine < 0.3 * coarse && fine > 0.2 * coarse,
        "{coarse:e} {fine:e}"
    );
}

#[test]
fn wrappers_between_like_and_unlike_ends() {
    for plate in [
        wrapper(&class_b(118.5), &class_b(118.5), 66.0 * INCH),
        wrapper(&class_b(120.0), &class_b(118.5), 66.0 * INCH),
        wrapper(&class_m(138.0, 35.0), &class_m(133.0, 30.0), 90.0 * INCH),
        wrapper(&class_m(138.0, 35.0), &class_m(133.0, 24.0), 90.0 * INCH),
    ] {
        for chord_error in [0.02, 0.004] {
            sound(&plate, &within(chord_error));
        }
    }
}

/// Where the waist runs out at one end, its rulings end in a point: one position a skin.
#[test]
fn apexes_are_one_corner() {
    let plate = wrapper(&class_m(138.0, 35.0), &class_m(133.0, 24.0), 90.0 * INCH);
    let made = sound(&plate, &MeshOptions::default());
    assert!(
        made.apex_error > 0.0 && made.apex_error < 0.05,
        "{}",
        made.apex_error
    );
    let mut positions = made.mesh.positions.clone();
    positions.sort_by(|a, b| a.partial_cmp(b).unwrap());
    for pair in positions.windows(2) {
        assert!(
            (0..3).any(|i| (pair[0][i] - pair[1][i]).abs() > 1e-6),
            "{pair:?}"
        );
    }
}

#[test]
fn splasher_bent_the_other_way() {
    // A fairing that is concave outside, then convex.
    let section = Chain::starting(Point2::new(0.0, 0.0), 0.0)
        .line(5.0)
        .arc(6.0, FRAC_PI_2)
        .line(3.0)
        .arc(1.0, -FRAC_PI_2)
        .line(4.0)
        .finish();
    let loft = Loft::between(
        LoftFrame::along_engine(0.0),
        &section,
        &section,
        12.0,
        0.25,
        BendRule::Din6935,
    )
    .unwrap();
    let mut plate = rolled("fairing", Sheet::plain("brass half-hard", 0.25), loft);
    sound(&plate, &MeshOptions::default());
    plate.rivets.push(rivet(6.0, 0.0));
    assert_eq!(
        sound(&plate, &MeshOptions::default()).skipped_rivets,
        Vec::<usize>::new()
    );
}

/// Ends that slope on the flat, and openings drawn on the flat across many rulings.
#[test]
fn trimmed_tube_with_flat_openings() {
    let ring = Chain::starting(Point2::new(0.0, -10.0), PI)
        .arc(10.0, -TAU)
        .finish();
    let loft = Loft::between(
        LoftFrame::upright(0.0),
        &ring,
        &ring,
        40.0,
        0.3,
        BendRule::Din6935,
    )
    .unwrap();
    let half = 10.0 * PI;
    let outline = Outline::polygon(&[
        Point2::new(4.0, -half),
        Point2::new(38.0, -half),
        Point2::new(31.0, 0.0),
        Point2::new(38.0, half),
        Point2::new(4.0, half),
        Point2::new(1.0, 0.0),
    ]);
    let sheet = Sheet::plain("nickel-silver half-hard", 0.3);
    let mut plate = bare(
        "chimney",
        sheet,
        Forming::Rolled(Box::new(loft)),
        edges(flat_curves(&outline)),
    );
    plate.holes.push(hole(
        "round",
        flat_curves(&Outline::circle(Point2::new(15.0, 3.0), 4.0)),
    ));
    plate.holes.push(hole(
        "cut-out",
        flat_curves(&rectangle((10.0, -20.0), (25.0, -8.0))),
    ));
    plate.regions.push(region(
        "half",
        (-0.15, 0.0),
        flat_curves(&rectangle((12.0, 10.0), (22.0, 25.0))),
    ));
    sound(&plate, &MeshOptions::default());
}

#[test]
fn rivets_add_the_volume_of_their_caps() {
    let mut flat = flat_plate(&rectangle((0.0, 0.0), (80.0, 30.0)), 0.4);
    let mut round = boiler();
    for k in 0..40 {
        flat.rivets.push(rivet(1.0 + 1.9 * f64::from(k), 28.0));
        round.rivets.push(rivet(8.0, -30.0 + 0.7 * f64::from(k)));
    }
    for (plate, chord_error, tolerance) in [
        (&flat, 0.02, 1e-9),
        (&round, 0.02, 0.1),
        (&round, 0.001, 0.04),
    ] {
        let with = sound(plate, &within(chord_error));
        let without = sound(
            plate,
            &MeshOptions {
                rivets: false,
                chord_error,
            },
        );
        assert_eq!(with.skipped_rivets, Vec::<usize>::new());
        let caps: f64 = plate.rivets.iter().map(Rivet::volume).sum();
        let gain = with.mesh.volume() - without.mesh.volume();
        assert!(
            (gain / caps - 1.0).abs() < tolerance,
            "{}: {gain} for {caps}",
            plate.id
        );
    }
}

#[test]
fn rivets_across_a_line_are_reported_and_left_out() {
    let mut plate = flat_plate(&rectangle((0.0, 0.0), (80.0, 30.0)), 0.4);
    plate.holes.push(hole(
        "round",
        flat_curves(&Outline::circle(Point2::new(40.0, 15.0), 5.0)),
    ));
    plate.regions.push(region(
        "half",
        (-0.2, 0.0),
        flat_curves(&rectangle((60.0, 5.0), (70.0, 25.0))),
    ));
    for (x, y) in [
        (5.0, 5.0),      // clear
        (0.1, 10.0),     // over the edge
        (45.1, 15.0),    // over the hole's edge
        (40.0, 15.0),    // in the hole
        (60.0, 15.0),    // over the side of the region
        (65.0, 15.0),    // inside the region
        (5.4, 5.0),      // over the first
        (-5.0, 5.0),     // beside the plate
        (f64::NAN, 5.0), // nowhere
    ] {
        plate.rivets.push(rivet(x, y));
    }
    let made = mesh_plate(&plate, &MeshOptions::default()).unwrap();
    assert_eq!(made.mesh.soundness(), Ok(()));
    assert_eq!(made.skipped_rivets, [1, 2, 3, 4, 6, 7, 8]);
}

#[test]
fn broken_plates_do_not_panic() {
    let mut plate = flat_plate(&rectangle((0.0, 0.0), (80.0, 30.0)), 0.4);
    let circle = |x, y, r| flat_curves(&Outline::circle(Point2::new(x, y), r));
    plate.holes.push(hole("one", circle(20.0, 15.0, 5.0)));
    plate
        .holes
        .push(hole("overlaps-one", circle(24.0, 15.0, 5.0)));
    plate
        .holes
        .push(hole("over-the-edge", circle(80.0, 15.0, 3.0)));
    plate
        .regions
        .push(region("over-hole", (-0.2, 0.0), circle(24.0, 20.0, 6.0)));
    let made = mesh_plate(&plate, &MeshOptions::default()).unwrap();
    assert_eq!(made.mesh.soundness(), Ok(()));
    // Metal that hangs together in one line only is no solid.
    plate.regions.push(region(
        "touches-hole",
        (-0.2, 0.1),
        flat_curves(&rectangle((5.0, 10.0), (15.0, 20.0))),
    ));
    let touches = |plate: &Plate| {
        matches!(
            mesh_plate(plate, &MeshOptions::default()),
            Err(SolidError::Touching { .. })
        )
    };
    assert!(touches(&plate));
    let bow = Outline::polygon(&[
        Point2::new(0.0, 0.0),
        Point2::new(10.0, 10.0),
        Point2::new(10.0, 0.0),
        Point2::new(0.0, 10.0),
    ]);
    assert!(touches(&flat_plate(&bow, 0.4)));
    let mut lost = flat_plate(&bow, 0.4);
    lost.outline[1].curve =
        Curve::Flat(Segment::line(Point2::new(0.0, f64::NAN), Point2::origin()));
    assert!(mesh_plate(&lost, &MeshOptions::default()).is_err());
    let mut empty = plate.clone();
    empty.outline.clear();
    let made = mesh_plate(&empty, &MeshOptions::default()).unwrap();
    assert_eq!(made.mesh.soundness(), Err(MeshFault::Empty));
    // A corner beyond the last ruling has no place in space.
    let loft = taper(0.25);
    let mut beyond = rolled(
        "boiler-wrapper",
        Sheet::plain("brass half-hard", 0.25),
        loft,
    );
    beyond.holes.push(hole("outside", circle(40.0, 80.0, 3.0)));
    assert!(mesh_plate(&beyond, &MeshOptions::default()).is_err());
}

#[test]
fn equal_plates_give_equal_bytes() {
    let plate = boiler();
    let (a, b) = (
        mesh_plate(&plate, &MeshOptions::default()),
        mesh_plate(&plate.clone(), &MeshOptions::default()),
    );
    assert_eq!(a.unwrap().mesh, b.unwrap().mesh);
}

/// A line that crosses its neighbour's end within a micron must not leave a sliver.
#[test]
fn near_misses_leave_no_slivers() {
    for gap in [0.0, 1e-12, 1e-9, 1e-6, 5e-4, 1.9e-3, 2.1e-3, 4e-3] {
        let mut plate = flat_plate(&rectangle((0.0, 0.0), (80.0, 30.0)), 0.4);
        let low = rectangle((10.0, gap), (20.0, 10.0));
        let next = Outline::polygon(&[
            Point2::new(20.0 + gap, 3.0),
            Point2::new(30.0, 3.0),
            Point2::new(30.0, 29.9 - gap),
            Point2::new(20.0 + gap / 2.0, 29.0),
        ]);
        plate
            .regions
            .push(region("one", (-0.2, 0.05), flat_curves(&low)));
        plate
            .regions
            .push(region("two", (0.0, 0.2), flat_curves(&next)));
        sound(&plate, &MeshOptions::default());
        let ring = Chain::starting(Point2::new(0.0, -10.0), PI)
            .arc(10.0, -TAU)
            .finish();
        let loft = Loft::between(
            LoftFrame::upright(0.0),
            &ring,
            &ring,
            40.0,
            0.3,
            BendRule::Din6935,
        )
        .unwrap();
        let mut tube = rolled("tube", Sheet::plain("brass half-hard", 0.3), loft.clone());
        // Sides along a ruling of the mesh, and a little off it.
        for k in 1..6 {
            let y =
                loft.flat(develop::SurfacePoint {
                    w: f64::from(k) / 40.0,
                    v: 0.0,
                })
                .y + gap;
            let slit = rectangle((2.0 * f64::from(k), y), (2.0 * f64::from(k) + 1.0, y + 1.0));
            tube.regions
                .push(region("slit", (-0.15, 0.0), flat_curves(&slit)));
        }
        sound(&tube, &MeshOptions::default());
    }
}

/// A flat segment given as a full circle in one piece, as a cut-out may be.
/// A square opening and a half-etched place that have one corner in common, and with a bar between.
#[test]
fn an_opening_that_touches_a_half_etch_in_one_point_is_refused_by_name() {
    let mut plate = flat_plate(&rectangle((0.0, 0.0), (20.0, 20.0)), 0.4);
    let etched = rectangle((5.0, 5.0), (10.0, 10.0));
    plate.regions = vec![region("tick", (0.0, 0.2), flat_curves(&etched))];
    for (apart, touches) in [(0.0, true), (0.5, false)] {
        let opening = rectangle((10.0 + apart, 10.0), (15.0, 15.0));
        plate.holes = vec![hole("window", flat_curves(&opening))];
        let made = mesh_plate(&plate, &within(0.02));
        if touches {
            let Err(error @ SolidError::Touching { .. }) = made else {
                panic!("it was meshed: {made:?}");
            };
            assert!(error.to_string().starts_with("side: "), "{error}");
        } else {
            assert_eq!(made.unwrap().mesh.soundness(), Ok(()));
        }
    }
}

#[test]
fn full_circle_in_one_piece() {
    let mut plate = flat_plate(&rectangle((0.0, 0.0), (10.0, 10.0)), 0.4);
    plate.holes.push(hole(
        "round",
        vec![Curve::Flat(Segment::circle(Point2::new(5.0, 5.0), 2.0))],
    ));
    sound(&plate, &MeshOptions::default());
}

/// Small openings in a long narrow strip, whose corners see little but its far ends.
#[test]
fn small_openings_in_a_narrow_strip() {
    let mut strip = flat_plate(&rectangle((0.0, 0.0), (200.0, 2.0)), 0.4);
    let mut tube = {
        let ring = Chain::starting(Point2::new(0.0, -10.0), PI)
            .arc(10.0, -TAU)
            .finish();
        let loft = Loft::between(
            LoftFrame::upright(0.0),
            &ring,
            &ring,
            90.0,
            0.3,
            BendRule::Din6935,
        )
        .unwrap();
        rolled("tube", Sheet::plain("brass half-hard", 0.3), loft)
    };
    for k in 0..12 {
        let small = |x: f64, y: f64| flat_curves(&Outline::circle(Point2::new(x, y), 0.2));
        strip
            .holes
            .push(hole("pin", small(12.3 * f64::from(k) + 8.0, 1.0)));
        tube.holes.push(hole(
            "pin",
            small(6.7 * f64::from(k) + 7.0, 0.37 * f64::from(k)),
        ));
    }
    sound(&strip, &MeshOptions::default());
    sound(&tube, &MeshOptions::default());
}

/// A half-etched fold whose groove closes: the web bends, and the legs' inner corners just meet.
#[test]
fn half_etched_fold() {
    let fold = develop::HalfEtchedFold::closing(FRAC_PI_2, 0.4, 0.2).unwrap();
    let radius = fold.width / fold.angle;
    let section = Chain::starting(Point2::origin(), 0.0)
        .line(10.0)
        .arc(radius, -FRAC_PI_2)
        .line(8.0)
        .finish();
    let loft = Loft::between(
        LoftFrame::along_engine(0.0),
        &section,
        &section,
        25.0,
        1e-9,
        BendRule::Din6935,
    )
    .unwrap();
    let mut sheet = Sheet::plain("brass half-hard", 0.4);
    (sheet.z_low, sheet.z_high) = (-0.3, 0.1);
    let mut plate = rolled("bracket", sheet, loft);
    let groove = vec![
        Curve::Surface(Trace::Section {
            v: 1.0,
            from: 1.0,
            to: 2.0,
        }),
        Curve::Surface(Trace::Ruling {
            w: 2.0,
            from: 1.0,
            to: 0.0,
        }),
        Curve::Surface(Trace::Section {
            v: 0.0,
            from: 2.0,
            to: 1.0,
        }),
        Curve::Surface(Trace::Ruling {
            w: 1.0,
            from: 0.0,
            to: 1.0,
        }),
    ];
    plate.regions.push(region("fold", (-0.1, 0.1), groove));
    plate.holes.push(hole(
        "pin",
        flat_curves(&Outline::circle(Point2::new(12.0, -4.0), 0.3)),
    ));
    let made = sound(&plate, &MeshOptions::default());
    let want = 25.0 * (0.4 * 18.0 + fold.width * 0.2);
    assert!((plate.expected_volume(false).unwrap() + 0.4 * PI * 0.09 - want).abs() < 1e-6);
    assert!((made.mesh.volume() + 0.4 * PI * 0.09 - want).abs() < 1e-3 * want);
}

/// A steep cone whose flat swings through most of a turn, with openings next to either seam.
#[test]
fn steep_cone_with_openings_by_its_seam() {
    let (front, rear) = ((Point2::new(0.0, 0.0), 5.0), (Point2::new(0.0, 0.0), 20.0));
    let frame = LoftFrame::along_engine(0.0);
    let loft = oblique_cone(frame, front, rear, 6.0, 0.25, BendRule::Din6935).unwrap();
    let mut plate = rolled("skirt", Sheet::plain("brass half-hard", 0.25), loft.clone());
    for share in [0.02, 0.3, 0.6, 0.98] {
        let at = develop::SurfacePoint {
            w: share * loft.w_end(),
            v: 0.5,
        };
        let circle = Outline::circle(loft.flat(at), 0.5);
        plate.holes.push(hole("pin", flat_curves(&circle)));
    }
    sound(&plate, &MeshOptions::default());
}
