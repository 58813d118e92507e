use std::io;
use std::path::PathBuf;

/// Why a file or folder was not read or written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum FileError {
    /// A file that cannot be read.
    #[error("{path} cannot be read: {cause}", path = path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// The reason.
        cause: io::Error,
    },
    /// A file that is larger than is read.
    #[error("{path} has more than {limit} bytes", path = path.display())]
    TooLarge {
        /// The file.
        path: PathBuf,
        /// The most that is read.
        limit: usize,
    },
    /// A file or folder that cannot be written.
    #[error("{path} cannot be written: {cause}", path = path.display())]
    Write {
        /// The file or folder.
        path: PathBuf,
        /// The reason.
        cause: io::Error,
    },
    /// A file in the way that is not from here, or was changed since.
    #[error("{path} is in the way: it was not written by an earlier build, or was changed since", path = path.display())]
    Foreign {
        /// The file.
        path: PathBuf,
    },
}
