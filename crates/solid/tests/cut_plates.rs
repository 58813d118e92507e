//! Plates trimmed by planes: sloping ends and mitres, as meshes and as exact solids.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use body::{Curve, Edge, Plate, Sheet};
use develop::{BendRule, Forming, Loft, LoftFrame, Trace, oblique_cone};
use geom::math::{FRAC_PI_2, TAU, sin_cos, tan};
use geom::sections::Belpaire;
use geom::{BodyPoint, Chain, Point2, Vector3};
use solid::{MeshOptions, exact_measures, mesh_plate, plate_step};

/// A plate from seam to seam between two end curves, both given in rising order of rulings.
fn between(id: &str, thickness: f64, loft: Loft, front: Trace, rear: Trace) -> Plate {
    let v = |trace: &Trace, t: f64| trace.at(&loft, t).unwrap().v;
    let seam = |w: f64, from: f64, to: f64| Trace::Ruling { w, from, to };
    let sides = [
        seam(0.0, v(&front, 0.0), v(&rear, 0.0)),
        rear.clone(),
        seam(loft.w_end(), v(&rear, 1.0), v(&front, 1.0)),
        reversed(&front),
    ];
    let outline = ["seam-right", "rear", "seam-left", "front"]
        .into_iter()
        .zip(sides)
        .map(|(name, trace)| Edge {
            name: name.to_owned(),
            curve: Curve::Surface(trace),
        })
        .collect();
    Plate {
        id: id.to_owned(),
        assembly: "firebox",
        title: format!("Trial {id}"),
        sheet: Sheet::plain("brass half-hard", thickness),
        forming: Forming::Rolled(Box::new(loft)),
        outline,
        holes: Vec::new(),
        regions: Vec::new(),
        rivets: Vec::new(),
        marks: Vec::new(),
        points: Vec::new(),
    }
}

fn reversed(trace: &Trace) -> Trace {
    match *trace {
        Trace::Section { v, from, to } => Trace::Section {
            v,
            from: to,
            to: from,
        },
        Trace::Cut {
            through,
            normal,
            from,
            to,
        } => Trace::Cut {
            through,
            normal,
            from: to,
            to: from,
        },
        _ => unreachable!("an end is a section or a cut"),
    }
}

fn section(loft: &Loft, v: f64) -> Trace {
    Trace::Section {
        v,
        from: 0.0,
        to: loft.w_end(),
    }
}

fn cut(loft: &Loft, through: BodyPoint, normal: Vector3) -> Trace {
    Trace::Cut {
        through,
        normal,
        from: 0.0,
        to: loft.w_end(),
    }
}

/// Holds a cut plate's mesh and its exact solid against the sheet's own measure.
#[track_caller]
fn assert_sound(plate: &Plate) -> f64 {
    let options = MeshOptions::default();
    let want = plate.expected_volume(false).unwrap();
    let made = mesh_plate(plate, &options).unwrap();
    assert_eq!(made.mesh.soundness(), Ok(()), "{}", plate.id);
    let off = made.mesh.volume() / want - 1.0;
    assert!(
        off.abs() < 1e-3,
        "{}: volume of the mesh off by {off:e}",
        plate.id
    );
    let error = made.measure_chord_error(plate);
    assert!(
        error <= options.chord_error,
        "{}: chord error {error}",
        plate.id
    );
    // By an apex the exact solid draws its skins over to one normal, which moves a few millionths of the metal.
    let loft = plate.forming.loft().unwrap();
    let has_apex = (loft.patches().iter()).any(|p| p.radii().is_some_and(|(a, b)| a.min(b) == 0.0));
    let allowed = if has_apex { 1e-6 } else { 1e-9 };
    let exact = exact_measures(plate).unwrap().volume;
    assert!(
        (exact / want - 1.0).abs() < allowed,
        "{}: exact volume {exact} for {want}",
        plate.id
    );
    let file = plate_step(plate).unwrap();
    assert!(file.contains("MANIFOLD_SOLID_BREP"), "{}", plate.id);
    write_for_the_other_kernel(plate, &file, exact);
    for lengths in plate.edge_lengths().unwrap() {
        let gap = (lengths.flat - lengths.formed).abs();
        assert!(
            gap < 1e-9 * lengths.flat.max(1.0),
            "{}: {lengths:?}",
            plate.id
        );
    }
    let whole = plate.whole().unwrap();
    let gap = (whole.flat_area - whole.formed.neutral_area).abs();
    assert!(
        gap < 1e-9 * whole.flat_area,
        "{}: areas {whole:?}",
        plate.id
    );
    want
}

/// Leaves the file and what it should measure in the target folder, a list for each plate, for `tests/conformance/step_check.py`.
fn write_for_the_other_kernel(plate: &Plate, file: &str, volume: f64) {
    let folder = std::path::PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("brep-cuts");
    std::fs::create_dir_all(&folder).unwrap();
    let name = format!("{}.step", plate.id);
    std::fs::write(folder.join(&name), file).unwrap();
    let area = exact_measures(plate).unwrap().area;
    let entry =
        format!("[{{\"file\": \"{name}\", \"volume_mm3\": {volume}, \"area_mm2\": {area}}}]\n");
    std::fs::write(folder.join(format!("{}.json", plate.id)), entry).unwrap();
}

/// A tube whose end slopes has the volume of its mean length: V = 2πR·t·L.
#[test]
fn a_tube_with_a_sloping_end() {
    let (radius, thickness) = (10.0, 0.3);
    let circle = (Point2::origin(), radius);
    let frame = LoftFrame::along_engine(0.0);
    let loft = oblique_cone(frame, circle, circle, 40.0, thickness, BendRule::Din6935).unwrap();
    for slope_deg in [3.0, 30.0, 55.0] {
        let slope = f64::to_radians(slope_deg);
        let (s, c) = sin_cos(slope);
        let normal = Vector3::new(c, -s * 0.6, s * 0.8) * 7.0;
        let rear = cut(&loft, BodyPoint::new(20.0, 0.0, 0.0), normal);
        let name = format!("tube-{slope_deg}");
        let plate = between(&name, thickness, loft.clone(), section(&loft, 0.0), rear);
        let volume = assert_sound(&plate);
        assert!((volume - TAU * radius * thickness * 20.0).abs() < 1e-6);
    }
}

fn firebox(top: f64, half_width: f64, scale: f64) -> Chain {
    Belpaire {
        top: top * scale,
        crown_radius: 240.0 * scale,
        shoulder_radius: 8.0 * scale,
        lean: 0.0,
        half_width: half_width * scale,
        waist_from: 92.0 * scale,
        convex_radius: 24.0 * scale,
        concave_radius: 18.0 * scale,
        bottom_half_width: 24.0 * scale,
        foot: 56.0 * scale,
    }
    .left_half()
    .unwrap()
    .with_mirror_image()
}

/// A firebox with a sloping backhead and a sloping throat, parallel and tapering in plan and height.
#[test]
fn fireboxes_with_sloping_ends() {
    for (name, rear, scale, thickness) in [
        ("parallel", (138.0, 35.0), 7.0 / 12.0, 0.45),
        ("taper-4mm", (133.0, 30.0), 4.0 / 12.0, 0.25),
        ("taper-7mm", (133.0, 30.0), 7.0 / 12.0, 0.45),
    ] {
        let mid = |chain: Chain| chain.offset(-thickness / 2.0).unwrap();
        let front = mid(firebox(138.0, 35.0, scale));
        let rear = mid(firebox(rear.0, rear.1, scale));
        let length = 90.0 * scale;
        let loft = Loft::between(
            LoftFrame::along_engine(100.0),
            &front,
            &rear,
            length,
            thickness,
            BendRule::Din6935,
        )
        .unwrap();
        // Both planes pass the foot inside the loft and lean forwards going up.
        let slope = 6f64.to_radians();
        let (s, c) = sin_cos(slope);
        let foot = 56.0 * scale;
        let rear_end = BodyPoint::new(100.0 + length - 0.01, 0.0, foot);
        let crown = 138.0 * scale - foot;
        let front_end = BodyPoint::new(100.01 + crown * tan(slope), 0.0, foot);
        let normal = Vector3::new(c, 0.0, s);
        let (front_cut, rear_cut) = (cut(&loft, front_end, normal), cut(&loft, rear_end, normal));
        let plate = between(name, thickness, loft, front_cut, rear_cut);
        assert_sound(&plate);
    }
}

/// A coping flare: an arc from the side outwards, ruled along the side.
fn flare(frame: LoftFrame, length: f64, thickness: f64) -> Loft {
    // Travel down the flare has the outside of the tender on its left.
    let angle = 50f64.to_radians();
    let profile = Chain::starting(Point2::origin(), FRAC_PI_2)
        .arc(7.0, -angle)
        .finish()
        .reversed();
    Loft::between(
        frame,
        &profile,
        &profile,
        length,
        thickness,
        BendRule::Din6935,
    )
    .unwrap()
}

/// Two equal flares meet on a mitre plane in one line, point for point.
#[test]
fn equal_flares_meet_on_their_mitre() {
    let thickness = 0.3;
    // The side's flare leans out to the left, its rulings rearwards; the back's leans out rearwards, its rulings to the right.
    let side = LoftFrame {
        origin: BodyPoint::new(0.0, 30.0, 57.0),
        axis: Vector3::x(),
        across: Vector3::y(),
        up: Vector3::z(),
    };
    let back = LoftFrame {
        origin: BodyPoint::new(40.0, 40.0, 57.0),
        axis: -Vector3::y(),
        across: Vector3::x(),
        up: Vector3::z(),
    };
    let (side, back) = (flare(side, 60.0, thickness), flare(back, 60.0, thickness));
    let corner = BodyPoint::new(40.0, 30.0, 57.0);
    let mitre = Vector3::new(1.0, -1.0, 0.0);
    let (side_cut, back_cut) = (cut(&side, corner, mitre), cut(&back, corner, mitre));
    for i in 0..=40 {
        let t = f64::from(i) / 40.0;
        let [a, b] = [(&side, &side_cut), (&back, &back_cut)]
            .map(|(loft, trace)| loft.formed(trace.at(loft, t).unwrap()).point);
        assert!((a - b).norm() < 1e-12, "{a:?} {b:?}");
        // On the flat the end runs out as the other flare's offset: 7(1 − cos θ) at 7θ up the strip.
        let theta = (1.0 - t) * 50f64.to_radians();
        let flat = side_cut.flat_point(&side, t).unwrap();
        let out = 7.0 * (1.0 - geom::math::cos(theta));
        assert!((flat.x - 40.0 - out).abs() < 1e-12, "{flat:?}");
    }
    let rear = side_cut.clone();
    let plate = between(
        "side-flare",
        thickness,
        side.clone(),
        section(&side, 0.0),
        rear,
    );
    assert_sound(&plate);
    let plate = between(
        "back-flare",
        thickness,
        back.clone(),
        back_cut,
        section(&back, 1.0),
    );
    assert_sound(&plate);
}

/// A plane that leaves the sheet is refused, by mesh and exact solid alike.
#[test]
fn a_cut_past_the_end_is_refused() {
    let circle = (Point2::origin(), 10.0);
    let frame = LoftFrame::along_engine(0.0);
    let loft = oblique_cone(frame, circle, circle, 40.0, 0.3, BendRule::Din6935).unwrap();
    let (s, c) = sin_cos(0.5);
    let past = cut(
        &loft,
        BodyPoint::new(38.0, 0.0, 0.0),
        Vector3::new(c, 0.0, s),
    );
    let fit = cut(
        &loft,
        BodyPoint::new(20.0, 0.0, 0.0),
        Vector3::new(c, 0.0, s),
    );
    let mut plate = between("past", 0.3, loft.clone(), section(&loft, 0.0), fit);
    plate.outline[1].curve = Curve::Surface(past);
    assert!(mesh_plate(&plate, &MeshOptions::default()).is_err());
    assert!(plate_step(&plate).is_err());
    assert!(plate.expected_volume(false).is_err() && plate.edge_lengths().is_err());
}
