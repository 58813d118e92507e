//! The last few bodies, kept so that a page that asks for six things builds once.

use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use body::Overrides;

use crate::folder::{ModelName, Source, sha256_hex};
use crate::part_cells::PartCounts;
use crate::{WorkError, Workshop};

type Outcome = Result<Arc<Workshop>, WorkError>;

/// What a body is built from.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Key {
    name: ModelName,
    sha256: String,
    overrides: Overrides,
}

impl Key {
    fn of(name: &ModelName, source: &Source, overrides: &Overrides) -> Self {
        Self {
            name: name.clone(),
            sha256: source.sha256.clone(),
            overrides: overrides.clone(),
        }
    }

    /// Mark of what is built from this and not known from before.
    fn mark(&self) -> String {
        let parts = [
            self.sha256.as_str(),
            self.overrides.scale.map_or("", body::Scale::word),
            self.overrides.wheels.map_or("", body::WheelStandard::word),
            self.overrides.variant.as_deref().unwrap_or_default(),
        ];
        let mut mark = sha256_hex(parts.join("\0").as_bytes());
        mark.truncate(16);
        mark
    }
}

/// Bodies by what they are built from, the latest used last.
#[derive(Debug, Default)]
pub(crate) struct Shelf {
    places: Mutex<VecDeque<(Key, Arc<OnceLock<Outcome>>)>>,
    /// The folder of the models, in which drawings of own plates are looked for.
    root: PathBuf,
    /// Bodies that are kept.
    kept: usize,
    counts: Arc<PartCounts>,
}

impl Shelf {
    /// A shelf for so many models of a folder.
    pub(crate) fn of(root: &Path, kept: usize, counts: Arc<PartCounts>) -> Self {
        Self {
            root: root.to_owned(),
            kept,
            counts,
            ..Self::default()
        }
    }

    /// Builds a model without keeping it.
    pub(crate) fn open(
        &self,
        name: &str,
        file: &str,
        bytes: &[u8],
        overrides: &Overrides,
    ) -> Result<Workshop, WorkError> {
        Workshop::open_beside(name, file, bytes, overrides, |own| self.beside(own))
    }

    /// A drawing in the folder of the models: a plain file, all links followed.
    fn beside(&self, own: &str) -> Option<Vec<u8>> {
        let real = self.root.join(own).canonicalize().ok()?;
        let size = real.metadata().ok()?.len();
        let inside = real.starts_with(&self.root) && real.is_file();
        (inside && size <= artwork::MAX_ARTWORK_BYTES as u64)
            .then(|| std::fs::read(&real).ok())
            .flatten()
    }

    /// The body of a model file, built if it is not on the shelf. Takes a while: not for an async thread.
    ///
    /// Whoever asks for a body that is being built waits for that one. A failure is kept as well,
    /// since the same file fails in the same way. What is the same in one of `others` has its mark.
    pub(crate) fn take(
        &self,
        name: &ModelName,
        source: &Source,
        overrides: &Overrides,
        others: &[Arc<Workshop>],
    ) -> Outcome {
        let key = Key::of(name, source, overrides);
        let mark = key.mark();
        self.place(key)
            .get_or_init(|| {
                self.open(name.as_str(), &name.file_name(), &source.bytes, overrides)
                    .map(|workshop| Arc::new(workshop.marked(&mark, others, &self.counts)))
            })
            .clone()
    }

    /// Whether a body stands on the shelf, built or being built.
    pub(crate) fn has(&self, name: &ModelName, source: &Source, overrides: &Overrides) -> bool {
        let key = Key::of(name, source, overrides);
        let places = self.places.lock().unwrap_or_else(PoisonError::into_inner);
        places.iter().any(|(own, _)| *own == key)
    }

    /// The bodies of a model, whatever their texts, the latest used first.
    pub(crate) fn all_of(&self, name: &ModelName, overrides: &Overrides) -> Vec<Arc<Workshop>> {
        let places = self.places.lock().unwrap_or_else(PoisonError::into_inner);
        let own = |key: &Key| key.name == *name && key.overrides == *overrides;
        let built = |(key, place): &(Key, Arc<OnceLock<Outcome>>)| {
            own(key).then(|| place.get()?.clone().ok()).flatten()
        };
        places.iter().rev().filter_map(built).collect()
    }

    fn place(&self, key: Key) -> Arc<OnceLock<Outcome>> {
        // A panic elsewhere leaves the list whole: nothing is done to it in steps.
        let mut places = self.places.lock().unwrap_or_else(PoisonError::into_inner);
        let found = places.iter().position(|(own, _)| *own == key);
        let place = found
            .and_then(|at| places.remove(at))
            .unwrap_or_else(|| (key, Arc::default()));
        let outcome = Arc::clone(&place.1);
        places.push_back(place);
        if places.len() > self.kept {
            places.pop_front();
        }
        outcome
    }
}
