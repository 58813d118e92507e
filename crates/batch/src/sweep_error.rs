use body::ModelError;

use crate::{FileError, MOST_COMBINATIONS};

/// Why a sweep was not begun, or not finished.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SweepError {
    /// No `KEY=VALUES`.
    #[error("{given:?} names no key and values")]
    NoAxis {
        /// What was given.
        given: String,
    },
    /// A value or range that cannot be read.
    #[error("{key}={given}: {why}")]
    Range {
        /// The key.
        key: String,
        /// The value or range.
        given: String,
        /// What is wrong.
        why: String,
    },
    /// A key that is given twice.
    #[error("{key} is given twice")]
    KeyTwice {
        /// The key.
        key: String,
    },
    /// A value that is given twice.
    #[error("{key} has the value {value:?} twice")]
    ValueTwice {
        /// The key.
        key: String,
        /// The value.
        value: String,
    },
    /// A model file that is given twice.
    #[error("{file} is given twice")]
    ModelTwice {
        /// The file.
        file: String,
    },
    /// A key that a model file cannot have.
    #[error("{file} can have no key {key:?}{when}")]
    Key {
        /// The model file.
        file: String,
        /// The key.
        key: String,
        /// With which other settings, if not with none.
        when: String,
        /// The nearest key that it can have.
        near: Option<String>,
    },
    /// A value that cannot stand at a key.
    #[error("{file}: {key}={value}: {why}")]
    Value {
        /// The model file.
        file: String,
        /// The key.
        key: String,
        /// The value.
        value: String,
        /// What is wrong.
        why: String,
        /// What would be right.
        wanted: String,
    },
    /// More combinations than are made.
    #[error("the values make {count} combinations, and {MOST_COMBINATIONS} are the most")]
    TooMany {
        /// How many, if they can be counted.
        count: String,
    },
    /// No share `K/N`.
    #[error("{given:?} is no share")]
    NoShare {
        /// What was given.
        given: String,
    },
    /// A model file that is no TOML.
    #[error(transparent)]
    Model(Box<ModelError>),
    /// Threads cannot be started.
    #[error("threads cannot be started: {0}")]
    Threads(#[from] rayon::ThreadPoolBuildError),
    /// A folder that cannot be written.
    #[error(transparent)]
    File(#[from] FileError),
}

impl SweepError {
    /// What would be right.
    #[must_use]
    pub fn help(&self) -> Option<String> {
        let text = match self {
            Self::NoAxis { .. } => {
                "write a key of the model file and its values: wheels=fine,exact"
            }
            Self::Range { .. } => {
                "write values with commas, 7ft 1in,7ft 3in; six from one to another, 7ft1in..7ft6in/6; \
                 or in steps, 7ft1in..7ft6in+1in"
            }
            Self::KeyTwice { .. } => "give all its values at once, with commas",
            Self::ValueTwice { .. } | Self::ModelTwice { .. } => "leave one of them out",
            Self::Key {
                near: Some(near), ..
            } => return Some(format!("did you mean {near}?")),
            Self::Key { .. } => {
                "docs/model-file.md lists the keys; `platework check MODEL --defaults` those not in the file"
            }
            Self::Value { wanted, .. } => return Some(wanted.clone()),
            Self::TooMany { .. } => "give fewer values, or several sweeps",
            Self::NoShare { .. } => "2/8 is the second of eight shares",
            Self::Model(error) => return error.problems.first().map(|own| own.help.clone()),
            Self::Threads(_) | Self::File(_) => return None,
        };
        Some(text.to_owned())
    }
}
