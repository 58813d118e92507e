//! The coal rails on a bunker or tender.

use super::{CHOSEN, TRADE, table};
use crate::model::reader::Reader;

/// `[coal_rails]`.
#[derive(Clone, Debug)]
pub(crate) struct CoalRailSpec {
    pub(crate) bars: usize,
    /// Height of a bar.
    pub(crate) bar: f64,
    /// Distance of the bars, and of the lowest from the coping.
    pub(crate) gap: f64,
    pub(crate) stay_pitch: f64,
    pub(crate) stay: f64,
}

impl CoalRailSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "coal_rails");
        Self {
            bars: t.whole("bars", 1..=8, 3, TRADE) as usize,
            bar: t.inches("bar", 2.0, CHOSEN),
            gap: t.inches("gap", 3.0, CHOSEN),
            stay_pitch: t.inches("stay_pitch", 36.0, CHOSEN),
            stay: t.inches("stay", 2.0, CHOSEN),
        }
    }
}
