//! Distances between meshes in closed form, and against the same by another library.

use check::scan::{ScanFile, one_sided};
use geom::Point3;
use geom::math::{PI, TAU, cos, sin, sin_cos};

/// A sphere of so many steps from pole to pole, its corners on the sphere but for lumps.
fn sphere(radius: f64, steps: u32, lump: f64) -> ScanFile {
    let mut scan = ScanFile::default();
    let round = 2 * steps;
    for i in 0..=steps {
        let a = PI * f64::from(i) / f64::from(steps);
        let (s, c) = sin_cos(a);
        for k in 0..round {
            let b = TAU * f64::from(k) / f64::from(round);
            let (sk, ck) = sin_cos(b);
            let radius = radius * (1.0 + lump * sin(3.0 * a) * cos(2.0 * b));
            scan.points.push(Point3::new(s * ck, s * sk, c) * radius);
        }
    }
    for i in 0..steps {
        for k in 0..round {
            let at = |i: u32, k: u32| i * round + k % round;
            let four = [at(i, k), at(i + 1, k), at(i + 1, k + 1), at(i, k + 1)];
            if i + 1 < steps {
                scan.triangles.push([four[0], four[1], four[2]]);
            }
            if i > 0 {
                scan.triangles.push([four[0], four[2], four[3]]);
            }
        }
    }
    scan
}

/// A square of a side, cut into squares of which each is two triangles.
fn square(side: f64, cuts: u32, height: f64) -> ScanFile {
    let mut scan = ScanFile::default();
    for i in 0..=cuts {
        for k in 0..=cuts {
            let share = |own: u32| side * f64::from(own) / f64::from(cuts);
            scan.points.push(Point3::new(share(i), share(k), height));
        }
    }
    for i in 0..cuts {
        for k in 0..cuts {
            let at = |i: u32, k: u32| i * (cuts + 1) + k;
            scan.triangles
                .push([at(i, k), at(i + 1, k), at(i + 1, k + 1)]);
            scan.triangles
                .push([at(i, k), at(i + 1, k + 1), at(i, k + 1)]);
        }
    }
    scan
}

fn near(found: f64, wanted: f64, tolerance: f64) {
    assert!(
        (found - wanted).abs() <= tolerance,
        "{found} and not {wanted}"
    );
}

#[test]
fn a_square_beside_itself() {
    let found = one_sided(&square(10.0, 7, 0.25), &square(10.0, 3, 0.0)).unwrap();
    for own in [found.greatest, found.mean, found.rms] {
        near(own, 0.25, 1e-12);
    }
}

#[test]
fn a_part_lies_on_the_whole_but_not_the_whole_on_the_part() {
    let (part, whole) = (square(5.0, 4, 0.0), square(10.0, 8, 0.0));
    near(one_sided(&part, &whole).unwrap().greatest, 0.0, 1e-12);
    // The far corner is the side's difference off along both axes.
    near(
        one_sided(&whole, &part).unwrap().greatest,
        50.0_f64.sqrt(),
        1e-12,
    );
}

#[test]
fn spheres_one_in_the_other() {
    let (steps, r, d) = (96, 10.0, 0.5);
    let (inner, outer) = (sphere(r, steps, 0.0), sphere(r + d, steps, 0.0));
    // Chords lie nearer to the middle by up to r(1 − cos(π/n)) twice over, once for each direction.
    let chord = 2.0 * (r + d) * (1.0 - cos(PI / (2.0 * f64::from(steps))));
    for found in [
        one_sided(&inner, &outer).unwrap(),
        one_sided(&outer, &inner).unwrap(),
    ] {
        for own in [found.greatest, found.mean, found.rms] {
            near(own, d, chord);
        }
        assert!(found.mean <= found.rms && found.rms <= found.greatest);
    }
}

#[test]
fn a_polygon_in_its_circle() {
    // A prism of n sides and one of many on the same circle: r(1 − cos(π/n)).
    let prism = |n: u32| {
        let mut scan = ScanFile::default();
        for k in 0..n {
            let (s, c) = sin_cos(TAU * f64::from(k) / f64::from(n));
            scan.points.push(Point3::new(10.0 * c, 10.0 * s, 0.0));
            scan.points.push(Point3::new(10.0 * c, 10.0 * s, 1.0));
        }
        for k in 0..n {
            let next = (k + 1) % n;
            scan.triangles.push([2 * k, 2 * next, 2 * next + 1]);
            scan.triangles.push([2 * k, 2 * next + 1, 2 * k + 1]);
        }
        scan
    };
    let found = one_sided(&prism(12 * 64), &prism(12)).unwrap();
    near(found.greatest, 10.0 * (1.0 - cos(PI / 12.0)), 1e-9);
}

/// Made once by `tests/conformance/scan_values.py` with trimesh 5.2.0 (`trimesh.proximity.closest_point`), at the same points.
#[test]
fn the_same_by_another_library() {
    let (plain, lumpy) = (sphere(10.0, 10, 0.0), sphere(10.0, 14, 0.03));
    let there = one_sided(&lumpy, &plain).unwrap();
    let back = one_sided(&plain, &lumpy).unwrap();
    for (found, wanted) in [
        (there, [0.413003681, 0.137428392, 0.167084771]),
        (back, [0.405439254, 0.135826537, 0.165148151]),
    ] {
        near(found.greatest, wanted[0], 1e-7);
        near(found.mean, wanted[1], 1e-7);
        near(found.rms, wanted[2], 1e-7);
    }
}
