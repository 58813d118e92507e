//! One patch of a loft: a plane between two lines, or a cone between two arcs.

use crate::chebyshev::{Series, TERMS};
use crate::loft::LoftFrame;
use geom::math::sin_cos;
use geom::{FlatPoint, Point2, Vector2, Vector3};

/// A fan of tangents about a centre: an arc seen from inside, a point if the radius is zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Fan {
    pub(crate) centre: Point2,
    /// Radius (mm), zero at an apex.
    pub(crate) radius: f64,
}

/// What a patch is in the two section planes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum PatchShape {
    /// Straight in both sections (or a point in one): the tangent is the same all along.
    Plane {
        front: (Point2, Point2),
        rear: (Point2, Point2),
        /// Direction of the section (unit vector).
        tangent: Vector2,
    },
    /// Turning in both sections about their centres from one heading to the other.
    Cone {
        front: Fan,
        rear: Fan,
        from: f64,
        to: f64,
        /// How far the neutral line lies inside mid-sheet, towards the centre of the bend (mm).
        neutral_shift: f64,
    },
}

/// A ruling of a patch, in both states.
#[derive(Clone, Copy, Debug)]
pub struct Ruling {
    /// Front end in the section plane.
    pub(crate) front: Point2,
    /// Rear end in the section plane.
    pub(crate) rear: Point2,
    /// Direction of the section (unit vector), the same at both ends.
    pub(crate) tangent: Vector2,
    /// Front end on the flat.
    pub flat: FlatPoint,
    /// Direction of the ruling on the flat (unit vector).
    pub flat_direction: Vector2,
    /// Length (mm).
    pub length: f64,
}

/// Rates of a patch per unit of its parameter (radian of turn, or fraction of a plane).
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rates {
    /// Ruling vector length (mm).
    pub(crate) ruling: f64,
    /// Cosine of the angle from ruling to section tangent.
    pub(crate) cos_beta: f64,
    /// Sine of the same.
    pub(crate) sin_beta: f64,
    /// Speed of the front end along its section, on the neutral line (mm).
    pub(crate) front_speed: f64,
    /// Speed of the rear end along its section, on the neutral line (mm).
    pub(crate) rear_speed: f64,
    /// Turn of the ruling in the tangent plane (rad).
    pub(crate) swing: f64,
    /// Turn of the surface about the ruling (rad), negative where the outside is convex.
    pub(crate) bend: f64,
}

/// A patch of a loft with its table of the flat.
#[derive(Clone, Debug, PartialEq)]
pub struct Patch {
    pub(crate) shape: PatchShape,
    table: FlatTable,
}

#[derive(Clone, Debug, PartialEq)]
enum FlatTable {
    Plane {
        start: FlatPoint,
        along: Vector2,
        across: Vector2,
        front: (f64, f64),
    },
    Cone {
        panels: Vec<Panel>,
    },
}

/// Series of the flat over a part of a cone's turn.
#[derive(Clone, Debug, PartialEq)]
struct Panel {
    to: f64,
    direction: Series,
    x: Series,
    y: Series,
}

/// Widest turn that one panel of the table covers (rad).
const PANEL_RAD: f64 = 0.55;

/// A panel's series have settled when their last terms are below this share of the ruling and the radius.
const SETTLED: f64 = 1e-13;

/// Halvings of a panel after which it is taken as it is: 2⁻⁸ of half a radian is 2 mrad.
const MOST_HALVINGS: u32 = 8;

impl PatchShape {
    /// Span of the patch's parameter: radians of turn, or 1 for a plane.
    pub(crate) fn span(&self) -> f64 {
        match self {
            Self::Plane { .. } => 1.0,
            Self::Cone { from, to, .. } => (to - from).abs(),
        }
    }

    /// Section points and the section's tangent (unit vector) at parameter `s`.
    pub(crate) fn section(&self, s: f64) -> (Point2, Point2, Vector2) {
        match self {
            Self::Plane {
                front,
                rear,
                tangent,
            } => (
                front.0 + (front.1 - front.0) * s,
                rear.0 + (rear.1 - rear.0) * s,
                *tangent,
            ),
            Self::Cone {
                front,
                rear,
                from,
                to,
                ..
            } => {
                let side = (to - from).signum();
                let (sin_h, cos_h) = sin_cos(from + side * s);
                // The centre lies to the side of the turn: left for a positive one.
                let spoke = Vector2::new(sin_h, -cos_h) * side;
                (
                    front.centre + spoke * front.radius,
                    rear.centre + spoke * rear.radius,
                    Vector2::new(cos_h, sin_h),
                )
            }
        }
    }

    /// Rates at parameter `s` for sections `length` apart.
    pub(crate) fn rates(&self, s: f64, length: f64) -> Rates {
        let (front, rear, tangent) = self.section(s);
        let across = rear - front;
        let left = Vector2::new(-tangent.y, tangent.x);
        let ruling = (length * length + across.norm_squared()).sqrt();
        let cos_beta = across.dot(&tangent) / ruling;
        let rise = across.dot(&left);
        // |ruling × tangent| without the loss of 1 − cos².
        let square = (length * length + rise * rise).sqrt();
        let sin_beta = square / ruling;
        match self {
            Self::Plane { front, rear, .. } => {
                let front_speed = (front.1 - front.0).norm();
                let rear_speed = (rear.1 - rear.0).norm();
                Rates {
                    ruling,
                    cos_beta,
                    sin_beta,
                    front_speed,
                    rear_speed,
                    swing: (rear_speed - front_speed) * sin_beta / ruling,
                    bend: 0.0,
                }
            }
            Self::Cone {
                front,
                rear,
                from,
                to,
                neutral_shift,
            } => Rates {
                ruling,
                cos_beta,
                sin_beta,
                front_speed: front.radius - neutral_shift,
                rear_speed: rear.radius - neutral_shift,
                swing: (rear.radius - front.radius) * sin_beta / ruling,
                bend: (to - from).signum() * length / (square * sin_beta),
            },
        }
    }
}

impl Patch {
    /// Lays the patch on the flat, its first ruling beginning at `start` in direction `direction` (rad).
    pub(crate) fn laid(shape: PatchShape, length: f64, start: FlatPoint, direction: f64) -> Self {
        let table = match &shape {
            PatchShape::Plane { .. } => {
                let rates = shape.rates(0.0, length);
                let (s, c) = sin_cos(direction);
                let along = Vector2::new(c, s);
                let left = Vector2::new(-s, c);
                FlatTable::Plane {
                    start,
                    along: along * rates.ruling,
                    across: along * rates.cos_beta + left * rates.sin_beta,
                    front: (rates.front_speed, rates.rear_speed),
                }
            }
            PatchShape::Cone { .. } => FlatTable::Cone {
                panels: cone_panels(&shape, length, start, direction),
            },
        };
        Self { shape, table }
    }

    /// Front end on the flat and direction of the ruling (a vector of the ruling's length, `ruling` for a cone).
    fn flat_ruling(&self, s: f64, ruling: f64) -> (FlatPoint, Vector2) {
        match &self.table {
            FlatTable::Plane {
                start,
                along,
                across,
                front,
            } => (
                start + across * (front.0 * s),
                along + across * ((front.1 - front.0) * s),
            ),
            FlatTable::Cone { panels } => {
                let last = panels.len() - 1;
                let panel = &panels[panels.iter().position(|p| s <= p.to).unwrap_or(last)];
                let [direction, x, y] = Series::all_at([&panel.direction, &panel.x, &panel.y], s);
                let (sin_d, cos_d) = sin_cos(direction);
                (FlatPoint::new(x, y), Vector2::new(cos_d, sin_d) * ruling)
            }
        }
    }

    /// The ruling at parameter `s` for sections `length` apart.
    pub(crate) fn ruling(&self, s: f64, length: f64) -> Ruling {
        let (front, rear, tangent) = self.shape.section(s);
        let full = (length * length + (rear - front).norm_squared()).sqrt();
        let (flat, vector) = self.flat_ruling(s, full);
        let length = vector.norm();
        Ruling {
            front,
            rear,
            tangent,
            flat,
            flat_direction: vector / length,
            length,
        }
    }

    /// The parameter of the ruling on which a point of the flat lies, searched over the patch.
    ///
    /// A point beyond the first or last ruling takes that ruling.
    pub(crate) fn parameter_at(&self, point: FlatPoint, length: f64) -> f64 {
        let span = self.shape.span();
        // How far the point lies beyond a ruling, and the rate at which rulings come nearer to it.
        let beyond = |s: f64| {
            let rates = self.shape.rates(s, length);
            let (start, vector) = self.flat_ruling(s, rates.ruling);
            let (from, along) = (point - start, vector / rates.ruling);
            let rate = rates.swing * along.dot(&from) + rates.front_speed * rates.sin_beta;
            (along.perp(&from), rate)
        };
        // A few units in the last place: nearer to the ruling Newton's steps are rounding.
        let rounding = 8.0 * f64::EPSILON * span.max(1.0);
        let (mut low, mut high) = (0.0, span);
        // Ends that a point may still lie beyond. An end is asked once a step leads past it, and not if the middle lies between it
        // and the point: on the flat of a wide cone it has swung by more than half a turn then, and cannot say on which side it is.
        let (mut below, mut above) = (true, true);
        let mut s = span / 2.0;
        for _ in 0..60 {
            let (value, rate) = beyond(s);
            if value > 0.0 {
                (low, below) = (s, false);
            } else {
                (high, above) = (s, false);
            }
            let newton = s + value / rate;
            if above && newton >= span - rounding {
                if beyond(span).0 >= 0.0 {
                    return span;
                }
                above = false;
            } else if below && newton <= rounding {
                if beyond(0.0).0 <= 0.0 {
                    return 0.0;
                }
                below = false;
            }
            if (newton - s).abs() <= rounding {
                return newton.clamp(low, high);
            }
            s = if newton > low && newton < high {
                newton
            } else {
                (low + high) / 2.0
            };
        }
        s
    }

    /// Parameters at which the panels of the patch's table begin and end.
    pub(crate) fn panel_ends(&self) -> Vec<f64> {
        let mut ends = vec![0.0];
        match &self.table {
            FlatTable::Plane { .. } => ends.push(1.0),
            FlatTable::Cone { panels } => ends.extend(panels.iter().map(|panel| panel.to)),
        }
        ends
    }

    /// True for a patch that bends.
    pub fn is_bent(&self) -> bool {
        matches!(self.shape, PatchShape::Cone { .. })
    }

    /// Angle that the patch turns through in the section plane (rad), zero for a plane.
    pub fn turn(&self) -> f64 {
        match self.shape {
            PatchShape::Plane { .. } => 0.0,
            PatchShape::Cone { from, to, .. } => to - from,
        }
    }

    /// Mid-sheet radii of the bend at the front and rear section (mm); `None` for a plane.
    pub fn radii(&self) -> Option<(f64, f64)> {
        match self.shape {
            PatchShape::Plane { .. } => None,
            PatchShape::Cone { front, rear, .. } => Some((front.radius, rear.radius)),
        }
    }

    /// How far the neutral line lies inside mid-sheet, towards the centre of the bend (mm).
    pub fn neutral_shift(&self) -> f64 {
        match self.shape {
            PatchShape::Plane { .. } => 0.0,
            PatchShape::Cone { neutral_shift, .. } => neutral_shift,
        }
    }
}

/// Integrates direction and front edge of a cone's flat, panel by panel.
fn cone_panels(shape: &PatchShape, length: f64, start: FlatPoint, direction: f64) -> Vec<Panel> {
    let span = shape.span();
    let n = (span / PANEL_RAD).ceil().max(1.0) as usize;
    // Stretches still to be laid, the next one last.
    let mut ahead: Vec<(f64, f64, u32)> = (0..n)
        .rev()
        .map(|i| {
            (
                span * i as f64 / n as f64,
                span * (i + 1) as f64 / n as f64,
                0,
            )
        })
        .collect();
    let (mut at, mut heading) = (start, direction);
    let mut panels = Vec::new();
    while let Some((from, to, halvings)) = ahead.pop() {
        let (panel, settled) = cone_panel(shape, length, (from, to), at, heading);
        if !settled && halvings < MOST_HALVINGS {
            let middle = (from + to) / 2.0;
            ahead.push((middle, to, halvings + 1));
            ahead.push((from, middle, halvings + 1));
            continue;
        }
        at = FlatPoint::new(panel.x.at(to), panel.y.at(to));
        heading = panel.direction.at(to);
        panels.push(panel);
    }
    panels
}

/// One panel, and whether its series have settled: a strong taper over a short length makes the rates
/// change within a fraction of the panel.
fn cone_panel(
    shape: &PatchShape,
    length: f64,
    (from, to): (f64, f64),
    at: FlatPoint,
    heading: f64,
) -> (Panel, bool) {
    let nodes = Series::nodes(from, to);
    let rates = nodes.map(|s| shape.rates(s, length));
    let swing = Series::through(from, to, &rates.map(|r| r.swing));
    let direction = swing.integral(heading);
    let mut dx = [0.0; TERMS];
    let mut dy = [0.0; TERMS];
    for (j, rate) in rates.iter().enumerate() {
        let (s, c) = sin_cos(direction.at(nodes[j]));
        dx[j] = rate.front_speed * (rate.cos_beta * c - rate.sin_beta * s);
        dy[j] = rate.front_speed * (rate.cos_beta * s + rate.sin_beta * c);
    }
    let (dx, dy) = (
        Series::through(from, to, &dx),
        Series::through(from, to, &dy),
    );
    // An error of the direction moves the far end of a ruling.
    let unresolved = swing.tail() * rates[0].ruling + dx.tail() + dy.tail();
    let settled = unresolved < SETTLED * (rates[0].ruling + rates[0].front_speed);
    let panel = Panel {
        to,
        direction,
        x: dx.integral(at.x),
        y: dy.integral(at.y),
    };
    (panel, settled)
}

/// Unit vectors of the formed tangent plane on a ruling: along it, square to it, and outward.
pub(crate) fn formed_frame(ruling: &Ruling, frame: &LoftFrame, length: f64) -> [Vector3; 3] {
    let across = ruling.rear - ruling.front;
    let e = (frame.axis * length + frame.direction(across)).normalize();
    let tangent = frame.direction(ruling.tangent);
    let normal = e.cross(&tangent).normalize();
    [e, normal.cross(&e), normal]
}
