//! Where a jig is made: the engine, the printer, and what every piece goes through.

use body::{Body, Model, Plate, PrintSpec};
use geom::{Point3, Vector3};

use super::JigPiece;
use super::checks;
use super::fault::JigFault;
use super::letters::{Field, engrave};
use super::shape::{Frame, moved};
use crate::{Mesh, SolidError};

/// What went wrong, and with which piece.
#[derive(Debug)]
pub(super) struct Trouble {
    pub(super) piece: String,
    pub(super) fault: JigFault,
}

impl From<JigFault> for Trouble {
    fn from(fault: JigFault) -> Self {
        Self {
            piece: "outline".to_owned(),
            fault,
        }
    }
}

impl From<SolidError> for Trouble {
    fn from(error: SolidError) -> Self {
        JigFault::from(error).into()
    }
}

impl From<geom::GeomError> for Trouble {
    fn from(error: geom::GeomError) -> Self {
        JigFault::from(error).into()
    }
}

/// Pieces of a jig as made, and what is to be said of them.
#[derive(Debug, Default)]
pub(super) struct Made {
    pub(super) pieces: Vec<JigPiece>,
    pub(super) notes: Vec<String>,
    pub(super) forming: Vec<super::FormedSheet>,
}

/// The engine and the printer that jigs are made for.
pub(super) struct Bench<'a> {
    pub(super) model: &'a Model,
    pub(super) body: &'a Body,
    pub(super) print: &'a PrintSpec,
    short: &'static str,
}

impl<'a> Bench<'a> {
    pub(super) fn new(model: &'a Model, body: &'a Body, short: &'static str) -> Self {
        Self {
            model,
            body,
            print: &model.print,
            short,
        }
    }

    /// The plate of a name.
    pub(super) fn plate(&self, id: &str) -> Option<&'a Plate> {
        self.body.plate(id)
    }

    /// One of two lengths (mm), by scale.
    pub(super) fn pick(&self, four: f64, seven: f64) -> f64 {
        if self.model.scale.mm_per_foot() < 5.5 {
            four
        } else {
            seven
        }
    }

    /// Diameter of a hole as drawn, so that a rod of `diameter` (mm) slides in it.
    pub(super) fn hole(&self, diameter: f64) -> f64 {
        (diameter + self.print.hole_growth).max(self.print.least_hole)
    }

    /// Words engraved into a piece: jig, class, scale and side; the class is left out where there is no
    /// room for it.
    fn wordings(&self, side: &str) -> [String; 2] {
        // The wheel arrangement is long and adds nothing.
        let class: Vec<&str> = self
            .model
            .title
            .split_whitespace()
            .filter(|word| !(word.contains('-') && word.starts_with(|c: char| c.is_ascii_digit())))
            .take(3)
            .collect();
        let scale = self.model.scale.word();
        [
            format!("{} {} {scale} {side}", self.short, class.join(" ")).to_uppercase(),
            format!("{} {scale} {side}", self.short).to_uppercase(),
        ]
    }

    /// A piece with its name engraved, its walls held against the printer's least.
    pub(super) fn piece(
        &self,
        name: &str,
        mesh: Mesh,
        fields: &[Field],
        side: &str,
    ) -> Result<JigPiece, Trouble> {
        let named = |fault| Trouble {
            piece: name.to_owned(),
            fault,
        };
        checks::whole(&mesh, 1).map_err(named)?;
        checks::walls(&mesh, self.print.least_wall).map_err(named)?;
        let mesh = engrave(&mesh, fields, &self.wordings(side), self.print).map_err(named)?;
        Ok(JigPiece {
            name: name.to_owned(),
            mesh,
            solids: 1,
            to_body: None,
            blank: None,
        })
    }

    /// Pieces with their least corner at the origin, if all pass.
    pub(super) fn checked(&self, pieces: Vec<JigPiece>) -> Result<Vec<JigPiece>, Trouble> {
        pieces
            .into_iter()
            .map(|piece| {
                let trouble = |fault| Trouble {
                    piece: piece.name.clone(),
                    fault,
                };
                checks::whole(&piece.mesh, piece.solids).map_err(trouble)?;
                checks::fits_bed(&piece.mesh, self.print).map_err(trouble)?;
                Ok(settled(piece))
            })
            .collect()
    }
}

fn settled(piece: JigPiece) -> JigPiece {
    let (low, _) = piece.mesh.bounds();
    let to_body = piece.to_body.map(|frame| Frame {
        origin: frame.point(Point3::from(low)),
        ..frame
    });
    JigPiece {
        mesh: moved(&piece.mesh, -Vector3::from(low)),
        to_body,
        ..piece
    }
}

/// Holds the mesh of a blank against the volume it must have: chords take off no more than their height
/// all over.
pub(super) fn blank(mesh: &Mesh, wanted_mm3: f64) -> Result<Option<(f64, f64)>, JigFault> {
    let found_mm3 = mesh.volume();
    let allowed = mesh.area() * super::shape::CHORD_MM + 1e-6 * wanted_mm3;
    if (found_mm3 - wanted_mm3).abs() <= allowed {
        Ok(Some((found_mm3, wanted_mm3)))
    } else {
        Err(JigFault::Volume {
            found_mm3,
            wanted_mm3,
        })
    }
}
