//! Formers and jigs of one engine, and their files.

use std::sync::OnceLock;

use body::{Body, Model};
use export::{JigJson, PrintJson, ThreemfObject};
use rayon::prelude::*;
use solid::{Jig, JigKind, JigPiece, SolidError, jig_kinds, lay_on_beds, make_jig};

use crate::WorkError;
use crate::workshop::nearest;

/// A jig made once, then kept; `None` of a kind that the engine has no use for.
pub(crate) type JigCell = OnceLock<Result<Option<Jig>, SolidError>>;

/// A place for each kind of jig.
pub(crate) fn cells() -> Vec<JigCell> {
    jig_kinds().iter().map(|_| OnceLock::new()).collect()
}

/// The jigs that an engine has, each made when it is asked for, or with the reason why it is not.
#[derive(Clone, Copy, Debug)]
pub struct Jigs<'w> {
    pub(crate) model: &'w Model,
    pub(crate) body: &'w Body,
    pub(crate) cells: &'w [JigCell],
}

/// A piece as it goes to the printer: grown by what it shrinks, laid on a bed.
struct Laid {
    name: String,
    positions: Vec<[f64; 3]>,
    triangles: Vec<[u32; 3]>,
}

impl<'w> Jigs<'w> {
    fn made(&self, kind: usize) -> &'w Result<Option<Jig>, SolidError> {
        self.cells[kind].get_or_init(|| make_jig(self.model, self.body, &jig_kinds()[kind]))
    }

    /// All kinds, one a task, in their order.
    fn all(&self) -> Vec<(&'static JigKind, &'w Result<Option<Jig>, SolidError>)> {
        (0..jig_kinds().len())
            .into_par_iter()
            .map(|kind| (&jig_kinds()[kind], self.made(kind)))
            .collect()
    }

    /// The jigs that passed their checks.
    pub fn sound(&self) -> Vec<&'w Jig> {
        let all = self.all().into_iter();
        all.filter_map(|(_, made)| made.as_ref().ok()?.as_ref())
            .collect()
    }

    /// The jigs that cannot be served, and why.
    pub fn refused(&self) -> Vec<(&'static JigKind, &'w SolidError)> {
        let all = self.all().into_iter();
        all.filter_map(|(kind, made)| Some((kind, made.as_ref().err()?)))
            .collect()
    }

    /// What is known of the jigs that passed.
    pub fn json(&self) -> Vec<JigJson> {
        self.sound().into_iter().map(JigJson::from).collect()
    }

    /// The printer that they are made for.
    pub fn print_json(&self) -> PrintJson {
        PrintJson::from(&self.model.print)
    }

    /// The jig of a name.
    ///
    /// # Errors
    ///
    /// [`WorkError::NoJig`], with the nearest name there is; [`WorkError::Solid`] for one that fails its checks.
    pub fn jig(&self, id: &str) -> Result<&'w Jig, WorkError> {
        let kind = jig_kinds().iter().position(|kind| kind.id == id);
        match kind.map(|kind| self.made(kind)) {
            Some(Ok(Some(jig))) => Ok(jig),
            Some(Err(error)) => Err(error.clone().into()),
            Some(Ok(None)) | None => Err(WorkError::NoJig {
                jig: id.to_owned(),
                near: nearest(id, jig_kinds().iter().map(|kind| kind.id)).filter(|near| near != id),
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
            let beside = bed as f64 * (self.model.print.bed[0] + 10.0);
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
        written(&format!("{} for {}", jig.title, self.model.title), &laid)
    }

    /// All jigs laid out on beds of the printer, one 3MF a bed.
    ///
    /// # Errors
    ///
    /// [`WorkError::Export`].
    pub fn beds(&self) -> Result<Vec<Vec<u8>>, WorkError> {
        let pieces: Vec<(&str, &JigPiece)> = self
            .sound()
            .into_iter()
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
                let title = format!("Jigs for {}, bed {} of {count}", self.model.title, i + 1);
                written(&title, own)
            })
            .collect()
    }

    fn laid(&self, pieces: &[(&str, &JigPiece)]) -> Vec<(usize, Laid)> {
        let grown = 1.0 + self.model.print.shrinkage;
        let sizes: Vec<[f64; 2]> = pieces
            .iter()
            .map(|(_, piece)| {
                let (_, high) = piece.mesh.bounds();
                [high[0] * grown, high[1] * grown]
            })
            .collect();
        let places = lay_on_beds(&sizes, [self.model.print.bed[0], self.model.print.bed[1]]);
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
