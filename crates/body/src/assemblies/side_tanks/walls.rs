//! Side and front of a side tank: square, of two plates, or rolled in one; with their overlays.

use super::{Span, Tank};
use crate::assemblies::wheel_room::{FootCut, WheelRoom, notched};
use crate::panel::{Panel, PlanWrapperOf, bays};
use crate::upright::{Facing, FlatPlateOf};
use crate::wrapper::SideNames;
use crate::{BodyError, Plate, Sheet};
use geom::math::FRAC_PI_2;
use geom::{Chain, Outline, Point2, Point3, Segment};

impl Tank<'_> {
    /// A plate along the engine, seen from the tank's outer side or its inner.
    #[expect(
        clippy::too_many_arguments,
        reason = "a plate's place is as many numbers as that"
    )]
    pub(super) fn along(
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
        let on_flat = |x: f64| {
            if facing == Facing::Left {
                origin - x
            } else {
                x - origin
            }
        };
        let t = sheet.thickness();
        let cuts: Vec<FootCut> = WheelRoom::all(self.model)
            .iter()
            .filter(|room| room.inner < face + t && room.outer > face - t)
            .filter_map(|room| {
                let (a, b) = (on_flat(room.from), on_flat(room.to));
                Some(FootCut {
                    from: a.min(b),
                    to: a.max(b),
                    top: room.top((room.from, room.to), z.0)?,
                })
            })
            .collect();
        let (names, outline) = self.upright(low, high, z, [ends.0, ends.1], &cuts);
        let sides: Vec<&str> = names.iter().map(String::as_str).collect();
        FlatPlateOf {
            id: self.id(part),
            assembly: "side-tanks",
            title: format!("{title}, {}", self.word()),
            sheet,
            outside_origin: Point3::new(origin, self.sign() * face, 0.0),
            facing,
            outline: &outline,
            sides: &sides,
        }
        .plate()
    }

    /// A plate across the engine, seen from the front.
    pub(super) fn across(
        &self,
        part: &str,
        title: &str,
        sheet: Sheet,
        x: f64,
        y: Span,
        z: Span,
    ) -> Plate {
        // Seen from the front the engine's left lies on the left hand, at negative flat x.
        let (low, high, hands) = if self.left {
            (-y.1, -y.0, ("inner", "outer"))
        } else {
            (y.0, y.1, ("outer", "inner"))
        };
        let t = sheet.thickness();
        let cuts: Vec<FootCut> = WheelRoom::all(self.model)
            .iter()
            .filter_map(|room| {
                let (from, to) = if self.left {
                    (-room.outer, -room.inner)
                } else {
                    (room.inner, room.outer)
                };
                let top = room.top((x, x + t), z.0)?;
                Some(FootCut { from, to, top })
            })
            .collect();
        let (names, outline) = self.upright(low, high, z, [hands.0, hands.1], &cuts);
        let sides: Vec<&str> = names.iter().map(String::as_str).collect();
        FlatPlateOf {
            id: self.id(part),
            assembly: "side-tanks",
            title: format!("{title}, {}", self.word()),
            sheet,
            outside_origin: Point3::new(x, 0.0, 0.0),
            facing: Facing::Front,
            outline: &outline,
            sides: &sides,
        }
        .plate()
    }

    /// An upright rectangle with what wheels cut from its foot.
    fn upright(
        &self,
        low: f64,
        high: f64,
        z: Span,
        ends: [&str; 2],
        cuts: &[FootCut],
    ) -> (Vec<String>, Outline) {
        let process = self.model.metal.process;
        let least = process.least_bar.at(self.sheet);
        let (low, high) = (Point2::new(low, z.0), Point2::new(high, z.1));
        let (names, segments): (Vec<String>, Vec<Segment>) =
            notched(low, high, ends, cuts, least).into_iter().unzip();
        let outline = Outline::from_chain(&Chain::from_segments(segments))
            .expect("the sides of a rectangle with square openings close");
        (names, outline)
    }

    /// Side and front of the box, each with its riveted overlay.
    pub(super) fn flat_side_and_front(&self) -> [Plate; 4] {
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
    pub(super) fn rolled_side(&self) -> Result<[Plate; 2], BodyError> {
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

    pub(super) fn rows_at(&self, from: f64, to: f64) -> Vec<f64> {
        bays(from, to, self.model.side_tanks().baffles)
    }

    /// The drawn outside in plan: round the front from the inner plate, along the side to the tank's end.
    pub(super) fn plan(&self) -> Chain {
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
