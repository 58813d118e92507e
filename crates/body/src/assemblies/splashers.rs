//! Splashers: a face with tabs into the footplate and a rolled strip over it.

use super::footplate::{underside_at, wheel_opening};
use super::run::Run;
use super::side_plate::{SidePlateOf, hand};
use crate::error::AtKey;
use crate::fit::{butt_joint, former_joint};
use crate::model::specs::{SplasherKind, SplasherSpec};
use crate::tabs::{Tabbing, tab_into};
use crate::wrapper::{SideNames, WrapperOf, add_ticks, loft_of};
use crate::{Body, BodyError, Finding, FindingPlace, Model, Plate, Severity};
use develop::{Loft, LoftFrame};
use geom::math::{acos, sin_cos, tan};
use geom::{Arc, Chain, Point2, Point3, Segment, Vector3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let shapes = shapes(model)?;
    for shape in &shapes {
        shape.build(model, body)?;
    }
    for shape in &shapes {
        shape.check(model, body);
    }
    Ok(())
}

/// A splasher as the cab meets it (mm): what its front and floor leave open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct SplasherPlace {
    /// Its axle: x and height above rail.
    pub(super) axle: Point2,
    /// To the outside of the strip.
    pub(super) radius: f64,
    /// Distances from the centre line, both sides alike.
    pub(super) inner: f64,
    pub(super) outer: f64,
    /// Where it ends on the footplate, or is cut off.
    pub(super) to: f64,
}

/// Where the splashers stand.
///
/// # Errors
///
/// [`BodyError::Shape`] for a splasher that the dimensions do not allow.
pub(super) fn places(model: &Model) -> Result<Vec<SplasherPlace>, BodyError> {
    let place = |shape: &Shape| SplasherPlace {
        axle: shape.axle,
        radius: shape.radius,
        inner: shape.inner,
        outer: shape.outer,
        to: shape.to,
    };
    Ok(shapes(model)?.iter().map(place).collect())
}

/// A splasher, trimmed where it meets its neighbours.
#[derive(Clone, Debug)]
struct Shape {
    /// Its place in the file.
    index: usize,
    number: usize,
    kind: SplasherKind,
    axle: Point2,
    /// To the outside of the strip.
    radius: f64,
    floor: f64,
    inner: f64,
    outer: f64,
    /// Where it stands on the footplate, or is cut off.
    from: f64,
    to: f64,
}

fn shapes(model: &Model) -> Result<Vec<Shape>, BodyError> {
    let specs = model.splashers.iter().enumerate();
    let mut all = specs
        .map(|(i, spec)| Shape::of(model, i, spec))
        .collect::<Result<Vec<_>, _>>()?;
    trim(&mut all);
    Ok(all)
}

/// Neighbours of one kind that overlap end where their strips meet.
fn trim(all: &mut [Shape]) {
    for i in 0..all.len() {
        for j in 0..all.len() {
            let (a, b) = (all[i].clone(), all[j].clone());
            let across = a.inner < b.outer && b.inner < a.outer;
            if a.kind != b.kind || !across || a.axle.x >= b.axle.x || a.to <= b.from {
                continue;
            }
            // Both circles in one upright plane: the line through their meetings.
            let d = b.axle - a.axle;
            let square = d.norm_squared();
            if square <= 0.0 {
                continue;
            }
            let share = (a.radius * a.radius - b.radius * b.radius + square) / (2.0 * square);
            let off = (a.radius * a.radius / square - share * share)
                .max(0.0)
                .sqrt();
            let meet = a.axle.x + d.x * share - d.y * off;
            all[i].to = a.to.min(meet);
            all[j].from = b.from.max(meet);
        }
    }
}

impl Shape {
    fn of(model: &Model, index: usize, spec: &SplasherSpec) -> Result<Self, BodyError> {
        let path = format!("splashers[{index}]");
        let shape_error = |key: &str, sentence: String, help: &str| BodyError::Shape {
            path: format!("{path}.{key}"),
            sentence,
            help: help.to_owned(),
        };
        let Some(axle) = spec
            .axle
            .checked_sub(1)
            .and_then(|i| model.running.axles.get(i))
        else {
            return Err(shape_error(
                "axle",
                format!("the engine has no axle {}", spec.axle),
                "axles are counted from the front, the first being 1",
            ));
        };
        let centre = Point2::new(axle.x, axle.diameter / 2.0);
        let r = &model.running;
        // Throw, half the rod and the usual gap over it: common practice, no source.
        let rods = r.throw
            + r.rod_depth / 2.0
            + model.scale.pick(0.5, 0.8)
            + model.metal.thickness("splashers");
        let radius = spec.radius.unwrap_or(rods);
        let floor = model.footplate.top_at(centre.x);
        let rise = floor - centre.y;
        let t = model.metal.thickness("splashers");
        // Written so that a radius that is not a number is refused too.
        let comes_out = radius - 3.0 * t > rise.abs();
        if !comes_out {
            return Err(shape_error(
                "radius",
                format!(
                    "a splasher of {radius:.2} mm radius does not come out of the footplate, which is {rise:.2} mm above the axle"
                ),
                "the radius is taken about the axle, to the outside of the strip",
            ));
        }
        if !(spec.outer - spec.inner > 3.0 * t && spec.outer < model.footplate.width / 2.0 - t) {
            return Err(shape_error(
                "outer",
                "the splasher has no width on the footplate".to_owned(),
                "`outer` is the face's distance from the centre line and `inner` how far in the strip runs",
            ));
        }
        let half = ((radius - rise) * (radius + rise)).sqrt();
        let from = spec
            .from
            .map_or(centre.x - half, |x| x.max(centre.x - half));
        let to = spec.to.map_or(centre.x + half, |x| x.min(centre.x + half));
        let level = [centre.x - half, centre.x + half]
            .iter()
            .all(|x| (model.footplate.top_at(*x) - floor).abs() < 1e-9);
        let on_plate = from >= 0.0 && to <= model.footplate.length && to - from > 6.0 * t;
        if !(level && on_plate) {
            return Err(shape_error(
                "radius",
                "the splasher does not stand on a level part of the footplate".to_owned(),
                "check the radius, or cut it off by `from` and `to`",
            ));
        }
        Ok(Self {
            index,
            number: spec.axle,
            kind: spec.kind,
            axle: centre,
            radius,
            floor,
            inner: spec.inner,
            outer: spec.outer,
            from,
            to,
        })
    }

    fn name(&self) -> String {
        match self.kind {
            SplasherKind::Wheel => format!("splasher-{}", self.number),
            SplasherKind::Rods => format!("rod-splasher-{}", self.number),
        }
    }

    fn path(&self) -> String {
        format!("splashers[{}]", self.index)
    }

    /// Angles about the axle at which an arc of a radius begins and ends, anticlockwise from straight
    /// rearward, seen from the right: the rear end first.
    fn angles(&self, radius: f64) -> (f64, f64) {
        let rise = self.floor - self.axle.y;
        let foot = acos((rise / radius).clamp(-1.0, 1.0));
        let quarter = geom::math::FRAC_PI_2;
        let cut = |x: f64| {
            let aside = ((x - self.axle.x) / radius).clamp(-1.0, 1.0);
            acos(aside)
        };
        let rear = (quarter - foot).max(cut(self.to));
        let front = (quarter + foot).min(cut(self.from));
        (rear, front)
    }

    fn build(&self, model: &Model, body: &mut Body) -> Result<(), BodyError> {
        let t = model.metal.thickness("splashers");
        let rim = self.radius - t - model.metal.film;
        let name = self.name();
        let mut developed = 0.0;
        for left in [true, false] {
            let face = self.face(model, left, rim);
            let mut strip = self.strip(model, left)?;
            let (loft, half_etch) = (
                loft_of(&strip).clone(),
                model.metal.process.half_etch_depth.at(t),
            );
            developed = strip
                .edge("side-left")
                .and_then(|_| strip.edge_lengths().ok())
                .and_then(|all| all.into_iter().find(|e| e.name == "side-left"))
                .map_or(0.0, |edge| edge.flat);
            add_ticks(&mut strip, &[("centre-line", loft.datum())], t, half_etch);
            let turn = loft.section_at(0.0).turn().abs();
            let outer = if left { "side-left" } else { "side-right" };
            body.joints
                .push(former_joint((&strip, outer), (&face, "rim"), turn));
            if let Some(footplate) = body.plate("footplate") {
                let mut joints = vec![butt_joint((&face, "bottom"), (footplate, "top"))];
                let ends = [
                    ("front", self.from, self.axle.x - self.half(self.radius)),
                    ("rear", self.to, self.axle.x + self.half(self.radius)),
                ];
                for (end, x, foot) in ends {
                    if (x - foot).abs() < 1e-9 {
                        joints.push(butt_joint((&strip, end), (footplate, "top")));
                    }
                }
                body.joints.extend(joints);
            }
            let face_id = face.id.clone();
            body.plates.extend([face, strip]);
            tab_into(
                model,
                body,
                (&face_id, "bottom"),
                "footplate",
                Tabbing::default(),
                &self.path(),
            )?;
        }
        body.derive(
            &format!("{}.strip", self.path()),
            &format!("Developed length of the strip of {name}"),
            developed,
        );
        body.derive(
            &format!("{}.top", self.path()),
            &format!("Height of the top of {name} above rail"),
            self.axle.y + self.radius,
        );
        Ok(())
    }

    fn half(&self, radius: f64) -> f64 {
        let rise = self.floor - self.axle.y;
        ((radius - rise) * (radius + rise)).max(0.0).sqrt()
    }

    fn face(&self, model: &Model, left: bool, rim: f64) -> Plate {
        let (rear, front) = self.angles(rim);
        let on = |angle: f64| {
            let (s, c) = sin_cos(angle);
            self.axle + geom::Vector2::new(c, s) * rim
        };
        let (a, b) = (on(rear), on(front));
        let mut run = Run::default();
        run.line(b.x, self.floor, "bottom");
        run.line(a.x, self.floor, "rear");
        run.arc(a.x, a.y, tan((front - rear) / 4.0), "rim");
        run.line(b.x, b.y, "front");
        let (outline, sides) = run.close();
        SidePlateOf {
            id: format!("{}-face-{}", self.name(), hand(left)),
            assembly: "splashers",
            title: format!("Splasher face {}, {}", self.number, hand(left)),
            sheet: model.metal.sheet("splashers"),
            left,
            outside: self.outer,
            ends: (b.x, a.x),
            outline: &outline,
            sides: &sides,
        }
        .plate()
    }

    /// The strip over the face, rulings across the engine.
    fn strip(&self, model: &Model, left: bool) -> Result<Plate, BodyError> {
        let sheet = model.metal.sheet("splashers");
        let radius = self.radius - sheet.z_high;
        let (rear, front) = self.angles(radius);
        let section = Chain::from_segments([Segment::Arc(Arc {
            centre: self.axle,
            radius,
            start_angle: front,
            sweep: rear - front,
        })]);
        let start = if left { self.outer } else { -self.inner };
        let frame = LoftFrame {
            origin: Point3::new(0.0, start, 0.0),
            axis: -Vector3::y(),
            across: Vector3::x(),
            up: Vector3::z(),
        };
        let loft = Loft::between(
            frame,
            &section,
            &section,
            self.outer - self.inner,
            sheet.thickness(),
            sheet.bend_rule,
        )
        .at_key(&format!("{}.radius", self.path()))?;
        Ok(WrapperOf {
            id: &format!("{}-strip-{}", self.name(), hand(left)),
            assembly: "splashers",
            title: &format!("Splasher strip {}, {}", self.number, hand(left)),
            sheet,
            names: SideNames {
                ends: ("side-left", "side-right"),
                sides: ("front", "rear"),
                corners: ["front-left", "front-right", "rear-left", "rear-right"],
                datum: ("middle-left", "middle-right"),
            },
        }
        .plate(loft))
    }

    /// Room for the wheel under the strip, behind the face and beside what stands further in.
    fn check(&self, model: &Model, body: &mut Body) {
        let Some(axle) = model.running.axles.get(self.number - 1) else {
            return;
        };
        if self.kind == SplasherKind::Rods || wheel_opening(model, axle).is_none() {
            return;
        }
        let w = model.wheels.dimensions();
        let t = model.metal.thickness("splashers");
        let exact = matches!(
            model.wheels,
            crate::WheelStandard::P4 | crate::WheelStandard::Exact
        );
        let scale = model.scale;
        // Usual gaps; scale wheels are sprung and get by with half of the coarser ones: common practice, no source.
        let above = if exact {
            scale.pick(0.3, 0.5)
        } else {
            scale.pick(1.0, 1.2)
        };
        let beside = if exact {
            scale.pick(0.4, 0.6)
        } else {
            scale.pick(0.5, 0.75)
        };
        let back = w.back_to_back / 2.0;
        let top = Point3::new(self.axle.x, self.outer, self.axle.y + self.radius);
        let flange = axle.diameter / 2.0 + w.flange_depth;
        self.report(
            model,
            body,
            ("radius", "splasher-above-wheel", top),
            (self.radius - t - flange, above),
            (
                "between the flange and the strip over it",
                "give the splasher a larger radius",
            ),
        );
        self.report(
            model,
            body,
            ("outer", "splasher-beside-wheel", top),
            (self.outer - t - back - w.tyre_width, beside),
            (
                "between the tyre and the face beside it",
                "move the face out",
            ),
        );
        let inside = back - self.inner;
        if inside < 0.0 {
            body.findings.push(Finding {
                path: format!("{}.inner", self.path()),
                rule: "wheel-fouls-splasher",
                severity: Severity::Warning,
                found: inside,
                limit: 0.0,
                at: FindingPlace {
                    plate: Some(format!("{}-strip-left", self.name())),
                    flat: None,
                    body: Some(Point3::new(self.axle.x, back, underside_at(model, self.axle.x))),
                },
                sentence: format!(
                    "the backs of the wheels of axle {} ({} wheels) stand {:.2} mm inside the strip's inner edge on each side, which leaves them bare: \
                     run the strip in to {:.2} mm from the centre line",
                    self.number,
                    model.wheels.word(),
                    -inside,
                    back - 0.1
                ),
            });
        }
    }

    fn report(
        &self,
        model: &Model,
        body: &mut Body,
        (key, rule, at): (&str, &'static str, Point3),
        (found, limit): (f64, f64),
        (between, mend): (&str, &str),
    ) {
        if found >= limit {
            return;
        }
        let severity = if found <= 0.0 {
            Severity::Error
        } else {
            Severity::Warning
        };
        body.findings.push(Finding {
            path: format!("{}.{key}", self.path()),
            rule,
            severity,
            found,
            limit,
            at: FindingPlace {
                plate: Some(format!("{}-face-left", self.name())),
                flat: None,
                body: Some(at),
            },
            sentence: format!(
                "the splasher of axle {} leaves {found:.2} mm {between} ({} wheels), and {limit:.2} mm is wanted; {mend}, or use wheels with less flange",
                self.number,
                model.wheels.word()
            ),
        });
    }
}
