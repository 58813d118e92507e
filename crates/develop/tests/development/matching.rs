//! Which sections fit, how turns that one lacks are joined, and what is refused where.

use crate::sections::{at, close, wrapper};
use develop::{BendRule, DevelopError, Loft, LoftFrame, SectionEnd};
use geom::math::FRAC_PI_2;
use geom::{Chain, ChainBuilder, Point2};

fn start(x: f64, y: f64) -> ChainBuilder {
    Chain::starting(Point2::new(x, y), 0.0)
}

fn between(front: &Chain, rear: &Chain) -> Result<Loft, DevelopError> {
    Loft::between(
        LoftFrame::along_engine(0.0),
        front,
        rear,
        60.0,
        1e-9,
        BendRule::Din6935,
    )
}

/// A crease would show as a jump of the normal at a border between patches.
fn assert_smooth(loft: &Loft) {
    for k in 1..loft.patches().len() {
        let (before, after) = (
            loft.formed_axes(k as f64 * (1.0 - 1e-15))[2],
            loft.formed_axes(k as f64)[2],
        );
        assert!((before - after).norm() < 1e-6, "crease at border {k}");
    }
}

/// The apex of a turn that the rear lacks: where all its rulings meet the rear section.
fn apexes(loft: &Loft) -> Vec<Point2> {
    loft.patches()
        .iter()
        .enumerate()
        .filter(|(_, patch)| patch.radii().is_some_and(|(_, rear)| rear == 0.0))
        .map(|(i, _)| loft.section_point(at(i as f64 + 0.5, 1.0)))
        .collect()
}

#[test]
fn an_s_bend_against_a_straight_meets_it_at_equal_fraction() {
    // 10 before the S and 30 after it: the apexes stand at a quarter of the rear straight.
    let front = start(0.0, 0.0)
        .line(10.0)
        .arc(5.0, 0.6)
        .arc(7.0, -0.6)
        .line(30.0)
        .finish();
    let rear = start(0.0, 2.0).line(40.0).finish();
    let loft = between(&front, &rear).unwrap();
    assert_smooth(&loft);
    let found = apexes(&loft);
    assert_eq!(found.len(), 2);
    for apex in found {
        close(apex.x, 10.0, 1e-9, "apex along the straight");
        close(apex.y, 2.0, 1e-9, "apex height");
    }
    // The same the other way about.
    let swapped = between(&rear, &front).unwrap();
    assert_smooth(&swapped);
    assert_eq!(swapped.patches().len(), loft.patches().len());
}

#[test]
fn a_longer_s_bend_turns_on_at_the_others_inflection() {
    let front = start(0.0, 0.0)
        .arc(24.0, -0.74)
        .arc(18.0, 0.74)
        .line(7.0)
        .finish();
    let rear = start(0.0, 1.0)
        .arc(24.0, -0.54)
        .arc(18.0, 0.54)
        .line(14.0)
        .finish();
    let loft = between(&front, &rear).unwrap();
    assert_smooth(&loft);
    let inflection = rear.segments()[0].end();
    let found = apexes(&loft);
    assert_eq!(
        found.len(),
        2,
        "both turns of the front past the rear's heading"
    );
    for apex in found {
        close(
            (apex - inflection).norm(),
            0.0,
            1e-9,
            "apex at the inflection",
        );
    }
}

/// Where the rear has a straight at its inflection, the front passes that heading twice: the straight
/// is split in the middle, and neither half creases the sheet.
#[test]
fn a_straight_at_the_inflection_is_met_twice() {
    let front = start(0.0, 0.0)
        .arc(24.0, -0.74)
        .line(3.0)
        .arc(18.0, 0.74)
        .line(7.0)
        .finish();
    let rear = start(0.0, 1.0)
        .arc(24.0, -0.54)
        .line(8.0)
        .arc(18.0, 0.54)
        .line(14.0)
        .finish();
    for (a, b) in [(&front, &rear), (&rear, &front)] {
        let loft = between(a, b).unwrap();
        assert_smooth(&loft);
    }
    let straight = rear.segments()[1];
    for apex in apexes(&between(&front, &rear).unwrap()) {
        close(
            (apex - straight.point_at(0.5)).norm(),
            0.0,
            1e-9,
            "apex in the middle of the straight",
        );
    }
}

/// A section that turns further at its end goes on about the other's last point.
#[test]
fn a_last_turn_may_go_on_alone() {
    let front = start(0.0, 0.0).line(5.0).arc(6.0, -1.5).line(4.0).finish();
    let rear = start(0.0, 0.0).line(5.0).arc(6.0, -1.1).line(9.0).finish();
    for (a, b) in [(&front, &rear), (&rear, &front)] {
        assert_smooth(&between(a, b).unwrap());
    }
    let found = apexes(&between(&front, &rear).unwrap());
    assert_eq!(found.len(), 1);
    close(
        (found[0] - rear.end()).norm(),
        0.0,
        1e-9,
        "apex at the end of the rear section",
    );
}

#[test]
fn a_first_turn_may_begin_alone() {
    let front = Chain::starting(Point2::origin(), 0.3)
        .line(4.0)
        .arc(6.0, -1.3)
        .line(4.0)
        .finish();
    let rear = Chain::starting(Point2::origin(), 0.0)
        .line(9.0)
        .arc(6.0, -1.0)
        .line(9.0)
        .finish();
    for (a, b) in [(&front, &rear), (&rear, &front)] {
        assert_smooth(&between(a, b).unwrap());
    }
}

/// A straight inside a turn, at a heading that the other section passes in an arc: a triangle to it.
#[test]
fn a_side_against_a_rounded_side_is_a_triangle() {
    let front = start(0.0, 0.0)
        .arc(6.0, -0.9)
        .line(20.0)
        .arc(6.0, -0.7)
        .finish();
    let rear = start(0.0, 0.0).arc(12.0, -1.6).finish();
    let loft = between(&front, &rear).unwrap();
    assert_smooth(&loft);
    assert_eq!(
        loft.patches()
            .iter()
            .filter(|patch| !patch.is_bent())
            .count(),
        1
    );
    assert_eq!(loft.patches().len(), 3);
}

/// Equal arcs cut at unlike places join as if they were cut at both.
#[test]
fn cuts_in_an_arc_change_nothing() {
    let plain = start(0.0, 0.0).line(3.0).arc(9.0, -1.2).line(4.0).finish();
    let cut = start(0.0, 0.0)
        .line(1.0)
        .line(2.0)
        .arc(9.0, -0.5)
        .arc(9.0, -0.7)
        .line(4.0)
        .finish();
    let rear = start(0.0, 2.0).line(4.0).arc(5.0, -1.2).line(6.0).finish();
    let (a, b) = (wrapper(&plain, &rear, 50.0), wrapper(&cut, &rear, 50.0));
    for v in [0.0, 1.0] {
        let gap = (a.flat(at(a.w_end(), v)) - b.flat(at(b.w_end(), v))).norm();
        close(gap, 0.0, 1e-10, "corner of the flat");
    }
}

struct Refused {
    what: &'static str,
    front: Chain,
    rear: Chain,
    end: SectionEnd,
    turn_deg: f64,
    along: f64,
}

#[test]
fn sections_that_turn_unlike_are_refused_where_they_do() {
    let left = |before: f64, turn: f64| {
        start(0.0, 0.0)
            .line(before)
            .arc(8.0, turn)
            .line(5.0)
            .finish()
    };
    let cases = [
        Refused {
            what: "left turn against right turn",
            front: left(12.0, FRAC_PI_2),
            rear: left(9.0, -FRAC_PI_2 + 0.01),
            end: SectionEnd::Rear,
            turn_deg: -(90.0 - 0.01f64.to_degrees()),
            along: 9.0,
        },
        Refused {
            what: "right turn against left turn",
            front: left(12.0, -0.8),
            rear: left(9.0, 0.8 - 0.01),
            end: SectionEnd::Rear,
            turn_deg: (0.8f64 - 0.01).to_degrees(),
            along: 9.0,
        },
        Refused {
            what: "runs that face apart",
            front: Chain::starting(Point2::origin(), 0.0)
                .line(2.0)
                .arc(5.0, 0.5)
                .finish(),
            rear: Chain::starting(Point2::origin(), 1.0)
                .line(3.0)
                .arc(5.0, 0.4)
                .finish(),
            end: SectionEnd::Front,
            turn_deg: 0.5f64.to_degrees(),
            along: 2.0,
        },
        Refused {
            what: "two straights that are not parallel",
            front: Chain::starting(Point2::origin(), 0.0).line(20.0).finish(),
            rear: Chain::starting(Point2::new(0.0, 5.0), 0.2)
                .line(20.0)
                .finish(),
            end: SectionEnd::Rear,
            turn_deg: 0.2f64.to_degrees(),
            along: 0.0,
        },
    ];
    for case in cases {
        let Err(DevelopError::SectionsTurnUnlike {
            end,
            found_deg,
            at,
            along_mm,
        }) = between(&case.front, &case.rear)
        else {
            panic!("{} must be refused", case.what);
        };
        assert_eq!(end, case.end, "{}", case.what);
        close(found_deg, case.turn_deg, 1e-9, case.what);
        close(along_mm, case.along, 1e-9, case.what);
        let section = if end == SectionEnd::Front {
            &case.front
        } else {
            &case.rear
        };
        close(
            (at - section.point_at(along_mm)).norm(),
            0.0,
            1e-9,
            case.what,
        );
    }
}

/// A heading beyond ±180° is the same heading: the two sections may start on either side of it.
#[test]
fn headings_on_either_side_of_half_a_turn_are_compared() {
    let heading = geom::math::PI;
    let front = Chain::starting(Point2::origin(), heading - 1e-3)
        .arc(9.0, -1.0)
        .finish();
    let rear = Chain::starting(Point2::origin(), heading + 1e-3)
        .arc(9.0, -1.002)
        .finish();
    assert_smooth(&between(&front, &rear).unwrap());
}

#[test]
fn a_corner_is_refused_where_it_is() {
    let smooth = start(0.0, 0.0).line(9.0).finish();
    let bent = Chain::starting(Point2::origin(), 0.0)
        .line(4.0)
        .corner(0.3)
        .line(5.0)
        .finish();
    for (front, rear, wanted) in [
        (&smooth, &bent, SectionEnd::Rear),
        (&bent, &smooth, SectionEnd::Front),
    ] {
        let Err(DevelopError::Corner {
            end,
            corner_deg,
            at,
        }) = between(front, rear)
        else {
            panic!("a corner must be refused");
        };
        assert_eq!(end, wanted);
        close(corner_deg, 0.3f64.to_degrees(), 1e-9, "corner");
        close((at - Point2::new(4.0, 0.0)).norm(), 0.0, 1e-12, "where");
    }
}

#[test]
fn what_is_no_section_is_refused() {
    let line = start(0.0, 0.0).line(9.0).finish();
    let none = Chain::default();
    assert_eq!(
        between(&none, &line).err(),
        Some(DevelopError::EmptySection {
            end: SectionEnd::Front
        })
    );
    assert_eq!(
        between(&line, &none).err(),
        Some(DevelopError::EmptySection {
            end: SectionEnd::Rear
        })
    );
    for (length, thickness) in [
        (0.0, 0.3),
        (-5.0, 0.3),
        (f64::NAN, 0.3),
        (60.0, 0.0),
        (60.0, f64::INFINITY),
    ] {
        let made = Loft::between(
            LoftFrame::upright(0.0),
            &line,
            &line,
            length,
            thickness,
            BendRule::Din6935,
        );
        assert!(
            matches!(made, Err(DevelopError::OutOfRange { .. })),
            "{length}, {thickness}"
        );
    }
}

/// An S that only the front has, before it, and one that only the rear has: each is split by the straights
/// that the other was drawn with, so that front for rear gives the same wrapper turned end for end.
#[test]
fn each_section_may_lack_a_turn_of_the_other() {
    let front = start(0.0, 0.0)
        .line(10.0)
        .arc(5.0, 0.6)
        .arc(5.0, -0.6)
        .line(30.0)
        .arc(6.0, -1.2)
        .line(40.0)
        .finish();
    let rear = start(0.0, 2.0)
        .line(40.0)
        .arc(6.0, -1.2)
        .line(8.0)
        .arc(4.0, 0.5)
        .arc(4.0, -0.5)
        .line(24.0)
        .finish();
    let loft = between(&front, &rear).unwrap();
    assert_smooth(&loft);
    for apex in apexes(&loft) {
        close(
            apex.x,
            10.0,
            1e-9,
            "front's S at a quarter of the rear's straight",
        );
    }
    // Travelled from the other end, the straights that count stand before the S and not after it.
    let backwards = between(&front.reversed(), &rear.reversed()).unwrap();
    assert_smooth(&backwards);
    let found = apexes(&backwards);
    assert_eq!(found.len(), 2);
    for apex in found {
        close(apex.x, 10.0, 1e-9, "the same apex travelled backwards");
    }
    let swapped = between(&rear, &front).unwrap();
    assert_smooth(&swapped);
    let straight = front.segments()[5];
    let found = apexes(&swapped);
    assert_eq!(found.len(), 2);
    for apex in found {
        let gap = (apex - straight.point_at(0.25)).norm();
        close(
            gap,
            0.0,
            1e-9,
            "rear's S at a quarter of the front's straight",
        );
    }
}
