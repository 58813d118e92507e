//! Files that lie, break off or mean harm: each is refused where it goes wrong, in little memory.

use check::scan::{At, MOST_POINTS, SCAN_FILE_LIMIT, ScanError, ScanKind, read_scan};
use std::io::Read;

fn refused(file: &[u8], kind: ScanKind) -> ScanError {
    match read_scan(file, Some(kind)) {
        Ok(scan) => panic!("read {} points", scan.points.len()),
        Err(error) => error,
    }
}

/// The file is refused at a place, with a word of what is wrong.
fn broken(file: &[u8], kind: ScanKind, at: At, word: &str) {
    match refused(file, kind) {
        ScanError::Broken {
            at: own,
            wrong,
            right,
        } => {
            assert_eq!(own, at, "{wrong}; {right}");
            assert!(wrong.contains(word), "{wrong}");
            assert!(!right.is_empty());
        }
        other => panic!("{other}"),
    }
}

fn stl(claimed: u32, facets: &[[[f32; 3]; 3]]) -> Vec<u8> {
    let mut out = vec![0; 80];
    out.extend(claimed.to_le_bytes());
    for facet in facets {
        out.extend([0; 12]);
        out.extend(facet.iter().flatten().flat_map(|x| x.to_le_bytes()));
        out.extend([0; 2]);
    }
    out
}

const FACET: [[f32; 3]; 3] = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]];

#[test]
fn stl_heads_that_lie() {
    // 4 294 967 295 facets of 50 bytes would be 214 GB.
    broken(
        &stl(u32::MAX, &[FACET]),
        ScanKind::Stl,
        At::Byte(134),
        "after 1",
    );
    broken(
        &stl(40_000_000, &[FACET; 10]),
        ScanKind::Stl,
        At::Byte(584),
        "40000000",
    );
    broken(
        &stl(1, &[FACET; 2]),
        ScanKind::Stl,
        At::Byte(134),
        "more after",
    );
    broken(
        &stl(2, &[FACET; 2])[..150],
        ScanKind::Stl,
        At::Byte(150),
        "ends after 1",
    );
    broken(
        &stl(2, &[FACET; 2])[..30],
        ScanKind::Stl,
        At::Byte(30),
        "30 bytes",
    );
    broken(b"", ScanKind::Stl, At::Byte(0), "0 bytes");
}

#[test]
fn stl_corners_that_are_none() {
    let mut facet = FACET;
    facet[1][2] = f32::NAN;
    broken(
        &stl(2, &[FACET, facet]),
        ScanKind::Stl,
        At::Byte(134 + 12 + 12 + 8),
        "NaN",
    );
    facet[1][2] = f32::NEG_INFINITY;
    broken(
        &stl(1, &[facet]),
        ScanKind::Stl,
        At::Byte(84 + 12 + 12 + 8),
        "inf",
    );
    let text = b"solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 nan\n";
    broken(text, ScanKind::Stl, At::Line(5), "z is \"nan\"");
    let text = b"solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nendloop\n";
    broken(text, ScanKind::Stl, At::Line(6), "2 corners");
    let text = b"solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\n";
    broken(text, ScanKind::Stl, At::Line(4), "endsolid");
    let same = [[0.5; 3]; 3];
    assert_eq!(
        refused(&stl(2, &[same, same]), ScanKind::Stl),
        ScanError::NoArea { triangles: 2 }
    );
}

fn ply(head: &str, body: &[u8]) -> Vec<u8> {
    let mut out = format!("ply\n{head}end_header\n").into_bytes();
    out.extend(body);
    out
}

const XYZ: &str = "property float x\nproperty float y\nproperty float z\n";

#[test]
fn ply_counts_that_lie() {
    // 2 GB of points claimed in a file below 1 kB, in each form.
    for form in ["ascii", "binary_little_endian", "binary_big_endian"] {
        let head = format!("format {form} 1.0\nelement vertex 170000000\n{XYZ}");
        let error = refused(&ply(&head, b"1 2 3\n"), ScanKind::Ply);
        assert!(error.to_string().contains("170000000"), "{error}");
    }
    let head = format!("format ascii 1.0\nelement vertex 18446744073709551616\n{XYZ}");
    broken(
        &ply(&head, b""),
        ScanKind::Ply,
        At::Line(3),
        "1844674407370955",
    );
    // A list of four billion numbers, of which none are there.
    let list = "property list uint float more\n";
    let head = format!("format binary_little_endian 1.0\nelement vertex 1\n{XYZ}{list}");
    let mut body = vec![0; 12];
    body.extend(u32::MAX.to_le_bytes());
    assert!(matches!(
        refused(&ply(&head, &body), ScanKind::Ply),
        ScanError::Broken { .. }
    ));
    // A face of four billion corners.
    let face = "element face 1\nproperty list uint int vertex_indices\n";
    let head = format!("format binary_little_endian 1.0\nelement vertex 1\n{XYZ}{face}");
    let error = refused(&ply(&head, &body), ScanKind::Ply);
    assert!(error.to_string().contains("4294967295 corners"), "{error}");
    // An element without bytes, as often as one likes.
    let head = format!(
        "format binary_little_endian 1.0\nelement vertex 1\n{XYZ}element nothing 9000000000000000000\n"
    );
    let error = refused(&ply(&head, &[0; 12]), ScanKind::Ply);
    assert!(error.to_string().contains("without properties"), "{error}");
}

#[test]
fn ply_heads_that_are_none() {
    broken(
        b"ply\nformat ascii 1.0\n",
        ScanKind::Ply,
        At::Line(2),
        "in its head",
    );
    broken(
        b"ply\nformat utf8 1.0\n",
        ScanKind::Ply,
        At::Line(2),
        "utf8",
    );
    broken(
        b"ply\nproperty float x\n",
        ScanKind::Ply,
        At::Line(2),
        "before any element",
    );
    broken(
        b"ply\nelement vertex 1\nproperty real x\n",
        ScanKind::Ply,
        At::Line(3),
        "real",
    );
    broken(
        b"ply\nelement vertex 1\nproperty list float int x\n",
        ScanKind::Ply,
        At::Line(3),
        "whole",
    );
    broken(
        b"ply\nformat ascii 1.0\nelement face 0\nend_header\n",
        ScanKind::Ply,
        At::Line(4),
        "x, y and z",
    );
    broken(b"ply\nfortune 7\n", ScanKind::Ply, At::Line(2), "fortune");
    let long = format!("ply\ncomment {}\n", "x".repeat(1 << 17));
    broken(long.as_bytes(), ScanKind::Ply, At::Line(2), "65536 bytes");
}

#[test]
fn ply_and_obj_points_that_are_none() {
    let head = format!("format ascii 1.0\nelement vertex 2\n{XYZ}");
    broken(
        &ply(&head, b"0 0 0\n0 inf 0\n"),
        ScanKind::Ply,
        At::Line(9),
        "inf",
    );
    let face = "element face 1\nproperty list uchar int vertex_indices\n";
    let head = format!("format ascii 1.0\nelement vertex 1\n{XYZ}{face}");
    broken(
        &ply(&head, b"0 0 0\n3 0 0 1\n"),
        ScanKind::Ply,
        At::Line(11),
        "point 1",
    );
    broken(
        &ply(&head, b"0 0 0\n3 0 0 -1\n"),
        ScanKind::Ply,
        At::Line(11),
        "point -1",
    );
    broken(
        b"v 0 0 0\nv 1 x 0\n",
        ScanKind::Obj,
        At::Line(2),
        "y is \"x\"",
    );
    broken(
        b"v 0 0 0\nv 1 1\n",
        ScanKind::Obj,
        At::Line(2),
        "z is missing",
    );
    broken(b"v 0 0 0\nf 1 2 3\n", ScanKind::Obj, At::Line(2), "point 3");
    broken(
        b"v 0 0 0\nf -1 -2 1\n",
        ScanKind::Obj,
        At::Line(2),
        "\"-2\"",
    );
    broken(b"v 0 0 0\nf 0 1 1\n", ScanKind::Obj, At::Line(2), "\"0\"");
    broken(b"v 0 0 0\nf 1 1\n", ScanKind::Obj, At::Line(2), "2 corners");
}

#[test]
fn no_kind_and_no_end() {
    assert_eq!(
        read_scan(&b"hello\n"[..], None).unwrap_err(),
        ScanError::UnknownKind
    );
    assert_eq!(
        read_scan(&b""[..], None).unwrap_err(),
        ScanError::UnknownKind
    );
    // Points without end: refused at the limit of points.
    let endless = std::iter::repeat_n(b"v 1 2 3\n".as_slice(), MOST_POINTS + 1);
    let error = read_scan(Joined::of(endless), Some(ScanKind::Obj)).unwrap_err();
    let at = At::Line(MOST_POINTS as u64 + 1);
    assert!(
        matches!(error, ScanError::TooMany { at: own, .. } if own == at),
        "{error}"
    );
    // Words without end: refused at the limit of bytes.
    let mut line = vec![b'#'; 60_000];
    line.push(b'\n');
    let endless = std::iter::repeat(&*line.leak());
    let error = read_scan(Joined::of(endless), Some(ScanKind::Obj)).unwrap_err();
    let limit_mb = SCAN_FILE_LIMIT / 1_000_000;
    assert!(matches!(error, ScanError::TooLarge { limit_mb: own, .. } if own == limit_mb));
}

struct Joined<I> {
    pieces: I,
    rest: &'static [u8],
}

impl<I: Iterator<Item = &'static [u8]>> Joined<I> {
    fn of(pieces: I) -> Self {
        Self { pieces, rest: b"" }
    }
}

impl<I: Iterator<Item = &'static [u8]>> Read for Joined<I> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let mut filled = 0;
        while filled < buffer.len() {
            if self.rest.is_empty() {
                match self.pieces.next() {
                    Some(next) => self.rest = next,
                    None => break,
                }
            }
            let count = self.rest.len().min(buffer.len() - filled);
            buffer[filled..filled + count].copy_from_slice(&self.rest[..count]);
            self.rest = &self.rest[count..];
            filled += count;
        }
        Ok(filled)
    }
}
