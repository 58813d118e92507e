use std::io;
use std::net::SocketAddr;

use crate::folder::FolderError;

/// Why the server does not start or had to end.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ServerError {
    /// The folder of model files cannot be read.
    #[error("the folder of model files cannot be read: {0}")]
    Folder(#[from] FolderError),
    /// The address cannot be listened on.
    #[error("{address} cannot be listened on: {cause}")]
    Listen {
        /// The address asked for.
        address: SocketAddr,
        /// The reason.
        cause: io::Error,
    },
    /// The connection to the network failed.
    #[error("the server had to end: {0}")]
    Serve(io::Error),
}
