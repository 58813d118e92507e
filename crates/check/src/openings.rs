//! Drawn openings paired with meant ones.

use crate::plan_length::{View, places_by_view};
use crate::test_build::relay::Tie;
use crate::tolerance::{CAUSE_MM, HOLE_REACH_MM, PLACE_MM};
use artwork::{FlatDrawing, FlatHole, centre_of, size_of};
use body::Plate;
use geom::{FlatPoint, Outline};

/// A drawn opening laid on the flat.
#[derive(Clone, Debug)]
pub(crate) struct Opening {
    pub(crate) centre: FlatPoint,
    /// Diameter of a circle of its area (mm).
    pub(crate) size: f64,
    /// Its border.
    pub(crate) outline: Outline,
}

impl Opening {
    pub(crate) fn of(outline: &Outline) -> Self {
        Self {
            centre: centre_of(outline),
            size: size_of(outline),
            outline: outline.clone(),
        }
    }
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
        if drill.abs() < oval.abs() {
            drill
        } else {
            oval
        }
    }
}

/// Openings sorted into pairs, meant ones without a drawn one, and drawn ones without a meaning.
pub(crate) struct Paired<'a> {
    pub(crate) pairs: Vec<HolePair<'a>>,
    pub(crate) missing: Vec<&'a FlatHole>,
    pub(crate) extra: Vec<Opening>,
}

/// How much a hole counts in laying a plate, as millimetres of outline.
const HOLE_WEIGHT: f64 = 6.0;

/// Holes farther off than this do not help in laying a plate (mm).
const TIE_MM: f64 = 1.5;

impl Paired<'_> {
    /// The openings as ties of a drawn plate to the meant one.
    pub(crate) fn ties(&self) -> Vec<Tie> {
        self.pairs
            .iter()
            .filter(|pair| pair.off() < TIE_MM)
            .map(|pair| Tie {
                drawn: pair.drawn.centre,
                meant: pair.meant,
                weight: HOLE_WEIGHT,
            })
            .collect()
    }
}

/// Pairs the drawn openings of a plate with the meant ones.
///
/// Those that stand in place first, then by the places that plan and elevation would give, then the
/// nearest of like size. Drawn outlines of half-etched places and of rivets are no openings and drop out.
pub(crate) fn pair<'a>(plate: &Plate, flat: &'a FlatDrawing, drawn: Vec<Opening>) -> Paired<'a> {
    let meant: Vec<Opening> = flat
        .holes
        .iter()
        .map(|hole| Opening::of(&hole.outline))
        .collect();
    let near = near_pairs(&meant, &drawn);
    let mut choice = Choice {
        partner: vec![None; meant.len()],
        taken: vec![false; drawn.len()],
    };
    for pair in near.iter().filter(|pair| pair.off <= PLACE_MM) {
        choice.take(pair, None);
    }
    // Before mere nearness, or a neighbour takes the hole.
    for (pair, view) in view_pairs(plate, &meant, &drawn) {
        choice.take(&pair, Some(view));
    }
    for pair in &near {
        choice.take(pair, None);
    }
    let mut pairs = Vec::new();
    let mut missing = Vec::new();
    for ((hole, meant), partner) in flat.holes.iter().zip(&meant).zip(&choice.partner) {
        match *partner {
            Some((d, view)) => pairs.push(HolePair {
                hole,
                meant: meant.centre,
                drawn: drawn[d].clone(),
                view,
            }),
            None => missing.push(hole),
        }
    }
    let extra = drawn
        .into_iter()
        .zip(choice.taken)
        .filter(|(opening, taken)| !taken && !is_surface_detail(flat, opening))
        .map(|(opening, _)| opening)
        .collect();
    Paired {
        pairs,
        missing,
        extra,
    }
}

/// A meant and a drawn opening that may be the same, by their numbers.
struct Candidate {
    /// How far apart they stand (mm).
    off: f64,
    cost: f64,
    meant: usize,
    drawn: usize,
}

struct Choice {
    partner: Vec<Option<(usize, Option<View>)>>,
    taken: Vec<bool>,
}

impl Choice {
    fn take(&mut self, pair: &Candidate, view: Option<View>) {
        if self.partner[pair.meant].is_none() && !self.taken[pair.drawn] {
            self.partner[pair.meant] = Some((pair.drawn, view));
            self.taken[pair.drawn] = true;
        }
    }
}

fn of_like_size(meant: &Opening, drawn: &Opening) -> bool {
    (drawn.size - meant.size).abs() <= 0.5 * meant.size
}

/// Pairs within reach, nearest first.
fn near_pairs(meant: &[Opening], drawn: &[Opening]) -> Vec<Candidate> {
    let mut pairs = Vec::new();
    for (h, hole) in meant.iter().enumerate() {
        for (d, opening) in drawn.iter().enumerate() {
            let off = (opening.centre - hole.centre).norm();
            if off <= HOLE_REACH_MM.max(hole.size / 2.0) && of_like_size(hole, opening) {
                pairs.push(Candidate {
                    off,
                    cost: off + 2.0 * (opening.size - hole.size).abs(),
                    meant: h,
                    drawn: d,
                });
            }
        }
    }
    pairs.sort_by(|a, b| {
        a.cost
            .total_cmp(&b.cost)
            .then((a.meant, a.drawn).cmp(&(b.meant, b.drawn)))
    });
    pairs
}

/// Pairs where a view's distance explains the drawn place, closest first.
fn view_pairs(plate: &Plate, meant: &[Opening], drawn: &[Opening]) -> Vec<(Candidate, View)> {
    let Some(loft) = plate.forming.loft() else {
        return Vec::new();
    };
    let skins = [0.0, plate.sheet.z_high, plate.sheet.z_low];
    let mut pairs = Vec::new();
    for (h, hole) in meant.iter().enumerate() {
        for (view, place) in places_by_view(loft, hole.centre, &skins) {
            if (place - hole.centre).norm() <= PLACE_MM {
                continue;
            }
            for (d, opening) in drawn.iter().enumerate() {
                let cost = (opening.centre - place).norm();
                if cost <= CAUSE_MM && of_like_size(hole, opening) {
                    let candidate = Candidate {
                        off: cost,
                        cost,
                        meant: h,
                        drawn: d,
                    };
                    pairs.push((candidate, view));
                }
            }
        }
    }
    pairs.sort_by(|(a, _), (b, _)| {
        a.cost
            .total_cmp(&b.cost)
            .then((a.meant, a.drawn).cmp(&(b.meant, b.drawn)))
    });
    pairs
}

/// True for the outline of a half-etched place or of a rivet.
fn is_surface_detail(flat: &FlatDrawing, opening: &Opening) -> bool {
    let region = flat.regions.iter().any(|region| {
        (centre_of(&region.outline) - opening.centre).norm() < 0.5
            && (size_of(&region.outline) - opening.size).abs() < 0.1 * opening.size + 0.1
    });
    region
        || flat.rivets.iter().any(|rivet| {
            (rivet.centre - opening.centre).norm() < 0.3
                && opening.size < 2.0 * rivet.head_diameter.max(rivet.drawn_diameter())
        })
}
