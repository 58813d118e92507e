//! The pannier tanks: each a wrapper from its bottom outside over the top to the boiler, on ends that sit on the barrel.

use super::tank_fittings::{drill_access, filler, note_capacity};
use crate::error::AtKey;
use crate::fit::{butt_joint, former_joint};
use crate::laminations::{laminate, recess};
use crate::panel::bays;
use crate::rows::{even_row, lay_row};
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf, rectangle};
use crate::wrapper::{SideNames, WrapperOf, loft_of};
use crate::{Body, BodyError, Model, Plate, Precedence, Sheet};
use develop::{Loft, LoftFrame, SurfacePoint};
use geom::math::{FRAC_PI_2, atan2};
use geom::{Arc, Chain, Outline, Point2, Point3, Segment};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let shape = Shape::of(model)?;
    for left in [true, false] {
        Tank {
            shape: &shape,
            left,
        }
        .build(body)?;
    }
    let p = model.pannier_tanks();
    let area = shape.outline(0.0, p.bottom)?.area();
    let volume = 2.0 * area * (p.to - p.from);
    note_capacity(model, body, "pannier_tanks", volume, p.gallons);
    for (name, title, mm) in [
        ("length", "Length of the pannier tanks", p.to - p.from),
        (
            "opening_radius",
            "Radius of the ends about the boiler",
            shape.opening,
        ),
        (
            "developed_length",
            "Length over the outside, bottom to inner edge",
            shape.section(0.0)?.length(),
        ),
    ] {
        body.derive(&format!("pannier_tanks.{name}"), title, mm);
    }
    Ok(())
}

const CLOSED_OVER: &str = "the wrapper is closed over its ends, former and bottom";

/// The section of a left tank, drawn outside (mm).
struct Shape<'m> {
    model: &'m Model,
    /// Height of the boiler's axis, and radius of the ends about it.
    axis: f64,
    opening: f64,
}

impl<'m> Shape<'m> {
    fn of(model: &'m Model) -> Result<Self, BodyError> {
        let (p, b) = (model.pannier_tanks(), model.boiler());
        let (from, to) = (p.from.clamp(b.from, b.end()), p.to.clamp(b.from, b.end()));
        // Tanks that end before they begin are refused below.
        let (from, to) = (from.min(to), from.max(to));
        // The barrel is greatest at an end of the tank, or at a ring's.
        let reach = |x: f64| b.radius(x) + (b.axis_height(x) - b.pitch).abs();
        let widest = b
            .rings
            .iter()
            .map(|ring| ring.end().clamp(from, to))
            .chain([from, to])
            .map(reach)
            .fold(0.0, f64::max);
        let shape = Self {
            model,
            axis: b.pitch,
            opening: widest + p.gap,
        };
        shape.check()?;
        Ok(shape)
    }

    fn check(&self) -> Result<(), BodyError> {
        let p = self.model.pannier_tanks();
        let wall = self.wall();
        let refuse = |key: &str, sentence: String, help: String| {
            Err(BodyError::Shape {
                path: format!("pannier_tanks.{key}"),
                sentence,
                help,
            })
        };
        let formers = 8.0 * self.model.metal.thickness("formers");
        if p.to - p.from <= formers {
            let sentence = format!("the tanks are {:.2} mm long on the model", p.to - p.from);
            let help = format!("their ends and formers need {formers:.2} mm and more");
            return refuse("to", sentence, help);
        }
        let least = wall + self.model.metal.thickness("tanks");
        let (half, tall) = (p.over / 2.0, p.top - p.bottom);
        // Where the top comes nearest to the centre line.
        let inner = self.inner_at_top(0.0);
        let most = (half - inner).min(tall) - 2.0 * wall;
        if !(p.shoulder_radius > least && p.shoulder_radius < most) {
            return refuse(
                "shoulder_radius",
                format!(
                    "a shoulder of {:.2} mm on the model has no room",
                    p.shoulder_radius
                ),
                format!(
                    "between {least:.2} and {most:.2} mm on the model has, by width, height and sheet"
                ),
            );
        }
        if (p.bottom - self.axis).abs() >= self.opening - 2.0 * wall || p.top <= self.axis {
            let sentence = "the tank does not lie against the side of the boiler".to_owned();
            let help = "its bottom must be within the height of the boiler and its top above the boiler's centre";
            return refuse("bottom", sentence, help.to_owned());
        }
        if half - self.opening <= 2.0 * wall {
            let sentence = format!(
                "beside the boiler the tank is {:.2} mm wide on the model",
                half - self.opening
            );
            let help = "make the tanks wider over, or the gap to the boiler smaller";
            return refuse("over", sentence, help.to_owned());
        }
        Ok(())
    }

    /// Thickness of both skins and the film between (mm).
    fn wall(&self) -> f64 {
        recess(self.model) + self.model.metal.thickness("tanks")
    }

    /// Half width of the circle about the boiler at a height above rail; zero above and below it.
    fn circle_at(&self, z: f64) -> f64 {
        let up = z - self.axis;
        ((self.opening - up) * (self.opening + up)).max(0.0).sqrt()
    }

    /// Where the top ends towards the centre line, a depth below the drawn outside.
    fn inner_at_top(&self, depth: f64) -> f64 {
        let p = self.model.pannier_tanks();
        self.circle_at(p.top - depth).max(p.inner)
    }

    /// The left tank's outside or a depth within it, from the inner edge of the top over the shoulder to the bottom.
    fn section(&self, depth: f64) -> Result<Chain, BodyError> {
        self.section_down_to(depth, self.model.pannier_tanks().bottom)
    }

    fn section_down_to(&self, depth: f64, bottom: f64) -> Result<Chain, BodyError> {
        let p = self.model.pannier_tanks();
        let half = p.over / 2.0 - depth;
        let radius = p.shoulder_radius - depth;
        let inner = self.inner_at_top(depth);
        let (flat, side) = (half - radius - inner, p.top - depth - radius - bottom);
        if !(radius > 0.0 && flat > 0.0 && side > 0.0) {
            return Err(BodyError::Shape {
                path: "pannier_tanks.shoulder_radius".to_owned(),
                sentence: "nothing is left of the tank's top or side beside the shoulder"
                    .to_owned(),
                help: "make the shoulder smaller".to_owned(),
            });
        }
        Ok(Chain::starting(Point2::new(inner, p.top - depth), 0.0)
            .line(flat)
            .arc(radius, -FRAC_PI_2)
            .line(side)
            .finish())
    }

    /// The left tank's end a depth within the outside, closed round the boiler and along the bottom; anticlockwise as
    /// seen from behind; its bottom stands at a height above rail.
    fn outline(&self, depth: f64, bottom: f64) -> Result<Outline, BodyError> {
        let over = self.section_down_to(depth, bottom)?;
        let (start, end) = (over.start(), over.end());
        let at_bottom = Point2::new(self.circle_at(bottom), bottom);
        let above = self.axis + self.circle_across(start.x);
        let at_top = Point2::new(start.x, above.min(start.y));
        let angle = |point: Point2| atan2(point.y - self.axis, point.x);
        let (low, high) = (angle(at_bottom), angle(at_top));
        let round = Segment::Arc(Arc {
            centre: Point2::new(0.0, self.axis),
            radius: self.opening,
            start_angle: high,
            sweep: low - high,
        });
        let back = over.reversed();
        let pieces = [
            Segment::line(start, at_top),
            round,
            Segment::line(at_bottom, end),
        ]
        .into_iter()
        .chain(back.segments().iter().copied());
        Outline::from_chain(&Chain::from_segments(pieces)).at_key("pannier_tanks.bottom")
    }

    /// Height of the circle over its centre at a distance from the centre line.
    fn circle_across(&self, y: f64) -> f64 {
        ((self.opening - y) * (self.opening + y)).max(0.0).sqrt()
    }
}

struct Tank<'s, 'm> {
    shape: &'s Shape<'m>,
    left: bool,
}

impl Tank<'_, '_> {
    fn hand(&self) -> &'static str {
        if self.left { "left" } else { "right" }
    }

    fn id(&self, part: &str) -> String {
        format!("pannier-{part}-{}", self.hand())
    }

    fn build(&self, body: &mut Body) -> Result<(), BodyError> {
        let model = self.shape.model;
        let m = &model.metal;
        let p = model.pannier_tanks();
        let tanks = m.sheet("tanks");
        let depth = recess(model) + tanks.z_high;
        let base = self.wrapper(&self.id("wrapper"), "Pannier wrapper", tanks.clone(), depth)?;
        let skin = m.sheet("overlay");
        let overlay_id = format!("{}-overlay", self.id("wrapper"));
        let within = skin.z_high;
        let mut overlay = self.wrapper(&overlay_id, "Pannier overlay", skin, within)?;
        self.rivet(&mut overlay);
        let middle = f64::midpoint(p.from, p.to);
        let formers = [
            self.former("end-front", "front end", Facing::Front, p.from, p.bottom)?,
            self.former(
                "former",
                "former",
                Facing::Front,
                middle,
                p.bottom + m.thickness("tanks"),
            )?,
            self.former("end-rear", "rear end", Facing::Rear, p.to, p.bottom)?,
        ];
        let bottom = self.bottom(middle);
        let inner = formers.iter().chain([&bottom]);
        body.precedences
            .extend(inner.map(|plate| Precedence::new(&plate.id, &base.id, CLOSED_OVER)));
        for former in &formers {
            for edge in ["side", "rim", "top"] {
                let joint = former_joint((&base, "front"), (former, edge), FRAC_PI_2);
                body.joints.push(joint);
            }
            if former.id != self.id("former") {
                continue;
            }
            let joint = butt_joint((former, "bottom"), (&bottom, "outside"));
            body.joints.push(joint);
        }
        for (edge, end) in [("front", &formers[0]), ("rear", &formers[2])] {
            let joint = butt_joint((&bottom, edge), (end, "inside"));
            body.joints.push(joint);
        }
        body.joints
            .push(butt_joint((&bottom, "side"), (&base, "inside")));
        body.plates.extend(formers);
        body.plates.extend([bottom, base, overlay]);
        let tabbing = Tabbing::default();
        let wrapper = self.id("wrapper");
        for part in ["end-front", "former", "end-rear"] {
            for edge in ["side", "top"] {
                let id = self.id(part);
                tab_into(model, body, (&id, edge), &wrapper, tabbing, "pannier_tanks")?;
            }
        }
        let (former, bottom) = (self.id("former"), self.id("bottom"));
        tab_into(
            model,
            body,
            (&former, "bottom"),
            &bottom,
            tabbing,
            "pannier_tanks",
        )?;
        laminate(model, body, &overlay_id, &wrapper);
        if let Some(spec) = &p.filler {
            let flat = (self.shape.inner_at_top(0.0) + p.over / 2.0 - p.shoulder_radius) / 2.0;
            let across = if self.left { flat } else { -flat };
            let id = self.id("filler");
            body.fittings
                .push(filler(id, "pannier-tanks", spec, across, p.top));
        }
        Ok(())
    }

    /// A wrapper whose mid-sheet lies a depth within the drawn outside.
    fn wrapper(&self, id: &str, title: &str, sheet: Sheet, depth: f64) -> Result<Plate, BodyError> {
        let p = self.shape.model.pannier_tanks();
        let left = self.shape.section(depth)?;
        let section = if self.left {
            left
        } else {
            left.mirrored_in_y_axis().reversed()
        };
        let loft = Loft::between(
            LoftFrame::along_engine(p.from),
            &section,
            &section,
            p.to - p.from,
            sheet.thickness(),
            sheet.bend_rule,
        )
        .at_key("pannier_tanks")?;
        let names = if self.left { FROM_BOILER } else { FROM_BOTTOM };
        Ok(WrapperOf {
            id,
            assembly: "pannier-tanks",
            title: &format!("{title}, {}", self.hand()),
            sheet,
            names,
        }
        .plate(loft))
    }

    /// An end or former, in the room inside the wrapper.
    fn former(
        &self,
        part: &str,
        title: &str,
        facing: Facing,
        x: f64,
        bottom: f64,
    ) -> Result<Plate, BodyError> {
        // The wrapper goes over it with a film of solder.
        let depth = self.shape.wall() + self.shape.model.metal.film;
        let seen_behind = self.shape.outline(depth, bottom)?;
        // Seen from the front a left tank lies on the left hand, at negative flat x.
        let as_drawn = self.left == (facing == Facing::Rear);
        let outline = if as_drawn {
            seen_behind
        } else {
            seen_behind.mirrored_in_y_axis()
        };
        let p = self.shape.model.pannier_tanks();
        let (opening, middle) = (self.shape.opening, f64::midpoint(p.top, p.bottom));
        let sides: Vec<&str> = outline
            .segments()
            .iter()
            .map(|segment| side_of(segment, opening, middle))
            .collect();
        Ok(FlatPlateOf {
            id: self.id(part),
            assembly: "pannier-tanks",
            title: format!("Pannier {title}, {}", self.hand()),
            sheet: self.shape.model.metal.sheet("formers"),
            outside_origin: Point3::new(x, 0.0, 0.0),
            facing,
            outline: &outline,
            sides: &sides,
        }
        .plate())
    }

    /// The bottom between the ends, let into the tank by its own thickness, with holes for the iron.
    fn bottom(&self, former: f64) -> Plate {
        let model = self.shape.model;
        let p = model.pannier_tanks();
        let ends = model.metal.thickness("formers");
        let sheet = model.metal.sheet("tanks");
        // The nearest that a plate of this thickness comes to the circle over its height.
        let upper = p.bottom + sheet.thickness();
        let inner = self
            .shape
            .circle_at(p.bottom)
            .max(self.shape.circle_at(upper));
        let outer = p.over / 2.0 - self.shape.wall();
        let length = p.to - p.from - 2.0 * ends;
        let (low, high) = if self.left {
            (inner, outer)
        } else {
            (-outer, -inner)
        };
        let hands = if self.left {
            ("inner", "side")
        } else {
            ("side", "inner")
        };
        let mut plate = FlatPlateOf {
            id: self.id("bottom"),
            assembly: "pannier-tanks",
            title: format!("Pannier bottom, {}", self.hand()),
            sheet: sheet.clone(),
            outside_origin: Point3::new(p.from + ends, 0.0, upper),
            facing: Facing::Up,
            outline: &rectangle(Point2::new(0.0, low), Point2::new(length, high)),
            sides: &[hands.0, "rear", hands.1, "front"],
        }
        .plate();
        let bounds = (Point2::new(0.0, low), Point2::new(length, high));
        drill_access(
            model,
            &mut plate,
            bounds.0,
            bounds.1,
            &[former - p.from - ends],
        );
        plate
    }

    /// Rows at both ends, along the bottom and the top's inner edge, and at the former.
    fn rivet(&self, overlay: &mut Plate) {
        let model = self.shape.model;
        let p = model.pannier_tanks();
        let (spec, edge) = (&model.rivets.platework, model.rivets.edge);
        let loft = loft_of(overlay).clone();
        let at = |w| loft.flat(SurfacePoint { w, v: 0.0 }).y;
        let (low, high) = (at(0.0) + edge, at(loft.w_end()) - edge);
        let length = p.to - p.from;
        if low >= high || 2.0 * edge >= length {
            return;
        }
        let across = |x: f64| even_row(Point2::new(x, low), Point2::new(x, high), spec.pitch);
        lay_row(overlay, "front", spec, across(edge));
        lay_row(overlay, "rear", spec, across(length - edge));
        for (name, y) in [("first", low), ("last", high)] {
            let row = even_row(
                Point2::new(edge, y),
                Point2::new(length - edge, y),
                spec.pitch,
            );
            lay_row(overlay, name, spec, row);
        }
        for (i, x) in bays(0.0, length, length / 2.0).iter().enumerate() {
            lay_row(overlay, &format!("former-{}", i + 1), spec, across(*x));
        }
    }
}

/// The name of an end's side; upright lines are the outer side, or the short one towards the centre line.
fn side_of(segment: &Segment, opening: f64, middle: f64) -> &'static str {
    match segment {
        // The opening alone is hollow; the outline runs anticlockwise.
        Segment::Arc(arc) if arc.sweep < 0.0 => "opening",
        Segment::Arc(_) => "rim",
        Segment::Line { start, end } if (start.y - end.y).abs() > (start.x - end.x).abs() => {
            if start.x.abs() > opening {
                "side"
            } else {
                "inner"
            }
        }
        Segment::Line { start, .. } => {
            if start.y > middle {
                "top"
            } else {
                "bottom"
            }
        }
    }
}

/// Names of a left wrapper, travelled from the boiler outwards, and of a right one.
const FROM_BOILER: SideNames = SideNames {
    ends: ("front", "rear"),
    sides: ("inner", "bottom"),
    corners: ["front-inner", "rear-inner", "front-bottom", "rear-bottom"],
    datum: ("front-middle", "rear-middle"),
};
const FROM_BOTTOM: SideNames = SideNames {
    ends: ("front", "rear"),
    sides: ("bottom", "inner"),
    corners: ["front-bottom", "rear-bottom", "front-inner", "rear-inner"],
    datum: ("front-middle", "rear-middle"),
};
