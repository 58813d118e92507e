//! Meshes of parts, each made once, when it is asked for, and shared by all bodies in which the part is the same.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, OnceLock};

use body::Body;
use solid::{Mesh, MeshOptions, PlateMesh, SolidError, mesh_fitting, mesh_plate};

use crate::marks::Marks;

/// How much of the bodies was made anew.
#[derive(Debug, Default)]
pub(crate) struct PartCounts {
    /// Parts of bodies built that were as in one that is kept.
    same: AtomicU64,
    /// Parts of bodies built that were not.
    new: AtomicU64,
    /// Meshes made of parts.
    meshed: AtomicU64,
}

impl PartCounts {
    /// Parts as they were, parts that are new, and meshes made.
    pub(crate) fn read(&self) -> [u64; 3] {
        [&self.same, &self.new, &self.meshed].map(|own| own.load(Ordering::Relaxed))
    }
}

/// What is made once of a part.
type Cell<M> = Arc<OnceLock<Result<Arc<M>, SolidError>>>;

/// The meshes of a body's parts.
#[derive(Debug)]
pub(crate) struct PartCells {
    /// Of each plate, without rivets and with them.
    plates: Vec<[Cell<PlateMesh>; 2]>,
    fittings: Vec<Cell<Mesh>>,
    counts: Arc<PartCounts>,
}

impl PartCells {
    /// Of a body of which nothing is made yet.
    pub(crate) fn of(body: &Body) -> Self {
        Self {
            plates: body.plates.iter().map(|_| Default::default()).collect(),
            fittings: body.fittings.iter().map(|_| Cell::default()).collect(),
            counts: Arc::default(),
        }
    }

    /// Takes over what others have of the parts that are the same there, by their marks, and counts from now on for all.
    pub(crate) fn share(
        &mut self,
        (body, marks): (&Body, &Marks),
        others: &[(&Body, &Marks, &Self)],
        counts: &Arc<PartCounts>,
    ) {
        self.counts = Arc::clone(counts);
        let others: Vec<Places<'_>> = others.iter().map(|own| Places::of(*own)).collect();
        let of_same = |id: &str| {
            others
                .iter()
                .find(|other| other.marks.get(id) == marks.get(id))
        };
        let plates = body.plates.iter().map(|own| own.id.as_str());
        let fittings = body.fittings.iter().map(|own| own.id.as_str());
        let same = taken_over(plates.zip(&mut self.plates), |id| {
            of_same(id).and_then(|other| other.plates.get(id).copied())
        }) + taken_over(fittings.zip(&mut self.fittings), |id| {
            of_same(id).and_then(|other| other.fittings.get(id).copied())
        });
        let all = (self.plates.len() + self.fittings.len()) as u64;
        counts.same.fetch_add(same, Ordering::Relaxed);
        counts.new.fetch_add(all - same, Ordering::Relaxed);
    }

    /// The mesh of a plate of the body, by its number there.
    pub(crate) fn plate(
        &self,
        body: &Body,
        number: usize,
        rivets: bool,
    ) -> Result<Arc<PlateMesh>, SolidError> {
        let options = MeshOptions {
            rivets,
            ..MeshOptions::default()
        };
        let make = || mesh_plate(&body.plates[number], &options);
        self.made(&self.plates[number][usize::from(rivets)], make)
    }

    /// The mesh of a fitting of the body, by its number there.
    pub(crate) fn fitting(&self, body: &Body, number: usize) -> Result<Arc<Mesh>, SolidError> {
        let chord_error = MeshOptions::default().chord_error;
        let make = || mesh_fitting(&body.fittings[number], chord_error);
        self.made(&self.fittings[number], make)
    }

    fn made<M>(
        &self,
        cell: &Cell<M>,
        make: impl FnOnce() -> Result<M, SolidError>,
    ) -> Result<Arc<M>, SolidError> {
        let own = cell.get_or_init(|| {
            self.counts.meshed.fetch_add(1, Ordering::Relaxed);
            make().map(Arc::new)
        });
        own.clone()
    }
}

/// Puts what there is of the same part in place of each part's own, and counts how often.
fn taken_over<'i, 'o, C: Clone + 'o>(
    own: impl Iterator<Item = (&'i str, &'o mut C)>,
    of_same: impl Fn(&str) -> Option<&'o C>,
) -> u64 {
    let mut same = 0;
    for (id, cell) in own {
        if let Some(theirs) = of_same(id) {
            cell.clone_from(theirs);
            same += 1;
        }
    }
    same
}

/// The parts of another body by their ids.
struct Places<'o> {
    marks: &'o Marks,
    plates: BTreeMap<&'o str, &'o [Cell<PlateMesh>; 2]>,
    fittings: BTreeMap<&'o str, &'o Cell<Mesh>>,
}

impl<'o> Places<'o> {
    fn of((body, marks, cells): (&'o Body, &'o Marks, &'o PartCells)) -> Self {
        let plates = body.plates.iter().map(|own| own.id.as_str());
        let fittings = body.fittings.iter().map(|own| own.id.as_str());
        Self {
            marks,
            plates: plates.zip(&cells.plates).collect(),
            fittings: fittings.zip(&cells.fittings).collect(),
        }
    }
}
