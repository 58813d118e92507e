//! The side tanks: a box of side, front, inner plate, top and baffles, clad by riveted overlays.
//!
//! The front is square, of its own plate, or rolled in one with the side.

mod inside;
mod joints;
mod limits;
mod walls;

use super::tank_fittings::{filler, note_capacity};
use crate::laminations::{laminate, recess, witness_ring};
use crate::rows::eased_pitch;
use crate::{Body, BodyError, Model};
use geom::Point2;
use geom::math::PI;
use limits::{note_boiler_gap, refuse_impossible};

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
