//! Line drawings against shapes whose seen edges can be counted and measured by hand.

#![allow(clippy::unwrap_used, reason = "a test may fail by panic")]

use geom::{Vector3, math};
use solid::{LineView, Mesh, ViewFrame, line_view};

/// A box between two corners.
fn cuboid(low: [f64; 3], high: [f64; 3]) -> Mesh {
    let pick = |i: usize, k: usize| if i >> k & 1 == 1 { high[k] } else { low[k] };
    Mesh {
        positions: (0..8)
            .map(|i| [pick(i, 0), pick(i, 1), pick(i, 2)])
            .collect(),
        triangles: vec![
            [0, 2, 1],
            [1, 2, 3],
            [4, 5, 6],
            [5, 7, 6],
            [0, 1, 4],
            [1, 5, 4],
            [2, 6, 3],
            [3, 6, 7],
            [0, 4, 2],
            [2, 4, 6],
            [1, 3, 5],
            [3, 7, 5],
        ],
        normals: Vec::new(),
    }
}

/// A drum of `n` sides about an axis along x, radius and length.
fn drum(radius: f64, length: f64, n: u32) -> Mesh {
    let mut mesh = Mesh::default();
    for x in [0.0, length] {
        for i in 0..n {
            let (s, c) = math::sin_cos(math::TAU * f64::from(i) / f64::from(n));
            mesh.positions.push([x, radius * c, radius * s]);
        }
    }
    for i in 0..n {
        let j = (i + 1) % n;
        mesh.triangles.push([i, n + j, n + i]);
        mesh.triangles.push([i, j, n + j]);
        if i > 0 && j > 0 {
            mesh.triangles.push([0, j, i]);
            mesh.triangles.push([n, n + i, n + j]);
        }
    }
    mesh
}

fn length(view: &LineView) -> f64 {
    let run = |run: &Vec<geom::Point2>| -> f64 {
        run.windows(2).map(|two| (two[1] - two[0]).norm()).sum()
    };
    view.lines.iter().map(run).sum()
}

fn area(view: &LineView) -> f64 {
    let of = |run: &Vec<geom::Point2>| -> f64 {
        (0..run.len())
            .map(|i| run[i].coords.perp(&run[(i + 1) % run.len()].coords) / 2.0)
            .sum()
    };
    view.cut.iter().flatten().map(of).sum()
}

fn at_rest(meshes: &[Mesh]) -> Vec<(&Mesh, Vector3)> {
    meshes.iter().map(|mesh| (mesh, Vector3::zeros())).collect()
}

/// Seen from a corner, nine of a cube's twelve edges are seen, each √(2/3) of its length.
#[test]
fn a_cube_from_its_corner() {
    let cube = [cuboid([0.0; 3], [10.0; 3])];
    for direction in [[1.0, 1.0, 1.0], [-1.0, 1.0, 1.0], [-1.0, -1.0, -1.0]] {
        let frame = ViewFrame::from(Vector3::from(direction));
        let view = line_view(&at_rest(&cube), &frame, None);
        let want = 9.0 * 10.0 * (2.0_f64 / 3.0).sqrt();
        assert!(
            (length(&view) - want).abs() < 1e-6,
            "{} {want}",
            length(&view)
        );
    }
    // Square on, its outline alone.
    for frame in [
        ViewFrame::side(),
        ViewFrame::plan(),
        ViewFrame::front(),
        ViewFrame::rear(),
    ] {
        let view = line_view(&at_rest(&cube), &frame, None);
        assert!((length(&view) - 40.0).abs() < 1e-6);
        assert_eq!(view.lines.len(), 1, "the outline is one run");
    }
}

/// A bar before a wall hides the wall's upright edge over its own height, and no more.
#[test]
fn what_stands_before_hides_what_stands_behind() {
    // Seen from −y: the bar at y −5 crosses the wall's right edge at x 10 from z 2 to 5.
    let solids = [
        cuboid([0.0, 0.0, 0.0], [10.0, 1.0, 20.0]),
        cuboid([6.0, -5.0, 2.0], [14.0, -4.0, 5.0]),
    ];
    let view = line_view(&at_rest(&solids), &ViewFrame::side(), None);
    let want = (60.0 - 3.0) + 22.0;
    assert!(
        (length(&view) - want).abs() < 1e-5,
        "{} {want}",
        length(&view)
    );
    // From behind the wall hides four millimetres of both long edges, and the bar's end there.
    let view = line_view(&at_rest(&solids), &ViewFrame::from(Vector3::y()), None);
    let want = 60.0 + (22.0 - 4.0 - 4.0 - 3.0);
    assert!(
        (length(&view) - want).abs() < 1e-5,
        "{} {want}",
        length(&view)
    );
}

/// A drum from the side: two ends and two lines where it turns from the eye; from its end a circle.
#[test]
fn a_drum_shows_where_it_turns_away() {
    let drum = [drum(5.0, 30.0, 96)];
    let view = line_view(&at_rest(&drum), &ViewFrame::side(), None);
    assert!((length(&view) - 80.0).abs() < 0.02, "{}", length(&view));
    let view = line_view(&at_rest(&drum), &ViewFrame::front(), None);
    assert!((length(&view) - math::TAU * 5.0).abs() < 0.02);
    assert_eq!(view.lines.len(), 1);
}

/// A tube cut across shows a ring of its own area, and through it what is behind.
#[test]
fn a_cut_shows_its_face_and_what_is_behind() {
    let solids = [
        cuboid([0.0, 0.0, 0.0], [10.0, 10.0, 10.0]),
        cuboid([2.0, 20.0, 2.0], [4.0, 22.0, 4.0]),
        cuboid([12.0, 20.0, 2.0], [15.0, 22.0, 4.0]),
    ];
    // Cut at y 5, seen from −y: the block is cut, the one behind it hidden, the one beside it seen.
    let view = line_view(&at_rest(&solids), &ViewFrame::side(), Some(-5.0));
    assert_eq!(view.cut.len(), 1);
    assert!((area(&view).abs() - 100.0).abs() < 1e-9, "{}", area(&view));
    let beside: f64 = 2.0 * (3.0 + 2.0);
    let seen: f64 = view
        .lines
        .iter()
        .filter(|run| run.iter().all(|p| p.x > 11.0))
        .map(|run| {
            run.windows(2)
                .map(|two| (two[1] - two[0]).norm())
                .sum::<f64>()
        })
        .sum();
    assert!((seen - beside).abs() < 1e-5, "{seen}");
    assert!(
        view.lines
            .iter()
            .flatten()
            .all(|p| !(p.x > 1.0 && p.x < 9.0 && p.y > 1.0 && p.y < 9.0)),
        "the cut block hides what is behind it"
    );
}

/// Lines do not depend on where the solids stand, nor on the order in which they are given.
#[test]
fn moved_and_in_another_order_the_lines_are_the_same() {
    let solids = [
        cuboid([0.0, 0.0, 0.0], [10.0, 1.0, 20.0]),
        cuboid([6.0, -5.0, 2.0], [14.0, -4.0, 5.0]),
        drum(3.0, 25.0, 48),
    ];
    let frame = ViewFrame::from(Vector3::new(-1.0, -0.7, 0.5));
    let one = line_view(&at_rest(&solids), &frame, None);
    let by = Vector3::new(17.0, -3.0, 8.0);
    let moved: Vec<_> = solids.iter().rev().map(|mesh| (mesh, by)).collect();
    let other = line_view(&moved, &frame, None);
    assert!((length(&one) - length(&other)).abs() < 1e-3);
    let again = line_view(&at_rest(&solids), &frame, None);
    assert_eq!(one, again);
    assert_eq!(line_view(&[], &frame, None), LineView::default());
    assert!(LineView::default().bounds().is_none());
}
