//! Former blocks and the mesh boolean behind them.

#![allow(clippy::unwrap_used, reason = "a test may fail by panic")]

use body::FormerBlock;
use boolmesh::prelude::{Manifold, OpType, compute_boolean};
use develop::LoftFrame;
use geom::math::{FRAC_PI_2, PI, acos, asin, sin};
use geom::{Chain, Outline, Placement, Point2, Vector3};
use solid::{Mesh, MeshFault, SolidError, block_mesh, block_volume, mesh_fitting, subtract};

/// Half a firebox: crown, shoulder, side, waist and foot (mm); widest half width and its waist's.
fn section(top: f64, half_width: f64, waist: f64) -> Chain {
    let (crown, shoulder) = (80.0, 2.7);
    let alpha = asin((half_width - shoulder) / (crown - shoulder));
    let theta = acos(1.0 - (half_width - waist) / 14.0);
    let left = Chain::starting(Point2::new(0.0, top), 0.0)
        .arc(crown, -alpha)
        .arc(shoulder, -(FRAC_PI_2 - alpha))
        .line(9.0)
        .arc(8.0, -theta)
        .arc(6.0, theta)
        .line(20.0 - 14.0 * sin(theta))
        .finish();
    left.mirrored_in_y_axis().reversed().joined(&left)
}

fn block(front: Chain, rear: Chain) -> FormerBlock {
    FormerBlock {
        id: "firebox-soldering-block".to_owned(),
        title: "Firebox soldering block".to_owned(),
        plate: "firebox-wrapper".to_owned(),
        frame: LoftFrame::along_engine(90.0),
        front,
        rear,
        length: 30.0,
        studding: vec![(Point2::new(0.0, 35.0), 3.2), (Point2::new(0.0, 22.0), 3.2)],
        groove: (0.6, 0.4),
    }
}

fn wagon() -> FormerBlock {
    block(section(46.0, 11.0, 8.0), section(44.0, 9.5, 8.0))
}

#[test]
fn block_between_unlike_sections_has_its_volume() {
    let mut plain = wagon();
    plain.studding.clear();
    plain.groove = (0.0, 0.0);
    for block in [
        plain,
        wagon(),
        block(section(46.0, 11.0, 8.0), section(46.0, 11.0, 8.0)),
    ] {
        let want = block_volume(&block).unwrap();
        let off = |chord_error| {
            let mesh = block_mesh(&block, chord_error).unwrap();
            // The ends are cut along fine curves; their triangles may be low.
            assert!(matches!(
                mesh.soundness(),
                Ok(()) | Err(MeshFault::Sliver { .. })
            ));
            (mesh.volume() / want - 1.0).abs()
        };
        assert!(off(0.02) < 1e-3, "{}", off(0.02));
        assert!(off(0.002) < 1.5e-4, "{}", off(0.002));
    }
}

/// A half cylinder: area πr²/2 at every section, cut by two bars.
#[test]
fn half_round_block_has_the_volume_of_its_closed_form() {
    let half = Chain::starting(Point2::new(-10.0, 5.0), FRAC_PI_2)
        .arc(10.0, -PI)
        .finish();
    let mut block = block(half.clone(), half);
    block.studding = vec![(Point2::new(0.0, 9.0), 3.0)];
    block.groove = (0.0, 0.0);
    let want = 30.0 * (PI * 50.0 - PI * 9.0 / 4.0);
    assert!((block_volume(&block).unwrap() / want - 1.0).abs() < 1e-10);
    // The groove takes its rectangle less what the crown falls away: r²(φ − sin φ cos φ) is left of it.
    block.groove = (2.0, 1.0);
    let phi = asin(0.1);
    let fallen = 2.0 * 10.0 - (100.0 * phi + 10.0 * 0.99f64.sqrt());
    let groove = 30.0 * (2.0 * 1.0 - fallen);
    let got = block_volume(&block).unwrap();
    assert!(
        (got - (want - groove)).abs() < 1e-6,
        "{got} for {}",
        want - groove
    );
    assert_eq!(block_mesh(&block, 0.005).unwrap().soundness(), Ok(()));
}

#[test]
fn studding_hole_that_breaks_out_is_an_error() {
    for at in [
        Point2::new(8.5, 35.0),
        Point2::new(0.0, 60.0),
        Point2::new(0.0, f64::NAN),
    ] {
        let mut block = wagon();
        block.studding.push((at, 3.2));
        assert!(matches!(
            block_mesh(&block, 0.02),
            Err(SolidError::StudBreaksOut { .. })
        ));
    }
    let mut block = wagon();
    block.studding.push((Point2::new(0.0, 35.0), f64::NAN));
    assert!(matches!(
        block_mesh(&block, 0.02),
        Err(SolidError::StudBreaksOut { .. })
    ));
}

fn slab(low: (f64, f64), high: (f64, f64), z: (f64, f64)) -> Mesh {
    let fitting = body::Fitting {
        id: "slab".to_owned(),
        assembly: "frames",
        look: body::Look::Dark,
        shape: body::FittingShape::Slab {
            placement: Placement::new(geom::BodyPoint::origin(), Vector3::x(), Vector3::y()),
            outline: Outline::rectangle(Point2::new(low.0, low.1), Point2::new(high.0, high.1)),
            holes: Vec::new(),
            low: z.0,
            high: z.1,
        },
    };
    mesh_fitting(&fitting, 0.02).unwrap()
}

#[test]
fn flush_and_overlapping_tools() {
    let solid = slab((0.0, 0.0), (10.0, 10.0), (0.0, 10.0));
    let tools = [
        slab((2.0, 0.0), (4.0, 10.0), (5.0, 10.0)),
        slab((3.0, 2.0), (8.0, 8.0), (-1.0, 11.0)),
    ];
    let cut = subtract(&solid, &tools).unwrap();
    assert_eq!(cut.soundness(), Ok(()));
    // 1000 − 2·10·5 − 5·6·10 + the overlap 1·6·5.
    assert!((cut.volume() - 630.0).abs() < 1e-9, "{}", cut.volume());
    assert!(matches!(
        subtract(&solid, &[slab((-1.0, -1.0), (11.0, 11.0), (-1.0, 11.0))]),
        Err(SolidError::Subtraction { .. })
    ));
    let mut open = solid.clone();
    open.triangles.pop();
    assert!(matches!(
        subtract(&open, &[]),
        Err(SolidError::Subtraction { .. })
    ));
}

/// The same cuts by an unrelated library.
#[test]
fn second_library_agrees() {
    let mut plain = wagon();
    plain.studding.clear();
    plain.groove = (0.0, 0.0);
    let solid = block_mesh(&plain, 0.02).unwrap();
    let tools = [
        slab((95.0, -3.0), (105.0, 3.0), (20.0, 60.0)),
        slab((89.0, -1.0), (130.0, 1.0), (30.0, 33.0)),
        slab((90.0, 2.0), (120.0, 5.0), (25.0, 28.0)),
    ];
    let ours = subtract(&solid, &tools).unwrap();
    let read = |mesh: &Mesh| {
        let positions: Vec<f64> = mesh.positions.iter().flatten().copied().collect();
        let corners: Vec<usize> = mesh
            .triangles
            .iter()
            .flatten()
            .map(|&c| c as usize)
            .collect();
        Manifold::<f64>::new(&positions, &corners).unwrap()
    };
    let mut theirs = read(&solid);
    for tool in &tools {
        theirs = compute_boolean(&theirs, &read(tool), OpType::Subtract).unwrap();
    }
    let mesh = Mesh {
        positions: theirs.ps.iter().map(|p| [p.x, p.y, p.z]).collect(),
        triangles: theirs
            .hs
            .chunks(3)
            .map(|h| [h[0].tail as u32, h[1].tail as u32, h[2].tail as u32])
            .collect(),
        normals: Vec::new(),
    };
    assert!(
        (ours.volume() / mesh.volume() - 1.0).abs() < 1e-9,
        "{} {}",
        ours.volume(),
        mesh.volume()
    );
    assert!((ours.area() / mesh.area() - 1.0).abs() < 1e-9);
}
