//! One file a noun: the handlers with what they answer.

pub(crate) mod artwork;
pub(crate) mod body_step;
pub(crate) mod build_files;
pub(crate) mod built;
pub(crate) mod clearances;
pub(crate) mod description;
pub(crate) mod difference;
pub(crate) mod dimensions;
pub(crate) mod drafts;
pub(crate) mod events;
pub(crate) mod findings;
pub(crate) mod health;
pub(crate) mod jigs;
pub(crate) mod joints;
pub(crate) mod models;
pub(crate) mod order;
pub(crate) mod page;
pub(crate) mod plates;
pub(crate) mod preview;
mod scan;
pub(crate) mod sheets;

use axum::body::Bytes;
use serde::Serialize;

pub(crate) const JSON: &str = "application/json";

/// JSON of a view.
pub(crate) fn json(view: &impl Serialize) -> Bytes {
    serde_json::to_vec(view)
        .expect("views are made of strings and numbers, which JSON can always write")
        .into()
}
