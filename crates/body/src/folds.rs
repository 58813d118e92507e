//! Makes the plate of a strip folded along half-etched grooves.

use crate::wrapper::{SideNames, WrapperOf, loft_panel};
use crate::{BodyError, Face, Plate, Purpose, Region, Sheet};
use develop::{Folded, LoftFrame};
use geom::Point2;

/// What a folded plate is called, made of, and where it stands.
pub(crate) struct FoldedPlateOf<'a> {
    pub(crate) id: &'a str,
    pub(crate) assembly: &'static str,
    pub(crate) title: &'a str,
    pub(crate) sheet: Sheet,
    pub(crate) names: SideNames,
    /// Section planes; folds run along the axis.
    pub(crate) frame: LoftFrame,
    /// Where the section's mid-sheet begins, and its direction (rad); the outside is on the left of travel.
    pub(crate) start: (Point2, f64),
    /// Lengths over the outside (mm), and the turns between them (rad, anticlockwise positive).
    pub(crate) legs: &'a [f64],
    pub(crate) turns: &'a [f64],
    /// Length along the folds (mm).
    pub(crate) length: f64,
    /// Depth of the grooves (mm).
    pub(crate) depth: f64,
}

impl FoldedPlateOf<'_> {
    /// The plate with a groove over the whole of each fold, on its inner side.
    ///
    /// # Errors
    ///
    /// [`BodyError::Develop`] at `path` where a leg is too short for its folds.
    pub(crate) fn plate(self, path: &str) -> Result<Plate, BodyError> {
        let failed = |cause| BodyError::Develop {
            path: path.to_owned(),
            cause,
        };
        let t = self.sheet.thickness();
        let (start, heading) = self.start;
        let folded =
            Folded::new(start, heading, self.legs, self.turns, t, self.depth).map_err(failed)?;
        let loft = folded.loft(self.frame, self.length).map_err(failed)?;
        let bent: Vec<usize> = (0..loft.patches().len())
            .filter(|i| loft.patches()[*i].is_bent())
            .collect();
        let mut plate = WrapperOf {
            id: self.id,
            assembly: self.assembly,
            title: self.title,
            sheet: self.sheet,
            names: self.names,
        }
        .plate(loft);
        for (number, (i, turn)) in bent.into_iter().zip(self.turns).enumerate() {
            let (z_low, z_high) = folded.web_heights(*turn);
            plate.regions.push(Region {
                name: format!("fold-{}", number + 1),
                purpose: Purpose::Fold,
                face: if *turn < 0.0 {
                    Face::Inside
                } else {
                    Face::Outside
                },
                z_low,
                z_high,
                boundary: loft_panel((i as f64, i as f64 + 1.0), (0.0, 1.0)),
            });
        }
        Ok(plate)
    }
}
