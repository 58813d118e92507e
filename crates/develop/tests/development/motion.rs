//! Forming as a motion: what is kept on the way from flat to formed.

use crate::sections::{at, class_m_wrapper, close, near, pair, repeatable, rolled, wrapper};
use develop::{BendRule, Forming, Loft, LoftFrame};
use geom::math::{PI, TAU};
use geom::{Chain, FlatPoint, Placement, Point2, Point3, Vector3, chord_length};
use proptest::prelude::*;

/// Places all over a wrapper, ends and apexes included.
fn places(loft: &Loft) -> Vec<(f64, f64)> {
    (0..=24)
        .flat_map(|i| [0.0, 0.37, 1.0].map(|v| (loft.w_end() * f64::from(i) / 24.0, v)))
        .collect()
}

fn length_at(
    forming: &Forming,
    lambda: f64,
    curve: impl Fn(f64) -> FlatPoint,
    pieces: usize,
) -> f64 {
    let motion = forming.at(lambda);
    (0..pieces)
        .map(|k| {
            let share = |t: f64| (k as f64 + t) / pieces as f64;
            chord_length(0.0, 1.0, |t| motion.place(curve(share(t))).point)
        })
        .sum()
}

proptest! {
    #![proptest_config(repeatable(60))]

    #[test]
    fn the_last_stage_is_the_formed_plate(pair in pair()) {
        let loft = pair.loft();
        let forming = rolled(&loft);
        let motion = forming.at(1.0);
        for (w, v) in places(&loft) {
            let flat = loft.flat(at(w, v));
            let (got, want) = (motion.place(flat), forming.place(flat));
            near(got.point, want.point, 1e-8, "point");
            close((got.normal - want.normal).norm(), 0.0, 1e-8, "normal");
        }
    }

    /// Before any bending the sheet lies in the tangent plane of the datum ruling, every distance as on the flat.
    #[test]
    fn the_first_stage_is_the_flat(pair in pair()) {
        let loft = pair.loft();
        let forming = rolled(&loft);
        let motion = forming.at(0.0);
        let [e, across, normal] = loft.formed_axes(loft.datum());
        let origin = loft.formed(at(loft.datum(), 0.0)).point;
        for (w, v) in places(&loft) {
            let flat = loft.flat(at(w, v));
            let got = motion.place(flat);
            near(got.point, origin + e * flat.x + across * flat.y, 1e-8, "point in the plane");
            close((got.normal - normal).norm(), 0.0, 1e-9, "normal");
        }
    }

    /// At any stage lengths are those of the flat, whatever way the line runs over the sheet.
    #[test]
    fn every_stage_keeps_lengths(pair in pair(), lambda in 0.0..1.0f64, low in 0.0..1.0f64, high in 0.0..1.0f64) {
        let loft = pair.loft();
        let forming = rolled(&loft);
        // A line over one patch that bends, from one end of its first ruling to somewhere on its last.
        let bent = loft.patches().iter().position(|patch| patch.turn().abs() > 0.05);
        prop_assume!(bent.is_some());
        let k = bent.unwrap_or(0) as f64;
        let (p, q) = (loft.flat(at(k + 1e-9, low)), loft.flat(at(k + 1.0 - 1e-9, high)));
        let straight = (q - p).norm();
        prop_assume!(straight > 0.1);
        let inside = (0..=20).all(|i| {
            let found = loft.locate(p + (q - p) * (f64::from(i) / 20.0));
            (-1e-9..=1.0 + 1e-9).contains(&found.v) && (k..k + 1.0).contains(&found.w)
        });
        prop_assume!(inside);
        let got = length_at(&forming, lambda, |t| p + (q - p) * t, 1);
        close(got, straight, 1e-7, "a straight line drawn on the flat");
        let edge = |t: f64| loft.flat(at(k + 1e-9 + t * (1.0 - 2e-9), low));
        let flat = chord_length(0.0, 1.0, |t| Point3::new(edge(t).x, edge(t).y, 0.0));
        close(length_at(&forming, lambda, edge, 1), flat, 1e-7, "a section trace");
    }

    /// No tear and no crease at a border between patches, at any stage.
    #[test]
    fn no_border_jumps(pair in pair(), lambda in 0.0..1.0f64) {
        let loft = pair.loft();
        let forming = rolled(&loft);
        let motion = forming.at(lambda);
        for k in 1..loft.patches().len() {
            let ruling = loft.ruling(k as f64);
            for v in [0.1, 0.5, 0.9] {
                let on = ruling.flat + ruling.flat_direction * (ruling.length * v);
                let off = geom::Vector2::new(-ruling.flat_direction.y, ruling.flat_direction.x) * 1e-7;
                let (before, after) = (motion.place(on - off), motion.place(on + off));
                close((before.point - after.point).norm(), 2e-7, 1e-8, "gap at a border");
                // Beside an apex the least radius in reach is v times the other end's.
                close((before.normal - after.normal).norm(), 0.0, 1e-5, "normals at a border");
            }
        }
    }
}

/// A tube half formed has twice its radius, and stands where its top line stands.
#[test]
fn half_formed_a_tube_has_twice_the_radius() {
    let ring = Chain::starting(Point2::new(0.0, -11.0), PI)
        .arc(11.0, -TAU)
        .finish();
    let loft = wrapper(&ring, &ring, 60.0);
    let forming = rolled(&loft);
    let half = forming.at(0.5);
    for y in [-30.0, -4.0, 0.0, 17.0, 34.0] {
        let place = half.place(Point2::new(20.0, y));
        let (s, c) = geom::math::sin_cos(y / 22.0);
        near(
            place.point,
            Point3::new(20.0, 22.0 * s, 11.0 - 22.0 * (1.0 - c)),
            1e-9,
            "half-formed place",
        );
        close(
            (place.normal - Vector3::new(0.0, s, c)).norm(),
            0.0,
            1e-9,
            "normal",
        );
    }
}

/// The tapered firebox: every stage keeps the diagonals of its flat, side by side with the formed one.
#[test]
fn the_firebox_keeps_its_edges_at_every_stage() {
    let loft = class_m_wrapper();
    let forming = rolled(&loft);
    let n = loft.patches().len();
    for v in [0.0, 1.0] {
        let edge = |t: f64| {
            // Short of each border, so that a piece belongs to one patch.
            let w = (t * n as f64).clamp(0.0, n as f64);
            loft.flat(at(w, v))
        };
        let want = length_at(&forming, 1.0, edge, n);
        for lambda in [0.0, 0.1, 0.5, 0.9] {
            close(
                length_at(&forming, lambda, edge, n),
                want,
                1e-7,
                "edge at a stage",
            );
        }
    }
}

/// Tight bends: the flat length of the strip is its allowance, and the formed place is mid-sheet all the same.
#[test]
fn tight_bends_come_to_mid_sheet() {
    let section = Chain::starting(Point2::origin(), 0.0)
        .line(10.0)
        .arc(0.6, -1.2)
        .line(8.0)
        .finish();
    let loft = Loft::between(
        LoftFrame::along_engine(0.0),
        &section,
        &section,
        30.0,
        0.4,
        BendRule::Din6935,
    )
    .unwrap();
    let forming = rolled(&loft);
    let formed = forming.at(1.0);
    for (w, v) in places(&loft) {
        let flat = loft.flat(at(w, v));
        near(
            formed.place(flat).point,
            loft.formed(at(w, v)).point,
            1e-8,
            "formed place",
        );
    }
    let flat = forming.at(0.0);
    let ends = [at(0.0, 0.0), at(loft.w_end(), 1.0)].map(|place| loft.flat(place));
    let stretched = (flat.place(ends[1]).point - flat.place(ends[0]).point).norm();
    close(
        stretched,
        (ends[1] - ends[0]).norm(),
        1e-9,
        "the flat's own diagonal",
    );
}

#[test]
fn a_plate_that_stays_flat_does_not_move() {
    let placement = Placement::new(Point3::new(1.0, 2.0, 3.0), Vector3::y(), Vector3::z());
    let forming = Forming::Flat(placement);
    for lambda in [0.0, 0.3, 1.0] {
        let place = forming.at(lambda).place(Point2::new(4.0, 5.0));
        near(place.point, Point3::new(1.0, 6.0, 8.0), 0.0, "place");
        near(
            place.at_height(0.2),
            Point3::new(1.2, 6.0, 8.0),
            1e-15,
            "outside face",
        );
    }
}
