//! The bunker: sides and back in one under a riveted overlay, formers, coal floor and flare.

use super::tub::Tub;
use crate::fit::butt_joint;
use crate::laminations::recess;
use crate::upright::Facing;
use crate::{Body, BodyError, Model};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let tub = Tub::of_bunker(model);
    tub.check()?;
    let b = model.bunker();
    let sheet = tub.sheet();
    let (low, high) = (tub.bottom(), tub.top - b.top_recess);
    let floor = b.floor.unwrap_or(f64::midpoint(low, high));
    if floor - low <= 4.0 * sheet || floor >= high - sheet {
        return tub.refused(
            "floor",
            "the coal floor does not lie between the footplate and the bunker's top".to_owned(),
            "it is measured above rail",
        );
    }
    body.plates.extend(tub.walls(&[])?);
    // Before the cab's back there is a film of solder.
    let front = tub.from
        + if model.cab.is_some() {
            model.metal.film
        } else {
            0.0
        };
    let behind = front + sheet;
    body.plates.push(tub.cross(
        "former-front",
        "former, front",
        Facing::Front,
        front,
        (low, high),
        true,
    ));
    // On the straight part of the sides, two thirds of the way to the back.
    let corner = tub.to - tub.coping.corner_radius - recess(model) - 2.0 * sheet;
    let rear = (tub.from + (tub.to - tub.from) * 2.0 / 3.0).min(corner);
    let has_rear = rear > behind + 2.0 * sheet;
    if has_rear {
        let heights = (low, floor - sheet);
        body.plates.push(tub.cross(
            "former-rear",
            "former, rear",
            Facing::Front,
            rear,
            heights,
            true,
        ));
    }
    body.plates
        .push(tub.level_to_back("floor", "coal floor", behind, floor)?);
    tub.stand(body, "former-front")?;
    if has_rear {
        tub.stand(body, "former-rear")?;
        tub.join(body, ("former-rear", "top"), ("bunker-floor", "underside"));
    }
    tub.join_to_walls(body, "floor");
    tub.join(body, ("floor", "front"), ("bunker-former-front", "inside"));
    tub.tab(body, ("floor", "front"), "bunker-former-front")?;
    if b.from.is_none()
        && let (Some(back), Some(wrapper)) = (body.plate("cab-back"), body.plate("bunker-wrapper"))
    {
        let joint = butt_joint((wrapper, "end-left"), (back, "outside"));
        body.joints.push(joint);
    }
    tub.clad(body);
    tub.add_coping(body)
}
