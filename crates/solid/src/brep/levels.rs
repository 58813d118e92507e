//! Heights of a plate's faces: those of its plain metal and of its regions.

use super::domes::Dome;
use crate::SolidError;
use body::Plate;

/// The skin towards the inside of the body.
pub(super) const LOW: usize = 0;

/// The skin towards the outside.
pub(super) const HIGH: usize = 1;

/// Number of the plain metal among the fields; regions follow in their order.
pub(super) const PLAIN: usize = 0;

/// Heights closer than this are one (mm).
const SAME_HEIGHT: f64 = 1e-9;

/// The different heights of a plate, and those that each *field* has: plain metal or a region.
pub(super) struct Levels {
    /// Heights over mid-sheet (mm), rising.
    pub(super) heights: Vec<f64>,
    /// Inner and outer level of the plain metal, then of each region.
    pub(super) fields: Vec<[usize; 2]>,
    /// Level of a skin that a dome takes the place of: above every height.
    pub(super) open: usize,
}

impl Levels {
    /// The heights of a plate.
    ///
    /// # Errors
    ///
    /// [`SolidError::NoMetal`] where an inner face does not lie below the outer one.
    pub(super) fn of(plate: &Plate, domes: &[Dome]) -> Result<Self, SolidError> {
        let plain = [plate.sheet.z_low, plate.sheet.z_high];
        let regions = plate.regions.iter().map(|r| [r.z_low, r.z_high]);
        let fields: Vec<[f64; 2]> = std::iter::once(plain).chain(regions).collect();
        for (field, [low, high]) in fields.iter().enumerate() {
            let is_metal = low.is_finite() && high.is_finite() && high - low > SAME_HEIGHT;
            if !is_metal {
                return Err(SolidError::NoMetal {
                    plate: plate.id.clone(),
                    place: place_name(plate, field),
                    z_low_mm: *low,
                    z_high_mm: *high,
                });
            }
        }
        let mut heights: Vec<f64> = fields.iter().flatten().copied().collect();
        heights.sort_by(f64::total_cmp);
        heights.dedup_by(|b, a| *b - *a <= SAME_HEIGHT);
        let level = |z: f64| {
            heights
                .iter()
                .rposition(|height| *height <= z)
                .expect("every height is among the heights or just above one")
        };
        let open = heights.len();
        let mut fields: Vec<[usize; 2]> = fields.iter().map(|field| field.map(level)).collect();
        for dome in domes {
            let plain = fields[PLAIN];
            let own = [LOW, HIGH].map(|skin| dome.rises[skin].map_or(plain[skin], |_| open));
            fields.push(own);
        }
        Ok(Self {
            fields,
            open,
            heights,
        })
    }

    /// Inner and outer height of a field (mm), that of the plain metal under a dome.
    pub(super) fn solid_heights(&self, field: usize) -> [f64; 2] {
        [LOW, HIGH].map(|skin| {
            let own = self.fields[field][skin];
            let level = if own == self.open {
                self.fields[PLAIN][skin]
            } else {
                own
            };
            self.heights[level]
        })
    }

    /// Greatest distance of a face from mid-sheet (mm).
    pub(super) fn reach(&self) -> f64 {
        self.heights.iter().fold(0.0, |most, z| z.abs().max(most))
    }

    /// True where metal of two fields lies side by side over some height.
    pub(super) fn meet(&self, a: usize, b: usize) -> bool {
        let ([low, high], [other_low, other_high]) = (self.fields[a], self.fields[b]);
        low.max(other_low) < high.min(other_high)
    }
}

/// What a field is called in an error.
pub(super) fn place_name(plate: &Plate, field: usize) -> String {
    match field.checked_sub(1) {
        None => "the plain metal".to_owned(),
        Some(region) => plate
            .regions
            .get(region)
            .map_or_else(|| "a rivet".to_owned(), |region| region.name.clone()),
    }
}
