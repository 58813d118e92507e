//! Sections and wrappers to test on: a Belpaire firebox, and random pairs that turn alike.

use develop::{BendRule, Forming, Loft, LoftFrame, SurfacePoint};
use geom::math::{FRAC_PI_2, acos, asin, sin};
use geom::{Chain, Point2, Point3};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// The same cases on every run and machine.
pub(crate) fn repeatable(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        rng_seed: RngSeed::Fixed(1908),
        failure_persistence: None,
        max_global_rejects: 20_000,
        ..ProptestConfig::default()
    }
}

#[track_caller]
pub(crate) fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}, {:e} apart",
        got - want
    );
}

#[track_caller]
pub(crate) fn near(got: Point3, want: Point3, tolerance: f64, what: &str) {
    assert!(
        (got - want).norm() <= tolerance,
        "{what}: got {got:?}, want {want:?}, {:e} apart",
        (got - want).norm()
    );
}

/// A Belpaire section in inches: crown, shoulder, side, convex and concave waist, tail to `foot`.
pub(crate) struct Belpaire {
    pub(crate) crown_top: f64,
    pub(crate) crown_radius: f64,
    pub(crate) half_width: f64,
    pub(crate) shoulder: f64,
    pub(crate) waist_from: f64,
    pub(crate) convex: f64,
    pub(crate) concave: f64,
    pub(crate) bottom_half_width: f64,
    pub(crate) foot: f64,
}

impl Belpaire {
    /// Angle of either waist arc (rad).
    pub(crate) fn waist_angle(&self) -> f64 {
        acos(1.0 - (self.half_width - self.bottom_half_width) / (self.convex + self.concave))
    }

    /// Left half from the crown centre down.
    pub(crate) fn half(&self) -> Chain {
        let x = self.half_width - self.shoulder;
        let reach = self.crown_radius - self.shoulder;
        let alpha = asin(x / reach);
        let shoulder_z = self.crown_top - self.crown_radius + (reach * reach - x * x).sqrt();
        let theta = self.waist_angle();
        let drop = (self.convex + self.concave) * sin(theta);
        Chain::starting(Point2::new(0.0, self.crown_top), 0.0)
            .arc(self.crown_radius, -alpha)
            .arc(self.shoulder, -(FRAC_PI_2 - alpha))
            .line(shoulder_z - self.waist_from)
            .arc(self.convex, -theta)
            .arc(self.concave, theta)
            .line(self.waist_from - drop - self.foot)
            .finish()
    }

    /// From the right foot over the crown to the left foot.
    pub(crate) fn whole(&self) -> Chain {
        let left = self.half();
        left.mirrored_in_y_axis().reversed().joined(&left)
    }
}

/// The firebox of an invented 0-6-2T whose crown falls to the rear; `top` is the crown's height (in).
pub(crate) fn class_b(top: f64) -> Belpaire {
    Belpaire {
        crown_top: top,
        crown_radius: 144.0,
        half_width: 29.5,
        shoulder: 6.0,
        waist_from: 76.0,
        convex: 18.0,
        concave: 18.0,
        bottom_half_width: 24.0,
        foot: 50.0,
    }
}

/// The firebox of an invented 2-6-0 that tapers in plan and elevation (in).
pub(crate) fn class_m(top: f64, half_width: f64) -> Belpaire {
    Belpaire {
        crown_top: top,
        crown_radius: 240.0,
        half_width,
        shoulder: 8.0,
        waist_from: 92.0,
        convex: 24.0,
        concave: 18.0,
        bottom_half_width: 24.0,
        foot: 56.0,
    }
}

/// A wrapper of sheet so thin that every bend is mid-sheet.
pub(crate) fn wrapper(front: &Chain, rear: &Chain, length: f64) -> Loft {
    let frame = LoftFrame::along_engine(0.0);
    Loft::between(frame, front, rear, length, 1e-9, BendRule::Din6935).unwrap()
}

pub(crate) fn class_m_wrapper() -> Loft {
    wrapper(
        &class_m(138.0, 35.0).whole(),
        &class_m(133.0, 30.0).whole(),
        90.0,
    )
}

pub(crate) fn class_b_wrapper() -> Loft {
    wrapper(&class_b(120.0).whole(), &class_b(118.5).whole(), 66.0)
}

pub(crate) fn at(w: f64, v: f64) -> SurfacePoint {
    SurfacePoint { w, v }
}

pub(crate) fn rolled(loft: &Loft) -> Forming {
    Forming::Rolled(Box::new(loft.clone()))
}

/// One arc of a run with the straight before it; the angles of a run share out its turn.
#[derive(Clone, Debug)]
struct ArcSpec {
    straight: f64,
    radius: f64,
    share: f64,
}

/// One section: its runs, and how far each inflection is overturned beyond the common heading.
#[derive(Clone, Debug)]
struct SectionSpec {
    start: Point2,
    runs: Vec<Vec<ArcSpec>>,
    overturn: Vec<f64>,
    tail: f64,
}

/// Two sections that turn alike, and the distance between them (mm).
#[derive(Clone, Debug)]
pub(crate) struct Pair {
    pub(crate) front: Chain,
    pub(crate) rear: Chain,
    pub(crate) length: f64,
}

impl Pair {
    pub(crate) fn loft(&self) -> Loft {
        wrapper(&self.front, &self.rear, self.length)
    }
}

const MOST_RUNS: usize = 4;

fn arc_spec() -> impl Strategy<Value = ArcSpec> {
    let straight = prop_oneof![2 => Just(0.0), 3 => 0.5..20.0f64];
    let radius = prop_oneof![5 => 1.0..25.0f64, 1 => 200.0..600.0f64];
    (straight, radius, 0.2..1.0f64).prop_map(|(straight, radius, share)| ArcSpec {
        straight,
        radius,
        share,
    })
}

fn section_spec() -> impl Strategy<Value = SectionSpec> {
    let overturn = prop_oneof![2 => Just(0.0), 2 => 0.02..0.5f64];
    (
        (-6.0..6.0f64, -6.0..6.0f64),
        prop::collection::vec(prop::collection::vec(arc_spec(), 1..4), MOST_RUNS),
        prop::collection::vec(overturn, MOST_RUNS + 1),
        prop_oneof![Just(0.0), 0.5..20.0f64],
    )
        .prop_map(|((x, y), runs, overturn, tail)| SectionSpec {
            start: Point2::new(x, y),
            runs,
            overturn,
            tail,
        })
}

/// The front section with every radius changed by one amount: zero, all but zero, or plain.
fn follower(front: SectionSpec) -> impl Strategy<Value = SectionSpec> {
    let change = prop_oneof![
        Just(0.0),
        Just(1e-9),
        Just(-1e-9),
        1e-6..1e-3f64,
        0.1..4.0f64
    ];
    (change, -5.0..5.0f64).prop_map(move |(change, lift)| {
        let mut rear = front.clone();
        rear.start.y += lift;
        for arc in rear.runs.iter_mut().flatten() {
            arc.radius += change;
        }
        rear
    })
}

impl SectionSpec {
    /// Lays the section: run i turns by its common turn and by the overturn at either end.
    fn laid(&self, turns: &[f64], left_first: bool, heading: f64) -> Chain {
        let sign = |i: usize| {
            if i.is_multiple_of(2) == left_first {
                1.0
            } else {
                -1.0
            }
        };
        let start = heading - sign(0) * self.overturn[0];
        let mut laid = Chain::starting(self.start, start);
        for (i, &common) in turns.iter().enumerate() {
            let turn = common + self.overturn[i] + self.overturn[i + 1];
            let total: f64 = self.runs[i].iter().map(|arc| arc.share).sum();
            for arc in &self.runs[i] {
                let own = sign(i) * turn * arc.share / total;
                laid = laid.line(arc.straight).arc(arc.radius, own);
            }
        }
        laid.line(self.tail).finish()
    }
}

/// Random sections that a sheet can follow: equal signs of turn in equal order, everything else unlike.
pub(crate) fn pair() -> impl Strategy<Value = Pair> {
    let rear = section_spec().prop_flat_map(|front| {
        let own = front.clone();
        prop_oneof![2 => section_spec().boxed(), 1 => follower(front).boxed()]
            .prop_map(move |rear| (own.clone(), rear))
    });
    let turns = prop::collection::vec(
        prop_oneof![4 => 0.1..1.4f64, 1 => 1e-6..1e-3f64],
        1..=MOST_RUNS,
    );
    (rear, turns, any::<bool>(), -3.0..3.0f64, 40.0..120.0f64)
        .prop_map(|((front, rear), turns, left_first, heading, length)| Pair {
            front: front.laid(&turns, left_first, heading),
            rear: rear.laid(&turns, left_first, heading),
            length,
        })
        // A strongly tapered S can lap over itself on the flat, which no sheet metal worker would draw.
        .prop_filter("a flat that does not swing over itself", |pair| {
            let loft = pair.loft();
            (0..=40).all(|i| {
                let direction = loft
                    .ruling(loft.w_end() * f64::from(i) / 40.0)
                    .flat_direction;
                direction.x > 0.3
            })
        })
}
