//! Drawings made to do harm: each is read or refused in bounded time, and the figures are printed.
//!
//! `cargo test -p artwork --test hostile -- --nocapture` shows them. No test here fails for being slow: a
//! loaded machine is no fault of the reader.

#![allow(clippy::unwrap_used, reason = "helpers of tests may fail by panic")]

use artwork::{DrawnCurve, JoinTolerance, MAX_ARTWORK_BYTES, SideFile, join, read_artwork};
use geom::{Outline, Point2, Segment};
use std::time::Instant;

/// Reads and joins, and prints what became of it.
fn outcome(what: &str, bytes: &[u8]) -> Result<usize, String> {
    let begun = Instant::now();
    let read = read_artwork(bytes, what, &SideFile::default());
    let reading = begun.elapsed();
    let said = match &read {
        Ok(drawing) => match join(&drawing.pieces, &drawing.labels, JoinTolerance::default()) {
            Ok(joined) => Ok((drawing.pieces.len(), joined.shapes.len())),
            Err(error) => Err(error.to_string()),
        },
        Err(error) => Err(error.to_string()),
    };
    println!(
        "{what}: {} bytes, read in {reading:.1?}, in all {:.1?}: {said:?}",
        bytes.len(),
        begun.elapsed()
    );
    said.map(|(pieces, _)| pieces)
}

fn dxf(blocks: &str, entities: &str) -> String {
    format!(
        "0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
    )
}

fn svg(inner: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"9mm\" height=\"9mm\" viewBox=\"0 0 9 9\">{inner}</svg>"
    )
}

#[test]
fn files_over_the_limit_are_refused_unread() {
    for start in ["<svg>", "0\nSECTION\n"] {
        let mut bytes = start.as_bytes().to_vec();
        bytes.resize(MAX_ARTWORK_BYTES + 1, b' ');
        assert!(
            outcome("over 64 MB", &bytes)
                .unwrap_err()
                .contains("at most")
        );
    }
}

#[test]
fn insertions_that_explode_are_refused() {
    let block = |name: &str, inner: &str| {
        format!("0\nBLOCK\n8\n0\n2\n{name}\n70\n0\n10\n0\n20\n0\n{inner}0\nENDBLK\n")
    };
    let array = "0\nINSERT\n8\n0\n2\nA\n10\n0\n20\n0\n70\n32767\n71\n32767\n44\n1\n45\n1\n";
    for inner in [
        "",
        "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n1\n21\n0\n",
        "0\nHATCH\n8\n0\n",
    ] {
        let refused = outcome(
            "a milliard insertions",
            dxf(&block("A", inner), array).as_bytes(),
        );
        assert!(refused.unwrap_err().contains("more than"));
    }
    let mut nested = block("N0", "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n1\n21\n0\n");
    for i in 1..=14 {
        let scaled = format!(
            "0\nINSERT\n8\n0\n2\nN{}\n10\n0\n20\n0\n41\n999999\n42\n999999\n",
            i - 1
        );
        nested += &block(&format!("N{i}"), &scaled);
    }
    let far = outcome(
        "scaled by 10 to the power of 84",
        dxf(&nested, "0\nINSERT\n8\n0\n2\nN14\n10\n0\n20\n0\n").as_bytes(),
    );
    assert!(far.unwrap_err().contains("farther"));
}

#[test]
fn splines_and_ellipses_by_the_ten_thousand() {
    let ellipse = "0\nELLIPSE\n8\n0\n10\n0\n20\n0\n11\n5\n21\n1\n40\n0.01\n41\n0\n42\n6.2831853\n";
    assert!(outcome("1,000 ellipses", dxf("", &ellipse.repeat(1_000)).as_bytes()).is_ok());
    let refused = outcome(
        "30,000 ellipses",
        dxf("", &ellipse.replace("0.01", "1").repeat(30_000)).as_bytes(),
    );
    assert!(refused.unwrap_err().contains("more than"));
    let wild: String = (0..2_000)
        .map(|i| format!("M{} 0C{} 9 {} -9 {} 9", i % 97, i % 89, i % 83, i % 79))
        .collect();
    assert!(
        outcome(
            "2,000 cubics",
            svg(&format!("<path d=\"{wild}\"/>")).as_bytes()
        )
        .is_ok()
    );
    let n = 100_000;
    let mut long = format!("0\nSPLINE\n8\n0\n70\n0\n71\n3\n72\n{}\n73\n{}\n", 0, 0);
    for k in 0..n + 4 {
        long += &format!("40\n{k}\n");
    }
    for k in 0..n {
        long += &format!("10\n{}\n20\n{}\n", k % 13, k % 7);
    }
    assert!(outcome("a spline of 100,000 points", dxf("", &long).as_bytes()).is_err());
}

#[test]
fn half_a_million_segments() {
    let mut lines = String::new();
    for i in 0..125_000 {
        let (x, y) = ((i % 400) * 3, (i / 400) * 3);
        for (a, b, c, d) in [(0, 0, 2, 0), (2, 0, 2, 2), (2, 2, 0, 2), (0, 2, 0, 0)] {
            lines += &format!(
                "0\nLINE\n8\n0\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n",
                x + a,
                y + b,
                x + c,
                y + d
            );
        }
    }
    assert_eq!(
        outcome("500,000 lines", dxf("", &lines).as_bytes()),
        Ok(500_000)
    );
    let d: String = (0..125_000)
        .map(|i| format!("M{} {}h2v2h-2z", (i % 400) * 3, (i / 400) * 3))
        .collect();
    let paths = svg(&format!("<path d=\"{d}\"/>"));
    let begun = Instant::now();
    let drawing = read_artwork(paths.as_bytes(), "path", &SideFile::default()).unwrap();
    assert_eq!(drawing.pieces.len(), 500_000);
    println!(
        "500,000 segments of a path: read in {:.1?}",
        begun.elapsed()
    );
}

/// All lines through one place, all on one line, all the same, all but the same.
#[test]
fn segments_in_one_another_s_way() {
    let p = Point2::new;
    let star = (0..50_000).map(|i| {
        let (s, c) = geom::math::sin_cos(f64::from(i) * 1e-3);
        Segment::line(p(-50.0 * c, -50.0 * s), p(50.0 * c, 50.0 * s))
    });
    let heap = (0..50_000).map(|i| {
        Segment::line(
            p(f64::from(i) * 1e-4, 0.0),
            p(50.0 + f64::from(i) * 1e-4, 0.0),
        )
    });
    let same = (0..50_000).map(|_| Segment::line(p(0.0, 0.0), p(9.0, 0.0)));
    let far = (0..50_000).map(|i| Segment::line(p(-9e6, f64::from(i)), p(9e6, f64::from(i) + 0.5)));
    let comb = Outline::polygon(
        &(0..50_000)
            .map(|i| p(f64::from(i % 2) * 100.0, f64::from(i) * 1e-4))
            .collect::<Vec<_>>(),
    );
    let kinds: [(&str, Vec<Segment>); 5] = [
        ("a star", star.collect()),
        ("a heap on one line", heap.collect()),
        ("one line again and again", same.collect()),
        ("lines of nine kilometres", far.collect()),
        ("a comb", comb.segments().to_vec()),
    ];
    for (what, segments) in kinds {
        let pieces: Vec<DrawnCurve> = segments.iter().map(|&s| DrawnCurve::new(s, "0")).collect();
        let begun = Instant::now();
        let joined = join(&pieces, &[], JoinTolerance::default());
        println!(
            "{what}: {} curves joined in {:.1?}: {:?}",
            pieces.len(),
            begun.elapsed(),
            joined.map(|j| (j.shapes.len(), j.open.len(), j.duplicates.len()))
        );
    }
}

#[test]
fn xml_made_to_do_harm() {
    let attributes: String = (0..200_000).map(|i| format!(" a{i}=\"1\"")).collect();
    let refused = outcome(
        "200,000 attributes",
        svg(&format!("<g{attributes}/>")).as_bytes(),
    );
    assert!(refused.unwrap_err().contains("attributes"));
    let _ = outcome(
        "2,000,000 elements",
        svg(&"<g/>".repeat(2_000_000)).as_bytes(),
    );
    let refused = outcome(
        "4,000,000 elements",
        svg(&"<g/>".repeat(4_000_000)).as_bytes(),
    );
    assert!(refused.unwrap_err().contains("elements"));
    let _ = outcome(
        "unclosed comments",
        svg(&"<!--".repeat(1_000_000)).as_bytes(),
    );
    let _ = outcome("open tags only", "<g ".repeat(1_000_000).as_bytes());
    let styles = format!(
        "<style>{}</style><g class=\"{}\"/>",
        ".a{stroke:red}".repeat(60_000),
        "a ".repeat(1000)
    );
    let _ = outcome(
        "a style sheet of 60,000 rules",
        svg(&styles.repeat(20)).as_bytes(),
    );
    let words = format!("<text>{}</text>", "word ".repeat(1_000_000));
    assert_eq!(
        outcome("a text of a million words", svg(&words).as_bytes()),
        Ok(0)
    );
    let numbers = format!("<polyline points=\"{}\"/>", "1 ".repeat(5_000_000));
    let _ = outcome("five million numbers", svg(&numbers).as_bytes());
}
