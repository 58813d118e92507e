//! Quadrature against exact integrals.

use crate::strategies::close;
use geom::math::{PI, TAU, cos, sin, sin_cos};
use geom::{Point3, chord_length, gauss_legendre, integrate, line_integral};

/// A ten-point rule integrates xᵏ over −1..2 exactly up to k = 19 and no further.
#[test]
fn the_rule_is_exact_to_degree_nineteen() {
    let error = |k: i32| {
        let exact = (2f64.powi(k + 1) - (-1f64).powi(k + 1)) / f64::from(k + 1);
        (gauss_legendre(-1.0, 2.0, |x| x.powi(k)) - exact).abs() / exact.abs()
    };
    for k in 0..=19 {
        assert!(error(k) < 1e-14, "degree {k}: {:e}", error(k));
    }
    assert!(
        error(20) > 1e-14,
        "degree 20 must show the rule's limit: {:e}",
        error(20)
    );
}

#[test]
fn halving_reaches_its_tolerance() {
    // A peak of width 0.01: one rule alone misses it.
    let exact = 2.0 * 100.0 * geom::math::atan(100.0);
    let got = integrate(-1.0, 1.0, 1e-10, &mut |x| 1.0 / (x * x + 1e-4));
    close(got, exact, 1e-8, "peak");
    assert!((gauss_legendre(-1.0, 1.0, |x| 1.0 / (x * x + 1e-4)) - exact).abs() > 1.0);
}

#[test]
fn lengths_and_areas_from_positions() {
    let helix = |t: f64| Point3::new(3.0 * cos(t), 3.0 * sin(t), 4.0 * t);
    close(
        chord_length(0.0, 2.0, helix),
        10.0,
        1e-10,
        "helix of speed 5",
    );
    close(chord_length(2.0, 0.0, helix), 10.0, 1e-10, "backwards");
    // Perimeter of the ellipse with half axes 11.547005, 10: complete elliptic integral, evaluated in double precision.
    let ellipse = |t: f64| Point3::new(10.0 / cos(PI / 6.0) * cos(t), 10.0 * sin(t), 0.0);
    close(chord_length(0.0, TAU, ellipse), 67.779_176, 5e-7, "ellipse");
    let area = line_integral(0.0, TAU, |t| {
        let (s, c) = sin_cos(t);
        (3.0 * c, 2.0 * s)
    });
    close(
        area,
        -6.0 * PI,
        1e-10,
        "ellipse run anticlockwise: ∫ y dx is minus its area",
    );
}

/// The extrapolation removes one even power of the step after another: an arc needs few points.
#[test]
fn a_smooth_curve_needs_few_points() {
    let asked = std::cell::Cell::new(0u32);
    let arc = |t: f64| {
        asked.set(asked.get() + 1);
        Point3::new(10.0 * cos(t), 10.0 * sin(t), 0.0)
    };
    close(chord_length(0.0, 1.0, arc), 10.0, 1e-11, "arc");
    assert!(asked.get() < 150, "{} points", asked.get());
}
