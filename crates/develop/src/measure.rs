//! Areas and bends of regions of a loft, from the surface in space without its flat.

use crate::trace::border_crossings;
use crate::{DevelopError, Loft, SurfacePoint, Trace};
use geom::{BodyPoint, Segment, line_integral};

/// What a boundary curve adds to the measures of the region on its left.
///
/// Summed over the closed boundary of a region (anticlockwise on the flat; holes clockwise) the
/// fields are the region's own.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LoopMeasure {
    /// Area on the neutral surface (mm²).
    pub neutral_area: f64,
    /// Area on mid-sheet (mm²); differs from the neutral one only in tight bends.
    pub mid_area: f64,
    /// Curvature integrated over the area, ∫κ dA (mm), positive where the outside is convex.
    pub bend: f64,
}

impl std::ops::AddAssign for LoopMeasure {
    fn add_assign(&mut self, other: Self) {
        self.neutral_area += other.neutral_area;
        self.mid_area += other.mid_area;
        self.bend += other.bend;
    }
}

impl LoopMeasure {
    /// Volume of metal between two heights over mid-sheet (mm³), walls square to the sheet.
    ///
    /// # Formula
    ///
    /// A(z₂ − z₁) + M(z₂² − z₁²)/2 with M = ∫κ dA; exact because the Gauss curvature is zero. Derivation:
    /// `docs/derivations.md#volume-of-a-plate`.
    pub fn volume(&self, z_low: f64, z_high: f64) -> f64 {
        self.mid_area * (z_high - z_low) + self.bend * (z_high * z_high - z_low * z_low) / 2.0
    }
}

/// Measures of the surface between the front section and a fraction v of a ruling, per unit of w.
struct Below {
    neutral: f64,
    mid: f64,
    bend: f64,
}

impl Loft {
    /// The point of the formed neutral surface (mid-sheet, but for tight bends).
    pub fn neutral_point(&self, at: SurfacePoint) -> BodyPoint {
        let place = self.formed(at);
        let (i, s) = self.patch_at(at.w);
        let shift = self.patches[i].neutral_shift();
        if shift == 0.0 {
            return place.point;
        }
        let (_, _, tangent) = self.patches[i].shape.section(s);
        let side = self.patches[i].turn().signum();
        let towards_centre = geom::Vector2::new(-tangent.y, tangent.x) * side;
        place.point + self.frame.direction(towards_centre) * shift
    }

    fn below(&self, at: SurfacePoint) -> Below {
        let (i, s) = self.patch_at(at.w);
        let patch = &self.patches[i];
        let rates = patch.shape.rates(s, self.length);
        let (shift, span) = (patch.neutral_shift(), patch.shape.span());
        let strip = |front: f64, rear: f64| {
            rates.ruling * rates.sin_beta * (front * at.v + (rear - front) * at.v * at.v / 2.0)
        };
        Below {
            neutral: span * strip(rates.front_speed, rates.rear_speed),
            mid: span * strip(rates.front_speed + shift, rates.rear_speed + shift),
            bend: -span * rates.bend * rates.ruling * at.v,
        }
    }

    /// What a curve on the surface adds to the measures of the region on its left.
    ///
    /// # Accuracy
    ///
    /// 1e-11 relative.
    ///
    /// # Errors
    ///
    /// As [`Trace::at`]: a bore or cut that runs off the wrapper.
    pub fn measure_trace(&self, trace: &Trace) -> Result<LoopMeasure, DevelopError> {
        if let Trace::Ruling { .. } = trace {
            return Ok(LoopMeasure::default());
        }
        let breaks = trace.breaks(self)?;
        Ok(self.measure_pieces(&breaks, |piece, t| {
            trace
                .at_in_piece(self, piece, t)
                .unwrap_or(SurfacePoint { w: 0.0, v: 0.0 })
        }))
    }

    /// What a line or arc on the flat adds to the measures of the region on its left.
    pub fn measure_segment(&self, segment: &Segment) -> LoopMeasure {
        let place = |t: f64| self.locate(segment.point_at(t));
        let mut breaks = vec![0.0];
        breaks.extend(border_crossings(|t| place(t).w));
        breaks.push(1.0);
        self.measure_pieces(&breaks, |piece, t| {
            let mut at = place(t);
            let patch = place((piece[0] + piece[1]) / 2.0).w.floor();
            at.w = at.w.clamp(patch, (patch + 1.0) * (1.0 - f64::EPSILON));
            at
        })
    }

    fn measure_pieces(
        &self,
        breaks: &[f64],
        place: impl Fn(&[f64], f64) -> SurfacePoint,
    ) -> LoopMeasure {
        let mut sum = LoopMeasure::default();
        for piece in breaks.windows(2) {
            let part = |measure: fn(&Below) -> f64| {
                line_integral(piece[0], piece[1], |t| {
                    let at = place(piece, t);
                    (at.w, measure(&self.below(at)))
                })
            };
            sum += LoopMeasure {
                neutral_area: part(|b| b.neutral),
                mid_area: part(|b| b.mid),
                bend: part(|b| b.bend),
            };
        }
        sum
    }
}
