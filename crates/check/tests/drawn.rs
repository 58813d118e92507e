//! What is said of a drawing itself, and of plates drawn by the wrong hand; a fault is seeded in each.

#![allow(clippy::unwrap_used, reason = "helpers of tests may fail by panic")]

use artwork::{
    Allowance, Artwork, DrawingUnit, DrawnCurve, FlatDrawing, Label, Motion2, SideFile,
    read_artwork,
};
use body::{Body, Finding, Model, Overrides};
use check::{DrawingWords, RULES, check_artwork};
use geom::math::PI;
use geom::{Outline, Point2, Segment, Vector2};

struct Bench {
    body: Body,
    words: DrawingWords,
    process: &'static develop::EtchProcess,
}

fn bench() -> Bench {
    let bytes = std::fs::read("../../demo-models/class-b.toml").unwrap();
    let model = Model::read("class-b", &bytes, &Overrides::default()).unwrap();
    Bench {
        body: body::build(&model).unwrap(),
        words: DrawingWords {
            engine: model.title.clone(),
            scale: model.scale.word().to_owned(),
            mm_per_foot: model.scale.mm_per_foot(),
        },
        process: model.metal.process,
    }
}

impl Bench {
    fn flat(&self, id: &str) -> FlatDrawing {
        FlatDrawing::of(self.body.plate(id).unwrap()).unwrap()
    }

    fn findings(&self, drawing: &Artwork) -> Vec<Finding> {
        check_artwork(&self.body, drawing, &self.words, self.process)
            .unwrap()
            .findings
    }

    fn counted(&self, drawing: &Artwork) -> Vec<&'static str> {
        let all = self.findings(drawing);
        all.iter().filter(|f| f.counts()).map(|f| f.rule).collect()
    }
}

fn sheet() -> Artwork {
    Artwork {
        units: DrawingUnit::Named("millimetres"),
        allowance: Allowance::LeftToTheEtcher,
        ..Artwork::default()
    }
}

fn draw(drawing: &mut Artwork, layer: &str, segments: &[Segment]) {
    let curves = segments
        .iter()
        .map(|&segment| DrawnCurve::new(segment, layer));
    drawing.pieces.extend(curves);
}

/// Draws a flat, named or not, its openings and outline on the layers of the files written here.
fn place(drawing: &mut Artwork, flat: &FlatDrawing, name: &str, motion: &Motion2) {
    draw(drawing, "OUTLINE", &motion.outline(&flat.outline));
    for hole in &flat.holes {
        draw(drawing, "OPENINGS", &motion.outline(&hole.outline));
    }
    if !name.is_empty() {
        let side = flat.outline.segments()[0];
        let (s, c) = geom::math::sin_cos(side.tangent_angle_at(0.5));
        drawing.labels.push(Label {
            text: name.to_owned(),
            at: motion.point(side.point_at(0.5) + Vector2::new(-s, c) * 0.2),
            layer: "LABELS".to_owned(),
        });
    }
}

fn at(x: f64, angle: f64, mirrored: bool) -> Motion2 {
    Motion2 {
        mirrored,
        angle,
        shift: Vector2::new(x, 0.0),
    }
}

#[test]
fn two_left_hands_and_no_right_are_found() {
    let bench = bench();
    let left = bench.flat("cab-side-left");
    let right = bench.flat("cab-side-right");
    let mut pair = sheet();
    place(&mut pair, &left, "cab-side-left", &at(0.0, 0.3, false));
    place(&mut pair, &right, "cab-side-right", &at(300.0, 2.0, false));
    assert!(
        bench.counted(&pair).is_empty(),
        "{:#?}",
        bench.findings(&pair)
    );
    let mut lefts = sheet();
    place(&mut lefts, &left, "cab-side-left", &at(0.0, 0.3, false));
    place(&mut lefts, &left, "cab-side-left", &at(300.0, 2.0, false));
    assert_eq!(bench.counted(&lefts), ["same-hand-twice"]);
    // With the right hand's name on it, it is a right hand turned over.
    let mut misnamed = sheet();
    place(&mut misnamed, &left, "cab-side-right", &at(0.0, 1.0, false));
    assert_eq!(bench.counted(&misnamed), ["mirrored"]);
    // Without names the second left can only be the right turned over.
    let mut nameless = sheet();
    place(&mut nameless, &left, "", &at(0.0, 0.3, false));
    place(&mut nameless, &left, "", &at(300.0, 2.0, false));
    assert_eq!(bench.counted(&nameless), ["mirrored"]);
}

#[test]
fn a_sheet_from_the_rear_is_mirrored_unless_the_side_file_says_so() {
    let bench = bench();
    let mut dxf = "0\nSECTION\n2\nENTITIES\n".to_owned();
    for (i, id) in ["cab-side-left", "tank-side-right"].iter().enumerate() {
        let flat = bench.flat(id);
        let turned = at(300.0 * i as f64, PI, true);
        // Beside the plate: a left hand without a name would be taken for a right one.
        let corner = turned.point(flat.bounds.1 + Vector2::new(1.0, 1.0));
        dxf += &format!(
            "0\nTEXT\n8\nparts\n10\n{}\n20\n{}\n40\n2\n1\n{id}\n",
            corner.x, corner.y
        );
        for outline in std::iter::once(&flat.outline).chain(flat.holes.iter().map(|h| &h.outline)) {
            let moved = turned.outline(outline);
            dxf += &format!("0\nLWPOLYLINE\n8\ncut\n90\n{}\n70\n1\n", moved.len());
            for s in &moved {
                dxf += &format!(
                    "10\n{:.6}\n20\n{:.6}\n42\n{:.12}\n",
                    s.start().x,
                    s.start().y,
                    s.bulge()
                );
            }
        }
    }
    dxf += "0\nENDSEC\n0\nEOF\n";
    let read = |side: &str| {
        let side = SideFile::read("side", side.as_bytes()).unwrap();
        read_artwork(dxf.as_bytes(), "a.dxf", &side).unwrap()
    };
    assert_eq!(
        bench.counted(&read("face = \"front\"")),
        ["mirrored", "mirrored"]
    );
    assert!(bench.counted(&read("face = \"rear\"")).is_empty());
}

#[test]
fn what_is_wrong_with_the_drawing_itself_is_said_with_its_place() {
    let bench = bench();
    let flat = bench.flat("cab-side-left");
    let mut drawing = sheet();
    place(&mut drawing, &flat, "cab-side-left", &at(0.0, 0.0, false));
    let p = |x: f64, y: f64| Point2::new(1000.0 + x, y);
    // A bow tie, half a line again, a stray line, a half-etched dot in nothing.
    let bow = Outline::polygon(&[p(0.0, 0.0), p(10.0, 10.0), p(10.0, 0.0), p(0.0, 6.0)]);
    draw(&mut drawing, "bow", bow.segments());
    let square = Outline::rectangle(p(50.0, 0.0), p(60.0, 10.0));
    draw(&mut drawing, "square", square.segments());
    draw(
        &mut drawing,
        "square",
        &[Segment::line(p(53.0, 0.0), p(57.0, 0.0))],
    );
    draw(
        &mut drawing,
        "stray",
        &[Segment::line(p(100.0, 0.0), p(120.0, 0.0))],
    );
    draw(
        &mut drawing,
        "RIVETS",
        &[Segment::circle(p(150.0, 0.0), 0.3)],
    );
    drawing.units = DrawingUnit::Guessed("pixels at 96 to the inch");
    drawing.unused_names = vec!["cutt".to_owned()];
    drawing.allowance = Allowance::Unknown;
    let found = bench.findings(&drawing);
    let sentence = |rule: &str| {
        let of_rule: Vec<&str> = found
            .iter()
            .filter(|f| f.rule == rule)
            .map(|f| f.sentence.as_str())
            .collect();
        assert_eq!(of_rule.len(), 1, "{rule}: {found:#?}");
        of_rule[0]
    };
    assert!(sentence("crosses-itself").contains("(1003.75, 3.75)"));
    assert!(sentence("drawn-again").contains("(1055.00, 0.00)"));
    assert!(sentence("open-run").contains("20.0 mm"));
    assert!(sentence("detail-off-plate").contains("rivets"));
    assert!(sentence("name-not-found").contains("cutt"));
    assert!(sentence("unit-guessed").contains("pixels"));
    assert!(sentence("allowance-unknown").contains("applied"));
    let words: Vec<&str> = RULES.iter().map(|rule| rule.word).collect();
    assert!(found.iter().all(|f| words.contains(&f.rule)));
}

/// An allowance that nobody took off is one fault, not one in every opening.
#[test]
fn an_allowance_that_is_not_told_of_is_found() {
    let bench = bench();
    let flat = bench.flat("frame-left");
    let growth = bench.process.growth_per_edge.at(flat.thickness);
    let shape = artwork::DrawnShape {
        outline: flat.outline.clone(),
        holes: flat.holes.iter().map(|hole| hole.outline.clone()).collect(),
        details: Vec::new(),
        layer: String::new(),
        labels_inside: Vec::new(),
    };
    let drawn = artwork::etched(&shape, -growth).shape;
    let mut drawing = sheet();
    draw(&mut drawing, "frame-left", drawn.outline.segments());
    for hole in &drawn.holes {
        draw(&mut drawing, "frame-left", hole.segments());
    }
    let untold = bench.counted(&drawing);
    assert_eq!(untold, ["allowance-on-drawing"]);
    drawing.allowance = Allowance::Applied;
    assert!(
        bench.counted(&drawing).is_empty(),
        "{:#?}",
        bench.findings(&drawing)
    );
}

#[test]
fn the_furniture_of_a_sheet_is_no_extra_part() {
    let bench = bench();
    let flat = bench.flat("cab-side-left");
    let mut drawing = sheet();
    place(&mut drawing, &flat, "cab-side-left", &at(0.0, 0.0, false));
    let (low, high) = flat.bounds;
    let room = Vector2::new(8.0, 8.0);
    for layer in [
        "SHEET",
        "TAGS",
        "NUMBERS",
        "TOOLING-HOLES",
        "TEST-STRIP",
        "SCALE-BAR",
        "REGISTER",
    ] {
        draw(
            &mut drawing,
            layer,
            Outline::rectangle(low - room, high + room).segments(),
        );
        draw(
            &mut drawing,
            layer,
            &[Segment::line(low - room * 3.0, high + room * 3.0)],
        );
        draw(
            &mut drawing,
            layer,
            &[Segment::circle(low + (high - low) / 2.0, 1.0)],
        );
    }
    let found = bench.findings(&drawing);
    // What is drawn as tags holds nothing.
    let counted: Vec<&str> = found
        .iter()
        .filter(|f| f.counts())
        .map(|f| f.rule)
        .collect();
    assert_eq!(counted, ["tags-too-few"], "{found:#?}");
    assert!(
        found.iter().all(|f| f.rule != "unknown-shape"),
        "{found:#?}"
    );
    assert!(found.iter().any(|f| f.rule == "no-part-of-a-plate"));
}
