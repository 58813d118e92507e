//! The same wrapper described another way has the same flat.

use crate::sections::{Pair, at, close, pair, repeatable, wrapper};
use develop::{BendRule, Loft, LoftFrame};
use geom::math::sin_cos;
use geom::{Arc, Chain, FlatPoint, Point2, Segment, Vector2};
use proptest::prelude::*;

/// Flat points all over a wrapper, by share of its rulings.
fn sample(loft: &Loft, place: impl Fn(f64, f64) -> (f64, f64)) -> Vec<FlatPoint> {
    (0..=20)
        .flat_map(|i| [0.0, 0.3, 1.0].map(|v| (f64::from(i) / 20.0, v)))
        .map(|(share, v)| {
            let (share, v) = place(share, v);
            loft.flat(at(share * loft.w_end(), v))
        })
        .collect()
}

fn same(
    got: &[FlatPoint],
    want: &[FlatPoint],
    map: impl Fn(FlatPoint) -> FlatPoint,
    loose: f64,
    what: &str,
) {
    for (got, want) in got.iter().zip(want) {
        close((got - map(*want)).norm(), 0.0, loose, what);
    }
}

fn each_segment(chain: &Chain, map: impl Fn(&Segment) -> Segment) -> Chain {
    Chain::from_segments(chain.segments().iter().map(map))
}

fn scaled(chain: &Chain, scale: f64) -> Chain {
    each_segment(chain, |segment| match segment {
        Segment::Line { start, end } => Segment::line(start * scale, end * scale),
        Segment::Arc(arc) => Segment::Arc(Arc {
            centre: arc.centre * scale,
            radius: arc.radius * scale,
            ..*arc
        }),
    })
}

fn rotated(chain: &Chain, angle: f64) -> Chain {
    let (s, c) = sin_cos(angle);
    let turn = |p: &Point2| Point2::new(c * p.x - s * p.y, s * p.x + c * p.y);
    each_segment(chain, |segment| match segment {
        Segment::Line { start, end } => Segment::line(turn(start), turn(end)),
        Segment::Arc(arc) => Segment::Arc(Arc {
            centre: turn(&arc.centre),
            start_angle: arc.start_angle + angle,
            ..*arc
        }),
    })
}

fn loft_of(pair: &Pair, map: impl Fn(&Chain) -> Chain) -> Loft {
    wrapper(&map(&pair.front), &map(&pair.rear), pair.length)
}

const MIRROR: fn(FlatPoint) -> FlatPoint = |p| FlatPoint::new(p.x, -p.y);

proptest! {
    #![proptest_config(repeatable(100))]

    /// Travelled from the other end the outside changes sides, and the flat is seen from behind.
    #[test]
    fn travelled_backwards_the_flat_is_mirrored(pair in pair()) {
        let own = sample(&pair.loft(), |share, v| (share, v));
        let backwards = loft_of(&pair, Chain::reversed);
        same(&sample(&backwards, |share, v| (1.0 - share, v)), &own, MIRROR, 1e-8, "reversed");
    }

    /// A right-hand plate from a left-hand one: mirrored, and travelled so that the outside stays outside.
    /// Mirrored alone, it is the same flat bent the other way.
    #[test]
    fn the_other_hand_has_the_mirrored_flat(pair in pair()) {
        let own = sample(&pair.loft(), |share, v| (share, v));
        let other = loft_of(&pair, |chain| chain.mirrored_in_y_axis().reversed());
        same(&sample(&other, |share, v| (1.0 - share, v)), &own, MIRROR, 1e-8, "mirrored and reversed");
        let mirrored = loft_of(&pair, Chain::mirrored_in_y_axis);
        same(&sample(&mirrored, |share, v| (share, v)), &own, |p| p, 1e-8, "mirrored");
    }

    #[test]
    fn turned_or_moved_in_the_section_plane_the_flat_is_the_same(pair in pair(), angle in -3.0..3.0f64) {
        let own = sample(&pair.loft(), |share, v| (share, v));
        let turned = loft_of(&pair, |chain| rotated(chain, angle));
        same(&sample(&turned, |share, v| (share, v)), &own, |p| p, 1e-8, "turned");
        let moved = loft_of(&pair, |chain| chain.translated(Vector2::new(-70.0, 130.0)));
        same(&sample(&moved, |share, v| (share, v)), &own, |p| p, 1e-8, "moved");
        let upright = Loft::between(LoftFrame::upright(12.0), &pair.front, &pair.rear, pair.length, 1e-9, BendRule::Din6935);
        same(&sample(&upright.unwrap(), |share, v| (share, v)), &own, |p| p, 0.0, "set upright");
    }

    #[test]
    fn ten_times_the_size_has_ten_times_the_flat(pair in pair(), power in -2..4i32) {
        let scale = 10f64.powi(power);
        let own = sample(&pair.loft(), |share, v| (share, v));
        let larger = wrapper(&scaled(&pair.front, scale), &scaled(&pair.rear, scale), pair.length * scale);
        // A piece below the point tolerance at one scale is above it at another: patches may differ.
        prop_assume!(larger.patches().len() == pair.loft().patches().len());
        let got: Vec<_> = sample(&larger, |share, v| (share, v)).into_iter().map(|p| p / scale).collect();
        same(&got, &own, |p| p, 1e-7, "scaled");
    }

    /// Front for rear: the flat is turned end for end along the datum.
    #[test]
    fn front_for_rear_turns_the_flat_end_for_end(pair in pair()) {
        let loft = pair.loft();
        let swapped = wrapper(&pair.rear, &pair.front, pair.length);
        prop_assume!(swapped.patches().len() == loft.patches().len());
        let long = loft.ruling(loft.datum()).length;
        let got = sample(&swapped, |share, v| (share, 1.0 - v));
        same(&got, &sample(&loft, |share, v| (share, v)), |p| FlatPoint::new(long - p.x, p.y), 1e-8, "swapped");
    }
}
