//! What fittings stand on: the outside surfaces of smokebox, barrel and firebox.

use super::{SKIN_MM, boiler, firebox, smokebox};
use crate::error::AtKey;
use crate::{BodyError, Model, Seat};
use develop::{BendRule, Loft, LoftFrame};

/// A turned fitting's seat lies this far off the surface, so that it goes on without lapping (mm):
/// common practice, no source.
pub(super) const SEAT_CLEARANCE: f64 = 0.05;

/// The surfaces of a body that something can stand on, front to rear, moved outwards by `outwards` (mm).
pub(super) struct Seats(Vec<Seat>);

impl Seats {
    pub(super) fn of(model: &Model, outwards: f64) -> Result<Self, BodyError> {
        let mut seats = Vec::new();
        if model.smokebox.is_some() {
            seats.push(Seat::new(smokebox::outside_skin(model, outwards)?));
        }
        if let Some(barrel) = &model.boiler {
            for ring in &barrel.rings {
                let skin = boiler::surface(ring, outwards, SKIN_MM, BendRule::default())?;
                seats.push(Seat::new(skin));
            }
        }
        if model.firebox.is_some() {
            seats.push(Seat::new(firebox_skin(model, outwards)?));
        }
        Ok(Self(seats))
    }

    /// The surfaces that reach over `x`.
    fn at(&self, x: f64) -> impl Iterator<Item = &Seat> {
        self.0.iter().filter(move |seat| {
            let (from, to) = seat.reach();
            // To the rounding of two ends that are one.
            x >= from - 1e-9 && x <= to + 1e-9
        })
    }

    /// The highest surface on the centre line at `x`, and its height.
    pub(super) fn top(&self, x: f64) -> Option<(&Seat, f64)> {
        self.at(x)
            .filter_map(|seat| Some((seat, seat.height(x, 0.0)?)))
            .max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// How far out the outermost surface stands at a place along the engine and a height.
    pub(super) fn half_width(&self, x: f64, z: f64) -> Option<f64> {
        self.at(x)
            .filter_map(|seat| seat.half_width(x, z))
            .max_by(f64::total_cmp)
    }
}

fn firebox_skin(model: &Model, outwards: f64) -> Result<Loft, BodyError> {
    let (from, length) = (firebox::front_x(model), model.firebox().length);
    let front = firebox::section_at(model, from, outwards)?;
    let rear = firebox::section_at(model, from + length, outwards)?;
    Loft::between(
        LoftFrame::along_engine(from),
        &front,
        &rear,
        length,
        SKIN_MM,
        BendRule::default(),
    )
    .at_key("firebox")
}
