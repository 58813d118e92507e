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

/// A skirt on a barrel: the rim lies on the cylinder, and the volume is that of the sheared solid,
/// ∫∮½ρ² dz dψ by another quadrature.
#[test]
fn seated_fitting_fits_a_barrel_and_has_its_volume() {
    use body::{Seat, Seated};
    use geom::math::{FRAC_PI_2, TAU};
    let (barrel, pitch, radius) = (16.0, 52.0, 10.0);
    let ring = |r: f64, z: f64| {
        Chain::starting(Point2::new(0.0, z - r), PI)
            .arc(r, -TAU)
            .finish()
    };
    let loft = develop::Loft::between(
        develop::LoftFrame::along_engine(10.0),
        &ring(barrel, pitch),
        &ring(barrel + 2.0, pitch + 2.0),
        60.0,
        1e-9,
        develop::BendRule::default(),
    )
    .unwrap();
    let seat = Seat::new(loft);
    let x = 30.0;
    // The cone's own top line and half width, without the loft.
    let share = (x - 10.0) / 60.0;
    let (r, z) = (barrel + 2.0 * share, pitch + 2.0 * share);
    assert!((seat.height(x, 0.0).unwrap() - (z + r)).abs() < 1e-9);
    let beside = z + (r * r - 25.0_f64).sqrt();
    assert!((seat.height(x, -5.0).unwrap() - beside).abs() < 1e-9);
    assert!((seat.half_width(x, z + 3.0).unwrap() - (r * r - 9.0_f64).sqrt()).abs() < 1e-9);
    assert_eq!(seat.height(x, r + 1.0), None);
    let outside = Chain::starting(Point2::new(radius, 0.0), FRAC_PI_2)
        .line(0.4)
        .corner(FRAC_PI_2)
        .line(2.0)
        .arc(3.0, -FRAC_PI_2)
        .line(9.0)
        .finish();
    let (start, end) = (outside.start(), outside.end());
    let profile = Chain::from_segments(
        [Segment::line(Point2::origin(), start)]
            .into_iter()
            .chain(outside.segments().iter().copied())
            .chain([
                Segment::line(end, Point2::new(0.0, end.y)),
                Segment::line(Point2::new(0.0, end.y), Point2::origin()),
            ]),
    );
    let own = Seated {
        foot: BodyPoint::new(x, 0.0, z + r),
        profile: Outline::from_chain(&profile).unwrap(),
        seat,
        blend: (0.4, 6.0),
    };
    // ∫∮½ρ² dz dψ over the profile in fine steps, half a turn by symmetry.
    let line = profile.flattened(1e-3);
    let fine: Vec<Point2> = line
        .windows(2)
        .flat_map(|p| (0..24).map(move |i| p[0] + (p[1] - p[0]) * (f64::from(i) / 24.0)))
        .chain(line.last().copied())
        .collect();
    let turns = 90;
    let want: f64 = (0..turns)
        .map(|k| {
            let angle = TAU * (f64::from(k) + 0.5) / f64::from(turns);
            fine.windows(2)
                .map(|p| {
                    let at = |q: Point2| own.place(q.x, angle, q.y).unwrap().point.z;
                    let square = (p[0].x * p[0].x + p[0].x * p[1].x + p[1].x * p[1].x) / 3.0;
                    square / 2.0 * (at(p[1]) - at(p[0]))
                })
                .sum::<f64>()
        })
        .sum::<f64>()
        * TAU
        / f64::from(turns);
    let mesh = mesh_fitting(&fitting(FittingShape::Seated(Box::new(own))), 0.01).unwrap();
    assert_eq!(mesh.soundness(), Ok(()));
    assert!(
        (mesh.volume() / want - 1.0).abs() < 1e-3,
        "{} for {want}",
        mesh.volume()
    );
    // The shear alone takes the skirt's sides down: the solid is larger than the turned one.
    let level = mesh_fitting(&turned(Outline::from_chain(&profile).unwrap()), 0.01).unwrap();
    assert!(mesh.volume() > 1.005 * level.volume());
    // The rim of the foot lies on the cone all round.
    let mut rim = 0;
    for p in &mesh.positions {
        let out = geom::math::hypot(p[0] - x, p[1]);
        let s = (p[0] - 10.0) / 60.0;
        let (r, z) = (barrel + 2.0 * s, pitch + 2.0 * s);
        let off = geom::math::hypot(p[1], p[2] - z) - r;
        if (out - radius).abs() < 0.02 && off < 0.2 {
            assert!(off.abs() < 1e-6, "{p:?} is {off} off the barrel");
            rim += 1;
        }
        // Nothing reaches into the barrel.
        assert!(off > -1e-6, "{p:?}");
    }
    assert!(rim > 12, "{rim}");
}
