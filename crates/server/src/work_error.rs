use artwork::ArtworkError;
use body::ModelError;
use check::CheckError;
use export::ExportError;
use solid::SolidError;

/// Why a product of a model cannot be made.
#[derive(Clone, Debug, thiserror::Error)]
#[non_exhaustive]
pub enum WorkError {
    /// The model file is wrong, or asks for a shape that cannot be.
    #[error(transparent)]
    Model(Box<ModelError>),
    /// The body has no such plate.
    #[error("the body has no plate {plate}")]
    NoPlate {
        /// Name asked for.
        plate: String,
        /// The most similar name that there is.
        near: Option<String>,
    },
    /// The engine has no such jig.
    #[error("the engine has no jig {jig}")]
    NoJig {
        /// Name asked for.
        jig: String,
        /// The most similar name that there is.
        near: Option<String>,
    },
    /// The model has no such sheet, or no file of it with that ending.
    #[error("there is no sheet {id} of that kind")]
    NoSheet {
        /// Name asked for.
        id: String,
    },
    /// A build has no such file.
    #[error("a build has no file {file}")]
    NoFile {
        /// Name asked for.
        file: String,
    },
    /// The side file of the drawing handed in is wrong.
    #[error(transparent)]
    SideFile(Box<ModelError>),
    /// The readings handed in are wrong.
    #[error(transparent)]
    Readings(Box<ModelError>),
    /// The drawing handed in cannot be read.
    #[error("{cause}")]
    Drawing {
        /// The reason.
        cause: ArtworkError,
    },
    /// A flat cannot be drawn.
    #[error(transparent)]
    Flat(#[from] ArtworkError),
    /// A solid cannot be made.
    #[error(transparent)]
    Solid(#[from] SolidError),
    /// A file cannot be written.
    #[error(transparent)]
    Export(#[from] ExportError),
    /// The train cannot be stood on the track.
    #[error(transparent)]
    Running(#[from] check::running::RunningError),
    /// A check cannot be made.
    #[error(transparent)]
    Check(#[from] CheckError),
}

impl From<ModelError> for WorkError {
    fn from(error: ModelError) -> Self {
        Self::Model(Box::new(error))
    }
}
