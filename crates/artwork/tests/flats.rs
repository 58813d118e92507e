//! Drawings of flats against the plates that they draw.
#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test fails the test, as the test itself would"
)]

use artwork::{FlatDrawing, greatest_distance};
use body::{Curve, Edge, Face, Hole, Mark, Plate, Purpose, Region, Rivet, Sheet};
use develop::{Forming, Loft, LoftFrame, SurfacePoint, Trace};
use geom::math::{FRAC_PI_2, PI, asin};
use geom::{Chain, FlatPoint, Outline, Placement, Point2, Point3, Segment, Vector2, Vector3};

const GAUGE: f64 = 0.25;

/// A firebox section: crown, shoulders and sides, outside on the left of travel, mid-sheet (mm).
fn section(top: f64, crown: f64, half_width: f64, shoulder: f64, foot: f64) -> Chain {
    let x = half_width - shoulder;
    let alpha = asin(x / (crown - shoulder));
    let reach = crown - shoulder;
    let side_from = top - crown + (reach * reach - x * x).sqrt();
    let left = Chain::starting(Point2::new(0.0, top), 0.0)
        .arc(crown, -alpha)
        .arc(shoulder, -(FRAC_PI_2 - alpha))
        .line(side_from - foot)
        .finish();
    left.mirrored_in_y_axis().reversed().joined(&left)
}

fn wrapper_plate(loft: Loft, bores: &[(&str, f64, f64)]) -> Plate {
    let (datum, end, length) = (loft.datum(), loft.w_end(), loft.axial_length());
    let section = |v, from, to| Curve::Surface(Trace::Section { v, from, to });
    let ruling = |w, from, to| Curve::Surface(Trace::Ruling { w, from, to });
    let edge = |name: &str, curve| Edge {
        name: name.to_owned(),
        curve,
    };
    // Anticlockwise on the flat: x along the rulings, y along the section.
    let outline = vec![
        edge("seam-right", ruling(0.0, 0.0, 1.0)),
        edge("rear", section(1.0, 0.0, end)),
        edge("seam-left", ruling(end, 1.0, 0.0)),
        edge("front", section(0.0, end, 0.0)),
    ];
    let up = Vector2::new(0.0, 1.0);
    let holes = bores
        .iter()
        .map(|&(feature, along, diameter)| Hole {
            feature: feature.to_owned(),
            centre: loft.flat(SurfacePoint {
                w: datum,
                v: along / length,
            }),
            diameter: Some(diameter),
            boundary: vec![Curve::Surface(Trace::bore(
                up,
                along,
                Point2::origin(),
                diameter / 2.0,
            ))],
        })
        .collect();
    let band = vec![
        ruling(0.0, 0.85, 0.9),
        section(0.9, 0.0, end),
        ruling(end, 0.9, 0.85),
        section(0.85, end, 0.0),
    ];
    Plate {
        id: "firebox-wrapper".to_owned(),
        assembly: "firebox",
        title: "Firebox wrapper".to_owned(),
        sheet: Sheet::plain("brass half-hard", GAUGE),
        points: vec![("front-crown".to_owned(), FlatPoint::origin())],
        forming: Forming::Rolled(Box::new(loft)),
        outline,
        holes,
        regions: vec![Region {
            name: "band-1".to_owned(),
            purpose: Purpose::Band,
            face: Face::Outside,
            z_low: -GAUGE / 2.0,
            z_high: 0.25,
            boundary: band,
        }],
        rivets: vec![Rivet {
            centre: FlatPoint::new(1.0, 2.0),
            head_diameter: 0.5,
            head_height: 0.2,
            dot: None,
            row: "front".to_owned(),
        }],
        marks: vec![Mark {
            name: "centre-line".to_owned(),
            from: FlatPoint::origin(),
            to: FlatPoint::new(length, 0.0),
        }],
    }
}

/// A flat-topped firebox that tapers in plan and elevation: cones, none of them right.
fn tapered() -> Plate {
    let loft = Loft::between(
        LoftFrame::along_engine(0.0),
        &section(46.0, 80.0, 11.7, 2.7, 18.0),
        &section(44.3, 80.0, 10.0, 2.0, 18.0),
        30.0,
        GAUGE,
        Default::default(),
    )
    .unwrap();
    wrapper_plate(loft, &[("dome", 12.0, 9.0), ("handrail-1", 22.0, 0.5)])
}

fn parallel_tube() -> Plate {
    let ring = Chain::starting(Point2::new(0.0, -9.0), PI)
        .arc(9.0, -2.0 * PI)
        .finish();
    let loft = Loft::between(
        LoftFrame::along_engine(0.0),
        &ring,
        &ring,
        40.0,
        GAUGE,
        Default::default(),
    )
    .unwrap();
    wrapper_plate(loft, &[("chimney", 10.0, 6.0), ("handrail-1", 25.0, 0.3)])
}

fn flat_plate() -> Plate {
    let outline = [
        Segment::line(Point2::new(0.0, 0.0), Point2::new(40.0, 0.0)),
        Segment::line(Point2::new(40.0, 0.0), Point2::new(40.0, 20.0)),
        Segment::from_bulge(Point2::new(40.0, 20.0), Point2::new(30.0, 30.0), 0.4),
        Segment::line(Point2::new(30.0, 30.0), Point2::new(0.0, 30.0)),
        Segment::line(Point2::new(0.0, 30.0), Point2::new(0.0, 0.0)),
    ];
    let names = ["bottom", "rear", "corner", "top", "front"];
    Plate {
        id: "tank-side-left".to_owned(),
        assembly: "side-tanks",
        title: "Tank side, left".to_owned(),
        sheet: Sheet::plain("nickel-silver half-hard", 0.4),
        forming: Forming::Flat(Placement::new(Point3::origin(), Vector3::x(), Vector3::z())),
        outline: outline
            .into_iter()
            .zip(names)
            .map(|(segment, name)| Edge {
                name: name.to_owned(),
                curve: Curve::Flat(segment),
            })
            .collect(),
        holes: vec![
            Hole {
                feature: "lamp-iron".to_owned(),
                centre: Point2::new(10.0, 10.0),
                diameter: Some(1.0),
                boundary: vec![Curve::Flat(Segment::circle(Point2::new(10.0, 10.0), 0.5))],
            },
            Hole {
                feature: "window".to_owned(),
                centre: Point2::new(20.0, 20.0),
                diameter: None,
                boundary: body::flat_curves(&Outline::rectangle(
                    Point2::new(18.0, 18.0),
                    Point2::new(22.0, 22.0),
                )),
            },
        ],
        regions: Vec::new(),
        rivets: Vec::new(),
        marks: Vec::new(),
        points: Vec::new(),
    }
}

#[track_caller]
fn agree(got: f64, want: f64, share: f64, what: &str) {
    assert!(
        (got / want - 1.0).abs() <= share,
        "{what}: got {got}, want {want}"
    );
}

/// Every invariant that a drawing promises of its plate.
#[track_caller]
fn assert_draws(plate: &Plate) -> FlatDrawing {
    let drawing = FlatDrawing::of(plate).unwrap();
    let id = &plate.id;
    assert!(
        drawing.fit_error <= 1e-3,
        "{id}: out by {} mm",
        drawing.fit_error
    );
    agree(
        drawing.area(),
        plate.whole().unwrap().flat_area,
        1e-6,
        "area of metal",
    );
    for (edge, exact) in drawing.edges.iter().zip(plate.edge_lengths().unwrap()) {
        assert_eq!(edge.name, exact.name);
        agree(edge.fitted, exact.flat, 1e-6, &edge.name);
        agree(edge.fitted, exact.formed, 1e-6, &edge.name);
    }
    for (i, edge) in plate.outline.iter().enumerate() {
        let own: Vec<Segment> = drawing.edge_segments(i).copied().collect();
        let exact = |t| plate.flat_point(&edge.curve, t).unwrap();
        // Ends of edges are vertices of the drawing.
        assert!(
            (own[0].start() - exact(0.0)).norm() < 1e-7,
            "{id} {}",
            edge.name
        );
        assert!(
            (own[own.len() - 1].end() - exact(1.0)).norm() < 1e-7,
            "{id} {}",
            edge.name
        );
        // Other places than the ones the fit looks at.
        let points: Vec<_> = (0..=1777).map(|k| exact(f64::from(k) / 1777.0)).collect();
        let off = greatest_distance(&points, &own);
        assert!(
            off <= 1e-3 && off <= 1.2 * drawing.fit_error.max(1e-7),
            "{id} {}: {off}",
            edge.name
        );
    }
    for (hole, drawn) in plate.holes.iter().zip(&drawing.holes) {
        let exact = plate.enclosed(&hole.boundary).unwrap().flat_area;
        agree(drawn.outline.area(), exact, 1e-6, &hole.feature);
        for k in 0..500 {
            let at = plate
                .flat_point(&hole.boundary[0], f64::from(k) / 500.0)
                .unwrap();
            assert!(drawn.outline.nearest(at).1 <= 1e-3, "{id} {}", hole.feature);
        }
    }
    for (region, drawn) in plate.regions.iter().zip(&drawing.regions) {
        let exact = plate.enclosed(&region.boundary).unwrap().flat_area;
        agree(drawn.outline.area(), exact, 1e-6, &region.name);
    }
    drawing
}

#[test]
fn tapered_firebox() {
    let drawing = assert_draws(&tapered());
    // Tangent all along each edge; corners only where edges meet.
    for i in 0..4 {
        let own: Vec<_> = drawing.edge_segments(i).collect();
        for pair in own.windows(2) {
            let turn = geom::math::wrap_angle(
                pair[1].tangent_angle_at(0.0) - pair[0].tangent_angle_at(1.0),
            );
            assert!(
                turn.abs() < 1e-6,
                "{}: corner of {turn} rad",
                drawing.edges[i].name
            );
        }
    }
    // A seam along a ruling is one line; a drawing is not a cloud of chords.
    assert_eq!(drawing.edge_segments(0).count(), 1);
    assert!(
        drawing.outline.segments().len() < 120,
        "{}",
        drawing.outline.segments().len()
    );
    assert!(
        drawing.holes[0].round.is_none(),
        "a great bore through a bend is no circle on the flat"
    );
}

#[test]
fn parallel_boiler_is_a_rectangle() {
    let drawing = assert_draws(&parallel_tube());
    assert_eq!(drawing.outline.segments().len(), 4);
    assert!(drawing.outline.segments().iter().all(|s| s.turn() == 0.0));
    agree(drawing.outline.area(), 40.0 * 18.0 * PI, 1e-9, "area");
}

/// A chimney hole of 6 mm in a tube of 9 mm radius: across the tube the flat hole is
/// 2·9·asin(3/9) = 6.1173 mm, along it 6 mm.
#[test]
fn hole_in_a_tube_is_an_oval() {
    let drawing = assert_draws(&parallel_tube());
    let (low, high) = drawing.holes[0].outline.bounds();
    // Each side may be out by the tolerance of the fit, 1e-4.
    assert!((high.x - low.x - 6.0).abs() < 2e-4, "{}", high.x - low.x);
    assert!(
        (high.y - low.y - 18.0 * asin(1.0 / 3.0)).abs() < 2e-4,
        "{}",
        high.y - low.y
    );
    assert_eq!(drawing.holes[0].diameter, Some(6.0));
}

#[test]
fn small_hole_in_a_bend_is_a_circle_within_the_fit() {
    let drawing = assert_draws(&parallel_tube());
    let round = drawing.holes[1].round.unwrap();
    assert!((round - 0.15).abs() < 1e-4, "{round}");
    // On a crown that falls by 1.7 in 30 the same bore is an oval of 0.4 µm a quarter millimetre.
    assert_eq!(FlatDrawing::of(&tapered()).unwrap().holes[1].round, None);
}

#[test]
fn flat_plate_keeps_its_lines_and_arcs() {
    let plate = flat_plate();
    let drawing = assert_draws(&plate);
    assert!(drawing.fit_error < 1e-12, "{}", drawing.fit_error);
    assert_eq!(drawing.outline.segments().len(), 5);
    assert_eq!(drawing.edge_of, [0, 1, 2, 3, 4]);
    assert!(
        drawing.holes[0]
            .round
            .is_some_and(|round| (round - 0.5).abs() < 1e-12)
    );
    assert_eq!(drawing.holes[1].round, None);
    assert_eq!(drawing.bounds.0, Point2::origin());
}

#[test]
fn open_boundary_is_an_error_that_says_where() {
    let mut plate = flat_plate();
    plate.outline.remove(2);
    let text = FlatDrawing::of(&plate).unwrap_err().to_string();
    assert!(
        text.contains("tank-side-left, outline") && text.contains("open by"),
        "{text}"
    );
}

#[test]
fn bore_off_the_plate_is_an_error() {
    let mut plate = parallel_tube();
    plate.holes[0].boundary = vec![Curve::Surface(Trace::bore(
        Vector2::new(0.0, 1.0),
        1.0,
        Point2::origin(),
        3.0,
    ))];
    assert!(FlatDrawing::of(&plate).is_err());
}

#[test]
fn same_plate_same_drawing() {
    assert_eq!(FlatDrawing::of(&tapered()), FlatDrawing::of(&tapered()));
}

/// Ends trimmed by planes are drawn like any other: a tapering firebox with a sloping rear, and a tube cut at 40°.
#[test]
fn ends_cut_by_planes() {
    for (plate, through, slope) in [
        (tapered(), Point3::new(29.9, 0.0, 18.0), 0.1),
        (parallel_tube(), Point3::new(30.0, 0.0, 0.0), 0.7),
    ] {
        let mut plate = plate;
        let (s, c) = geom::math::sin_cos(slope);
        let loft = plate.forming.loft().unwrap();
        let (from, to) = (0.0, loft.w_end());
        let rear = Trace::Cut {
            through,
            normal: Vector3::new(c, 0.0, s),
            from,
            to,
        };
        let [right, left] = [0.0, 1.0].map(|t| rear.at(loft, t).unwrap().v);
        // The band and the hole behind the cut are gone with the metal there.
        plate.regions.clear();
        plate.holes.clear();
        let ruling = |w, from, to| Curve::Surface(Trace::Ruling { w, from, to });
        plate.outline[0].curve = ruling(from, 0.0, right);
        plate.outline[1].curve = Curve::Surface(rear.clone());
        plate.outline[2].curve = ruling(to, left, 0.0);
        let drawing = assert_draws(&plate);
        // Places of the cut, found on the drawn edge.
        let loft = plate.forming.loft().unwrap();
        let drawn: Vec<Segment> = drawing.edge_segments(1).copied().collect();
        let places: Vec<FlatPoint> = (0..=200)
            .map(|i| rear.flat_point(loft, f64::from(i) / 200.0).unwrap())
            .collect();
        assert!(greatest_distance(&places, &drawn) <= 1e-4);
    }
}
