//! Bogies, pony trucks and radial trucks: two sides and a stretcher with a pivot.

use super::frames::{screw, shaft};
use super::run::Run;
use super::side_plate::{SidePlateOf, cut_side, hand};
use crate::fit::{butt_joint, hole_joint};
use crate::model::specs::AxleKind;
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf, cut, drill, rounded_rectangle};
use crate::{Body, BodyError, Model, Plate, TruckKind};
use geom::{Outline, Point2, Point3, Vector2};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    for truck in trucks(model) {
        truck.build(model, body)?;
    }
    Ok(())
}

/// Axles that one truck holds.
#[derive(Clone, Debug)]
pub(super) struct Truck {
    /// `bogie`, `pony-2`: numbered by its first axle where there are several.
    pub(super) id: String,
    title: &'static str,
    kind: AxleKind,
    /// Number and x of each axle, front to rear.
    axles: Vec<(usize, f64)>,
    /// Radius of its wheels on tread.
    pub(super) radius: f64,
    /// x of its pivot.
    pub(super) pivot: f64,
}

/// The trucks of an engine, front to rear: neighbouring axles of a bogie are one truck.
pub(super) fn trucks(model: &Model) -> Vec<Truck> {
    let mut all: Vec<Truck> = Vec::new();
    let mut before: Option<AxleKind> = None;
    for (i, axle) in model.running.axles.iter().enumerate() {
        let (title, word) = match axle.kind {
            AxleKind::Bogie => ("Bogie", "bogie"),
            AxleKind::Pony => ("Pony truck", "pony"),
            AxleKind::Radial => ("Radial truck", "radial"),
            AxleKind::Coupled | AxleKind::Carrying => {
                before = Some(axle.kind);
                continue;
            }
        };
        match all.last_mut() {
            Some(last) if axle.kind == AxleKind::Bogie && before == Some(AxleKind::Bogie) => {
                last.axles.push((i + 1, axle.x));
                last.radius = last.radius.max(axle.diameter / 2.0);
                last.pivot = axle.pivot.unwrap_or((last.first().1 + axle.x) / 2.0);
            }
            _ => all.push(Truck {
                id: format!("{word}-{}", i + 1),
                title,
                kind: axle.kind,
                axles: vec![(i + 1, axle.x)],
                radius: axle.diameter / 2.0,
                pivot: axle.pivot.unwrap_or_else(|| half_way(model, axle.x)),
            }),
        }
        before = Some(axle.kind);
    }
    all
}

/// The trucks as a chassis has them.
pub(crate) fn trucks_of(model: &Model) -> Vec<crate::Truck> {
    let plan = |truck: Truck| crate::Truck {
        kind: if truck.kind == AxleKind::Bogie {
            TruckKind::Bogie
        } else {
            TruckKind::Swinging
        },
        axles: truck.axles.iter().map(|(number, _)| *number).collect(),
        pivot: truck.pivot,
        slide: truck.slide(model),
        id: truck.id,
    };
    trucks(model).into_iter().map(plan).collect()
}

impl Truck {
    /// How far the pin of a bogie's pivot slides each way in its slot (mm): what the least radius asks for and
    /// a little more, as far as the stretcher has room.
    fn slide(&self, model: &Model) -> f64 {
        let t = model.metal.thickness("frames");
        let room = Self::half_over(model) - t - screw(model) / 2.0 - 2.0 * t;
        let asked = self.asked_slide(model) + model.scale.pick(0.3, 0.5);
        // Never less than what a straight track asks for: common practice, no source.
        asked.max(model.scale.pick(0.9, 1.4)).min(room.max(0.1))
    }

    /// Slide of the pivot on the least radius (mm), to second order in length over radius: `docs/derivations.md`,
    /// trucks on curves.
    fn asked_slide(&self, model: &Model) -> f64 {
        let all = model.running.axles.iter();
        let rigid: Vec<f64> = all
            .filter(|axle| axle.kind.in_frames())
            .map(|axle| axle.x)
            .collect();
        let (Some(first), Some(last)) = (rigid.first(), rigid.last()) else {
            return 0.0;
        };
        let (x, base) = (self.pivot - (first + last) / 2.0, last - first);
        let own = self.last().1 - self.first().1;
        (x * x - base * base / 4.0 + own * own / 4.0) / (2.0 * model.running.least_radius)
    }
}

/// Half way to the nearest axle that the frames hold: chosen, not sourced.
fn half_way(model: &Model, x: f64) -> f64 {
    model
        .running
        .axles
        .iter()
        .filter(|axle| axle.kind.in_frames())
        .map(|axle| axle.x)
        .min_by(|a, b| (a - x).abs().total_cmp(&(b - x).abs()))
        .map_or(x, |other| (x + other) / 2.0)
}

impl Truck {
    pub(super) fn first(&self) -> (usize, f64) {
        *self.axles.first().expect("a truck has an axle")
    }

    pub(super) fn last(&self) -> (usize, f64) {
        *self.axles.last().expect("a truck has an axle")
    }

    /// Radius that a wheel needs about its axle, its flange, springing and swing included (mm): common
    /// practice, no source.
    pub(super) fn swept(&self, model: &Model) -> f64 {
        self.radius + model.wheels.dimensions().flange_depth + model.scale.pick(1.0, 1.6)
    }

    /// Half the width over the sides (mm), clear of the backs of the tyres: common practice, no source.
    fn half_over(model: &Model) -> f64 {
        model.wheels.dimensions().back_to_back / 2.0 - model.scale.pick(0.5, 0.8)
    }

    /// Height of the stretcher's upper face: clear of the axles that pass below it.
    fn stretcher_top(&self, model: &Model) -> f64 {
        let t = model.metal.thickness("frames");
        self.radius + shaft(model) + model.scale.pick(0.4, 0.6) + t
    }

    fn build(&self, model: &Model, body: &mut Body) -> Result<(), BodyError> {
        let sheet = model.metal.sheet("frames");
        let t = sheet.thickness();
        let between = Self::half_over(model) - t;
        if !(between > 4.0 * t && self.radius > shaft(model) + 3.0 * t) {
            return Err(BodyError::Shape {
                path: format!("axles[{}].diameter", self.first().0 - 1),
                sentence: "the wheels of the truck leave no room for its sides".to_owned(),
                help: "check the diameter of the wheels".to_owned(),
            });
        }
        for left in [true, false] {
            body.plates.push(self.side(model, left));
        }
        let stretcher = self.stretcher(model, between);
        let id = stretcher.id.clone();
        for side in ["left", "right"] {
            if let Some(own) = body.plate(&format!("{}-side-{side}", self.id)) {
                let joint = butt_joint((&stretcher, side), (own, "inside"));
                body.joints.push(joint);
            }
        }
        if let Some(spacer) = body.plate(&format!("spacer-{}", self.id)) {
            let joint = hole_joint((&stretcher, "pivot"), (spacer, "pivot"));
            body.joints.push(joint);
        }
        body.plates.push(stretcher);
        for side in ["left", "right"] {
            let into = format!("{}-side-{side}", self.id);
            let edge = (id.as_str(), side);
            tab_into(model, body, edge, &into, Tabbing::default(), "axles")?;
        }
        Ok(())
    }

    fn side(&self, model: &Model, left: bool) -> Plate {
        let sheet = model.metal.sheet("frames");
        let t = sheet.thickness();
        // Beyond the axles and below them: chosen, not sourced.
        let beyond = (0.45 * self.radius).max(shaft(model) + 3.0 * t);
        let (from, to) = (self.first().1 - beyond, self.last().1 + beyond);
        let low = (self.radius - 0.35 * self.radius).min(self.radius - shaft(model) - 2.0 * t);
        let top = self.stretcher_top(model) + 1.5 * t;
        let corner = 0.2 * self.radius;
        let mut run = Run::default();
        run.line(from + corner, low, "bottom");
        run.line(to - corner, low, "bottom-rear");
        run.line(to, low + corner, "rear");
        run.line(to, top, "top");
        run.line(from, top, "front");
        run.line(from, low + corner, "bottom-front");
        let (outline, sides) = run.close();
        let ends = (from, to);
        let mut plate = SidePlateOf {
            id: format!("{}-side-{}", self.id, hand(left)),
            assembly: "frames",
            title: format!("{} side, {}", self.title, hand(left)),
            sheet,
            left,
            outside: Self::half_over(model),
            ends,
            outline: &outline,
            sides: &sides,
        }
        .plate();
        for (number, x) in &self.axles {
            let r = shaft(model);
            let hole = Outline::circle(Point2::new(*x, self.radius), r);
            let feature = format!("axle-{number}");
            cut_side(&mut plate, left, ends, &feature, &hole, Some(2.0 * r));
        }
        plate
    }

    fn stretcher(&self, model: &Model, half: f64) -> Plate {
        let bogie = self.kind == AxleKind::Bogie;
        let (outline, sides) = if bogie {
            let long = (0.22 * (self.last().1 - self.first().1)).max(2.0 * screw(model));
            let mut run = Run::default();
            run.line(self.pivot - long, -half, "right");
            run.line(self.pivot + long, -half, "rear");
            run.line(self.pivot + long, half, "left");
            run.line(self.pivot - long, half, "front");
            run.close()
        } else {
            self.arm(model, half).close()
        };
        let mut plate = FlatPlateOf {
            id: format!("{}-stretcher", self.id),
            assembly: "frames",
            title: format!("{} {}", self.title, if bogie { "stretcher" } else { "arm" }),
            sheet: model.metal.sheet("frames"),
            outside_origin: Point3::new(0.0, 0.0, self.stretcher_top(model)),
            facing: Facing::Up,
            outline: &outline,
            sides: &sides,
        }
        .plate();
        let centre = Point2::new(self.pivot, 0.0);
        if bogie {
            // A slot across, in which the pin slides.
            let reach = Vector2::new(screw(model) / 2.0, screw(model) / 2.0 + self.slide(model));
            let slot = rounded_rectangle(centre - reach, centre + reach, screw(model) / 2.0 * 0.99);
            cut(&mut plate, "pivot", &slot, None);
        } else {
            drill(&mut plate, "pivot", centre, screw(model));
        }
        plate
    }

    /// From between the sides to the pivot, narrow where it passes between the frames.
    fn arm(&self, model: &Model, half: f64) -> Run<'static> {
        let axle = self.first().1;
        let reach = (self.pivot - axle).abs();
        let eye = 1.2 * screw(model);
        let narrow = eye.min(half / 2.0);
        let wide = (0.45 * self.radius).min(0.4 * reach).max(0.2);
        let neck = (0.9 * self.swept(model)).clamp(wide + 0.1, (0.9 * reach).max(wide + 0.1));
        let end = reach.max(neck) + eye;
        let mut run = Run::default();
        run.line(-wide, -half, "right");
        run.line(wide, -half, "taper-right");
        run.line(neck, -narrow, "arm-right");
        run.line(end, -narrow, "pivot-end");
        run.line(end, narrow, "arm-left");
        run.line(neck, narrow, "taper-left");
        run.line(wide, half, "left");
        run.line(-wide, half, "axle-end");
        let run = if self.pivot < axle {
            run.mirrored()
        } else {
            run
        };
        run.moved(axle, 0.0)
    }
}
