//! SVG drawings made elsewhere: sizes, shapes, transforms, copies, and what is refused.

#![allow(clippy::unwrap_used, reason = "helpers of tests may fail by panic")]

use artwork::{
    Allowance, Artwork, ArtworkError, DrawingUnit, JoinTolerance, Role, SideFile, join,
    read_artwork,
};
use geom::Segment;
use geom::math::PI;

const SHEET: &str =
    "xmlns=\"http://www.w3.org/2000/svg\" width=\"200mm\" height=\"100mm\" viewBox=\"0 0 200 100\"";

fn svg(inner: &str) -> String {
    format!("<svg {SHEET}>{inner}</svg>")
}

fn read(text: &str) -> Artwork {
    read_artwork(text.as_bytes(), "drawing.svg", &SideFile::default()).unwrap()
}

fn refused(text: &str) -> String {
    read_artwork(text.as_bytes(), "drawing.svg", &SideFile::default())
        .unwrap_err()
        .to_string()
}

fn beside(side: &str, text: &str) -> Artwork {
    let side = SideFile::read("drawing.svg.toml", side.as_bytes()).unwrap();
    read_artwork(text.as_bytes(), "drawing.svg", &side).unwrap()
}

#[track_caller]
fn close(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "got {got}, want {want}");
}

fn length_on(drawing: &Artwork, layer: &str) -> f64 {
    drawing
        .pieces
        .iter()
        .filter(|p| p.layer == layer)
        .map(|p| p.segment.length())
        .sum()
}

#[test]
fn sizes_in_every_unit() {
    for (width, height, view, mm, unit) in [
        ("200mm", "100mm", "0 0 200 100", 1.0, Some("millimetres")),
        ("20cm", "10cm", "0 0 200 100", 1.0, Some("centimetres")),
        ("2in", "1in", "0 0 2 1", 25.4, Some("inches")),
        (
            "144pt",
            "72pt",
            "0 0 144 72",
            25.4 / 72.0,
            Some("points of 1/72 inch"),
        ),
        ("96px", "48px", "0 0 96 48", 25.4 / 96.0, None),
        ("96", "48", "0 0 96 48", 25.4 / 96.0, None),
        ("100%", "100%", "0 0 96 48", 25.4 / 96.0, None),
    ] {
        let text = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"{view}\">\
             <line x1=\"0\" y1=\"0\" x2=\"1\" y2=\"0\"/></svg>"
        );
        let drawing = read(&text);
        close(drawing.pieces[0].segment.length(), mm, 1e-9);
        close(drawing.scale_to_mm, mm, 1e-9);
        match unit {
            Some(name) => assert_eq!(drawing.units, DrawingUnit::Named(name)),
            None => assert!(matches!(drawing.units, DrawingUnit::Guessed(_))),
        }
        let stated = beside("unit = \"mm\"\nscale = 2", &text);
        close(stated.pieces[0].segment.length(), 0.5, 1e-9);
        assert_eq!(stated.units, DrawingUnit::Stated("millimetres"));
    }
    let bare = read("<svg xmlns=\"http://www.w3.org/2000/svg\"><path d=\"M0 0h96\"/></svg>");
    close(bare.pieces[0].segment.length(), 25.4, 1e-9);
    assert!(matches!(bare.units, DrawingUnit::Guessed(_)));
}

#[test]
fn every_shape_keeps_its_measure_and_y_runs_up() {
    let drawing = read(&svg(
        "<g id=\"a\"><rect x=\"1\" y=\"2\" width=\"30\" height=\"10\"/></g>\
         <g id=\"b\"><rect width=\"30\" height=\"10\" rx=\"2\"/></g>\
         <g id=\"c\"><circle cx=\"5\" cy=\"5\" r=\"3\"/></g>\
         <g id=\"d\"><ellipse cx=\"5\" cy=\"5\" rx=\"4\" ry=\"2\"/></g>\
         <g id=\"e\"><line x1=\"0\" y1=\"0\" x2=\"3\" y2=\"4\"/></g>\
         <g id=\"f\"><polyline points=\"0,0 3,4 3,14\"/></g>\
         <g id=\"g\"><polygon points=\"0 0 3 4 0 4\"/></g>\
         <g id=\"h\"><path d=\"M0 0A5 5 0 0 1 10 0\"/></g>\
         <g id=\"i\"><path d=\"M10 90V80\"/></g>",
    ));
    let h: f64 = 1.0 / 9.0;
    let ellipse = PI * 6.0 * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()));
    for (layer, want) in [
        ("a", 80.0),
        ("b", 64.0 + 4.0 * PI),
        ("c", 6.0 * PI),
        ("e", 5.0),
        ("f", 15.0),
        ("g", 12.0),
        ("h", 5.0 * PI),
    ] {
        close(length_on(&drawing, layer), want, 1e-9);
    }
    close(length_on(&drawing, "d"), ellipse, 1e-3);
    let arcs = drawing
        .pieces
        .iter()
        .filter(|p| p.layer == "b" && matches!(p.segment, Segment::Arc(_)));
    assert_eq!(arcs.count(), 4, "round corners are arcs");
    let down = drawing.pieces.iter().find(|p| p.layer == "i").unwrap();
    close(down.segment.end().y - down.segment.start().y, 10.0, 1e-12);
    assert!(drawing.not_read.is_empty());
}

/// A circle through a turned, skewed, unevenly scaled group against the same ellipse by hand.
#[test]
fn transforms_are_followed_and_arcs_stay_arcs_where_they_may() {
    let drawing = read(&svg(
        "<g id=\"even\" transform=\"translate(10 20) rotate(30) scale(-2 2)\"><circle r=\"3\" cx=\"1\" cy=\"1\"/></g>\
         <g id=\"odd\" transform=\"rotate(40) scale(2 1)\"><circle r=\"3\"/></g>\
         <g id=\"skew\" transform=\"skewX(45)\"><path d=\"M0 0v10\"/></g>",
    ));
    let even: Vec<_> = drawing
        .pieces
        .iter()
        .filter(|p| p.layer == "even")
        .collect();
    assert_eq!(even.len(), 1);
    close(length_on(&drawing, "even"), 12.0 * PI, 1e-9);
    let h: f64 = 1.0 / 9.0;
    close(
        length_on(&drawing, "odd"),
        PI * 9.0 * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt())),
        1e-3,
    );
    close(length_on(&drawing, "skew"), 200f64.sqrt(), 1e-9);
}

/// A circle written as four cubics, as programs do, comes back within its own error.
#[test]
fn a_circle_of_cubics_is_followed_within_the_stated_distance() {
    let k = 0.552_284_749_831 * 10.0;
    let (a, b) = (10.0, -10.0);
    let d = format!(
        "M{a} 0C{a} {k} {k} {a} 0 {a}C-{k} {a} {b} {k} {b} 0C{b} -{k} -{k} {b} 0 {b}C{k} {b} {a} -{k} {a} 0Z"
    );
    let drawing = read(&svg(&format!("<path d=\"{d}\"/>")));
    for piece in &drawing.pieces {
        for t in [0.0, 0.3, 0.7] {
            let r = piece.segment.point_at(t).coords.norm();
            // The cubics themselves stand up to 2.7e-4 of the radius off the circle.
            assert!((r - 10.0).abs() < 2.8e-3 + 1e-3, "{r}");
        }
    }
    assert!(drawing.pieces.len() <= 32, "{}", drawing.pieces.len());
}

#[test]
fn copies_and_symbols_stand_where_they_are_put() {
    let drawing = read(&svg("<defs><g id=\"dot\"><circle r=\"1\"/></g></defs>\
         <symbol id=\"sign\" viewBox=\"0 0 10 10\"><line x1=\"0\" y1=\"0\" x2=\"10\" y2=\"0\"/></symbol>\
         <use href=\"#dot\" x=\"5\" y=\"7\"/>\
         <use href=\"#sign\" x=\"50\" y=\"60\" width=\"20\" height=\"20\"/>\
         <use href=\"#none\"/><use href=\"other.svg#dot\"/>"));
    assert_eq!(drawing.pieces.len(), 2);
    let Segment::Arc(dot) = drawing.pieces[0].segment else {
        panic!("a circle");
    };
    close(dot.centre.x, 5.0, 1e-12);
    close(dot.centre.y, -7.0, 1e-12);
    let line = drawing.pieces[1].segment;
    close(line.length(), 20.0, 1e-12);
    close(line.start().x, 50.0, 1e-12);
    assert_eq!(drawing.not_read[0].count, 2);
}

#[test]
fn layers_labels_colours_and_the_side_file() {
    let text = svg(
        "<style>.cls-2{fill:none;stroke:#00F} path{stroke:red}</style>\
         <g xmlns:p=\"urn:some-program\" p:label=\"Cut\" id=\"g7\"><path d=\"M0 0h10v10h-10z\"/></g>\
         <path class=\"cls-2\" d=\"M2 2h1v1h-1z\"/>\
         <g stroke=\"red\"><path d=\"M4 4h1v1h-1z\"/></g>\
         <path style=\"stroke:#123456; stroke-dasharray: 2,1\" d=\"M6 6h1v1h-1z\"/>\
         <g style=\"display:none\"><path d=\"M0 0h99\"/></g>\
         <text x=\"3\" y=\"4\"><tspan>tank</tspan> <tspan>side left</tspan></text>\
         <image href=\"x.png\"/><script>evil()</script>",
    );
    let drawing = beside(
        "allowance = \"applied\"\nface = \"rear\"\n[layers]\noutline = \"cut\"\n[colours]\nopening = \"#0000ff\"\n\
         half_etch_rear = \"#ff0000\"\nignore = \"#000000\"\n[line_types]\nrivets = \"2 1\"\n",
        &text,
    );
    let roles: Vec<Role> = drawing.pieces.iter().step_by(4).map(|p| p.role).collect();
    assert_eq!(
        roles,
        [
            Role::Outline,
            Role::Opening,
            Role::HalfEtchRear,
            Role::Rivet
        ]
    );
    assert_eq!(drawing.pieces[0].layer, "Cut");
    assert_eq!(drawing.labels[0].text, "tank side left");
    close(drawing.labels[0].at.x, -3.0, 1e-12);
    assert_eq!(drawing.allowance, Allowance::Applied);
    assert_eq!(drawing.unused_names, ["#000000"]);
    let left: Vec<&str> = drawing.not_read.iter().map(|n| n.kind.as_str()).collect();
    assert_eq!(left, ["hidden g", "image", "script"]);
    let joined = join(&drawing.pieces, &drawing.labels, JoinTolerance::default()).unwrap();
    assert_eq!(joined.shapes.len(), 1);
    assert_eq!(
        (joined.shapes[0].holes.len(), joined.shapes[0].details.len()),
        (1, 2)
    );
}

#[test]
fn what_would_do_harm_or_is_broken_is_refused_in_words() {
    let bomb = format!(
        "<!DOCTYPE svg [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;&a;&a;&a;\">]>{}",
        svg("<text>&b;</text>")
    );
    assert!(
        refused(&bomb).contains("document type"),
        "{}",
        refused(&bomb)
    );
    let outside = format!(
        "<!DOCTYPE svg [<!ENTITY x SYSTEM \"file:///etc/passwd\">]>{}",
        svg("<text>&x;</text>")
    );
    assert!(refused(&outside).contains("document type"));
    let itself = svg("<g id=\"a\"><use href=\"#a\"/></g>");
    assert!(refused(&itself).contains("within itself"));
    let pair = svg(
        "<defs><g id=\"a\"><use href=\"#b\"/></g><g id=\"b\"><use href=\"#a\"/></g></defs><use href=\"#a\"/>",
    );
    assert!(refused(&pair).contains("within itself"));
    let mut million = "<path id=\"n0\" d=\"M0 0h1\"/>".to_owned();
    for i in 1..=20 {
        million += &format!(
            "<g id=\"n{i}\">{}</g>",
            format!("<use href=\"#n{}\"/>", i - 1).repeat(4)
        );
    }
    let million = svg(&format!("<defs>{million}</defs><use href=\"#n20\"/>"));
    assert!(refused(&million).contains("more than"));
    for (inner, word) in [
        ("<path d=\"M0 0L1 x\"/>", "path"),
        ("<path d=\"M0 0L1e300 1e300 1e309 0\"/>", "path"),
        ("<path d=\"M0 0h1e99\"/>", "farther"),
        ("<circle r=\"NaN\"/>", "length"),
        ("<circle r=\"50%\"/>", "length"),
        ("<polygon points=\"1 2 three\"/>", "points"),
        ("<g transform=\"turn(3)\"/>", "transform"),
        ("<path d=\"M0 0\">", "XML"),
    ] {
        let said = refused(&svg(inner));
        assert!(said.contains(word), "{inner}: {said}");
    }
    assert!(refused("<html></html>").contains("svg"));
    assert!(refused(&svg("").replace("0 0 200 100", "0 0 0 0")).contains("viewBox"));
    let kinds: [&[u8]; 4] = [b"%PDF-1.7", b"\x1f\x8b\x08", b"PK\x03\x04", b"AC1032"];
    for bytes in kinds {
        let error = read_artwork(bytes, "a.dxf", &SideFile::default()).unwrap_err();
        assert!(matches!(error, ArtworkError::OtherKind { .. }), "{error}");
    }
    assert!(read_artwork(b"<svg>\xff</svg>", "a.svg", &SideFile::default()).is_err());
}

#[test]
fn a_plain_document_type_is_passed_over() {
    let text = format!(
        "<?xml version=\"1.0\"?>\n<!DOCTYPE svg PUBLIC \"-//W3C//DTD SVG 1.1//EN\"\n \"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd\">\n{}",
        svg("<path d=\"M0 0h1\"/>")
    );
    assert_eq!(read(&text).pieces.len(), 1);
    let broken = text.replace("h1", "h?");
    assert!(refused(&broken).contains("line 4"), "{}", refused(&broken));
}

/// Groups nested by the hundred thousand are refused, not followed until the stack ends.
#[test]
fn deep_nesting_is_refused() {
    for depth in [100, 10_000, 100_000] {
        let text = svg(&format!("{}{}", "<g>".repeat(depth), "</g>".repeat(depth)));
        assert!(refused(&text).contains("nested deeper"), "{depth}");
    }
}

/// Every cut and many odd bytes of a sound file are read or refused, never worse.
#[test]
fn no_cut_or_odd_byte_does_worse_than_an_error() {
    let sound = svg(
        "<defs><g id=\"d\"><circle r=\"1\"/></g></defs><g id=\"a\" transform=\"rotate(3) scale(1 2)\">\
         <path d=\"M0 0C1 2 3 4 5 6S7 8 9 1Q1 2 3 4T5 5A3 4 20 0 1 9 9z\"/><rect width=\"3\" height=\"4\" rx=\"1\"/>\
         <use href=\"#d\" x=\"3\"/></g><polygon points=\"0,0 1,1 2,0\"/><text x=\"1\" y=\"2\">tank</text>",
    );
    assert!(!read(&sound).pieces.is_empty());
    for cut in 0..sound.len() {
        let _ = read_artwork(&sound.as_bytes()[..cut], "a.svg", &SideFile::default());
    }
    let mut state = 12345_u64;
    for _ in 0..3000 {
        let mut bytes = sound.clone().into_bytes();
        for _ in 0..3 {
            state = state
                .wrapping_mul(6364136223846793005)
                .wrapping_add(1442695040888963407);
            let at = (state >> 33) as usize % bytes.len();
            bytes[at] = b"0123456789-.e <>/\"'&#\xff\x00"[(state >> 20) as usize % 23];
        }
        if let Ok(drawing) = read_artwork(&bytes, "a.svg", &SideFile::default()) {
            for piece in &drawing.pieces {
                assert!(piece.segment.length().is_finite());
            }
            join(&drawing.pieces, &drawing.labels, JoinTolerance::default()).unwrap();
        }
    }
}
