//! The folder of model files: names, reading, and the one way to write.

use std::fs::{self, File};
use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};

use atomic_write_file::AtomicWriteFile;
use body::MODEL_FILE_LIMIT;
use check::{MAX_WAIVER_BYTES, Waivers};
use sha2::{Digest as _, Sha256};

use crate::folder_lock::{FolderLock, has_scraps, sweep};

/// Name of a model: its file's name without `.toml`, of lower-case letters, digits and hyphens.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ModelName(String);

impl ModelName {
    /// The name, if it is one. Nothing else ever becomes part of a path.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let fits = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
        let long_enough = (1..=100).contains(&text.len());
        (long_enough && text.bytes().all(fits)).then(|| Self(text.to_owned()))
    }

    /// The name of a model file's path.
    #[must_use]
    pub fn of_file(path: &Path) -> Option<Self> {
        if path.extension()? != "toml" {
            return None;
        }
        Self::parse(path.file_stem()?.to_str()?)
    }

    /// The name as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The file's name, for messages.
    #[must_use]
    pub fn file_name(&self) -> String {
        format!("{}.toml", self.0)
    }
}

/// A model file as it was read.
#[derive(Clone, Debug)]
pub struct Source {
    /// Its content.
    pub bytes: Vec<u8>,
    /// SHA-256 of the content in hexadecimal.
    pub sha256: String,
}

impl Source {
    /// Content with its hash.
    #[must_use]
    pub fn new(bytes: Vec<u8>) -> Self {
        let sha256 = sha256_hex(&bytes);
        Self { bytes, sha256 }
    }
}

/// Why a model file was not read or written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum FolderError {
    /// No such file in the folder, or it leads out of the folder.
    #[error("there is no model file {name}.toml in the folder")]
    Missing {
        /// Name asked for.
        name: String,
    },
    /// The file is larger than a model file may be.
    #[error("{name}.toml has more than {limit} bytes")]
    TooLarge {
        /// Name of the model.
        name: String,
        /// The most that is read.
        limit: usize,
    },
    /// The content is not what the caller thinks that it replaces.
    #[error("{name}.toml has another content than the one you read")]
    Changed {
        /// Name of the model.
        name: String,
    },
    /// The disk has no room for the new content; the old one stands.
    #[error("{name}.toml was not written and is as it was: the disk of the folder is full")]
    Full {
        /// Name of the model.
        name: String,
    },
    /// Another program has been writing into the folder for too long.
    #[error("another server has been writing into the folder for {seconds} s")]
    Locked {
        /// How long was waited.
        seconds: u64,
    },
    /// The system's refusal.
    #[error("{path}: {cause}", path = path.display())]
    Io {
        /// File or folder.
        path: PathBuf,
        /// The reason.
        cause: io::Error,
    },
}

impl FolderError {
    /// The same, or [`FolderError::Full`] where the system refused for want of room.
    fn or_full(self, name: &ModelName) -> Self {
        let is_full = matches!(&self, Self::Io { cause, .. }
            if matches!(cause.kind(), io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded));
        if !is_full {
            return self;
        }
        Self::Full {
            name: name.0.clone(),
        }
    }
}

/// A folder of model files.
#[derive(Clone, Debug)]
pub struct ModelFolder {
    root: PathBuf,
}

impl ModelFolder {
    /// Opens a folder.
    ///
    /// # Errors
    ///
    /// [`FolderError::Io`] if it is not there or not a folder.
    pub fn open(path: &Path) -> Result<Self, FolderError> {
        let failed = |cause| FolderError::Io {
            path: path.to_owned(),
            cause,
        };
        let root = path.canonicalize().map_err(failed)?;
        fs::read_dir(&root).map_err(failed)?;
        // What a write that was cut off has left. In a folder that cannot be written to there is nothing of it.
        if has_scraps(&root)
            && let Ok(_alone) = FolderLock::take(&root)
        {
            sweep(&root);
        }
        Ok(Self { root })
    }

    /// The folder's path, without links.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.root
    }

    /// Names of all model files, in order. Files of other names are not served.
    ///
    /// # Errors
    ///
    /// [`FolderError::Io`] if the folder cannot be read.
    pub fn names(&self) -> Result<Vec<ModelName>, FolderError> {
        let failed = |cause| FolderError::Io {
            path: self.root.clone(),
            cause,
        };
        let mut names = Vec::new();
        for entry in fs::read_dir(&self.root).map_err(failed)? {
            let path = entry.map_err(failed)?.path();
            let Some(name) = ModelName::of_file(&path) else {
                continue;
            };
            if self.place(&name).is_ok() {
                names.push(name);
            }
        }
        names.sort();
        Ok(names)
    }

    /// Files that end in `.toml` but have no name that can be served.
    ///
    /// # Errors
    ///
    /// [`FolderError::Io`] if the folder cannot be read.
    pub fn misnamed(&self) -> Result<Vec<PathBuf>, FolderError> {
        let failed = |cause| FolderError::Io {
            path: self.root.clone(),
            cause,
        };
        let mut paths = Vec::new();
        for entry in fs::read_dir(&self.root).map_err(failed)? {
            let path = entry.map_err(failed)?.path();
            let hidden = path
                .file_name()
                .is_some_and(|n| n.as_encoded_bytes().starts_with(b"."));
            let toml = path.extension().is_some_and(|ending| ending == "toml");
            let beside = stands_beside(&path);
            if toml && !hidden && !beside && ModelName::of_file(&path).is_none() {
                paths.push(path);
            }
        }
        paths.sort();
        Ok(paths)
    }

    /// Reads a model file.
    ///
    /// # Errors
    ///
    /// [`FolderError::Missing`] also for a link that leads out of the folder;
    /// [`FolderError::TooLarge`]; [`FolderError::Io`].
    pub fn read(&self, name: &ModelName) -> Result<Source, FolderError> {
        let path = self.place(name)?;
        let failed = |cause| FolderError::Io {
            path: path.clone(),
            cause,
        };
        let file = File::open(&path).map_err(failed)?;
        let mut bytes = Vec::new();
        file.take(MODEL_FILE_LIMIT as u64 + 1)
            .read_to_end(&mut bytes)
            .map_err(failed)?;
        if bytes.len() > MODEL_FILE_LIMIT {
            return Err(FolderError::TooLarge {
                name: name.0.clone(),
                limit: MODEL_FILE_LIMIT,
            });
        }
        Ok(Source::new(bytes))
    }

    /// The file of waivers beside a model file, if there is one: a plain file inside the folder, all links followed.
    ///
    /// # Errors
    ///
    /// [`FolderError::Io`]. One byte more than [`check::MAX_WAIVER_BYTES`] is read at most.
    pub fn waivers(&self, name: &ModelName) -> Result<Option<Vec<u8>>, FolderError> {
        let path = self.root.join(Waivers::name_of(&name.file_name()));
        let failed = |cause| FolderError::Io {
            path: path.clone(),
            cause,
        };
        let real = match path.canonicalize() {
            Ok(real) if real.starts_with(&self.root) && real.is_file() => real,
            Ok(_) => return Ok(None),
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(cause) => return Err(failed(cause)),
        };
        let mut bytes = Vec::new();
        File::open(&real)
            .and_then(|file| {
                file.take(MAX_WAIVER_BYTES as u64 + 1)
                    .read_to_end(&mut bytes)
            })
            .map_err(failed)?;
        Ok(Some(bytes))
    }

    /// Replaces a model file as a whole: a reader sees the old content or the new one, never a part.
    ///
    /// `expected` decides from the SHA-256 of the present content whether it may be replaced. Writes are kept apart,
    /// also those of other programs of this kind over the same folder. What was written is on the disk when this ends.
    ///
    /// # Errors
    ///
    /// [`FolderError::Missing`], [`FolderError::Changed`], [`FolderError::Full`], [`FolderError::Locked`],
    /// [`FolderError::Io`].
    pub fn replace(
        &self,
        name: &ModelName,
        content: &[u8],
        expected: impl Fn(&str) -> bool,
    ) -> Result<(), FolderError> {
        // Held until the end of this function, over comparing and writing.
        let _alone = FolderLock::take(&self.root).map_err(|error| error.or_full(name))?;
        sweep(&self.root);
        if !expected(&self.read(name)?.sha256) {
            return Err(FolderError::Changed {
                name: name.0.clone(),
            });
        }
        let path = self.place(name)?;
        let write = || {
            let mut file = AtomicWriteFile::open(&path)?;
            file.write_all(content)?;
            file.commit()
        };
        write().map_err(|cause| {
            let path = path.clone();
            FolderError::Io { path, cause }.or_full(name)
        })
    }

    /// Where the file of a model really is: a plain file inside the folder, all links followed.
    fn place(&self, name: &ModelName) -> Result<PathBuf, FolderError> {
        let missing = || FolderError::Missing {
            name: name.0.clone(),
        };
        let path = self.root.join(name.file_name());
        let real = path.canonicalize().map_err(|cause| match cause.kind() {
            io::ErrorKind::NotFound => missing(),
            _ => FolderError::Io { path, cause },
        })?;
        // Only a plain file: reading a pipe of that name would never end.
        if real.starts_with(&self.root) && real.is_file() {
            Ok(real)
        } else {
            Err(missing())
        }
    }
}

/// True for the waivers of a model and the side file of a drawing, which are no models.
fn stands_beside(path: &Path) -> bool {
    let name = path
        .file_name()
        .map(|name| name.to_string_lossy().to_lowercase());
    let ends = [".waivers.toml", ".dxf.toml", ".svg.toml"];
    name.is_some_and(|name| ends.iter().any(|end| name.ends_with(end)))
}

/// SHA-256 in hexadecimal.
#[must_use]
pub fn sha256_hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    Sha256::digest(bytes)
        .iter()
        .fold(String::with_capacity(64), |mut text, byte| {
            write!(text, "{byte:02x}").expect("writing to a String does not fail");
            text
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_plain_words() {
        for good in ["class-b", "a", "7f", "class-b-2"] {
            assert_eq!(ModelName::parse(good).unwrap().as_str(), good);
        }
        let long = "a".repeat(101);
        for bad in [
            "",
            "..",
            "a/b",
            "a\\b",
            "Class-B",
            "a.b",
            "a b",
            "é",
            "a\0",
            long.as_str(),
        ] {
            assert!(ModelName::parse(bad).is_none(), "{bad:?}");
        }
    }

    #[test]
    fn hash_of_a_known_text() {
        // NIST's example for "abc".
        assert_eq!(
            sha256_hex(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
