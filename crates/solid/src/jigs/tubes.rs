//! Round wrappers: barrels and smokeboxes rolled to a tube.

use body::{Body, Plate};
use geom::math::TAU;
use geom::{Chain, Point2, Segment};

use super::shape::Frame;

/// Mid-sheet circle of a tube at one end, in its section plane (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Circle {
    pub(super) centre: Point2,
    pub(super) radius: f64,
}

/// A wrapper rolled to a tube.
#[derive(Clone, Debug)]
pub(super) struct Tube<'a> {
    pub(super) plate: &'a Plate,
    /// Section plane of its front end: x across, y up, z rearward.
    pub(super) frame: Frame,
    pub(super) length: f64,
    pub(super) front: Circle,
    pub(super) rear: Circle,
}

/// The tubes of an engine, from the front.
pub(super) fn tubes(body: &Body) -> Vec<Tube<'_>> {
    body.plates
        .iter()
        .filter(|plate| matches!(plate.assembly, "boiler" | "smokebox"))
        .filter(|plate| !plate.id.contains("overlay") && !plate.id.contains("strip"))
        .filter_map(Tube::of)
        .collect()
}

impl<'a> Tube<'a> {
    fn of(plate: &'a Plate) -> Option<Self> {
        let loft = plate.forming.loft()?;
        let [front, rear] = [0.0, 1.0].map(|v| loft.section_at(v));
        // A seam may be left open by a hair, or hidden between the frames.
        let round = front.turn().abs() > 0.97 * TAU;
        Some(Self {
            plate,
            frame: Frame::of_section(loft.frame()),
            length: loft.axial_length(),
            front: circle_of(&front)?,
            rear: circle_of(&rear)?,
        })
        .filter(|_| round)
    }

    /// The circle at a fraction of the length.
    pub(super) fn at(&self, v: f64) -> Circle {
        Circle {
            centre: self.front.centre + (self.rear.centre - self.front.centre) * v,
            radius: self.front.radius + (self.rear.radius - self.front.radius) * v,
        }
    }

    /// From mid-sheet to the inside of the metal (mm), below zero.
    pub(super) fn inside(&self) -> f64 {
        self.plate.sheet.z_low
    }

    /// From mid-sheet to the outside over bands (mm).
    pub(super) fn outside(&self) -> f64 {
        self.plate.sheet.z_high + self.plate.sheet.proud_height()
    }
}

/// The circle of a chain of arcs about one centre.
pub(super) fn circle_of(chain: &Chain) -> Option<Circle> {
    let mut found: Option<Circle> = None;
    for segment in chain.segments() {
        let Segment::Arc(arc) = segment else {
            return None;
        };
        let own = Circle {
            centre: arc.centre,
            radius: arc.radius,
        };
        match found {
            Some(first) if (first.centre - own.centre).norm() > 1e-6 => return None,
            _ => found = Some(own),
        }
    }
    found
}
