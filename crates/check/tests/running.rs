//! The engine on the curve, held against closed forms, published figures and second methods.
//!
//! Sources of each figure stand in `docs/external-checks.md`, running.

#![allow(clippy::unwrap_used, reason = "a test may fail by panic")]

use body::{Chassis, Curve, Model, Overrides, Scale};
use check::running::throw::*;
use check::running::{Course, Running, Standing, Stretch, TrackLine, Train, Vehicle};
use develop::Forming;
use geom::math::{self, PI};
use geom::{FlatPoint, Point2, Segment};

fn model(name: &str, scale: Scale) -> Model {
    let path = format!(
        "{}/../../demo-models/{name}.toml",
        env!("CARGO_MANIFEST_DIR")
    );
    let overrides = Overrides {
        scale: Some(scale),
        ..Overrides::default()
    };
    Model::read(name, &std::fs::read(path).unwrap(), &overrides).unwrap()
}

fn chassis(name: &str, scale: Scale) -> Chassis {
    Chassis::of(&model(name, scale))
}

fn near(found: f64, wanted: f64, tolerance: f64, what: &str) {
    assert!(
        (found - wanted).abs() <= tolerance,
        "{what}: {found} and not {wanted}"
    );
}

#[test]
fn throws_of_an_engine_and_of_a_coach() {
    let (a, l, r, w) = (64.0, 120.0, 915.0, 36.0);
    near(centre_throw(a, r), 0.559734, 5e-7, "middle");
    near(
        centre_throw_near(a, r),
        0.559563,
        5e-7,
        "middle, second order",
    );
    near(end_throw(l, a, r), 1.406569, 5e-7, "end");
    near(end_throw_near(l, a, r), 1.407650, 5e-7, "end, second order");
    near(corner_throw(l, w, a, r), 1.368690, 5e-7, "corner");
    let (a, p, r) = (160.92, 28.74, 600.0);
    near(inside_throw_near(a, a / 2.0, p, r), 5.566924, 5e-7, "coach");
    near(
        inside_throw_near(a, a / 2.0, p, r) - centre_throw_near(a, r),
        0.172081,
        5e-7,
        "its bogies' part",
    );
}

#[test]
fn versines_degrees_and_transitions() {
    // In metres and millimetres: 20 m chord, 300 m radius.
    near(versine(20_000.0, 300_000.0), 166.713, 5e-4, "versine");
    near(
        centre_throw_near(20_000.0, 300_000.0),
        166.667,
        5e-4,
        "50 000/R",
    );
    near(
        degree_of_curve(1000.0) * 180.0 / PI,
        5.73197,
        5e-6,
        "degrees",
    );
    near(transition_shift_near(300.0, 900.0), 4.16667, 5e-6, "shift");
    // The clothoid itself ends near the cubic parabola's L²/(6R), and its circle is moved by the shift.
    let line = TrackLine::new(&[Stretch::transition(300.0, 0.0, 1.0 / 900.0)]).unwrap();
    let end = line.at(300.0);
    // To second order, so within a two-hundredth.
    near(end.point.y, 16.66667, 0.04, "end of the transition");
    let shift = end.point.y - 900.0 * (1.0 - math::cos(end.heading));
    near(shift, 4.16667, 0.01, "shift of the clothoid");
    near(end.heading, 300.0 / 1800.0, 1e-14, "its turn");
}

#[test]
fn least_radii_that_were_published() {
    for (wheelbase, clearance, printed) in [
        (307.2, 2.7, 4.37),
        (307.2, 2.3, 5.13),
        (321.5, 2.7, 4.78),
        (321.5, 2.3, 5.62),
    ] {
        let metres = least_radius_near(wheelbase, clearance) / 1000.0;
        near(metres, printed, 0.006, "least radius (m)");
    }
    near(
        least_radius_by_attack(100.0, 12.0 * PI / 180.0),
        240.49,
        5e-3,
        "angle of attack",
    );
}

/// Widening of the structure gauge that NEM 103 gives for coaches lies between the throw less 2.4 mm, which
/// the gauge already holds, and the throw.
#[test]
fn structure_gauges_widen_by_the_throw() {
    let pivots = [14_000.0 / 87.0, 17_200.0 / 87.0, 19_500.0 / 87.0];
    for (radius, widening) in [
        (400.0, [Some(7.0), Some(11.0), None]),
        (600.0, [Some(4.0), Some(6.0), Some(9.0)]),
        (1000.0, [Some(2.0), Some(3.0), Some(4.0)]),
    ] {
        for (a, widening) in pivots.into_iter().zip(widening) {
            let Some(widening) = widening else { continue };
            let throw = centre_throw(a, radius);
            assert!(
                widening <= throw && throw <= widening + 2.4,
                "{radius}: {throw} against {widening}"
            );
        }
    }
}

/// The rigid wheelbase stands on the curve as the closed form says, and a line that turns is only a curve.
#[test]
fn a_rigid_wheelbase_is_a_chord() {
    let engine = chassis("class-s", Scale::Four);
    let xs: Vec<f64> = engine.rigid().map(|axle| axle.x).collect();
    let (a, middle) = (xs[2] - xs[0], (xs[0] + xs[2]) / 2.0);
    for radius in [438.0, 915.0] {
        let track = Course::Curve { radius }.line(300.0).unwrap();
        let standing = Standing::at(&engine, &track, 200.0).unwrap();
        let centre = Point2::new(0.0, radius);
        let own = standing.frame.own(centre);
        near(own.x, middle, 1e-9, "square to the middle");
        near(
            radius - own.y.abs(),
            centre_throw(a, radius),
            1e-9,
            "middle of the chord",
        );
        near(
            -standing.offsets[1],
            track_offset(xs[1], xs[0], xs[2], radius),
            1e-9,
            "middle axle",
        );
        let corner = standing.frame.place(Point2::new(2.0 * middle, 18.0));
        let out = (corner - centre).norm() - radius - 18.0;
        near(
            out,
            corner_throw(2.0 * middle, 36.0, a, radius),
            1e-9,
            "corner",
        );
    }
}

/// y of a circle over the chord between two points of it, at x.
fn track_offset(x: f64, from: f64, to: f64, radius: f64) -> f64 {
    let half = (to - from) / 2.0;
    let from_middle = x - (from + to) / 2.0;
    (radius * radius - half * half).sqrt() - (radius * radius - from_middle * from_middle).sqrt()
}

/// Radius (mm), bogie pivot of E, its front wheel unpivoted, pony of M, radial axle of B, middle axle of M,
/// angle of E and tender (degrees), closing at the tender's corners, overhang of E's front.
const FOUR: [[f64; 9]; 4] = [
    [610.0, 2.42, 3.66, 2.87, 1.85, 0.73, 7.55, 2.11, 5.04],
    [762.0, 1.93, 2.93, 2.30, 1.48, 0.59, 6.04, 1.69, 4.04],
    [914.0, 1.61, 2.44, 1.91, 1.23, 0.49, 5.04, 1.41, 3.37],
    [1067.0, 1.38, 2.09, 1.64, 1.06, 0.42, 4.31, 1.20, 2.88],
];
const SEVEN: [[f64; 9]; 4] = [
    [1219.0, 3.70, 5.60, 4.40, 2.83, 1.13, 6.61, 3.23, 7.73],
    [1524.0, 2.96, 4.48, 3.52, 2.26, 0.90, 5.29, 2.58, 6.18],
    [1829.0, 2.47, 3.73, 2.93, 1.89, 0.75, 4.40, 2.15, 5.15],
    [2134.0, 2.12, 3.20, 2.51, 1.62, 0.64, 3.77, 1.84, 4.42],
];

struct Rigid {
    middle: f64,
    base: f64,
}

impl Rigid {
    fn of(chassis: &Chassis) -> Self {
        let xs: Vec<f64> = chassis.rigid().map(|axle| axle.x).collect();
        let (first, last) = (xs[0], xs[xs.len() - 1]);
        Self {
            middle: (first + last) / 2.0,
            base: last - first,
        }
    }

    fn displaced(&self, x: f64, radius: f64) -> f64 {
        truck_displacement_near(x - self.middle, self.base, radius)
    }
}

/// The table of the demo railway by the second-order formulas, and the exact positions beside them.
#[test]
fn the_curve_table_of_the_demo_railway() {
    for (scale, table) in [(Scale::Four, FOUR), (Scale::Seven, SEVEN)] {
        let [b, e, m, t] =
            ["class-b", "class-e", "class-m", "tender-t"].map(|name| chassis(name, scale));
        let [rb, re, rm, rt] = [&b, &e, &m, &t].map(Rigid::of);
        let foot = scale.mm_per_foot();
        for row in table {
            let radius = row[0];
            let angle = coupling_angle_near(
                e.length - re.middle,
                e.drawbars[1].unwrap().gap + rt.middle,
                radius,
            );
            let rigid_m: Vec<f64> = m.rigid().map(|axle| axle.x).collect();
            let near_row = [
                re.displaced(e.trucks[0].pivot, radius),
                re.displaced(e.axles[0].x, radius),
                rm.displaced(m.axles[0].x, radius),
                rb.displaced(b.axles[3].x, radius),
                -rm.displaced(rigid_m[1], radius),
                angle * 180.0 / PI,
                4.0 * foot * angle,
                re.displaced(0.0, radius),
            ];
            for (i, (found, wanted)) in near_row.iter().zip(&row[1..]).enumerate() {
                near(*found, *wanted, 0.0101, &format!("{radius}, column {i}"));
            }
            let train = Train {
                engine: &e,
                tender: Some(&t),
            };
            let track = Course::Curve { radius }.line(2.0 * train.length()).unwrap();
            let at = track.length() / 2.0 + train.length() / 2.0;
            let stood = train.at(&track, at).unwrap();
            let (_, coupled) = stood.tender.unwrap();
            let own_bogie = 6.0 * foot;
            // A bogie's middle stands inside its own chord, a pony's axle on the circle of its arm, and a
            // coupling at its pins: each differs from the second order by less than this.
            near(
                stood.engine.trucks[0].slide.abs(),
                near_row[0] + centre_throw_near(own_bogie, radius),
                0.012 * near_row[0],
                "bogie, exact",
            );
            near(
                stood.engine.offsets[0].abs(),
                near_row[1],
                0.012 * near_row[1],
                "wheel, exact",
            );
            near(coupled.angle.abs(), angle, 0.004 * angle, "angle, exact");
            assert!(coupled.sideways.abs() < 0.5 * coupled.closing + 1.0);
        }
    }
}

/// What a truck carries sweeps as the truck stands on the curve, near the middle of the track, and not as far out as the
/// engine's own frames do over it: the corners of its sides, by circles.
#[test]
fn trucks_sweep_where_they_stand() {
    let radius = 700.0;
    for (name, truck, straight) in [("class-m", "pony-1", 1.9), ("class-e", "bogie-1", 1.0)] {
        let model = model(name, Scale::Four);
        let body = body::build(&model).unwrap();
        let own = Vehicle::of(&model, &body).unwrap();
        let running = Running {
            engine: &own,
            tender: None,
        };
        let swept = running.over(Course::Curve { radius }).unwrap().swept;
        let side = body.plate(&format!("{truck}-side-left")).unwrap();
        let Forming::Flat(placement) = &side.forming else {
            panic!("the side of a truck is flat")
        };
        let corners = side.outline.iter().map(|edge| match &edge.curve {
            Curve::Flat(Segment::Line { start, .. }) => *start,
            Curve::Flat(Segment::Arc(arc)) => arc.centre,
            Curve::Surface(_) => panic!("the side of a truck is flat"),
        });
        let xs: Vec<f64> = corners
            .map(|own| placement.point(FlatPoint::new(own.x, own.y), 0.0).x)
            .collect();
        let half = placement.origin.y + (side.sheet.z_high - side.sheet.z_low) / 2.0;
        let reach = xs.iter().fold(0.0, |far: f64, x| far.max(*x))
            - xs.iter().fold(f64::INFINITY, |near, x| near.min(*x));
        // With its axles on the line the ends of a side stand out by no more than a chord's end and what the truck is turned
        // off the line by, while it enters the curve.
        let arm = (own.chassis.trucks[0].pivot - own.chassis.axles[0].x).abs();
        let most = half + (reach / 2.0 + arm).powi(2) / radius;
        let margin = |id: &str| swept.margins.iter().find(|own| own.part == id).unwrap();
        for hand in ["left", "right"] {
            let found = margin(&format!("{truck}-side-{hand}")).aside.abs();
            assert!(
                (half - 0.05..most).contains(&found),
                "{name} {hand}: {found}, side at {half}, at most {most}"
            );
            // Standing as on the straight it would be swept out with the engine's frames.
            let rigid = Rigid::of(&own.chassis);
            let out = half + rigid.displaced(own.chassis.axles[0].x, radius);
            assert!(out - found > straight, "{name}: {out} and {found}");
        }
    }
}
