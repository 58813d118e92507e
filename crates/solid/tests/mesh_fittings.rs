//! Meshes of turned fittings and slabs against closed forms.

#![allow(clippy::unwrap_used, reason = "a test may fail by panic")]

use body::{Fitting, FittingShape, Look};
use geom::math::PI;
use geom::{BodyPoint, Chain, Outline, Placement, Point2, Segment, Vector3};
use solid::{SolidError, mesh_fitting};

fn fitting(shape: FittingShape) -> Fitting {
    Fitting {
        id: "fitting".to_owned(),
        assembly: "boiler",
        shape,
        look: Look::Turned,
    }
}

fn turned(profile: Outline) -> Fitting {
    fitting(FittingShape::Turned {
        foot: BodyPoint::new(30.0, 0.0, 50.0),
        axis: Vector3::new(0.6, 0.0, 0.8),
        profile,
    })
}

#[test]
fn cone_and_rod_have_their_volume_to_rounding() {
    let cone = turned(Outline::polygon(&[
        Point2::new(0.0, 0.0),
        Point2::new(3.0, 0.0),
        Point2::new(0.0, 5.0),
    ]));
    let rod = turned(Outline::rectangle(
        Point2::new(0.0, -1.0),
        Point2::new(0.2, 40.0),
    ));
    let tyre = turned(Outline::rectangle(
        Point2::new(8.0, 0.0),
        Point2::new(9.0, 2.0),
    ));
    for (fitting, want) in [
        (cone, PI * 15.0),
        (rod, PI * 0.04 * 41.0),
        (tyre, PI * 17.0 * 2.0),
    ] {
        let mesh = mesh_fitting(&fitting, 0.02).unwrap();
        assert_eq!(mesh.soundness(), Ok(()));
        assert!(
            (mesh.volume() / want - 1.0).abs() < 1e-12,
            "{} for {want}",
            mesh.volume()
        );
    }
}

/// A ball on a stalk: two poles, arcs, a corner.
#[test]
fn ball_turned_from_a_half_circle() {
    let half = Chain::from_segments([
        Segment::Arc(geom::Arc {
            centre: Point2::origin(),
            radius: 4.0,
            start_angle: -PI / 2.0,
            sweep: PI,
        }),
        Segment::line(Point2::new(0.0, 4.0), Point2::new(0.0, -4.0)),
    ]);
    let ball = turned(Outline::from_chain(&half).unwrap());
    let want = 4.0 / 3.0 * PI * 64.0;
    let error = |chord_error| {
        let mesh = mesh_fitting(&ball, chord_error).unwrap();
        assert_eq!(mesh.soundness(), Ok(()));
        1.0 - mesh.volume() / want
    };
    let (coarse, fine) = (error(0.008), error(0.002));
    assert!(coarse > 0.0 && coarse < 0.005, "{coarse}");
    assert!((fine / coarse - 0.25).abs() < 0.05, "{coarse} {fine}");
    // Shading on the ball points away from its centre.
    let mesh = mesh_fitting(&ball, 0.02).unwrap();
    for (triangle, normals) in mesh.triangles.iter().zip(&mesh.normals) {
        for (corner, normal) in triangle.iter().zip(normals) {
            let p =
                BodyPoint::from(mesh.positions[*corner as usize]) - BodyPoint::new(30.0, 0.0, 50.0);
            let n = Vector3::new(
                f64::from(normal[0]),
                f64::from(normal[1]),
                f64::from(normal[2]),
            );
            assert!(n.dot(&p) / p.norm() > 0.999, "{n:?} at {p:?}");
        }
    }
}

#[test]
fn slab_with_holes() {
    let slab = |low, high| {
        fitting(FittingShape::Slab {
            placement: Placement::new(BodyPoint::new(1.0, 2.0, 3.0), Vector3::x(), Vector3::z()),
            outline: Outline::rectangle(Point2::new(0.0, 0.0), Point2::new(60.0, 10.0)),
            holes: vec![
                Outline::rectangle(Point2::new(5.0, 2.0), Point2::new(15.0, 8.0)),
                Outline::rectangle(Point2::new(20.0, 2.0), Point2::new(30.0, 8.0)),
            ],
            low,
            high,
        })
    };
    let mesh = mesh_fitting(&slab(-0.5, 1.0), 0.02).unwrap();
    assert_eq!(mesh.soundness(), Ok(()));
    assert!((mesh.volume() - 1.5 * (600.0 - 120.0)).abs() < 1e-9);
    assert_eq!(mesh.bounds(), ([1.0, 1.0, 3.0], [61.0, 2.5, 13.0]));
    assert!(matches!(
        mesh_fitting(&slab(1.0, -0.5), 0.02),
        Err(SolidError::Unsound { .. })
    ));
}

#[test]
fn profiles_that_enclose_nothing_are_errors() {
    for points in [
        vec![],
        vec![Point2::new(1.0, 1.0)],
        vec![Point2::new(1.0, 1.0), Point2::new(2.0, 1.0)],
    ] {
        let empty = turned(Outline::polygon(&points));
        assert!(matches!(
            mesh_fitting(&empty, 0.02),
            Err(SolidError::Unsound { .. })
        ));
    }
    // Travelled the wrong way round.
    let back = turned(Outline::rectangle(Point2::new(1.0, 0.0), Point2::new(2.0, 1.0)).reversed());
    assert!(matches!(
        mesh_fitting(&back, 0.02),
        Err(SolidError::Unsound { .. })
    ));
}
