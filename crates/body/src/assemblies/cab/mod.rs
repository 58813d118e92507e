//! The cab: front, sides and back, the roof with its ribs, floor, overlays and beading.

mod beading;
mod brackets;
mod floor;
mod opening;
mod plates;
mod roof;
mod sides;

use super::splashers::{SplasherPlace, places};
use super::wheel_room::WheelRoom;
use crate::fit::{butt_joint, former_joint};
use crate::laminations::{laminate, recess};
use crate::tabs::{Tabbing, tab_into};
use crate::{Body, BodyError, Model};
use geom::Chain;

/// What the plates of a cab share (mm).
struct Cab {
    /// The drawn outside of the roof, from the right eaves to the left.
    roof_outside: Chain,
    /// Net turning of the roof's section (rad).
    roof_turn: f64,
    /// Height of the sides' upper edge.
    side_top: f64,
    /// How far structural plates stand back under their overlays.
    recess: f64,
    /// Half width between the structural sides.
    between_sides: f64,
    /// x of the inner face of the front.
    inside_front: f64,
    /// x of the inner face of the back, or of the end of the sides.
    inside_back: f64,
    /// What splashers take out of the front.
    front_notch: Option<Notch>,
}

/// Where a splasher passes through a plate across the engine: half widths and height, clearance included (mm).
#[derive(Clone, Debug)]
struct Notch {
    inner: f64,
    outer: f64,
    top: f64,
}

impl Notch {
    /// What both take out.
    fn with(self, other: Self) -> Self {
        Self {
            inner: self.inner.min(other.inner),
            outer: self.outer.max(other.outer),
            top: self.top.max(other.top),
        }
    }
}

impl Cab {
    fn of(model: &Model) -> Result<Self, BodyError> {
        let c = model.cab();
        let roof_outside = roof::section(model)?;
        let recess = recess(model);
        let t = model.metal.thickness("cab");
        let cab = Self {
            roof_turn: roof_outside.turn().abs(),
            side_top: roof::side_top(model, &roof_outside)?,
            roof_outside,
            recess,
            between_sides: c.over / 2.0 - recess - t,
            inside_front: c.front + recess + t,
            inside_back: if c.rear_open { c.back } else { c.back - t },
            front_notch: front_notch(model, (c.front, c.front + recess + t)),
        };
        cab.check(model)?;
        Ok(cab)
    }

    fn check(&self, model: &Model) -> Result<(), BodyError> {
        let wrong = |path: &str, sentence: &str, help: &str| {
            Err(BodyError::Shape {
                path: path.to_owned(),
                sentence: sentence.to_owned(),
                help: help.to_owned(),
            })
        };
        // Written so that values that are not numbers are refused too.
        let has_length = self.inside_back > self.inside_front;
        if !has_length {
            return wrong(
                "cab.back",
                "the cab ends before it begins",
                "front and back are both measured from the front buffer-beam face",
            );
        }
        let has_width = self.between_sides > 0.0;
        if !has_width {
            return wrong(
                "cab.over",
                "there is no room between the cab's sides",
                "give the width over the outside of the sides",
            );
        }
        let has_height = self.side_top > model.footplate.top;
        if !has_height {
            return wrong(
                "cab.roof.top",
                "the roof's eaves are below the footplate",
                "give the height of the top of the roof above rail",
            );
        }
        Ok(())
    }
}

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let cab = Cab::of(model)?;
    let eaves = cab.roof_outside.end().y;
    let c = model.cab();
    body.derive("cab.length", "Length of the cab sides", c.back - c.front);
    body.derive("cab.eaves_height", "Height of the eaves above rail", eaves);
    body.derive(
        "cab.roof.developed_length",
        "Length over the outside of the roof, eaves to eaves",
        cab.roof_outside.length(),
    );
    let roof = roof::roof(model, &cab.roof_outside)?;
    let front = plates::front(model, &cab, false)?;
    let front_overlay = plates::front(model, &cab, true)?;
    let mut ends = vec![("front", front.id.clone())];
    for plate in [&front, &front_overlay] {
        let joint = former_joint((&roof, "front"), (plate, "roof"), cab.roof_turn);
        body.joints.push(joint);
    }
    body.plates.extend([front, front_overlay]);
    if !model.cab().rear_open {
        let back = plates::back(model, &cab)?;
        let joint = former_joint((&roof, "rear"), (&back, "roof"), cab.roof_turn);
        body.joints.push(joint);
        ends.push(("rear", back.id.clone()));
        body.plates.push(back);
    }
    for left in [true, false] {
        body.plates.push(sides::side(model, &cab, left, false)?);
        body.plates.push(sides::side(model, &cab, left, true)?);
    }
    roof::add_ribs(model, &cab, &roof, body)?;
    floor::add_floor(model, &cab, body)?;
    roof::add_strips(model, &cab.roof_outside, &roof, body)?;
    body.plates.push(roof);
    for base in ["cab-front", "cab-side-left", "cab-side-right"] {
        laminate(model, body, &format!("{base}-overlay"), base);
    }
    brackets::add_brackets(model, &cab, body)?;
    beading::add_beading(model, &cab, body)?;
    join(model, &ends, body)
}

/// Ends between the sides, sides and ends on the footplate, tanks against the front.
fn join(model: &Model, ends: &[(&str, String)], body: &mut Body) -> Result<(), BodyError> {
    for hand in ["left", "right"] {
        let id = format!("cab-side-{hand}");
        let mut joints = Vec::new();
        if let Some(side) = body.plate(&id) {
            for (_, end) in ends {
                if let Some(end) = body.plate(end) {
                    let edge = format!("side-{hand}");
                    joints.push(butt_joint((end, &edge), (side, "inside")));
                }
            }
        }
        if let (Some(tank), Some(front)) = (
            body.plate(&format!("tank-side-{hand}")),
            body.plate("cab-front-overlay"),
        ) {
            joints.push(butt_joint((tank, "rear"), (front, "outside")));
        }
        body.joints.extend(joints);
        stand(model, body, &id, "bottom")?;
    }
    for (_, end) in ends {
        for edge in ["bottom", "bottom-left", "bottom-right"] {
            stand(model, body, end, edge)?;
        }
    }
    Ok(())
}

/// Stands an edge of a plate on the footplate by tabs.
fn stand(model: &Model, body: &mut Body, id: &str, edge: &str) -> Result<(), BodyError> {
    let (Some(plate), Some(footplate)) = (body.plate(id), body.plate("footplate")) else {
        return Ok(());
    };
    if plate.edge(edge).is_none() {
        return Ok(());
    }
    let joint = butt_joint((plate, edge), (footplate, "top"));
    body.joints.push(joint);
    let tabbing = Tabbing {
        count: (edge.len() > "bottom".len()).then_some(1),
        ..Tabbing::default()
    };
    tab_into(model, body, (id, edge), "footplate", tabbing, "cab")
}

/// What splashers, or wheels that have none, take out of the front, which stands between two places along the
/// engine.
fn front_notch(model: &Model, x: (f64, f64)) -> Option<Notch> {
    splasher_notch(model, x.0).or_else(|| {
        let rooms = WheelRoom::all(model).into_iter();
        let notches = rooms.filter_map(|room| {
            Some(Notch {
                inner: room.inner,
                outer: room.outer,
                top: room.top(x, model.footplate.top)?,
            })
        });
        notches.reduce(Notch::with)
    })
}

/// What a splasher takes out of a plate across the engine at `x`.
fn splasher_notch(model: &Model, x: f64) -> Option<Notch> {
    let clearance = model.cab().box_clearance;
    splashers(model)
        .iter()
        .filter(|s| (x - s.axle.x).abs() < s.radius)
        .map(|s| Notch {
            inner: s.inner - clearance,
            outer: s.outer + clearance,
            top: s.axle.y
                + ((s.radius - (x - s.axle.x)) * (s.radius + (x - s.axle.x))).sqrt()
                + clearance,
        })
        .filter(|n| n.top > model.footplate.top && n.outer > n.inner)
        .reduce(Notch::with)
}

/// The splashers that reach back to the cab front or beyond it.
fn splashers(model: &Model) -> Vec<SplasherPlace> {
    // A splasher that cannot be is refused by its own stage, which comes before the cab's.
    let mut places = places(model).unwrap_or_default();
    places.retain(|place| place.to > model.cab().front);
    places
}
