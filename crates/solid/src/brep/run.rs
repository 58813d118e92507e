//! One curve of a plate's boundary, travelled with the metal on its left.

use super::boundary::Landmark;
use super::skins::{Skins, Spot};
use body::{Curve, Plate};
use develop::{DevelopError, Forming, Trace};
use geom::math::{TAU, atan2};
use geom::{FlatPoint, Segment, Vector2};
use std::cell::OnceCell;
use std::rc::Rc;

/// Ruling coordinates closer than this are one.
pub(super) const SAME_Y: f64 = 1e-9;

/// Widest arc that is drawn as one (rad).
const WIDEST_ARC: f64 = 1.8;

/// Samples of a curve among which crossings of borders are looked for.
const SAMPLES: usize = 96;

/// A boundary curve with its direction of travel.
#[derive(Clone)]
pub(super) struct Run<'a> {
    pub(super) curve: &'a Curve,
    forming: &'a Forming,
    reversed: bool,
    /// Spots all along it, once they have been asked for: finding one on bent metal takes long.
    samples: Rc<OnceCell<Vec<Spot>>>,
}

impl<'a> Run<'a> {
    /// A curve of a plate, forth or back.
    pub(super) fn of(curve: &'a Curve, forming: &'a Forming, reversed: bool) -> Self {
        Self {
            curve,
            forming,
            reversed,
            samples: Rc::default(),
        }
    }

    /// So many spots along the whole run, and one more for the end; a divisor of 96.
    pub(super) fn samples(
        &self,
        steps: usize,
    ) -> Result<impl Iterator<Item = Spot> + '_, DevelopError> {
        debug_assert!(SAMPLES.is_multiple_of(steps), "{steps} steps");
        if self.samples.get().is_none() {
            let spots = (0..=SAMPLES).map(|i| self.spot(i as f64 / SAMPLES as f64));
            let spots = spots.collect::<Result<Vec<Spot>, DevelopError>>()?;
            // Nothing else fills it meanwhile.
            let _ = self.samples.set(spots);
        }
        let spots = self.samples.get().map_or(&[][..], Vec::as_slice);
        Ok(spots.iter().step_by(SAMPLES / steps).copied())
    }

    /// The spot at a parameter, 0 to 1 in the direction of travel.
    pub(super) fn spot(&self, t: f64) -> Result<Spot, DevelopError> {
        let t = if self.reversed { 1.0 - t } else { t };
        let at = match (self.curve, self.forming) {
            (Curve::Flat(segment), Forming::Flat(_)) => return Ok(segment.point_at(t)),
            (Curve::Flat(segment), Forming::Rolled(loft)) => loft.locate(segment.point_at(t)),
            (Curve::Surface(trace), Forming::Rolled(loft)) => trace.at(loft, t)?,
            (Curve::Surface(_), Forming::Flat(_)) => {
                unreachable!("a trace lies on a rolled plate")
            }
        };
        Ok(Spot::new(at.v, at.w))
    }

    /// The place on the flat at a parameter, as in [`Run::spot`].
    pub(super) fn flat_point(&self, plate: &Plate, t: f64) -> Result<FlatPoint, DevelopError> {
        plate.flat_point(self.curve, if self.reversed { 1.0 - t } else { t })
    }

    /// Angle of the curve on the flat (rad), where it is an arc there.
    pub(super) fn flat_sweep(&self) -> Option<f64> {
        match self.curve {
            Curve::Flat(Segment::Arc(arc)) => Some(arc.sweep),
            _ => None,
        }
    }

    /// Chords that stand for the whole run where it is only looked at.
    pub(super) fn chords(&self) -> usize {
        match (self.curve, self.forming) {
            (Curve::Flat(Segment::Line { .. }), Forming::Flat(_)) => 1,
            _ => SAMPLES,
        }
    }

    /// True where the curve is straight on the flat.
    pub(super) fn is_flat_line(&self) -> bool {
        matches!(self.curve, Curve::Flat(Segment::Line { .. }))
    }

    /// Parameters between which the curve is one piece: corners of strips, and cuts of long arcs.
    pub(super) fn breaks(&self, skins: &Skins<'_>) -> Result<Vec<f64>, DevelopError> {
        let parts = match self.curve {
            Curve::Flat(Segment::Arc(arc)) => (arc.sweep.abs() / WIDEST_ARC).ceil().max(1.0),
            Curve::Surface(Trace::Bore { .. }) => 4.0,
            _ => 1.0,
        };
        let mut breaks = self.crossings(&skins.borders())?;
        breaks.extend((0..=parts as usize).map(|i| i as f64 / parts));
        breaks.sort_by(f64::total_cmp);
        breaks.dedup_by(|b, a| *b - *a < 1e-10);
        // The ends stay exact whatever was found beside them.
        if let (Some(first), Some(last)) = (breaks.first().copied(), breaks.last_mut()) {
            debug_assert!(first == 0.0, "a sorted list from 0 begins with it");
            *last = 1.0;
        }
        Ok(breaks)
    }

    /// The parameter at which the run passes a place; `None` where it does not.
    pub(super) fn parameter_at(&self, skins: &Skins<'_>, place: &Landmark) -> Option<f64> {
        let t = match (self.curve, self.forming) {
            (Curve::Flat(segment), _) => segment.nearest(place.flat).0,
            (Curve::Surface(Trace::Section { from, to, .. } | Trace::Cut { from, to, .. }), _) => {
                (place.spot.y - from) / (to - from)
            }
            (Curve::Surface(Trace::Ruling { from, to, .. }), _) => {
                (place.spot.x - from) / (to - from)
            }
            (
                Curve::Surface(Trace::Bore {
                    drill,
                    along,
                    across,
                    ..
                }),
                Forming::Rolled(loft),
            ) => {
                let (w, v) = (place.spot.y, place.spot.x);
                let section = loft.section_point(develop::SurfacePoint { w, v }).coords;
                let aside = section.dot(&Vector2::new(drill.y, -drill.x)) - across;
                let angle = atan2(aside, v * loft.axial_length() - along);
                (angle / TAU).rem_euclid(1.0)
            }
            (Curve::Surface(Trace::Bore { .. }), Forming::Flat(_)) => {
                unreachable!("a trace lies on a rolled plate")
            }
        };
        let t = if self.reversed { 1.0 - t } else { t };
        // A place a rounding beyond an end belongs to the end.
        if !(-1e-6..=1.0 + 1e-6).contains(&t) {
            return None;
        }
        let t = t.clamp(0.0, 1.0);
        let here = self.spot(t).ok()?;
        skins.is_same(here, place.spot).then_some(t)
    }

    /// Where this run crosses another, near a parameter of each; `None` where they only run side by side.
    pub(super) fn meeting(&self, other: &Run<'_>, guess: [f64; 2]) -> Option<Spot> {
        const STEP: f64 = 1e-6;
        let rate = |run: &Run<'_>, t: f64| -> Option<geom::Vector2> {
            let (low, high) = ((t - STEP).max(0.0), (t + STEP).min(1.0));
            Some((run.spot(high).ok()? - run.spot(low).ok()?) / (high - low))
        };
        let [mut t, mut s] = guess;
        for _ in 0..40 {
            let gap = other.spot(s).ok()? - self.spot(t).ok()?;
            let (own, their) = (rate(self, t)?, rate(other, s)?);
            let turn = own.perp(&their);
            if turn.abs() < 1e-6 * own.norm() * their.norm() {
                return None;
            }
            let (dt, ds) = (gap.perp(&their) / turn, gap.perp(&own) / turn);
            t = (t + dt).clamp(0.0, 1.0);
            s = (s + ds).clamp(0.0, 1.0);
            if dt.abs() < 1e-13 && ds.abs() < 1e-13 {
                break;
            }
        }
        self.spot(t).ok()
    }

    /// The strips to the left and to the right of a part of a run: two where it lies on a border.
    pub(super) fn strips(
        &self,
        skins: &Skins<'_>,
        part: &[f64],
    ) -> Result<[usize; 2], DevelopError> {
        if !skins.is_rolled() {
            return Ok([0; 2]);
        }
        let last = skins.strips.len() - 1;
        let borders = skins.borders();
        let at = |f: f64| self.spot(part[0] + (part[1] - part[0]) * f);
        let (start, middle, end) = (at(0.0)?, at(0.5)?, at(1.0)?);
        let on = |border: &f64| {
            [start, middle, end]
                .iter()
                .all(|spot| (spot.y - border).abs() <= SAME_Y)
        };
        if let Some(border) = borders.iter().position(on) {
            // Towards the rear the metal lies on the side of growing y.
            let (behind, before) = (border.min(last), border.saturating_sub(1));
            return Ok(if end.x > start.x {
                [behind, before]
            } else {
                [before, behind]
            });
        }
        let passed = borders.iter().filter(|b| **b <= middle.y).count();
        Ok([passed.saturating_sub(1).min(last); 2])
    }

    fn crossings(&self, borders: &[f64]) -> Result<Vec<f64>, DevelopError> {
        if borders.is_empty() {
            return Ok(Vec::new());
        }
        let ys: Vec<f64> = self.samples(SAMPLES)?.map(|spot| spot.y).collect();
        let mut found = Vec::new();
        for &border in borders {
            // Side of the border that the curve was last on, and the sample where it left it.
            let mut last: Option<(bool, usize)> = None;
            for (i, y) in ys.iter().enumerate() {
                if (y - border).abs() <= SAME_Y {
                    continue;
                }
                let above = *y > border;
                if let Some((_, from)) = last.filter(|(side, _)| *side != above) {
                    let (low, high) = (from as f64 / SAMPLES as f64, i as f64 / SAMPLES as f64);
                    found.push(self.bisect(low, high, |spot| (spot.y > border) == above));
                }
                last = Some((above, i));
            }
        }
        Ok(found)
    }

    /// Parameters inside a part at which the curve passes a given x; none for one along a ruling.
    pub(super) fn passes(&self, part: &[f64], x: f64) -> Result<Vec<f64>, DevelopError> {
        const STEPS: usize = 16;
        let at = |i: usize| part[0] + (part[1] - part[0]) * i as f64 / STEPS as f64;
        let spots = (0..=STEPS)
            .map(|i| self.spot(at(i)))
            .collect::<Result<Vec<Spot>, _>>()?;
        if spots
            .iter()
            .all(|spot| (spot.y - spots[0].y).abs() <= SAME_Y)
        {
            return Ok(Vec::new());
        }
        Ok((0..STEPS)
            .filter(|&i| (spots[i].x < x) != (spots[i + 1].x < x))
            .map(|i| {
                let above = spots[i + 1].x >= x;
                self.bisect(at(i), at(i + 1), |spot| (spot.x >= x) == above)
            })
            // A kink beside an end is the end's own.
            .filter(|t| t - part[0] > 1e-9 && part[1] - t > 1e-9)
            .collect())
    }

    /// The parameter at which `is_past` begins to hold.
    fn bisect(&self, mut low: f64, mut high: f64, is_past: impl Fn(Spot) -> bool) -> f64 {
        for _ in 0..60 {
            let middle = (low + high) / 2.0;
            if self.spot(middle).is_ok_and(&is_past) {
                high = middle;
            } else {
                low = middle;
            }
        }
        (low + high) / 2.0
    }
}
