//! The test build: sound artwork has nothing wrong, and every seeded fault is found and measured.

#![allow(clippy::unwrap_used, reason = "helpers of tests may fail by panic")]

use artwork::{Allowance, Artwork, DrawingUnit, DrawnCurve, FlatDrawing, Label, read_dxf};
use body::{Body, Face, Model, Overrides, Purpose, Scale};
use check::{DrawingWords, Measure, TestBuild, check_artwork, test_build};
use geom::{Chain, Outline, Point2, Segment, Vector2};
use std::sync::OnceLock;

struct Engine {
    model: Model,
    body: Body,
}

fn class_b() -> &'static Engine {
    static ENGINE: OnceLock<Engine> = OnceLock::new();
    ENGINE.get_or_init(|| {
        let bytes = std::fs::read("../../demo-models/class-b.toml").unwrap();
        let overrides = Overrides {
            scale: Scale::named("7mm"),
            ..Overrides::default()
        };
        let model = Model::read("class-b", &bytes, &overrides).unwrap();
        let body = body::build(&model).unwrap();
        Engine { model, body }
    })
}

impl Engine {
    fn built_of(&self, body: &Body, artwork: &Artwork) -> TestBuild {
        let words = DrawingWords {
            engine: self.model.title.clone(),
            scale: self.model.scale.word().to_owned(),
            mm_per_foot: self.model.scale.mm_per_foot(),
        };
        let process = self.model.metal.process;
        let report = check_artwork(body, artwork, &words, process).unwrap();
        test_build(body, &report, &self.model.metal, self.model.scale).unwrap()
    }

    fn built(&self, artwork: &Artwork) -> TestBuild {
        self.built_of(&self.body, artwork)
    }

    fn flat(&self, id: &str) -> FlatDrawing {
        FlatDrawing::of(self.body.plate(id).unwrap()).unwrap()
    }

    /// Plates drawn side by side, each as it is or with a fault.
    fn drawn(&self, plates: &[FlatDrawing]) -> TestBuild {
        self.built(&sheet_of(plates))
    }
}

fn layer_of(face: Face) -> &'static str {
    match face {
        Face::Outside => "HALF-ETCH-OUTSIDE",
        Face::Inside => "HALF-ETCH-INSIDE",
    }
}

fn sheet_of(plates: &[FlatDrawing]) -> Artwork {
    let mut artwork = Artwork {
        units: DrawingUnit::Named("millimetres"),
        allowance: Allowance::LeftToTheEtcher,
        ..Artwork::default()
    };
    let mut x = 0.0;
    for flat in plates {
        let (low, high) = flat.outline.bounds();
        let by = Vector2::new(x - low.x, -low.y);
        x += high.x - low.x + 30.0;
        let mut run = |outline: &Outline, layer: &str| {
            let moved = outline.segments().iter().map(|s| s.translated(by));
            artwork
                .pieces
                .extend(moved.map(|s| DrawnCurve::new(s, layer)));
        };
        run(&flat.outline, "OUTLINE");
        for hole in &flat.holes {
            run(&hole.outline, "OPENINGS");
        }
        for region in &flat.regions {
            let proud = region.z_high > flat.plain.1 || region.z_low < flat.plain.0;
            run(
                &region.outline,
                if proud {
                    "RAISED-OUTSIDE"
                } else {
                    layer_of(region.face)
                },
            );
        }
        for rivet in &flat.rivets {
            run(
                &Outline::circle(rivet.centre, rivet.head_diameter / 2.0),
                "RIVETS",
            );
        }
        artwork.labels.push(Label {
            text: flat.plate.clone(),
            at: flat.outline.segments()[0].point_at(0.5) + by + Vector2::new(0.3, 0.3),
            layer: "LABELS".to_owned(),
        });
    }
    artwork
}

fn outline_of(segments: Vec<Segment>) -> Outline {
    Outline::from_chain(&Chain::from_segments(segments)).unwrap()
}

/// Moves the ends of the straight sides of a name outward (mm), its neighbours following.
fn move_edge(flat: &mut FlatDrawing, name: &str, outward: f64) {
    let n = flat.outline.segments().len();
    let mut segments = flat.outline.segments().to_vec();
    for (segment, &e) in segments.iter_mut().zip(&flat.edge_of) {
        if flat.edges[e].name == name {
            let (a, b) = (segment.start(), segment.end());
            let run = (b - a).normalize();
            let by = Vector2::new(run.y, -run.x) * outward;
            *segment = Segment::line(a + by, b + by);
        }
    }
    for i in 0..n {
        if flat.edges[flat.edge_of[i]].name != name {
            let (before, after) = (
                segments[(i + n - 1) % n].end(),
                segments[(i + 1) % n].start(),
            );
            segments[i] = Segment::line(before, after);
        }
    }
    flat.outline = outline_of(segments);
}

/// The edges named `sides` keep their curves between `from` and 1 − `to` of their ends cut by lengths
/// (mm); straight lines close the outline.
fn shortened(flat: &FlatDrawing, sides: [&str; 2], cut: f64) -> Outline {
    let mut whole = Vec::new();
    for (e, edge) in flat.edges.iter().enumerate() {
        if sides.contains(&edge.name.as_str()) {
            let chain = Chain::from_segments(flat.edge_segments(e).copied());
            whole.push(chain.part(cut, chain.length() - cut));
        }
    }
    let [one, two] = [&whole[0], &whole[1]];
    let mut segments = one.segments().to_vec();
    segments.push(Segment::line(one.end(), two.start()));
    segments.extend(two.segments());
    segments.push(Segment::line(two.end(), one.start()));
    outline_of(segments)
}

#[track_caller]
fn measure<'b>(build: &'b TestBuild, rule: &str, path: &str) -> &'b Measure {
    let found = build
        .measures
        .iter()
        .find(|own| own.rule == rule && own.path.contains(path));
    found.unwrap_or_else(|| panic!("{rule} at {path} is measured"))
}

/// The fault is found by its rule, is what is farthest out, and measured within 0.01 mm.
#[track_caller]
fn assert_found(build: &TestBuild, rule: &str, path: &str, difference: f64) {
    let own = measure(build, rule, path);
    assert!(
        (own.difference_mm - difference).abs() < 0.01,
        "{path}: {:.4} mm measured for {difference:.4} seeded; all: {:#?}",
        own.difference_mm,
        build.findings
    );
    assert_ne!(own.verdict, "good", "{own:?}");
    let finding = build
        .findings
        .iter()
        .find(|f| f.rule == rule && f.path == own.path);
    let finding = finding.expect("what is out of its limits is a finding");
    assert!(finding.counts() && finding.at.body.is_some() && !finding.sentence.is_empty());
    assert!(!build.fit_to_etch && build.verdict.starts_with("Not fit to etch"));
}

#[test]
fn sound_artwork_builds() {
    let bytes = std::fs::read("../../demo-models/artwork/class-b-sound.dxf").unwrap();
    let engine = class_b();
    let build = engine.built(&read_dxf(&bytes).unwrap());
    assert!(build.findings.is_empty(), "{:#?}", build.findings);
    assert!(build.fit_to_etch, "{}", build.verdict);
    assert!(build.verdict.starts_with("Fit to etch"));
    assert!(build.not_measured.is_empty(), "{:?}", build.not_measured);
    // Every joint of the body is measured, and nothing stands off by more than the drawing's rounding.
    for joint in &engine.body.joints {
        assert!(
            build.measures.iter().any(|own| own.path == joint.id),
            "{}",
            joint.id
        );
    }
    for own in &build.measures {
        assert!(own.difference_mm.abs() < 5e-3, "{own:?}");
    }
}

#[test]
fn the_three_faults_show_in_metal() {
    let bytes = std::fs::read("../../demo-models/artwork/class-b-three-faults.dxf").unwrap();
    let build = class_b().built(&read_dxf(&bytes).unwrap());
    // π t of edge at t = 0.30.
    assert_found(
        &build,
        "seam-as-drawn",
        "boiler-wrapper/front",
        0.3 * geom::math::PI,
    );
    assert_found(
        &build,
        "hole-as-drawn",
        "smokebox-wrapper/handrail-left-1",
        1.416,
    );
}

#[test]
fn a_slot_beside_its_tab_and_a_slot_too_narrow() {
    let engine = class_b();
    let valance = engine.flat("valance-left");
    let slot = |change: &dyn Fn(&mut FlatDrawing, usize)| {
        let mut footplate = engine.flat("footplate");
        let at = footplate
            .holes
            .iter()
            .position(|hole| hole.feature == "slot-valance-left-top-2")
            .unwrap();
        change(&mut footplate, at);
        engine.drawn(&[footplate, valance.clone()])
    };
    // A slot that stands aside takes from both sides of the tab.
    let aside = slot(&|flat, at| {
        flat.holes[at].outline = flat.holes[at].outline.translated(Vector2::new(0.0, 0.12));
    });
    assert_found(&aside, "tab-as-drawn", "slot-valance-left-top-2", -0.24);
    let narrow = slot(&|flat, at| {
        let (low, high) = flat.holes[at].outline.bounds();
        flat.holes[at].outline = Outline::rectangle(
            Point2::new(low.x, low.y + 0.09),
            Point2::new(high.x, high.y - 0.09),
        );
    });
    let own = measure(&narrow, "tab-as-drawn", "slot-valance-left-top-2");
    assert!((own.difference_mm + 0.18).abs() < 0.01, "{own:?}");
    assert_eq!(own.verdict, "error");
    assert!(
        own.sentence.as_ref().unwrap().contains("will not go into"),
        "{own:?}"
    );
}

#[test]
fn a_hole_beside_its_fellow() {
    let engine = class_b();
    let mut overlay = engine.flat("buffer-beam-front-overlay");
    let hole = overlay
        .holes
        .iter_mut()
        .find(|hole| hole.feature == "buffer-a")
        .unwrap();
    hole.outline = hole.outline.translated(Vector2::new(0.12, 0.16));
    let build = engine.drawn(&[overlay, engine.flat("buffer-beam-front")]);
    assert_found(&build, "hole-as-drawn", "/buffer-a", 0.20);
}

#[test]
fn a_former_too_small_and_the_seam_that_overlaps_on_it() {
    let engine = class_b();
    let mut former = engine.flat("boiler-former-front");
    let (low, high) = former.outline.bounds();
    let radius = (high.x - low.x) / 2.0;
    former.outline = Outline::circle(Point2::from((low.coords + high.coords) / 2.0), radius - 0.2);
    let build = engine.drawn(&[former, engine.flat("boiler-wrapper")]);
    assert_found(&build, "former-as-drawn", "boiler-wrapper/front", 0.2);
    let seam = 2.0 * geom::math::PI * 0.2;
    assert_found(&build, "seam-as-drawn", "boiler-wrapper/front", seam);
    let sentence = &build.findings[0].sentence;
    assert!(!sentence.is_empty());
}

#[test]
fn a_former_drawn_by_chords_is_measured_as_the_circle() {
    let engine = class_b();
    let mut former = engine.flat("boiler-former-front");
    let points = former.outline.flattened(0.01);
    former.outline = Outline::polygon(&points);
    let build = engine.drawn(&[former, engine.flat("boiler-wrapper")]);
    assert!(build.findings.is_empty(), "{:#?}", build.findings);
    let seam = measure(&build, "seam-as-drawn", "boiler-wrapper/front");
    assert!(seam.difference_mm.abs() < 0.005, "{seam:?}");
}

#[test]
fn a_wrapper_short_of_its_former() {
    let engine = class_b();
    let mut wrapper = engine.flat("firebox-wrapper");
    wrapper.outline = shortened(&wrapper, ["rear", "front"], 0.2);
    let formers = ["firebox-former-front", "firebox-former-rear"].map(|id| engine.flat(id));
    let [front, rear] = formers;
    let build = engine.drawn(&[wrapper, front, rear]);
    assert_found(
        &build,
        "girth-as-drawn",
        "firebox-wrapper/front~firebox-former-front/",
        -0.4,
    );
    assert_found(&build, "girth-as-drawn", "firebox-wrapper/rear", -0.4);
    let own = measure(
        &build,
        "girth-as-drawn",
        "firebox-wrapper/rear~firebox-former-rear",
    );
    let sentence = own.sentence.as_ref().unwrap();
    assert!(
        sentence.contains("will stand 0.40 mm short of the former firebox-former-rear at its rear"),
        "{sentence}"
    );
}

#[test]
fn an_edge_that_stops_short() {
    let engine = class_b();
    let mut stretcher = engine.flat("radial-4-stretcher");
    move_edge(&mut stretcher, "left", -0.3);
    let build = engine.drawn(&[stretcher, engine.flat("radial-4-side-left")]);
    assert_found(&build, "edge-as-drawn", "radial-4-stretcher/left", 0.3);
}

#[test]
fn an_overlay_over_the_edge_of_its_base_and_unlike_its_other_hand() {
    let engine = class_b();
    let mut overlay = engine.flat("tank-side-left-overlay");
    move_edge(&mut overlay, "top", 0.2);
    let build = engine.drawn(&[
        overlay,
        engine.flat("tank-side-left"),
        engine.flat("tank-side-right-overlay"),
    ]);
    assert_found(
        &build,
        "overlay-as-drawn",
        "tank-side-left-overlay/inside",
        0.2,
    );
    assert_found(
        &build,
        "hands-as-drawn",
        "tank-side-left-overlay~tank-side-right-overlay",
        0.2,
    );
}

#[test]
fn a_plate_out_of_square() {
    let engine = class_b();
    let mut overlay = engine.flat("tank-side-left-overlay");
    let top = overlay
        .edges
        .iter()
        .position(|edge| edge.name == "top")
        .unwrap();
    let corner = overlay.edge_segments(top).next().unwrap().start();
    let length = overlay.edges[top].flat;
    let segments: Vec<Segment> = overlay
        .outline
        .segments()
        .iter()
        .map(|s| {
            let moved = |p: Point2| {
                if (p - corner).norm() < 1e-6 {
                    p + Vector2::new(0.0, 0.5)
                } else {
                    p
                }
            };
            Segment::line(moved(s.start()), moved(s.end()))
        })
        .collect();
    overlay.outline = outline_of(segments);
    let (low, high) = overlay.bounds;
    let side = high.y - low.y;
    let build = engine.drawn(&[overlay]);
    let own = measure(&build, "square-as-drawn", "tank-side-left-overlay/");
    let seeded = 0.5 * side.min(length) / length;
    assert!(
        (own.difference_mm.abs() - seeded).abs() < 0.01,
        "{own:?} for {seeded}"
    );
    assert_eq!(own.verdict, "error");
}

#[test]
fn a_wrapper_drawn_askew() {
    let engine = class_b();
    let mut wrapper = engine.flat("smokebox-wrapper");
    let corners = |flat: &FlatDrawing| -> Vec<Point2> {
        (0..4)
            .map(|e| flat.edge_segments(e).next().unwrap().start())
            .collect()
    };
    let unlike = |p: &[Point2]| (p[2] - p[0]).norm() - (p[3] - p[1]).norm();
    let rear = wrapper
        .edges
        .iter()
        .position(|edge| edge.name == "rear")
        .unwrap();
    let (mut moved, mut segments) = (corners(&wrapper), wrapper.outline.segments().to_vec());
    let before = unlike(&moved);
    let by = Vector2::new(0.0, 0.3);
    moved[rear] += by;
    moved[(rear + 1) % 4] += by;
    let ends = [corners(&wrapper)[rear], corners(&wrapper)[(rear + 1) % 4]];
    for (segment, edge) in segments.iter_mut().zip(&wrapper.edge_of) {
        if *edge == rear {
            *segment = segment.translated(by);
        } else if let Segment::Line { start, end } = *segment {
            let follow = |p: Point2| {
                if ends.iter().any(|e| (e - p).norm() < 1e-6) {
                    p + by
                } else {
                    p
                }
            };
            *segment = Segment::line(follow(start), follow(end));
        }
    }
    wrapper.outline = outline_of(segments);
    let build = engine.drawn(&[wrapper]);
    assert_found(
        &build,
        "diagonal-as-drawn",
        "smokebox-wrapper",
        unlike(&moved) - before,
    );
}

#[test]
fn a_rivet_row_out_of_line() {
    let engine = class_b();
    let mut overlay = engine.flat("tank-side-left-overlay");
    let row = overlay.rivets[0].row.clone();
    for rivet in overlay.rivets.iter_mut().filter(|rivet| rivet.row == row) {
        rivet.centre += Vector2::new(0.0, 0.15);
    }
    let last = overlay.rivets.len() - 1;
    let gone = overlay.rivets.remove(last);
    let build = engine.drawn(&[overlay]);
    assert_found(&build, "rivets-as-drawn", &format!("rivets:{row}"), 0.15);
    let missing = measure(&build, "rivets-as-drawn", &format!("rivets:{}", gone.row));
    assert_eq!((missing.what, missing.drawn_mm), ("rivets not drawn", 1.0));
}

/// Two plates whose rivet rows run on in one line, taken from the body itself.
#[test]
fn a_step_between_rows_that_run_on() {
    let engine = class_b();
    let mut body = engine.body.clone();
    // The tank's overlay is cut in two plates of one row each.
    let whole = body.plate("tank-side-left-overlay").unwrap().clone();
    let longest = whole
        .rivets
        .iter()
        .map(|rivet| rivet.row.clone())
        .max_by_key(|row| {
            let own = whole.rivets.iter().filter(|r| r.row == *row);
            let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
            own.for_each(|r| (low, high) = (low.min(r.centre.y), high.max(r.centre.y)));
            (
                high - low < 0.01,
                whole.rivets.iter().filter(|r| r.row == *row).count(),
            )
        });
    let row = longest.unwrap();
    let mut own: Vec<_> = whole
        .rivets
        .iter()
        .filter(|r| r.row == row)
        .cloned()
        .collect();
    own.sort_by(|a, b| a.centre.x.total_cmp(&b.centre.x));
    let (front, rear) = own.split_at(own.len() / 2);
    let mut one = whole.clone();
    one.rivets = front.to_vec();
    let mut two = whole.clone();
    two.id = "second-sheet".to_owned();
    two.rivets = rear.to_vec();
    body.plates.retain(|plate| plate.id != whole.id);
    body.joints
        .retain(|joint| joint.a.plate != whole.id && joint.b.plate != whole.id);
    let drawn = FlatDrawing::of(&one).unwrap();
    let mut stepped = FlatDrawing::of(&two).unwrap();
    for rivet in &mut stepped.rivets {
        rivet.centre += Vector2::new(0.0, 0.18);
    }
    body.plates.extend([one, two]);
    let build = engine.built_of(&body, &sheet_of(&[drawn, stepped]));
    assert_found(&build, "rivet-rows-as-drawn", "second-sheet", 0.18);
}

#[test]
fn a_fold_line_out_of_place_too_narrow_and_on_the_wrong_face() {
    let engine = class_b();
    let mut body = engine.body.clone();
    let plate = body
        .plates
        .iter_mut()
        .find(|plate| {
            plate.forming.loft().is_none()
                && plate.regions.iter().any(|r| r.purpose == Purpose::Mark)
        })
        .unwrap();
    let region = plate
        .regions
        .iter_mut()
        .find(|r| r.purpose == Purpose::Mark)
        .unwrap();
    region.purpose = Purpose::Fold;
    let (id, name) = (plate.id.clone(), region.name.clone());
    let flat = FlatDrawing::of(plate).unwrap();
    let at = flat
        .regions
        .iter()
        .position(|own| own.name == name)
        .unwrap();
    let path = format!("{id}/{name}");
    let fault = |change: &dyn Fn(&mut FlatDrawing)| {
        let mut flat = flat.clone();
        change(&mut flat);
        engine.built_of(&body, &sheet_of(&[flat]))
    };
    let moved = fault(&|flat| {
        let own = &mut flat.regions[at].outline;
        *own = own.translated(Vector2::new(0.09, 0.12));
    });
    assert_found(&moved, "fold-as-drawn", &path, 0.15);
    let turned = fault(&|flat| {
        let own = &mut flat.regions[at];
        own.face = match own.face {
            Face::Outside => Face::Inside,
            Face::Inside => Face::Outside,
        };
    });
    let side = turned
        .findings
        .iter()
        .find(|f| f.rule == "fold-as-drawn")
        .unwrap();
    assert!(
        side.sentence.contains("the fold goes the wrong way"),
        "{side:?}"
    );
    let gone = fault(&|flat| {
        flat.regions.remove(at);
    });
    assert!(
        gone.findings
            .iter()
            .any(|f| f.sentence.contains("is not drawn") && f.rule == "fold-as-drawn")
    );
    let (low, high) = flat.regions[at].outline.bounds();
    let (upright, width) = (high.y - low.y > high.x - low.x, (high - low).min());
    let narrow = fault(&|flat| {
        let by = if upright {
            Vector2::new(0.06, 0.0)
        } else {
            Vector2::new(0.0, 0.06)
        };
        flat.regions[at].outline = Outline::rectangle(low + by, high - by);
    });
    let own = narrow
        .measures
        .iter()
        .find(|own| own.path == path && own.what == "width")
        .unwrap();
    assert!(
        (own.drawn_mm - (width - 0.12)).abs() < 0.01,
        "{own:?} of {width}"
    );
    assert_eq!(own.verdict, "warning");
}
