//! The flare of a bunker or tender, and the corners of it.

use super::{CHOSEN, Table};

/// How the flared corners are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum CopingCorners {
    /// Left open for a cast or printed piece.
    Open,
    /// The strips run out and meet on a mitre.
    Mitred,
    /// Pieces of cones, so many to a corner.
    Conical(usize),
}

/// The flare over a tank of sides and back in one.
#[derive(Clone, Debug)]
pub(crate) struct CopingSpec {
    pub(crate) corner_radius: f64,
    pub(crate) flare_radius: f64,
    pub(crate) flare_angle: f64,
    pub(crate) corners: CopingCorners,
}

impl CopingSpec {
    /// Reads the keys that stand among those of the bunker or tender.
    pub(super) fn read(t: &Table<'_, '_>) -> Self {
        let words = [("open", 0), ("mitred", 1), ("conical", 2)];
        let kind = t.one_of("corners", &words, 0, CHOSEN);
        let corners = match kind {
            1 => CopingCorners::Mitred,
            2 => CopingCorners::Conical(t.whole("cone_segments", 1..=8, 3, CHOSEN) as usize),
            _ => CopingCorners::Open,
        };
        if kind != 2 && t.has("cone_segments") {
            // Asked for, so that the key is known.
            t.whole("cone_segments", 1..=8, 3, CHOSEN);
        }
        Self {
            corner_radius: t.need("corner_radius"),
            flare_radius: t.need("flare_radius"),
            flare_angle: t.degrees("flare_angle_deg", 5.0..=90.0, 45.0, CHOSEN),
            corners,
        }
    }
}
