//! Curves that lie on a loft exactly, in both states.

use crate::{DevelopError, Loft, SurfacePoint};
use geom::math::{TAU, sin_cos};
use geom::{BodyPoint, FlatPoint, Point2, Vector2, Vector3};

/// A curve on a loft, run through by a parameter from 0 to 1.
#[derive(Clone, Debug, PartialEq)]
pub enum Trace {
    /// Along the section at a fraction of the rulings: an edge, or the side of a band.
    Section {
        /// Fraction of the rulings, 0 at the front section.
        v: f64,
        /// Ruling where the curve starts.
        from: f64,
        /// Ruling where the curve ends.
        to: f64,
    },
    /// Along a ruling: a seam.
    Ruling {
        /// The ruling.
        w: f64,
        /// Fraction of it where the curve starts.
        from: f64,
        /// Fraction of it where the curve ends.
        to: f64,
    },
    /// Round the cut of a straight round bore, its axis in a section plane, anticlockwise seen from outside.
    Bore {
        /// Direction of the bore in the section plane, outward (unit vector).
        drill: Vector2,
        /// Distance of the axis from the front section plane (mm).
        along: f64,
        /// Distance of the axis to the right of `drill` from the section's origin (mm).
        across: f64,
        /// Radius of the bore (mm).
        radius: f64,
    },
    /// Where a plane cuts the mid-surface: a mitre, a sloping backhead, the trim of a throat.
    ///
    /// On each ruling it stands where the ruling passes the plane, between its two ends.
    Cut {
        /// A point of the plane.
        through: BodyPoint,
        /// A direction square to the plane, of any length but zero.
        normal: Vector3,
        /// Ruling where the curve starts.
        from: f64,
        /// Ruling where the curve ends.
        to: f64,
    },
}

impl Trace {
    /// The place on the surface at a parameter.
    ///
    /// # Errors
    ///
    /// [`DevelopError::OffThePlate`] where a bore runs off the wrapper, [`DevelopError::CutLeaves`] where a plane
    /// misses a ruling.
    pub fn at(&self, loft: &Loft, t: f64) -> Result<SurfacePoint, DevelopError> {
        Ok(match *self {
            Self::Section { v, from, to } => SurfacePoint {
                w: from + (to - from) * t,
                v,
            },
            Self::Ruling { w, from, to } => SurfacePoint {
                w,
                v: from + (to - from) * t,
            },
            Self::Bore {
                drill,
                along,
                across,
                radius,
            } => {
                // Seen from outside, x along the axis and the right of the drill upwards.
                let (s, c) = sin_cos(TAU * t);
                let v = (along + radius * c) / loft.axial_length();
                if !(0.0..=1.0).contains(&v) {
                    return Err(DevelopError::OffThePlate {
                        along_mm: along + radius * c,
                        across_mm: across + radius * s,
                    });
                }
                loft.under_drill(drill, across + radius * s, v)?
            }
            Self::Cut {
                through,
                normal,
                from,
                to,
            } => {
                let w = from + (to - from) * t;
                SurfacePoint {
                    w,
                    v: loft.cut_at(w, through, normal)?,
                }
            }
        })
    }

    /// Parameters between which the curve is smooth: 0, the borders of patches that it crosses, 1.
    ///
    /// # Errors
    ///
    /// As [`Trace::at`].
    pub fn breaks(&self, loft: &Loft) -> Result<Vec<f64>, DevelopError> {
        let mut breaks = vec![0.0];
        match *self {
            Self::Section { from, to, .. } | Self::Cut { from, to, .. } => {
                let (low, high) = (from.min(to), from.max(to));
                let mut k = low.floor() + 1.0;
                while k < high {
                    breaks.push((k - from) / (to - from));
                    k += 1.0;
                }
                if let Self::Cut { .. } = self {
                    // Asked for here so that lengths and areas meet no failure.
                    self.look_along(loft)?;
                }
            }
            Self::Ruling { .. } => {}
            Self::Bore { .. } => {
                // Asked for here so that the search for borders below meets no failure.
                self.look_along(loft)?;
                breaks.extend(border_crossings(|t| {
                    self.at(loft, t).map_or(f64::NAN, |at| at.w)
                }));
            }
        }
        breaks.push(1.0);
        breaks.sort_by(f64::total_cmp);
        breaks.dedup_by(|b, a| *b - *a < 1e-12);
        Ok(breaks)
    }

    /// Asks for places all along the curve.
    fn look_along(&self, loft: &Loft) -> Result<(), DevelopError> {
        (0..=SAMPLES).try_for_each(|i| self.at(loft, i as f64 / SAMPLES as f64).map(|_| ()))
    }

    /// Length on the flat (mm), from flat positions alone.
    ///
    /// # Errors
    ///
    /// As [`Trace::at`].
    pub fn flat_length(&self, loft: &Loft) -> Result<f64, DevelopError> {
        self.length_by(loft, |at| {
            let p = loft.flat(at);
            BodyPoint::new(p.x, p.y, 0.0)
        })
    }

    /// Length on the formed neutral surface (mm), from positions in space alone.
    ///
    /// # Errors
    ///
    /// As [`Trace::at`].
    pub fn formed_length(&self, loft: &Loft) -> Result<f64, DevelopError> {
        self.length_by(loft, |at| loft.neutral_point(at))
    }

    fn length_by(
        &self,
        loft: &Loft,
        position: impl Fn(SurfacePoint) -> BodyPoint,
    ) -> Result<f64, DevelopError> {
        let breaks = self.breaks(loft)?;
        Ok(breaks
            .windows(2)
            .map(|piece| {
                geom::chord_length(piece[0], piece[1], |t| {
                    self.at_in_piece(loft, piece, t)
                        .map_or(BodyPoint::origin(), &position)
                })
            })
            .sum())
    }

    /// A place inside a smooth piece: its ends belong to that piece's patch, not to the next.
    ///
    /// `None` only for a bore or cut that leaves the wrapper between the samples of [`Trace::breaks`].
    pub(crate) fn at_in_piece(&self, loft: &Loft, piece: &[f64], t: f64) -> Option<SurfacePoint> {
        let mut at = self.at(loft, t).ok()?;
        let patch = self.at(loft, (piece[0] + piece[1]) / 2.0).ok()?.w.floor();
        at.w = at.w.clamp(patch, (patch + 1.0) * (1.0 - f64::EPSILON));
        Some(at)
    }

    /// Point of the flat at a parameter.
    ///
    /// # Errors
    ///
    /// As [`Trace::at`].
    pub fn flat_point(&self, loft: &Loft, t: f64) -> Result<FlatPoint, DevelopError> {
        Ok(loft.flat(self.at(loft, t)?))
    }

    /// A bore whose axis passes through a section point in the direction `drill`.
    pub fn bore(drill: Vector2, along: f64, through: Point2, radius: f64) -> Self {
        let right = Vector2::new(drill.y, -drill.x);
        Self::Bore {
            drill,
            along,
            across: through.coords.dot(&right),
            radius,
        }
    }
}

/// A cut further than this beyond the end of a ruling has left the sheet (mm).
const BEYOND_MM: f64 = 1e-9;

impl Loft {
    /// Fraction of a ruling at which it passes a plane.
    ///
    /// # Errors
    ///
    /// [`DevelopError::CutLeaves`] if the plane passes the ruling beyond its ends or not at all. A ruling that lies in
    /// the plane passes it nowhere in particular and is refused too.
    fn cut_at(&self, w: f64, through: BodyPoint, normal: Vector3) -> Result<f64, DevelopError> {
        let [front, rear] = [0.0, 1.0].map(|v| self.formed(SurfacePoint { w, v }).point);
        let (before, behind) = (
            (front - through).dot(&normal),
            (rear - through).dot(&normal),
        );
        let v = before / (before - behind);
        let beyond = (v - 1.0).max(-v) * (rear - front).norm();
        // Written so that a ruling in the plane, where v is no number, is refused.
        let is_on_sheet = beyond <= BEYOND_MM;
        if !is_on_sheet {
            return Err(DevelopError::CutLeaves {
                at: if before.abs() < behind.abs() {
                    front
                } else {
                    rear
                },
                beyond_mm: if beyond.is_finite() {
                    beyond
                } else {
                    f64::INFINITY
                },
            });
        }
        Ok(v.clamp(0.0, 1.0))
    }
}

/// Samples of a curve among which crossings of patch borders, and places off the sheet, are looked for.
const SAMPLES: usize = 64;

/// Parameters at which a curve's ruling coordinate passes a whole number: a border between patches.
pub(crate) fn border_crossings(w: impl Fn(f64) -> f64) -> Vec<f64> {
    let mut crossings = Vec::new();
    let mut before = w(0.0);
    for i in 1..=SAMPLES {
        let (low, high) = ((i - 1) as f64 / SAMPLES as f64, i as f64 / SAMPLES as f64);
        let here = w(high);
        // A sample that falls on a border belongs to the piece behind it, rising or falling.
        let mut border = before.min(here).floor() + 1.0;
        while border <= before.max(here) {
            crossings.push(if here >= border {
                bisect(low, high, |t| w(t) >= border)
            } else {
                bisect(low, high, |t| w(t) < border)
            });
            border += 1.0;
        }
        before = here;
    }
    // Several borders passed between two samples come out by rising border, not by rising parameter.
    crossings.sort_by(f64::total_cmp);
    crossings
}

/// The parameter between `low` and `high` at which `above` changes.
pub(crate) fn bisect(mut low: f64, mut high: f64, above: impl Fn(f64) -> bool) -> f64 {
    let at_high = above(high);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if above(middle) == at_high {
            high = middle;
        } else {
            low = middle;
        }
    }
    (low + high) / 2.0
}
