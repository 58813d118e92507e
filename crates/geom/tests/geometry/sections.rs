//! Sections of the trade: tangency, second methods, limits and refusals.

use crate::strategies::{close, same_point};
use geom::math::{FRAC_PI_2, PI, TAU, cos, sin};
use geom::sections::{
    Belpaire, FootplateDrop, FootplateProfile, RoundTop, RoundTopWaist, SaddleTank, SaddleTop,
    drum, leaning_waist, roof_arcs, saddle, single_arc_roof, uk_gallons,
};
use geom::tangency::{crown_and_corner, reverse_curve};
use geom::{Chain, GeomError, Outline, Point2};

/// Every section starts over the centre line and keeps its tangent.
#[track_caller]
fn assert_section(left: &Chain, top: f64, foot: Point2) {
    assert!(left.is_tangent(), "{left:?}");
    same_point(left.start(), Point2::new(0.0, top), 1e-9, "top centre");
    same_point(left.end(), foot, 1e-9, "foot");
    let whole = left.with_mirror_image();
    assert!(whole.is_tangent());
    close(whole.length(), 2.0 * left.length(), 1e-9, "whole length");
    close(whole.turn(), 2.0 * left.turn(), 1e-9, "whole turn");
}

/// Area by counting the middle of small squares: a second method for outlines.
fn counted_area(outline: &Outline, step: f64) -> f64 {
    let (low, high) = outline.bounds();
    let across = ((high.x - low.x) / step).ceil() as usize;
    let up = ((high.y - low.y) / step).ceil() as usize;
    let mut inside = 0usize;
    for i in 0..across {
        for j in 0..up {
            let p = Point2::new(
                low.x + (i as f64 + 0.5) * step,
                low.y + (j as f64 + 0.5) * step,
            );
            inside += usize::from(outline.contains(p));
        }
    }
    inside as f64 * step * step
}

/// A section's area by counting squares, and by the polygon of many short chords.
#[track_caller]
fn assert_area(outline: &Outline) {
    let step = 0.0437;
    let area = outline.area();
    // Every square that the boundary passes may count wrongly, by half of itself on the average.
    close(
        area,
        counted_area(outline, step),
        outline.perimeter() * step / 2.0,
        "area by counting",
    );
    let points = outline.flattened(1e-7);
    let shoelace: f64 = (0..points.len())
        .map(|i| (points[i], points[(i + 1) % points.len()]))
        .map(|(a, b)| (a.x * b.y - b.x * a.y) / 2.0)
        .sum();
    close(area, shoelace, 1e-7 * outline.perimeter(), "area by chords");
}

#[test]
fn a_three_arc_roof_is_a_crown_with_corners() {
    for (crown, corner, half_width) in [(84.0, 24.0, 50.5), (90.0, 21.0, 47.0), (66.0, 18.0, 46.0)]
    {
        let roof = roof_arcs(&[crown, corner], &[], half_width, FRAC_PI_2).unwrap();
        let joint = crown_and_corner(crown, corner, half_width).unwrap();
        close(roof.angles[0], joint.crown_half_angle, 1e-12, "centre arc");
        close(roof.angles[1], joint.corner_angle, 1e-12, "corner arc");
        close(roof.drop, joint.corner_drop, 1e-10, "eaves");
        assert_section(
            &roof.left_half(146.0),
            146.0,
            Point2::new(half_width, 146.0 - joint.corner_drop),
        );
    }
}

/// Five arcs, eaves that slope: held against a sum of small steps along the roof.
#[test]
fn a_five_arc_roof_by_small_steps() {
    let radii = [96.0, 48.0, 18.0];
    let end = 75f64.to_radians();
    let roof = roof_arcs(&radii, &[30.0], 50.0, end).unwrap();
    close(roof.end_angle(), end, 1e-12, "slope at the eaves");
    let (mut slope, mut x, mut z) = (0.0, 0.0, 0.0);
    for (radius, angle) in radii.iter().zip(&roof.angles) {
        let steps = 4000;
        for _ in 0..steps {
            let half = angle / f64::from(steps) / 2.0;
            let chord = 2.0 * radius * sin(half);
            x += chord * cos(slope + half);
            z += chord * sin(slope + half);
            slope += 2.0 * half;
        }
    }
    close(x, 50.0, 1e-9, "half width");
    close(z, roof.drop, 1e-9, "eaves");
    close(
        radii[0] * sin(roof.angles[0]),
        30.0,
        1e-12,
        "end of the centre arc",
    );
    assert_section(&roof.left_half(0.0), 0.0, Point2::new(50.0, -roof.drop));
    // An intermediate arc of the corner's radius leaves three arcs.
    let plain = roof_arcs(&[96.0, 18.0], &[], 50.0, end).unwrap();
    let meets = 96.0 * sin(plain.angles[0]);
    let same = roof_arcs(&[96.0, 96.0, 18.0], &[meets / 2.0], 50.0, end).unwrap();
    close(
        same.half_length(),
        plain.half_length(),
        1e-9,
        "split centre arc",
    );
    close(same.drop, plain.drop, 1e-9, "split centre arc's eaves");
}

#[test]
fn roofs_of_one_arc_and_flat_roofs() {
    // 6-8-10: out 6 on a radius of 10 the eaves are 2 down.
    let roof = single_arc_roof(10.0, 6.0).unwrap();
    close(roof.drop, 2.0, 1e-12, "eaves");
    assert_section(&roof.left_half(9.0), 9.0, Point2::new(6.0, 7.0));
    // Flat to 4, then a quarter of 2.
    let flat = roof_arcs(&[f64::INFINITY, 2.0], &[], 6.0, FRAC_PI_2).unwrap();
    close(flat.half_length(), 4.0 + PI, 1e-12, "length");
    close(flat.drop, 2.0, 1e-12, "eaves");
    assert_section(&flat.left_half(0.0), 0.0, Point2::new(6.0, -2.0));
    // The flat is the limit of a large centre radius.
    let nearly = roof_arcs(&[1e9, 2.0], &[], 6.0, FRAC_PI_2).unwrap();
    close(nearly.half_length(), flat.half_length(), 1e-7, "limit");
}

#[test]
fn roofs_that_cannot_be() {
    let nan = f64::NAN;
    for half_width in [20.0, 84.5, -1.0, nan] {
        let refused = roof_arcs(&[84.0, 24.0], &[], half_width, FRAC_PI_2);
        assert!(
            matches!(refused, Err(GeomError::NoTangency { .. })),
            "{refused:?}"
        );
    }
    assert!(matches!(
        roof_arcs(&[84.0], &[], 50.0, FRAC_PI_2),
        Err(GeomError::WrongCount { wanted: 2, .. })
    ));
    assert!(matches!(
        roof_arcs(&[84.0, 40.0, 20.0], &[], 50.0, FRAC_PI_2),
        Err(GeomError::WrongCount { wanted: 1, .. })
    ));
    for angle in [-0.1, 1.6, nan] {
        let refused = roof_arcs(&[84.0, 24.0], &[], 50.0, angle);
        assert!(
            matches!(refused, Err(GeomError::NoAngle { .. })),
            "{refused:?}"
        );
    }
    for joint in [-1.0, 84.5, nan] {
        assert!(roof_arcs(&[84.0, 40.0, 20.0], &[joint], 50.0, FRAC_PI_2).is_err());
    }
    for radius in [0.0, -3.0, nan, f64::INFINITY] {
        assert!(roof_arcs(&[84.0, radius], &[], 50.0, FRAC_PI_2).is_err());
    }
    assert!(single_arc_roof(5.0, 6.0).is_err() && single_arc_roof(nan, 1.0).is_err());
}

fn tank() -> SaddleTank {
    SaddleTank {
        top: 114.0,
        top_radius: 40.0,
        shoulder_radius: 12.0,
        half_width: 33.0,
        bottom: 66.0,
        bottom_radius: 4.0,
        boiler_centre: 76.0,
        opening_radius: 22.5,
    }
}

#[test]
fn a_saddle_tank_closes_over_the_boiler() {
    let section = tank().section().unwrap();
    let opening = (22.5f64 * 22.5 - 100.0).sqrt();
    assert_section(&section.left_half(), 114.0, Point2::new(opening, 66.0));
    close(section.left_half().turn(), -PI, 1e-12, "turn to the lip");
    let to_side = section.left_to_bottom_of_side();
    assert_section(&to_side, 114.0, Point2::new(33.0, 70.0));
    close(to_side.turn(), -FRAC_PI_2, 1e-12, "turn to the side");
    let outline = section.outline().unwrap();
    assert_area(&outline);
    close(
        section.area().unwrap(),
        outline.area(),
        0.0,
        "area of the section",
    );
    // A lower boiler: the opening's centre stands under the bottom.
    let low = SaddleTank {
        boiler_centre: 60.0,
        ..tank()
    };
    let low = low.section().unwrap().outline().unwrap();
    assert_area(&low);
}

#[test]
fn saddle_tanks_that_cannot_be() {
    for wrong in [
        SaddleTank {
            shoulder_radius: 34.0,
            ..tank()
        },
        SaddleTank {
            top_radius: 30.0,
            ..tank()
        },
        SaddleTank {
            bottom_radius: 0.0,
            ..tank()
        },
        SaddleTank {
            bottom: 90.0,
            ..tank()
        },
        SaddleTank {
            opening_radius: 9.0,
            ..tank()
        },
        SaddleTank {
            opening_radius: 35.0,
            ..tank()
        },
        SaddleTank {
            opening_radius: f64::NAN,
            ..tank()
        },
        SaddleTank {
            boiler_centre: 100.0,
            ..tank()
        },
    ] {
        let refused = wrong.section();
        assert!(
            matches!(refused, Err(GeomError::NoTangency { .. })),
            "{wrong:?} {refused:?}"
        );
    }
    // A gallon is 10 lb of water, and a cubic foot holds 6.2288 of them.
    close(
        uk_gallons(144.0, 12.0),
        6.228_835,
        5e-6,
        "gallons of a cubic foot",
    );
}

fn belpaire() -> Belpaire {
    Belpaire {
        top: 138.0,
        crown_radius: 240.0,
        shoulder_radius: 8.0,
        lean: 0.0,
        half_width: 35.0,
        waist_from: 92.0,
        convex_radius: 24.0,
        concave_radius: 18.0,
        bottom_half_width: 24.0,
        foot: 56.0,
    }
}

#[test]
fn belpaire_sides_lean_either_way() {
    for crown_radius in [60.0, 144.0, 240.0, 1e5, f64::INFINITY] {
        for lean_deg in [-6.0, -2.0, 0.0, 1e-7, 3.0, 10.0] {
            let lean = f64::to_radians(lean_deg);
            let section = Belpaire {
                crown_radius,
                lean,
                ..belpaire()
            };
            let left = section.left_half().unwrap();
            assert_section(&left, 138.0, Point2::new(24.0, 56.0));
            close(left.turn(), -FRAC_PI_2, 1e-12, "turn");
            // The side passes through the place that it was given by, at its lean.
            let (along, distance) = left.nearest(Point2::new(35.0, 92.0));
            close(distance, 0.0, 1e-9, "side ends at the waist");
            close(
                left.tangent_angle_at(along - 1.0),
                lean - FRAC_PI_2,
                1e-9,
                "lean of the side",
            );
        }
    }
    // Upright it is the crown and corner of before, and a reverse curve.
    let joint = crown_and_corner(240.0, 8.0, 35.0).unwrap();
    let waist = reverse_curve(11.0, 24.0, 18.0).unwrap();
    let plain = Chain::starting(Point2::new(0.0, 138.0), 0.0)
        .arc(240.0, -joint.crown_half_angle)
        .arc(8.0, -joint.corner_angle)
        .line(138.0 - joint.corner_drop - 92.0)
        .arc(24.0, -waist.angle)
        .arc(18.0, waist.angle)
        .line(92.0 - waist.run - 56.0)
        .finish();
    let ours = belpaire().left_half().unwrap();
    close(
        ours.length(),
        plain.length(),
        1e-10,
        "length of the upright box",
    );
}

#[test]
fn a_flat_crown_is_a_straight() {
    let flat = Belpaire {
        crown_radius: f64::INFINITY,
        ..belpaire()
    };
    let left = flat.left_half().unwrap();
    close(left.segments()[0].length(), 27.0, 1e-12, "half the flat");
    close(
        left.segments()[1].length(),
        4.0 * PI,
        1e-12,
        "quarter of the shoulder",
    );
    let nearly = Belpaire {
        crown_radius: 1e9,
        ..belpaire()
    };
    close(
        nearly.left_half().unwrap().length(),
        left.length(),
        1e-6,
        "limit of large radii",
    );
}

#[test]
fn a_box_that_spreads_bends_outwards_first() {
    let spreading = Belpaire {
        bottom_half_width: 40.0,
        lean: 0.02,
        ..belpaire()
    };
    let left = spreading.left_half().unwrap();
    assert_section(&left, 138.0, Point2::new(40.0, 56.0));
    // A side that already runs out needs less of the first arc.
    let waist = leaning_waist(5.0, -0.02, 24.0, 18.0).unwrap();
    close(
        waist.concave_angle - waist.convex_angle,
        0.02,
        1e-15,
        "angles differ by the lean",
    );
}

#[test]
fn fireboxes_that_cannot_be() {
    for wrong in [
        Belpaire {
            crown_radius: 30.0,
            ..belpaire()
        },
        Belpaire {
            shoulder_radius: 36.0,
            ..belpaire()
        },
        Belpaire {
            shoulder_radius: f64::NAN,
            ..belpaire()
        },
        Belpaire {
            waist_from: 131.0,
            ..belpaire()
        },
        Belpaire {
            foot: 80.0,
            ..belpaire()
        },
        Belpaire {
            convex_radius: 3.0,
            concave_radius: 4.0,
            ..belpaire()
        },
        Belpaire {
            bottom_half_width: 34.99,
            lean: -0.3,
            ..belpaire()
        },
        Belpaire {
            lean: 0.9,
            ..belpaire()
        },
        Belpaire {
            lean: f64::NAN,
            ..belpaire()
        },
    ] {
        assert!(wrong.left_half().is_err(), "{wrong:?}");
    }
}

#[test]
fn round_tops_with_both_waists() {
    let below = RoundTop {
        centre: 95.0,
        radius: 29.0,
        waist: RoundTopWaist::BelowSides {
            from: 86.0,
            convex_radius: 15.0,
            concave_radius: 15.0,
        },
        bottom_half_width: 24.0,
        foot: 54.0,
    };
    assert_section(&below.left_half().unwrap(), 124.0, Point2::new(24.0, 54.0));
    let from_circle = RoundTop {
        waist: RoundTopWaist::FromCircle {
            reverse_radius: 9.0,
        },
        ..below
    };
    let left = from_circle.left_half().unwrap();
    assert_section(&left, 124.0, Point2::new(24.0, 54.0));
    close(left.turn(), -FRAC_PI_2, 1e-12, "turn");
    let spreading = RoundTop {
        bottom_half_width: 33.0,
        ..below
    };
    assert_section(
        &spreading.left_half().unwrap(),
        124.0,
        Point2::new(33.0, 54.0),
    );
    for wrong in [
        RoundTop {
            foot: 80.0,
            ..below
        },
        RoundTop {
            foot: 80.0,
            ..from_circle
        },
        RoundTop {
            bottom_half_width: 30.0,
            ..from_circle
        },
        RoundTop {
            centre: 80.0,
            ..below
        },
        RoundTop {
            radius: 0.0,
            ..below
        },
        RoundTop {
            radius: f64::NAN,
            ..from_circle
        },
    ] {
        assert!(wrong.left_half().is_err(), "{wrong:?}");
    }
}

fn ogee(x: f64, fall: f64, radius: f64) -> FootplateDrop {
    FootplateDrop {
        x,
        fall,
        first_radius: radius,
        second_radius: radius,
        slope: None,
    }
}

#[test]
fn a_footplate_with_drops_both_ways() {
    // Up by an ogee, level, down by a ramp of 30°, level, and a quarter drop that hangs.
    let drops = [
        ogee(20.0, -5.0, 10.0),
        FootplateDrop {
            slope: Some(PI / 6.0),
            ..ogee(60.0, 12.0, 6.0)
        },
        FootplateDrop {
            x: 120.0,
            fall: 9.0,
            first_radius: 4.0,
            second_radius: 0.0,
            slope: None,
        },
    ];
    let profile = FootplateProfile::laid(0.0, 49.0, 200.0, &drops).unwrap();
    let chain = profile.chain();
    assert!(chain.is_tangent());
    same_point(
        chain.end(),
        Point2::new(124.0, 33.0),
        1e-9,
        "end of the hanging plate",
    );
    close(profile.height_at(50.0).unwrap(), 54.0, 1e-12, "upper level");
    close(
        profile.height_at(110.0).unwrap(),
        42.0,
        1e-12,
        "lower level",
    );
    close(profile.x_at(profile.length()), 124.0, 1e-12, "x of the end");
    assert!(profile.developed_at(-1.0).is_none() && profile.developed_at(124.1).is_none());
    let neutral = profile.offset(-0.25).unwrap();
    for profile in [&profile, &neutral] {
        let mut before = -1.0;
        for i in 0..=1000 {
            let x = 123.7 * f64::from(i) / 1000.0;
            let along = profile.developed_at(x).unwrap();
            assert!(along > before, "the developed length grows with x");
            before = along;
            close(profile.x_at(along), x, 1e-9, "there and back");
            let height = profile.height_at(x).unwrap();
            close(
                profile.chain().nearest(Point2::new(x, height)).1,
                0.0,
                1e-9,
                "on the profile",
            );
        }
        // The same by adding chords.
        let points = profile.chain().flattened(1e-7);
        let chords: f64 = points.windows(2).map(|p| (p[1] - p[0]).norm()).sum();
        close(chords, profile.length(), 1e-4, "length by chords");
    }
    // Equal bends both ways: the neutral length is the top's, but for the last quarter.
    close(
        neutral.length() - profile.length(),
        -0.25 * FRAC_PI_2,
        1e-9,
        "only the hanging quarter changes the length",
    );
}

#[test]
fn footplates_that_cannot_be() {
    let lay = |drops: &[FootplateDrop]| FootplateProfile::laid(0.0, 49.0, 100.0, drops);
    let hanging = FootplateDrop {
        second_radius: 0.0,
        ..ogee(20.0, 12.0, 4.0)
    };
    for wrong in [
        vec![ogee(-1.0, 5.0, 10.0)],
        vec![ogee(95.0, 5.0, 10.0)],
        vec![ogee(20.0, 5.0, 10.0), ogee(25.0, 5.0, 10.0)],
        vec![ogee(20.0, 5.0, -1.0)],
        vec![ogee(f64::NAN, 5.0, 10.0)],
        vec![FootplateDrop {
            slope: Some(1.2),
            ..ogee(20.0, 5.0, 10.0)
        }],
        vec![FootplateDrop {
            slope: Some(2.0),
            ..ogee(20.0, 5.0, 10.0)
        }],
        vec![hanging, ogee(60.0, 5.0, 10.0)],
    ] {
        assert!(lay(&wrong).is_err(), "{wrong:?}");
    }
    assert!(FootplateProfile::laid(5.0, 0.0, 5.0, &[]).is_err());
}

#[test]
fn saddles_and_drums() {
    let round = drum(Point2::new(0.0, 100.0), 28.5).unwrap();
    close(round.length(), TAU * 28.5, 1e-9, "round the drum");
    close(round.turn(), -TAU, 1e-12, "outside on the left");
    assert!(drum(Point2::origin(), 0.0).is_err() && drum(Point2::origin(), f64::NAN).is_err());
    for (top, radius, half_width) in [
        (SaddleTop::Tangent, 12.0, 20.0),
        (SaddleTop::HalfWidth(24.0), 12.0, 20.0),
        (SaddleTop::HalfWidth(20.0), 12.0, 20.0),
        (SaddleTop::HalfWidth(18.0), 12.0, 25.5),
    ] {
        let made = saddle(28.5, 100.0, 0.1, top, radius, (half_width, 56.0)).unwrap();
        same_point(
            made.side.end(),
            Point2::new(half_width, 56.0),
            1e-9,
            "foot of the side",
        );
        assert!(made.side.is_tangent());
        let horn = made.side.start();
        close(
            (horn - Point2::new(0.0, 100.0)).norm(),
            28.6,
            1e-9,
            "horn on the bed",
        );
        assert_area(&made.outline);
        if top == SaddleTop::Tangent {
            let along = made.bed.tangent_angle_at(made.bed.length());
            close(
                made.side.tangent_angle_at(0.0),
                along - PI,
                1e-9,
                "side leaves along the drum",
            );
        }
    }
    for (top, radius, half_width, base) in [
        (SaddleTop::Tangent, 12.0, 29.0, 56.0),
        (SaddleTop::Tangent, 12.0, 20.0, 90.0),
        (SaddleTop::Tangent, f64::NAN, 20.0, 56.0),
        (SaddleTop::HalfWidth(28.7), 12.0, 20.0, 56.0),
        (SaddleTop::HalfWidth(24.0), 3.0, 20.0, 56.0),
        (SaddleTop::HalfWidth(24.0), 12.0, 20.0, 86.0),
    ] {
        assert!(
            saddle(28.5, 100.0, 0.1, top, radius, (half_width, base)).is_err(),
            "{top:?} {radius} {half_width} {base}"
        );
    }
}
