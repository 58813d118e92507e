//! Where a plate is bent so tightly that nothing may be left on its edge.

use body::Plate;
use develop::{Patch, SurfacePoint};
use geom::{FlatPoint, Outline};

/// A bend is tight if its radius is less than so many thicknesses; wider ones are rolled, and a stub on their edge
/// is dressed off. Chosen, not sourced: between the shoulders of a firebox (7) and the eaves of a roof (30).
const TIGHT: f64 = 20.0;

/// A turn below this is no bend (rad), about three degrees; chosen.
const LEAST_TURN: f64 = 0.05;

/// Rulings along a bend that its outline goes through.
const RULINGS: usize = 8;

/// The places of a rolled plate's flat that come to lie in a tight bend, from edge to edge and a little beyond.
///
/// A plate that is nothing but tight bends has none: it leaves no other place for anything.
pub fn tight_bends(plate: &Plate) -> Vec<Outline> {
    let Some(loft) = plate.forming.loft() else {
        return Vec::new();
    };
    let limit = TIGHT * plate.sheet.stock_thickness;
    let is_tight = |patch: &Patch| {
        let least = patch
            .radii()
            .map(|(front, rear)| front.abs().min(rear.abs()));
        least.is_some_and(|radius| radius < limit) && patch.turn().abs() > LEAST_TURN
    };
    let patches = loft.patches();
    if patches.iter().all(is_tight) {
        return Vec::new();
    }
    let tight = patches.iter().enumerate().filter(|(_, own)| is_tight(own));
    tight
        .map(|(i, _)| {
            let at = |k: usize, v: f64| -> FlatPoint {
                let w = i as f64 + k as f64 / RULINGS as f64;
                loft.flat(SurfacePoint { w, v })
            };
            // Rulings go on straight beyond the edges, which may bow.
            let there = (0..=RULINGS).map(|k| at(k, -0.2));
            let back = (0..=RULINGS).rev().map(|k| at(k, 1.2));
            Outline::polygon(&there.chain(back).collect::<Vec<_>>())
        })
        .collect()
}
