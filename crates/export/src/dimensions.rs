//! The JSON view of the lengths that a model is made from and of those that follow from them.

use crate::millimetres;
use crate::number::rounded;
use body::{Body, DefaultUsed, DerivedAngle, DerivedDimension, InputLength, InputOrigin, Model};
use serde::Serialize;
use utoipa::ToSchema;

/// Lengths of a model.
#[derive(Clone, Debug, Default, PartialEq, Serialize, ToSchema)]
pub struct DimensionsJson {
    /// Those that the model file gives, or a default where it is silent, in the order of reading.
    pub inputs: Vec<InputJson>,
    /// Those that follow from them, by sub-assembly.
    pub derived: Vec<DerivedJson>,
    /// Angles that follow from them, by sub-assembly.
    pub angles: Vec<AngleJson>,
    /// Every default used, words and numbers too, in the order of reading.
    pub defaults: Vec<DefaultJson>,
}

/// A length that the model was made from.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct InputJson {
    /// Its key in the model file.
    pub path: String,
    /// Length on the model.
    pub mm: f64,
    /// Length of the full-size engine; nothing for sheet and film, which exist on the model only.
    pub full_size_in: Option<f64>,
    /// The same in words, to the nearest sixteenth: `4ft 8 1/2in`.
    pub full_size: Option<String>,
    /// `file`, `variant` or `default`.
    pub from: &'static str,
    /// As the file writes it; nothing for a default.
    pub written: Option<String>,
    /// Where a default is from; nothing for what the file gives.
    pub source: Option<String>,
}

/// A length that follows from those of the model file.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct DerivedJson {
    /// Its name beside the keys of the model file.
    pub path: String,
    /// What it is.
    pub title: String,
    /// Length on the model.
    pub mm: f64,
}

/// An angle that follows from the lengths of the model file.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct AngleJson {
    /// Its name beside the keys of the model file.
    pub path: String,
    /// What it is.
    pub title: String,
    /// The angle in degrees.
    pub deg: f64,
}

/// A default that was used because the file is silent.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct DefaultJson {
    /// The key that the file does not have.
    pub path: String,
    /// The value taken.
    pub value: String,
    /// Where it is from.
    pub source: String,
}

impl DimensionsJson {
    /// The lengths of a model and its body.
    pub fn of(model: &Model, body: &Body) -> Self {
        Self {
            inputs: model.inputs.iter().map(InputJson::from).collect(),
            defaults: model.defaults.iter().map(DefaultJson::from).collect(),
            ..Self::derived_of(body)
        }
    }

    /// Those that follow, of a body alone.
    pub(crate) fn derived_of(body: &Body) -> Self {
        Self {
            inputs: Vec::new(),
            defaults: Vec::new(),
            derived: body.dimensions.iter().map(DerivedJson::from).collect(),
            angles: body.angles.iter().map(AngleJson::from).collect(),
        }
    }
}

impl From<&InputLength> for InputJson {
    fn from(input: &InputLength) -> Self {
        let (written, source) = match &input.origin {
            InputOrigin::File(text) | InputOrigin::Variant(text) => (Some(text.clone()), None),
            InputOrigin::Default(source) => (None, Some(source.clone())),
        };
        Self {
            path: input.path.clone(),
            mm: millimetres(input.mm),
            full_size_in: input.full_size.map(|length| rounded(length.in_inches(), 6)),
            full_size: input.full_size.map(|length| length.words()),
            from: input.origin.word(),
            written,
            source,
        }
    }
}

impl From<&DerivedDimension> for DerivedJson {
    fn from(own: &DerivedDimension) -> Self {
        Self {
            path: own.path.clone(),
            title: own.title.clone(),
            mm: millimetres(own.mm),
        }
    }
}

impl From<&DerivedAngle> for AngleJson {
    fn from(own: &DerivedAngle) -> Self {
        Self {
            path: own.path.clone(),
            title: own.title.clone(),
            deg: rounded(own.radians.to_degrees(), 6),
        }
    }
}

impl From<&DefaultUsed> for DefaultJson {
    fn from(own: &DefaultUsed) -> Self {
        Self {
            path: own.path.clone(),
            value: own.value.clone(),
            source: own.source.clone(),
        }
    }
}
