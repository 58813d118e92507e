//! Drawn openings paired with meant ones.

use crate::plan_length::{View, places_by_view};
use crate::tolerance::{CAUSE_MM, HOLE_REACH_MM, PLACE_MM};
use artwork::{FlatDrawing, FlatHole, centre_of};
use body::Plate;
use geom::math::PI;
use geom::{FlatPoint, Outline};

/// A drawn opening laid on the flat.
#[derive(Clone, Debug)]
pub(crate) struct Opening {
    pub(crate) centre: FlatPoint,
    /// Diameter of a circle of its area (mm).
    pub(crate) size: f64,
}

impl Opening {
    pub(crate) fn of(outline: &Outline) -> Self {
        Self {
            centre: centre_of(outline),
            size: size_of(outline),
        }
    }
}

pub(crate) fn size_of(outline: &Outline) -> f64 {
    2.0 * (outline.area().abs() / PI).sqrt()
}

/// A meant opening with the drawn one taken for it.
pub(crate) struct HolePair<'a> {
    pub(crate) hole: &'a FlatHole,
    pub(crate) meant: FlatPoint,
    pub(crate) drawn: Opening,
    /// The view that its place was taken from, if that explains where it stands.
    pub(crate) view: Option<View>,
}

impl HolePair<'_> {
    pub(crate) fn off(&self) -> f64 {
        (self.drawn.centre - self.meant).norm()
    }

    /// How far the size is off (mm): a circle may be drawn for the drill or for the oval it cuts.
    pub(crate) fn size_off(&self) -> f64 {
        let oval = self.drawn.size - size_of(&self.hole.outline);
        let drill = self.hole.diameter.map_or(oval, |d| self.drawn.size - d);
        if drill.abs() < oval.abs() { drill } else { oval }
    }
}

/// Openings sorted into pairs, meant ones without a drawn one, and drawn ones without a meaning.
pub(crate) struct Paired<'a> {
    pub(crate) pairs: Vec<HolePair<'a>>,
    pub(crate) missing: Vec<&'a FlatHole>,
    pub(crate) extra: Vec<Opening>,
}

/// Pairs the drawn openings of a plate with the meant ones.
///
/// Nearest first, of like size; then by the places that plan and elevation would give. Drawn
/// outlines of half-etched places and of rivets are no openings and drop out.
pub(crate) fn pair<'a>(plate: &Plate, flat: &'a FlatDrawing, drawn: Vec<Opening>) -> Paired<'a> {
    let meant: Vec<FlatPoint> = flat.holes.iter().map(|hole| centre_of(&hole.outline)).collect();
    let sizes: Vec<f64> = flat.holes.iter().map(|hole| size_of(&hole.outline)).collect();
    let mut left: Vec<Option<Opening>> = drawn.into_iter().map(Some).collect();
    let mut partner: Vec<Option<(Opening, Option<View>)>> = vec![None; meant.len()];
    let mut near = Vec::new();
    for (h, at) in meant.iter().enumerate() {
        for (d, opening) in left.iter().enumerate() {
            let Some(opening) = opening else { continue };
            let off = (opening.centre - at).norm();
            let unlike = (opening.size - sizes[h]).abs();
            if off <= HOLE_REACH_MM.max(sizes[h] / 2.0) && unlike <= 0.5 * sizes[h] {
                near.push((off + 2.0 * unlike, h, d));
            }
        }
    }
    // Places that a view would give are tried together with nearness, or a neighbour takes the hole.
    let mut by_view = Vec::new();
    if let Some(loft) = plate.forming.loft() {
        let skins = [0.0, plate.sheet.z_high, plate.sheet.z_low];
        for (h, at) in meant.iter().enumerate() {
            for (view, place) in places_by_view(loft, *at, &skins) {
                if (place - at).norm() <= PLACE_MM {
                    continue;
                }
                for (d, opening) in left.iter().enumerate() {
                    let Some(opening) = opening else { continue };
                    let off = (opening.centre - place).norm();
                    if off <= CAUSE_MM && (opening.size - sizes[h]).abs() <= 0.5 * sizes[h] {
                        by_view.push((off, h, d, view));
                    }
                }
            }
        }
    }
    near.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    by_view.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let take = |h: usize, d: usize, view: Option<View>, partner: &mut Vec<Option<(Opening, Option<View>)>>, left: &mut Vec<Option<Opening>>| {
        if partner[h].is_none()
            && let Some(opening) = left[d].take()
        {
            partner[h] = Some((opening, view));
        }
    };
    for &(_, h, d) in near.iter().filter(|n| n.0 <= PLACE_MM) {
        take(h, d, None, &mut partner, &mut left);
    }
    for &(_, h, d, view) in &by_view {
        take(h, d, Some(view), &mut partner, &mut left);
    }
    for &(_, h, d) in &near {
        take(h, d, None, &mut partner, &mut left);
    }
    let mut pairs = Vec::new();
    let mut missing = Vec::new();
    for ((hole, meant), partner) in flat.holes.iter().zip(meant).zip(partner) {
        match partner {
            Some((drawn, view)) => pairs.push(HolePair {
                hole,
                meant,
                drawn,
                view,
            }),
            None => missing.push(hole),
        }
    }
    let extra = left.into_iter().flatten().filter(|o| !is_surface_detail(flat, o)).collect();
    Paired {
        pairs,
        missing,
        extra,
    }
}

/// True for the outline of a half-etched place or of a rivet.
fn is_surface_detail(flat: &FlatDrawing, opening: &Opening) -> bool {
    let region = flat.regions.iter().any(|region| {
        (centre_of(&region.outline) - opening.centre).norm() < 0.5
            && (size_of(&region.outline) - opening.size).abs() < 0.1 * opening.size + 0.1
    });
    region
        || flat.rivets.iter().any(|rivet| {
            (rivet.centre - opening.centre).norm() < 0.3 && opening.size < 2.0 * rivet.head_diameter
        })
}
