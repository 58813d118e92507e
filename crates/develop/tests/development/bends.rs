//! Where the neutral line lies, and what a wrapper's flat takes from it.

use crate::sections::{close, wrapper};
use develop::{BendRule, Loft, LoftFrame, LoopMeasure, Trace};
use geom::math::{FRAC_PI_2, PI, TAU};
use geom::{Chain, Point2};

const RULES: [BendRule; 4] = [
    BendRule::Din6935,
    BendRule::HandbookSoft,
    BendRule::HandbookHalfHard,
    BendRule::HandbookHard,
];

/// Above five thicknesses every rule gives mid-sheet; the default comes to it without a step worth
/// measuring (2.6e-4 of the thickness, the cut-off of its own logarithm).
#[test]
fn the_neutral_line_at_five_thicknesses() {
    let t = 0.4;
    for rule in RULES {
        for inside in [5.0 * t * (1.0 + 1e-12), 5.5 * t, 60.0 * t] {
            close(
                rule.neutral_radius(inside, t),
                inside + t / 2.0,
                1e-15 * inside,
                "mid-sheet",
            );
        }
        let below = rule.neutral_radius(5.0 * t, t);
        let step = (5.5 * t - below) / t;
        let limit = if rule == BendRule::Din6935 {
            2.6e-4
        } else {
            0.16
        };
        assert!((0.0..limit).contains(&step), "{rule:?}: step of {step} t");
    }
}

/// Below it, the neutral line stays inside the sheet, never outside its middle, and the strip grows with the radius.
#[test]
fn the_neutral_line_stays_in_the_inner_half() {
    let t = 0.3;
    for rule in RULES {
        let mut before = 0.0;
        for k in 0..500 {
            let inside = t * 0.01 * f64::from(k + 1);
            let neutral = rule.neutral_radius(inside, t);
            assert!(
                neutral > before,
                "{rule:?} at {inside}: the strip must grow with the radius"
            );
            assert!(
                (inside..=inside + t / 2.0 + 1e-12).contains(&neutral),
                "{rule:?} at {inside}: {neutral}"
            );
            before = neutral;
        }
        let angles = [0.2, FRAC_PI_2, 3.0].map(|angle| rule.strip_length(t, t, angle) / angle);
        close(
            angles[0],
            angles[1],
            1e-12,
            "length in proportion to the angle",
        );
        close(
            angles[2],
            angles[1],
            1e-12,
            "length in proportion to the angle",
        );
    }
}

fn bent(radius: f64, turn: f64, thickness: f64, rule: BendRule) -> Loft {
    let section = Chain::starting(Point2::origin(), 0.0)
        .line(10.0)
        .arc(radius, turn)
        .line(7.0)
        .finish();
    Loft::between(
        LoftFrame::along_engine(0.0),
        &section,
        &section,
        30.0,
        thickness,
        rule,
    )
    .unwrap()
}

fn edge(loft: &Loft) -> f64 {
    Trace::Section {
        v: 0.0,
        from: 0.0,
        to: loft.w_end(),
    }
    .flat_length(loft)
    .unwrap()
}

fn measure(loft: &Loft) -> LoopMeasure {
    let side = |v: f64, from: f64, to: f64| {
        let edge = Trace::Section { v, from, to };
        loft.measure_trace(&edge).unwrap()
    };
    let mut sum = side(1.0, 0.0, loft.w_end());
    sum += side(0.0, loft.w_end(), 0.0);
    sum
}

/// The strip between the two legs is as long as the rule says, to either hand.
#[test]
fn a_bent_plate_takes_its_strip_from_the_rule() {
    let t = 0.4;
    for rule in RULES {
        for inside in [0.1, 0.4, 1.0, 1.9, 2.0, 5.0] {
            for turn in [-FRAC_PI_2, FRAC_PI_2, -0.3, 2.0] {
                let loft = bent(inside + t / 2.0, turn, t, rule);
                let want = 17.0 + rule.strip_length(inside, t, turn.abs());
                close(edge(&loft), want, 1e-10, "flat length");
                // Lengths are compared on the strip's own neutral line in space too.
                let formed = Trace::Section {
                    v: 0.0,
                    from: 0.0,
                    to: loft.w_end(),
                }
                .formed_length(&loft)
                .unwrap();
                close(formed, want, 1e-9, "formed neutral length");
                let areas = measure(&loft);
                close(areas.neutral_area, 30.0 * want, 1e-8, "neutral area");
                let mid = 17.0 + (inside + t / 2.0) * turn.abs();
                close(areas.mid_area, 30.0 * mid, 1e-8, "area on mid-sheet");
                let shift = loft.patches()[1].neutral_shift();
                close(
                    inside + t / 2.0 - shift,
                    rule.neutral_radius(inside, t),
                    1e-12,
                    "neutral radius",
                );
            }
        }
    }
}

/// Bends of unlike tightness front and rear keep their rulings straight: one shift, by the tighter end.
#[test]
fn the_tighter_end_decides() {
    let t = 0.4;
    let section = |radius: f64| {
        Chain::starting(Point2::origin(), 0.0)
            .line(10.0)
            .arc(radius, -FRAC_PI_2)
            .line(7.0)
            .finish()
    };
    let loft = Loft::between(
        LoftFrame::along_engine(0.0),
        &section(0.6),
        &section(1.4),
        30.0,
        t,
        BendRule::Din6935,
    )
    .unwrap();
    let shift = 0.6 - BendRule::Din6935.neutral_radius(0.4, t);
    close(loft.patches()[1].neutral_shift(), shift, 1e-12, "shift");
    for v in [0.0, 1.0] {
        let trace = Trace::Section {
            v,
            from: 0.0,
            to: loft.w_end(),
        };
        let (flat, formed) = (
            trace.flat_length(&loft).unwrap(),
            trace.formed_length(&loft).unwrap(),
        );
        close(flat, formed, 1e-9, "flat against neutral surface");
    }
    let whole =
        |v: f64, from: f64, to: f64| loft.measure_trace(&Trace::Section { v, from, to }).unwrap();
    let mut sum = whole(1.0, 0.0, loft.w_end());
    sum += whole(0.0, loft.w_end(), 0.0);
    assert!(
        sum.mid_area > sum.neutral_area,
        "mid-sheet is longer round a tight bend"
    );
}

/// A flat is shorter than the drawn outside by half the thickness for each radian of net turning, whatever
/// turns back in between: π t for a tube, π t/2 for a wrapper that starts and ends upright.
#[test]
fn the_flat_is_shorter_by_half_the_thickness_a_radian() {
    let t = 0.25;
    let tube = Chain::starting(Point2::new(0.0, -11.0), PI)
        .arc(11.0, -TAU)
        .finish();
    let waisted = crate::sections::class_b(120.0).whole();
    for (outside, turning) in [(tube, TAU), (waisted, PI)] {
        // Travel has the outside on its left, so inwards is to the right.
        let neutral = outside.offset(-t / 2.0).unwrap();
        let loft = wrapper(&neutral, &neutral, 30.0);
        close(
            outside.length() - edge(&loft),
            turning * t / 2.0,
            1e-9,
            "shortening",
        );
    }
}
