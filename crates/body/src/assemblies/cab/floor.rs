//! The cab floor: between sides, front and back, open over wheels and splashers.

use super::{Cab, splashers};
use crate::assemblies::firebox;
use crate::assemblies::side_plate::{SidePlateOf, hand};
use crate::fit::butt_joint;
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf, cut, rounded_rectangle};
use crate::{Body, BodyError, Model};
use geom::{Outline, Point2, Point3};

/// Something that comes up through the floor, on both sides alike (mm).
#[derive(Clone, Copy)]
struct Through {
    from: f64,
    to: f64,
    inner: f64,
    outer: f64,
}

pub(super) fn add_floor(model: &Model, cab: &Cab, body: &mut Body) -> Result<(), BodyError> {
    let c = model.cab();
    let sheet = model.metal.sheet("cab");
    let t = sheet.thickness();
    let bar = model.metal.process.least_bar.at(t);
    if c.floor - t < model.footplate.top {
        return Err(BodyError::Shape {
            path: "cab.floor".to_owned(),
            sentence: "the cab floor lies in the footplate".to_owned(),
            help: format!(
                "give a height above rail of {:.2} mm or more on the model, or leave it out",
                model.footplate.top + t
            ),
        });
    }
    let mut from = cab.inside_front;
    if model.firebox.is_some() {
        let rear = firebox::front_x(model) + model.firebox().length;
        from = from.max(rear + c.box_clearance);
    }
    let to = cab.inside_back;
    // Too short to stand on: the floor is left out.
    if to - from < 8.0 * t {
        return Ok(());
    }
    let mut half = cab.between_sides;
    let mut inside: Vec<Through> = Vec::new();
    for through in things_through(model, c.floor - t) {
        if through.to <= from || through.from >= to || through.inner >= half {
            continue;
        }
        let open_ended = through.from < from + bar || through.to > to - bar;
        if open_ended || through.outer > cab.between_sides - bar {
            half = half.min(through.inner);
        } else {
            inside.push(through);
        }
    }
    if half < 4.0 * t {
        return Ok(());
    }
    let at = Point2::new;
    let mut plate = FlatPlateOf {
        id: "cab-floor".to_owned(),
        assembly: "cab",
        title: "Cab floor".to_owned(),
        sheet,
        outside_origin: Point3::new(0.0, 0.0, c.floor),
        facing: Facing::Up,
        outline: &Outline::rectangle(at(from, -half), at(to, half)),
        sides: &["side-right", "rear", "side-left", "front"],
    }
    .plate();
    let radius = model.metal.process.inside_corner.at(t);
    for (i, hole) in inside
        .iter()
        .filter(|hole| hole.outer < half - bar)
        .enumerate()
    {
        for (hand, low, high) in [
            ("right", -hole.outer, -hole.inner),
            ("left", hole.inner, hole.outer),
        ] {
            let opening = rounded_rectangle(at(hole.from, low), at(hole.to, high), radius);
            cut(
                &mut plate,
                &format!("wheel-{hand}-{}", i + 1),
                &opening,
                None,
            );
        }
    }
    let full = half == cab.between_sides;
    if !c.rear_open
        && let Some(back) = body.plate("cab-back")
    {
        let joint = butt_joint((&plate, "rear"), (back, "inside"));
        body.joints.push(joint);
    }
    body.plates.push(plate);
    if !full {
        add_bearers(model, (from, to), 0.7 * half, body)?;
    }
    if !c.rear_open {
        let tabbing = Tabbing {
            count: Some(2),
            ..Tabbing::default()
        };
        tab_into(
            model,
            body,
            ("cab-floor", "rear"),
            "cab-back",
            tabbing,
            "cab.floor",
        )?;
    }
    for hand in ["left", "right"] {
        if !full {
            break;
        }
        let (edge, side) = (format!("side-{hand}"), format!("cab-side-{hand}"));
        if let (Some(floor), Some(plate)) = (body.plate("cab-floor"), body.plate(&side)) {
            let joint = butt_joint((floor, &edge), (plate, "inside"));
            body.joints.push(joint);
        }
        let edge = ("cab-floor", edge.as_str());
        tab_into(model, body, edge, &side, Tabbing::default(), "cab.floor")?;
    }
    Ok(())
}

/// Upright bearers between footplate and floor, where the floor does not reach the sides: tabbed into both.
fn add_bearers(
    model: &Model,
    ends: (f64, f64),
    from_centre: f64,
    body: &mut Body,
) -> Result<(), BodyError> {
    let sheet = model.metal.sheet("cab");
    let (low, high) = (model.footplate.top, model.cab().floor - sheet.thickness());
    // Lower than that the floor lies on the footplate, or near enough to be packed up.
    if high - low < 2.0 * sheet.thickness() {
        return Ok(());
    }
    for left in [true, false] {
        let id = format!("cab-floor-bearer-{}", hand(left));
        let bearer = SidePlateOf {
            id: id.clone(),
            assembly: "cab",
            title: format!("Cab floor bearer, {}", hand(left)),
            sheet: sheet.clone(),
            left,
            outside: from_centre,
            ends,
            outline: &Outline::rectangle(Point2::new(ends.0, low), Point2::new(ends.1, high)),
            sides: &["bottom", "rear", "top", "front"],
        }
        .plate();
        for (edge, other, face) in [
            ("bottom", "footplate", "top"),
            ("top", "cab-floor", "underside"),
        ] {
            if let Some(plate) = body.plate(other) {
                let joint = butt_joint((&bearer, edge), (plate, face));
                body.joints.push(joint);
            }
        }
        body.plates.push(bearer);
        for (edge, other) in [("bottom", "footplate"), ("top", "cab-floor")] {
            tab_into(
                model,
                body,
                (&id, edge),
                other,
                Tabbing::default(),
                "cab.floor",
            )?;
        }
    }
    Ok(())
}

/// Wheels and splashers that reach above `height`, with room.
fn things_through(model: &Model, height: f64) -> Vec<Through> {
    let wheels = model.wheels.dimensions();
    let play = model.scale.pick(0.5, 0.8);
    let half_back = wheels.back_to_back / 2.0;
    let mut all: Vec<Through> = model
        .running
        .axles
        .iter()
        .filter_map(|axle| {
            let radius = axle.diameter / 2.0 + wheels.flange_depth + play;
            chord(axle.x, axle.diameter / 2.0, radius, height).map(|(from, to)| Through {
                from,
                to,
                inner: half_back - play,
                outer: half_back + wheels.tyre_width + play,
            })
        })
        .collect();
    let room = model.cab().box_clearance;
    all.extend(splashers(model).iter().filter_map(|s| {
        chord(s.axle.x, s.axle.y, s.radius + room, height).map(|(from, to)| Through {
            from,
            to,
            inner: s.inner - room,
            outer: s.outer + room,
        })
    }));
    all
}

/// Where a circle about (x, centre) reaches above a height.
fn chord(x: f64, centre: f64, radius: f64, height: f64) -> Option<(f64, f64)> {
    let rise = (height - centre).max(0.0);
    (rise < radius).then(|| {
        let half = ((radius - rise) * (radius + rise)).sqrt();
        (x - half, x + half)
    })
}
