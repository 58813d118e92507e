//! A plate before it is bent: the metal that is etched.

use crate::FlatDrawing;
use body::{Edge, Hole, Plate, Region, flat_curves};
use develop::Forming;
use geom::{Placement, Point3, Vector3};

impl FlatDrawing {
    /// The plate as it comes out of the etch: its flat as drawn, lying in the plane z = 0 with its outside up.
    ///
    /// Everything that reads a plate reads this one too; `plate` is the one that was drawn. Each side keeps its name, in as many
    /// pieces as it was drawn in.
    pub fn flat_plate(&self, plate: &Plate) -> Plate {
        let sides = self.edge_of.iter().map(|i| &self.edges[*i].name);
        let outline = sides.zip(flat_curves(&self.outline));
        let holes = self.holes.iter().map(|own| Hole {
            feature: own.feature.clone(),
            centre: own.centre,
            diameter: own.diameter,
            boundary: flat_curves(&own.outline),
        });
        let regions = self.regions.iter().map(|own| Region {
            name: own.name.clone(),
            purpose: own.purpose,
            face: own.face,
            z_low: own.z_low,
            z_high: own.z_high,
            boundary: flat_curves(&own.outline),
        });
        Plate {
            forming: Forming::Flat(Placement::new(Point3::origin(), Vector3::x(), Vector3::y())),
            outline: outline
                .map(|(name, curve)| Edge {
                    name: name.clone(),
                    curve,
                })
                .collect(),
            holes: holes.collect(),
            regions: regions.collect(),
            ..plate.clone()
        }
    }
}
