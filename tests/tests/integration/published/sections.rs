//! Cross-sections of four invented engines, worked by hand beforehand from the tangency formulas (inches, to the places given).

use geom::math::FRAC_PI_2;
use geom::tangency::{circle_to_vertical, crown_and_corner, reverse_curve};
use platework_tests::close;

/// A smokebox of radius 27½ about 89, running by reverse arcs of 8 to a waist of 25½ either side, down to 50.
#[test]
fn a_waisted_smokebox() {
    let waist = circle_to_vertical(27.5, 8.0, 25.5).unwrap();
    close(
        89.0 - waist.drop,
        77.253,
        5.1e-4,
        "height of the reverse arc's centre",
    );
    close(waist.angle.to_degrees(), 19.324, 5.1e-4, "angle");
    let half = 27.5 * (FRAC_PI_2 + waist.angle) + 8.0 * waist.angle + (89.0 - waist.drop - 50.0);
    close(half, 82.423, 5.1e-4, "half perimeter");
}

/// Cab roofs of centre radius 84 and corner radius 24: half width, top, height of the eaves (to the nearest
/// eighth of an inch), developed width.
#[test]
fn three_arc_roofs() {
    for (half_width, top, eaves, developed) in
        [(50.5, 146.0, 115.875, 130.29), (49.0, 152.0, 122.5, 126.97)]
    {
        let joint = crown_and_corner(84.0, 24.0, half_width).unwrap();
        close(
            top - joint.corner_drop,
            eaves,
            0.0625,
            "height of the eaves",
        );
        let width = 2.0 * (84.0 * joint.crown_half_angle + 24.0 * joint.corner_angle);
        close(width, developed, 5.1e-3, "developed width");
    }
}

/// Crown, shoulder and side of two Belpaire fireboxes: arcs of 144 and 6 on 29½, of 240 and 8 on 35 and on 30.
#[test]
fn crown_and_shoulder_lengths() {
    for (crown, shoulder, half_width, lengths) in [
        (144.0, 6.0, 29.5, (24.642, 8.398)),
        (240.0, 8.0, 35.0, (27.994, 11.633)),
        (240.0, 8.0, 30.0, (22.793, 11.807)),
    ] {
        let joint = crown_and_corner(crown, shoulder, half_width).unwrap();
        // The crown's length is that of half of it, from the top to the shoulder.
        close(
            crown * joint.crown_half_angle,
            lengths.0,
            6e-4,
            "half crown",
        );
        close(shoulder * joint.corner_angle, lengths.1, 6e-4, "shoulder");
    }
}

/// Ogee drops of a footplate: drop, radii, angle, run and developed length.
#[test]
fn footplate_drops() {
    for (drop, radius, angle, run, developed) in [
        (5.0, 10.0, 41.41, 13.229, 14.455),
        (7.0, 12.0, 44.90, 16.941, 18.808),
    ] {
        let curve = reverse_curve(drop, radius, radius).unwrap();
        close(curve.angle.to_degrees(), angle, 5.1e-3, "angle");
        close(curve.run, run, 5.1e-4, "run");
        close(
            2.0 * radius * curve.angle,
            developed,
            5.1e-4,
            "developed length",
        );
    }
}

/// Waists of a Belpaire firebox from half width 35 and 30 to 24 by arcs of 24 and 18.
#[test]
fn belpaire_waists() {
    for (half_width, angle) in [(35.0, 42.43), (30.0, 31.00)] {
        let waist = reverse_curve(half_width - 24.0, 24.0, 18.0).unwrap();
        close(waist.angle.to_degrees(), angle, 5.1e-3, "angle");
    }
}
