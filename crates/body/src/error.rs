use develop::DevelopError;
use geom::GeomError;

/// Why a body cannot be built.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum BodyError {
    /// A shape that the dimensions do not allow.
    #[error("{path}: {sentence}")]
    Shape {
        /// Key of the model file that decides it: `firebox.shoulder_radius`.
        path: String,
        /// What is wrong, in a modeller's words.
        sentence: String,
        /// What would be right.
        help: String,
    },
    /// A plate cannot be developed.
    #[error("{path}: {cause}")]
    Develop {
        /// Key of the model file that decides it.
        path: String,
        /// The reason.
        cause: DevelopError,
    },
    /// A plate has no point of that name.
    #[error("plate {plate} has no point named {point}")]
    NoSuchPoint {
        /// The plate.
        plate: String,
        /// The name asked for.
        point: String,
    },
}

impl BodyError {
    /// Key of the model file that the error is about, if one is.
    pub fn path(&self) -> Option<&str> {
        match self {
            Self::Shape { path, .. } | Self::Develop { path, .. } => Some(path),
            Self::NoSuchPoint { .. } => None,
        }
    }

    /// What would be right, if the error knows.
    pub fn help(&self) -> Option<&str> {
        match self {
            Self::Shape { help, .. } => Some(help),
            _ => None,
        }
    }
}

/// Says which key of the model file a failed construction belongs to.
pub(crate) trait AtKey<T> {
    /// The error with its key.
    fn at_key(self, path: &str) -> Result<T, BodyError>;
}

impl<T, E: Into<DevelopError>> AtKey<T> for Result<T, E> {
    fn at_key(self, path: &str) -> Result<T, BodyError> {
        self.map_err(|cause| match cause.into() {
            DevelopError::Geometry(GeomError::NoTangency {
                what,
                found_mm,
                low_mm,
                high_mm,
            }) => BodyError::Shape {
                path: path.to_owned(),
                sentence: format!(
                    "the curves cannot meet smoothly: {what} is {found_mm:.3} mm on the model"
                ),
                help: format!("it must lie between {low_mm:.3} and {high_mm:.3} mm on the model"),
            },
            cause => BodyError::Develop {
                path: path.to_owned(),
                cause,
            },
        })
    }
}
