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
    /// Which of the kinds of sheet they are.
    pub(crate) kind: usize,
    pub(crate) sheets: Vec<PackedSheet>,
    pub(crate) too_large: Vec<usize>,
}

impl Packing {
    /// Area of all sheets (mm²).
    fn area(&self, kinds: &[SheetLimits]) -> f64 {
        let sizes = self.sheets.iter().map(|own| own.size(&kinds[self.kind]));
        sizes.map(|(width, height)| width * height).sum()
    }

    /// True if it leaves out no more plates, has no more sheets, and has less of one or of area.
    fn is_better(&self, other: &Self, kinds: &[SheetLimits]) -> bool {
        let left = |own: &Self| (own.too_large.len(), own.sheets.len());
        let ((large, sheets), (larger, more)) = (left(self), left(other));
        if large != larger {
            return large < larger;
        }
        sheets <= more && self.area(kinds) < other.area(kinds) - 1e-6
    }
}

/// The least sheets of one of some kinds that the items were found to lie on.
pub(crate) fn pack(items: &[Item], kinds: &[SheetLimits]) -> Packing {
    let orders = [by_size(items, area_of), by_size(items, length_of)];
    let (first, rest) = orders.split_at(1);
    let orders = if first == rest { first } else { &orders[..] };
    let mut ways = Vec::new();
    for (kind, limits) in kinds.iter().enumerate() {
        let least = limits.size(0.0, 0.0).0;
        let steps = ((limits.width - least) / WIDTH_STEP_MM).floor() as usize;
        let widths = (0..=steps).map(|i| least + i as f64 * WIDTH_STEP_MM);
        for width in std::iter::once(limits.width).chain(widths) {
            ways.extend(orders.iter().map(|order| (kind, width, order)));
        }
    }
    let mut best: Option<Packing> = None;
    for some in ways.chunks(AT_A_TIME) {
        let bound = best.as_ref().map_or(f64::INFINITY, |own| own.area(kinds));
        let found: Vec<Packing> = some
            .par_iter()
            .filter_map(|(kind, width, order)| {
                filled(items, order, (*kind, &kinds[*kind]), *width, bound)
            })
            .collect();
        for packing in found {
            if best
                .as_ref()
                .is_none_or(|own| packing.is_better(own, kinds))
            {
                best = Some(packing);
            }
        }
    }
    best.unwrap_or_else(|| Packing {
        kind: 0,
        sheets: Vec::new(),
        too_large: (0..items.len()).collect(),
    })
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
    (kind, limits): (usize, &SheetLimits),
    width: f64,
    bound: f64,
) -> Option<Packing> {
    let area = |own: &Packing| {
        let sizes = own.sheets.iter().map(|own| own.size(limits));
        sizes.map(|(width, height)| width * height).sum::<f64>()
    };
    let mut own = Packing {
        kind,
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
        if area(&own) > bound || filled_area > bound {
            return None;
        }
    }
    Some(own)
}
