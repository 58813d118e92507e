//! The smokebox.

use super::table;
use crate::model::reader::Reader;

/// `[smokebox]`: built up, its sides run by a reverse curve down to the footplate.
#[derive(Clone, Debug)]
pub(crate) struct SmokeboxSpec {
    pub(crate) front: f64,
    pub(crate) length: f64,
    pub(crate) diameter: f64,
    pub(crate) waist_half_width: f64,
    pub(crate) reverse_radius: f64,
    pub(crate) door_diameter: f64,
}

impl SmokeboxSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "smokebox");
        Self {
            front: t.place("front"),
            length: t.need("length"),
            diameter: t.need("diameter"),
            waist_half_width: t.need("waist_half_width"),
            reverse_radius: t.need("reverse_radius"),
            door_diameter: t.need("door_diameter"),
        }
    }
}
