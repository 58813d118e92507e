//! Drawings made to do harm: each is read or refused in bounded time and memory, and the figures are printed.
//!
//! `cargo test -p artwork --test hostile -- --nocapture --test-threads 1` shows them; the memory is the most that the
//! whole program has held meanwhile, its input with it, where the system tells. No test here fails for being slow: a
//! loaded machine is no fault of the reader.

#![allow(clippy::unwrap_used, reason = "helpers of tests may fail by panic")]

use artwork::{DrawnCurve, JoinTolerance, MAX_ARTWORK_BYTES, SideFile, join, read_artwork};
use geom::{Outline, Point2, Segment};
use std::time::Instant;

/// Forgets the most memory that the program has held, where the system lets it.
fn forget_peak() {
    let _ = std::fs::write("/proc/self/clear_refs", "5");
}

/// The most memory held since, in words.
fn peak() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|own| own.strip_prefix("VmHWM:"));
    let kib = line.and_then(|own| own.trim().strip_suffix("kB")?.trim().parse::<f64>().ok());
    kib.map_or_else(String::new, |kib| format!(", {:.0} MiB", kib / 1024.0))
}

/// Reads and joins, and prints what became of it.
fn outcome(what: &str, bytes: &[u8]) -> Result<usize, String> {
    forget_peak();
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
        "{what}: {} bytes, read in {reading:.1?}, in all {:.1?}{}: {said:?}",
        bytes.len(),
        begun.elapsed(),
        peak()
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

fn block(name: &str, inner: &str) -> String {
    format!("0\nBLOCK\n8\n0\n2\n{name}\n70\n0\n10\n0\n20\n0\n{inner}0\nENDBLK\n")
}

fn insert(name: &str) -> String {
    format!("0\nINSERT\n8\n0\n2\n{name}\n10\n0\n20\n0\n")
}

const LINE: &str = "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n1\n21\n0\n";

#[test]
fn blocks_in_blocks_come_to_an_end() {
    let mut deep = block("N0", LINE);
    for i in 1..10_000 {
        deep += &block(&format!("N{i}"), &insert(&format!("N{}", i - 1)));
    }
    let refused = outcome(
        "10,000 blocks within one another",
        dxf(&deep, &insert("N9999")).as_bytes(),
    );
    assert!(refused.unwrap_err().contains("deep"));
    let ring = block("A", &insert("B")) + &block("B", &insert("A"));
    let refused = outcome(
        "two blocks within each other",
        dxf(&ring, &insert("A")).as_bytes(),
    );
    assert!(refused.unwrap_err().contains("itself"));
    let mut twice = block("N0", LINE);
    for i in 1..=15 {
        twice += &block(&format!("N{i}"), &insert(&format!("N{}", i - 1)).repeat(4));
    }
    let refused = outcome(
        "each block four times in the next",
        dxf(&twice, &insert("N15")).as_bytes(),
    );
    assert!(refused.unwrap_err().contains("more than"));
}

#[test]
fn a_block_of_many_and_layers_by_the_hundred_thousand() {
    let many = block("A", &LINE.repeat(400_000));
    let twice = dxf(&many, &insert("A"));
    assert_eq!(
        outcome("a block of 400,000 lines", twice.as_bytes()),
        Ok(400_000)
    );
    let layers: String = (0..100_000)
        .map(|i| LINE.replacen("\n8\n0\n", &format!("\n8\nL{i}\n"), 1))
        .collect();
    assert_eq!(
        outcome(
            "100,000 lines on as many layers",
            dxf("", &layers).as_bytes()
        ),
        Ok(100_000)
    );
}

#[test]
fn numbers_that_are_none_and_places_beyond_reach() {
    for (what, number) in [
        ("NaN", "NaN"),
        ("infinity", "inf"),
        ("1e300", "1e300"),
        ("a kilometre's kilometre", "1000001"),
        ("400 digits", &"9".repeat(400)),
    ] {
        let line = LINE.replacen("11\n1\n", &format!("11\n{number}\n"), 1);
        assert!(outcome(&format!("{what} in a DXF"), dxf("", &line).as_bytes()).is_err());
        let path = svg(&format!("<path d=\"M0 0L{number} 1\"/>"));
        let read = outcome(&format!("{what} in an SVG"), path.as_bytes());
        assert!(read.is_err() || read == Ok(0) || number == "1000001");
    }
}

#[test]
fn entities_and_scripts_do_nothing() {
    let mut bomb = "<!DOCTYPE svg [<!ENTITY a0 \"ha\">".to_owned();
    for i in 1..=30 {
        let before = format!("&a{};", i - 1).repeat(10);
        bomb += &format!("<!ENTITY a{i} \"{before}\">");
    }
    bomb += "]>";
    bomb += &svg("<text>&a30;</text>");
    let refused = outcome("an entity of 10 to the power of 30", bomb.as_bytes());
    assert!(refused.unwrap_err().contains("declarations"));
    let outside = "<!DOCTYPE svg [<!ENTITY a SYSTEM \"file:///etc/hostname\">]>".to_owned()
        + &svg("<text>&a;</text>");
    assert!(outcome("an entity of another file", outside.as_bytes()).is_err());
    let scripts = svg(
        &"<script>while(true){}</script><rect width=\"1\" height=\"1\" onload=\"a()\"/>"
            .repeat(10_000),
    );
    assert_eq!(outcome("10,000 scripts", scripts.as_bytes()), Ok(40_000));
    let within = svg(&format!(
        "{}<rect width=\"1\" height=\"1\"/>{}",
        "<g>".repeat(200),
        "</g>".repeat(200)
    ));
    let _ = outcome("200 groups within one another", within.as_bytes());
    let deep = svg(&("<g>".repeat(100_000) + &"</g>".repeat(100_000)));
    assert!(outcome("100,000 groups within one another", deep.as_bytes()).is_err());
    let ring = svg("<g id=\"a\"><use href=\"#b\"/></g><g id=\"b\"><use href=\"#a\"/></g>");
    assert!(outcome("two copies within each other", ring.as_bytes()).is_err());
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
