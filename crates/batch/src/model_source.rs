//! Model files as jobs take them.

use std::fs::File;
use std::io::Read as _;
use std::path::{Path, PathBuf};

use body::{MODEL_FILE_LIMIT, Overrides};
use server::{WorkError, Workshop};

use crate::FileError;

/// The content of a file, if it is no larger than `limit` bytes.
///
/// # Errors
///
/// [`FileError::Read`], [`FileError::TooLarge`].
pub fn read_bytes(path: &Path, limit: usize) -> Result<Vec<u8>, FileError> {
    let failed = |cause| FileError::Read {
        path: path.to_owned(),
        cause,
    };
    let file = File::open(path).map_err(failed)?;
    let mut bytes = Vec::new();
    file.take(limit as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(failed)?;
    if bytes.len() > limit {
        return Err(FileError::TooLarge {
            path: path.to_owned(),
            limit,
        });
    }
    Ok(bytes)
}

/// A model file that was read, and where its own drawings are.
#[derive(Clone, Debug)]
pub struct ModelSource {
    /// Where it was read; messages call it so, and the drawings of own plates stand beside it.
    pub path: PathBuf,
    /// Its content.
    pub bytes: Vec<u8>,
}

impl ModelSource {
    /// Reads a model file.
    ///
    /// # Errors
    ///
    /// [`FileError::Read`], [`FileError::TooLarge`].
    pub fn read(path: &Path) -> Result<Self, FileError> {
        Ok(Self {
            path: path.to_owned(),
            bytes: read_bytes(path, MODEL_FILE_LIMIT)?,
        })
    }

    /// The model's name: the file's without its ending.
    #[must_use]
    pub fn name(&self) -> String {
        let stem = self.path.file_stem();
        stem.map_or_else(String::new, |stem| stem.to_string_lossy().into_owned())
    }

    /// What messages call the file.
    #[must_use]
    pub fn file(&self) -> String {
        self.path.to_string_lossy().into_owned()
    }

    /// A drawing beside the model file, if it is there.
    #[must_use]
    pub fn beside(&self, own: &str) -> Option<Vec<u8>> {
        let folder = self.path.parent().unwrap_or(Path::new(""));
        read_bytes(&folder.join(own), artwork::MAX_ARTWORK_BYTES).ok()
    }

    /// Builds the body.
    ///
    /// # Errors
    ///
    /// As [`Workshop::open`].
    pub fn open(&self, overrides: &Overrides) -> Result<Workshop, WorkError> {
        Workshop::open_beside(&self.name(), &self.file(), &self.bytes, overrides, |own| {
            self.beside(own)
        })
    }
}
