//! The body with every drawn plate in the place of the meant one.

use super::drawn_flat::DrawnFlat;
use artwork::{FlatDrawing, Role, centre_of};
use body::{Body, Curve, Edge, Hole, Plate, Rivet, flat_curves};
use geom::{Chain, Outline};

/// A plate of the meant body with what was drawn for it.
#[derive(Clone, Copy)]
pub(crate) struct Drawn<'a> {
    pub(crate) plate: &'a Plate,
    pub(crate) flat: &'a FlatDrawing,
    pub(crate) drawn: &'a DrawnFlat,
}

/// A rivet is taken for one drawn within this (mm).
const RIVET_REACH_MM: f64 = 0.6;

impl Drawn<'_> {
    /// The plate as drawn, formed as meant.
    pub(crate) fn plate_as_drawn(&self) -> Plate {
        let mut plate = self.plate.clone();
        if let Some(edges) = &self.drawn.edges {
            plate.outline = plate
                .outline
                .iter()
                .zip(edges)
                .flat_map(|(edge, run)| {
                    run.iter().map(|segment| Edge {
                        name: edge.name.clone(),
                        curve: Curve::Flat(*segment),
                    })
                })
                .collect();
        } else if Outline::from_chain(&Chain::from_segments(self.drawn.outline.iter().copied()))
            .is_ok()
        {
            plate.outline = self
                .drawn
                .outline
                .iter()
                .map(|segment| Edge {
                    name: "outline".to_owned(),
                    curve: Curve::Flat(*segment),
                })
                .collect();
        }
        plate.holes = self
            .drawn
            .openings
            .iter()
            .map(|(feature, outline)| Hole {
                feature: feature.clone(),
                centre: centre_of(outline),
                diameter: None,
                boundary: flat_curves(outline),
            })
            .collect();
        for (rivet, place) in plate.rivets.iter_mut().zip(self.rivets()) {
            if let Some(place) = place {
                rivet.centre = place;
            }
        }
        plate
    }

    /// Where each rivet is drawn, if it is.
    pub(crate) fn rivets(&self) -> Vec<Option<geom::FlatPoint>> {
        let places: Vec<geom::FlatPoint> = self
            .drawn
            .details
            .iter()
            .filter(|(role, _)| matches!(role, Role::Rivet | Role::Unknown))
            .filter(|(_, outline)| {
                let (low, high) = outline.bounds();
                let largest = self.plate.rivets.iter().map(|r| r.head_diameter);
                (high - low).norm() < 3.0 * largest.fold(0.0, f64::max)
            })
            .map(|(_, outline)| centre_of(outline))
            .collect();
        let reach = |rivet: &Rivet| RIVET_REACH_MM.max(rivet.head_diameter);
        self.plate
            .rivets
            .iter()
            .map(|rivet| {
                places
                    .iter()
                    .map(|p| (*p, (p - rivet.centre).norm()))
                    .filter(|(_, off)| *off <= reach(rivet))
                    .min_by(|a, b| a.1.total_cmp(&b.1))
                    .map(|(p, _)| p)
            })
            .collect()
    }
}

/// The body as drawn: plates that are not on the drawing stay as meant.
pub(crate) fn body_as_drawn(body: &Body, drawn: &[Drawn<'_>]) -> Body {
    let mut built = body.clone();
    for plate in &mut built.plates {
        if let Some(own) = drawn.iter().find(|own| own.plate.id == plate.id) {
            *plate = own.plate_as_drawn();
        }
    }
    built
}
