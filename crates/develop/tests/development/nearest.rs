//! The place of a formed plate under a point of the body.

use crate::sections::{
    at, class_b_wrapper, class_m_wrapper, close, near, pair, repeatable, rolled,
};
use develop::{BendRule, Forming, Loft, LoftFrame, Trace, oblique_cone};
use geom::{BodyPoint, Placement, Point2, Vector3};
use proptest::prelude::*;

fn barrel() -> Loft {
    oblique_cone(
        LoftFrame::along_engine(50.0),
        (Point2::new(0.0, 28.0), 28.0),
        (Point2::new(0.0, 31.5), 31.5),
        144.0,
        1e-9,
        BendRule::Din6935,
    )
    .unwrap()
}

#[test]
fn a_point_over_a_place_comes_back_to_it() {
    for loft in [class_b_wrapper(), class_m_wrapper(), barrel()] {
        for i in 0..=200 {
            let w = loft.w_end() * f64::from(i) / 200.0;
            for v in [0.02, 0.31, 0.77, 0.98] {
                for height in [-0.4, 0.0, 0.225, 1.5] {
                    // Beyond the centre of a bend a point has several normals through it.
                    let patch = &loft.patches()[(w as usize).min(loft.patches().len() - 1)];
                    let tight = patch.radii().is_some_and(|(front, rear)| {
                        front + (rear - front) * v < 2.0 * f64::abs(height)
                    });
                    if tight {
                        continue;
                    }
                    let place = loft.formed(at(w, v));
                    let point = place.at_height(height);
                    let (found, over) = loft.place_of(point).unwrap();
                    close(
                        over,
                        height,
                        1e-9,
                        &format!("height over mid-sheet {w} {v} {height} {found:?}"),
                    );
                    near(loft.formed(found).point, place.point, 1e-8, "place");
                    let flat = rolled(&loft).flat_of(point).unwrap().0;
                    let want = loft.flat(at(w, v));
                    // The two edges of a tube's seam are one line in space.
                    let other = loft.flat(at(loft.w_end() - w, v));
                    let gap = (flat - want).norm().min((flat - other).norm());
                    close(gap, 0.0, 1e-8, "place on the flat");
                }
            }
        }
    }
}

/// Worked by hand: a level tube of radius 10, a point 12 from its axis at 30° over the horizontal.
#[test]
fn over_a_tube_the_height_is_the_radius_left() {
    let circle = (Point2::new(0.0, 0.0), 10.0);
    let tube = oblique_cone(
        LoftFrame::along_engine(100.0),
        circle,
        circle,
        40.0,
        1e-9,
        BendRule::Din6935,
    )
    .unwrap();
    let point = BodyPoint::new(125.0, 12.0 * 0.75f64.sqrt(), 6.0);
    let (place, height) = tube.place_of(point).unwrap();
    close(height, 2.0, 1e-12, "height");
    close(place.v, 0.625, 1e-12, "fraction of the ruling");
    // From the top centre, which is the flat's x axis, round to the left by 60°.
    let (flat, _) = rolled(&tube).flat_of(point).unwrap();
    close(flat.x, 25.0, 1e-9, "flat x");
    close(flat.y, 10.0 * geom::math::PI / 3.0, 1e-9, "flat y");
}

#[test]
fn a_point_beyond_the_sheet_has_no_place() {
    let loft = class_m_wrapper();
    let foot = loft.formed(at(loft.w_end(), 0.5)).point;
    assert!(loft.place_of(foot + Vector3::new(0.0, 0.0, -1.0)).is_none());
    assert!(loft.place_of(foot + Vector3::new(60.0, 0.0, 0.0)).is_none());
    assert!(loft.place_of(foot + Vector3::new(0.0, 1.0, 0.01)).is_some());
}

#[test]
fn a_flat_plate_drops_the_point_square() {
    let placement = Placement::new(
        BodyPoint::new(1.0, 2.0, 3.0),
        Vector3::new(0.0, 0.6, 0.8),
        Vector3::new(-1.0, 0.0, 0.0),
    );
    let plate = Forming::Flat(placement);
    let (flat, height) = plate
        .flat_of(placement.point(Point2::new(4.0, -5.0), 0.7))
        .unwrap();
    close((flat - Point2::new(4.0, -5.0)).norm(), 0.0, 1e-12, "flat");
    close(height, 0.7, 1e-12, "height");
}

proptest! {
    #![proptest_config(repeatable(60))]

    /// Random wrappers: a plane's cut is as long on the flat as in space, lies in the plane, and is found from the plane's points.
    #[test]
    fn cuts_keep_their_length_and_places_are_found(
        pair in pair(),
        lean in (-0.002..0.002f64, -0.002..0.002f64),
    ) {
        let loft = pair.loft();
        let through = loft.formed(at(loft.datum(), 0.5)).point;
        let normal = Vector3::new(1.0, lean.0, lean.1);
        let cut = Trace::Cut { through, normal, from: 0.0, to: loft.w_end() };
        let flat = cut.flat_length(&loft).unwrap();
        close(cut.formed_length(&loft).unwrap(), flat, 1e-8 * flat, "length");
        for i in 0..=30 {
            let place = cut.at(&loft, f64::from(i) / 30.0).unwrap();
            let point = loft.formed(place).point;
            close((point - through).dot(&normal), 0.0, 1e-9, "in the plane");
            let (found, height) = loft.place_of(point).unwrap();
            close(height, 0.0, 1e-9, "on the sheet");
            near(loft.formed(found).point, point, 1e-8, "place");
        }
    }
}
