//! The side tanks: a box of side, front, inner plate, top and baffles, clad by riveted overlays.
//!
//! The front is square, of its own plate, or rolled in one with the side.

use super::tank_fittings::{drill_access, filler, note_capacity};
use crate::error::AtKey;
use crate::fit::butt_joint;
use crate::laminations::{laminate, recess, witness_ring};
use crate::panel::{Panel, PlanWrapperOf, bays};
use crate::rows::eased_pitch;
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf, drill, rectangle};
use crate::wrapper::SideNames;
use crate::{Body, BodyError, Finding, FindingPlace, Model, Plate, Severity, Sheet};
use geom::math::{FRAC_PI_2, PI};
use geom::{Chain, Outline, Point2, Point3, Segment};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    refuse_impossible(model)?;
    for left in [true, false] {
        let tank = Tank::new(model, left);
        tank.build(body)?;
    }
    let t = model.side_tanks();
    let volume = 2.0 * Tank::new(model, true).plan_area() * (t.top - model.footplate.top);
    note_capacity(model, body, "side_tanks", volume, t.gallons);
    body.derive(
        "side_tanks.length",
        "Length of the side tanks",
        model.tanks_end() - t.from,
    );
    body.derive(
        "side_tanks.width",
        "Width of one side tank",
        t.over / 2.0 - t.inner,
    );
    if model.boiler.is_some() {
        note_boiler_gap(model, body);
    }
    Ok(())
}

fn refuse_impossible(model: &Model) -> Result<(), BodyError> {
    let t = model.side_tanks();
    let sheet = model.metal.thickness("tanks");
    let walls = 2.0 * sheet + recess(model);
    let wide = t.over / 2.0 - t.inner;
    let refuse = |key: &str, sentence: String, help: &str| {
        Err(BodyError::Shape {
            path: format!("side_tanks.{key}"),
            sentence,
            help: help.to_owned(),
        })
    };
    if wide <= walls + 2.0 * sheet {
        return refuse(
            "inner",
            format!("the tank is {wide:.2} mm wide on the model"),
            "the inner face must lie nearer to the centre line than half the width over tanks",
        );
    }
    let length = model.tanks_end() - t.from;
    if length <= 2.0 * (walls + sheet) {
        return refuse(
            "from",
            format!("the tanks are {length:.2} mm long on the model"),
            "the tanks begin before the cab front; both are measured from the front buffer-beam face",
        );
    }
    if t.top - t.top_recess - model.footplate.top <= 4.0 * sheet {
        return refuse(
            "top",
            "the tank's top does not stand over the footplate".to_owned(),
            "the top is measured above rail, and its plate lies top_recess below it",
        );
    }
    if let Some(radius) = t.front_radius {
        // Both skins go round the corner, and the top plate's corner within them.
        let (least, most) = (recess(model) + 1.5 * sheet, wide.min(length) - sheet);
        if !(radius > least && radius < most) {
            return refuse(
                "front_radius",
                format!("the tank's front corner of {radius:.2} mm on the model cannot be rolled"),
                &format!("it must lie between {least:.2} and {most:.2} mm on the model"),
            );
        }
    }
    Ok(())
}

/// One tank; all coordinates are for the left one and mirrored for the right.
struct Tank<'m> {
    model: &'m Model,
    left: bool,
    /// How far the box stands behind the drawn outside, and its sheet (mm).
    recess: f64,
    sheet: f64,
}

/// Extent of an upright or level plate of the tank on one axis (mm).
type Span = (f64, f64);

impl<'m> Tank<'m> {
    fn new(model: &'m Model, left: bool) -> Self {
        Self {
            model,
            left,
            recess: recess(model),
            sheet: model.metal.thickness("tanks"),
        }
    }

    fn word(&self) -> &'static str {
        if self.left { "left" } else { "right" }
    }

    fn id(&self, part: &str) -> String {
        match part.strip_suffix("-overlay") {
            Some(base) => format!("tank-{base}-{}-overlay", self.word()),
            None => format!("tank-{part}-{}", self.word()),
        }
    }

    fn sign(&self) -> f64 {
        if self.left { 1.0 } else { -1.0 }
    }

    /// Heights of side and front.
    fn heights(&self) -> Span {
        (self.model.footplate.top, self.model.side_tanks().top)
    }

    /// From inside the front of the box to the tank's end.
    fn inside_length(&self) -> Span {
        let from = self.model.side_tanks().from + self.recess + self.sheet;
        (from, self.model.tanks_end())
    }

    /// From inside the inner plate to inside the side, from the centre line.
    fn inside_width(&self) -> Span {
        let t = self.model.side_tanks();
        (
            t.inner + self.sheet,
            t.over / 2.0 - self.recess - self.sheet,
        )
    }

    /// Area in plan over the outside (mm²).
    fn plan_area(&self) -> f64 {
        let t = self.model.side_tanks();
        let whole = (t.over / 2.0 - t.inner) * (self.model.tanks_end() - t.from);
        let corner = t.front_radius.map_or(0.0, |r| (1.0 - PI / 4.0) * r * r);
        whole - corner
    }

    fn build(&self, body: &mut Body) -> Result<(), BodyError> {
        let model = self.model;
        let side = self.id("side");
        let first = body.plates.len();
        if model.side_tanks().front_radius.is_some() {
            body.plates.extend(self.rolled_side()?);
        } else {
            body.plates.extend(self.flat_side_and_front());
        }
        let baffles = self.baffle_places();
        body.plates.extend([self.inner(&baffles), self.top()?]);
        for (i, x) in baffles.iter().enumerate() {
            body.plates.push(self.baffle(i + 1, *x));
        }
        let own = body.plates[first..].to_vec();
        self.join(body, &own);
        self.tab(body, baffles.len())?;
        laminate(model, body, &self.id("side-overlay"), &side);
        if model.side_tanks().front_radius.is_none() {
            laminate(model, body, &self.id("front-overlay"), &self.id("front"));
        }
        self.add_filler(body);
        let length = model.tanks_end() - model.side_tanks().from;
        if let Some(overlay) = body.plate(&self.id("side-overlay")) {
            let eased = eased_pitch(
                overlay,
                "rivets.platework.pitch",
                length - 2.0 * model.rivets.edge,
                model.rivets.platework.pitch,
            );
            body.findings.extend(eased);
        }
        Ok(())
    }

    /// Where plates meet, but for tabs and overlays.
    fn join(&self, body: &mut Body, own: &[Plate]) {
        let plate = |part: &str| own.iter().find(|plate| plate.id == self.id(part));
        let mut joints = Vec::new();
        let mut butt = |a: &Plate, edge: &str, b: Option<&Plate>, face: &str| {
            joints.extend(b.map(|b| butt_joint((a, edge), (b, face))));
        };
        for baffle in own.iter().filter(|plate| plate.id.contains("baffle")) {
            butt(baffle, "outer", plate("side"), "inside");
            butt(baffle, "inner", plate("inner"), "inside");
            butt(baffle, "bottom", body.plate("footplate"), "top");
            butt(baffle, "top", plate("top"), "underside");
        }
        let Some(top) = plate("top") else { return };
        butt(top, "outer", plate("side"), "inside");
        butt(top, "inner", plate("inner"), "inside");
        // A rolled side is the front too.
        let front = plate("front").or(plate("side"));
        butt(top, "front", front, "inside");
        if top.edge("corner").is_some() {
            butt(top, "corner", plate("side"), "inside");
        }
        if let Some(inner) = plate("inner") {
            butt(inner, "front", front, "inside");
        }
        if let Some(front) = plate("front") {
            butt(front, "outer", plate("side"), "inside");
        }
        if let Some(overlay) = plate("front-overlay") {
            butt(overlay, "outer", plate("side-overlay"), "inside");
        }
        for part in ["side", "front", "inner"] {
            if let Some(own) = plate(part) {
                butt(own, "bottom", body.plate("footplate"), "top");
            }
        }
        body.joints.extend(joints);
    }

    /// Baffles into everything round them, flat sides into the footplate, the top into side and front.
    fn tab(&self, body: &mut Body, baffles: usize) -> Result<(), BodyError> {
        let square = self.model.side_tanks().front_radius.is_none();
        let mut tabs: Vec<(String, &str, String)> = Vec::new();
        let footplate = || "footplate".to_owned();
        for i in 1..=baffles {
            let baffle = self.id(&format!("baffle-{i}"));
            tabs.push((baffle.clone(), "bottom", footplate()));
            tabs.push((baffle.clone(), "outer", self.id("side")));
            tabs.push((baffle, "inner", self.id("inner")));
        }
        let flat: &[&str] = if square {
            &["side", "front", "inner"]
        } else {
            &["inner"]
        };
        for part in flat {
            tabs.push((self.id(part), "bottom", footplate()));
        }
        tabs.push((self.id("top"), "outer", self.id("side")));
        if square {
            tabs.push((self.id("top"), "front", self.id("front")));
        }
        for (plate, edge, into) in &tabs {
            let edge = (plate.as_str(), *edge);
            tab_into(
                self.model,
                body,
                edge,
                into,
                Tabbing::default(),
                "side_tanks",
            )?;
        }
        Ok(())
    }

    /// A plate along the engine, seen from the tank's outer side or its inner.
    #[expect(
        clippy::too_many_arguments,
        reason = "a plate's place is as many numbers as that"
    )]
    fn along(
        &self,
        part: &str,
        title: &str,
        sheet: Sheet,
        outer: bool,
        face: f64,
        x: Span,
        z: Span,
    ) -> Plate {
        let facing = if self.left == outer {
            Facing::Left
        } else {
            Facing::Right
        };
        // A side that looks left is seen from its rear end forward.
        let origin = if facing == Facing::Left {
            self.model.tanks_end()
        } else {
            self.model.side_tanks().from
        };
        let (low, high, ends) = if facing == Facing::Left {
            (origin - x.1, origin - x.0, ("front", "rear"))
        } else {
            (x.0 - origin, x.1 - origin, ("rear", "front"))
        };
        FlatPlateOf {
            id: self.id(part),
            assembly: "side-tanks",
            title: format!("{title}, {}", self.word()),
            sheet,
            outside_origin: Point3::new(origin, self.sign() * face, 0.0),
            facing,
            outline: &rectangle(Point2::new(low, z.0), Point2::new(high, z.1)),
            sides: &["bottom", ends.0, "top", ends.1],
        }
        .plate()
    }

    /// A plate across the engine, seen from the front.
    fn across(&self, part: &str, title: &str, sheet: Sheet, x: f64, y: Span, z: Span) -> Plate {
        // Seen from the front the engine's left lies on the left hand, at negative flat x.
        let (low, high, hands) = if self.left {
            (-y.1, -y.0, ("inner", "outer"))
        } else {
            (y.0, y.1, ("outer", "inner"))
        };
        FlatPlateOf {
            id: self.id(part),
            assembly: "side-tanks",
            title: format!("{title}, {}", self.word()),
            sheet,
            outside_origin: Point3::new(x, 0.0, 0.0),
            facing: Facing::Front,
            outline: &rectangle(Point2::new(low, z.0), Point2::new(high, z.1)),
            sides: &["bottom", hands.0, "top", hands.1],
        }
        .plate()
    }

    /// Side and front of the box, each with its riveted overlay.
    fn flat_side_and_front(&self) -> [Plate; 4] {
        let (model, t) = (self.model, self.model.side_tanks());
        let (tanks, skin) = (model.metal.sheet("tanks"), model.metal.sheet("overlay"));
        let (z, end, half) = (self.heights(), model.tanks_end(), t.over / 2.0);
        let box_front = t.from + self.recess;
        let box_side = half - self.recess;
        let side = self.along(
            "side",
            "Tank side",
            tanks.clone(),
            true,
            box_side,
            (box_front, end),
            z,
        );
        let front = self.across(
            "front",
            "Tank front",
            tanks,
            box_front,
            (t.inner, box_side - self.sheet),
            z,
        );
        let mut side_skin = self.along(
            "side-overlay",
            "Tank side overlay",
            skin.clone(),
            true,
            half,
            (t.from, end),
            z,
        );
        let length = end - t.from;
        Panel {
            along: (0.0, length),
            heights: z,
        }
        .rivet(
            model,
            &mut side_skin,
            &baffle_rows(&self.rows_at(0.0, length)),
        );
        let y = (t.inner, half - skin.thickness());
        let mut front_skin = self.across("front-overlay", "Tank front overlay", skin, t.from, y, z);
        let along = if self.left { (-y.1, -y.0) } else { y };
        Panel { along, heights: z }.rivet(model, &mut front_skin, &[]);
        [side, front, side_skin, front_skin]
    }

    /// Side and front in one, rolled round the corner, with the overlay round it.
    fn rolled_side(&self) -> Result<[Plate; 2], BodyError> {
        let (model, t) = (self.model, self.model.side_tanks());
        let skin = model.metal.sheet("overlay");
        let plan = self.plan();
        let make = |part: &str, title: &str, sheet: Sheet, inset: f64| {
            PlanWrapperOf {
                id: &self.id(part),
                assembly: "side-tanks",
                title: &format!("{title}, {}", self.word()),
                sheet,
                names: if self.left { FROM_FRONT } else { FROM_REAR },
                plan: &plan,
                inset,
                heights: self.heights(),
            }
            .plate("side_tanks.front_radius")
        };
        let side = make(
            "side",
            "Tank side and front",
            model.metal.sheet("tanks"),
            self.recess,
        )?;
        let mut overlay = make("side-overlay", "Tank side and front overlay", skin, 0.0)?;
        let panel = Panel::of_rolled(&overlay, self.heights());
        // Baffles stand in the straight side; it is the last part on the left and the first on the right.
        let radius = t.front_radius.unwrap_or(0.0);
        let straight = model.tanks_end() - t.from - radius;
        let rows = if self.left {
            self.rows_at(panel.along.1 - straight, panel.along.1)
        } else {
            self.rows_at(0.0, straight)
        };
        panel.rivet(model, &mut overlay, &baffle_rows(&rows));
        Ok([side, overlay])
    }

    fn rows_at(&self, from: f64, to: f64) -> Vec<f64> {
        bays(from, to, self.model.side_tanks().baffles)
    }

    /// The drawn outside in plan: round the front from the inner plate, along the side to the tank's end.
    fn plan(&self) -> Chain {
        let t = self.model.side_tanks();
        let radius = t.front_radius.unwrap_or(0.0);
        let half = t.over / 2.0;
        let left = Chain::starting(Point2::new(t.from, t.inner), FRAC_PI_2)
            .line(half - t.inner - radius)
            .arc(radius, -FRAC_PI_2)
            .line(self.model.tanks_end() - t.from - radius)
            .finish();
        if self.left {
            left
        } else {
            Chain::from_segments(left.segments().iter().map(Segment::mirrored_in_x_axis)).reversed()
        }
    }

    fn inner(&self, baffles: &[f64]) -> Plate {
        let t = self.model.side_tanks();
        let z = (self.model.footplate.top, t.top - t.top_recess);
        let x = self.inside_length();
        let sheet = self.model.metal.sheet("tanks");
        let mut plate = self.along("inner", "Tank inner plate", sheet, false, t.inner, x, z);
        // Lengths on this flat, as its outline was laid.
        let on_flat = |x: f64| {
            if self.left {
                x - t.from
            } else {
                self.model.tanks_end() - x
            }
        };
        let marks: Vec<f64> = baffles.iter().map(|x| on_flat(*x)).collect();
        let (a, b) = (on_flat(x.0), on_flat(x.1));
        drill_access(
            self.model,
            &mut plate,
            Point2::new(a.min(b), z.0),
            Point2::new(a.max(b), z.1),
            &marks,
        );
        plate
    }

    fn top(&self) -> Result<Plate, BodyError> {
        let t = self.model.side_tanks();
        let ((from, to), (inner, outer)) = (self.inside_length(), self.inside_width());
        let origin = Point3::new(from, 0.0, t.top - t.top_recess);
        let length = to - from;
        let inside_radius = t
            .front_radius
            .map_or(0.0, |radius| radius - self.recess - self.sheet);
        // The left tank's top from its inner front corner, anticlockwise from above.
        let (mut outline, mut sides) = if inside_radius > 0.0 {
            let run = Chain::starting(Point2::new(0.0, inner), 0.0)
                .line(length)
                .corner(FRAC_PI_2)
                .line(outer - inner)
                .corner(FRAC_PI_2)
                .line(length - inside_radius)
                .arc(inside_radius, FRAC_PI_2)
                .line(outer - inner - inside_radius)
                .finish();
            let closed = Outline::from_chain(&run).at_key("side_tanks.front_radius")?;
            (closed, vec!["inner", "rear", "outer", "corner", "front"])
        } else {
            let low = Point2::new(0.0, inner);
            let closed = rectangle(low, Point2::new(length, outer));
            (closed, vec!["inner", "rear", "outer", "front"])
        };
        if !self.left {
            outline = outline.mirrored_in_x_axis();
            sides.reverse();
        }
        Ok(FlatPlateOf {
            id: self.id("top"),
            assembly: "side-tanks",
            title: format!("Tank top, {}", self.word()),
            sheet: self.model.metal.sheet("tanks"),
            outside_origin: origin,
            facing: Facing::Up,
            outline: &outline,
            sides: &sides,
        }
        .plate())
    }

    /// Baffles at the ends of the middle bays: two in a long tank, one in a short one.
    fn baffle_places(&self) -> Vec<f64> {
        let t = self.model.side_tanks();
        let clear = self.recess + t.front_radius.unwrap_or(0.0);
        let (from, to) = (t.from + clear, self.model.tanks_end());
        let rows = bays(from, to, t.baffles);
        match rows.len() {
            0 => vec![f64::midpoint(from, to)],
            1 | 2 => rows,
            n => vec![rows[n / 3], rows[n - 1 - n / 3]],
        }
    }

    fn baffle(&self, number: usize, x: f64) -> Plate {
        let t = self.model.side_tanks();
        let y = self.inside_width();
        let z = (self.model.footplate.top, t.top - t.top_recess - self.sheet);
        let part = format!("baffle-{number}");
        let title = format!("Tank baffle {number}");
        let mut plate = self.across(&part, &title, self.model.metal.sheet("tanks"), x, y, z);
        let middle = Point2::new(
            -self.sign() * f64::midpoint(y.0, y.1),
            f64::midpoint(z.0, z.1),
        );
        let opening = 0.5 * (y.1 - y.0).min(z.1 - z.0);
        if opening >= self.model.metal.process.least_hole.at(self.sheet) {
            drill(&mut plate, "access", middle, opening);
        }
        plate
    }

    fn add_filler(&self, body: &mut Body) {
        let t = self.model.side_tanks();
        let Some(spec) = &t.filler else { return };
        let (inner, outer) = self.inside_width();
        let across = self.sign() * f64::midpoint(inner, outer);
        let top = t.top - t.top_recess;
        let id = format!("tank-filler-{}", self.word());
        body.fittings
            .push(filler(id, "side-tanks", spec, across, top));
        let name = self.id("top");
        if let Some(plate) = body.plates.iter_mut().find(|plate| plate.id == name) {
            let centre = Point2::new(spec.x - self.inside_length().0, across);
            witness_ring(self.model, plate, "filler", centre, 0.85 * spec.diameter);
        }
    }
}

fn baffle_rows(places: &[f64]) -> Vec<(String, f64)> {
    places
        .iter()
        .enumerate()
        .map(|(i, along)| (format!("baffle-{}", i + 1), *along))
        .collect()
}

/// Names of a left side rolled from its front edge, and of a right one rolled from its rear.
const FROM_FRONT: SideNames = SideNames {
    ends: ("bottom", "top"),
    sides: ("inner", "rear"),
    corners: ["bottom-inner", "top-inner", "bottom-rear", "top-rear"],
    datum: ("bottom-middle", "top-middle"),
};
const FROM_REAR: SideNames = SideNames {
    ends: ("bottom", "top"),
    sides: ("rear", "inner"),
    corners: ["bottom-rear", "top-rear", "bottom-inner", "top-inner"],
    datum: ("bottom-middle", "top-middle"),
};

/// Says so where the inner plate comes too near to the cladding.
fn note_boiler_gap(model: &Model, body: &mut Body) {
    let t = model.side_tanks();
    let b = model.boiler();
    let end = b.end().min(model.tanks_end());
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
