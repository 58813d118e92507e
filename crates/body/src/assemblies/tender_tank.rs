//! The tender's tank: sides and back in one under a riveted overlay, front, coal space, tops and flare.

use super::tank_fittings::{filler, note_capacity};
use super::tub::Tub;
use crate::laminations::{recess, witness_ring};
use crate::panel::bays;
use crate::upright::Facing;
use crate::{Body, BodyError, Model};
use geom::Point2;

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let tub = Tub::of_tender(model);
    tub.check()?;
    let space = CoalSpace::of(&tub)?;
    body.plates.extend(tub.walls(&double_rows(&tub))?);
    let sheet = tub.sheet();
    let (low, lid) = (tub.bottom(), space.lid);
    let under = (low, lid - sheet);
    body.plates.extend([
        tub.cross(
            "front",
            "front",
            Facing::Front,
            tub.from,
            (low, tub.top),
            false,
        ),
        tub.cross(
            "bulkhead-front",
            "front bulkhead",
            Facing::Rear,
            space.front,
            under,
            false,
        ),
        tub.cross(
            "bulkhead-rear",
            "rear bulkhead",
            Facing::Front,
            space.rear,
            under,
            false,
        ),
    ]);
    let corner = tub.to - tub.coping.corner_radius - recess(model) - 2.0 * sheet;
    let former = f64::midpoint(space.rear + sheet, tub.inside().1).min(corner);
    let has_former = former > space.rear + 3.0 * sheet;
    if has_former {
        body.plates.push(tub.cross(
            "former-rear",
            "former, rear",
            Facing::Front,
            former,
            under,
            true,
        ));
    }
    let inside_front = tub.from + sheet;
    body.plates.extend([
        tub.level("top-front", "top, front", (inside_front, space.front), lid),
        tub.level_to_back("top-rear", "top, rear", space.rear, lid)?,
        space.floor(&tub),
    ]);
    for part in ["front", "bulkhead-front", "bulkhead-rear"] {
        tub.stand(body, part)?;
    }
    if has_former {
        tub.stand(body, "former-rear")?;
    }
    space.join(&tub, body, has_former)?;
    tub.clad(body);
    tub.add_coping(body)?;
    add_filler(&tub, &space, body);
    let t = model.tender_tank();
    let coal = (space.rear - space.front) * 2.0 * tub.half * (tub.top - space.mean_floor());
    let volume = tub.plan_area() * (tub.top - low) - coal;
    note_capacity(model, body, "tender_tank", volume, t.gallons);
    body.derive(
        "tender_tank.length",
        "Length of the tank",
        tub.to - tub.from,
    );
    Ok(())
}

/// Two rows on neighbouring rivets at every upright joint of the side plates.
fn double_rows(tub: &Tub<'_>) -> Vec<(String, f64)> {
    let pitch = tub.model.rivets.platework.pitch;
    let t = tub.model.tender_tank();
    bays(tub.from, tub.to - tub.coping.corner_radius, t.joints)
        .iter()
        .enumerate()
        .flat_map(|(i, x)| {
            [(-0.5, 1), (0.5, 2)]
                .map(|(share, row)| (format!("joint-{}-row-{row}", i + 1), x + share * pitch))
        })
        .collect()
}

/// The coal space between its bulkheads (mm).
struct CoalSpace {
    front: f64,
    rear: f64,
    /// Height of the floor at both bulkheads, and of the tank's top beside it.
    floor: (f64, f64),
    lid: f64,
}

impl CoalSpace {
    fn of(tub: &Tub<'_>) -> Result<Self, BodyError> {
        let t = tub.model.tender_tank();
        let c = &t.coal_space;
        let sheet = tub.sheet();
        let lid = tub.top - t.top_recess;
        let space = Self {
            front: c.front_bulkhead,
            rear: c.rear_bulkhead,
            floor: (c.floor_front.unwrap_or(c.floor), c.floor),
            lid,
        };
        let room = 4.0 * sheet;
        if space.front <= tub.from + room || space.rear <= space.front + room {
            return tub.refused(
                "coal_space.front_bulkhead",
                "the bulkheads do not stand behind one another within the tank".to_owned(),
                "front end of the tank, front bulkhead, rear bulkhead and back follow in this order",
            );
        }
        if space.rear >= tub.to - tub.coping.corner_radius - room {
            return tub.refused(
                "coal_space.rear_bulkhead",
                "the rear bulkhead stands in the corners of the back".to_owned(),
                "it must stand on the straight part of the sides",
            );
        }
        let (low, high) = (tub.bottom() + room, lid - sheet);
        for height in [space.floor.0, space.floor.1] {
            if !(height > low && height < high) {
                return tub.refused(
                    "coal_space.floor",
                    "the coal floor does not lie between the footplate and the tank's top"
                        .to_owned(),
                    "it is measured above rail",
                );
            }
        }
        Ok(space)
    }

    fn mean_floor(&self) -> f64 {
        f64::midpoint(self.floor.0, self.floor.1)
    }

    fn is_level(&self) -> bool {
        self.floor.0 == self.floor.1
    }

    fn floor(&self, tub: &Tub<'_>) -> crate::Plate {
        if self.is_level() {
            tub.level(
                "coal-floor",
                "coal floor",
                (self.front, self.rear),
                self.floor.1,
            )
        } else {
            let (front, rear) = ((self.front, self.floor.0), (self.rear, self.floor.1));
            tub.sloping("coal-floor", "coal floor", front, rear)
        }
    }

    fn join(&self, tub: &Tub<'_>, body: &mut Body, has_former: bool) -> Result<(), BodyError> {
        for part in ["top-front", "top-rear", "coal-floor"] {
            tub.join_to_walls(body, part);
        }
        for (part, edge, other, face) in [
            ("top-front", "front", "tender-tank-front", "inside"),
            (
                "coal-floor",
                "front",
                "tender-tank-bulkhead-front",
                "outside",
            ),
            ("coal-floor", "rear", "tender-tank-bulkhead-rear", "outside"),
            (
                "bulkhead-front",
                "top",
                "tender-tank-top-front",
                "underside",
            ),
            ("bulkhead-rear", "top", "tender-tank-top-rear", "underside"),
        ] {
            tub.join(body, (part, edge), (other, face));
        }
        if has_former {
            let lid = ("tender-tank-top-rear", "underside");
            tub.join(body, ("former-rear", "top"), lid);
        }
        tub.tab(body, ("top-front", "front"), "tender-tank-front")?;
        for lid in ["top-front", "top-rear"] {
            for side in ["side-left", "side-right"] {
                tub.tab(body, (lid, side), &tub.wrapper_id())?;
            }
        }
        if self.is_level() {
            // A sloping floor would need slots wider than its tabs.
            tub.tab(body, ("coal-floor", "front"), "tender-tank-bulkhead-front")?;
            tub.tab(body, ("coal-floor", "rear"), "tender-tank-bulkhead-rear")?;
        }
        Ok(())
    }
}

fn add_filler(tub: &Tub<'_>, space: &CoalSpace, body: &mut Body) {
    let Some(spec) = &tub.model.tender_tank().filler else {
        return;
    };
    let id = "tender-tank-filler".to_owned();
    body.fittings
        .push(filler(id, tub.assembly, spec, 0.0, space.lid));
    let top = body
        .plates
        .iter_mut()
        .find(|plate| plate.id == "tender-tank-top-rear");
    if let Some(plate) = top {
        let centre = Point2::new(spec.x - space.rear, 0.0);
        witness_ring(tub.model, plate, "filler", centre, 0.85 * spec.diameter);
    }
}
