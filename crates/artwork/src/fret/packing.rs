//! Plates packed on as little sheet as can be found.
//!
//! Sheets of several widths are filled, by several orders of the plates; the least sheet is taken. Each is filled
//! in one way only, so that the answer is the same however many are filled at a time.

use super::nesting::{SheetRoom, TurnedShape};
use geom::{Outline, Point2, Vector2};
use rayon::prelude::*;

/// Widths that are tried differ by this (mm).
const WIDTH_STEP_MM: f64 = 16.0;

/// So many ways of filling are tried side by side, on however many threads; those after them are given up as soon
/// as they need more than the best of these.
const AT_A_TIME: usize = 4;

/// A plate with the room that it needs.
pub(crate) struct Item {
    /// What it needs in each of its turns.
    pub(crate) turns: Vec<TurnedShape>,
    /// Area of that room (mm²).
    pub(crate) area: f64,
    /// What left and right of a pair have in common: they lie one after the other.
    pub(crate) pair: String,
}

/// Sheets that plates are packed on (mm).
#[derive(Clone, Copy, Debug)]
pub(crate) struct SheetLimits {
    /// Greatest width.
    pub(crate) width: f64,
    /// Greatest height.
    pub(crate) height: f64,
    /// Metal left round the sheet.
    pub(crate) border: f64,
    /// Upper right corner of the words and test pieces, which stand in the lower left corner.
    pub(crate) furniture: Vector2,
}

impl SheetLimits {
    /// Width and height of a sheet on which plates reach as far as `right` and `top`: whole millimetres.
    pub(crate) fn size(&self, right: f64, top: f64) -> (f64, f64) {
        let width = right.max(self.furniture.x) + self.border;
        let height = top.max(self.furniture.y) + self.border;
        (width.ceil().min(self.width), height.ceil().min(self.height))
    }

    /// The room of an empty sheet of a width; nothing if it has none.
    fn empty(&self, width: f64) -> Option<SheetRoom> {
        let low = Vector2::repeat(self.border);
        let mut room = SheetRoom::new(Vector2::new(width, self.height), self.border)?;
        let corner = Point2::from(self.furniture);
        let words = Outline::rectangle(Point2::from(low), corner);
        room.take(&TurnedShape::of(&words)?.turned(0), low);
        Some(room)
    }
}

/// Where an item lies.
pub(crate) struct Packed {
    /// Its number.
    pub(crate) item: usize,
    /// Number of its turn.
    pub(crate) turn: usize,
    /// Its lower left corner.
    pub(crate) corner: Vector2,
}

/// A sheet with what lies on it.
pub(crate) struct PackedSheet {
    /// What is free.
    pub(crate) room: SheetRoom,
    /// What lies on it.
    pub(crate) packed: Vec<Packed>,
    /// As far right as anything reaches (mm).
    right: f64,
    /// As far up (mm).
    top: f64,
}

impl PackedSheet {
    /// Width and height (mm).
    pub(crate) fn size(&self, limits: &SheetLimits) -> (f64, f64) {
        limits.size(self.right, self.top)
    }
}

/// Sheets filled, and the numbers of the items that fit none.
pub(crate) struct Packing {
    pub(crate) sheets: Vec<PackedSheet>,
    pub(crate) too_large: Vec<usize>,
}

impl Packing {
    /// Area of all sheets (mm²).
    fn area(&self, limits: &SheetLimits) -> f64 {
        let sizes = self.sheets.iter().map(|own| own.size(limits));
        sizes.map(|(width, height)| width * height).sum()
    }
}

/// The least sheets that the items were found to lie on.
pub(crate) fn pack(items: &[Item], limits: &SheetLimits) -> Packing {
    let orders = [by_size(items, area_of), by_size(items, length_of)];
    let first = filled(items, &orders[0], limits, limits.width, f64::INFINITY);
    let Some(mut best) = first else {
        return Packing {
            sheets: Vec::new(),
            too_large: (0..items.len()).collect(),
        };
    };
    let least = limits.size(0.0, 0.0).0;
    let steps = ((limits.width - least) / WIDTH_STEP_MM).floor() as usize;
    let widths = (0..=steps).map(|i| least + i as f64 * WIDTH_STEP_MM);
    let orders = if orders[0] == orders[1] {
        &orders[..1]
    } else {
        &orders[..]
    };
    let ways: Vec<(f64, &Vec<usize>)> = widths
        .flat_map(|width| orders.iter().map(move |order| (width, order)))
        .collect();
    for some in ways.chunks(AT_A_TIME) {
        let bound = best.area(limits);
        let found: Vec<Packing> = some
            .par_iter()
            .filter_map(|(width, order)| filled(items, order, limits, *width, bound))
            .collect();
        for packing in found {
            let no_worse = packing.too_large.len() <= best.too_large.len()
                && packing.sheets.len() <= best.sheets.len();
            if no_worse && packing.area(limits) < best.area(limits) - 1e-6 {
                best = packing;
            }
        }
    }
    best
}

fn area_of(item: &Item) -> f64 {
    item.area
}

/// Length of an item's longer side (mm).
fn length_of(item: &Item) -> f64 {
    let sides = item.turns.iter().map(|own| own.width.max(own.height));
    sides.fold(0.0, f64::max)
}

/// Largest first; left and right of a pair one after the other.
fn by_size(items: &[Item], size: impl Fn(&Item) -> f64) -> Vec<usize> {
    let mut largest: std::collections::BTreeMap<&str, f64> = std::collections::BTreeMap::new();
    for item in items {
        let own = largest.entry(&item.pair).or_insert(0.0);
        *own = own.max(size(item));
    }
    let mut order: Vec<usize> = (0..items.len()).collect();
    order.sort_by(|a, b| {
        let (one, other) = (&items[*a].pair, &items[*b].pair);
        let size = |pair: &String| largest[pair.as_str()];
        size(other)
            .total_cmp(&size(one))
            .then_with(|| one.cmp(other))
            .then_with(|| a.cmp(b))
    });
    order
}

/// Sheets of one width filled in one order; nothing as soon as they have more than `bound` of area (mm²).
fn filled(
    items: &[Item],
    order: &[usize],
    limits: &SheetLimits,
    width: f64,
    bound: f64,
) -> Option<Packing> {
    let mut own = Packing {
        sheets: Vec::new(),
        too_large: Vec::new(),
    };
    let mut filled_area = 0.0;
    for item in order {
        let turns = &items[*item].turns;
        let open = own.sheets.iter().enumerate();
        let found = open
            .filter_map(|(i, sheet)| sheet.room.lowest(turns).map(|(t, at)| (i, t, at)))
            .next();
        let (number, turn, corner) = match found {
            Some(found) => found,
            None => {
                let room = limits.empty(width)?;
                let Some((turn, corner)) = room.lowest(turns) else {
                    own.too_large.push(*item);
                    continue;
                };
                own.sheets.push(PackedSheet {
                    room,
                    packed: Vec::new(),
                    right: 0.0,
                    top: 0.0,
                });
                (own.sheets.len() - 1, turn, corner)
            }
        };
        let (shape, sheet) = (&turns[turn], &mut own.sheets[number]);
        sheet.room.take(shape, corner);
        sheet.packed.push(Packed {
            item: *item,
            turn,
            corner,
        });
        sheet.right = sheet.right.max(corner.x + shape.width);
        sheet.top = sheet.top.max(corner.y + shape.height);
        filled_area += items[*item].area;
        if own.area(limits) > bound || filled_area > bound {
            return None;
        }
    }
    Some(own)
}
