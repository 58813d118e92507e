//! Cut metal: filled where it is thin, hatched where it is not.

use super::paper::{INK, WIDE};
use crate::page::Item;
use geom::{Outline, Point2, Segment};

/// Cut faces thinner than this on the paper are filled (mm), as ISO 128 has it (from memory); others are hatched.
const FILLED_BELOW: f64 = 1.6;

/// From one line of hatching to the next (mm).
const HATCH: f64 = 1.2;

/// The face of a cut solid, its loops on the paper.
pub(super) fn cut_face(loops: Vec<Outline>) -> Vec<Item> {
    let area: f64 = loops.iter().map(Outline::area).sum();
    let round: f64 = loops.iter().map(Outline::perimeter).sum();
    let thickness = 2.0 * area.abs() / round.max(1e-9);
    if thickness < FILLED_BELOW {
        return vec![Item::Filled {
            loops,
            colour: (60, 60, 60),
        }];
    }
    let lines = hatching(&loops);
    vec![
        Item::Runs {
            runs: lines,
            colour: INK,
            width: 0.1,
            dashes: &[],
        },
        Item::Drawn {
            loops,
            colour: INK,
            width: WIDE,
        },
    ]
}

/// Lines at 45° within loops, where they are inside an odd number of them.
fn hatching(loops: &[Outline]) -> Vec<Vec<Segment>> {
    // Along a line y − x is constant; the loops are of straight sides.
    let off = |p: Point2| p.y - p.x;
    let sides: Vec<(Point2, Point2)> = loops
        .iter()
        .flat_map(|own| own.segments())
        .map(|own| (own.start(), own.end()))
        .collect();
    let offs = sides.iter().map(|own| off(own.0));
    let low = offs.clone().fold(f64::INFINITY, f64::min);
    let high = offs.fold(f64::NEG_INFINITY, f64::max);
    let step = HATCH * std::f64::consts::SQRT_2;
    let mut lines = Vec::new();
    let mut at = (low / step).floor() * step + step / 2.0;
    while at < high {
        let mut crossings: Vec<f64> = sides
            .iter()
            .filter(|(a, b)| (off(*a) > at) != (off(*b) > at))
            .map(|(a, b)| {
                let share = (at - off(*a)) / (off(*b) - off(*a));
                a.x + (b.x - a.x) * share
            })
            .collect();
        crossings.sort_by(f64::total_cmp);
        for two in crossings.chunks_exact(2) {
            let point = |x: f64| Point2::new(x, x + at);
            lines.push(vec![Segment::line(point(two[0]), point(two[1]))]);
        }
        at += step;
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatching_covers_a_face_and_spares_its_opening() {
        let square = |low: f64, high: f64| {
            Outline::rectangle(Point2::new(low, low), Point2::new(high, high))
        };
        let lines = hatching(&[square(0.0, 40.0), square(10.0, 30.0)]);
        let length: f64 = lines.iter().flatten().map(Segment::length).sum();
        // Length of line times the distance between lines is the area, but for what is lost at corners.
        let area = length * HATCH;
        assert!((area - 1200.0).abs() < 12.0, "{area}");
        let inside = lines.iter().flatten().map(|own| own.point_at(0.5));
        for p in inside {
            assert!(
                !(p.x > 10.0 && p.x < 30.0 && p.y > 10.0 && p.y < 30.0),
                "{p}"
            );
        }
    }

    #[test]
    fn thin_metal_is_filled_and_thick_metal_hatched() {
        let bar = |wide: f64| {
            let corner = Point2::new(wide, 30.0);
            cut_face(vec![Outline::rectangle(Point2::origin(), corner)])
        };
        assert!(matches!(bar(0.5).as_slice(), [Item::Filled { .. }]));
        assert_eq!(bar(8.0).len(), 2);
    }
}
