//! Whole bodies under another representation: turned and moved, ten times as large or small, left for right.
//! Gaps, lengths and areas follow; nothing else changes.

use crate::builds::{at_scale, built, every_body};
use body::{Body, Curve, Metal, Plate, Purpose, Scale};
use develop::{Folded, Forming, Loft, LoftFrame, Trace};
use geom::math::{cos, sin};
use geom::{Arc, BodyPoint, Chain, FlatPoint, Placement, Segment, Vector3};
use platework_tests::{close, sound::refuse_unsound};
use std::collections::BTreeMap;

/// Greatest change that rounding makes, as a share of the body's own size.
const SAME: f64 = 1e-9;

/// A movement of the whole body, with a change of size about the origin.
#[derive(Clone, Copy)]
struct Change {
    /// The body's axes afterwards.
    axes: [Vector3; 3],
    by: Vector3,
    times: f64,
}

impl Change {
    const STAY: Self = Self {
        axes: [
            Vector3::new(1.0, 0.0, 0.0),
            Vector3::new(0.0, 1.0, 0.0),
            Vector3::new(0.0, 0.0, 1.0),
        ],
        by: Vector3::new(0.0, 0.0, 0.0),
        times: 1.0,
    };

    /// Turned about the upright and then about the axis along the engine.
    fn turned(upright: f64, along: f64, by: Vector3) -> Self {
        let (a, b) = (upright, along);
        let turn = |v: Vector3| {
            let v = Vector3::new(
                cos(a) * v.x - sin(a) * v.y,
                sin(a) * v.x + cos(a) * v.y,
                v.z,
            );
            Vector3::new(
                v.x,
                cos(b) * v.y - sin(b) * v.z,
                sin(b) * v.y + cos(b) * v.z,
            )
        };
        Self {
            axes: Self::STAY.axes.map(turn),
            by,
            times: 1.0,
        }
    }

    fn direction(&self, v: Vector3) -> Vector3 {
        self.axes[0] * v.x + self.axes[1] * v.y + self.axes[2] * v.z
    }

    fn point(&self, p: BodyPoint) -> BodyPoint {
        BodyPoint::from(self.direction(p.coords) * self.times + self.by)
    }

    fn flat(&self, p: FlatPoint) -> FlatPoint {
        p * self.times
    }

    fn segment(&self, segment: &Segment) -> Segment {
        match *segment {
            Segment::Line { start, end } => Segment::line(self.flat(start), self.flat(end)),
            Segment::Arc(arc) => Segment::Arc(Arc {
                centre: self.flat(arc.centre),
                radius: arc.radius * self.times,
                ..arc
            }),
        }
    }

    fn curve(&self, curve: &Curve) -> Curve {
        match curve {
            Curve::Flat(segment) => Curve::Flat(self.segment(segment)),
            Curve::Surface(Trace::Bore {
                drill,
                along,
                across,
                radius,
            }) => Curve::Surface(Trace::Bore {
                drill: *drill,
                along: along * self.times,
                across: across * self.times,
                radius: radius * self.times,
            }),
            Curve::Surface(Trace::Cut {
                through,
                normal,
                from,
                to,
            }) => Curve::Surface(Trace::Cut {
                through: self.point(*through),
                normal: self.direction(*normal),
                from: *from,
                to: *to,
            }),
            Curve::Surface(trace) => Curve::Surface(trace.clone()),
        }
    }

    /// A section, without straights of no length: an apex of the loft.
    fn section(&self, chain: &Chain) -> Chain {
        let long = |s: &&Segment| matches!(s, Segment::Arc(_)) || s.length() > 1e-9;
        Chain::from_segments(
            (chain.segments().iter())
                .filter(long)
                .map(|s| self.segment(s)),
        )
    }

    /// The folds of a plate that is folded along grooves, made again from the lengths of its legs.
    fn folded(&self, plate: &Plate, loft: &Loft) -> Option<Folded> {
        let groove = plate
            .regions
            .iter()
            .find(|own| own.purpose == Purpose::Fold)?;
        let section = self.section(&loft.section_at(0.0));
        let straights = |chain: &Chain| -> Vec<f64> {
            let lines = chain
                .segments()
                .iter()
                .filter(|s| matches!(s, Segment::Line { .. }));
            lines.map(Segment::length).collect()
        };
        let turns: Vec<f64> = section
            .segments()
            .iter()
            .map(Segment::turn)
            .filter(|t| *t != 0.0)
            .collect();
        let thickness = plate.sheet.thickness() * self.times;
        let depth = thickness - (groove.z_high - groove.z_low) * self.times;
        let along = |legs: &[f64]| {
            let heading = section.tangent_angle_at(0.0);
            Folded::new(section.start(), heading, legs, &turns, thickness, depth).unwrap()
        };
        // Legs are measured over the outside; what a straight is shorter by depends on its folds alone.
        let wanted = straights(&section);
        let guess: Vec<f64> = wanted.iter().map(|own| own + 4.0 * thickness).collect();
        let made = straights(along(&guess).section());
        let legs: Vec<f64> = (0..wanted.len())
            .map(|i| guess[i] + wanted[i] - made[i])
            .collect();
        Some(along(&legs))
    }

    fn forming(&self, plate: &Plate) -> Forming {
        match &plate.forming {
            Forming::Flat(placement) => Forming::Flat(Placement::new(
                self.point(placement.origin),
                self.direction(placement.x_axis),
                self.direction(placement.y_axis),
            )),
            Forming::Rolled(loft) => {
                let frame = LoftFrame {
                    origin: self.point(loft.frame().origin),
                    axis: self.direction(loft.frame().axis),
                    across: self.direction(loft.frame().across),
                    up: self.direction(loft.frame().up),
                };
                if let Some(folded) = self.folded(plate, loft) {
                    let again = folded
                        .loft(frame, loft.axial_length() * self.times)
                        .unwrap_or_else(|error| panic!("{}: {error}", plate.id));
                    return Forming::Rolled(Box::new(again));
                }
                let again = Loft::between(
                    frame,
                    &self.section(&loft.section_at(0.0)),
                    &self.section(&loft.section_at(1.0)),
                    loft.axial_length() * self.times,
                    plate.sheet.thickness() * self.times,
                    plate.sheet.bend_rule,
                )
                .unwrap_or_else(|error| panic!("{}: {error}", plate.id));
                assert_eq!(again.patches().len(), loft.patches().len(), "{}", plate.id);
                Forming::Rolled(Box::new(again))
            }
        }
    }

    fn plate(&self, plate: &Plate) -> Plate {
        let mut own = plate.clone();
        own.forming = self.forming(plate);
        own.sheet.stock_thickness *= self.times;
        own.sheet.z_low *= self.times;
        own.sheet.z_high *= self.times;
        for edge in &mut own.outline {
            edge.curve = self.curve(&edge.curve);
        }
        for hole in &mut own.holes {
            hole.centre = self.flat(hole.centre);
            hole.diameter = hole.diameter.map(|d| d * self.times);
            hole.boundary = hole.boundary.iter().map(|c| self.curve(c)).collect();
        }
        for region in &mut own.regions {
            region.z_low *= self.times;
            region.z_high *= self.times;
            region.boundary = region.boundary.iter().map(|c| self.curve(c)).collect();
        }
        for rivet in &mut own.rivets {
            rivet.centre = self.flat(rivet.centre);
            rivet.head_diameter *= self.times;
            rivet.head_height *= self.times;
        }
        for (_, point) in &mut own.points {
            *point = self.flat(*point);
        }
        own
    }

    fn body(&self, body: &Body, metal: &Metal, scale: Scale) -> Body {
        let mut own = body.clone();
        own.plates = body.plates.iter().map(|plate| self.plate(plate)).collect();
        let mut metal = metal.clone();
        metal.film *= self.times;
        own.measure_joints(&metal, scale);
        own
    }
}

/// Refuses a changed body whose gaps, lengths, areas or volumes are not those of the original, in proportion.
fn refuse_unlike(name: &str, change: &Change, old: &Body, new: &Body) {
    let k = change.times;
    for (old, new) in old.joints.iter().zip(&new.joints) {
        let what = format!("{name}: gap of {}", old.id);
        close(new.gap / k, old.gap, 10.0 * SAME, &what);
    }
    for (old, new) in old.plates.iter().zip(&new.plates) {
        let what = |of: &str| format!("{name}: {of} of {}", old.id);
        let lengths = [old, new].map(|plate| plate.edge_lengths().unwrap());
        for (a, b) in lengths[0].iter().zip(&lengths[1]) {
            for (a, b) in [(a.flat, b.flat), (a.formed, b.formed)] {
                close(b / k, a, SAME * a.max(1.0), &what("side"));
            }
        }
        let areas = [old, new].map(|plate| plate.whole().unwrap());
        let (a, b) = (areas[0].flat_area, areas[1].flat_area);
        close(b / k / k, a, SAME * a.max(1.0), &what("flat area"));
        let (a, b) = (areas[0].formed.neutral_area, areas[1].formed.neutral_area);
        close(b / k / k, a, SAME * a.max(1.0), &what("formed area"));
        let volumes = [old, new].map(|plate| plate.expected_volume(true).unwrap());
        close(
            volumes[1] / k / k / k,
            volumes[0],
            SAME * volumes[0].max(1.0),
            &what("volume"),
        );
    }
}

const MODELS: [&str; 6] = [
    "class-b",
    "class-e",
    "class-s",
    "class-m2",
    "tender-t",
    "ten-wheeler",
];

#[test]
fn a_body_turned_and_moved_is_the_same() {
    for name in MODELS {
        let (model, body) = built(name, at_scale(Scale::Seven));
        for change in [
            Change::turned(0.7, 0.0, Vector3::new(31.0, -7.0, 3.0)),
            Change::turned(-2.1, 1.3, Vector3::new(-250.0, 90.0, 400.0)),
        ] {
            let moved = change.body(&body, &model.metal, model.scale);
            refuse_unlike(name, &change, &body, &moved);
            refuse_unsound(&moved).expect("its plates have solids");
        }
    }
}

#[test]
fn a_body_of_another_size_is_in_proportion() {
    for name in MODELS {
        let (model, body) = built(name, at_scale(Scale::Seven));
        for n in -2..=2 {
            let change = Change {
                times: 10f64.powi(n),
                ..Change::STAY
            };
            let sized = change.body(&body, &model.metal, model.scale);
            refuse_unlike(&format!("{name} × 10^{n}"), &change, &body, &sized);
        }
    }
}

/// Corners of the outline and centres of the openings in space, seen from the other side of the engine.
fn seen_points(plate: &Plate, mirrored: bool) -> Vec<BodyPoint> {
    let corners = (plate.outline.iter()).map(|edge| plate.flat_point(&edge.curve, 0.0).unwrap());
    let centres = plate.holes.iter().map(|hole| hole.centre);
    let rivets = plate.rivets.iter().map(|rivet| rivet.centre);
    let hand = if mirrored { -1.0 } else { 1.0 };
    corners
        .chain(centres)
        .chain(rivets)
        .map(|flat| plate.forming.place(flat).at_height(plate.sheet.z_high))
        .map(|p| BodyPoint::new(p.x, hand * p.y, p.z))
        .collect()
}

/// Every plate of the left is the mirror image of its fellow on the right.
#[test]
fn left_is_the_mirror_image_of_right() {
    let mut pairs: BTreeMap<String, usize> = BTreeMap::new();
    for (name, _, body) in every_body() {
        for left in &body.plates {
            let id = left.id.replace("-left", "-right");
            if id == left.id {
                continue;
            }
            let right = body
                .plate(&id)
                .unwrap_or_else(|| panic!("{name}: {} has no fellow", left.id));
            let areas = [left, right].map(|plate| plate.flat_area().unwrap());
            close(
                areas[0],
                areas[1],
                SAME * areas[0],
                &format!("{name}: area of {id}"),
            );
            let (ours, theirs) = (seen_points(left, true), seen_points(right, false));
            assert_eq!(ours.len(), theirs.len(), "{name}: {id}");
            for point in &ours {
                let nearest = theirs
                    .iter()
                    .map(|own| (own - point).norm())
                    .fold(f64::INFINITY, f64::min);
                close(
                    nearest,
                    0.0,
                    1e-7,
                    &format!("{name}: {} against {id}", left.id),
                );
            }
            *pairs.entry(name.clone()).or_default() += 1;
        }
    }
    assert_eq!(
        pairs.len(),
        20,
        "models with plates on both sides: {pairs:?}"
    );
    assert!(pairs.values().all(|count| *count >= 4), "{pairs:?}");
}
