//! Outside cylinders: cleading, covers that slot into the frames, and slide bars for looking at.

use super::boiler::tick_at_rim;
use super::footplate::underside_at;
use super::run::Run;
use super::side_plate::{hand, sign};
use crate::error::AtKey;
use crate::fit::{butt_joint, former_joint};
use crate::model::specs::CylinderSpec;
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf};
use crate::wrapper::{SideNames, WrapperOf, add_ticks, loft_of};
use crate::{
    Body, BodyError, Face, Finding, FindingPlace, Fitting, FittingShape, Look, Model, Plate,
    Severity,
};
use develop::{Loft, LoftFrame};
use geom::math::{PI, TAU, asin, tan};
use geom::{Arc, Chain, Outline, Placement, Point2, Point3, Segment, Vector2, Vector3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let Some(spec) = &model.cylinders else {
        return Ok(());
    };
    let shape = Shape::of(model, spec)?;
    for (name, title, mm) in [
        (
            "over",
            "Width over the cylinders",
            spec.centres + spec.diameter,
        ),
        ("length", "Length over the covers", spec.to - spec.from),
        (
            "middle",
            "x of the middle of the cylinders",
            f64::midpoint(spec.from, spec.to),
        ),
    ] {
        body.derive(&format!("cylinders.{name}"), title, mm);
    }
    for left in [true, false] {
        let wrapper = shape.wrapper(model, left)?;
        let covers = [true, false].map(|front| shape.cover(model, left, front));
        let turn = TAU - 2.0 * shape.gap_angle;
        for (cover, edge) in covers.iter().zip(["front", "rear"]) {
            let joint = former_joint((&wrapper, edge), (cover, "rim"), turn);
            body.joints.push(joint);
            let frame = format!("frame-{}", hand(left));
            if let Some(frame) = body.plate(&frame) {
                let joint = butt_joint((cover, "foot"), (frame, "outside"));
                body.joints.push(joint);
            }
        }
        let ids = covers.clone().map(|cover| cover.id);
        body.plates.push(wrapper);
        body.plates.extend(covers);
        for id in ids {
            let frame = format!("frame-{}", hand(left));
            let edge = (id.as_str(), "foot");
            tab_into(model, body, edge, &frame, Tabbing::default(), "cylinders")?;
        }
        body.fittings.extend(motion(model, spec, left));
    }
    check(model, spec, body);
    Ok(())
}

/// What is cut away of a valance's lower edge where a cylinder passes: from, to and the new height.
pub(super) fn valance_cut(model: &Model) -> Result<Option<(f64, f64, f64)>, BodyError> {
    let Some(spec) = &model.cylinders else {
        return Ok(None);
    };
    let f = &model.footplate;
    let (t, outer) = (
        model.metal.thickness("valances"),
        super::valances::outside(model),
    );
    let centre = spec.centres / 2.0;
    let aside = (centre - outer).max(outer - t - centre).max(0.0);
    let room = spec.diameter / 2.0 + model.scale.pick(0.2, 0.3);
    if aside >= room {
        return Ok(None);
    }
    let top = spec.height + ((room - aside) * (room + aside)).sqrt();
    let middle = (spec.from + spec.to) / 2.0;
    let under = underside_at(model, middle);
    if top <= under - f.valance_depth {
        return Ok(None);
    }
    let (from, to) = (spec.from - 0.3, spec.to + 0.3);
    let level = f.levels().into_iter().find(|l| l.from < from && to < l.to);
    if level.is_none() {
        return Err(BodyError::Shape {
            path: "cylinders.from".to_owned(),
            sentence: "the cylinders pass the valances where the footplate changes its level"
                .to_owned(),
            help: "the valance can be cut away under a level part only".to_owned(),
        });
    }
    Ok(Some((from, to, top.min(under - 2.0 * t))))
}

/// A pair of cylinders.
struct Shape {
    from: f64,
    length: f64,
    centre: f64,
    height: f64,
    outside: f64,
    /// Radius of the covers, under cleading and film.
    rim: f64,
    /// Half the height of the block that reaches in to the frames.
    block: f64,
    /// Half the angle that the cleading leaves open towards the frames.
    gap_angle: f64,
    /// Distance of the frames' outside from the centre line.
    frame: f64,
}

impl Shape {
    fn of(model: &Model, spec: &CylinderSpec) -> Result<Self, BodyError> {
        let t = model.metal.thickness("smokebox");
        let outside = spec.diameter / 2.0;
        let rim = outside - t - model.metal.film;
        let block = 0.5 * outside;
        let frame = model.wheels.dimensions().over_frames / 2.0;
        let (centre, height) = (spec.centres / 2.0, spec.height);
        let fits = rim > block + 2.0 * t
            && spec.to - spec.from > 8.0 * t
            && centre - rim > frame
            && height > outside;
        if !fits {
            return Err(BodyError::Shape {
                path: "cylinders.centres".to_owned(),
                sentence: "the cylinders do not stand outside the frames and clear of the rail"
                    .to_owned(),
                help: "check centres, diameter, height, and from and to".to_owned(),
            });
        }
        Ok(Self {
            from: spec.from,
            length: spec.to - spec.from,
            centre,
            height,
            outside,
            rim,
            block,
            gap_angle: asin((block + t) / (outside - t / 2.0)),
            frame,
        })
    }

    /// Cleading round all but the side towards the frames.
    fn wrapper(&self, model: &Model, left: bool) -> Result<Plate, BodyError> {
        let sheet = model.metal.sheet("smokebox");
        let radius = self.outside - sheet.z_high;
        let inward = if left { PI } else { 0.0 };
        let section = Chain::from_segments([Segment::Arc(Arc {
            centre: Point2::new(sign(left) * self.centre, self.height),
            radius,
            start_angle: inward - self.gap_angle,
            sweep: -(TAU - 2.0 * self.gap_angle),
        })]);
        let loft = Loft::between(
            LoftFrame::along_engine(self.from),
            &section,
            &section,
            self.length,
            sheet.thickness(),
            sheet.bend_rule,
        )
        .at_key("cylinders.diameter")?;
        let names = if left {
            SideNames {
                ends: ("front", "rear"),
                sides: ("upper", "lower"),
                corners: ["front-upper", "rear-upper", "front-lower", "rear-lower"],
                datum: ("front-middle", "rear-middle"),
            }
        } else {
            SideNames {
                ends: ("front", "rear"),
                sides: ("lower", "upper"),
                corners: ["front-lower", "rear-lower", "front-upper", "rear-upper"],
                datum: ("front-middle", "rear-middle"),
            }
        };
        let mut plate = WrapperOf {
            id: &format!("cylinder-{}-wrapper", hand(left)),
            assembly: "cylinders",
            title: &format!("Cylinder cleading, {}", hand(left)),
            sheet,
            names,
        }
        .plate(loft);
        let depth = model
            .metal
            .process
            .half_etch_depth
            .at(plate.sheet.thickness());
        let outermost = loft_of(&plate).datum();
        add_ticks(&mut plate, &[("centre-line", outermost)], 1.0, depth);
        Ok(plate)
    }

    /// A cover: the disc that the cleading goes over, with a block that reaches in to the frame.
    fn cover(&self, model: &Model, left: bool, front: bool) -> Plate {
        let end = if front { "front" } else { "rear" };
        // Half of the rim: from the block's lower side to the outermost point.
        let half = PI - asin(self.block / self.rim);
        let bulge = tan(half / 4.0);
        let root = self.centre - (self.rim * self.rim - self.block * self.block).sqrt();
        let (low, high) = (self.height - self.block, self.height + self.block);
        let mut run = Run::default();
        // Drawn for the left as seen from behind: y to the right, height up.
        run.line(self.frame, low, "block-bottom");
        run.arc(root, low, bulge, "rim");
        run.arc(self.centre + self.rim, self.height, bulge, "rim");
        run.line(root, high, "block-top");
        run.line(self.frame, high, "foot");
        let run = if left != front { run } else { run.mirrored() };
        let (outline, sides) = run.close();
        let (facing, x) = if front {
            (Facing::Front, self.from)
        } else {
            (Facing::Rear, self.from + self.length)
        };
        let mut plate = FlatPlateOf {
            id: format!("cylinder-{}-{end}", hand(left)),
            assembly: "cylinders",
            title: format!("Cylinder {end} cover, {}", hand(left)),
            sheet: model.metal.sheet("formers"),
            outside_origin: Point3::new(x, 0.0, 0.0),
            facing,
            outline: &outline,
            sides: &sides,
        }
        .plate();
        let turned = if left != front { 1.0 } else { -1.0 };
        let outermost = Point2::new(turned * (self.centre + self.rim), self.height);
        let inward = -Vector2::x() * turned;
        let outside = (Face::Outside, self.rim);
        tick_at_rim(&mut plate, "centre-line", outermost, inward, outside, model);
        plate
    }
}

/// Slide bars, crosshead and piston rod, for looking at; their sizes are shares of the cylinder: chosen, not
/// sourced.
fn motion(model: &Model, spec: &CylinderSpec, left: bool) -> Vec<Fitting> {
    let (word, y) = (hand(left), sign(left) * spec.centres / 2.0);
    let (r, length) = (spec.diameter / 2.0, spec.slide_bars);
    let (bar, width) = (0.14 * r, 0.28 * r);
    let slab = |id: String, outline: Outline| Fitting {
        id,
        assembly: "cylinders",
        look: Look::Steel,
        shape: FittingShape::Slab {
            placement: Placement::new(Point3::new(0.0, y, 0.0), Vector3::x(), Vector3::z()),
            outline,
            holes: Vec::new(),
            low: -width / 2.0,
            high: width / 2.0,
        },
    };
    let mut all: Vec<Fitting> = [("upper", 0.45 * r), ("lower", -0.45 * r)]
        .map(|(which, up)| {
            let z = spec.height + up;
            let outline = Outline::rectangle(
                Point2::new(spec.to, z - bar / 2.0),
                Point2::new(spec.to + length, z + bar / 2.0),
            );
            slab(format!("slide-bar-{word}-{which}"), outline)
        })
        .into();
    let at = spec.to + 0.55 * length;
    let crosshead = Outline::rectangle(
        Point2::new(at - 0.3 * r, spec.height - 0.37 * r),
        Point2::new(at + 0.3 * r, spec.height + 0.37 * r),
    );
    all.push(slab(format!("crosshead-{word}"), crosshead));
    all.push(Fitting {
        id: format!("piston-rod-{word}"),
        assembly: "cylinders",
        look: Look::Steel,
        shape: FittingShape::Turned {
            foot: Point3::new(spec.to, y, spec.height),
            axis: Vector3::x(),
            profile: Outline::rectangle(
                Point2::new(0.0, 0.0),
                Point2::new(model.scale.pick(0.5, 0.8), 0.5 * length),
            ),
        },
    });
    all
}

/// The cylinders must pass under the footplate and clear of the wheels.
fn check(model: &Model, spec: &CylinderSpec, body: &mut Body) {
    let r = spec.diameter / 2.0;
    let place = |x: f64, z: f64| FindingPlace {
        plate: Some("cylinder-left-wrapper".to_owned()),
        flat: None,
        body: Some(Point3::new(x, spec.centres / 2.0, z)),
    };
    let under = underside_at(model, spec.from).min(underside_at(model, spec.to));
    let gap = under - (spec.height + r);
    if gap <= 0.0 {
        body.findings.push(Finding {
            path: "cylinders.height".to_owned(),
            rule: "cylinder-fouls-footplate",
            severity: Severity::Error,
            found: gap,
            limit: 0.0,
            at: place(spec.from, under),
            sentence: format!(
                "the cylinders reach {:.2} mm above the underside of the footplate; open the footplate over them or lower them",
                -gap
            ),
        });
    }
    let wheels = model.wheels.dimensions();
    let tyre = wheels.back_to_back / 2.0 + wheels.tyre_width;
    if spec.centres / 2.0 - r >= tyre {
        return;
    }
    let least = model.scale.pick(0.3, 0.5);
    for (i, axle) in model.running.axles.iter().enumerate() {
        let wheel = axle.diameter / 2.0 + wheels.flange_depth;
        if spec.height - r > axle.diameter / 2.0 + wheel {
            continue;
        }
        let gap = (spec.from - (axle.x + wheel)).max(axle.x - wheel - spec.to);
        if gap >= least {
            continue;
        }
        let (severity, what) = if gap <= 0.0 {
            (Severity::Error, "foul")
        } else {
            (Severity::Warning, "come close to")
        };
        body.findings.push(Finding {
            path: "cylinders.from".to_owned(),
            rule: "cylinder-fouls-wheel",
            severity,
            found: gap,
            limit: least,
            at: place(axle.x, axle.diameter / 2.0),
            sentence: format!(
                "the cylinders {what} the wheels of axle {} ({} wheels): {gap:.2} mm is left and {least:.2} mm is wanted; \
                 move the covers or use wheels of smaller flange",
                i + 1,
                model.wheels.word(),
            ),
        });
    }
}
