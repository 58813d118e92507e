//! Coal rails on a bunker or tender: bars bent round sides and back, on stays that stand on the coping's edge.

use super::tub::{Tub, UPRIGHT};
use crate::error::AtKey;
use crate::fit::{butt_joint, face_joint};
use crate::panel::{PlanWrapperOf, bays};
use crate::upright::{Facing, FlatPlateOf, rectangle};
use crate::{Body, BodyError, Model, Plate};
use geom::{Point2, Point3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let tub = if model.tender_tank.is_some() {
        Tub::of_tender(model)
    } else {
        Tub::of_bunker(model)
    };
    let rails = Rails::on(&tub)?;
    let bars = rails.bars()?;
    let stays = rails.stays();
    for (stay, strip) in &stays {
        for bar in &bars {
            body.joints
                .push(face_joint((stay, "outside"), (bar, "inside")));
        }
        if let Some(strip) = body.plate(strip) {
            let joint = butt_joint((stay, "bottom"), (strip, "lip"));
            body.joints.push(joint);
        }
    }
    body.plates.extend(bars);
    body.plates.extend(stays.into_iter().map(|(stay, _)| stay));
    body.derive(
        "coal_rails.height",
        "Height over the coal rails above rail",
        rails.heights.1,
    );
    Ok(())
}

struct Rails<'t, 'm> {
    tub: &'t Tub<'m>,
    /// Mid-sheet of the stays from the drawn sides, outwards (mm).
    out: f64,
    /// Foot and top of the stays (mm).
    heights: (f64, f64),
}

impl<'t, 'm> Rails<'t, 'm> {
    fn on(tub: &'t Tub<'m>) -> Result<Self, BodyError> {
        let (out, foot) = tub.lip()?;
        let rails = Self {
            tub,
            out,
            heights: (foot, foot),
        };
        let spec = rails.spec();
        let top = foot + spec.bars as f64 * (spec.gap + spec.bar);
        Ok(Self {
            heights: (foot, top),
            ..rails
        })
    }

    fn spec(&self) -> &'m crate::model::specs::CoalRailSpec {
        self.tub.model.coal_rails()
    }

    /// Bars from the lowest up, each in one round both corners.
    fn bars(&self) -> Result<Vec<Plate>, BodyError> {
        let (tub, spec) = (self.tub, self.spec());
        let m = &tub.model.metal;
        let sheet = m.sheet("overlay");
        let stay = m.thickness("coping");
        let outside = self.out + stay / 2.0 + m.film + sheet.thickness();
        let plan = tub.plan().offset(outside).at_key("coal_rails")?;
        (0..spec.bars)
            .map(|i| {
                let low = self.heights.0 + spec.gap + i as f64 * (spec.gap + spec.bar);
                PlanWrapperOf {
                    id: &format!("coal-rail-{}", i + 1),
                    assembly: "coal-rails",
                    title: &format!("Coal rail {}", i + 1),
                    sheet: sheet.clone(),
                    names: UPRIGHT,
                    plan: &plan,
                    inset: 0.0,
                    heights: (low, low + spec.bar),
                }
                .plate("coal_rails")
            })
            .collect()
    }

    /// Stays along the straight parts of the coping, each with the strip that it stands on.
    fn stays(&self) -> Vec<(Plate, String)> {
        let (tub, spec) = (self.tub, self.spec());
        let corner = tub.coping.corner_radius;
        let places = |from: f64, to: f64| {
            let (from, to) = (from + spec.stay, to - spec.stay);
            let mut all = vec![from];
            all.extend(bays(from, to, spec.stay_pitch));
            all.push(to);
            all.retain(|place| (from..=to).contains(place));
            all
        };
        let stay = tub.model.metal.thickness("coping");
        let face = self.out + stay / 2.0;
        let mut stays = Vec::new();
        let along = places(tub.from, tub.to - corner);
        for (hand, facing, sign) in [("left", Facing::Left, 1.0), ("right", Facing::Right, -1.0)] {
            for (i, x) in along.iter().enumerate() {
                let origin = Point3::new(*x, sign * (tub.half + face), 0.0);
                stays.push(self.stay(hand, i + 1, facing, origin));
            }
        }
        let across = places(corner - tub.half, tub.half - corner);
        for (i, y) in across.iter().enumerate() {
            let origin = Point3::new(tub.to + face, *y, 0.0);
            stays.push(self.stay("back", i + 1, Facing::Rear, origin));
        }
        stays
    }

    fn stay(&self, run: &str, number: usize, facing: Facing, origin: Point3) -> (Plate, String) {
        let half = self.spec().stay / 2.0;
        let plate = FlatPlateOf {
            id: format!("coal-rail-stay-{run}-{number}"),
            assembly: "coal-rails",
            title: format!("Coal rail stay, {run}, {number}"),
            sheet: self.tub.model.metal.sheet("coping"),
            outside_origin: origin,
            facing,
            outline: &rectangle(
                Point2::new(-half, self.heights.0),
                Point2::new(half, self.heights.1),
            ),
            sides: &["bottom", "right", "top", "left"],
        }
        .plate();
        (plate, format!("{}-{run}", self.tub.flare_id()))
    }
}
