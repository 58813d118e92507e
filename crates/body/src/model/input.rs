//! The lengths that a model is made from, as its file gives them or as defaults supply them.

use super::length::PrototypeLength;

/// Where a length is from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum InputOrigin {
    /// The model file, as it is written there.
    File(String),
    /// The chosen variant of the model file, as it is written there.
    Variant(String),
    /// The file is silent: a default, with its source.
    Default(String),
}

impl InputOrigin {
    /// The word used in files.
    pub fn word(&self) -> &'static str {
        match self {
            Self::File(_) => "file",
            Self::Variant(_) => "variant",
            Self::Default(_) => "default",
        }
    }
}

/// A length that the model was made from.
#[derive(Clone, Debug, PartialEq)]
pub struct InputLength {
    /// Its key: `boiler.pitch`, `axles[0].x`.
    pub path: String,
    /// Length on the model (mm).
    pub mm: f64,
    /// Length of the full-size engine; nothing for sheet and film, which exist on the model only.
    pub full_size: Option<PrototypeLength>,
    /// Where it is from.
    pub origin: InputOrigin,
}
