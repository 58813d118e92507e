//! Exact solids of flat and rolled plates against the sheet's own measures.
//!
//! Each solid is also written to the target folder with the figures expected of it, for
//! `tests/conformance/step_check.py` to hold against another geometry kernel.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod trial;

use body::{Curve, Plate, flat_curves};
use develop::{BendRule, Forming, LoftFrame, SurfacePoint, oblique_cone};
use geom::math::{FRAC_PI_2, PI, TAU, sin_cos};
use geom::{Chain, Outline, Placement, Point2, Point3, Segment, Vector2, Vector3};
use solid::{SolidError, exact_measures, plate_step};
use trial::{
    Files, SCALES, assert_sound_file, bore, class_b, class_m, hole, plate, rolled, wrapper,
};

/// A wrapper of class B with washout holes over the shoulder's borders, a square opening and a
/// round one in the side.
fn class_b_wrapper(name: &str, scale: f64, thickness: f64) -> Plate {
    let (front, rear) = (class_b(120.0).whole(scale), class_b(118.5).whole(scale));
    let loft = wrapper(&front, &rear, 66.0 * scale, thickness);
    // Borders of the left shoulder and a place half way down the left side.
    let crown_end = loft.section_point(SurfacePoint { w: 5.0, v: 0.4 });
    let shoulder_end = loft.section_point(SurfacePoint { w: 6.0, v: 0.6 });
    let side = loft.flat(SurfacePoint { w: 6.5, v: 0.5 });
    let round = flat_curves(&Outline::circle(
        side + Vector2::new(6.0, 0.0) * scale,
        2.0 * scale,
    ));
    let corner = side - Vector2::new(14.0, 2.0) * scale;
    let square = flat_curves(&Outline::rectangle(
        corner,
        corner + Vector2::new(4.0, 5.0) * scale,
    ));
    let length = 66.0 * scale;
    rolled(
        &format!("class-b-{name}"),
        thickness,
        loft,
        vec![
            bore("washout-1", 0.5, 0.4 * length, crown_end, 1.5 * scale),
            bore("washout-2", 1.1, 0.6 * length, shoulder_end, 1.5 * scale),
            bore(
                "safety-valve",
                0.0,
                0.5 * length,
                Point2::new(0.3 * scale, 0.0),
                4.0 * scale,
            ),
            hole("oval", round),
            hole("square", square),
        ],
    )
}

/// The same wrapper with both ends trimmed on the flat, the front one to a peak.
fn trimmed_wrapper(name: &str, scale: f64, thickness: f64) -> Plate {
    let (front, rear) = (class_b(120.0).whole(scale), class_b(118.5).whole(scale));
    let loft = wrapper(&front, &rear, 66.0 * scale, thickness);
    let end = loft.w_end();
    let at = |w: f64, v: f64| loft.flat(SurfacePoint { w, v });
    let corners = [
        at(0.0, 0.2),
        at(0.0, 0.9),
        at(loft.datum(), 0.8),
        at(end, 0.9),
        at(end, 0.2),
        at(loft.datum(), 0.05),
    ];
    let outline = flat_curves(&Outline::polygon(&corners));
    plate(
        &format!("trimmed-{name}"),
        thickness,
        Forming::Rolled(Box::new(loft)),
        outline,
        Vec::new(),
    )
}

/// A wrapper of class M, whose rear section turns less than the front one: two patches of each waist
/// end in an apex. An opening lies over their border, so near the apex that the skins are drawn over.
fn class_m_wrapper(name: &str, scale: f64, thickness: f64) -> Plate {
    let front = class_m(138.0, 35.0).whole(scale);
    let rear = class_m(133.0, 30.0).whole(scale);
    let loft = wrapper(&front, &rear, 90.0 * scale, thickness);
    let apex = loft
        .patches()
        .iter()
        .position(|patch| patch.radii().is_some_and(|(_, rear)| rear == 0.0))
        .unwrap();
    let centre = loft.flat(SurfacePoint {
        w: apex as f64 + 1.0,
        v: 0.93,
    });
    let opening = flat_curves(&Outline::circle(centre, 4.0 * scale));
    rolled(
        &format!("class-m-{name}"),
        thickness,
        loft,
        vec![hole("near-apex", opening)],
    )
}

/// A taper barrel, its seam at the bottom, with three openings in the crown and two in the side.
fn taper_barrel(name: &str, scale: f64, thickness: f64) -> Plate {
    let frame = LoftFrame::along_engine(0.0);
    let ring = |radius: f64| {
        (
            Point2::new(0.0, 90.0 * scale),
            radius * scale - thickness / 2.0,
        )
    };
    let length = 120.0 * scale;
    let loft = oblique_cone(
        frame,
        ring(26.0),
        ring(30.0),
        length,
        thickness,
        BendRule::default(),
    )
    .unwrap();
    let middle = Point2::new(0.0, 90.0 * scale);
    rolled(
        &format!("taper-barrel-{name}"),
        thickness,
        loft,
        vec![
            bore("chimney", 0.0, 0.15 * length, middle, 8.0 * scale),
            bore("dome", 0.0, 0.5 * length, middle, 11.0 * scale),
            bore(
                "valve",
                0.0,
                0.85 * length,
                middle + Vector2::new(1.0, 0.0) * scale,
                3.0 * scale,
            ),
            bore("handrail-1", 1.2, 0.3 * length, middle, 1.0 * scale),
            bore("handrail-2", -1.2, 0.3 * length, middle, 1.0 * scale),
        ],
    )
}

fn oblique_barrel(name: &str, scale: f64, thickness: f64) -> Plate {
    let frame = LoftFrame::along_engine(0.0);
    let ring = |radius: f64| {
        let mid = radius * scale - thickness / 2.0;
        (Point2::new(0.0, (60.0 + radius) * scale), mid)
    };
    let length = 90.0 * scale;
    let loft = oblique_cone(
        frame,
        ring(25.0),
        ring(31.0),
        length,
        thickness,
        BendRule::default(),
    )
    .unwrap();
    rolled(
        &format!("oblique-barrel-{name}"),
        thickness,
        loft,
        vec![bore(
            "dome",
            0.0,
            0.5 * length,
            Point2::origin(),
            10.0 * scale,
        )],
    )
}

/// Radii of the smokebox, its half width at the foot and the height of its vertical (in).
const SMOKEBOX: (f64, f64, f64, f64) = (29.0, 14.0, 24.0, 10.0);

/// A smokebox of one section in two halves: vertical, reverse arc, circle, reverse arc, vertical.
fn smokebox_wrapper(name: &str, scale: f64, thickness: f64, chimney_across: f64) -> Plate {
    let (circle, reverse, half_width, foot) = SMOKEBOX;
    let joint = geom::tangency::circle_to_vertical(circle, reverse, half_width).unwrap();
    let right = Chain::starting(Point2::new(0.0, 119.0 * scale), 0.0)
        .arc(circle * scale, -(FRAC_PI_2 + joint.angle))
        .arc(reverse * scale, joint.angle)
        .line(foot * scale)
        .finish();
    let section = right.mirrored_in_y_axis().reversed().joined(&right);
    let length = 40.0 * scale;
    let loft = wrapper(&section, &section, length, thickness);
    let through = Point2::new(chimney_across * scale, 0.0);
    let chimney = bore("chimney", 0.0, 0.5 * length, through, 8.5 * scale);
    rolled(&format!("smokebox-{name}"), thickness, loft, vec![chimney])
}

/// A footplate that slopes in space, with rounded corners, slots and holes.
fn footplate(name: &str, scale: f64, thickness: f64) -> Plate {
    let (s, c) = sin_cos(0.3);
    let placement = Placement::new(
        Point3::new(10.0, -20.0, 30.0),
        Vector3::new(c, 0.0, s),
        Vector3::new(0.0, 1.0, 0.0),
    );
    let (length, width, corner) = (300.0 * scale, 96.0 * scale, 6.0 * scale);
    let mut chain = Chain::starting(Point2::new(corner, 0.0), 0.0);
    for side in [length, width, length, width] {
        chain = chain.line(side - 2.0 * corner).arc(corner, FRAC_PI_2);
    }
    let mut holes = Vec::new();
    for i in 0..12 {
        let x = (24.0 + 22.0 * f64::from(i)) * scale;
        let slot = Point2::new(x, 20.0 * scale);
        let slot = Outline::rectangle(slot, slot + Vector2::new(9.0, 1.5) * scale);
        holes.push(hole(&format!("slot-{i}"), flat_curves(&slot)));
        let whole = Segment::circle(Point2::new(x, 60.0 * scale), 3.0 * scale);
        holes.push(hole(&format!("hole-{i}"), vec![Curve::Flat(whole)]));
    }
    let outline = flat_curves(&Outline::from_chain(&chain.finish()).unwrap());
    plate(
        &format!("footplate-{name}"),
        thickness,
        Forming::Flat(placement),
        outline,
        holes,
    )
}

fn all_plates() -> Vec<Plate> {
    let makers: [fn(&str, f64, f64) -> Plate; 7] = [
        footplate,
        taper_barrel,
        oblique_barrel,
        |name, scale, thickness| smokebox_wrapper(name, scale, thickness, 0.2),
        class_b_wrapper,
        trimmed_wrapper,
        class_m_wrapper,
    ];
    SCALES
        .iter()
        .flat_map(|(name, scale, thickness)| makers.map(|make| make(name, *scale, *thickness)))
        .collect()
}

/// All solids are made, and written with what they should measure.
#[test]
fn solids_are_made_and_measure_what_the_sheet_does() {
    let mut files = Files::to("brep");
    for plate in all_plates() {
        let id = &plate.id;
        let measured = files.add(&plate);
        let (volume, area) = (measured.volume, measured.area);
        let whole = plate.whole().unwrap().formed;
        let want = whole.volume(plate.sheet.z_low, plate.sheet.z_high);
        // At an apex the skins take one normal, which the sheet's own measure does not know.
        let tolerance = if id.starts_with("class-m") {
            1e-6
        } else {
            1e-9
        };
        assert!(
            (volume - want).abs() <= tolerance * want,
            "{id}: volume by the skins {volume}, by the sheet {want}"
        );
        let skins = 2.0 * whole.mid_area - whole.bend * (plate.sheet.z_low + plate.sheet.z_high);
        let walls = area - skins;
        let edges = wall_area_by_lengths(&plate);
        // A wall is as wide as the sheet is thick, and half of it lies either side of mid-sheet.
        assert!(
            (walls - edges).abs() <= 1e-2 * edges,
            "{id}: walls {walls}, from lengths {edges}"
        );
    }
    files.finish();
}

/// Thickness times the length of every mid-sheet edge, by chords.
fn wall_area_by_lengths(plate: &Plate) -> f64 {
    let holes = plate.holes.iter().flat_map(|hole| &hole.boundary);
    let curves = plate.outline.iter().map(|edge| &edge.curve).chain(holes);
    let length: f64 = curves
        .map(|curve| {
            let at = |i: u32| {
                let flat = plate.flat_point(curve, f64::from(i) / 2000.0).unwrap();
                plate.forming.place(flat).point
            };
            (0..2000).map(|i| (at(i + 1) - at(i)).norm()).sum::<f64>()
        })
        .sum();
    length * plate.sheet.thickness()
}

/// The plain plate in closed form: area times thickness, and the perimeter's wall.
#[test]
fn a_flat_plate_is_measured_in_closed_form() {
    let (_, scale, thickness) = SCALES[1];
    let plate = footplate("closed", scale, thickness);
    let (length, width, corner, hole) = (300.0 * scale, 96.0 * scale, 6.0 * scale, 3.0 * scale);
    let slot = (9.0 * scale, 1.5 * scale);
    let area =
        length * width - (4.0 - PI) * corner * corner - 12.0 * (slot.0 * slot.1 + PI * hole * hole);
    let round = 2.0 * (length + width) - 8.0 * corner
        + TAU * corner
        + 12.0 * (2.0 * (slot.0 + slot.1) + TAU * hole);
    let volume = exact_measures(&plate).unwrap().volume;
    assert!(
        (volume - area * thickness).abs() < 1e-9 * volume,
        "volume {volume}"
    );
    let faces = exact_measures(&plate).unwrap().area;
    let want = 2.0 * area + round * thickness;
    assert!(
        (faces - want).abs() < 1e-9 * want,
        "faces {faces}, want {want}"
    );
}

/// A tube of one turn: both skins, the ends and the two sides of the seam in closed form.
#[test]
fn a_tube_is_measured_in_closed_form() {
    let (radius, length, t) = (10.0, 40.0, 0.5);
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
    let plate = rolled("tube", t, loft, Vec::new());
    let (inner, outer) = (radius - t / 2.0, radius + t / 2.0);
    let ends = PI * (outer * outer - inner * inner);
    let volume = exact_measures(&plate).unwrap().volume;
    assert!(
        (volume - ends * length).abs() < 1e-10 * volume,
        "volume {volume}"
    );
    let want = TAU * (inner + outer) * length + 2.0 * ends + 2.0 * t * length;
    let area = exact_measures(&plate).unwrap().area;
    assert!(
        (area - want).abs() < 1e-10 * want,
        "area {area}, want {want}"
    );
    let measures = exact_measures(&plate).unwrap();
    let (low, high) = (measures.low, measures.high);
    assert!(
        (low - Point3::new(1.0 - outer, 2.0 - outer, 3.0)).norm() < 1e-6,
        "{low}"
    );
    assert!(
        (high - Point3::new(1.0 + outer, 2.0 + outer, 43.0)).norm() < 1e-6,
        "{high}"
    );
}

/// Radii of the entities of a name, in the order of the file.
fn radii(text: &str, entity: &str) -> Vec<f64> {
    let begun = format!("= {entity}('',");
    let own = text.lines().filter(|line| line.contains(&begun));
    own.map(|line| {
        let number = line.rsplit(',').next().unwrap().trim_end_matches(");");
        number.parse().unwrap()
    })
    .collect()
}

/// A reader can tell a round hole, a rounded corner and a tube by their radii: none of them is a spline.
#[test]
fn what_is_round_is_written_as_such() {
    let (_, scale, thickness) = SCALES[1];
    let plate = footplate("round", scale, thickness);
    let text = plate_step(&plate).unwrap();
    assert!(!text.contains("B_SPLINE"));
    let count = |found: &[f64], radius: f64| {
        let same = found.iter().filter(|own| (*own - radius).abs() < 1e-12);
        same.count()
    };
    let (holes, corners) = (3.0 * scale, 6.0 * scale);
    let walls = radii(&text, "CYLINDRICAL_SURFACE");
    // Arcs of at most 1.8 rad: four to a hole, one to a corner.
    assert_eq!((count(&walls, holes), count(&walls, corners)), (48, 4));
    assert_eq!(walls.len(), 52);
    assert_eq!(radii(&text, "CIRCLE").len(), 2 * walls.len());

    let (radius, t) = (10.0, 0.5);
    let ring = (Point2::new(1.0, 2.0), radius);
    let frame = LoftFrame::upright(3.0);
    let loft = oblique_cone(frame, ring, ring, 40.0, t, BendRule::default()).unwrap();
    let text = plate_step(&rolled("tube", t, loft, Vec::new())).unwrap();
    assert!(!text.contains("B_SPLINE"));
    let skins = radii(&text, "CYLINDRICAL_SURFACE");
    let (inner, outer) = (
        count(&skins, radius - t / 2.0),
        count(&skins, radius + t / 2.0),
    );
    assert!(
        inner > 0 && inner == outer && inner + outer == skins.len(),
        "{skins:?}"
    );
}

/// A chimney opening whose first point lies on the border between the wrapper's halves.
#[test]
fn a_bore_that_begins_on_a_border_is_cut_there() {
    let (name, scale, t) = SCALES[0];
    let plate = smokebox_wrapper(name, scale, t, 0.0);
    let (circle, reverse, half_width, foot) = SMOKEBOX;
    let phi = geom::tangency::circle_to_vertical(circle, reverse, half_width)
        .unwrap()
        .angle;
    let mid = circle * scale - t / 2.0;
    let half = mid * (FRAC_PI_2 + phi) + (reverse * scale + t / 2.0) * phi + foot * scale;
    // The opening on the mid-sheet cylinder: its chord along the axis by the arc across, with
    // the chord's half angle about the bore for variable so that the integrand is smooth.
    let bore = 8.5 * scale;
    let opening = geom::integrate(-FRAC_PI_2, FRAC_PI_2, 1e-12, &mut |a| {
        let (s, c) = sin_cos(a);
        2.0 * bore * bore * c * c / (1.0 - (bore * s / mid) * (bore * s / mid)).sqrt()
    });
    let want = (2.0 * half * 40.0 * scale - opening) * t;
    let volume = exact_measures(&plate).unwrap().volume;
    assert!(
        (volume - want).abs() < 1e-9 * want,
        "volume {volume}, want {want}"
    );
    assert_sound_file(name, &plate_step(&plate).unwrap());
}

#[test]
fn the_same_plate_gives_the_same_bytes() {
    let (name, scale, thickness) = SCALES[0];
    let text = plate_step(&class_b_wrapper(name, scale, thickness)).unwrap();
    assert_eq!(
        text,
        plate_step(&class_b_wrapper(name, scale, thickness)).unwrap()
    );
}

/// Names that an exchange file must escape do not break it.
#[test]
fn names_are_escaped() {
    let (name, scale, thickness) = SCALES[0];
    let mut plate = footplate(name, scale, thickness);
    plate.title = "Driver's side \\ Führer #5".to_owned();
    let text = plate_step(&plate).unwrap();
    assert!(text.contains("'Driver''s side \\\\ F\\X2\\00FC\\X0\\hrer #5'"));
}

#[test]
fn bad_plates_are_refused_in_words() {
    let (name, scale, thickness) = SCALES[0];
    let open = {
        let mut plate = footplate(name, scale, thickness);
        plate.outline.pop();
        plate
    };
    assert!(
        matches!(plate_step(&open), Err(SolidError::Open { .. })),
        "{:?}",
        plate_step(&open).err()
    );
    let empty = plate(
        "empty",
        thickness,
        open.forming.clone(),
        Vec::new(),
        Vec::new(),
    );
    assert!(matches!(
        plate_step(&empty),
        Err(SolidError::Touching { .. })
    ));
    let outside = {
        let mut plate = footplate(name, scale, thickness);
        let far = Segment::circle(Point2::new(-50.0, -50.0), 2.0);
        plate.holes.push(hole("far", vec![Curve::Flat(far)]));
        plate
    };
    assert!(matches!(
        plate_step(&outside),
        Err(SolidError::Touching { .. })
    ));
    let off = {
        let mut plate = taper_barrel(name, scale, thickness);
        plate
            .holes
            .push(bore("off", 0.0, 0.01, Point2::new(0.0, 0.0), 2.0));
        plate
    };
    assert!(matches!(plate_step(&off), Err(SolidError::Develop { .. })));
    // A sheet thicker than the tube that it is bent to.
    let mut thick = taper_barrel(name, scale, thickness);
    thick.sheet.z_low = -30.0 * scale;
    assert!(
        matches!(plate_step(&thick), Err(SolidError::SkinFolds { .. })),
        "{:?}",
        plate_step(&thick).err()
    );
}
