//! Sizes and pitches of rivets.

use super::{TRADE, table};
use crate::model::reader::Reader;

/// `[rivets]`: sizes and pitches of the platework.
#[derive(Clone, Debug)]
pub(crate) struct RivetSpec {
    pub(crate) platework: RivetRowSpec,
    pub(crate) smokebox: RivetRowSpec,
    pub(crate) beams: RivetRowSpec,
    pub(crate) edge: f64,
    pub(crate) ring_rows: f64,
}

/// Shank diameter and pitch of a row (mm).
#[derive(Clone, Copy, Debug)]
pub(crate) struct RivetRowSpec {
    pub(crate) shank: f64,
    pub(crate) pitch: f64,
}

impl RivetRowSpec {
    /// Head of a snap rivet: 1.75 shanks wide (common practice, no source).
    pub(crate) fn head_diameter(&self) -> f64 {
        1.75 * self.shank
    }

    /// Height of the head: 0.65 shanks (old British practice, from memory).
    pub(crate) fn head_height(&self) -> f64 {
        0.65 * self.shank
    }
}

impl RivetSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let row = |name: &str, shank: f64, pitch: f64| {
            let t = table(reader, name);
            RivetRowSpec {
                shank: t.inches("shank", shank, TRADE),
                pitch: t.inches("pitch", pitch, TRADE),
            }
        };
        let t = table(reader, "rivets");
        Self {
            platework: row("rivets.platework", 0.5, 2.0),
            smokebox: row("rivets.smokebox", 0.625, 2.5),
            beams: row("rivets.beams", 0.75, 3.5),
            edge: t.inches("edge_distance", 1.25, TRADE),
            ring_rows: t.inches("ring_rows_apart", 1.875, TRADE),
        }
    }
}
