//! Sides and back in one wrapper with rolled corners, as bunkers and tenders have them, and the plates inside it.

use crate::error::AtKey;
use crate::fit::butt_joint;
use crate::laminations::{laminate, recess};
use crate::model::specs::CopingSpec;
use crate::panel::{Panel, PlanWrapperOf};
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf, drill, rectangle};
use crate::wrapper::{SideNames, add_ticks, loft_of};
use crate::{Body, BodyError, Model, Plate};
use develop::Forming;
use geom::math::{FRAC_PI_2, PI};
use geom::{Chain, Outline, Placement, Point2, Point3, Vector3};

/// A U of sides and back, its dimensions those of the drawn outside (mm).
pub(super) struct Tub<'m> {
    pub(super) model: &'m Model,
    /// Its table in the model file: `bunker`.
    pub(super) key: &'static str,
    /// Begins the names of its plates.
    pub(super) id: &'static str,
    pub(super) assembly: &'static str,
    /// Its name on sheets: `Bunker`.
    pub(super) title: &'static str,
    /// Its sheet among the metal's parts.
    pub(super) part: &'static str,
    pub(super) from: f64,
    pub(super) to: f64,
    /// Half the width over the sides.
    pub(super) half: f64,
    /// Where the flare starts.
    pub(super) top: f64,
    pub(super) coping: &'m CopingSpec,
}

/// Names of its sides: rulings run up from the footplate, travel goes from left to right.
pub(super) const UPRIGHT: SideNames = SideNames {
    ends: ("bottom", "top"),
    sides: ("end-left", "end-right"),
    corners: [
        "bottom-left-end",
        "top-left-end",
        "bottom-right-end",
        "top-right-end",
    ],
    datum: ("bottom-back", "top-back"),
};

impl<'m> Tub<'m> {
    /// The tub of the bunker.
    pub(super) fn of_bunker(model: &'m Model) -> Self {
        let b = model.bunker();
        Self {
            model,
            key: "bunker",
            id: "bunker",
            assembly: "bunker",
            title: "Bunker",
            part: "bunker",
            from: model.bunker_front(),
            to: b.back,
            half: model.bunker_over() / 2.0,
            top: b.top,
            coping: &b.coping,
        }
    }

    /// The tub of the tender.
    pub(super) fn of_tender(model: &'m Model) -> Self {
        let t = model.tender_tank();
        Self {
            model,
            key: "tender_tank",
            id: "tender-tank",
            assembly: "tender-tank",
            title: "Tender tank",
            part: "tender",
            from: t.from,
            to: t.to,
            half: t.over / 2.0,
            top: t.top,
            coping: &t.coping,
        }
    }

    /// Thickness of the sides' sheet (mm).
    pub(super) fn sheet(&self) -> f64 {
        self.model.metal.thickness(self.part)
    }

    pub(super) fn bottom(&self) -> f64 {
        self.model.footplate.top
    }

    /// An impossible shape at a key of the table.
    pub(super) fn refused<T>(
        &self,
        key: &str,
        sentence: String,
        help: &str,
    ) -> Result<T, BodyError> {
        Err(BodyError::Shape {
            path: format!("{}.{key}", self.key),
            sentence,
            help: help.to_owned(),
        })
    }

    /// Refuses sides, corners and heights that cannot be.
    pub(super) fn check(&self) -> Result<(), BodyError> {
        let (radius, sheet) = (self.coping.corner_radius, self.sheet());
        let end = if self.key == "bunker" { "back" } else { "to" };
        if self.to - self.from - radius <= 6.0 * sheet {
            let help = "check where it begins and ends, and the corner radius";
            let sentence = "the corners in plan are larger than its sides".to_owned();
            return self.refused(end, sentence, help);
        }
        let least = recess(self.model) + 1.5 * sheet;
        let most = self.half - 2.0 * sheet;
        if !(radius > least && radius < most) {
            return self.refused(
                "corner_radius",
                format!("corners of {radius:.2} mm on the model cannot be rolled"),
                &format!("between {least:.2} and {most:.2} mm on the model can be, by the sheets and half the width"),
            );
        }
        let strip = self.coping.flare_radius * self.coping.flare_angle;
        let least = 2.0 * self.model.metal.thickness("coping");
        if strip < least {
            return self.refused(
                "flare_radius",
                format!("the flare is a strip of {strip:.3} mm on the model"),
                &format!(
                    "a strip of {least:.2} mm and more can be rolled; check the radius and its unit"
                ),
            );
        }
        if self.top - self.bottom() <= 6.0 * sheet {
            let help = "give the height above rail at which the flare starts";
            let sentence = "the top does not stand over the footplate".to_owned();
            return self.refused("top", sentence, help);
        }
        Ok(())
    }

    /// In plan: from the left front end rearward, round the back, to the right front end.
    pub(super) fn plan(&self) -> Chain {
        let radius = self.coping.corner_radius;
        let side = self.to - self.from - radius;
        Chain::starting(Point2::new(self.from, self.half), 0.0)
            .line(side)
            .arc(radius, -FRAC_PI_2)
            .line(2.0 * (self.half - radius))
            .arc(radius, -FRAC_PI_2)
            .line(side)
            .finish()
    }

    /// Area in plan over the outside (mm²).
    pub(super) fn plan_area(&self) -> f64 {
        let radius = self.coping.corner_radius;
        2.0 * self.half * (self.to - self.from) - (2.0 - PI / 2.0) * radius * radius
    }

    pub(super) fn wrapper_id(&self) -> String {
        format!("{}-wrapper", self.id)
    }

    pub(super) fn overlay_id(&self) -> String {
        format!("{}-wrapper-overlay", self.id)
    }

    /// The structural wrapper and its riveted overlay.
    ///
    /// `uprights` are rows across the sides, by x; each is laid on the left and on the right.
    pub(super) fn walls(&self, uprights: &[(String, f64)]) -> Result<[Plate; 2], BodyError> {
        let plan = self.plan();
        let heights = (self.bottom(), self.top);
        let make = |id: &str, title: String, part: &str, inset: f64| {
            PlanWrapperOf {
                id,
                assembly: self.assembly,
                title: &title,
                sheet: self.model.metal.sheet(part),
                names: UPRIGHT,
                plan: &plan,
                inset,
                heights,
            }
            .plate(&format!("{}.corner_radius", self.key))
        };
        let title = format!("{} sides and back", self.title);
        let mut wrapper = make(
            &self.wrapper_id(),
            title.clone(),
            self.part,
            recess(self.model),
        )?;

        let etched = self.model.metal.process.half_etch_depth.at(self.sheet());
        let middle = loft_of(&wrapper).datum();
        add_ticks(&mut wrapper, &[("centre-line", middle)], 1.0, etched);
        let mut overlay = make(
            &self.overlay_id(),
            format!("{title}, overlay"),
            "overlay",
            0.0,
        )?;
        let panel = Panel::of_rolled(&overlay, heights);
        let rows: Vec<(String, f64)> = uprights
            .iter()
            .flat_map(|(name, x)| {
                let along = x - self.from;
                [
                    (format!("{name}-left"), along),
                    (format!("{name}-right"), panel.along.1 - along),
                ]
            })
            .collect();
        panel.rivet(self.model, &mut overlay, &rows);
        Ok([wrapper, overlay])
    }

    /// Half width and rear end of the room inside the wrapper, and the radius of its corners (mm).
    pub(super) fn inside(&self) -> (f64, f64, f64) {
        let wall = recess(self.model) + self.sheet();
        (
            self.half - wall,
            self.to - wall,
            self.coping.corner_radius - wall,
        )
    }

    /// A plate from side to side with its outside at `x`, looking to the front or the rear, an opening in its middle.
    pub(super) fn cross(
        &self,
        part: &str,
        title: &str,
        facing: Facing,
        x: f64,
        heights: (f64, f64),
        open: bool,
    ) -> Plate {
        let (half, ..) = self.inside();
        // Seen from the front the engine's left is on the left hand, at negative flat x.
        let hands = if facing == Facing::Front {
            ("side-right", "side-left")
        } else {
            ("side-left", "side-right")
        };
        let mut plate = FlatPlateOf {
            id: format!("{}-{part}", self.id),
            assembly: self.assembly,
            title: format!("{} {title}", self.title),
            sheet: self.model.metal.sheet(self.part),
            outside_origin: Point3::new(x, 0.0, 0.0),
            facing,
            outline: &rectangle(Point2::new(-half, heights.0), Point2::new(half, heights.1)),
            sides: &["bottom", hands.0, "top", hands.1],
        }
        .plate();
        let opening = 0.5 * (heights.1 - heights.0).min(half);
        let least = self.model.metal.process.least_hole.at(self.sheet());
        if open && opening >= least {
            let middle = Point2::new(0.0, f64::midpoint(heights.0, heights.1));
            drill(&mut plate, "access", middle, opening);
        }
        plate
    }

    /// A level plate between the sides from `from` to `to`, its upper face at `height`.
    pub(super) fn level(
        &self,
        part: &str,
        title: &str,
        (from, to): (f64, f64),
        height: f64,
    ) -> Plate {
        let (half, ..) = self.inside();
        let outline = rectangle(Point2::new(0.0, -half), Point2::new(to - from, half));
        let sides = ["side-right", "rear", "side-left", "front"];
        self.laid(
            part,
            title,
            Point3::new(from, 0.0, height),
            &outline,
            &sides,
        )
    }

    /// A level plate from `from` to the back, its corners rounded within the wrapper's.
    ///
    /// # Errors
    ///
    /// [`BodyError`] where the corners do not leave room for it.
    pub(super) fn level_to_back(
        &self,
        part: &str,
        title: &str,
        from: f64,
        height: f64,
    ) -> Result<Plate, BodyError> {
        let (half, back, radius) = self.inside();
        if back - radius <= from {
            let sentence = format!("the {title} has no room before the corners of the back");
            let help = "make the corners smaller or begin further forward";
            return self.refused("corner_radius", sentence, help);
        }
        let side = back - radius - from;
        let run = Chain::starting(Point2::new(0.0, -half), 0.0)
            .line(side)
            .arc(radius, FRAC_PI_2)
            .line(2.0 * (half - radius))
            .arc(radius, FRAC_PI_2)
            .line(side)
            .corner(FRAC_PI_2)
            .line(2.0 * half)
            .finish();
        let outline = Outline::from_chain(&run).at_key(&format!("{}.corner_radius", self.key))?;
        let sides = [
            "side-right",
            "corner-right",
            "rear",
            "corner-left",
            "side-left",
            "front",
        ];
        let origin = Point3::new(from, 0.0, height);
        Ok(self.laid(part, title, origin, &outline, &sides))
    }

    /// A plate between the sides that rises from `(x, height)` at its front to its rear, its upper face through both.
    ///
    /// It is shortened so that the corner of its underside does not cut into what it butts on.
    pub(super) fn sloping(
        &self,
        part: &str,
        title: &str,
        front: (f64, f64),
        rear: (f64, f64),
    ) -> Plate {
        let (run, rise) = (rear.0 - front.0, rear.1 - front.1);
        let slope = (run * run + rise * rise).sqrt();
        let (cos, sin) = (run / slope, rise / slope);
        // The underside leans out at the end that lies higher.
        let cut = self.sheet() * sin.abs() / cos;
        let (half, ..) = self.inside();
        let outline = rectangle(Point2::new(0.0, -half), Point2::new(slope - cut, half));
        let sides = ["side-right", "rear", "side-left", "front"];
        let mut plate = self.laid(part, title, Point3::origin(), &outline, &sides);
        let lead = if rise < 0.0 { cut } else { 0.0 };
        let along = Vector3::new(cos, 0.0, sin);
        let up = Vector3::new(-sin, 0.0, cos);
        let origin = Point3::new(front.0, 0.0, front.1) + along * lead - up * plate.sheet.z_high;
        plate.forming = Forming::Flat(Placement::new(origin, along, Vector3::y()));
        plate
    }

    fn laid(
        &self,
        part: &str,
        title: &str,
        origin: Point3,
        outline: &Outline,
        sides: &[&str],
    ) -> Plate {
        FlatPlateOf {
            id: format!("{}-{part}", self.id),
            assembly: self.assembly,
            title: format!("{} {title}", self.title),
            sheet: self.model.metal.sheet(self.part),
            outside_origin: origin,
            facing: Facing::Up,
            outline,
            sides,
        }
        .plate()
    }

    /// Joins a plate that stands or lies between the sides to the wrapper.
    pub(super) fn join_to_walls(&self, body: &mut Body, part: &str) {
        let id = format!("{}-{part}", self.id);
        let (Some(plate), Some(wrapper)) = (body.plate(&id), body.plate(&self.wrapper_id())) else {
            return;
        };
        let mut edges = vec!["side-left", "side-right"];
        if plate.edge("corner-left").is_some() {
            edges.extend(["corner-left", "rear", "corner-right"]);
        }
        let joints: Vec<_> = edges
            .into_iter()
            .map(|edge| butt_joint((plate, edge), (wrapper, "inside")))
            .collect();
        body.joints.extend(joints);
    }

    /// Joins an edge of one plate to a face of another, if the body has both.
    pub(super) fn join(
        &self,
        body: &mut Body,
        (part, edge): (&str, &str),
        (other, face): (&str, &str),
    ) {
        let id = format!("{}-{part}", self.id);
        if let (Some(a), Some(b)) = (body.plate(&id), body.plate(other)) {
            let joint = butt_joint((a, edge), (b, face));
            body.joints.push(joint);
        }
    }

    /// Stands a cross plate on the footplate and between the sides, tabbed into both.
    pub(super) fn stand(&self, body: &mut Body, part: &str) -> Result<(), BodyError> {
        self.join_to_walls(body, part);
        self.join(body, (part, "bottom"), ("footplate", "top"));
        let wrapper = self.wrapper_id();
        self.tab(body, (part, "bottom"), "footplate")?;
        self.tab(body, (part, "side-left"), &wrapper)?;
        self.tab(body, (part, "side-right"), &wrapper)
    }

    /// Tabs an edge of one of the tub's plates into another plate.
    pub(super) fn tab(
        &self,
        body: &mut Body,
        (part, edge): (&str, &str),
        into: &str,
    ) -> Result<(), BodyError> {
        let id = format!("{}-{part}", self.id);
        tab_into(
            self.model,
            body,
            (&id, edge),
            into,
            Tabbing::default(),
            self.key,
        )
    }

    /// Stands the wrapper on the footplate and lays the overlay on it; after every slot is cut.
    pub(super) fn clad(&self, body: &mut Body) {
        self.join(body, ("wrapper", "bottom"), ("footplate", "top"));
        laminate(self.model, body, &self.overlay_id(), &self.wrapper_id());
    }
}
