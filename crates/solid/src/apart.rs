//! How the parts of a body move when it is drawn apart.

use body::{Body, Fitting, FittingShape, Order, Plate};
use geom::{BodyPoint, Vector3};

/// Share of the body's longest side that a part moves off what it goes onto: chosen by eye.
const REACH: f64 = 0.12;

/// How far a plate that goes onto no other moves inwards, as a share of what it moves off: chosen by eye.
const INWARDS: f64 = 0.4;

/// Distance below which two middles lie in one plane (mm): less than any plate is thick.
const LEVEL_MM: f64 = 0.1;

/// A part drawn out of the body.
#[derive(Clone, Debug, PartialEq)]
pub struct Apart {
    /// The plate or fitting.
    pub id: String,
    /// Its turn to leave, from 0; several fittings leave together.
    pub turn: usize,
    /// Where it goes (mm, body frame).
    pub by: Vector3,
}

/// Draws a body apart, from the last step of its order of assembly to the first.
///
/// A plate leaves what it goes onto along its own normal (a wrapper along its normal at the crown), goes as
/// far as those plates will go themselves, and farther the later it was put in place. The plate that most
/// others go onto stays; those that go onto none leave it upwards. Fittings leave first, along their own
/// axis and with the plate that they sit on; those of a sub-assembly without plates, wheels and frames, to
/// the side of the body that they are on.
pub fn draw_apart(body: &Body, order: &Order) -> Vec<Apart> {
    let boxes: Vec<Bounds> = body.plates.iter().map(Bounds::of_plate).collect();
    let fittings: Vec<Bounds> = body.fittings.iter().map(Bounds::of_fitting).collect();
    let all = boxes.iter().chain(&fittings);
    let whole = all.fold(Bounds::EMPTY, |whole, own| whole.with(own));
    let size = (whole.high - whole.low).amax();
    let reach = if size.is_finite() { REACH * size } else { 0.0 };
    let last = order.steps.len().saturating_sub(1);
    let place = |id: &str| body.plates.iter().position(|plate| plate.id == id);
    let stays = ground(body);
    let mut by = vec![Vector3::zeros(); body.plates.len()];
    let mut moves = Vec::new();
    for (number, step) in order.steps.iter().enumerate() {
        let Some(plate) = place(&step.plate) else {
            continue;
        };
        let under: Vec<usize> = body
            .joints
            .iter()
            .filter(|joint| step.onto.contains(&joint.id))
            .flat_map(|joint| [&joint.a.plate, &joint.b.plate])
            .filter(|id| **id != step.plate)
            .filter_map(|id| place(id))
            .collect();
        let mean = |of: &dyn Fn(usize) -> Vector3| {
            let sum: Vector3 = under.iter().map(|&own| of(own)).sum();
            sum / under.len().max(1) as f64
        };
        let normal = outward(&body.plates[plate]);
        let away = if under.is_empty() {
            // Off the plate that stays, and inwards: formers of neighbours stand back to back.
            let side = stays.map(|ground| boxes[ground].side_of(boxes[plate].middle()));
            side.unwrap_or_else(Vector3::zeros) - normal * INWARDS
        } else {
            let under = mean(&|own| boxes[own].middle().coords);
            let off = (boxes[plate].middle().coords - under).dot(&normal);
            if off < -LEVEL_MM { -normal } else { normal }
        };
        let farther = 0.75 + 0.5 * number as f64 / last.max(1) as f64;
        if stays != Some(plate) {
            by[plate] = mean(&|own| by[own]) + away * (reach * farther);
            // Where it goes onto plates that go unlike ways, the mean may come out at one of them. Each of
            // them bars two steps at most.
            for _ in 0..2 * under.len() {
                if under
                    .iter()
                    .any(|&own| (by[plate] - by[own]).norm() < reach / 2.0)
                {
                    by[plate] += away * (reach / 2.0);
                }
            }
        }
        moves.push(Apart {
            id: step.plate.clone(),
            turn: 1 + last - number,
            by: by[plate],
        });
    }
    for (fitting, own) in body.fittings.iter().zip(&fittings) {
        let near = (0..boxes.len())
            .filter(|&plate| body.plates[plate].assembly == fitting.assembly)
            .min_by(|&a, &b| {
                own.apart_from(&boxes[a])
                    .total_cmp(&own.apart_from(&boxes[b]))
            });
        let (with, side) = match near {
            Some(plate) => {
                let axis = axis_of(fitting);
                let off = (own.middle() - whole.middle()).dot(&axis);
                (by[plate], if off < 0.0 { -axis } else { axis })
            }
            None => (Vector3::zeros(), whole.side_of(own.middle())),
        };
        moves.push(Apart {
            id: fitting.id.clone(),
            turn: 0,
            by: with + side * (1.25 * reach),
        });
    }
    moves
}

/// The plate that most others go onto, the first listed among equals.
fn ground(body: &Body) -> Option<usize> {
    let load = |plate: &Plate| {
        let carried = body.joints.iter().filter(|joint| joint.b.plate == plate.id);
        carried.count()
    };
    (0..body.plates.len()).min_by_key(|&i| std::cmp::Reverse(load(&body.plates[i])))
}

/// Outward normal of a plate, of a rolled one at the ruling that is its middle.
fn outward(plate: &Plate) -> Vector3 {
    match &plate.forming {
        develop::Forming::Flat(placement) => placement.normal(),
        develop::Forming::Rolled(loft) => loft.formed_axes(loft.datum())[2],
    }
}

/// Unit vector along which a fitting is turned, or square to a slab.
fn axis_of(fitting: &Fitting) -> Vector3 {
    match &fitting.shape {
        FittingShape::Turned { axis, .. } => *axis,
        FittingShape::Seated(_) => Vector3::z(),
        FittingShape::Slab { placement, .. } => placement.normal(),
    }
}

/// Box along the axes of the body.
#[derive(Clone, Copy)]
struct Bounds {
    low: Vector3,
    high: Vector3,
}

impl Bounds {
    const EMPTY: Self = Self {
        low: Vector3::new(f64::INFINITY, f64::INFINITY, f64::INFINITY),
        high: Vector3::new(f64::NEG_INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY),
    };

    fn with_point(self, point: BodyPoint) -> Self {
        Self {
            low: self.low.inf(&point.coords),
            high: self.high.sup(&point.coords),
        }
    }

    fn with(self, other: &Self) -> Self {
        Self {
            low: self.low.inf(&other.low),
            high: self.high.sup(&other.high),
        }
    }

    fn middle(&self) -> BodyPoint {
        BodyPoint::from((self.low + self.high) / 2.0)
    }

    /// Of a plate's outline at nine points a side: near enough to say where it lies.
    fn of_plate(plate: &Plate) -> Self {
        let points = plate.outline.iter().flat_map(|edge| {
            (0..=8).filter_map(|i| plate.flat_point(&edge.curve, f64::from(i) / 8.0).ok())
        });
        points.fold(Self::EMPTY, |own, point| {
            own.with_point(plate.forming.place(point).point)
        })
    }

    fn of_fitting(fitting: &Fitting) -> Self {
        match &fitting.shape {
            FittingShape::Turned {
                foot,
                axis,
                profile,
            } => profile.segments().iter().fold(Self::EMPTY, |own, segment| {
                own.with_point(foot + axis * segment.start().y)
            }),
            FittingShape::Seated(own) => {
                let profile = own.profile.segments().iter();
                profile.fold(Self::EMPTY, |bounds, segment| {
                    bounds.with_point(own.foot + Vector3::z() * segment.start().y)
                })
            }
            FittingShape::Slab {
                placement,
                outline,
                low,
                high,
                ..
            } => outline.segments().iter().fold(Self::EMPTY, |own, segment| {
                own.with_point(placement.point(segment.start(), *low))
                    .with_point(placement.point(segment.start(), *high))
            }),
        }
    }

    /// Distance between two boxes (mm), zero where they meet.
    fn apart_from(&self, other: &Self) -> f64 {
        let gap = (self.low - other.high).sup(&(other.low - self.high));
        gap.sup(&Vector3::zeros()).norm()
    }

    /// Unit vector along the axis on which a point lies farthest from the middle, in shares of the box.
    fn side_of(&self, point: BodyPoint) -> Vector3 {
        let half = (self.high - self.low) / 2.0;
        let from = point - self.middle();
        let share = from.component_div(&half.map(|x| x.max(LEVEL_MM)));
        let axis = share.iamax();
        let mut side = Vector3::zeros();
        side[axis] = if share[axis] < 0.0 { -1.0 } else { 1.0 };
        side
    }
}
