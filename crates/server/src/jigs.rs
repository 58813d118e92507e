//! Formers and jigs of one engine, and their files.

use body::{Body, Model, PrintSpec};
use export::{JigJson, PrintJson, ThreemfObject};
use rayon::prelude::*;
use solid::{Jig, JigKind, JigPiece, SolidError, jig_kinds, lay_on_beds, make_jig};

use crate::WorkError;
use crate::workshop::nearest;

/// The jigs that an engine has, each made or with the reason why it is not.
#[derive(Clone, Debug)]
pub struct Jigs {
    made: Vec<(&'static JigKind, Result<Jig, SolidError>)>,
    print: PrintSpec,
    engine: String,
}

/// A piece as it goes to the printer: grown by what it shrinks, laid on a bed.
struct Laid {
    name: String,
    positions: Vec<[f64; 3]>,
    triangles: Vec<[u32; 3]>,
}

impl Jigs {
    /// Makes all jigs that the engine has a use for, one a task, in the order of their kinds.
    pub fn of(model: &Model, body: &Body) -> Self {
        let made: Vec<_> = jig_kinds()
            .par_iter()
            .map(|kind| (kind, make_jig(model, body, kind).transpose()))
            .collect();
        Self {
            made: made
                .into_iter()
                .filter_map(|(kind, jig)| Some((kind, jig?)))
                .collect(),
            print: model.print.clone(),
            engine: model.title.clone(),
        }
    }

    /// The jigs that passed their checks.
    pub fn sound(&self) -> impl Iterator<Item = &Jig> {
        self.made.iter().filter_map(|(_, jig)| jig.as_ref().ok())
    }

    /// The jigs that cannot be served, and why.
    pub fn refused(&self) -> impl Iterator<Item = (&'static JigKind, &SolidError)> {
        let failed = |own: &'_ (&'static JigKind, Result<Jig, SolidError>)| own.1.is_err();
        self.made
            .iter()
            .filter(move |own| failed(own))
            .filter_map(|(kind, jig)| Some((*kind, jig.as_ref().err()?)))
    }

    /// What is known of the jigs that passed.
    pub fn json(&self) -> Vec<JigJson> {
        self.sound().map(JigJson::from).collect()
    }

    /// The printer that they are made for.
    pub fn print_json(&self) -> PrintJson {
        PrintJson::from(&self.print)
    }

    /// The jig of a name.
    ///
    /// # Errors
    ///
    /// [`WorkError::NoJig`], with the nearest name there is; [`WorkError::Solid`] for one that fails its checks.
    pub fn jig(&self, id: &str) -> Result<&Jig, WorkError> {
        match self.made.iter().find(|(kind, _)| kind.id == id) {
            Some((_, Ok(jig))) => Ok(jig),
            Some((_, Err(error))) => Err(error.clone().into()),
            None => Err(WorkError::NoJig {
                jig: id.to_owned(),
                near: nearest(id, self.made.iter().map(|(kind, _)| kind.id)),
            }),
        }
    }

    /// A jig as an STL, its pieces side by side, as it goes to the printer.
    ///
    /// # Errors
    ///
    /// As [`Jigs::jig`]; [`WorkError::Export`].
    pub fn stl(&self, id: &str) -> Result<Vec<u8>, WorkError> {
        let jig = self.jig(id)?;
        let pieces: Vec<_> = jig.pieces.iter().map(|piece| (jig.id, piece)).collect();
        let (mut positions, mut triangles) = (Vec::new(), Vec::new());
        for (bed, laid) in self.laid(&pieces) {
            let first = positions.len() as u32;
            // More than one bed stands in a row.
            let beside = bed as f64 * (self.print.bed[0] + 10.0);
            positions.extend(laid.positions.iter().map(|p| [p[0] + beside, p[1], p[2]]));
            triangles.extend(
                laid.triangles
                    .iter()
                    .map(|t| t.map(|corner| corner + first)),
            );
        }
        Ok(export::stl_of_triangles(id, &positions, &triangles)?)
    }

    /// A jig as a 3MF, one object a piece, as it goes to the printer.
    ///
    /// # Errors
    ///
    /// As [`Jigs::stl`].
    pub fn threemf(&self, id: &str) -> Result<Vec<u8>, WorkError> {
        let jig = self.jig(id)?;
        let pieces: Vec<_> = jig.pieces.iter().map(|piece| (jig.id, piece)).collect();
        let laid: Vec<Laid> = self.laid(&pieces).into_iter().map(|own| own.1).collect();
        written(&format!("{} for {}", jig.title, self.engine), &laid)
    }

    /// All jigs laid out on beds of the printer, one 3MF a bed.
    ///
    /// # Errors
    ///
    /// [`WorkError::Export`].
    pub fn beds(&self) -> Result<Vec<Vec<u8>>, WorkError> {
        let pieces: Vec<(&str, &JigPiece)> = self
            .sound()
            .flat_map(|jig| jig.pieces.iter().map(|piece| (jig.id, piece)))
            .collect();
        let laid = self.laid(&pieces);
        let count = laid.iter().map(|(bed, _)| bed + 1).max().unwrap_or(0);
        let mut beds: Vec<Vec<Laid>> = (0..count).map(|_| Vec::new()).collect();
        for (bed, own) in laid {
            beds[bed].push(own);
        }
        beds.iter()
            .enumerate()
            .map(|(i, own)| {
                let title = format!("Jigs for {}, bed {} of {count}", self.engine, i + 1);
                written(&title, own)
            })
            .collect()
    }

    fn laid(&self, pieces: &[(&str, &JigPiece)]) -> Vec<(usize, Laid)> {
        let grown = 1.0 + self.print.shrinkage;
        let sizes: Vec<[f64; 2]> = pieces
            .iter()
            .map(|(_, piece)| {
                let (_, high) = piece.mesh.bounds();
                [high[0] * grown, high[1] * grown]
            })
            .collect();
        let places = lay_on_beds(&sizes, [self.print.bed[0], self.print.bed[1]]);
        pieces
            .iter()
            .zip(places)
            .zip(&sizes)
            .map(|(((jig, piece), place), size)| {
                let lay = |p: &[f64; 3]| {
                    let [x, y, z] = p.map(|x| x * grown);
                    let (x, y) = if place.turned {
                        (size[1] - y, x)
                    } else {
                        (x, y)
                    };
                    [x + place.at[0], y + place.at[1], z]
                };
                let laid = Laid {
                    name: format!("{jig}/{}", piece.name),
                    positions: piece.mesh.positions.iter().map(lay).collect(),
                    triangles: piece.mesh.triangles.clone(),
                };
                (place.bed, laid)
            })
            .collect()
    }
}

fn written(title: &str, laid: &[Laid]) -> Result<Vec<u8>, WorkError> {
    let objects: Vec<ThreemfObject<'_>> = laid
        .iter()
        .map(|own| ThreemfObject {
            name: &own.name,
            positions: &own.positions,
            triangles: &own.triangles,
        })
        .collect();
    Ok(export::threemf_of(title, &objects)?)
}
