//! Plates as exact solids, formed and before they are bent, each by itself and all in one file.

use std::collections::BTreeMap;

use body::Plate;
use rayon::prelude::*;
use solid::{SolidError, StepSolid};

use crate::{WorkError, Workshop};

impl Workshop {
    /// The formed plate as an exact solid, as STEP text.
    ///
    /// # Errors
    ///
    /// [`WorkError::NoPlate`], and [`WorkError::Solid`] for a plate that has no exact solid.
    pub fn solid_step(&self, plate: &str) -> Result<String, WorkError> {
        Ok(solid::plate_step(self.plate(plate)?)?)
    }

    /// The plate as it is etched, before it is bent, as an exact solid in the plane of its flat, as STEP text.
    ///
    /// # Errors
    ///
    /// As [`Workshop::solid_step`], and [`WorkError::Flat`] for a flat that cannot be drawn.
    pub fn flat_step(&self, plate: &str) -> Result<String, WorkError> {
        let (_, step) = self.flat_solid(plate)?;
        Ok(step?)
    }

    /// The plate as it is etched, and its exact solid as STEP text or why it has none.
    ///
    /// # Errors
    ///
    /// [`WorkError::NoPlate`], and [`WorkError::Flat`] for a flat that cannot be drawn.
    pub fn flat_solid(
        &self,
        plate: &str,
    ) -> Result<(Plate, Result<String, SolidError>), WorkError> {
        let (drawing, plate) = (self.flat(plate)?, self.plate(plate)?);
        let drawn = drawing.flat_plate(plate);
        let step = solid::plate_step(&drawn);
        if step.is_err() {
            let led_over = drawing.flat_plate_led_over(plate);
            if let Ok(step) = solid::plate_step(&led_over) {
                return Ok((led_over, Ok(step)));
            }
        }
        Ok((drawn, step))
    }

    /// The exact solid of each plate, in the order of the body, or why it has none.
    pub fn exact_solids(&self) -> Vec<Result<StepSolid, SolidError>> {
        let plates = self.body().plates.par_iter();
        plates.map(solid::step_solid).collect()
    }

    /// The exact solids of all plates that have one as one STEP file, by sub-assembly, in their places.
    pub fn body_step(&self, solids: Vec<Result<StepSolid, SolidError>>) -> String {
        let plates = self.body().plates.iter().map(|plate| plate.id.as_str());
        let solids = plates.zip(solids);
        let mut solids: BTreeMap<&str, StepSolid> = solids
            .filter_map(|(id, own)| Some((id, own.ok()?)))
            .collect();
        export::body_step(self.name(), &self.model().title, self.body(), |id| {
            solids.remove(id)
        })
    }
}
