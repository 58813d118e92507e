//! What tanks of every kind have: a stated capacity and a filler.

use super::{CHOSEN, Table, table};
use crate::model::reader::Reader;

/// `[….filler]`: the water filler on a tank's top.
#[derive(Clone, Debug)]
pub(crate) struct FillerSpec {
    pub(crate) x: f64,
    pub(crate) diameter: f64,
    pub(crate) height: f64,
}

impl FillerSpec {
    /// The filler of a tank, if the file has one.
    pub(crate) fn read(reader: &Reader<'_>, tank: &str) -> Option<Self> {
        let name = format!("{tank}.filler");
        reader.has(&name).then(|| {
            let t = table(reader, &name);
            Self {
                x: t.place("x"),
                diameter: t.inches("diameter", 15.0, CHOSEN),
                height: t.inches("height", 6.0, CHOSEN),
            }
        })
    }
}

/// The capacity that the file states (imperial gallons).
pub(super) fn gallons(t: &Table<'_, '_>) -> Option<f64> {
    t.has("gallons").then(|| {
        t.reader
            .number_or(&t.path("gallons"), 1.0..=50_000.0, 1.0, CHOSEN)
    })
}
