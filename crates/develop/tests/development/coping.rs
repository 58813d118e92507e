//! Corners of flared copings.

use crate::sections::{at, close, near};
use develop::{BendRule, DevelopError, Trace, coping_corner, coping_stretch, mitre_run_out};
use geom::math::{FRAC_PI_2, TAU, cos, sin};
use geom::{BodyPoint, Chain, Point2};

const CORNER: Point2 = Point2::new(120.0, 20.0);

/// Each cone as a loft has the sector for its flat, stands on the next, and keeps off the true arc by the stated chord error.
#[test]
fn cones_stand_on_one_another() {
    let (plan, flare, phi) = (5.25, 7.0, 50f64.to_radians());
    for n in 1..=4 {
        let cones = coping_corner(plan, flare, phi, FRAC_PI_2, n).unwrap();
        assert_eq!(cones.len(), n);
        let mut below = 0.0;
        for cone in &cones {
            close(cone.foot, below, 1e-12, "foot on the cone below");
            below = cone.foot + cone.height;
            let loft = cone
                .loft((CORNER, FRAC_PI_2), 57.75, 0.3, BendRule::Din6935)
                .unwrap();
            let end = loft.w_end();
            for (v, radius, flat_radius) in [
                (0.0, cone.lower_radius, cone.inner_radius),
                (1.0, cone.upper_radius, cone.outer_radius),
            ] {
                let edge = Trace::Section {
                    v,
                    from: 0.0,
                    to: end,
                };
                close(
                    edge.flat_length(&loft).unwrap(),
                    radius * FRAC_PI_2,
                    1e-9,
                    "edge",
                );
                close(
                    flat_radius * cone.sector_angle,
                    radius * FRAC_PI_2,
                    1e-9,
                    "arc of the sector",
                );
            }
            close(loft.ruling(0.3 * end).length, cone.slant, 1e-9, "slant");
            // The outside faces away from the corner's centre, and the piece begins on the left.
            let place = loft.formed(at(0.0, 0.0));
            near(
                place.point,
                BodyPoint::new(CORNER.x, CORNER.y + cone.lower_radius, 57.75 + cone.foot),
                1e-9,
                "start of the piece",
            );
            assert!(place.normal.y > 0.0);
            // How far the chord is from the flare's arc, looked for along it.
            let arc_centre = plan + flare;
            let deepest = (0..=1000)
                .map(|i| {
                    let v = f64::from(i) / 1000.0;
                    let out = cone.lower_radius + (cone.upper_radius - cone.lower_radius) * v;
                    let up = cone.foot + cone.height * v;
                    flare - geom::math::hypot(out - arc_centre, up)
                })
                .fold(0.0, f64::max);
            close(deepest, cone.deviation, 1e-9, "deviation");
        }
        close(below, flare * sin(phi), 1e-12, "height of the coping");
        let edge = cones[n - 1].upper_radius / plan - 1.0;
        close(edge, coping_stretch(plan, flare, phi), 1e-12, "stretch");
    }
}

#[test]
fn corners_that_cannot_be() {
    for (plan, flare, phi, corner, n) in [
        (-1.0, 7.0, 0.8, 1.5, 1),
        (5.0, 0.0, 0.8, 1.5, 1),
        (5.0, 7.0, 0.0, 1.5, 1),
        (5.0, 7.0, 1.6, 1.5, 1),
        (5.0, 7.0, 0.8, 3.2, 1),
        (5.0, 7.0, 0.8, 1.5, 0),
        (f64::NAN, 7.0, 0.8, 1.5, 1),
    ] {
        assert!(matches!(
            coping_corner(plan, flare, phi, corner, n),
            Err(DevelopError::OutOfRange { .. })
        ));
    }
    // A sharp corner's lowest cone comes to a point: a sector it has, a loft it has not.
    let sharp = coping_corner(0.0, 7.0, 0.8, FRAC_PI_2, 2).unwrap();
    close(sharp[0].inner_radius, 0.0, 0.0, "point of the cone");
    assert!(
        sharp[0]
            .loft((CORNER, 0.0), 0.0, 0.3, BendRule::Din6935)
            .is_err()
    );
    assert!(
        sharp[1]
            .loft((CORNER, 0.0), 0.0, 0.3, BendRule::Din6935)
            .is_ok()
    );
}

fn flare(radius: f64, angle: f64, lip: f64) -> Chain {
    Chain::starting(Point2::origin(), FRAC_PI_2)
        .arc(radius, -angle)
        .line(lip)
        .finish()
}

#[test]
fn mitres_of_equal_and_unequal_flares() {
    let phi = 50f64.to_radians();
    // Equal: x(s) = r(1 − cos(s/r)).
    let end = mitre_run_out(&flare(7.0, phi, 0.0), &flare(7.0, phi, 0.0), 1e-3).unwrap();
    for segment in end.segments() {
        let p = segment.end();
        close(p.x, 7.0 * (1.0 - cos(p.y / 7.0)), 1e-9, "run-out");
        let q = segment.point_at(0.5);
        close(
            q.x,
            7.0 * (1.0 - cos(q.y / 7.0)),
            2e-3,
            "run-out between the points",
        );
    }
    // Unequal: both strips' ends are the same line in space, so as long on the one as on the other.
    let (side, back) = (flare(7.0, phi, 2.0), flare(5.0, 1.1, 5.0));
    let height = side.end().y;
    assert!(back.end().y > height);
    let back = {
        let full = back.length();
        let mut low = 0.0;
        let mut high = full;
        while high - low > 1e-13 {
            let middle = (low + high) / 2.0;
            if back.point_at(middle).y < height {
                low = middle
            } else {
                high = middle
            }
        }
        back.part(0.0, low)
    };
    let on_side = mitre_run_out(&side, &back, 1e-5).unwrap();
    let on_back = mitre_run_out(&back, &side, 1e-5).unwrap();
    close(
        on_side.length(),
        on_back.length(),
        1e-4,
        "length of the mitre",
    );
    close(
        on_side.end().x,
        back.end().x,
        1e-9,
        "edge of the side strip",
    );
    close(
        on_back.end().x,
        side.end().x,
        1e-9,
        "edge of the back strip",
    );
    let refused = [
        mitre_run_out(&side, &flare(5.0, 0.3, 0.0), 1e-3),
        mitre_run_out(&side, &back, 0.0),
        mitre_run_out(&Chain::default(), &back, 1e-3),
        mitre_run_out(
            &flare(5.0, TAU / 3.0, 0.0),
            &flare(5.0, TAU / 3.0, 0.0),
            1e-3,
        ),
    ];
    assert!(refused.iter().all(Result::is_err), "{refused:?}");
}
