//! A plate folded along half-etched grooves.

use crate::error::check_above_zero;
use crate::loft::datum_ruling;
use crate::matching::match_by_tangent;
use crate::patch::PatchShape;
use crate::{DevelopError, HalfEtchedFold, Loft, LoftFrame};
use geom::{Chain, Point2};

/// A strip folded along parallel half-etched grooves, each on the inside of its fold.
///
/// Between folds the metal is whole and straight. A fold's web bends about its own middle over the
/// width of the groove; seen from mid-sheet that is an arc of half the thickness whose flat length is
/// the width of the groove, so that the walls of the groove just meet.
#[derive(Clone, Debug)]
pub struct Folded {
    section: Chain,
    thickness: f64,
    web: f64,
}

impl Folded {
    /// A strip whose section begins at `start` in the direction `heading` (rad) and goes along `legs`
    /// (mm, over the outside of each fold), turning by `turns` (rad, anticlockwise positive) between them.
    ///
    /// # Formula
    ///
    /// The corner that the outside of two legs would make lies (r_i + h) tan(θ/2) before and behind the
    /// fold, with r_i + h = t for a closing groove of any depth (`docs/derivations.md#half-etched-fold`).
    /// At mid-sheet the straight part of a leg is therefore shorter than the leg by t·tan(θ/2) at each
    /// fold that has the outside face on its outer side, and by nothing where that face is on the inner side.
    ///
    /// # Errors
    ///
    /// [`DevelopError::OutOfRange`] for a leg that its folds leave no straight part of, for a fold
    /// beyond a right angle and a half, or for a groove depth outside the sheet.
    pub fn new(
        start: Point2,
        heading: f64,
        legs: &[f64],
        turns: &[f64],
        thickness: f64,
        depth: f64,
    ) -> Result<Self, DevelopError> {
        for turn in turns {
            HalfEtchedFold::closing(turn.abs(), thickness, depth)?;
        }
        let setback = |turn: Option<&f64>| match turn {
            // The outside lies on the left of travel: a turn to the right has it on its outer side.
            Some(turn) if *turn < 0.0 => thickness * geom::math::tan(turn.abs() / 2.0),
            _ => 0.0,
        };
        let mut builder = Chain::starting(start, heading);
        for (i, leg) in legs.iter().enumerate() {
            let before = i.checked_sub(1).and_then(|i| turns.get(i));
            let straight = leg - setback(before) - setback(turns.get(i));
            let is_long_enough = straight > 0.0;
            if !is_long_enough {
                return Err(DevelopError::OutOfRange {
                    name: "leg of a folded plate",
                    value: *leg,
                    low: leg - straight,
                    high: f64::INFINITY,
                });
            }
            builder = builder.line(straight);
            if let (Some(turn), true) = (turns.get(i), i + 1 < legs.len()) {
                builder = builder.arc(thickness / 2.0, *turn);
            }
        }
        Ok(Self {
            section: builder.finish(),
            thickness,
            web: thickness - depth,
        })
    }

    /// Section of mid-sheet.
    pub fn section(&self) -> &Chain {
        &self.section
    }

    /// Heights of the web over mid-sheet at a fold that turns by `turn` (mm, outward).
    pub fn web_heights(&self, turn: f64) -> (f64, f64) {
        let half = self.thickness / 2.0;
        if turn < 0.0 {
            (half - self.web, half)
        } else {
            (-half, self.web - half)
        }
    }

    /// The plate's surface, `length` long (mm) along its folds.
    ///
    /// # Errors
    ///
    /// [`DevelopError::OutOfRange`] for a length that is not above zero.
    pub fn loft(&self, frame: LoftFrame, length: f64) -> Result<Loft, DevelopError> {
        check_above_zero("length", length)?;
        let mut shapes = match_by_tangent(&self.section, &self.section)?;
        for shape in &mut shapes {
            if let PatchShape::Cone { neutral_shift, .. } = shape {
                // The web's middle lies (t − h)/2 outside mid-sheet.
                *neutral_shift = -(self.thickness - self.web) / 2.0;
            }
        }
        let own = self.section.length();
        let datum = datum_ruling(&shapes, own, own);
        Ok(Loft::laid(frame, shapes, length, datum))
    }

    /// Width of the groove of a fold (mm): its web's own arc.
    pub fn groove(&self, turn: f64) -> f64 {
        turn.abs() * (self.thickness - self.web / 2.0)
    }
}
