//! The outline that the railway lets its engines fill.

use super::{each, table};
use crate::model::reader::Reader;

/// `[[loading_gauge]]`: a corner of the right half of the outline, from the rail up (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GaugePoint {
    /// Height above rail.
    pub height: f64,
    /// Distance from the middle.
    pub half_width: f64,
}

impl GaugePoint {
    pub(crate) fn read_all(reader: &Reader<'_>) -> Vec<Self> {
        let points = each(reader, "loading_gauge", |reader, name| {
            let t = table(reader, name);
            Self {
                height: t.place("height"),
                half_width: t.need("half_width"),
            }
        });
        for (i, two) in points.windows(2).enumerate() {
            if two[1].height < two[0].height {
                reader.problem(
                    &format!("loading_gauge[{}].height", i + 1),
                    "the outline of a loading gauge goes up from the rail",
                    "give its corners from the lowest to the highest",
                );
            }
        }
        if points.len() == 1 {
            reader.problem(
                "loading_gauge[0]",
                "one corner is no outline",
                "give at least the lowest and the highest corner",
            );
        }
        points
    }
}
