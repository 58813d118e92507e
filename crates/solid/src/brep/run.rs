//! One curve of a plate's boundary, travelled with the metal on its left.

use super::skins::{Skins, Spot};
use body::{Curve, Plate};
use develop::{DevelopError, Forming, Trace};
use geom::Segment;

/// Ruling coordinates closer than this are one.
pub(super) const SAME_Y: f64 = 1e-9;

/// Widest arc that is drawn as one (rad).
const WIDEST_ARC: f64 = 1.8;

/// Samples of a curve among which crossings of borders are looked for.
const SAMPLES: usize = 96;

/// A boundary curve with its direction of travel.
#[derive(Clone, Copy)]
pub(super) struct Run<'a> {
    pub(super) curve: &'a Curve,
    forming: &'a Forming,
    reversed: bool,
}

/// The closed boundaries of a plate: its outline, then its holes travelled clockwise.
pub(super) fn boundary_loops(plate: &Plate) -> Vec<Vec<Run<'_>>> {
    let run = |curve, reversed| Run {
        curve,
        forming: &plate.forming,
        reversed,
    };
    let outline = plate.outline.iter().map(|edge| run(&edge.curve, false));
    let holes = plate.holes.iter().map(|hole| {
        hole.boundary
            .iter()
            .rev()
            .map(|curve| run(curve, true))
            .collect()
    });
    std::iter::once(outline.collect()).chain(holes).collect()
}

impl Run<'_> {
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

    /// Angle of the curve on the flat (rad), where it is an arc there.
    pub(super) fn flat_sweep(&self) -> Option<f64> {
        match self.curve {
            Curve::Flat(Segment::Arc(arc)) => Some(arc.sweep),
            _ => None,
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

    fn crossings(&self, borders: &[f64]) -> Result<Vec<f64>, DevelopError> {
        if borders.is_empty() {
            return Ok(Vec::new());
        }
        let ys = (0..=SAMPLES)
            .map(|i| Ok(self.spot(i as f64 / SAMPLES as f64)?.y))
            .collect::<Result<Vec<f64>, DevelopError>>()?;
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
