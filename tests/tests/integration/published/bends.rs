//! Lengths of bends and folds.

use develop::{BendRule, HalfEtchedFold, Loft, LoftFrame, Trace};
use geom::math::{FRAC_PI_2, PI, TAU, tan};
use geom::{Chain, Point2};
use platework_tests::close;

/// Machinery's Handbook, 31st ed., p. 1421, eqs. 32 to 34 for a bend of 90° (read); these lengths are
/// derived from them for model sheet: (T, R) and soft, half-hard, hard (mm).
#[test]
fn handbook_lengths_of_a_right_angled_bend() {
    for (t, r, lengths) in [
        (0.25, 0.25, [0.5300, 0.5525, 0.5700]),
        (0.30, 0.50, [0.9500, 0.9770, 0.9980]),
        (0.38, 0.38, [0.8056, 0.8398, 0.8664]),
        (0.45, 1.00, [1.8175, 1.8580, 1.8895]),
    ] {
        let rules = [
            BendRule::HandbookSoft,
            BendRule::HandbookHalfHard,
            BendRule::HandbookHard,
        ];
        for (rule, want) in rules.into_iter().zip(lengths) {
            close(
                rule.strip_length(r, t, FRAC_PI_2),
                want,
                5e-5 + 1e-12,
                "length of a 90° bend",
            );
        }
    }
}

/// The same rules as neutral factors from the inside face, in thicknesses (derived, with the true π/2).
#[test]
fn handbook_neutral_factors() {
    for (rule, want) in [
        (BendRule::HandbookSoft, 0.35014),
        (BendRule::HandbookHalfHard, 0.40744),
        (BendRule::HandbookHard, 0.45200),
    ] {
        close(rule.neutral_radius(0.0, 1.0), want, 5e-6, "neutral factor");
    }
}

/// The handbook's worked example, same page, fig. 13 (read): soft steel, so eq. 33. Stock 0.125 in; a left bend through 180°
/// of radius 0.375, a right bend through 60° of radius 0.625, and 3.5 in of straight take 5.545 in.
#[test]
fn handbook_worked_example() {
    let rule = BendRule::HandbookHalfHard;
    let left = rule.strip_length(0.375, 0.125, PI);
    let right = rule.strip_length(0.625, 0.125, PI / 3.0);
    close(left, 1.338, 5.1e-4, "left bend as printed");
    close(right, 0.707, 5.1e-4, "right bend as printed");
    close(left + right + 3.5, 5.545, 1e-9, "whole length");
    // The same piece as a bent plate: legs that add up to 3.5, radii to mid-sheet.
    let section = Chain::starting(Point2::origin(), 0.0)
        .line(1.5)
        .arc(0.375 + 0.0625, PI)
        .line(1.25)
        .arc(0.625 + 0.0625, -PI / 3.0)
        .line(0.75)
        .finish();
    let loft = Loft::between(
        LoftFrame::along_engine(0.0),
        &section,
        &section,
        1.0,
        0.125,
        rule,
    )
    .unwrap();
    let edge = Trace::Section {
        v: 0.0,
        from: 0.0,
        to: loft.w_end(),
    };
    close(
        edge.flat_length(&loft).unwrap(),
        5.545,
        1e-9,
        "flat of the piece",
    );
}

/// DIN 6935: k = 0.65 + 0.5 lg(r/s) multiplies *half* the thickness (formula read in two documents that
/// quote the standard). The factor over the whole thickness is k/2 (derived).
#[test]
fn din_correction_factor() {
    for (ratio, k, factor) in [
        (1.0, 0.6500, 0.3250),
        (2.0, 0.8005, 0.4003),
        (3.0, 0.8886, 0.4443),
        (5.0, 0.9995, 0.4997),
    ] {
        let s = 0.4;
        let neutral = BendRule::Din6935.neutral_radius(ratio * s, s);
        close((neutral - ratio * s) / (s / 2.0), k, 5.1e-5, "k");
        close(
            (neutral - ratio * s) / s,
            factor,
            5.1e-5,
            "share of the whole thickness",
        );
    }
    close(
        BendRule::Din6935.neutral_radius(6.0, 1.0),
        6.5,
        1e-15,
        "mid-sheet above r/s = 5",
    );
}

/// DIN 6935 compensation v, added to the outside dimensions (formula from memory; values derived), in mm.
#[test]
fn din_compensation() {
    let strip = |r: f64, s: f64, opening_deg: f64| {
        BendRule::Din6935.strip_length(r, s, (180.0 - opening_deg).to_radians())
    };
    for (r, s, v) in [
        (1.0, 1.0, -1.91869),
        (3.0, 3.0, -5.75608),
        (2.0, 1.0, -2.22968),
    ] {
        close(
            strip(r, s, 90.0) - 2.0 * (r + s),
            v,
            5.1e-6,
            "v of a right angle",
        );
    }
    let setback = |deg: f64| tan(deg.to_radians() / 2.0);
    close(
        strip(2.0, 1.0, 135.0) - 2.0 * 3.0 * setback(45.0),
        -0.60012,
        5.1e-6,
        "v at 135°",
    );
    close(
        strip(2.0, 1.0, 60.0) - 2.0 * 3.0,
        -0.97291,
        5.1e-6,
        "v at 60°",
    );
    // Legs of 50 + 50 outside, s = r = 3, 90°: 94.244 mm (derived).
    close(
        100.0 + strip(3.0, 3.0, 90.0) - 12.0,
        94.244,
        5.1e-4,
        "flat of an angle",
    );
}

/// Printed subtraction for a 90° bend, to a tenth (Tabellenbuch Metall, Europa-Lehrmittel, from memory), in mm.
#[test]
fn printed_table_of_right_angles() {
    for (r, s, printed) in [
        (1.0, 0.4, 1.0),
        (1.0, 0.6, 1.3),
        (1.0, 1.0, 1.9),
        (1.6, 1.0, 2.1),
        (1.6, 1.5, 2.9),
        (2.5, 1.0, 2.4),
    ] {
        let subtract = 2.0 * (r + s) - BendRule::Din6935.strip_length(r, s, FRAC_PI_2);
        close(subtract, printed, 0.05, "subtraction as printed");
    }
}

/// Width of a half-etched fold line for 90° in sheet e, w = 3π e/8: printed in a modeller's article on
/// photo-etched parts (gibitrains.fr, updated 2 December 2024, read), in mm.
#[test]
fn half_etched_fold_lines() {
    for (sheet, printed) in [
        (0.16, 0.1885),
        (0.20, 0.2356),
        (0.30, 0.3534),
        (0.40, 0.4712),
    ] {
        let fold = HalfEtchedFold::closing(FRAC_PI_2, sheet, sheet / 2.0).unwrap();
        close(fold.width, printed, 5.1e-5, "width of the groove");
    }
}

/// Rolled plate, Cyclopedia of Drawing (American Technical Society, 1906; read, scan damaged): stretch-out (D + T) × 3.1416
/// for an inside size, (D − T) × 3.1416 for an outside one. A shell 48 in inside in ¼ in plate: 151.582 in
/// (derived; the plate of the book's example is not legible).
#[test]
fn rolled_plate_by_the_neutral_diameter() {
    let ring = |radius: f64| {
        Chain::starting(Point2::new(0.0, -radius), PI)
            .arc(radius, -TAU)
            .finish()
    };
    let stretch_out = |drawn: &Chain, shift: f64| {
        let neutral = drawn.offset(shift).unwrap();
        let loft = Loft::between(
            LoftFrame::along_engine(0.0),
            &neutral,
            &neutral,
            60.0,
            0.25,
            BendRule::Din6935,
        )
        .unwrap();
        let edge = Trace::Section {
            v: 0.5,
            from: 0.0,
            to: loft.w_end(),
        };
        edge.flat_length(&loft).unwrap()
    };
    let printed = 151.582;
    close(
        stretch_out(&ring(24.0), 0.125),
        printed,
        1e-3,
        "48 in inside",
    );
    close(
        stretch_out(&ring(24.25), -0.125),
        printed,
        1e-3,
        "48½ in outside is the same shell",
    );
}
