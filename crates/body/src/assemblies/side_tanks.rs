//! The side tanks: side, front, inner plate and top of each.

use crate::fit::butt_joint;
use crate::rows::{eased_pitch, even_row, lay_border, lay_row};
use crate::upright::{Facing, FlatPlateOf, rectangle};
use crate::{Body, BodyError, Finding, FindingPlace, Model, Plate, Severity};
use geom::{Point2, Point3, Vector2};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let t = model.side_tanks();
    let wide = t.over / 2.0 - t.inner;
    if wide <= 4.0 * model.metal.thickness("tanks") {
        return Err(BodyError::Shape {
            path: "side_tanks.inner".to_owned(),
            sentence: format!("the tank is {wide:.2} mm wide on the model"),
            help:
                "the inner face must lie nearer to the centre line than half the width over tanks"
                    .to_owned(),
        });
    }
    if model.cab().front <= t.from {
        return Err(BodyError::Shape {
            path: "side_tanks.from".to_owned(),
            sentence: "the tanks begin behind the cab front".to_owned(),
            help: "both are measured from the front buffer-beam face".to_owned(),
        });
    }
    for left in [true, false] {
        let tank = Tank::new(model, left);
        let (side, front, inner, top) = (tank.side(), tank.front(), tank.inner(), tank.top());
        body.joints
            .push(butt_joint(model, (&front, "outer"), (&side, "inside")));
        body.joints
            .push(butt_joint(model, (&top, "outer"), (&side, "inside")));
        body.joints
            .push(butt_joint(model, (&top, "inner"), (&inner, "inside")));
        body.joints
            .push(butt_joint(model, (&top, "front"), (&front, "inside")));
        if let Some(footplate) = body.plate("footplate") {
            let feet: Vec<_> = [&side, &front, &inner]
                .into_iter()
                .map(|plate| butt_joint(model, (plate, "bottom"), (footplate, "top")))
                .collect();
            body.joints.extend(feet);
        }
        body.findings.extend(eased_pitch(
            &side,
            "rivets.platework.pitch",
            tank.length() - 2.0 * model.rivets.edge,
            model.rivets.platework.pitch,
        ));
        body.plates.extend([side, front, inner, top]);
    }
    if model.boiler.is_some() {
        note_boiler_gap(model, body);
    }
    Ok(())
}

/// One tank; all coordinates are for the left one and mirrored for the right.
struct Tank<'m> {
    model: &'m Model,
    left: bool,
}

impl<'m> Tank<'m> {
    fn new(model: &'m Model, left: bool) -> Self {
        Self { model, left }
    }

    fn word(&self) -> &'static str {
        if self.left { "left" } else { "right" }
    }

    fn sign(&self) -> f64 {
        if self.left { 1.0 } else { -1.0 }
    }

    fn length(&self) -> f64 {
        self.model.cab().front - self.model.side_tanks().from
    }

    fn thickness(&self) -> f64 {
        self.model.metal.thickness("tanks")
    }

    fn plate(
        &self,
        part: &str,
        outside_origin: Point3,
        facing: Facing,
        low: Point2,
        high: Point2,
        sides: [&str; 4],
    ) -> Plate {
        FlatPlateOf {
            id: format!("tank-{part}-{}", self.word()),
            assembly: "side-tanks",
            title: format!("Tank {part}, {}", self.word()),
            sheet: self.model.metal.sheet("tanks"),
            outside_origin,
            facing,
            outline: &rectangle(low, high),
            sides: &sides,
        }
        .plate()
    }

    /// Facing and origin x of a plate along the engine from `from` to `to`, seen from the tank's outer side or its inner.
    fn along(&self, outer: bool, from: f64, to: f64) -> (Facing, f64) {
        if self.left == outer {
            (Facing::Left, to)
        } else {
            (Facing::Right, from)
        }
    }

    fn side(&self) -> Plate {
        let t = self.model.side_tanks();
        let (facing, x) = self.along(true, t.from, self.model.cab().front);
        let (low, high) = (
            Point2::new(0.0, self.model.footplate.top),
            Point2::new(self.length(), t.top),
        );
        let ends = if self.left {
            ("front", "rear")
        } else {
            ("rear", "front")
        };
        let origin = Point3::new(x, self.sign() * t.over / 2.0, 0.0);
        let mut plate = self.plate(
            "side",
            origin,
            facing,
            low,
            high,
            ["bottom", ends.0, "top", ends.1],
        );
        self.rivet_side(&mut plate, low, high);
        plate
    }

    /// A border row and a row at each baffle.
    fn rivet_side(&self, plate: &mut Plate, low: Point2, high: Point2) {
        let spec = &self.model.rivets.platework;
        let edge = Vector2::new(self.model.rivets.edge, self.model.rivets.edge);
        let (low, high) = (low + edge, high - edge);
        lay_border(plate, spec, low, high, &["bottom", "right", "top", "left"]);
        // A baffle row stands on the rivets of the border rows, so that rows line up both ways.
        let bottom = even_row(low, Point2::new(high.x, low.y), spec.pitch);
        let bays = ((high.x - low.x) / self.model.side_tanks().baffles)
            .round()
            .max(1.0);
        for i in 1..bays as usize {
            let share = i as f64 / bays;
            let on_row = bottom[((bottom.len() - 1) as f64 * share).round() as usize].x;
            let row = even_row(
                Point2::new(on_row, low.y),
                Point2::new(on_row, high.y),
                spec.pitch,
            );
            lay_row(plate, &format!("baffle-{i}"), spec, row);
        }
    }

    fn front(&self) -> Plate {
        let t = self.model.side_tanks();
        let (inner, outer) = (t.inner, t.over / 2.0 - self.thickness());
        // Seen from the front the engine's left lies on the left hand, at negative flat x.
        let (low_x, high_x) = if self.left {
            (-outer, -inner)
        } else {
            (inner, outer)
        };
        let hands = if self.left {
            ("inner", "outer")
        } else {
            ("outer", "inner")
        };
        let origin = Point3::new(t.from, 0.0, 0.0);
        let (low, high) = (
            Point2::new(low_x, self.model.footplate.top),
            Point2::new(high_x, t.top),
        );
        let mut plate = self.plate(
            "front",
            origin,
            Facing::Front,
            low,
            high,
            ["bottom", hands.0, "top", hands.1],
        );
        let edge = Vector2::new(self.model.rivets.edge, self.model.rivets.edge);
        lay_border(
            &mut plate,
            &self.model.rivets.platework,
            low + edge,
            high - edge,
            &["bottom", "right", "top", "left"],
        );
        plate
    }

    fn inner(&self) -> Plate {
        let t = self.model.side_tanks();
        let from = t.from + self.thickness();
        let (facing, x) = self.along(false, from, self.model.cab().front);
        let ends = if self.left {
            ("rear", "front")
        } else {
            ("front", "rear")
        };
        let origin = Point3::new(x, self.sign() * t.inner, 0.0);
        let length = self.model.cab().front - from;
        self.plate(
            "inner",
            origin,
            facing,
            Point2::new(0.0, self.model.footplate.top),
            Point2::new(length, t.top - t.top_recess),
            ["bottom", ends.0, "top", ends.1],
        )
    }

    fn top(&self) -> Plate {
        let t = self.model.side_tanks();
        let from = t.from + self.thickness();
        let (inner, outer) = (t.inner + self.thickness(), t.over / 2.0 - self.thickness());
        let (low, high) = if self.left {
            (inner, outer)
        } else {
            (-outer, -inner)
        };
        let origin = Point3::new(from, 0.0, t.top - t.top_recess);
        let hands = if self.left {
            ("inner", "outer")
        } else {
            ("outer", "inner")
        };
        self.plate(
            "top",
            origin,
            Facing::Up,
            Point2::new(0.0, low),
            Point2::new(self.model.cab().front - from, high),
            [hands.0, "rear", hands.1, "front"],
        )
    }
}

/// Says so where the inner plate comes too near to the cladding.
fn note_boiler_gap(model: &Model, body: &mut Body) {
    let t = model.side_tanks();
    let b = model.boiler();
    let end = b.end().min(model.cab().front);
    let (radius, axis) = (b.radius(end), b.axis_height(end));
    // The tank's inner plate reaches from the footplate to its top; level with the pitch the barrel is widest.
    let nearest = if t.top >= axis {
        radius
    } else {
        (radius * radius - (axis - t.top) * (axis - t.top))
            .max(0.0)
            .sqrt()
    };
    let gap = t.inner - nearest;
    // Common practice, no source.
    let limit = model.scale.pick(0.3, 0.5);
    if gap < limit {
        body.findings.push(Finding {
            path: "side_tanks.inner".to_owned(),
            rule: "tank-near-boiler",
            severity: if gap < 0.0 { Severity::Error } else { Severity::Warning },
            found: gap,
            limit,
            at: FindingPlace {
                plate: Some("tank-inner-left".to_owned()),
                flat: None,
                body: Some(Point3::new(end, t.inner, axis.min(t.top))),
            },
            sentence: format!("the tank's inner plate stands {gap:.2} mm from the cladding; {limit:.1} mm and more builds well"),
        });
    }
}
