//! The smokebox and its saddle.

use super::{CHOSEN, Table, table};
use crate::model::reader::Reader;

/// `[smokebox]`.
#[derive(Clone, Debug)]
pub(crate) struct SmokeboxSpec {
    pub(crate) front: f64,
    pub(crate) length: f64,
    pub(crate) diameter: f64,
    pub(crate) door_diameter: f64,
    pub(crate) kind: SmokeboxKind,
}

/// How a smokebox stands on the footplate.
#[derive(Clone, Debug)]
pub(crate) enum SmokeboxKind {
    /// Its wrapper runs down to the footplate.
    BuiltUp {
        /// Half width where the sides stand vertical.
        waist_half_width: f64,
        /// Outside radius of the curve from the circle into the sides.
        reverse_radius: f64,
    },
    /// A full cylinder on a saddle.
    Drum(SaddleSpec),
}

/// `[smokebox.saddle]`.
#[derive(Clone, Debug)]
pub(crate) struct SaddleSpec {
    pub(crate) from: f64,
    pub(crate) length: f64,
    pub(crate) width: f64,
    /// Radius of sides that curve inwards; `None` for upright ones.
    pub(crate) side_radius: Option<f64>,
}

impl SmokeboxSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "smokebox");
        let (front, length, diameter) = (t.place("front"), t.need("length"), t.need("diameter"));
        let kinds = [("built-up", false), ("drum", true)];
        let kind = if t.one_of("kind", &kinds, false, CHOSEN) {
            SmokeboxKind::Drum(read_saddle(reader, front, length))
        } else {
            read_built_up(&t, diameter)
        };
        Self {
            front,
            length,
            diameter,
            door_diameter: t.need("door_diameter"),
            kind,
        }
    }

    /// The saddle of a drum.
    pub(crate) fn saddle(&self) -> Option<&SaddleSpec> {
        match &self.kind {
            SmokeboxKind::Drum(saddle) => Some(saddle),
            SmokeboxKind::BuiltUp { .. } => None,
        }
    }

    pub(crate) fn end(&self) -> f64 {
        self.front + self.length
    }
}

fn read_built_up(t: &Table<'_, '_>, diameter: f64) -> SmokeboxKind {
    let waist_half_width = t.need("waist_half_width");
    // Sides that go straight down from the circle need no reverse curve.
    let straight = is_straight(diameter, waist_half_width);
    let reverse_radius = if straight || t.has("reverse_radius") {
        t.inches("reverse_radius", 6.0, CHOSEN)
    } else {
        t.need("reverse_radius")
    };
    SmokeboxKind::BuiltUp {
        waist_half_width,
        reverse_radius,
    }
}

/// True where the sides stand as far out as the circle does, to the rounding of the two dimensions.
pub(crate) fn is_straight(diameter: f64, waist_half_width: f64) -> bool {
    (waist_half_width - diameter / 2.0).abs() < 1e-9
}

fn read_saddle(reader: &Reader<'_>, front: f64, length: f64) -> SaddleSpec {
    let t = table(reader, "smokebox.saddle");
    let own = t.need("length");
    let middle = front + (length - own) / 2.0;
    let from = if t.has("from") || middle.is_nan() {
        t.place("from")
    } else {
        reader.length_or(
            &t.path("from"),
            crate::model::reader::Sign::NotNegative,
            middle,
            "in the middle of the drum",
        )
    };
    SaddleSpec {
        from,
        length: own,
        width: t.need("width"),
        side_radius: t.maybe("side_radius"),
    }
}
