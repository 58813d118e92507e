//! Drawn artwork against the body: the demonstration drawings, and drawings spoilt one way at a time.

#![allow(clippy::unwrap_used, reason = "helpers of tests may fail by panic")]

use artwork::{Allowance, Artwork, DrawingUnit, DrawnCurve, FlatDrawing, Label, Motion2, read_dxf};
use body::{Body, Finding, Model, Overrides, Scale};
use check::{ArtworkReport, DrawingWords, RULES, check_artwork};
use geom::math::PI;
use geom::{Outline, Point2, Segment, Vector2};

fn class_b(scale: Scale) -> (Body, DrawingWords) {
    let bytes = std::fs::read("../../demo-models/class-b.toml").unwrap();
    let overrides = Overrides {
        scale: Some(scale),
        ..Overrides::default()
    };
    let model = Model::read("class-b", &bytes, &overrides).unwrap();
    let words = DrawingWords {
        engine: model.title.clone(),
        scale: model.scale.word().to_owned(),
        mm_per_foot: model.scale.mm_per_foot(),
    };
    (body::build(&model).unwrap(), words)
}

fn process() -> &'static develop::EtchProcess {
    &develop::processes()[0]
}

fn demo(name: &str) -> ArtworkReport {
    let (body, words) = class_b(Scale::ALL.into_iter().find(|s| s.word() == "7mm").unwrap());
    let bytes = std::fs::read(format!("../../demo-models/artwork/{name}.dxf")).unwrap();
    check_artwork(&body, &read_dxf(&bytes).unwrap(), &words, process()).unwrap()
}

/// Flats laid on a sheet by hand.
struct Sheet {
    artwork: Artwork,
}

impl Sheet {
    fn new() -> Self {
        Self {
            artwork: Artwork {
                units: DrawingUnit::Named("millimetres"),
                allowance: Allowance::LeftToTheEtcher,
                ..Artwork::default()
            },
        }
    }

    fn run(&mut self, segments: impl IntoIterator<Item = Segment>, place: &Motion2) {
        self.artwork.pieces.extend(
            segments
                .into_iter()
                .map(|s| DrawnCurve::new(place.segment(&s), "cut")),
        );
    }

    fn plate(mut self, name: &str, outline: &Outline, holes: &[Outline], place: &Motion2) -> Self {
        self.run(outline.segments().to_vec(), place);
        for hole in holes {
            self.run(hole.segments().to_vec(), place);
        }
        let corner = place.point(outline.segments()[0].point_at(0.5));
        self.artwork.labels.push(Label {
            text: name.to_owned(),
            at: corner + Vector2::new(0.5, 0.5),
            layer: "names".to_owned(),
        });
        self
    }
}

fn at(angle: f64, x: f64, y: f64, mirrored: bool) -> Motion2 {
    Motion2 {
        mirrored,
        angle,
        shift: Vector2::new(x, y),
    }
}

fn holes_of(flat: &FlatDrawing) -> Vec<Outline> {
    flat.holes.iter().map(|h| h.outline.clone()).collect()
}

/// Findings about one plate drawn by itself.
fn verdict(body: &Body, words: &DrawingWords, sheet: &Sheet) -> Vec<Finding> {
    let report = check_artwork(body, &sheet.artwork, words, process()).unwrap();
    report
        .findings
        .into_iter()
        .filter(Finding::counts)
        .collect()
}

fn rules(findings: &[Finding]) -> Vec<&'static str> {
    findings.iter().map(|f| f.rule).collect()
}

fn seven() -> (Body, DrawingWords) {
    class_b(Scale::ALL.into_iter().find(|s| s.word() == "7mm").unwrap())
}

fn four() -> (Body, DrawingWords) {
    class_b(Scale::ALL.into_iter().find(|s| s.word() == "4mm").unwrap())
}

fn flat_of(body: &Body, id: &str) -> FlatDrawing {
    FlatDrawing::of(body.plate(id).unwrap()).unwrap()
}

#[test]
fn the_sound_drawing_has_nothing_wrong() {
    let report = demo("class-b-sound");
    let (body, _) = seven();
    assert_eq!(report.per_plate.len(), body.plates.len());
    assert!(
        report.findings.iter().all(|f| !f.counts()),
        "{:#?}",
        report.findings
    );
    for plate in &report.per_plate {
        assert!(
            plate.worst_deviation_mm < 2e-3,
            "{}: {}",
            plate.plate,
            plate.worst_deviation_mm
        );
        assert_eq!(plate.told_by, "label");
        assert!(!plate.mirrored && plate.missing.is_empty() && plate.extra.is_empty());
    }
}

/// The same without one word on it: every plate is known by its shape, left from right.
#[test]
fn the_sound_drawing_without_names_has_nothing_wrong() {
    let (body, words) = seven();
    let bytes = std::fs::read("../../demo-models/artwork/class-b-sound.dxf").unwrap();
    let mut drawing = read_dxf(&bytes).unwrap();
    drawing.labels.clear();
    let report = check_artwork(&body, &drawing, &words, process()).unwrap();
    let counted: Vec<&Finding> = report.findings.iter().filter(|f| f.counts()).collect();
    assert!(counted.is_empty(), "{counted:#?}");
    assert_eq!(report.not_drawn, Vec::<String>::new());
    assert!(report.per_plate.iter().all(|p| p.told_by == "likeness"));
}

#[test]
fn the_faulty_drawing_has_its_three_faults_and_no_more() {
    let report = demo("class-b-three-faults");
    let counted: Vec<&Finding> = report.findings.iter().filter(|f| f.counts()).collect();
    let mut sentences: Vec<(&str, &str)> = counted
        .iter()
        .map(|f| (f.rule, f.sentence.as_str()))
        .collect();
    sentences.sort_unstable();
    assert_eq!(
        sentences,
        [
            (
                "developed-on-outside",
                "boiler-wrapper: closes on 31.22 mm instead of 30.92 (class B, front, 7 mm scale, t 0.30) and on 34.13 \
          instead of 33.83 (rear): developed on the outside"
            ),
            (
                "drawn-as-trapezium",
                "firebox-wrapper: drawn as a trapezium: the front edge must bow back by 0.94 mm at the feet, the rear \
          edge back by 0.92 mm"
            ),
            (
                "placed-on-plan-length",
                "smokebox-wrapper: the hole handrail-left-1 is placed on plan length: 1.40 mm out"
            ),
        ]
    );
    // The numbers stay in the table: π t = 0.942 mm of edge.
    let boiler = report
        .per_plate
        .iter()
        .find(|p| p.plate == "boiler-wrapper")
        .unwrap();
    let front = boiler.edges.iter().find(|e| e.edge == "front").unwrap();
    assert!(
        (front.difference_mm.unwrap() - 0.3 * PI).abs() < 2e-3,
        "{front:?}"
    );
    assert!(boiler.unexplained_deviation_mm < 0.01);
}

/// Every start vertex, both directions, turned anyhow: the verdict is the same; mirrored, it says so.
#[test]
fn the_verdict_does_not_hang_on_how_it_is_drawn() {
    let (body, words) = seven();
    for id in [
        "cab-front",
        "cab-side-left",
        "smokebox-wrapper",
        "firebox-wrapper",
        "boiler-former-front",
        "footplate",
    ] {
        let flat = flat_of(&body, id);
        let n = flat.outline.segments().len();
        for start in 0..n.min(7) {
            let mut segments = flat.outline.segments().to_vec();
            segments.rotate_left(start);
            let outline = Outline::from_chain(&geom::Chain::from_segments(segments)).unwrap();
            let outline = if start % 2 == 1 {
                outline.reversed()
            } else {
                outline
            };
            let place = at(0.9 * start as f64, 37.0 * start as f64, -80.0, false);
            let sheet = Sheet::new().plate(id, &outline, &holes_of(&flat), &place);
            let found = verdict(&body, &words, &sheet);
            assert!(found.is_empty(), "{id} from {start}: {found:#?}");
        }
    }
    // A symmetrical plate has no hand: turned over it is the same plate.
    for id in ["boiler-former-front", "boiler-former-rear"] {
        let flat = flat_of(&body, id);
        let sheet = Sheet::new().plate(
            id,
            &flat.outline,
            &holes_of(&flat),
            &at(0.3, 5.0, 5.0, true),
        );
        assert!(verdict(&body, &words, &sheet).is_empty(), "{id}");
    }
}

#[test]
fn a_mirrored_plate_is_said_to_be_mirrored() {
    let (body, words) = seven();
    let mut flat = flat_of(&body, "smokebox-wrapper");
    // An opening on one side only makes the hands differ.
    let mut body = body;
    let smokebox = body
        .plates
        .iter_mut()
        .find(|p| p.id == "smokebox-wrapper")
        .unwrap();
    smokebox.holes.retain(|h| h.feature != "handrail-right-1");
    flat.holes.retain(|h| h.feature != "handrail-right-1");
    for angle in [0.0, 1.0, 4.0] {
        let place = at(angle, 11.0, -7.0, true);
        let sheet = Sheet::new().plate("Smokebox Wrapper", &flat.outline, &holes_of(&flat), &place);
        assert_eq!(rules(&verdict(&body, &words, &sheet)), ["mirrored"]);
        let sound = Sheet::new().plate(
            "smokebox_wrapper",
            &flat.outline,
            &holes_of(&flat),
            &at(angle, 1.0, 2.0, false),
        );
        assert!(verdict(&body, &words, &sound).is_empty());
    }
}

/// The sector of a frustum, its front crown at the origin, from end diameters and axial length.
fn sector(front: f64, rear: f64, length: f64) -> Outline {
    let flat = develop::right_cone(rear / 2.0, front / 2.0, length).unwrap();
    let (inner, outer, half) = (flat.inner_radius, flat.outer_radius, flat.angle / 2.0);
    let point =
        |r: f64, a: f64| Point2::new(r * geom::math::cos(a) - inner, r * geom::math::sin(a));
    let bulge = geom::math::tan(half / 2.0);
    let vertices = [
        (point(inner, -half), 0.0),
        (point(outer, -half), bulge),
        (point(outer, half), 0.0),
        (point(inner, half), -bulge),
    ]
    .map(|(point, bulge)| geom::BulgeVertex { point, bulge });
    Outline::from_vertices(&vertices)
}

/// A boiler closes on what its drawn edges say; the causes are told apart at both scales.
#[test]
fn a_ring_says_what_it_closes_on() {
    for ((body, words), mm) in [(seven(), 7.0 / 12.0), (four(), 4.0 / 12.0)] {
        let plate = body.plate("boiler-wrapper").unwrap();
        let t = plate.sheet.thickness();
        let flat = flat_of(&body, "boiler-wrapper");
        let (front, rear, length) = (53.0 * mm, 58.0 * mm, 132.0 * mm);
        let drawn = |off: f64| {
            let outline = sector(front + off, rear + off, length);
            let sheet = Sheet::new().plate(
                "boiler-wrapper",
                &outline,
                &holes_of(&flat),
                &at(2.0, 9.0, 9.0, false),
            );
            verdict(&body, &words, &sheet)
        };
        assert!(drawn(-t).is_empty(), "neutral line: {:#?}", drawn(-t));
        for (off, rule, closes) in [
            (0.0, "developed-on-outside", front + t),
            (-2.0 * t, "developed-on-inside", front - t),
        ] {
            let found = drawn(off);
            assert_eq!(rules(&found), [rule], "{found:#?}");
            let sentence = format!(
                "closes on {closes:.2} mm instead of {front:.2} (class B, front, {}",
                words.scale.replace("mm", " mm scale")
            );
            assert!(
                found[0].sentence.contains(&sentence),
                "{} / {sentence}",
                found[0].sentence
            );
        }
        // Too long by something else: no cause is named.
        let found = drawn(0.35 - t);
        assert_eq!(rules(&found), ["wrapper-length"], "{found:#?}");
        let found = drawn(-0.1 - t);
        assert_eq!(rules(&found), ["wrapper-length"], "{found:#?}");
        assert_eq!(found[0].severity, body::Severity::Error);
    }
}

/// An outline pulled along the section by a share of the distance from the centre line.
fn pulled(flat: &FlatDrawing, factor: f64) -> Outline {
    let pull = |p: Point2| Point2::new(p.x, p.y * factor);
    Outline::polygon(
        &flat
            .outline
            .flattened(1e-4)
            .into_iter()
            .map(pull)
            .collect::<Vec<_>>(),
    )
}

#[test]
fn a_wrapper_developed_on_the_outside_stands_low() {
    let (body, words) = seven();
    for id in ["smokebox-wrapper", "firebox-wrapper"] {
        let plate = body.plate(id).unwrap();
        let flat = flat_of(&body, id);
        let turn: f64 = plate
            .forming
            .loft()
            .unwrap()
            .patches()
            .iter()
            .map(develop::Patch::turn)
            .sum();
        let longer = turn.abs() * plate.sheet.thickness() / 2.0;
        let length = flat.edges.iter().find(|e| e.name == "front").unwrap().flat;
        let outline = pulled(&flat, 1.0 + longer / length);
        let sheet = Sheet::new().plate(id, &outline, &holes_of(&flat), &at(0.5, 0.0, 0.0, false));
        let found = verdict(&body, &words, &sheet);
        let own: Vec<_> = found.iter().filter(|f| f.rule != "hole-place").collect();
        assert_eq!(own.len(), 1, "{found:#?}");
        assert_eq!(own[0].rule, "developed-on-outside");
        let lower = format!("each foot would stand {:.2} mm lower", longer / 2.0);
        assert!(
            own[0].sentence.contains(&lower),
            "{} / {lower}",
            own[0].sentence
        );
    }
}

#[test]
fn two_faults_of_one_wrapper_are_two_findings() {
    let (body, words) = seven();
    let flat = flat_of(&body, "firebox-wrapper");
    let t = body.plate("firebox-wrapper").unwrap().sheet.thickness();
    let half =
        |edge: &str| flat.edges.iter().find(|e| e.name == edge).unwrap().flat / 2.0 + PI * t / 4.0;
    let rear = flat
        .points
        .iter()
        .find(|(n, _)| n == "rear-crown")
        .unwrap()
        .1
        .x;
    let (a, b) = (half("front"), half("rear"));
    let trapezium = |notch: f64| {
        Outline::polygon(&[
            Point2::new(0.0, -a),
            Point2::new(rear, -b),
            Point2::new(rear, b),
            Point2::new(rear / 2.0, (a + b) / 2.0 - notch),
            Point2::new(0.0, a),
        ])
    };
    let draw = |outline: &Outline| {
        let sheet = Sheet::new().plate(
            "firebox-wrapper",
            outline,
            &holes_of(&flat),
            &at(3.0, 0.0, 9.0, false),
        );
        rules(&verdict(&body, &words, &sheet))
    };
    assert_eq!(
        draw(&trapezium(0.0)),
        ["developed-on-outside", "drawn-as-trapezium"]
    );
    // A third fault that neither explains is said besides.
    assert_eq!(
        draw(&trapezium(0.6)),
        ["developed-on-outside", "drawn-as-trapezium", "outline"]
    );
}

#[test]
fn holes_missing_out_of_place_of_other_size_and_not_meant() {
    let (body, words) = seven();
    let flat = flat_of(&body, "cab-front");
    let sound = holes_of(&flat);
    let draw = |holes: &[Outline]| {
        let sheet =
            Sheet::new().plate("cab-front", &flat.outline, holes, &at(1.2, 3.0, 4.0, false));
        verdict(&body, &words, &sheet)
    };
    let others = &sound[2..];
    let with = |own: &[Outline]| [own, others].concat();
    assert_eq!(rules(&draw(&with(&sound[..1]))), ["hole-missing"]);
    let moved = vec![
        sound[0].clone(),
        sound[1].translated(Vector2::new(0.0, 0.3)),
    ];
    let found = draw(&with(&moved));
    // It comes nearer to the pilot hole beside it than the etch leaves metal.
    assert_eq!(rules(&found), ["hole-place", "least-bar"]);
    assert!((found[0].found - 0.3).abs() < 1e-3, "{found:?}");
    assert!(
        found[0].sentence.contains("0.30 mm out"),
        "{}",
        found[0].sentence
    );
    let centre = artwork::centre_of(&sound[1]);
    let larger = vec![sound[0].clone(), Outline::circle(centre, 8.75 / 2.0 + 0.2)];
    let found = draw(&with(&larger));
    assert_eq!(rules(&found), ["hole-size"]);
    assert!((found[0].found - 0.4).abs() < 1e-3, "{found:?}");
    let one_more = [
        sound.clone(),
        vec![Outline::circle(Point2::new(0.0, 80.0), 0.5)],
    ]
    .concat();
    assert_eq!(rules(&draw(&one_more)), ["hole-not-meant"]);
    let within = vec![
        sound[0].clone(),
        sound[1].translated(Vector2::new(0.03, 0.0)),
    ];
    assert!(draw(&with(&within)).is_empty());
}

#[test]
fn a_flat_plate_drawn_wrong_in_one_place_is_wrong_there() {
    let (body, words) = seven();
    let flat = flat_of(&body, "buffer-beam-front-overlay");
    let mut corners: Vec<Point2> = flat.outline.segments().iter().map(Segment::start).collect();
    corners[2] += Vector2::new(0.4, 0.0);
    let sheet = Sheet::new().plate(
        "buffer-beam-front-overlay",
        &Outline::polygon(&corners),
        &holes_of(&flat),
        &at(0.1, 0.0, 0.0, false),
    );
    let found = verdict(&body, &words, &sheet);
    assert_eq!(rules(&found), ["outline"]);
    let spot = found[0].at.flat.unwrap();
    // A plain rectangle may be laid either way round: it is a corner all the same.
    let off = flat
        .outline
        .segments()
        .iter()
        .map(|s| (s.start() - spot).norm())
        .fold(f64::INFINITY, f64::min);
    assert!(off < 1.0, "{spot} is at no corner");
    assert!(
        found[0].found > 0.2 && found[0].found < 0.41,
        "{}",
        found[0].found
    );
}

/// A plate without a name is taken by likeness, left and right hands told apart by what is on them.
#[test]
fn plates_without_names_are_known_by_likeness() {
    let (body, words) = seven();
    let flat = flat_of(&body, "boiler-wrapper");
    let sheet = Sheet::new().plate(
        "sheet 3",
        &flat.outline,
        &holes_of(&flat),
        &at(0.7, 0.0, 0.0, false),
    );
    let report = check_artwork(&body, &sheet.artwork, &words, process()).unwrap();
    assert_eq!(report.per_plate.len(), 1);
    assert_eq!(
        (
            report.per_plate[0].plate.as_str(),
            report.per_plate[0].told_by
        ),
        ("boiler-wrapper", "likeness")
    );
    assert!(
        report
            .findings
            .iter()
            .any(|f| f.rule == "taken-by-likeness" && !f.counts())
    );
    assert!(
        report.findings.iter().all(|f| !f.counts()),
        "{:#?}",
        report.findings
    );
    // Nothing like any plate: a note, no plate.
    let strange = Outline::rectangle(Point2::new(0.0, 0.0), Point2::new(300.0, 7.0));
    let report = check_artwork(
        &body,
        &Sheet::new()
            .plate("x", &strange, &[], &at(0.0, 0.0, 0.0, false))
            .artwork,
        &words,
        process(),
    )
    .unwrap();
    assert!(report.per_plate.is_empty());
    assert!(report.findings.iter().any(|f| f.rule == "unknown-shape"));
    assert_eq!(report.not_drawn.len(), body.plates.len());
}

/// A named shape that is nothing like its plate is compared all the same, and nothing panics.
#[test]
fn shapes_that_are_nothing_like_their_plates_are_reported() {
    let (body, words) = seven();
    for plate in &body.plates {
        let strange = Outline::circle(Point2::new(0.0, 0.0), 3.0);
        let sheet = Sheet::new().plate(&plate.id, &strange, &[], &at(0.0, 40.0, 0.0, false));
        let found = verdict(&body, &words, &sheet);
        assert!(!found.is_empty(), "{}", plate.id);
    }
}

#[test]
fn an_empty_drawing_is_not_fit_to_etch_and_an_empty_body_has_nothing_to_say() {
    let (mut body, words) = four();
    let report = check_artwork(&body, &Sheet::new().artwork, &words, process()).unwrap();
    let found: Vec<_> = report
        .findings
        .iter()
        .map(|own| (own.rule, own.counts()))
        .collect();
    assert_eq!(
        (report.per_plate.len(), found),
        (0, vec![("no-plate-drawn", true)])
    );
    body.plates.clear();
    let report = check_artwork(&body, &Sheet::new().artwork, &words, process()).unwrap();
    assert!(report.findings.is_empty());
}

#[test]
fn more_outlines_than_a_sheet_can_hold_are_refused() {
    let (body, words) = four();
    let mut sheet = Sheet::new();
    for i in 0..5001 {
        let dot = Outline::circle(Point2::new(f64::from(i), 0.0), 0.2);
        sheet.run(dot.segments().to_vec(), &at(0.0, 0.0, 0.0, false));
    }
    let refused = check_artwork(&body, &sheet.artwork, &words, process()).unwrap_err();
    assert!(
        matches!(
            refused,
            check::CheckError::TooManyShapes { count: 5001, .. }
        ),
        "{refused}"
    );
}

#[test]
fn the_report_is_json_with_units_in_its_names() {
    let json = serde_json::to_value(demo("class-b-three-faults")).unwrap();
    let finding = &json["findings"][0];
    for key in [
        "path", "rule", "severity", "found_mm", "limit_mm", "at", "sentence",
    ] {
        assert!(finding.get(key).is_some(), "{key}");
    }
    let words: Vec<&str> = RULES.iter().map(|rule| rule.word).collect();
    for finding in json["findings"].as_array().unwrap() {
        assert!(words.contains(&finding["rule"].as_str().unwrap()));
    }
    let plate = &json["per_plate"][0];
    assert!(plate["perimeter_drawn_mm"].is_f64() && plate["turned_deg"].is_f64());
    assert!(plate["edges"][0]["meant_mm"].is_f64());
}
