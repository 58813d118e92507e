//! The same shape out of every format, and what they do with what they do not know.

use check::scan::{ScanFile, ScanKind, read_scan};
use geom::Point3;

fn tetrahedron() -> (Vec<[f32; 3]>, Vec<[u32; 3]>) {
    (
        vec![[0.0; 3], [3.0, 0.0, 0.0], [0.0, 4.0, 0.0], [0.0, 0.0, 5.0]],
        vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]],
    )
}

fn binary_stl() -> Vec<u8> {
    let (points, triangles) = tetrahedron();
    let mut out = b"solid by name, binary all the same".to_vec();
    out.resize(80, b' ');
    out.extend(4_u32.to_le_bytes());
    for t in triangles {
        out.extend([0; 12]);
        for corner in t {
            out.extend(points[corner as usize].iter().flat_map(|x| x.to_le_bytes()));
        }
        out.extend([7, 7]);
    }
    out
}

fn text_stl() -> Vec<u8> {
    let (points, triangles) = tetrahedron();
    let mut out = "solid a scan\r\n".to_owned();
    for t in triangles {
        out += "  facet normal 0 0 1\r\n    OUTER LOOP\r\n";
        for corner in t {
            let [x, y, z] = points[corner as usize];
            out += &format!("      vertex {x:e} {y} {z}\r\n");
        }
        out += "    endloop\r\n  endfacet\r\n";
    }
    (out + "endsolid a scan\r\n").into_bytes()
}

/// A PLY with normals of points, an element between that nobody knows, and faces with a quality.
fn ply(form: &str) -> Vec<u8> {
    let (points, triangles) = tetrahedron();
    let mut out = format!(
        "ply\nformat {form} 1.0\ncomment made by hand\nelement vertex 4\nproperty double x\nproperty float y\n\
         property float z\nproperty uchar red\nelement strange 2\nproperty list ushort double much\n\
         property short little\nelement face 4\nproperty float quality\nproperty list uchar int vertex_indices\n\
         end_header\n"
    )
    .into_bytes();
    let mut put = |text: String, bytes: &[u8], swap: bool| match form {
        "ascii" => out.extend(text.bytes()),
        "binary_little_endian" => out.extend(bytes),
        _ if swap => out.extend(bytes.iter().rev()),
        _ => out.extend(bytes),
    };
    for [x, y, z] in points {
        put(format!("{x} "), &f64::from(x).to_le_bytes(), true);
        put(format!("{y} "), &y.to_le_bytes(), true);
        put(format!("{z} "), &z.to_le_bytes(), true);
        put("200\n".to_owned(), &[200], true);
    }
    for much in [vec![], vec![1.5_f64, -2.5]] {
        put(
            format!("{} ", much.len()),
            &(much.len() as u16).to_le_bytes(),
            true,
        );
        for own in &much {
            put(format!("{own} "), &own.to_le_bytes(), true);
        }
        put("-3\n".to_owned(), &(-3_i16).to_le_bytes(), true);
    }
    for t in triangles {
        put("0.5 ".to_owned(), &0.5_f32.to_le_bytes(), true);
        put("3".to_owned(), &[3], true);
        for corner in t {
            put(format!(" {corner}"), &(corner as i32).to_le_bytes(), true);
        }
        put("\n".to_owned(), &[], true);
    }
    out
}

const OBJ: &str = "# a scan\nmtllib none.mtl\nv 0 0 0\nv 3 0 0 0.5 0.5 0.5\nv 0 4 0\nvt 0 0\nvn 0 0 1\nf 1/1/1 3//1 2/1\n\
                   v 0 0 5\ng side\nf -4 -3 -1\nf 2 3 4\nf 1 4/1 3\n";

/// Volume by the triangles: 3 · 4 · 5 / 6.
fn volume(scan: &ScanFile) -> f64 {
    let six: f64 = scan
        .triangles
        .iter()
        .map(|t| {
            let [a, b, c] = t.map(|i| scan.points[i as usize] - Point3::origin());
            a.dot(&b.cross(&c))
        })
        .sum();
    six / 6.0
}

#[test]
fn every_format_gives_the_same_shape() {
    let files = [
        binary_stl(),
        text_stl(),
        ply("ascii"),
        ply("binary_little_endian"),
        ply("binary_big_endian"),
        OBJ.as_bytes().to_vec(),
    ];
    for (i, file) in files.iter().enumerate() {
        let scan = read_scan(file.as_slice(), None).unwrap_or_else(|own| panic!("file {i}: {own}"));
        assert_eq!(
            (scan.points.len(), scan.triangles.len()),
            (4, 4),
            "file {i}"
        );
        assert!(
            (volume(&scan) - 10.0).abs() < 1e-6,
            "file {i}: {}",
            volume(&scan)
        );
    }
}

#[test]
fn clouds_keep_their_normals() {
    let file = "ply\nformat ascii 1.0\nelement vertex 2\nproperty float x\nproperty float y\nproperty float z\n\
                property float nx\nproperty float ny\nproperty float nz\nend_header\n1 2 3 0 0 2\n4 5 6 0 -3 0\n";
    let scan = read_scan(file.as_bytes(), None).unwrap();
    assert_eq!(scan.normals, [[0.0, 0.0, 1.0], [0.0, -1.0, 0.0]]);
    let file = "v 1 2 3\nvn 0 0 9\nv 4 5 6\nvn 1 0 0\n";
    let scan = read_scan(file.as_bytes(), Some(ScanKind::Obj)).unwrap();
    assert_eq!(scan.normals, [[0.0, 0.0, 1.0], [1.0, 0.0, 0.0]]);
    assert_eq!(scan.points[1], Point3::new(4.0, 5.0, 6.0));
}

#[test]
fn faces_of_many_corners_are_cut_and_flat_ones_left_out() {
    let file = "v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nf 1 2 3 4\nf 1 2 2\nf 1 1 1\n";
    let scan = read_scan(file.as_bytes(), None).unwrap();
    assert_eq!(scan.triangles, [[0, 1, 2], [0, 2, 3]]);
    assert_eq!(scan.flat_triangles, 2);
}

#[test]
fn endings_tell_the_kind() {
    assert_eq!(ScanKind::of_name("loco.v2.STL"), Some(ScanKind::Stl));
    assert_eq!(ScanKind::of_name("a/b.ply"), Some(ScanKind::Ply));
    assert_eq!(ScanKind::of_name("readings.csv"), None);
    assert_eq!(ScanKind::of_name("obj"), None);
}
