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
    /// A server that others can reach has no token.
    #[error(
        "{address} can be reached over the network, where everyone could change the model files: give a token of 16 characters \
         or more in a file (--token-file) or in PLATEWORK_TOKEN, or listen on 127.0.0.1"
    )]
    NoToken {
        /// The address asked for.
        address: SocketAddr,
    },
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
