//! Drawings made elsewhere: what is read, what is refused, and how curves come to outlines.

#![allow(clippy::unwrap_used, reason = "helpers of tests may fail by panic")]

use artwork::{ArtworkError, DrawingUnit, JoinTolerance, JoinedArtwork, join, read_dxf};
use geom::math::PI;

/// A text DXF of given header and entities.
fn dxf(header: &str, blocks: &str, entities: &str) -> String {
    format!(
        "0\nSECTION\n2\nHEADER\n{header}0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n\
         0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
    )
}

const MM: &str = "9\n$INSUNITS\n70\n4\n";
const INCHES: &str = "9\n$INSUNITS\n70\n1\n";

fn line(layer: &str, a: (f64, f64), b: (f64, f64)) -> String {
    format!(
        "0\nLINE\n8\n{layer}\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n",
        a.0, a.1, b.0, b.1
    )
}

fn circle(layer: &str, at: (f64, f64), radius: f64) -> String {
    format!(
        "0\nCIRCLE\n8\n{layer}\n10\n{}\n20\n{}\n40\n{radius}\n",
        at.0, at.1
    )
}

fn rectangle(layer: &str, low: (f64, f64), high: (f64, f64)) -> String {
    let corners = [low, (high.0, low.1), high, (low.0, high.1)];
    (0..4)
        .map(|i| line(layer, corners[i], corners[(i + 1) % 4]))
        .collect()
}

fn insert(name: &str, rest: &str) -> String {
    format!("0\nINSERT\n8\n0\n2\n{name}\n{rest}")
}

fn block(name: &str, entities: &str) -> String {
    format!("0\nBLOCK\n8\n0\n2\n{name}\n70\n0\n10\n0\n20\n0\n3\n{name}\n{entities}0\nENDBLK\n")
}

fn joined(text: &str) -> JoinedArtwork {
    let drawing = read_dxf(text.as_bytes()).unwrap();
    join(&drawing.pieces, &drawing.labels, JoinTolerance::default()).unwrap()
}

#[track_caller]
fn close(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "got {got}, want {want}");
}

#[test]
fn every_kind_that_is_read_keeps_its_measure() {
    let entities = [
        line("a", (0.0, 0.0), (3.0, 4.0)),
        circle("b", (0.0, 0.0), 2.0),
        "0\nARC\n8\nc\n10\n0\n20\n0\n40\n2\n50\n350\n51\n80\n".to_owned(),
        "0\nLWPOLYLINE\n8\nd\n90\n3\n70\n1\n10\n0\n20\n0\n42\n1\n10\n2\n20\n0\n10\n2\n20\n5\n".to_owned(),
        "0\nPOLYLINE\n8\ne\n66\n1\n70\n0\n0\nVERTEX\n8\ne\n10\n0\n20\n0\n42\n-0.414213562373095\n0\nVERTEX\n8\ne\n10\n1\n20\n1\n0\nSEQEND\n".to_owned(),
        "0\nTEXT\n8\nf\n10\n1\n20\n2\n40\n3\n1\nboiler \\U+00D8\n".to_owned(),
        "0\nSPLINE\n8\ng\n70\n8\n71\n3\n".to_owned(),
        // A quarter circle of radius 5, heights left out.
        "0\nSPLINE\n8\nq\n70\n4\n71\n2\n40\n0\n40\n0\n40\n0\n40\n1\n40\n1\n40\n1\n41\n1\n41\n0.7071067811865476\n41\n1\n\
         10\n5\n20\n0\n10\n5\n20\n5\n10\n0\n20\n5\n".to_owned(),
        "0\nELLIPSE\n8\nh\n10\n1\n20\n1\n11\n0\n21\n4\n40\n0.5\n41\n0\n42\n6.283185307179586\n".to_owned(),
        "0\nHATCH\n8\ng\n10\n0\n".to_owned(),
    ]
    .concat();
    let drawing = read_dxf(dxf(MM, "", &entities).as_bytes()).unwrap();
    assert_eq!(drawing.units, DrawingUnit::Named("millimetres"));
    let on = |layer: &str| -> f64 {
        drawing
            .pieces
            .iter()
            .filter(|p| p.layer == layer)
            .map(|p| p.segment.length())
            .sum()
    };
    close(on("a"), 5.0, 1e-12);
    close(on("b"), 4.0 * PI, 1e-12);
    close(on("c"), PI, 1e-12);
    close(on("d"), PI + 5.0 + 29f64.sqrt(), 1e-12);
    close(on("e"), PI / 2.0, 1e-12);
    assert_eq!(drawing.labels[0].text, "boiler Ø");
    let left: Vec<_> = drawing
        .not_read
        .iter()
        .map(|n| (n.kind.as_str(), n.count))
        .collect();
    assert_eq!(left, [("HATCH", 1), ("SPLINE without control points", 1)]);
    // Half axes 4 and 2: perimeter by Ramanujan's second series.
    let h: f64 = 1.0 / 9.0;
    let want = PI * 6.0 * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()));
    close(on("h"), want, 1e-3);
    close(on("q"), 2.5 * PI, 1e-9);
}

#[test]
fn the_header_decides_the_unit() {
    let entities = line("0", (0.0, 0.0), (1.0, 0.0));
    let length = |header: &str| {
        let drawing = read_dxf(dxf(header, "", &entities).as_bytes()).unwrap();
        (drawing.pieces[0].segment.length(), drawing.units)
    };
    assert_eq!(length(INCHES), (25.4, DrawingUnit::Named("inches")));
    assert_eq!(length(""), (1.0, DrawingUnit::NotNamed));
    assert_eq!(length("9\n$INSUNITS\n70\n0\n").1, DrawingUnit::NotNamed);
    let refused = read_dxf(dxf("9\n$INSUNITS\n70\n19\n", "", &entities).as_bytes()).unwrap_err();
    assert!(
        matches!(refused, ArtworkError::Unit { code: 19, .. }),
        "{refused}"
    );
}

#[test]
fn blocks_are_written_out_turned_scaled_mirrored_and_nested() {
    let blocks = block("INNER", &line("0", (0.0, 0.0), (1.0, 0.0)))
        + &block(
            "OUTER",
            &insert("inner", "10\n2\n20\n0\n41\n2\n42\n2\n50\n90\n"),
        );
    let entities = insert("OUTER", "10\n10\n20\n20\n41\n-1\n42\n1\n")
        + &insert("INNER", "10\n0\n20\n0\n70\n3\n71\n2\n44\n5\n45\n7\n")
        + &insert("INNER", "10\n0\n20\n0\n41\n2\n42\n1\n")
        + &insert("NONE", "10\n0\n20\n0\n");
    let drawing = read_dxf(dxf(MM, &blocks, &entities).as_bytes()).unwrap();
    let first = &drawing.pieces[0].segment;
    // (0..1, 0) turned a quarter and doubled at (2, 0), then x turned over at (10, 20).
    close(first.start().x, 8.0, 1e-12);
    close(first.start().y, 20.0, 1e-12);
    close(first.end().x, 8.0, 1e-12);
    close(first.end().y, 22.0, 1e-12);
    assert_eq!(drawing.pieces.len(), 1 + 6 + 1);
    let last = drawing.pieces[6].segment.start();
    assert_eq!((last.x, last.y), (10.0, 7.0));
    close(drawing.pieces[7].segment.length(), 2.0, 1e-12);
    assert_eq!(drawing.not_read.len(), 1, "{:?}", drawing.not_read);
}

#[test]
fn a_drawing_seen_from_below_is_turned_over() {
    let arc = "0\nARC\n8\n0\n10\n5\n20\n0\n40\n2\n50\n0\n51\n90\n210\n0\n220\n0\n230\n-1\n";
    let drawing = read_dxf(dxf(MM, "", arc).as_bytes()).unwrap();
    let segment = drawing.pieces[0].segment;
    close(segment.start().x, -7.0, 1e-12);
    close(segment.end().x, -5.0, 1e-12);
    close(segment.end().y, 2.0, 1e-12);
}

/// Each spoilt file is refused with words that name the fault.
#[test]
fn spoilt_files_are_refused_in_words() {
    let sound = dxf(MM, "", &line("edge", (0.0, 0.0), (3.0, 4.0)));
    let spoilt: [(Vec<u8>, &str); 14] = [
        (vec![], "empty"),
        (b"  \n\n ".to_vec(), "empty"),
        (b"Some Binary DXF\r\n\x1a\0\0".to_vec(), "binary"),
        (b"<svg></svg>".to_vec(), "no"),
        (b"12\nhello\n".to_vec(), "SECTION"),
        (sound.replace("0\nEOF\n", "").into_bytes(), "cut short"),
        (sound.as_bytes()[..sound.len() / 2].to_vec(), "cut short"),
        (sound.replace("\n3\n", "\nNaN\n").into_bytes(), "layer edge"),
        (sound.replace("\n3\n", "\ninf\n").into_bytes(), "layer edge"),
        (
            sound.replace("\n3\n", "\n1e300\n").into_bytes(),
            "layer edge",
        ),
        (sound.replace("\n3\n", "\nthree\n").into_bytes(), "three"),
        (sound.replace("\n3\n", "\n\n").into_bytes(), "number"),
        (
            sound.replace("0\nLINE", "\n0\nLINE").into_bytes(),
            "group code",
        ),
        (vec![b'0'; artwork::MAX_ARTWORK_BYTES + 1], "at most"),
    ];
    for (bytes, word) in spoilt {
        let error = read_dxf(&bytes).expect_err(word).to_string();
        assert!(error.contains(word), "{error:?} should speak of {word:?}");
    }
}

#[test]
fn blocks_within_themselves_and_by_the_million_are_refused() {
    let own =
        block("A", &insert("B", "10\n0\n20\n0\n")) + &block("B", &insert("A", "10\n0\n20\n0\n"));
    let refused = read_dxf(dxf(MM, &own, &insert("A", "10\n0\n20\n0\n")).as_bytes()).unwrap_err();
    assert!(
        matches!(refused, ArtworkError::BlockInItself { .. }),
        "{refused}"
    );
    // Ten to the power of ten lines, in a file of two kilobytes.
    let mut blocks = block("N0", &line("0", (0.0, 0.0), (1.0, 0.0)));
    for depth in 1..=10 {
        let inner = insert(&format!("N{}", depth - 1), "10\n0\n20\n0\n70\n10\n44\n1\n");
        blocks += &block(&format!("N{depth}"), &inner);
    }
    let refused =
        read_dxf(dxf(MM, &blocks, &insert("N10", "10\n0\n20\n0\n")).as_bytes()).unwrap_err();
    assert!(matches!(refused, ArtworkError::TooMany { .. }), "{refused}");
    let mut blocks = block("N0", "");
    for depth in 1..=20 {
        blocks += &block(
            &format!("N{depth}"),
            &insert(&format!("N{}", depth - 1), "10\n0\n20\n0\n"),
        );
    }
    let refused =
        read_dxf(dxf(MM, &blocks, &insert("N20", "10\n0\n20\n0\n")).as_bytes()).unwrap_err();
    assert!(
        matches!(refused, ArtworkError::BlocksTooDeep { .. }),
        "{refused}"
    );
}

/// Every cut and many odd bytes of a sound file are read or refused, never worse.
#[test]
fn no_cut_or_odd_byte_does_worse_than_an_error() {
    let blocks = block("B", &circle("0", (1.0, 1.0), 0.5));
    let entities = rectangle("edge", (0.0, 0.0), (10.0, 5.0))
        + &insert("B", "10\n2\n20\n2\n")
        + "0\nPOLYLINE\n8\ne\n66\n1\n70\n1\n0\nVERTEX\n8\ne\n10\n0\n20\n0\n42\n1\n0\nVERTEX\n8\ne\n10\n1\n20\n1\n0\nSEQEND\n8\ne\n"
        + "0\nMTEXT\n8\nt\n10\n1\n20\n1\n3\n{\\fx;tank\n1\n side}\n";
    let sound = dxf(MM, &blocks, &entities);
    assert!(read_dxf(sound.as_bytes()).is_ok());
    for cut in 0..sound.len() - 2 {
        assert!(read_dxf(&sound.as_bytes()[..cut]).is_err(), "cut at {cut}");
    }
    let mut state = 12345_u64;
    for _ in 0..3000 {
        let mut bytes = sound.clone().into_bytes();
        for _ in 0..3 {
            state = state
                .wrapping_mul(6364136223846793005)
                .wrapping_add(1442695040888963407);
            let at = (state >> 33) as usize % bytes.len();
            bytes[at] = b"0123456789-.e\n\\%{\xff\x00"[(state >> 20) as usize % 19];
        }
        if let Ok(drawing) = read_dxf(&bytes) {
            for piece in &drawing.pieces {
                assert!(piece.segment.length().is_finite());
            }
            join(&drawing.pieces, &drawing.labels, JoinTolerance::default()).unwrap();
        }
    }
}

#[test]
fn texts_that_are_no_utf8_are_read_by_code_page() {
    let mut bytes = dxf(MM, "", "0\nTEXT\n8\nf\n10\n1\n20\n2\n1\nprice #5\n").into_bytes();
    let at = bytes.iter().position(|&b| b == b'#').unwrap();
    bytes[at] = 0xA3;
    let drawing = read_dxf(&bytes).unwrap();
    assert_eq!(drawing.labels[0].text, "price £5");
    assert!(drawing.code_page_1252);
}

#[test]
fn outlines_with_holes_and_texts_whatever_their_order() {
    let parts = [
        rectangle("cut", (0.0, 0.0), (30.0, 20.0)),
        circle("holes", (10.0, 10.0), 1.0),
        rectangle("cut", (40.0, 0.0), (60.0, 20.0)),
        rectangle("cut", (45.0, 5.0), (55.0, 15.0)),
        // An island in a hole is a plate of its own.
        circle("cut", (50.0, 10.0), 2.0),
        // The edge of the sheet round all of it.
        rectangle("frame", (-10.0, -10.0), (90.0, 60.0)),
        "0\nTEXT\n8\nt\n10\n3\n20\n3\n1\ntank-side\n".to_owned(),
        "0\nTEXT\n8\nt\n10\n0\n20\n40\n1\nsheet 1\n".to_owned(),
    ];
    for turn in 0..parts.len() {
        let mut order = parts.to_vec();
        order.rotate_left(turn);
        let found = joined(&dxf(MM, "", &order.concat()));
        assert_eq!(found.borders.len(), 1);
        assert_eq!(found.shapes.len(), 3);
        let largest = found
            .shapes
            .iter()
            .max_by(|a, b| a.outline.area().total_cmp(&b.outline.area()))
            .unwrap();
        close(largest.outline.area(), 600.0, 1e-9);
        assert_eq!(largest.holes.len(), 1);
        assert_eq!(largest.labels_inside[0].text, "tank-side");
        assert_eq!(found.labels_outside.len(), 1);
        assert!(found.open.is_empty() && found.gaps.is_empty());
    }
}

#[test]
fn gaps_are_joined_and_said_repeats_dropped_and_said() {
    let entities = [
        line("a", (0.0, 0.0), (10.0, 0.0)),
        line("a", (10.0, 0.004), (10.0, 5.0)),
        line("a", (10.0, 5.2), (0.0, 5.2)),
        line("a", (0.0, 0.0), (0.0, 5.2)),
        line("a", (0.0, 5.2), (0.0, 0.0)),
        // A fold line from edge to edge, and a mark that touches nothing.
        line("a", (10.0, 0.0), (0.0, 5.2)),
        line("a", (3.0, 1.0), (4.0, 1.0)),
        circle("b", (5.0, 2.0), 0.4),
        circle("c", (5.0, 2.0), 0.4),
    ]
    .concat();
    let found = joined(&dxf(MM, "", &entities));
    assert_eq!(found.shapes.len(), 1, "{found:?}");
    assert_eq!(found.shapes[0].holes.len(), 1);
    close(found.shapes[0].outline.area(), 52.0, 0.1);
    assert_eq!(found.gaps.len(), 1);
    close(found.gaps[0].size, 0.2, 1e-9);
    close(found.gaps[0].at.x, 10.0, 1e-9);
    assert_eq!(found.duplicates.len(), 2);
    assert_eq!(found.open.len(), 2);
    close(
        found
            .open
            .iter()
            .map(artwork::OpenChain::length)
            .sum::<f64>(),
        1.0 + 127.04f64.sqrt(),
        0.1,
    );
}

/// Drawings made to take for ever: all curves between two points, all outlines from one corner, one endless text.
#[test]
fn drawings_made_to_take_for_ever_do_not() {
    let begun = std::time::Instant::now();
    let (a, b) = (geom::Point2::new(0.0, 0.0), geom::Point2::new(10.0, 0.0));
    let fan = (1..200_000).map(|i| geom::Segment::from_bulge(a, b, f64::from(i) * 4e-6));
    let stack = (1..25_000).flat_map(|i| {
        let high = geom::Point2::new(50.0 + f64::from(i) * 0.02, 50.0 + f64::from(i) * 0.02);
        geom::Outline::rectangle(geom::Point2::new(50.0, 50.0), high)
            .segments()
            .to_vec()
    });
    let pieces: Vec<_> = fan
        .map(|segment| (segment, "fan"))
        .chain(stack.map(|segment| (segment, "stack")))
        .map(|(segment, layer)| artwork::DrawnCurve::new(segment, layer))
        .collect();
    // Refused or sorted out, but soon.
    let _ = join(&pieces, &[], JoinTolerance::default());
    let text = dxf(
        MM,
        "",
        &format!("0\nTEXT\n8\nt\n10\n0\n20\n0\n1\n{}\n", "a ".repeat(200_000)),
    );
    let label = &read_dxf(text.as_bytes()).unwrap().labels[0];
    assert!(!artwork::names(&label.text, "boilerwrapper"));
    assert!(begun.elapsed().as_secs() < 60, "{:?}", begun.elapsed());
}

/// A hundred thousand curves join in seconds, not hours.
#[test]
fn a_hundred_thousand_curves_are_joined_in_time() {
    let mut pieces = Vec::new();
    for i in 0..160 {
        for j in 0..160 {
            let (x, y) = (f64::from(i) * 3.0, f64::from(j) * 3.0);
            let outline = geom::Outline::rectangle(
                geom::Point2::new(x, y),
                geom::Point2::new(x + 2.0, y + 2.0),
            );
            pieces.extend(
                outline
                    .segments()
                    .iter()
                    .map(|&segment| artwork::DrawnCurve::new(segment, "cut")),
            );
        }
    }
    let begun = std::time::Instant::now();
    let found = join(&pieces, &[], JoinTolerance::default()).unwrap();
    assert_eq!(found.shapes.len(), 160 * 160);
    assert!(begun.elapsed().as_secs() < 20, "{:?}", begun.elapsed());
}

/// Circles of two arcs each, side by side: they touch where their arcs meet, and stay two.
#[test]
fn circles_of_arcs_that_touch_stay_two() {
    let circle = |x: f64| geom::Outline::circle(geom::Point2::new(x, 0.0), 0.4);
    for together in [0.8, 0.803] {
        let pieces: Vec<_> = [circle(0.0), circle(together)]
            .iter()
            .flat_map(|own| own.segments().to_vec())
            .map(|segment| artwork::DrawnCurve::new(segment, "rivets"))
            .collect();
        let found = join(&pieces, &[], JoinTolerance::default()).unwrap();
        let all = found.details_outside.len() + found.shapes.len();
        assert_eq!(all, 2, "{together} apart: {found:?}");
    }
}
