//! Forming as a motion: every ruling turns by a share λ of its final bend.

use crate::patch::{Patch, PatchShape};
use crate::{Forming, Loft, Place};
use geom::{BodyPoint, FlatPoint, Vector3};

/// Widest integration step as a share of a panel of the flat's table: 0.005 rad in a slender wrapper,
/// where a fourth-order step errs by about 1e-13 of the radius, and finer where the taper is strong.
const STEP: f64 = 1.0 / 110.0;

/// A plate part-way between flat and formed.
///
/// The datum ruling stands where the formed plate has it; on either side the sheet is carried on,
/// turned about each ruling by λ times its final bend. Rulings keep their place on the flat, so
/// lengths are kept at every stage: `docs/derivations.md#forming-as-motion`.
#[derive(Clone, Debug)]
pub struct Motion<'a> {
    forming: &'a Forming,
    lambda: f64,
    /// Stations of each patch, by rising parameter.
    patches: Vec<Vec<Station>>,
}

/// The sheet at the front end of one ruling.
#[derive(Clone, Copy, Debug)]
struct Station {
    /// Parameter of the ruling in its patch.
    s: f64,
    point: BodyPoint,
    /// Unit vectors along the ruling, across it in the sheet, and outward.
    frame: [Vector3; 3],
}

impl<'a> Motion<'a> {
    pub(crate) fn new(forming: &'a Forming, lambda: f64) -> Self {
        let mut motion = Self {
            forming,
            lambda,
            patches: Vec::new(),
        };
        if let Forming::Rolled(loft) = forming {
            motion.patches = motion.carry(loft);
        }
        motion
    }

    /// Where a point of the flat stands at this stage.
    pub fn place(&self, point: FlatPoint) -> Place {
        let Forming::Rolled(loft) = self.forming else {
            return self.forming.place(point);
        };
        let at = loft.locate(point);
        let (i, s) = loft.patch_at(at.w);
        let stations = &self.patches[i];
        let k = stations.partition_point(|station| station.s <= s).max(1) - 1;
        let here = self.step(loft, i, stations[k], s);
        let ruling = loft.ruling(at.w).length * at.v;
        Place {
            point: here.point + here.frame[0] * ruling,
            normal: here.frame[2],
        }
    }

    /// Stations of all patches, carried both ways from the datum ruling.
    fn carry(&self, loft: &Loft) -> Vec<Vec<Station>> {
        let (home, s) = loft.patch_at(loft.datum());
        let datum = Station {
            s,
            point: loft
                .formed(crate::SurfacePoint {
                    w: loft.datum(),
                    v: 0.0,
                })
                .point,
            frame: loft.formed_axes(loft.datum()),
        };
        let mut patches = vec![Vec::new(); loft.patches.len()];
        let span = |i: usize| loft.patches[i].shape.span();
        let mut forward = self.stations(loft, home, datum, span(home));
        let mut last = *forward.last().unwrap_or(&datum);
        for i in home + 1..loft.patches.len() {
            patches[i] = self.stations(loft, i, Station { s: 0.0, ..last }, span(i));
            last = *patches[i].last().unwrap_or(&last);
        }
        let mut backward = self.stations(loft, home, datum, 0.0);
        let mut first = *backward.last().unwrap_or(&datum);
        for i in (0..home).rev() {
            let start = Station {
                s: span(i),
                ..first
            };
            let mut stations = self.stations(loft, i, start, 0.0);
            first = *stations.last().unwrap_or(&first);
            stations.reverse();
            patches[i] = stations;
        }
        backward.reverse();
        backward.pop();
        backward.append(&mut forward);
        patches[home] = backward;
        patches
    }

    /// Stations from `start` to parameter `to`, both included.
    fn stations(&self, loft: &Loft, patch: usize, start: Station, to: f64) -> Vec<Station> {
        let mut all = vec![start];
        for (from, until, steps) in strides(&loft.patches[patch], start.s, to) {
            for k in 1..=steps {
                let target = from + (until - from) * k as f64 / steps as f64;
                all.push(self.step(loft, patch, all[all.len() - 1], target));
            }
        }
        all
    }

    /// Carries the sheet from a station to another ruling of the same patch.
    fn step(&self, loft: &Loft, patch: usize, from: Station, to: f64) -> Station {
        let shape = &loft.patches[patch].shape;
        if let PatchShape::Plane { .. } = shape {
            return carry_flat(loft, patch, from, to);
        }
        let h = to - from.s;
        let slope = |s: f64, state: &Station| self.slope(shape, loft.length, s, state);
        let k1 = slope(from.s, &from);
        let k2 = slope(from.s + h / 2.0, &from.moved(&k1, h / 2.0));
        let k3 = slope(from.s + h / 2.0, &from.moved(&k2, h / 2.0));
        let k4 = slope(to, &from.moved(&k3, h));
        let mut end = from;
        for (k, weight) in [(k1, 1.0), (k2, 2.0), (k3, 2.0), (k4, 1.0)] {
            end = end.moved(&k, h * weight / 6.0);
        }
        let e = end.frame[0].normalize();
        let normal = (end.frame[2] - e * end.frame[2].dot(&e)).normalize();
        Station {
            s: to,
            point: end.point,
            frame: [e, normal.cross(&e), normal],
        }
    }

    /// Rates of a station: e′ = ψ′e⊥, e⊥′ = −ψ′e + λb N, N′ = −λb e⊥, P′ = R (cos β e + sin β e⊥).
    fn slope(&self, shape: &PatchShape, length: f64, s: f64, state: &Station) -> Slope {
        let rates = shape.rates(s, length);
        let bend = self.lambda * rates.bend;
        let [e, across, normal] = state.frame;
        // At part bend the sheet is carried on its neutral line; formed, on mid-sheet.
        let shift = match shape {
            PatchShape::Cone { neutral_shift, .. } => neutral_shift * self.lambda,
            PatchShape::Plane { .. } => 0.0,
        };
        Slope {
            point: (e * rates.cos_beta + across * rates.sin_beta) * (rates.front_speed + shift),
            frame: [
                across * rates.swing,
                e * -rates.swing + normal * bend,
                across * -bend,
            ],
        }
    }
}

/// Stretches from parameter `from` to `to` in order of travel, each with its number of steps.
fn strides(patch: &Patch, from: f64, to: f64) -> Vec<(f64, f64, usize)> {
    if !patch.is_bent() {
        return vec![(from, to, 1)];
    }
    let (low, high) = (from.min(to), from.max(to));
    let mut strides = Vec::new();
    for panel in patch.panel_ends().windows(2) {
        let (begin, end) = (panel[0].max(low), panel[1].min(high));
        if end > begin {
            let step = STEP * (panel[1] - panel[0]);
            strides.push((begin, end, ((end - begin) / step).ceil().max(1.0) as usize));
        }
    }
    if from > to {
        strides.reverse();
        strides
            .iter_mut()
            .for_each(|stride| (stride.0, stride.1) = (stride.1, stride.0));
    }
    strides
}

struct Slope {
    point: Vector3,
    frame: [Vector3; 3],
}

impl Station {
    fn moved(&self, slope: &Slope, by: f64) -> Self {
        Self {
            s: self.s,
            point: self.point + slope.point * by,
            frame: std::array::from_fn(|i| self.frame[i] + slope.frame[i] * by),
        }
    }
}

/// On a plane the flat itself says where another ruling lies.
fn carry_flat(loft: &Loft, patch: usize, from: Station, to: f64) -> Station {
    let here = loft.patches[patch].ruling(from.s, loft.length);
    let there = loft.patches[patch].ruling(to, loft.length);
    let d = here.flat_direction;
    let local = |v: geom::Vector2| (d.dot(&v), d.perp(&v));
    let (along, across) = local(there.flat - here.flat);
    let (cos_t, sin_t) = local(there.flat_direction);
    let [e, side, normal] = from.frame;
    Station {
        s: to,
        point: from.point + e * along + side * across,
        frame: [e * cos_t + side * sin_t, side * cos_t - e * sin_t, normal],
    }
}
