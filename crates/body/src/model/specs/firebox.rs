//! The firebox.

use super::{TRADE, table};
use crate::model::reader::Reader;

/// One end of a Belpaire firebox.
#[derive(Clone, Debug)]
pub(crate) struct FireboxEnd {
    pub(crate) crown: f64,
    pub(crate) half_width: f64,
}

/// `[firebox]`: Belpaire, waisted between the frames.
#[derive(Clone, Debug)]
pub(crate) struct FireboxSpec {
    pub(crate) length: f64,
    pub(crate) front: FireboxEnd,
    pub(crate) rear: FireboxEnd,
    pub(crate) crown_radius: f64,
    pub(crate) shoulder_radius: f64,
    pub(crate) waist_from: f64,
    pub(crate) convex_radius: f64,
    pub(crate) concave_radius: f64,
    pub(crate) bottom_half_width: f64,
    pub(crate) studding: f64,
}

impl FireboxSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "firebox");
        let end = |name: &str| {
            let t = table(reader, name);
            FireboxEnd {
                crown: t.need("crown"),
                half_width: t.need("half_width"),
            }
        };
        Self {
            length: t.need("length"),
            front: end("firebox.front"),
            rear: end("firebox.rear"),
            crown_radius: t.need("crown_radius"),
            shoulder_radius: t.need("shoulder_radius"),
            waist_from: t.need("waist_from"),
            convex_radius: t.need("waist_convex_radius"),
            concave_radius: t.need("waist_concave_radius"),
            bottom_half_width: t.need("bottom_half_width"),
            studding: t.model("studding_hole", reader.scale.pick(2.1, 3.5), TRADE),
        }
    }
}
